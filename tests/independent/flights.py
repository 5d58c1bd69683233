"""Whole flights over a procedure: arrival, reversal, approach and its end, with what a case changes of them."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from tests.independent.aircraft import Air, Line
from tests.independent.cockpit import Cockpit, started
from tests.independent.endings import land, miss, steady_descent, stop_at
from tests.independent.pilot import MACHINE, Pilot
from tests.independent.procedures import RUNWAY_FT, RUNWAY_NM, Asked, asked
from tests.independent.reversals import (
    arrive,
    eighty_two_sixty,
    enter_hold,
    expected_entry,
    go_outbound,
    hold_circuit,
    is_established,
    procedure_turn,
    racetrack,
    teardrop,
    to_the_fix,
)

STILL = Air()
Hook = Callable[[Cockpit, Asked], None]
Method = Literal["45/180", "80/260", "racetrack", "teardrop", "hold"]
METHODS: dict[str, Method] = {
    "procedure turn": "45/180",
    "teardrop": "teardrop",
    "hold in lieu": "hold",
    "holding": "hold",
}


@dataclass(frozen=True)
class Flight:
    """One flight: what is asked, the air, the pilot, and what is flown; the defaults are right.

    `arrival_deg` is the true course over the fix (None: the outbound course); `outbound_nm` where a procedure turn
    leaves its outbound course, `offset_nm` how far right of that course it is tracked, `outbound_off_deg` by how much
    its radial is missed; `leg_s`, `leg_nm` the timed leg
    or a leg by distance (None: what the wind asks for, or the chart), `from_turn` whether its clock starts with the
    turn; `laps` circuits of a hold after the entry, `lap_s` the outbound time of each; `levels_ft` the altitude of each
    segment (default: its minimum and `above_ft`); `wait_s` the time from established to the descent; `ending` after the
    inbound passage; `hooks` are called before the flight begins and may set watches.
    """

    kind: str
    air: Air = STILL
    tas_kt: float = 100.0
    pilot: Pilot = MACHINE
    seed: int = 1
    changes: dict[str, object] = field(default_factory=dict)
    method: Method | None = None
    arrival_deg: float | None = None
    start_nm: float = 5.0
    outbound_nm: float = 3.0
    offset_nm: float = 0.0
    leg_s: float | None = None
    leg_nm: float | None = None
    from_turn: bool = False
    degrees: float = 180.0
    heading_off_deg: float = 0.0
    wrong_side: bool = False
    entry: str | None = None
    laps: int = 0
    lap_s: tuple[float, ...] = ()
    bank_deg: float | None = None
    knows_wind: bool = True
    above_ft: float = 60.0
    levels_ft: dict[str, float] = field(default_factory=dict)
    wait_s: float = 5.0
    fpm: float = 600.0
    final_fpm: float = 700.0
    inbound_offset_nm: float = 0.0
    ending: Literal["land", "miss", "stop", "descent", "none"] = "land"
    stop_nm: float = 1.5
    slope_ft_nm: float = 318.0
    outbound_off_deg: float = 0.0
    hooks: tuple[Hook, ...] = ()

    @property
    def asked(self) -> Asked:
        return asked(self.kind, **self.changes)


def level_ft(flight: Flight, procedure: Asked, segment: str) -> float:
    """Altitude flown in a segment."""
    if segment in flight.levels_ft:
        return flight.levels_ft[segment]
    held = procedure.content["altitudes_ft"].get("reversal", {}).get("at")
    if held is not None and segment != "final":
        return float(held)
    return procedure.limit_ft(segment) + flight.above_ft


def fly(flight: Flight) -> Cockpit:
    """Fly it and return the flight with its record."""
    procedure = flight.asked
    charted = procedure.charted
    method = flight.method or METHODS[procedure.content["reversal"]]
    course = flight.arrival_deg
    if course is None:
        course = charted.outbound.course_deg
    c = started(
        Line(course % 360.0), -flight.start_nm, 0.1, level_ft(flight, procedure, "arrival"), flight.tas_kt, flight.air,
        pilot=flight.pilot, seed=flight.seed, fixed_bank_deg=flight.bank_deg, knows_wind=flight.knows_wind,
    )  # fmt: skip
    for hook in flight.hooks:
        hook(c, procedure)
    arrive(c, charted, course % 360.0)
    c.descend(level_ft(flight, procedure, "reversal"), flight.fpm)
    descend_when_established(c, flight, procedure)
    if method == "hold":
        _hold(c, flight, procedure)
    else:
        _reversal(c, flight, procedure, method)
    to_the_fix(c, charted, flight.inbound_offset_nm)
    end_of_flight(c, flight, procedure)
    return c


def descend_when_established(c: Cockpit, flight: Flight, procedure: Asked) -> None:
    """Set the watch that begins the descent to the inbound leg's altitude some seconds after being established."""
    if "inbound" not in procedure.content["altitudes_ft"] or flight.laps:
        return
    charted, since = procedure.charted, {"s": None}

    def stable(cockpit: Cockpit) -> bool:
        turned = "reversal turn start" in cockpit.marks
        if not (turned and abs(cockpit.aircraft.bank_deg) < 4.0 and is_established(
                cockpit, charted, procedure.full_scale_deg)):  # fmt: skip
            since["s"] = None
            return False
        if since["s"] is None:
            since["s"] = cockpit.time_s
            cockpit.mark("established")
        return "fix inbound" not in cockpit.marks and cockpit.time_s - since["s"] >= flight.wait_s

    c.when(stable, lambda k: k.descend(level_ft(flight, procedure, "inbound"), flight.fpm))


def _reversal(c: Cockpit, flight: Flight, procedure: Asked, method: Method) -> None:
    charted = procedure.charted
    if flight.wrong_side:
        charted = type(charted)(charted.inbound_deg, -charted.side, charted.outbound_deg, charted.station)
    limits = procedure.content["limits"]
    if method == "racetrack":
        racetrack(c, charted, flight.leg_s, flight.leg_nm)
    elif method == "teardrop":
        seconds = flight.leg_s if flight.leg_s is not None else limits.get("outbound_min", 2.0) * 60.0
        nm = flight.leg_nm if flight.leg_nm is not None else limits.get("outbound_nm")
        teardrop(c, charted, seconds, nm, corrected=flight.leg_s is None)
    else:
        radial = replace(charted, outbound_deg=charted.outbound.course_deg + flight.outbound_off_deg)
        go_outbound(c, radial, nm=flight.outbound_nm, offset_nm=flight.offset_nm)
        if method == "80/260":
            eighty_two_sixty(c, charted)
        else:
            procedure_turn(
                c, charted, flight.leg_s, flight.from_turn, degrees=flight.degrees,
                heading_off_deg=flight.heading_off_deg,
            )  # fmt: skip


def _hold(c: Cockpit, flight: Flight, procedure: Asked) -> None:
    charted = procedure.charted
    if flight.wrong_side:
        charted = type(charted)(charted.inbound_deg, -charted.side, charted.outbound_deg, charted.station)
    limits = procedure.content["limits"]
    nm = flight.leg_nm if flight.leg_nm is not None else limits.get("outbound_nm")
    course = charted.outbound.course_deg if flight.arrival_deg is None else flight.arrival_deg
    entry = flight.entry or expected_entry(charted, course)
    asked_s = limits.get("outbound_min", 1.0) * 60.0
    enter_hold(c, charted, entry, None if nm is not None else (flight.leg_s or asked_s), nm)
    for lap in range(flight.laps):
        to_the_fix(c, charted)
        seconds = flight.lap_s[lap] if lap < len(flight.lap_s) else None
        hold_circuit(c, charted, seconds, nm, inbound_s=asked_s)


def end_of_flight(c: Cockpit, flight: Flight, procedure: Asked) -> None:
    charted = procedure.charted
    if flight.ending == "none":
        return
    if "final" in procedure.content["altitudes_ft"] and flight.ending != "stop":
        if flight.ending == "descent":
            steady_descent(c, charted, 0.05, RUNWAY_NM - 0.2, RUNWAY_FT + 60.0)
            land(c, charted, RUNWAY_NM, RUNWAY_FT)
            return
        c.descend(level_ft(flight, procedure, "final"), flight.final_fpm)
        if flight.ending == "land":
            land(c, charted, RUNWAY_NM, RUNWAY_FT, flight.slope_ft_nm)
        else:
            miss(c, charted, RUNWAY_NM - 0.3, procedure.limit_ft("arrival"))
        return
    stop_at(c, charted, flight.stop_nm)
