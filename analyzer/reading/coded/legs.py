"""What single legs of an approach mean: names, guidance, altitudes, and the course a reversal comes back on."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from analyzer.given import course_and_distance
from analyzer.reading.coded.records import CodedAltitude, FixReference, Leg, Station
from analyzer.units import METRES_PER_NM, difference_deg

#: first letter of an approach and what it is called; [ARINC 424] 5.7 and 5.10, from memory
_APPROACH_WORDS = {
    "B": "LOC BC",
    "D": "VOR/DME",
    "H": "RNAV (RNP)",
    "I": "ILS",
    "J": "GLS",
    "L": "LOC",
    "N": "NDB",
    "P": "GPS",
    "Q": "NDB/DME",
    "R": "RNAV (GPS)",
    "S": "VOR",
    "T": "TACAN",
    "U": "SDF",
    "V": "VOR",
    "X": "LDA",
}
_GUIDANCE_OF_SECTION = {"PI": "localizer", "D ": "VOR", "DB": "NDB", "PN": "NDB"}
#: altitude rule letters that bound from below with the first altitude; the second then belongs to the glide slope or
#: the vertical path; [ARINC 424] 5.29, from memory
_AT_OR_ABOVE = ("+", "H", "J", "V")
_AT = ("", "@", "G", "I", "X")
#: a fix this near the line of the inbound leg is on it; localizers are wider than this at a procedure turn's fix
_ON_THE_LINE_M = 0.3 * METRES_PER_NM
#: two coded courses of one line differ by rounding and by the change of the meridians along it
_SAME_COURSE_DEG = 2.0
_STRAIGHT = ("CF", "TF")

StationFinder = Callable[[FixReference | None], Station | None]


class NotUsableError(Exception):
    """The records of a reversal don't give a procedure; the text says why."""


@dataclass(frozen=True)
class Inbound:
    """The course a reversal comes back on, what guides it, and the altitude rule at the fix then."""

    course_deg: float
    is_true: bool
    navaid: FixReference | None
    altitude_at_fix: dict[str, Any] | None


def approaches_of(legs: Iterable[Leg]) -> list[list[Leg]]:
    """Return the legs grouped by approach, in the order of the file."""
    groups: dict[str, list[Leg]] = {}
    for leg in legs:
        groups.setdefault(leg.approach, []).append(leg)
    return list(groups.values())


def approach_name(approach: str) -> str:
    """Return the spoken name of a coded approach: "S07" is "VOR 07", "I28-Z" "ILS Z 28"; circling ones stay."""
    word = _APPROACH_WORDS.get(approach[:1])
    if word is None or not approach[1:3].isdigit():
        return approach
    runway, suffix = approach[1:3], approach[3:]
    if suffix[:1] in ("L", "R", "C"):
        runway, suffix = runway + suffix[0], suffix[1:]
    letter = suffix.strip("- ")
    return f"{word} {letter} {runway}" if letter else f"{word} {runway}"


def final_route(approach: Iterable[Leg]) -> list[Leg]:
    """Return the legs of the final route, missed approach and all."""
    return [leg for leg in approach if not leg.in_transition]


def missed_approach_point(route: Iterable[Leg]) -> Leg | None:
    """Return the leg that ends at the missed approach point."""
    return next((leg for leg in route if leg.description[3] == "M" and leg.fix is not None), None)


def guidance_kind(navaid: FixReference | None) -> str:
    """Return what the needle follows: by the section of the station, RNAV without one."""
    return _GUIDANCE_OF_SECTION.get(navaid.section, "RNAV") if navaid is not None else "RNAV"


def altitude_rule(altitude: CodedAltitude | None) -> dict[str, Any] | None:
    """Return an altitude field as a rule of a procedure file; None where it bounds nothing that is known."""
    if altitude is None:
        return None
    first, second = altitude.first_ft, altitude.second_ft
    if altitude.rule == "B" and first is not None and second is not None:
        return {"between": sorted((second, first))}
    if altitude.rule == "C":
        return None if second is None else {"at_or_above": second}
    if first is None:
        return None
    if altitude.rule in _AT_OR_ABOVE:
        return {"at_or_above": first}
    if altitude.rule in ("-", "Y"):
        return {"at_or_below": first}
    return {"at": first} if altitude.rule in _AT else None


def inbound_of(approach: list[Leg], number: int, station: StationFinder) -> Inbound:
    """Return the course that the reversal of a leg comes back on.

    A hold's record holds it. A procedure turn's does not: it is the course of the leg that follows in the transition,
    else of the leg of the final route that ends at the fix, else of the first one that leaves it, else of one whose
    line the fix lies on.

    Raises
    ------
    NotUsableError
        Where no leg gives it.
    """
    leg = approach[number]
    following = _following_in_transition(approach, number)
    route = _before_missed_approach(final_route(approach))
    if leg.path != "PI":
        return _inbound_of_hold(approach, leg, following, route, station)
    if following is not None and following.fix == leg.fix and following.course_deg is not None:
        return _as_inbound(following, following)
    for position, other in enumerate(route):
        if other.fix != leg.fix:
            continue
        if position > 0 and other.course_deg is not None and other.path in _STRAIGHT:
            return _as_inbound(other, other)
        after = route[position + 1] if position + 1 < len(route) else None
        if after is not None and after.course_deg is not None and after.path in _STRAIGHT:
            return _as_inbound(after, other)
        break
    for other in ([following] if following else []) + route:
        if _runs_through(other, leg.fix, station):
            return _as_inbound(other, None)
    raise NotUsableError("no leg of the approach comes back over the fix")


def _following_in_transition(approach: list[Leg], number: int) -> Leg | None:
    leg = approach[number]
    following = approach[number + 1] if number + 1 < len(approach) else None
    if following is None or not following.in_transition or following.transition != leg.transition:
        return None
    return following


def _inbound_of_hold(
    approach: list[Leg], leg: Leg, following: Leg | None, route: list[Leg], station: StationFinder
) -> Inbound:
    if leg.course_deg is None:
        raise NotUsableError("the record of the hold has no inbound course")
    at_fix = None
    if leg.path == "HF":
        at_fixes = ([following] if following else []) + route
        at_fix = next((altitude_rule(other.altitude) for other in at_fixes if other.fix == leg.fix), None)
    navaid = leg.navaid
    if navaid is None and leg.fix is not None and leg.fix.section in _GUIDANCE_OF_SECTION:
        navaid = leg.fix
    if navaid is None:
        for other in approach:
            aligned = other.course_deg is not None and _apart_deg(other.course_deg, leg.course_deg) <= _SAME_COURSE_DEG
            if aligned and _runs_through(other, leg.fix, station):
                navaid = other.navaid
                break
    return Inbound(leg.course_deg, leg.course_is_true, navaid, at_fix)


def _apart_deg(one: float, other: float) -> float:
    return abs(float(difference_deg(one, other)))


def _as_inbound(leg: Leg, at_fix: Leg | None) -> Inbound:
    assert leg.course_deg is not None
    rule = altitude_rule(at_fix.altitude) if at_fix is not None else None
    return Inbound(leg.course_deg, leg.course_is_true, leg.navaid, rule)


def _before_missed_approach(route: list[Leg]) -> list[Leg]:
    for position, leg in enumerate(route):
        if leg.description[2] == "M":
            return route[:position]
    return route


def _runs_through(leg: Leg, reference: FixReference | None, station: StationFinder) -> bool:
    """Return whether the line of a guided leg, carried on both ways, runs through a point."""
    point, end, navaid = station(reference), station(leg.fix), station(leg.navaid)
    if leg.path not in _STRAIGHT or leg.course_deg is None or point is None or end is None or navaid is None:
        return False
    if navaid.variation_deg is None:
        return False
    course = math.radians(leg.course_deg + (0.0 if leg.course_is_true else navaid.variation_deg))
    bearing, distance = course_and_distance(
        end.latitude_deg, end.longitude_deg, point.latitude_deg, point.longitude_deg
    )
    aside_m = float(distance) * math.sin(math.radians(float(bearing)) - course)
    return abs(aside_m) <= _ON_THE_LINE_M
