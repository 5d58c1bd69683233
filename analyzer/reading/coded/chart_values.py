"""What coded records hold of a chart beyond the reversal: step-down fixes, the final fix, the missed approach, NoPT."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from analyzer.given import course_and_distance
from analyzer.reading.coded.legs import StationFinder, altitude_rule, final_route, missed_approach_point
from analyzer.reading.coded.records import Leg, Station
from analyzer.units import METRES_PER_NM, difference_deg, wrap_360

#: a fix farther off the inbound course than this is on another line, as before a turn at the final fix (own choice)
_ON_THE_COURSE_DEG = 20.0
#: nearer to the reversal's fix than this it is that fix (own choice)
_SAME_FIX_NM = 0.1
#: an arrival on the course of a transition that has no reversal, drawn to the whole degree and flown to a few
_SECTOR_DEG = 5.0
_REVERSALS = ("PI", "HF")
_LOW = ("at_or_above", "at")


def chart_values(keys: dict[str, Any], approach: Sequence[Leg], leg: Leg, station: StationFinder) -> dict[str, Any]:
    """Return `step`, `final_fix`, `missed_approach` and `no_reversal_from` of a procedure file, those that are coded.

    Parameters
    ----------
    keys : dict
        Of the procedure so far: fix, course, runway.
    approach : sequence of Leg
    leg : Leg
        The reversal's.
    station : function
        Finds a fix.
    """
    fix = station(leg.fix)
    if fix is None or leg.path not in _REVERSALS:  # a hold of a missed approach has no final
        return {}
    route = final_route(approach)
    found: dict[str, Any] = {}
    sectors = _no_reversal_from(keys, approach, leg, fix, station)
    if sectors:
        found["no_reversal_from"] = sectors
    before, missed = _parts(route)
    steps = _steps(keys, before, fix, station)
    if steps:
        found["step"] = steps
    final_fix = next((one for one in before if one.description[3] == "F"), None)
    place = None if final_fix is None else station(final_fix.fix)
    if final_fix is not None and final_fix.fix is not None and place is not None and final_fix.fix != leg.fix:
        found["final_fix"] = {"ident": final_fix.fix.ident} | _place(place)
    if "runway" in keys and missed_approach_point(route) is not None:
        found["missed_approach"] = {"at_nm": 0} | _climb(missed)
    return found


def _parts(route: Sequence[Leg]) -> tuple[list[Leg], list[Leg]]:
    """Return the legs up to the missed approach point, without it, and those after it."""
    for position, leg in enumerate(route):
        if leg.description[3] == "M":
            return list(route[:position]), list(route[position + 1 :])
    return list(route), []


def _place(station: Station) -> dict[str, float]:
    return {"latitude": round(station.latitude_deg, 7), "longitude": round(station.longitude_deg, 7)}


def _bearing_nm(one: Station, other: Station) -> tuple[float, float]:
    bearing, metres = course_and_distance(one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)
    return float(bearing), float(metres) / METRES_PER_NM


def _steps(keys: dict[str, Any], before: Sequence[Leg], fix: Station, station: StationFinder) -> list[dict[str, Any]]:
    """Return the fixes on the final course past the reversal's fix with a lower limit, in the order of flight."""
    inbound_true = float(wrap_360(keys["course"]["inbound_deg"] + keys["course"]["variation_deg"]))
    steps: dict[str, dict[str, Any]] = {}
    for leg in before:
        place, rule = station(leg.fix), altitude_rule(leg.altitude) or {}
        low = next((rule[key] for key in _LOW if key in rule), None)
        if place is None or leg.fix is None or low is None:
            continue
        bearing, distance_nm = _bearing_nm(fix, place)
        ahead = abs(float(difference_deg(inbound_true, bearing))) <= _ON_THE_COURSE_DEG
        if distance_nm > _SAME_FIX_NM and ahead:
            step = {"ident": leg.fix.ident, "distance_nm": round(distance_nm, 2), "from": "fix", "at_or_above": low}
            steps.setdefault(leg.fix.ident, step)
    return sorted(steps.values(), key=lambda step: float(step["distance_nm"]))


def _climb(missed: Sequence[Leg]) -> dict[str, int]:
    """Return the last altitude of the missed approach, that of its hold where it has one."""
    altitudes = [
        leg.altitude.first_ft for leg in missed if leg.altitude is not None and leg.altitude.first_ft is not None
    ]
    return {"climb_to_ft": altitudes[-1]} if altitudes else {}


def _no_reversal_from(
    keys: dict[str, Any], approach: Sequence[Leg], leg: Leg, fix: Station, station: StationFinder
) -> list[list[float]]:
    """Return the arrival courses, magnetic, of transitions that come over the fix without a reversal: "NoPT"."""
    variation = float(keys["course"]["variation_deg"])
    transitions: dict[str, list[Leg]] = {}
    for one in approach:
        if one.in_transition:
            transitions.setdefault(one.transition, []).append(one)
    courses = set()
    for legs in transitions.values():
        if any(one.path in _REVERSALS for one in legs):
            continue
        for before, one in pairwise(legs):
            origin = station(before.fix)
            if one.fix == leg.fix and one.path in ("TF", "CF", "DF") and origin is not None and before.fix != leg.fix:
                courses.add(round(float(wrap_360(_bearing_nm(origin, fix)[0] - variation))) % 360)
    return [[float((course - _SECTOR_DEG) % 360), float((course + _SECTOR_DEG) % 360)] for course in sorted(courses)]
