"""The tables of one attempt: phases, passages, altitudes, containment, intercept and timing, turns, legs, laps."""

from datetime import datetime

from analyzer.judged import (
    EXACT_BAND_M,
    GRADES_REFERENCE,
    AltitudeMeasure,
    AssessedAttempt,
    Assessment,
    LegMeasure,
    asked_correction_deg,
)
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.plan_ground import AREA_LABELS
from analyzer.shown.report.view.tables_of_flight import arc_table, clearance_table, final_table
from analyzer.shown.report.view.values import Band, Cell, TableView, Tone
from analyzer.standards import load_tolerances

TONES: dict[str, Tone] = {
    "to standard": "good",
    "inside": "good",
    "not to standard": "bad",
    "outside": "bad",
    "too close to call": "open",
    "not assessed": "plain",
}


def attempt_tables(assessment: Assessment, assessed: AssessedAttempt, bands: tuple[Band, ...]) -> tuple[TableView, ...]:
    """All tables of one attempt, in the order of the page."""
    tables = [
        _phases(bands),
        _intercept(assessment, assessed),
        _containment(assessed),
        _passages(assessed),
        _altitudes(assessed),
        _turns(assessed),
        _legs(assessment, assessed),
    ]
    if assessed.own:
        tables.insert(4, _own(assessed))
    if assessed.measures.laps and assessment.procedure.is_hold:
        tables.insert(4, _laps(assessed))
    measures, tolerances = assessed.measures, load_tolerances(assessment.options.tolerances)
    if measures.final is not None:
        tables.insert(2, final_table(measures, tolerances))
    if measures.arc is not None:
        tables.insert(1, arc_table(measures.arc, tolerances))
    if measures.cleared is not None:
        tables.insert(1, clearance_table(measures.cleared))
    return tuple(tables)


def with_utc(tables: tuple[TableView, ...], start: datetime | None) -> tuple[TableView, ...]:
    """Return tables with the time of day beside each moment, where the track has one."""
    if start is None:
        return tables
    return tuple(
        table._replace(rows=tuple(tuple(_dated(cell, start) for cell in row) for row in table.rows)) for table in tables
    )


def _dated(cell: Cell, start: datetime) -> Cell:
    return cell if cell.at_s is None else cell._replace(utc=wording.moment(start, cell.at_s))


def verdict_cell(verdict: str) -> Cell:
    """Return a verdict as a cell."""
    return Cell(verdict, TONES.get(verdict, "plain"), is_number=True)


def _num(text: str) -> Cell:
    return Cell(text, is_number=True)


def _jump(at_s: float | None) -> Cell:
    return Cell(wording.clock(at_s), at_s=at_s, is_number=True)


def _phases(bands: tuple[Band, ...]) -> TableView:
    rows = tuple(
        (
            Cell(band.label, phase=band.phase),
            _jump(band.start_s),
            _jump(band.end_s),
            _num(wording.seconds(band.end_s - band.start_s)),
        )
        for band in bands
    )
    return TableView("phases", "Phases", ("phase", "from", "to", "lasted"), rows, "No phases.")


def _passages(assessed: AssessedAttempt) -> TableView:
    rows = tuple(
        (Cell(f"{number}"), _jump(passage.at_s), Cell(passage.direction), _num(wording.miles(passage.distance_m)))
        for number, passage in enumerate(assessed.attempt.passages, 1)
    )
    return TableView("passages", "Passages of the fix", ("passage", "at", "flying", "closest"), rows, "None.")


def altitude_rule(measure: AltitudeMeasure) -> str:
    """Return a limit in words: "at or above 4,600 ft"."""
    limit = measure.limit
    if limit.rule == "at":
        return f"at {wording.feet(limit.low_m)}, within {wording.feet(EXACT_BAND_M)}"
    if limit.rule == "between":
        return f"{wording.feet(limit.low_m)} to {wording.feet(limit.high_m)}"
    return f"{limit.rule} {wording.feet(limit.low_m if limit.low_m is not None else limit.high_m)}"


def _altitude_verdict(measure: AltitudeMeasure, verdict: str) -> str:
    if measure.judged_from_s is not None:
        return f"{verdict}, judged from {wording.clock(measure.judged_from_s)} on: until then on the way to it"
    return f"{verdict}: {measure.reason}" if measure.reason else verdict


def _altitudes(assessed: AssessedAttempt) -> TableView:
    rows = []
    for measure, verdict in zip(assessed.measures.altitudes, assessed.judgement.altitudes, strict=False):
        outside = sum(each.end_s - each.start_s for each in measure.violations)
        rows.append(
            (
                Cell(measure.limit.segment),
                Cell(altitude_rule(measure)),
                _num(wording.feet(measure.worst_m)),
                _num(wording.feet(measure.margin_m, signed=True)),
                _jump(measure.worst_at_s),
                _num(wording.seconds(outside) if measure.violations else wording.NO_VALUE),
                Cell(_altitude_verdict(measure, verdict), TONES.get(verdict, "plain")),
            )
        )
    return TableView(
        "altitudes",
        "Altitudes by segment",
        ("segment", "limit", "worst flown", "margin", "at", "outside for", "verdict"),
        tuple(rows),
        "The procedure file gives no altitudes.",
    )


def _containment(assessed: AssessedAttempt) -> TableView:
    measured = assessed.measures.containment
    rows = [
        (
            Cell(f"outside the {AREA_LABELS.get(one.area, one.area)}"),
            _jump(one.start_s),
            _jump(one.end_s),
            _num(wording.miles(one.max_m)),
            Cell(one.phase, phase=one.phase),
        )
        for one in measured.excursions
    ]
    rows.append(
        (
            Cell("farthest from the fix"),
            _jump(measured.max_distance_at_s),
            Cell(""),
            _num(wording.miles(measured.max_distance_m)),
            Cell(""),
        )
    )
    if measured.margin_m is not None:
        edge = AREA_LABELS.get(measured.margin_area or "", "limit")
        rows.append(
            (
                Cell(f"smallest margin ({'computed, no published area' if measured.computed else edge})"),
                _jump(measured.margin_at_s),
                Cell(""),
                _num(wording.miles(measured.margin_m, signed=True)),
                Cell(f"{assessed.judgement.containment}", TONES.get(assessed.judgement.containment, "plain")),
            )
        )
    note = f"1 sigma of the position: {wording.number(measured.sigma_m)} m."
    return TableView("containment", "Containment", ("what", "from", "to", "distance", ""), tuple(rows), "", note)


def _intercept(assessment: Assessment, assessed: AssessedAttempt) -> TableView:
    cut, judged = assessed.measures.intercept, assessed.judgement
    rows = [
        (Cell("intercept angle"), _num(wording.degrees(cut.angle_deg)), Cell("")),
        (Cell("overshoot of the course"), _num(wording.miles(cut.overshoot_m)), _jump(cut.overshoot_at_s)),
        (
            Cell("crossings of the course"),
            _num(wording.NO_VALUE if cut.crossings is None else str(cut.crossings)),
            Cell(""),
        ),
        (
            Cell("established, distance to the fix"),
            _num(wording.miles(cut.established_at_m, 1) if cut.established else "not established"),
            _jump(cut.established_s),
        ),
        (Cell("needle after that, typical (rms)"), _num(wording.parts_of_scale(cut.rms_deflection)), Cell("")),
        (
            Cell("needle after that, largest"),
            _num(wording.parts_of_scale(cut.max_deflection)),
            _jump(cut.max_deflection_at_s),
        ),
        (
            Cell("largest, as judged: not close to the station"),
            _num(wording.parts_of_scale(cut.steady_deflection)),
            _jump(cut.steady_deflection_at_s),
        ),
        (Cell("verdict on the intercept"), verdict_cell(judged.intercept), Cell("")),
    ]
    if cut.turn_late_s is not None:
        when = "late" if cut.turn_late_s >= 0 else "early"
        shown = f"{wording.seconds(abs(cut.turn_late_s))} {when}"
        rows.insert(2, (Cell("turn onto the course began"), _num(shown), _jump(cut.turn_onto_course_s)))
    timing = assessed.measures.timing
    if timing is not None:
        rows += [
            (Cell(f"timed leg ({timing.leg}), flown"), _num(wording.seconds(timing.leg_s)), _jump(timing.start_s)),
            (Cell("timed leg, planned in still air"), _num(wording.seconds(timing.planned_s)), Cell("")),
            (Cell("timed leg, asked for by the wind"), _num(wording.seconds(timing.wind_adjusted_s)), Cell("")),
            (Cell("verdict on the timing"), verdict_cell(judged.timing), Cell("")),
        ]
    speed = assessed.measures.speed
    if speed is not None:
        kind = {"ias": "indicated", "tas": "true airspeed", "groundspeed": "groundspeed"}[speed.kind]
        rows.append((Cell(f"highest speed ({kind})"), _num(wording.knots(speed.max_mps)), _jump(speed.at_s)))
        if speed.estimated_ias_mps is not None:
            rows.append((Cell("which is, indicated, about"), _num(wording.knots(speed.estimated_ias_mps)), Cell("")))
        rows.append((Cell("verdict on the speed"), verdict_cell(judged.speed), Cell("")))
    return TableView("intercept", "Intercept, timing and speed", ("measure", "value", "at"), tuple(rows))


def _turns(assessed: AssessedAttempt) -> TableView:
    many = assessed.attempt.laps > 1
    rows = tuple(
        (
            Cell(f"{one.phase}, lap {one.lap}" if many else one.phase, phase=one.phase),
            _jump(one.turn.start_s),
            _num(f"{wording.degrees(abs(one.turn.degrees))} {'right' if one.turn.degrees > 0 else 'left'}"),
            _num(f"{wording.number(abs(one.turn.mean_rate_deg_s), 1)}°/s"),
            _num(f"{wording.number(abs(one.turn.max_rate_deg_s), 1)}°/s"),
            _num(wording.degrees(None if one.held_bank is None else one.held_bank.degrees)),
            _num(wording.miles(one.radius_m)),
            Cell(one.turn.method),
        )
        for one in assessed.measures.turns
    )
    heads = ("turn", "from", "through", "mean rate", "highest", "bank", "radius", "measured on")
    note = "Bank: the largest held for 3 s, as recorded, or worked out from rate and true airspeed where that is known."
    return TableView("turns", "Turns", heads, rows, "No turn of 15° or more.", note)


def _legs(assessment: Assessment, assessed: AssessedAttempt) -> TableView:
    magnetic = assessment.procedure.magnetic_deg
    many = assessed.attempt.laps > 1
    rows = tuple(
        (
            Cell(f"{one.phase}, lap {one.lap}" if many else one.phase, phase=one.phase),
            _jump(one.start_s),
            _num(wording.NO_VALUE if one.course_true_deg is None else wording.course(magnetic(one.course_true_deg))),
            _num(wording.course(magnetic(one.track_true_deg))),
            _num(wording.NO_VALUE if one.heading_true_deg is None else wording.course(magnetic(one.heading_true_deg))),
            _num(wording.degrees(_correction_asked(assessed, one), signed=True)),
        )
        for one in assessed.measures.legs
    )
    heads = ("leg", "from", "course", "track made", "heading", "wind asked for")
    note = "Magnetic. A wind correction is positive to the right."
    if assessed.attempt.flown_as in ("hold", "racetrack"):
        note += " Outbound it is what ends the turn inbound on the course; about three times the drift for a minute."
    return TableView("legs", "Straight legs", heads, rows, "No straight leg was measured.", note if rows else "")


def _correction_asked(assessed: AssessedAttempt, leg: LegMeasure) -> float | None:
    """Correction as the findings judge it: on the outbound leg of a circuit the plan's."""
    attempt, drift = assessed.attempt, leg.drift_correction_deg
    circuit = leg.phase == "outbound" and attempt.flown_as in ("hold", "racetrack")
    if leg.course_true_deg is None or not circuit or (leg.lap == 1 and attempt.entry in ("teardrop", "parallel")):
        return drift
    planned = asked_correction_deg(assessed.measures.solved, leg.phase, leg.lap, leg.course_true_deg)
    return drift if planned is None else planned


def _laps(assessed: AssessedAttempt) -> TableView:
    rows = tuple(
        (
            Cell(f"lap {one.lap}"),
            _num(wording.seconds(one.outbound_s)),
            _num(wording.seconds(one.inbound_s)),
            _jump(one.established_s),
        )
        for one in assessed.measures.laps
    )
    return TableView("laps", "Laps", ("lap", "outbound leg", "roll-out to the fix", "established"), rows, "None.")


def _own(assessed: AssessedAttempt) -> TableView:
    rows = tuple(
        (
            Cell(one.item),
            Cell(one.own or "not rated"),
            Cell(one.shown),
            Cell(one.meeting, "open" if one.meeting == "rated higher than shown" else "plain"),
            Cell(one.remark),
        )
        for one in assessed.own
    )
    heads = ("item", "pilot", "flight log", "how they meet", "pilot's remark")
    return TableView("own", "The pilot's own view beside the log's", heads, rows, "", f"Grades: {GRADES_REFERENCE}.")
