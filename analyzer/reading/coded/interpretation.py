"""Reversals of coded approaches: what the legs say together, as a procedure's keys or as a reason why not."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from analyzer.reading.coded.chart_values import chart_values
from analyzer.reading.coded.coded_file import CodedFile, own_stations
from analyzer.reading.coded.legs import (
    NotUsableError,
    altitude_rule,
    approach_name,
    approaches_of,
    final_route,
    guidance_kind,
    inbound_of,
    missed_approach_point,
)
from analyzer.reading.coded.records import FixReference, Leg, Station, leg_of
from analyzer.units import difference_deg, reciprocal_deg, wrap_360

#: holds of a missed approach, which belong to no transition
MISSED_APPROACH = "missed approach"
_REVERSALS = {"PI": "procedure turn", "HF": "hold in lieu", "HA": "holding", "HM": "holding"}


@dataclass(frozen=True)
class CodedReversal:
    """One reversal or hold of a coded approach.

    Parameters
    ----------
    airport, approach, name : str
        "KXYZ", "S07" as coded, "VOR 07" as spoken.
    transition : str
        Identifier of the transition it belongs to, MISSED_APPROACH, or "" for the final route.
    path : str
        "PI", "HF", "HA" or "HM".
    fix : str
        Identifier.
    mapping : dict or None
        Keys of a procedure file; None where the records don't give a procedure.
    refusal : str
        Why there is none; empty otherwise.
    remarks : tuple of str
        What the records say beyond the procedure file's keys, and what they don't say.
    """

    airport: str
    approach: str
    name: str
    transition: str
    path: str
    fix: str
    mapping: dict[str, Any] | None
    refusal: str
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Airport:
    ident: str
    file: CodedFile
    own: dict[tuple[str, str], Station]

    def station(self, reference: FixReference | None) -> Station | None:
        return None if reference is None else self.file.station(reference, self.own)


def reversals_of_airport(file: CodedFile, airport: str) -> list[CodedReversal]:
    """Return all reversals and holds of an airport's approaches in the order of the file."""
    records = file.airport_records(airport)
    legs = [leg_of(line) for line in records if line[4] == "P" and line[12] == "F"]
    place = _Airport(airport, file, own_stations(records))
    found = []
    for approach in approaches_of(leg for leg in legs if leg is not None):
        for number, leg in enumerate(approach):
            if leg.path in _REVERSALS:
                found.append(_reversal(place, approach, number))
    return found


def reversal_rows(file: CodedFile) -> Iterator[list[Any]]:
    """Yield airport, approach, transition, path, fix latitude and longitude, inbound course (true) of each reversal."""
    for airport in file.airports:
        for reversal in reversals_of_airport(file, airport):
            keys = reversal.mapping
            if keys is not None:
                inbound = float(wrap_360(keys["course"]["inbound_deg"] + keys["course"]["variation_deg"]))
                yield [
                    reversal.airport,
                    reversal.approach,
                    reversal.transition,
                    reversal.path,
                    keys["fix"]["latitude"],
                    keys["fix"]["longitude"],
                    round(inbound, 1),
                ]


def _reversal(place: _Airport, approach: list[Leg], number: int) -> CodedReversal:
    leg = approach[number]
    before = [other for other in approach[:number] if _same_route(other, leg)]
    in_missed = any(other.description[2] == "M" for other in before)
    mapping: dict[str, Any] | None = None
    refusal = ""
    remarks: tuple[str, ...] = ()
    try:
        mapping, remarks = _procedure_keys(place, approach, number, before)
    except NotUsableError as error:
        refusal = str(error)
    return CodedReversal(
        place.ident,
        leg.approach,
        approach_name(leg.approach),
        MISSED_APPROACH if in_missed else leg.transition,
        leg.path,
        leg.fix.ident if leg.fix else "",
        mapping,
        refusal,
        remarks,
    )


def _procedure_keys(
    place: _Airport, approach: list[Leg], number: int, before: list[Leg]
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return the keys of a procedure file, and remarks.

    Raises
    ------
    NotUsableError
        With the reason.
    """
    leg = approach[number]
    fix = place.station(leg.fix)
    if fix is None or leg.fix is None:
        raise NotUsableError("the fix has no coordinates in this file")
    inbound = inbound_of(approach, number, place.station)
    kind = guidance_kind(inbound.navaid)
    navaid = place.station(inbound.navaid)
    airport = place.own.get(("PA", ""))
    course: dict[str, Any] = {"inbound_deg": inbound.course_deg}
    course["variation_deg"] = _variation(inbound.is_true, navaid, airport)
    remarks: list[str] = []
    if leg.path == "PI":
        course |= _offset(leg, inbound.course_deg)
    elif leg.turn in ("L", "R"):
        course["turn_side"] = "left" if leg.turn == "L" else "right"
    else:
        raise NotUsableError("the record does not say to which side the hold is turned")
    keys: dict[str, Any] = {
        "title": f"{approach_name(leg.approach)}, {place.ident}, {leg.fix.ident}",
        "reversal": _REVERSALS[leg.path],
        "fix": {
            "ident": leg.fix.ident,
            "latitude": round(fix.latitude_deg, 7),
            "longitude": round(fix.longitude_deg, 7),
        },
        "course": course,
        "guidance": _guidance(kind, navaid, leg.fix, inbound.navaid),
    }
    if fix.elevation_ft is not None and leg.fix.section == "D ":
        keys["fix"]["elevation_ft"] = fix.elevation_ft
    limits = _limits(leg)
    if limits:
        keys["limits"] = limits
    altitudes = _altitudes(leg, before, inbound.altitude_at_fix)
    if altitudes:
        keys["altitudes_ft"] = altitudes
    if kind == "RNAV" and leg.approach[:1] not in "RHPJ":
        remarks.append("The records name no station for this course: RNAV guidance is taken.")
    remarks += _add_end(keys, place, final_route(approach))
    keys |= chart_values(keys, approach, leg, place.station)
    remarks.append("The minimum descent altitude is not coded: enter it from the chart as altitudes_ft.final.")
    return keys, tuple(remarks)


def _variation(is_true: bool, navaid: Station | None, airport: Station | None) -> float:
    if is_true:
        return 0.0
    # a radial is aligned to its station; a course without a station is drawn with the airport's variation
    for station in (navaid, airport):
        if station is not None and station.variation_deg is not None:
            return station.variation_deg
    raise NotUsableError("neither the station nor the airport has a magnetic variation in this file")


def _offset(leg: Leg, inbound_deg: float) -> dict[str, Any]:
    if leg.course_deg is None:
        raise NotUsableError("the record of the procedure turn has no offset course")
    outbound = float(reciprocal_deg(inbound_deg))
    off = float(difference_deg(outbound, leg.course_deg))
    if not 10.0 <= abs(off) <= 90.0:
        raise NotUsableError(
            f"the offset course {leg.course_deg:.0f} lies {abs(off):.0f} degrees from the outbound course "
            f"{outbound:.0f}: the procedure turn goes out on another course than it comes in on"
        )
    side = "right" if off > 0 else "left"
    # the turn letter of the leg is that of the 180 degree turn back, which goes against the offset
    if leg.turn and leg.turn != ("L" if side == "right" else "R"):
        raise NotUsableError(
            f"the turn letter {leg.turn} contradicts an offset course on the {side} of the outbound one"
        )
    return {"turn_side": side, "offset_deg": leg.course_deg}


def _guidance(kind: str, navaid: Station | None, fix: FixReference, reference: FixReference | None) -> dict[str, Any]:
    guidance: dict[str, Any] = {"kind": kind}
    if kind == "RNAV" or navaid is None or reference is None:
        return guidance
    if kind == "localizer" and navaid.width_deg:
        guidance["full_scale_deg"] = round(navaid.width_deg / 2.0, 3)
    if (reference.ident, reference.section) != (fix.ident, fix.section):
        guidance["latitude"] = round(navaid.latitude_deg, 7)
        guidance["longitude"] = round(navaid.longitude_deg, 7)
    return guidance


def _limits(leg: Leg) -> dict[str, Any]:
    limits: dict[str, Any] = {}
    if leg.path == "PI":
        if leg.distance_nm:
            limits["remain_within_nm"] = leg.distance_nm
    elif leg.time_min:
        limits["outbound_min"] = leg.time_min
    elif leg.distance_nm:
        limits["outbound_nm"] = leg.distance_nm
    if leg.speed_limit_kt:
        limits["max_ias_kt"] = leg.speed_limit_kt
    return limits


def _altitudes(leg: Leg, before: list[Leg], at_fix: dict[str, Any] | None) -> dict[str, Any]:
    altitudes: dict[str, Any] = {}
    arriving = [other for other in before if other.fix == leg.fix and other.path != leg.path]
    rules = {
        "arrival": altitude_rule(arriving[-1].altitude) if arriving else None,
        "reversal": altitude_rule(leg.altitude),
        "inbound": at_fix,
    }
    for segment, rule in rules.items():
        if rule is not None:
            altitudes[segment] = rule
    return altitudes


def _add_end(keys: dict[str, Any], place: _Airport, route: list[Leg]) -> list[str]:
    """Add the runway where the missed approach point is its threshold; say where it is otherwise."""
    final_fix = next((leg.fix for leg in route if leg.description[3] == "F"), None)
    said = [f"Final approach fix: {final_fix.ident}."] if final_fix is not None else []
    leg = missed_approach_point(route)
    station = place.station(leg.fix) if leg is not None else None
    if leg is None or leg.fix is None or station is None:
        return [*said, "The missed approach point is not among the records."]
    if leg.fix.section != "PG":
        where = f"{station.latitude_deg:.5f}, {station.longitude_deg:.5f}"
        return [*said, f"Missed approach point: {leg.fix.ident} at {where}."]
    keys["runway"] = {
        "ident": leg.fix.ident.removeprefix("RW"),
        "latitude": round(station.latitude_deg, 7),
        "longitude": round(station.longitude_deg, 7),
    }
    if station.elevation_ft is not None:
        keys["runway"]["elevation_ft"] = station.elevation_ft
    return said


def _same_route(one: Leg, other: Leg) -> bool:
    return (one.route_type, one.transition) == (other.route_type, other.transition)
