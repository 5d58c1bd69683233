"""One attempt gathered for the page: verdict, scores, what was worst, what to do next time, the entry, the cursor."""

from analyzer.flown import Phase
from analyzer.judged import CODES, AssessedAttempt, Assessment, Deduction, Finding, first_remedy
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.causes import causes_note, effect_views
from analyzer.shown.report.view.cursor import cursor_data
from analyzer.shown.report.view.plan import AREA_LABELS, plan_view
from analyzer.shown.report.view.plots import plot_views
from analyzer.shown.report.view.series import series_of
from analyzer.shown.report.view.tables import TONES, attempt_tables
from analyzer.shown.report.view.values import (
    AttemptView,
    Band,
    CardView,
    EntryView,
    FindingView,
    PhaseKey,
    ScoreView,
    Tone,
)
from analyzer.units import METRES_PER_FOOT

SEVERITIES = ("critical", "major", "minor", "note")
MOST_REASONS = 3
MOST_ADVICE = 3
AT_THE_END_S = 10.0  # an unfinished reversal that ends nearer to the track's end than this was cut off by it


def attempt_view(assessment: Assessment, assessed: AssessedAttempt) -> AttemptView:
    """One reversal as the page shows it."""
    attempt, judgement, scores = assessed.attempt, assessed.judgement, assessed.scores
    bands = phase_bands(attempt.phases, attempt.laps)
    series = series_of(assessment, attempt.start_s, attempt.end_s, attempt)
    plan = plan_view(assessment, assessed, series, bands)
    plots = plot_views(assessment, assessed, series, bands)
    findings = tuple(_finding(one, attempt.laps) for one in _in_order(judgement.findings))
    reasons = [one for one in findings if one.severity != "note"]
    effects = effect_views(assessed.causes)
    unfinished = _unfinished(assessment, assessed)
    count = len(assessment.attempts)
    name = f"{attempt.flown_as}" if not attempt.entry else f"{attempt.flown_as}, {attempt.entry} entry"
    laps = f", {attempt.laps} laps" if attempt.laps > 1 else ""
    return AttemptView(
        number=attempt.number,
        title=(f"Reversal {attempt.number} of {count}: " if count > 1 else "") + f"Flown as {name}{laps}",
        result=wording.sentence(scores.result)[:-1],
        tone=TONES.get(scores.result, "plain"),
        headline=_headline(assessed, unfinished),
        doubts=tuple(wording.sentence(text) for text in assessment.doubts),
        scores=_scores(assessed),
        worst=tuple(reasons[:MOST_REASONS]),
        next_time=_advice(findings, first_remedy(assessed.causes, judgement)),
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
        tables=attempt_tables(assessment, assessed, bands),
        evidence=attempt.evidence,
        not_assessed=_not_assessed(assessed, unfinished),
        cursor={**cursor_data(assessment, series, bands), "open_at": _opening(assessed, reasons)},
    )


def _unfinished(assessment: Assessment, assessed: AssessedAttempt) -> str:
    """Say why a reversal is not complete; empty where it is."""
    if assessed.attempt.complete:
        return ""
    left_s = float(assessment.motion.time_s[-1]) - assessed.attempt.end_s if len(assessment.motion) else 0.0
    return "the track ends before the reversal does" if left_s < AT_THE_END_S else "the reversal was broken off"


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
        PhaseKey(name, tuple((band.number, band.start_s, band.label) for band in bands if band.phase == name))
        for name in names
    )


def _in_order(findings: tuple[Finding, ...]) -> list[Finding]:
    """Worst first; of one severity in the order of the judgement."""
    return sorted(findings, key=lambda one: SEVERITIES.index(one.severity))


def _amount(value: float | None, unit: str, *, signed: bool = False) -> str:
    if value is None:
        return ""
    decimals = {"NM": 2, "ft": 0, "s": 0, "kt": 0, "deg": 0, "°": 0, "°/s": 1, "deg/s": 1, "crossings": 0}.get(unit, 2)
    unit = {"deg": "°", "deg/s": "°/s"}.get(unit, unit)
    gap = "" if unit.startswith("°") or not unit else " "
    return f"{wording.number(value, decimals, signed=signed)}{gap}{unit}"


def _finding(one: Finding, laps: int) -> FindingView:
    phase: str = one.phase or ""
    if one.phase and one.lap is not None and laps > 1:
        phase = f"{one.phase}, lap {one.lap}"
    text = wording.sentence(one.text)
    time = wording.clock(one.at_s) if one.at_s is not None else ""
    before, found, after = text.partition(time) if time else (text, "", "")
    return FindingView(
        severity=one.severity,
        text=text,
        before=before if found else text,
        after=after,
        advice=wording.sentence(one.advice),
        reference=one.reference,
        time=time,
        at_s=one.at_s,
        phase=phase,
        measured=_amount(one.measured, one.unit),
        limit=_amount(one.limit, one.unit),
        margin=_amount(one.margin, one.unit, signed=True),
    )


def _advice(findings: tuple[FindingView, ...], first: str) -> tuple[str, ...]:
    """Return what to do next time: the remedy of the largest cause, then the advice of the worst findings."""
    advice = [wording.sentence(first)] if first else []
    for one in findings:
        if one.advice and one.advice not in advice and one.severity != "note":
            advice.append(one.advice)
    return tuple(advice[:MOST_ADVICE])


def _headline(assessed: AssessedAttempt, unfinished: str) -> str:
    """Return the verdict's reason in one sentence."""
    judgement = assessed.judgement
    verdicts = {
        "containment": judgement.containment,
        "altitude": _worst(list(judgement.altitudes)),
        "intercept": judgement.intercept,
        "timing": judgement.timing,
        "speed": judgement.speed,
    }
    bad = [name for name, verdict in verdicts.items() if verdict in ("not to standard", "outside")]
    close = [
        f"altitude ({wording.listed(_doubtful_segments(assessed))})" if name == "altitude" else name
        for name, verdict in verdicts.items()
        if verdict == "too close to call"
    ]
    good = [name for name, verdict in verdicts.items() if verdict in ("to standard", "inside")]
    wrong_side = assessed.attempt.wrong_side and "containment" in good
    if wrong_side:
        good.remove("containment")
    passed = assessed.scores.result == "to standard"
    reason = wording.sentence(assessed.scores.reason)
    if passed:  # a verdict off its tolerance by a minor fault does not fail the flight: say so, not "not to standard"
        lesser = any(one.severity == "minor" for one in judgement.findings)
        reason = "Minor faults only." if lesser else "Nothing beyond its limit."
    parts = []
    if bad:
        parts.append(f"{wording.listed(bad)} {'outside the tolerance' if passed else 'not to standard'}")
    if close:
        parts.append(f"{wording.listed(close)} too close to call")
    if good:
        parts.append(f"{wording.listed(good)} to standard")
    if wrong_side:
        parts.append("inside the areas, but on the unprotected side")
    if unfinished:
        parts.append(unfinished)
    summary = wording.sentence("; ".join(parts)) if parts else "Nothing could be judged."
    return f"{reason} {summary}".strip()


def _doubtful_segments(assessed: AssessedAttempt) -> list[str]:
    pairs = zip(assessed.measures.altitudes, assessed.judgement.altitudes, strict=False)
    return [measure.limit.segment for measure, verdict in pairs if verdict == "too close to call"]


def _worst(verdicts: list[str]) -> str:
    for verdict in ("not to standard", "too close to call", "to standard"):
        if verdict in verdicts:
            return verdict
    return "not assessed"


def _scores(assessed: AssessedAttempt) -> tuple[ScoreView, ...]:
    judgement, scores = assessed.judgement, assessed.scores
    containment = TONES.get(judgement.containment, "plain")
    rows = (
        (
            "containment",
            scores.containment,
            "bad" if assessed.attempt.wrong_side else containment,
            _containment_fact(assessed),
        ),
        ("altitude", scores.altitude, TONES.get(_worst(list(judgement.altitudes)), "plain"), _altitude_fact(assessed)),
        ("intercept", scores.intercept, TONES.get(judgement.intercept, "plain"), _intercept_fact(assessed)),
        ("timing", scores.timing, TONES.get(judgement.timing, "plain"), _timing_fact(assessed)),
        ("overall", scores.overall, TONES.get(scores.result, "plain"), ""),
    )
    return tuple(_score(assessed, *row) for row in rows)


def _score(assessed: AssessedAttempt, name: str, value: float | None, tone: Tone, fact: str) -> ScoreView:
    taken = tuple(
        f"{wording.number(-each.points)} {_deduction_words(each)}"
        for each in assessed.scores.deductions
        if each.score == name
    )
    if value is None:
        return ScoreView(name, None, "not assessed", "plain", fact, taken)
    return ScoreView(name, round(value), wording.number(value), tone, fact, taken)


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
        return "not established inbound"
    where = f"established {wording.miles(cut.established_at_m, 1)} out" if cut.established_at_m is not None else ""
    angle = f"{wording.degrees(cut.angle_deg)} cut" if cut.angle_deg is not None else ""
    return ", ".join(part for part in (where, angle) if part) or "established"


def _timing_fact(assessed: AssessedAttempt) -> str:
    timing = assessed.measures.timing
    if "manoeuvre" in assessed.withheld:
        return ""
    if timing is None:
        return "no timed leg"
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


def entry_view(assessment: Assessment, assessed: AssessedAttempt) -> EntryView | None:
    """Entry sectors with the arrival track, for a hold whose arrival is known."""
    attempt, procedure = assessed.attempt, assessment.procedure
    if not procedure.is_hold or attempt.arrival_track_true_deg is None or attempt.entry_expected is None:
        return None
    flown = attempt.entry or "not recognised"
    near = (
        " The arrival lies within 5° of a sector's edge, where either entry is right."
        if attempt.entry_near_boundary
        else ""
    )
    arrival = wording.course(procedure.magnetic_deg(attempt.arrival_track_true_deg))
    if attempt.entry == attempt.entry_expected:
        words = (
            f"Arriving on {arrival} the sector rule gives a {attempt.entry_expected} entry, and that was flown.{near}"
        )
    else:
        words = f"Arriving on {arrival} the sector rule gives a {attempt.entry_expected} entry; flown: {flown}.{near}"
    return EntryView(
        procedure.inbound_true_deg,
        procedure.turn_side == "right",
        attempt.arrival_track_true_deg,
        flown,
        attempt.entry_expected,
        words,
    )
