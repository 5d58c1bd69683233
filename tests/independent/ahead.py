"""What a pilot would work out before the flight: paths flown ahead on a copy of the aircraft, what the wind asks for.

All is integrated in small steps with the aircraft of this package; unknown headings and times are found by trial.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from tests.independent.aircraft import (
    KNOT,
    NAUTICAL_MILE,
    Air,
    Aircraft,
    Line,
    normal_bank_deg,
    roll_out_lead_deg,
    turn_rate_deg_s,
    wrap,
)

AHEAD_STEP_S = 0.5


def turned(aircraft: Aircraft, side: int, to_deg: float | None = None, degrees: float | None = None,
           bank_deg: float = 20.0) -> Aircraft:  # fmt: skip
    """Return the aircraft after a turn on to a heading the way of a side, or through degrees; wings level."""
    ahead = replace(aircraft)
    whole = (side * ((to_deg or 0.0) - ahead.heading_deg)) % 360.0 if degrees is None else degrees
    done, last = 0.0, ahead.heading_deg
    while True:
        left = whole - done - roll_out_lead_deg(abs(ahead.bank_deg), ahead.tas_kt)
        if left <= 0.0:
            break
        rate = max(turn_rate_deg_s(bank_deg, ahead.tas_kt), 0.5)
        ahead.step(side * bank_deg, 0.0, min(AHEAD_STEP_S, max(0.02, left / rate)))
        done += side * wrap(ahead.heading_deg - last)
        last = ahead.heading_deg
    while abs(ahead.bank_deg) > 0.05:
        ahead.step(0.0, 0.0, min(AHEAD_STEP_S, abs(ahead.bank_deg) / 5.0))
    return ahead


def straight(aircraft: Aircraft, seconds: float) -> Aircraft:
    """Return the aircraft after so many seconds on its heading."""
    ahead = replace(aircraft)
    east, north = ahead.ground_mps
    ahead.east_m += east * seconds
    ahead.north_m += north * seconds
    ahead.time_s += seconds
    return ahead


@dataclass(frozen=True)
class HoldAnswer:
    """Outbound heading and time (from abeam or wings level, the later) of a hold's lap; where it rolls out inbound.

    `right_m` is what is left of the distance right of the course at the roll-out, `inbound_s` the time from there to
    the fix, `outbound_nm` the distance from the fix along the course at which the turn begins.
    """

    heading_deg: float
    seconds: float
    right_m: float
    inbound_s: float
    outbound_nm: float

    @property
    def found(self) -> bool:
        return abs(self.right_m) < 0.1 * NAUTICAL_MILE


def hold_lap(inbound: Line, side: int, tas_kt: float, air: Air, heading_deg: float, seconds: float | None,
             to_nm: float | None = None, most_bank_deg: float = 25.0) -> HoldAnswer:  # fmt: skip
    """Fly a lap from the fix: turn, a leg of seconds or to a distance along the course, turn to the inbound heading."""
    crab = air.crab_deg(inbound.course_deg, tas_kt)
    bank = normal_bank_deg(tas_kt, most_bank_deg)
    at_fix = Aircraft(inbound.east_m, inbound.north_m, (inbound.course_deg + crab) % 360.0, 4000.0, tas_kt, air)
    out = turned(at_fix, side, to_deg=heading_deg, bank_deg=bank)
    speed_out = -(inbound.past_m(straight(out, 1.0)) - inbound.past_m(out))
    if to_nm is not None:
        level_s = (to_nm * NAUTICAL_MILE + inbound.past_m(out)) / max(speed_out, 1.0)
    else:
        to_abeam_s = inbound.past_m(out) / max(speed_out, 1.0)
        level_s = (seconds or 0.0) + max(0.0, to_abeam_s)
    end = straight(out, max(level_s, 0.0))
    reach_nm = -inbound.past_m(end) / NAUTICAL_MILE
    back = turned(end, side, to_deg=inbound.course_deg + crab, bank_deg=bank)
    speed_in = air.groundspeed_kt(inbound.course_deg, tas_kt) * KNOT
    timed = max(level_s, 0.0) - max(0.0, inbound.past_m(out) / max(speed_out, 1.0))
    return HoldAnswer(heading_deg, timed, inbound.right_m(back), -inbound.past_m(back) / max(speed_in, 1.0), reach_nm)


@lru_cache(maxsize=512)
def hold_answer(inbound: Line, side: int, tas_kt: float, air: Air, inbound_s: float = 60.0,
                to_nm: float | None = None, most_bank_deg: float = 25.0,
                out_s: float | None = None) -> HoldAnswer:  # fmt: skip
    """Return heading and time of the lap that rolls out on the course with the inbound time asked for.

    `out_s`: the outbound time is given, the heading alone is free.
    """
    outbound = inbound.course_deg + 180.0

    def lap(correction_deg: float, seconds: float) -> HoldAnswer:
        return hold_lap(inbound, side, tas_kt, air, outbound + correction_deg, seconds, to_nm, most_bank_deg)

    def heading_for(seconds: float) -> HoldAnswer:
        best = min((lap(float(c), seconds) for c in range(-60, 61, 10)), key=lambda one: abs(one.right_m))
        middle = wrap(best.heading_deg - outbound)
        found = root(lambda c: lap(c, seconds).right_m, middle - 10.0, middle + 10.0)
        return lap(found, seconds) if found is not None else best

    if to_nm is not None or out_s is not None:
        return heading_for(out_s or 0.0)
    seconds = root(lambda s: heading_for(s).inbound_s - inbound_s, 5.0, 240.0, tolerance=0.5)
    return heading_for(seconds if seconds is not None else inbound_s)


def root(function: Callable[[float], float], low: float, high: float, tolerance: float = 0.02) -> float | None:
    """Return where a function changes its sign between two values, by halving; None where it doesn't."""
    at_low, at_high = function(low), function(high)
    if at_low * at_high > 0.0:
        return None
    while high - low > tolerance:
        middle = 0.5 * (low + high)
        at_middle = function(middle)
        if at_low * at_middle <= 0.0:
            high = middle
        else:
            low, at_low = middle, at_middle
    return 0.5 * (low + high)


def best(function: Callable[[float], float], values: Sequence[float]) -> float:
    """Return the value whose result is nearest to zero."""
    return min(values, key=lambda value: abs(function(value)))


def offset_leg_s(
    outbound: Line, side: int, tas_kt: float, air: Air, heading_deg: float, reaches: float = 0.35
) -> float:
    """Return seconds level on an offset leg so that the turn back rolls out `reaches` miles short of the course."""
    bank = normal_bank_deg(tas_kt)
    crab = air.crab_deg(outbound.course_deg, tas_kt)
    start = Aircraft(0.0, 0.0, (outbound.course_deg + crab) % 360.0, 4000.0, tas_kt, air)
    offset = turned(start, side, to_deg=heading_deg, bank_deg=bank)

    def short_nm(seconds: float) -> float:
        back = turned(straight(offset, seconds), -side, degrees=180.0, bank_deg=bank)
        return side * outbound.right_m(back) / NAUTICAL_MILE - reaches

    found = root(short_nm, 20.0, 150.0, tolerance=0.2)
    return found if found is not None else best(short_nm, [float(s) for s in range(20, 151, 10)])


def base_turn_s(outbound: Line, inbound: Line, side: int, tas_kt: float, air: Air, most_s: float) -> float:
    """Return seconds on a track from the fix after which the turn inbound rolls out on the course, at most `most_s`."""
    bank = normal_bank_deg(tas_kt)
    crab = air.crab_deg(outbound.course_deg, tas_kt)
    start = Aircraft(0.0, 0.0, (outbound.course_deg + crab) % 360.0, 4000.0, tas_kt, air)
    final = inbound.course_deg + air.crab_deg(inbound.course_deg, tas_kt)

    def right_m(seconds: float) -> float:
        return inbound.right_m(turned(straight(start, seconds), side, to_deg=final, bank_deg=bank))

    found = root(right_m, 20.0, most_s, tolerance=0.3)
    return found if found is not None else best(right_m, [0.5 * most_s, 0.75 * most_s, most_s])
