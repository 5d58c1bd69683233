"""What a procedure file may say beyond its required keys, in the result file's units; null or empty where it doesn't."""

from typing import TypedDict

from analyzer.given import Place, Procedure
from analyzer.shown.result.rounding import FEET, NAUTICAL_MILES, PLACES, course, number, rounded
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT


class PlaceResult(TypedDict):
    """A point: degrees WGS 84, elevation in feet above mean sea level."""

    ident: str | None
    latitude: float
    longitude: float
    elevation_ft: float | None


class DistanceLimitResult(TypedDict):
    """A limit by the distance from a station."""

    dme_nm: float | None
    station: PlaceResult


class StepResult(TypedDict):
    """A step-down fix, by its distance from a place."""

    ident: str | None
    distance_nm: float | None
    origin: PlaceResult
    at_or_above_ft: float | None


class MissedApproachResult(TypedDict):
    """Where the approach ends: before the threshold, or after a time from the final fix."""

    at_nm: float | None
    at_min: float | None
    groundspeed_kt: float | None
    climb_to_ft: float | None


class ArcResult(TypedDict):
    """An arc that leads to the fix, from one radial of its station to another, degrees magnetic."""

    station: PlaceResult
    radius_nm: float | None
    from_deg: float
    to_deg: float


class ChartedResult(TypedDict):
    """The optional tables; `no_reversal_from` holds sectors of arrival courses, degrees magnetic, clockwise."""

    outbound_limit: DistanceLimitResult | None
    no_reversal_from: list[list[float]]
    steps: list[StepResult]
    final_fix: PlaceResult | None
    missed_approach: MissedApproachResult | None
    arc: ArcResult | None


def place_result(place: Place) -> PlaceResult:
    """Return a point as the result file has it."""
    return {
        "ident": place.ident,
        "latitude": rounded(place.latitude_deg, PLACES),
        "longitude": rounded(place.longitude_deg, PLACES),
        "elevation_ft": number(place.elevation_m, METRES_PER_FOOT, FEET),
    }


def charted_result(procedure: Procedure) -> ChartedResult:
    """Return the optional tables of a procedure."""

    def magnetic(true_deg: float) -> float:
        return course(procedure.magnetic_deg(true_deg))

    limit, missed, arc = procedure.outbound_limit, procedure.missed_approach, procedure.arc
    return {
        "outbound_limit": None
        if limit is None
        else {"dme_nm": _miles(limit.distance_m), "station": place_result(limit.station)},
        "no_reversal_from": [[magnetic(first), magnetic(last)] for first, last in procedure.no_reversal_from],
        "steps": [
            {
                "ident": step.ident,
                "distance_nm": _miles(step.distance_m),
                "origin": place_result(step.origin),
                "at_or_above_ft": number(step.low_m, METRES_PER_FOOT, FEET),
            }
            for step in procedure.steps
        ],
        "final_fix": None if procedure.final_fix is None else place_result(procedure.final_fix),
        "missed_approach": None
        if missed is None
        else {
            "at_nm": _miles(missed.before_runway_m),
            "at_min": number(missed.after_s, 60.0, 3),
            "groundspeed_kt": number(missed.groundspeed_mps, MPS_PER_KNOT, 2),
            "climb_to_ft": number(missed.climb_to_m, METRES_PER_FOOT, FEET),
        },
        "arc": None
        if arc is None
        else {
            "station": place_result(arc.station),
            "radius_nm": _miles(arc.radius_m),
            "from_deg": magnetic(arc.from_true_deg),
            "to_deg": magnetic(arc.to_true_deg),
        },
    }


def _miles(metres: float | None) -> float | None:
    return number(metres, METRES_PER_NM, NAUTICAL_MILES)
