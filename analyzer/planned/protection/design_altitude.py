"""The remain-within distance from the fix, which must not be exceeded, as an area."""

from shapely import Point

from analyzer.given import Procedure
from analyzer.planned.protection.area import Area
from analyzer.units import METRES_PER_NM

#: segments in a quarter of a circle: the chord of the largest circle here (15 NM) lies 0.5 m inside the arc
QUARTER_SEGMENTS = 180


def distance_limit(procedure: Procedure) -> Area | None:
    """Disc of the "remain within" distance about the fix, or None where the procedure has no such limit."""
    if procedure.remain_within_m is None:
        return None
    charted = "limits.remain_within_nm" not in procedure.defaults
    return Area(
        "distance limit",
        Point(0.0, 0.0).buffer(procedure.remain_within_m, quad_segs=QUARTER_SEGMENTS),
        "procedure",
        _distance_reference(procedure, charted=charted),
        "read" if charted else "common practice",
        f"Circle of {procedure.remain_within_m / METRES_PER_NM:g} NM about the fix"
        + ("." if charted else "; the procedure file gives no distance, this is the default."),
    )


def _distance_reference(procedure: Procedure, *, charted: bool) -> str:
    """Return what the distance rests on: the chart's note and the rule that makes it binding, or the usual distance."""
    if procedure.criteria != "US":
        return "chart note" if charted else "usual distance, common practice"
    return "chart note; AIM 5-4-9 a" if charted else "usual distance, AIM 5-4-9 a3"


def design_altitude_m(procedure: Procedure) -> float | None:
    """Return the higher of the reversal's and the arrival's charted altitude, or None where neither is given.

    The US band is said to go by the higher of the altitude at which the turn is completed and the highest feeder
    altitude (second hand); ICAO areas are designed for "the specified altitude". A minimum, an exact altitude and the
    upper end of a block count alike.
    """
    charted = []
    for segment in ("reversal", "arrival"):
        limit = next((one for one in procedure.altitudes if one.segment == segment), None)
        if limit is not None and limit.low_m is not None:
            charted.append(limit.high_m if limit.rule == "between" and limit.high_m is not None else limit.low_m)
        elif limit is not None and limit.high_m is not None:
            charted.append(limit.high_m)
    return max(charted) if charted else None
