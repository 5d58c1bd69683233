"""Flies the plan of a card as a pilot would: headings to a degree, times to a second, then the course tracked."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tests.independent.aircraft import FOOT, NAUTICAL_MILE, Line, bank_for_rate_deg, wrap
from tests.independent.cockpit import Cockpit, Until, passed, started
from tests.independent.flights import Flight, descend_when_established, end_of_flight, level_ft
from tests.independent.procedures import Asked

STATION_FT = 1900.0
TURNS = ("outbound turn", "offset turn", "reversal turn", "intercept")


@dataclass(frozen=True)
class RollOut:
    """Where a lap's last turn ended and where the card says it does, miles out along the course and right of it."""

    lap: int
    flown: tuple[float, float]
    planned: tuple[float, float]

    @property
    def off_nm(self) -> float:
        return math.hypot(self.flown[0] - self.planned[0], self.flown[1] - self.planned[1])


@dataclass(frozen=True)
class FlownCard:
    """A card flown: the record, and each lap's roll-out."""

    cockpit: Cockpit
    roll_outs: tuple[RollOut, ...]

    @property
    def off_nm(self) -> float:
        return max((one.off_nm for one in self.roll_outs), default=0.0)


def fly_card(plan: Mapping[str, Any], flight: Flight) -> FlownCard:
    """Fly a plan in the air and at the altitudes of the flight that it was made for, and the approach after it."""
    procedure = flight.asked
    charted = procedure.charted
    track = plan["start"]["track_true_deg"]
    over = Line(charted.outbound.course_deg if track is None else track)
    c = started(over, -flight.start_nm, 0.0, level_ft(flight, procedure, "arrival"), flight.tas_kt, flight.air)
    c.track(over, passed(over), name="arrival")
    c.mark("fix outbound")
    c.descend(level_ft(flight, procedure, "reversal"), flight.fpm)
    legs = list(plan["legs"])
    last_lap = legs[-1]["lap"]
    roll_outs: list[RollOut] = []
    for number, leg in enumerate(legs):
        if leg["lap"] == last_lap and "watched" not in c.marks:
            c.mark("watched")
            descend_when_established(c, flight, procedure)
        if leg["kind"] == "turn":
            _turn(c, leg)
            continue
        if leg["to_fix"]:
            roll_outs.append(_roll_out(c, plan, leg["lap"], procedure))
        _straight(c, leg, procedure)
        if leg["to_fix"]:
            c.mark("lap end" if number + 1 < len(legs) else "fix inbound")
    end_of_flight(c, flight, procedure)
    return FlownCard(c, tuple(roll_outs))


def _turn(c: Cockpit, leg: Mapping[str, Any]) -> None:
    side = 1 if leg["turn"] == "right" else -1
    bank = min(bank_for_rate_deg(leg["rate_deg_s"], c.base_tas_kt), leg["bank_deg"])
    onto = round(leg["to_heading_magnetic_deg"]) - leg["to_heading_magnetic_deg"] + leg["to_heading_true_deg"]
    left = (side * (onto - c.aircraft.heading_deg)) % 360.0
    # a turn that has all but ended before it began is none, and one of almost a circle more is not meant
    degrees = leg["degrees"] + wrap(left - leg["degrees"])
    c.mark("turn start")
    if degrees > 0.5:
        c.turn(side, degrees=degrees, bank_deg=bank, name=leg["phase"])
    c.mark("turn end")


def _straight(c: Cockpit, leg: Mapping[str, Any], procedure: Asked) -> None:
    charted = procedure.charted
    until = _end(c, leg, procedure)
    if leg["track"]:
        line = charted.inbound if leg["phase"] in ("inbound", "intercept") else charted.outbound
        c.track(line, until, name=leg["phase"], station=charted.station)
        return
    heading = round(leg["heading_magnetic_deg"]) - leg["heading_magnetic_deg"] + leg["heading_true_deg"]
    if "abeam" in (leg["clock_from"] or "") and leg["time_s"] is not None:
        outbound = Line((charted.inbound_deg + 180.0) % 360.0)
        if outbound.past_m(c.aircraft) < 0.0:
            c.hold(heading, passed(outbound), name="to abeam")
        c.hold(heading, max(round(leg["time_s"]), 0.0), name=leg["phase"])
        return
    c.hold(heading, until, name=leg["phase"])


def _end(c: Cockpit, leg: Mapping[str, Any], procedure: Asked) -> Until:
    charted = procedure.charted
    if leg["time_s"] is not None:
        since = {"fix": "fix outbound", "wings level": "turn end", "turn start": "turn start"}
        start = c.marks.get(since.get(leg["clock_from"], ""), c.time_s)
        end = start + round(leg["time_s"])
        return lambda k: k.time_s >= end - 0.05
    if leg["to_dme_nm"] is not None:
        station = charted.station if leg["dme_of"] == "station" and charted.station is not None else (0.0, 0.0)
        return lambda k: _dme_nm(k, station) >= leg["to_dme_nm"]
    if leg["to_along_nm"] is not None:
        return passed(Line((charted.inbound_deg + 180.0) % 360.0), leg["to_along_nm"])
    if leg["to_course"]:
        lead_m = (leg["lead_nm"] or 0.0) * NAUTICAL_MILE
        side = math.copysign(1.0, charted.inbound.right_m(c.aircraft))
        return lambda k: side * charted.inbound.right_m(k.aircraft) <= lead_m
    return passed(charted.inbound)


def _dme_nm(c: Cockpit, station: tuple[float, float]) -> float:
    """Slant distance that the instrument shows."""
    return math.hypot(c.distance_m(station), (c.aircraft.altitude_ft - STATION_FT) * FOOT) / NAUTICAL_MILE


def _roll_out(c: Cockpit, plan: Mapping[str, Any], lap: int, procedure: Asked) -> RollOut:
    inbound = procedure.charted.inbound
    flown = (-inbound.past_m(c.aircraft) / NAUTICAL_MILE, inbound.right_m(c.aircraft) / NAUTICAL_MILE)
    planned = next((one for one in plan["roll_outs"] if one["lap"] == lap), plan["roll_out"])
    return RollOut(lap, flown, (planned["along_nm"], planned["cross_nm"]))


def other_side_nm(card: FlownCard, procedure: Asked) -> float:
    """Deepest excursion on the side of the inbound course that is not held or manoeuvred on, from the turn back on."""
    charted = procedure.charted
    hold = procedure.content["reversal"] in ("hold in lieu", "holding")
    inside = charted.side if hold else -charted.side  # right of the inbound course is +1
    c = card.cockpit
    start, end = c.marks.get("reversal turn start", 0.0), c.marks["fix inbound"]
    if "lap end" in c.marks:
        start = min(start, c.marks["lap end"])
    line = charted.inbound
    worst = 0.0
    for moment in c.moments:
        if start <= moment.time_s <= end:
            worst = max(worst, -inside * line.right_of(moment.east_m, moment.north_m))
    return worst / NAUTICAL_MILE
