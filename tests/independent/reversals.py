"""Course reversals as pilots fly them: 45/180, 80/260, racetrack, teardrop and base turn, holds with their entries.

A `Charted` says what is charted, in degrees true; each function flies from the fix (or the arrival) until it has joined
the inbound course; `to_the_fix` flies on.
"""

import math
from dataclasses import dataclass

from tests.independent.ahead import base_turn_s, hold_answer, offset_leg_s
from tests.independent.aircraft import NAUTICAL_MILE, Line, wrap
from tests.independent.cockpit import Cockpit, after, passed

STEEPEST_INTERCEPT_DEG = 40.0
SHORT_OF_COURSE_M = 150.0


@dataclass(frozen=True)
class Charted:
    """What a chart says. `side`: +1 right, -1 left; of a hold the way of its turns, else the side looking outbound.

    `station` is where the needle comes from, east and north of the fix, None for guidance without a station.
    """

    inbound_deg: float
    side: int
    outbound_deg: float | None = None
    station: tuple[float, float] | None = (0.0, 0.0)

    @property
    def inbound(self) -> Line:
        return Line(self.inbound_deg)

    @property
    def outbound(self) -> Line:
        """Along the outbound course from the fix: the reciprocal, or a teardrop's own."""
        return Line((self.inbound_deg + 180.0 if self.outbound_deg is None else self.outbound_deg) % 360.0)


def arrive(c: Cockpit, charted: Charted, course_deg: float, until_nm: float = 0.0) -> None:
    """Track a course to the fix until it (or so far before it, negative) is passed."""
    line = Line(course_deg)
    c.track(line, passed(line, until_nm), name="arrival", station=charted.station, frozen_nm=0.5)
    c.mark("fix outbound")


def go_outbound(c: Cockpit, charted: Charted, nm: float | None = None, seconds: float | None = None,
                offset_nm: float = 0.0) -> None:  # fmt: skip
    """Turn to the outbound course the shorter way and track it to a distance, or for a time from the fix."""
    line = charted.outbound
    heading = line.course_deg + c.crab_deg(line.course_deg)
    off = wrap(heading - c.aircraft.heading_deg)
    start = c.time_s
    if abs(off) > 15.0:
        c.turn(1 if off > 0 else -1, to_deg=heading, name="outbound turn")
    end = passed(line, nm) if nm is not None else after((seconds or 60.0) + c.errors.timing_s(), start)
    c.track(line, end, name="outbound", offset_nm=offset_nm, station=charted.station)


def turn_in(c: Cockpit, charted: Charted, side: int, bank_deg: float | None = None, stop_short: bool = True) -> None:
    """Turn inbound: on to the course's heading, or level off on an intercept where the turn would end short of it."""
    line = charted.inbound
    final = line.course_deg + c.crab_deg(line.course_deg)

    def short(cockpit: Cockpit) -> bool:
        left = (side * (final - cockpit.aircraft.heading_deg)) % 360.0
        if not 12.0 < left <= STEEPEST_INTERCEPT_DEG:
            return False
        return line.right_m(cockpit.aircraft) * side > 0.0 and (
            cockpit.right_after_turn_m(line, side, final) * side > SHORT_OF_COURSE_M
        )

    c.turn(side, to_deg=final, bank_deg=bank_deg, name="reversal turn", until=short if stop_short else None)
    if abs(wrap(final - c.aircraft.heading_deg)) > 12.0:
        c.join(line)
    c.mark("joined")


def procedure_turn(
    c: Cockpit, charted: Charted, leg_s: float | None = None, from_turn: bool = False, corrected: bool = True,
    degrees: float = 180.0, bank_deg: float | None = None, heading_off_deg: float = 0.0,
) -> None:  # fmt: skip
    """The 45/180 from the outbound course; `leg_s` level, or from the start of the turn; None: as the wind asks."""
    side, outbound = charted.side, charted.outbound
    track = outbound.course_deg + 45.0 * side
    heading = track + (c.crab_deg(track) if corrected else 0.0) + heading_off_deg
    if leg_s is None:
        leg_s, from_turn = offset_leg_s(outbound, side, c.base_tas_kt, c.aircraft.air, heading), False
    start = c.time_s
    c.turn(side, to_deg=heading, name="offset turn", bank_deg=bank_deg)
    leg_s += c.errors.timing_s()
    c.hold(heading, after(leg_s, start if from_turn else c.time_s), name="offset leg")
    line = charted.inbound
    final = line.course_deg + c.crab_deg(line.course_deg)

    def there(cockpit: Cockpit) -> bool:
        """Whether the course is so near that the turn has to go on to it."""
        left = (-side * (final - cockpit.aircraft.heading_deg)) % 360.0
        return left < 70.0 and cockpit.right_after_turn_m(line, -side, final) * -side < SHORT_OF_COURSE_M

    c.turn(-side, degrees=degrees, bank_deg=bank_deg, name="reversal turn", until=there)
    c.join(line)
    c.mark("joined")


def eighty_two_sixty(c: Cockpit, charted: Charted, bank_deg: float | None = None, level_s: float = 0.0) -> None:
    """The 80/260 from the outbound course."""
    side = charted.side
    c.turn(side, degrees=80.0, bank_deg=bank_deg, name="offset turn")
    if level_s > 0.0:
        c.hold(c.aircraft.heading_deg, level_s, name="level")
    turn_in(c, charted, -side, bank_deg)


def racetrack(c: Cockpit, charted: Charted, leg_s: float | None = 60.0, leg_nm: float | None = None) -> None:
    """A racetrack in the place of a procedure turn, from the fix: its outbound leg on the protected side."""
    # looking outbound the leg lies on `side`: flown inbound that is the other hand, and the turns go that way
    hold_circuit(c, Charted(charted.inbound_deg, -charted.side, station=charted.station), leg_s, leg_nm)


def teardrop(c: Cockpit, charted: Charted, seconds: float | None = None, nm: float | None = None,
             corrected: bool = False, bank_deg: float | None = None) -> None:  # fmt: skip
    """A charted teardrop or base turn: its outbound track for a time from the fix or to a distance, the turn inbound.

    `corrected`: turn earlier where the wind would carry the turn across the course.
    """
    line = charted.outbound
    off = wrap(line.course_deg + c.crab_deg(line.course_deg) - c.aircraft.heading_deg)
    start = c.time_s
    if abs(off) > 15.0:
        c.turn(1 if off > 0 else -1, to_deg=line.course_deg + c.crab_deg(line.course_deg), name="outbound turn")
    if seconds is not None and corrected:
        seconds = base_turn_s(line, charted.inbound, -charted.side, c.base_tas_kt, c.aircraft.air, seconds)
    end = passed(line, nm) if nm is not None else after((seconds or 60.0) + c.errors.timing_s(), start)
    c.track(line, end, name="outbound", station=charted.station, frozen_nm=0.4)
    # the outbound track lies on `side`, looking outbound; the turn back is towards the inbound course
    turn_in(c, charted, -charted.side, bank_deg)


def expected_entry(charted: Charted, arrival_deg: float) -> str:
    """Return the entry by the sector rule: 70 degrees on the holding side (AIM 5-3-8 j, the figure of the sectors)."""
    ahead = charted.side * wrap(charted.inbound_deg + 180.0 - arrival_deg)
    if 0.0 < ahead <= 70.0:
        return "teardrop"
    return "parallel" if -110.0 <= ahead <= 0.0 else "direct"


def enter_hold(
    c: Cockpit, charted: Charted, entry: str, leg_s: float | None = 60.0, leg_nm: float | None = None
) -> None:
    """Fly an entry from the fix until the inbound course is joined."""
    side, outbound = charted.side, charted.inbound_deg + 180.0
    if entry == "direct":
        hold_circuit(c, charted, leg_s, leg_nm)
        return
    track = outbound - 30.0 * side if entry == "teardrop" else outbound
    heading = track + c.crab_deg(track)
    off = wrap(heading - c.aircraft.heading_deg)
    c.turn(1 if off > 0 else -1, to_deg=heading, name="entry turn")
    if leg_nm is not None:
        end = passed(Line(outbound % 360.0), leg_nm)
    else:
        end = after((leg_s or 60.0) + c.errors.timing_s(), c.time_s)
    c.hold(heading, end, name="outbound")
    if entry == "teardrop":
        turn_in(c, charted, side)
        return
    c.turn(-side, to_deg=charted.inbound_deg - 45.0 * side, name="reversal turn")
    c.join(charted.inbound)
    c.mark("joined")


def hold_circuit(
    c: Cockpit, charted: Charted, leg_s: float | None = None, leg_nm: float | None = None,
    heading_deg: float | None = None, inbound_s: float = 60.0, bank_deg: float | None = None,
) -> None:  # fmt: skip
    """One lap from the fix: turn, outbound by time (abeam or wings level, the later) or distance, turn in.

    Heading and (with neither time nor distance) time are what the wind asks for.
    """
    side, inbound = charted.side, charted.inbound
    answer = None
    if heading_deg is None and c.knows_wind:
        answer = hold_answer(inbound, side, c.base_tas_kt, c.aircraft.air, inbound_s, leg_nm, out_s=leg_s)
        heading_deg = answer.heading_deg
    heading = inbound.course_deg + 180.0 if heading_deg is None else heading_deg
    if leg_s is None and leg_nm is None:
        leg_s = answer.seconds if answer is not None else inbound_s
    c.turn(side, to_deg=heading, bank_deg=bank_deg, name="outbound turn")
    outbound = Line((inbound.course_deg + 180.0) % 360.0)
    if leg_nm is not None:
        c.hold(heading, passed(outbound, leg_nm), name="outbound")
    else:
        if outbound.past_m(c.aircraft) < 0.0:
            c.hold(heading, passed(outbound), name="to abeam")
        c.hold(heading, max((leg_s or 60.0) + c.errors.timing_s(), 1.0), name="outbound")
    turn_in(c, charted, side, bank_deg)


def to_the_fix(c: Cockpit, charted: Charted, offset_nm: float = 0.0) -> None:
    """Track the inbound course to the fix."""
    line = charted.inbound
    c.track(line, passed(line), name="inbound", offset_nm=offset_nm, station=charted.station, frozen_nm=0.4)
    c.mark("fix inbound")


def go_on(c: Cockpit, charted: Charted, nm: float) -> None:
    """Track the course beyond the fix."""
    line = charted.inbound
    c.track(line, passed(line, nm), name="final", station=charted.station, frozen_nm=0.4)


def is_established(
    c: Cockpit, charted: Charted, full_scale_deg: float | None = 10.0, full_scale_nm: float = 1.0
) -> bool:
    """Half scale or less and the track within 10 degrees of the inbound course, now."""
    line = charted.inbound
    right_nm = abs(line.right_m(c.aircraft)) / NAUTICAL_MILE
    if full_scale_deg is None or charted.station is None:
        inside = right_nm <= 0.5 * full_scale_nm
    else:
        station_nm = c.distance_m(charted.station) / NAUTICAL_MILE
        inside = right_nm <= math.sin(math.radians(0.5 * full_scale_deg)) * station_nm
    return inside and abs(wrap(c.aircraft.ground_track_deg - line.course_deg)) <= 10.0
