"""From an assessment to the page's plain strings and short number lists: rounding and units for people happen here."""

from datetime import datetime

import numpy as np

from analyzer.judged import Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.attempt import attempt_view
from analyzer.shown.report.view.cursor import cursor_data
from analyzer.shown.report.view.ground import ground_features
from analyzer.shown.report.view.plan import plan_view
from analyzer.shown.report.view.plots import plot_views
from analyzer.shown.report.view.procedure import procedure_table
from analyzer.shown.report.view.series import series_of
from analyzer.shown.report.view.sources import CAUTIONS, methods, source_table
from analyzer.shown.report.view.values import AttemptView, Cell, ReportView, TableView
from analyzer.units import MPS_PER_KNOT
from analyzer.version import __version__

NOTHING_FOUND = "No course reversal was found in this track, so there is nothing to judge."


def report_view(assessment: Assessment, made_at: datetime | None = None) -> ReportView:
    """Everything the page shows, as frozen plain values.

    Parameters
    ----------
    assessment : Assessment
    made_at : datetime, optional
        The moment the page says it was made; left out where None, so that the same flight gives the same page.
    """
    procedure, track = assessment.procedure, assessment.track
    attempts = tuple(attempt_view(assessment, one) for one in assessment.attempts) or (_flight_alone(assessment),)
    title = assessment.options.title or procedure.title
    return ReportView(
        title=f"{title} · {track.name} · debrief",
        procedure=title,
        flight=track.name,
        facts=_facts(assessment),
        attempts=attempts,
        procedure_table=procedure_table(procedure),
        wind=_wind(assessment),
        quality=quality_lines(assessment),
        methods=methods(assessment),
        sources=source_table(assessment),
        areas=areas_table(assessment),
        cautions=CAUTIONS,
        made=_made(made_at),
    )


def _facts(assessment: Assessment) -> tuple[tuple[str, str], ...]:
    track, procedure = assessment.track, assessment.procedure
    facts = [("procedure", f"{procedure.reversal}, {procedure.guidance.kind}")]
    if track.start is not None:
        facts.append(("flown", f"{track.start:%d %b %Y}, from {wording.moment(track.start, 0.0)}"))
    facts.append(("recorded", wording.lasting(track.duration_s)))
    facts.append(("inbound", f"{wording.course(procedure.inbound_magnetic_deg)} magnetic"))
    if assessment.wind is not None:
        wind = assessment.wind
        magnetic = wording.course(procedure.magnetic_deg(wind.from_deg_true))
        from_true = wording.course(wind.from_deg_true)
        facts.append(("wind", f"{from_true} true, {magnetic} magnetic, {wording.knots(wind.speed_mps)}"))
    else:
        facts.append(("wind", "not known"))
    return tuple(facts)


def _made(made_at: datetime | None) -> str:
    version = f"Reversal Debrief {__version__}"
    return f"{version}, made {made_at:%d %b %Y %H:%M %Z}".rstrip() if made_at is not None else version


def _flight_alone(assessment: Assessment) -> AttemptView:
    """Return the track drawn without a reversal."""
    end = float(assessment.motion.time_s[-1]) if len(assessment.motion) else 0.0
    series = series_of(assessment, 0.0, end, None)
    why = next((note.text for note in assessment.notes if "revers" in note.code or "revers" in note.text.lower()), "")
    missing = next((note.text for note in assessment.notes if note.code == "reversal-missing"), "")
    right = next((note.text for note in assessment.notes if note.code == "no-reversal-right"), "")
    return AttemptView(
        number=0,
        title="No course reversal in this track",
        result="Required reversal not flown" if missing else "No reversal: right" if right else "Not assessed",
        tone="bad" if missing else "good" if right else "plain",
        doubts=tuple(wording.sentence(text) for text in assessment.doubts),
        headline=" ".join(wording.sentence(text) for text in dict.fromkeys((missing, right, why)) if text)
        or NOTHING_FOUND,
        scores=(),
        worst=(),
        next_time=(),
        seat=(),
        findings=(),
        plan=plan_view(assessment, None, series, ()),
        plots=plot_views(assessment, None, series, ()),
        bands=(),
        key=(),
        cards=(),
        effects=(),
        main_cause="",
        causes_note="",
        entry=None,
        tables=(),
        evidence=(),
        not_assessed=("The way in was not judged: only reversals are.",) if right else (NOTHING_FOUND,),
        cursor={**cursor_data(assessment, series, ()), "judged": []},
        ground=ground_features(assessment),
    )


def _wind(assessment: Assessment) -> tuple[str, ...]:
    wind = assessment.wind
    if wind is None:
        return (wording.sentence(f"not known: {assessment.wind_reason or 'the track does not tell'}"),)
    magnetic = wording.course(assessment.procedure.magnetic_deg(wind.from_deg_true))
    lines = [
        f"From {wording.course(wind.from_deg_true)} true ({magnetic} magnetic) at {wording.knots(wind.speed_mps)}.",
        wording.sentence(f"How it is known: {wind.method}"),
    ]
    if wind.tas_mps is not None:
        lines.insert(1, f"True airspeed {wording.knots(wind.tas_mps)}.")
    if wind.covariance is not None:
        east, cross, _, north, _, tas = wind.covariance
        unit = np.array([wind.east_mps, wind.north_mps]) / max(wind.speed_mps, 0.1)
        matrix = np.array([[east, cross], [cross, north]])
        speed = float(np.sqrt(max(0.0, unit @ matrix @ unit)))
        across = np.array([-unit[1], unit[0]])
        aside = float(np.sqrt(max(0.0, across @ matrix @ across)))
        angle = float(np.degrees(np.arctan2(aside, max(wind.speed_mps, 0.1))))
        text = f"1 sigma: direction {wording.degrees(angle)}, speed {wording.number(speed / MPS_PER_KNOT, 1)} kt"
        if tas > 0:
            text += f", airspeed {wording.number(float(np.sqrt(tas)) / MPS_PER_KNOT, 1)} kt"
        lines.append(text + ".")
    return tuple(lines)


def quality_lines(assessment: Assessment) -> tuple[str, ...]:
    """Return what is said of the recording."""
    track = assessment.track
    interval = f", one about every {wording.number(track.median_interval_s, 1)} s" if len(track) > 1 else ""
    lines = [f"{wording.number(len(track))} positions{interval}."]
    if track.columns_used:
        lines.append(f"Columns used: {', '.join(track.columns_used)}.")
    if assessment.altitude is not None:
        lines.append(wording.sentence(f"Altitudes: {assessment.altitude.kind}. {assessment.altitude.note}"))
    else:
        lines.append("The track has no altitudes.")
    lines.append(f"Scatter of the recorded positions: {wording.number(assessment.motion.scatter_m, 1)} m (1 sigma).")
    for note in (*track.quality, *assessment.notes):
        text = wording.sentence(note.text)
        if text not in lines:
            lines.append(text)
    return tuple(lines)


def areas_table(assessment: Assessment) -> TableView:
    """Return the protected areas with their sources."""
    rows = tuple(
        (Cell(area.name), Cell(area.criteria), Cell(area.reference), Cell(area.status), Cell(area.note))
        for area in assessment.protection
    )
    return TableView(
        "areas",
        "Protected areas as drawn",
        ("area", "criteria", "source", "how well known", "note"),
        rows,
        "No protected area can be drawn for this procedure with what is known; the debrief judges the rest.",
    )
