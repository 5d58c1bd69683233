"""What the pilot saw at the key moments: the needle, or the pointer to an NDB, as it stood before the eyes."""

import numpy as np

from analyzer.judged import AssessedAttempt, Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.plan_wind import heading_true_deg
from analyzer.shown.report.view.series import Series
from analyzer.shown.report.view.values import SeatMoment
from analyzer.units import FloatArray, wrap_360


def seat_moments(assessment: Assessment, assessed: AssessedAttempt, series: Series) -> tuple[SeatMoment, ...]:
    """Return the key moments of the last circuit: turns outbound and inbound, roll-out, established, the fix."""
    attempt = assessed.attempt
    turns = {name: turn for name, lap, turn in attempt.turns if lap == attempt.laps}
    back = turns.get("reversal turn")
    out = next((turns[name] for name in ("offset turn", "outbound turn") if name in turns), None)
    established = attempt.established_s[-1] if attempt.established_s else None
    moments: list[tuple[str, float | None]] = [
        ("turn outbound", None if out is None else out.start_s),
        ("turn inbound", None if back is None else back.start_s),
        ("roll-out", None if back is None else back.end_s),
        ("established", established),
        ("at the fix", attempt.last_inbound_passage_s),
    ]
    known = [(title, at_s) for title, at_s in moments if at_s is not None]
    known.sort(key=lambda each: each[1])
    return tuple(_seen(assessment, series, title, at_s) for title, at_s in known)


def _seen(assessment: Assessment, series: Series, title: str, at_s: float) -> SeatMoment:
    index = int(np.argmin(np.abs(series.time_s - at_s)))
    time = wording.clock(at_s)
    if assessment.procedure.guidance.kind == "NDB":
        pointer = float(relative_bearings_deg(assessment, series)[index])
        if series.in_cone[index] or not np.isfinite(pointer):
            words = "over the station" if series.in_cone[index] else "heading not known"
            return SeatMoment(title, time, at_s, None, None, words)
        side = "right" if pointer < 180.0 else "left"
        off = min(pointer, 360.0 - pointer)
        words = "ahead" if off < 1.5 else "behind" if off > 178.5 else f"{wording.degrees(off)} to the {side}"
        return SeatMoment(title, time, at_s, None, pointer, words)
    value = float(series.deflection[index])
    if not np.isfinite(value):
        return SeatMoment(title, time, at_s, None, None, "over the station")
    share = round(abs(value) * 100.0)
    side = "left" if value > 0 else "right"
    words = "on course" if share < 3 else f"{'full' if share > 100 else f'{share} %'}, course to the {side}"
    return SeatMoment(title, time, at_s, value, None, words)


def relative_bearings_deg(assessment: Assessment, series: Series) -> FloatArray:
    """Return the direction of the station off the nose, degrees from 0 to 360, shape (n,).

    Without a wind all are nan, as the heading is then not known; so are those inside the station's cone.
    """
    if assessment.wind is None:
        return np.full(series.time_s.shape, np.nan)
    station = assessment.procedure.guidance.station
    east, north = assessment.frame.east_north_m(station.latitude_deg, station.longitude_deg)
    bearing = np.degrees(np.arctan2(float(east) - series.east_m, float(north) - series.north_m))
    off_nose = wrap_360(bearing - heading_true_deg(series, assessment.wind))
    return np.where(series.in_cone, np.nan, off_nose)
