"""One attempt gathered for the page: verdict, scores, what was worst, what to do next time, the entry, the cursor."""

from analyzer.flown import Phase
from analyzer.judged import CODES, AssessedAttempt, Assessment, Deduction, first_remedy
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.causes import causes_note, effect_views
from analyzer.shown.report.view.cursor import cursor_data
from analyzer.shown.report.view.entry import entry_view
from analyzer.shown.report.view.findings import finding_views
from analyzer.shown.report.view.ground import ground_features
from analyzer.shown.report.view.headline import headline, worst_verdict
from analyzer.shown.report.view.plan import plan_view
from analyzer.shown.report.view.plan_ground import AREA_LABELS
from analyzer.shown.report.view.plots import plot_views
from analyzer.shown.report.view.seat import seat_moments
from analyzer.shown.report.view.series import segment_spans, series_of
from analyzer.shown.report.view.tables import TONES, attempt_tables, with_utc
from analyzer.shown.report.view.values import (
    AttemptView,
    Band,
    CardView,
    FindingView,
    PhaseKey,
    ScoreView,
    Tone,
)
from analyzer.units import METRES_PER_FOOT

MOST_REASONS = 3
MOST_ADVICE = 3
AT_THE_END_S = 10.0  # an unfinished reversal that ends nearer to the track's end than this was cut off by it


def attempt_view(assessment: Assessment, assessed: AssessedAttempt, count: int | None = None) -> AttemptView:
    """One reversal as the page shows it; `count` is how many the page holds, by default those of the assessment."""
    attempt, judgement, scores = assessed.attempt, assessed.judgement, assessed.scores
    bands = phase_bands(attempt.phases, attempt.laps)
    series = series_of(assessment, attempt.start_s, attempt.end_s, attempt)
    plots = plot_views(assessment, assessed, series, bands)
    findings = finding_views(judgement.findings, attempt.laps, assessment.track.start)
    reasons = [one for one in findings if one.number]
    plan = plan_view(assessment, assessed, series, bands, findings)
    effects = effect_views(assessed.causes)
    spans = segment_spans(assessed)
    unfinished = _unfinished(assessment, assessed)
    count = len(assessment.attempts) if count is None else count
    name = f"{attempt.flown_as}" if not attempt.entry else f"{attempt.flown_as}, {attempt.entry} entry"
    laps = f", {attempt.laps} laps" if attempt.laps > 1 else ""
    return AttemptView(
        number=attempt.number,
        title=(f"Reversal {attempt.number} of {count}, flown as" if count > 1 else "Flown as") + f" {name}{laps}",
        result=wording.sentence(scores.result)[:-1],
        tone=TONES.get(scores.result, "plain"),
        headline=headline(assessed, findings, effects, unfinished),
        doubts=tuple(wording.sentence(text) for text in assessment.doubts),
        scores=_scores(assessed),
        worst=tuple(reasons[:MOST_REASONS]),
        next_time=_advice(findings, first_remedy(assessed.causes, judgement)),
        seat=seat_moments(assessment, assessed, series),
        findings=findings,
        plan=plan,
        plots=plots,
        bands=bands,
        key=_key(bands),
        cards=tuple(CardView(card.title, card.conditions, card.lines) for card in assessed.cards),
        effects=effects,
        main_cause=effects[0].causes[0][0] if effects and effects[0].causes else "",
        causes_note=causes_note(assessed.causes),
        entry=entry_view(assessment, assessed),
        tables=with_utc(attempt_tables(assessment, assessed, bands), assessment.track.start),
        evidence=attempt.evidence,
        not_assessed=_not_assessed(assessed, unfinished),
        cursor={
            **cursor_data(assessment, series, bands, spans),
            "open_at": _opening(assessed, reasons),
            "judged": _judged_altitudes(assessed),
        },
        ground=ground_features(assessment),
    )


def _unfinished(assessment: Assessment, assessed: AssessedAttempt) -> str:
    """Say why a reversal is not complete; empty where it is."""
    if assessed.attempt.complete:
        return ""
    left_s = float(assessment.motion.time_s[-1]) - assessed.attempt.end_s if len(assessment.motion) else 0.0
    return "the track ends before the reversal does" if left_s < AT_THE_END_S else "the reversal was broken off"


def _judged_altitudes(assessed: AssessedAttempt) -> list[list[float]]:
    """Return moments with the altitude in feet that a finding says of them: the cursor says the same there."""
    return [
        [round(one.at_s, 1), round(one.measured, 2)]
        for one in assessed.judgement.findings
        if one.at_s is not None
        and one.measured is not None
        and one.unit == "ft"
        and one.code in CODES
        and CODES[one.code].subject == "altitude"
    ]


def _opening(assessed: AssessedAttempt, reasons: list[FindingView]) -> float:
    """Return the moment the cursor first shows: the worst finding, else established, else the first passage."""
    moments = [one.at_s for one in reasons if one.at_s is not None]
    established = [moment for moment in assessed.attempt.established_s if moment is not None]
    return round((moments + established[-1:] + [assessed.attempt.first_passage_s])[0], 1)


def phase_bands(phases: tuple[Phase, ...], laps: int) -> tuple[Band, ...]:
    """Phases numbered in the order they were flown."""
    return tuple(
        Band(
            number, phase.name, f"{phase.name}, lap {phase.lap}" if laps > 1 else phase.name, phase.start_s, phase.end_s
        )
        for number, phase in enumerate(phases, 1)
    )


def _key(bands: tuple[Band, ...]) -> tuple[PhaseKey, ...]:
    """Return each phase once, in the order in which they were first flown."""
    names = dict.fromkeys(band.phase for band in bands)
    return tuple(
        PhaseKey(name, tuple((band.letter, band.start_s, band.label) for band in bands if band.phase == name))
        for name in names
    )


def _advice(findings: tuple[FindingView, ...], first: str) -> tuple[str, ...]:
    """Return what to do next time: the remedy of the largest cause, then the advice of the worst findings."""
    advice = [wording.sentence(first)] if first else []
    for one in findings:
        if one.advice and one.advice not in advice and one.severity != "note":
            advice.append(one.advice)
    return tuple(advice[:MOST_ADVICE])


def _scores(assessed: AssessedAttempt) -> tuple[ScoreView, ...]:
    judgement, scores = assessed.judgement, assessed.scores
    containment = TONES.get(judgement.containment, "plain")
    altitude = worst_verdict(judgement.altitudes)
    rows = (
        (
            "containment",
            scores.containment,
            judgement.containment,
            "bad" if assessed.attempt.wrong_side else containment,
            _containment_fact(assessed),
        ),
        ("altitude", scores.altitude, altitude, TONES.get(altitude, "plain"), _altitude_fact(assessed)),
        (
            "intercept",
            scores.intercept,
            judgement.intercept,
            TONES.get(judgement.intercept, "plain"),
            _intercept_fact(assessed),
        ),
        ("timing", scores.timing, judgement.timing, TONES.get(judgement.timing, "plain"), _timing_fact(assessed)),
        ("overall", scores.overall, scores.result, TONES.get(scores.result, "plain"), ""),
    )
    return tuple(_score(assessed, *row) for row in rows)


def _score(assessed: AssessedAttempt, name: str, value: float | None, verdict: str, tone: Tone, fact: str) -> ScoreView:
    taken = tuple(
        f"{wording.number(-each.points)}: {_deduction_words(each)}"
        for each in assessed.scores.deductions
        if each.score == name
    )
    if value is None:
        return ScoreView(name, None, "not assessed", "not assessed", "plain", fact, taken)
    return ScoreView(name, round(value), wording.number(value), verdict, tone, fact, taken)


def _deduction_words(deduction: Deduction) -> str:
    entry = CODES.get(deduction.code)
    return entry.title if entry is not None else deduction.text


def _containment_fact(assessed: AssessedAttempt) -> str:
    measured = assessed.measures.containment
    if "containment" in assessed.withheld:
        return ""
    if measured.margin_m is None:
        return "no edge to keep inside"
    side = "inside" if measured.margin_m >= 0 else "outside"
    edge = AREA_LABELS.get(measured.margin_area or "", "limit")
    if measured.computed:
        edge = "computed area; none is published"
    wrong = ", on the unprotected side" if assessed.attempt.wrong_side else ""
    return f"{wording.miles(abs(measured.margin_m))} {side} the {edge}{wrong}"


def _altitude_fact(assessed: AssessedAttempt) -> str:
    measured = [one for one in assessed.measures.altitudes if one.margin_m is not None]
    if not measured:
        return "no altitude to compare"
    worst = min(measured, key=lambda one: one.margin_m if one.margin_m is not None else 0.0)
    margin = worst.margin_m or 0.0
    low = worst.limit.low_m
    if worst.limit.rule == "at" and abs(margin) < 0.5 * METRES_PER_FOOT and not worst.violations:
        return f"held within its band, {worst.limit.segment}"  # the worst is where the band was entered
    if abs(margin) < 0.5 * METRES_PER_FOOT:
        return f"just at the limit, {worst.limit.segment}"
    if margin >= 0:
        return f"nearest {wording.feet(margin)} inside, {worst.limit.segment}"
    if worst.limit.rule == "at" and low is not None and worst.worst_m is not None:
        off = worst.worst_m - low
        return f"{wording.feet(abs(off))} {'low' if off < 0 else 'high'}, {worst.limit.segment}"
    side = "below" if low is not None and worst.worst_m is not None and worst.worst_m < low else "above"
    return f"{wording.feet(-margin)} {side} the limit, {worst.limit.segment}"


def _intercept_fact(assessed: AssessedAttempt) -> str:
    cut = assessed.measures.intercept
    if "manoeuvre" in assessed.withheld:
        return ""
    if not cut.established:
        near = cut.near is not None and cut.near.established_s is not None
        return "established only near the station" if near else "not established inbound"
    where = f"established {wording.miles(cut.established_at_m, 1)} out" if cut.established_at_m is not None else ""
    angle = f"{wording.degrees(cut.angle_deg)} cut" if cut.angle_deg is not None else ""
    return ", ".join(part for part in (where, angle) if part) or "established"


def _timing_fact(assessed: AssessedAttempt) -> str:
    timing = assessed.measures.timing
    if "manoeuvre" in assessed.withheld:
        return ""
    if timing is None:
        return "no timed leg" if assessed.judgement.timing == "not assessed" else "leg by distance"
    text = f"{timing.leg} {wording.seconds(timing.leg_s)}, charted {wording.seconds(timing.planned_s)}"
    if timing.wind_adjusted_s is None:
        return text
    return f"{text}, in this wind {wording.seconds(timing.wind_adjusted_s)}"


def _not_assessed(assessed: AssessedAttempt, unfinished: str) -> tuple[str, ...]:
    reasons = [wording.sentence(text) for text in assessed.judgement.not_assessed]
    for measure in assessed.measures.altitudes:
        if measure.reason:
            text = wording.sentence(f"altitude, {measure.limit.segment}: {measure.reason}")
            told = any(
                one.startswith("Altitude of ") and measure.limit.segment in one.partition(":")[0] for one in reasons
            )
            if not told and text not in reasons:
                reasons.append(text)
    if unfinished:
        reasons.append(f"{unfinished[0].upper()}{unfinished[1:]}: what comes after its end is not assessed.")
    return tuple(reasons)
