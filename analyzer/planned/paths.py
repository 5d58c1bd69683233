"""The path the procedure asks for: in still air, and perfectly corrected in a given wind.

Each path starts over the fix. The turns are flown at 3 deg/s or 25 degrees of bank, whichever needs less bank.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from analyzer.given import Entry, FlownAs, Procedure, Wind, frame_of
from analyzer.planned.wind_flight import (
    NoSuchHeadingError,
    PathLeg,
    PlannedFlight,
    fly_to_fix,
    turn_inbound,
    turn_rate_deg_s,
    turn_to,
)
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, wrap_180

__all__ = ["NominalPath", "PathLeg", "default_method", "nominal_paths"]

#: straight outbound leg of a procedure turn, as in the handbook's exercise
OUTBOUND_S = 60.0 * FLYING["ifh.45_180.outbound"].value
#: room that the still-air path leaves within the distance limit, NM; our own choice
SPARE_NM = 0.5
SHORTEST_OUTBOUND_S = 15.0
HOLD_LEG_S, HIGH_HOLD_LEG_S = 60.0 * FLYING["hold.leg.low"].value, 60.0 * FLYING["hold.leg.high"].value
HIGH_HOLD_FT = FLYING["hold.leg.boundary"].value
OFFSET_LEG_S = 60.0 * FLYING["us.offset_leg.customary"].value
#: outbound drift correction of a hold as a multiple of the inbound one
OUTBOUND_CORRECTION = FLYING["hold.drift_factor"].value
#: our own choice: beyond it three times the correction is not a sensible heading
MOST_OUTBOUND_CORRECTION_DEG = 60.0
#: outbound track of a teardrop entry off the reciprocal; also the handbook's one-minute teardrop, [IFH] chapter 7
TEARDROP_DEG = FLYING["entry.teardrop"].value
#: where the intercept of a hold would leave no inbound leg, its outbound correction is changed by steps, and where that
#: doesn't help its outbound leg is lengthened by steps; our own choice
CORRECTION_STEP_DEG, WORTHWHILE_INBOUND_S, LONG_OUTBOUND_S = 2.0, 15.0, 240.0
LENGTHENING_S, MOST_LENGTHENINGS = 15.0, 20


@dataclass(frozen=True)
class NominalPath:
    """A planned path: `name` "nominal path" (still air) or "wind-corrected path"."""

    name: str
    method: str
    tas_mps: float
    legs: tuple[PathLeg, ...]


def default_method(procedure: Procedure) -> FlownAs:
    """Return the method a procedure suggests before anybody has flown it."""
    if procedure.is_hold:
        return "hold"
    return "teardrop" if procedure.reversal == "teardrop" else "45/180"


def nominal_paths(
    procedure: Procedure, tas_mps: float, wind: Wind | None, method: FlownAs, entry: Entry = "direct"
) -> tuple[NominalPath, ...]:
    """Still-air path and, where a wind is given, the path of a perfectly corrected flight.

    Parameters
    ----------
    procedure : Procedure
    tas_mps : float
        True airspeed, greater than zero.
    wind : Wind or None
        None, or a calm, gives the still-air path alone.
    method : str
        "45/180", "80/260", "teardrop", "racetrack" or "hold". "other" has no plan: the result is empty.
    entry : str
        Of a hold: "direct", "teardrop" or "parallel". A direct entry is one circuit, the others are followed by one.

    Returns
    -------
    tuple of NominalPath
        The wind-corrected path is left out where no heading holds its tracks.

    Notes
    -----
    Wind correction: straights keep the still-air track; the outbound leg is timed so that the roll-out of the
    reversal turn lies as far out as in still air, the offset leg so that it lies as far off the course. A hold's
    outbound leg has three times the inbound drift correction, or what comes nearest to it and leaves an inbound leg,
    and is timed for an inbound leg of the planned time.
    """
    if not (math.isfinite(tas_mps) and tas_mps > 0.0):
        raise ValueError(f"tas_mps is {tas_mps}; a path needs an airspeed greater than zero")
    if method == "other":
        return ()
    still = _fly(procedure, tas_mps, 0.0, 0.0, method, entry, None)
    paths = [NominalPath("nominal path", method, tas_mps, tuple(still.legs))]
    if wind is not None and wind.speed_mps > 0.0:
        along, cross = frame_of(procedure).along_cross_from_east_north(wind.east_mps, wind.north_mps)
        try:
            corrected = _fly(procedure, tas_mps, float(along), float(cross), method, entry, still)
        except NoSuchHeadingError:
            return tuple(paths)
        paths.append(NominalPath("wind-corrected path", method, tas_mps, tuple(corrected.legs)))
    return tuple(paths)


def _fly(
    procedure: Procedure,
    tas_mps: float,
    along_mps: float,
    cross_mps: float,
    method: FlownAs,
    entry: Entry,
    still: PlannedFlight | None,
) -> PlannedFlight:
    """Fly one path; `still` is the still-air flight that a corrected one aims to match, None for the former."""
    plan = PlannedFlight(tas_mps, turn_rate_deg_s(tas_mps), along_mps, cross_mps, procedure.inbound_true_deg)
    if method == "hold" or method == "racetrack":
        _hold(plan, procedure, entry if method == "hold" else "direct")
    elif method == "teardrop":
        _teardrop(plan, procedure, still)
    elif method == "45/180":
        _forty_five(plan, procedure, still)
    elif method == "80/260":
        _eighty(plan, procedure, still)
    else:
        raise ValueError(f"{method} is not a method of a reversal")
    return plan


# --- procedure turns -----------------------------------------------------------------------------------------------


def _forty_five(plan: PlannedFlight, procedure: Procedure, still: PlannedFlight | None) -> None:
    """45 degrees off, timed leg, 180 degrees back, intercept, inbound."""
    side = procedure.side
    offset = (procedure.offset_true_deg - procedure.inbound_true_deg) % 360.0
    outbound_heading = plan.heading_for_track(180.0)
    offset_heading = plan.heading_for_track(offset)
    back_heading = plan.heading_for_track(offset + 180.0)
    off_turn = turn_to(outbound_heading, offset_heading, -side)
    back_turn = turn_to(offset_heading, back_heading, side)
    off = plan.turn_change(outbound_heading, off_turn)
    back = plan.turn_change(offset_heading, back_turn)
    along_rate, cross_rate = plan.ground_rate(offset_heading)
    leg_s = _offset_leg_s(procedure, plan, off[2])
    if still is not None:
        aim = _end_of(still, "reversal turn")[1]
        leg_s = max((aim - off[1] - back[1]) / cross_rate, 0.0)

    def tail(outbound_s: float) -> tuple[float, float]:
        rolled_out = plan.ground_rate(outbound_heading)[0] * outbound_s + off[0] + along_rate * leg_s + back[0]
        furthest = rolled_out + max(plan.tas_mps / math.radians(plan.rate_deg_s), -back[0])
        return rolled_out, furthest

    plan.heading_deg = outbound_heading
    plan.straight("outbound", _outbound_s(plan, procedure, still, outbound_heading, tail))
    plan.turn("offset turn", off_turn)
    timed = leg_s + (off[2] if procedure.timing_from == "turn start" else 0.0)
    plan.straight("offset leg", leg_s, timed_s=timed)
    turn_inbound(plan, side, side, first_track_deg=offset + 180.0)
    fly_to_fix(plan)


def _offset_leg_s(procedure: Procedure, plan: PlannedFlight, turn_s: float) -> float:
    """Straight part of the offset leg in still air."""
    if procedure.outbound_m is not None:
        return procedure.outbound_m / plan.tas_mps
    timed = procedure.outbound_s if procedure.outbound_s is not None else OFFSET_LEG_S
    return max(timed - (turn_s if procedure.timing_from == "turn start" else 0.0), 0.0)


def _eighty(plan: PlannedFlight, procedure: Procedure, still: PlannedFlight | None) -> None:
    """80 degrees off, at once 260 back: the bank's change of side is the short straight that ends on the course.

    In a wind the straight is chosen anew; where it would be negative the first turn is made smaller.
    """
    side = procedure.side
    outbound_heading = plan.heading_for_track(180.0)
    inbound_heading = plan.heading_for_track(0.0)
    for degrees in range(80, 20, -2):
        off_turn = -side * float(degrees)
        offset_heading = outbound_heading + off_turn
        back_turn = turn_to(offset_heading, inbound_heading, side)
        off = plan.turn_change(outbound_heading, off_turn)
        back = plan.turn_change(offset_heading, back_turn)
        along_rate, cross_rate = plan.ground_rate(offset_heading)
        change_s = -(off[1] + back[1]) / cross_rate if cross_rate * side > 0.0 else -1.0
        if change_s >= 0.0:
            break
    change_s = max(change_s, 0.0)

    def tail(outbound_s: float) -> tuple[float, float]:
        rolled_out = plan.ground_rate(outbound_heading)[0] * outbound_s + off[0] + along_rate * change_s + back[0]
        return rolled_out, rolled_out + plan.tas_mps / math.radians(plan.rate_deg_s)

    plan.heading_deg = outbound_heading
    plan.straight("outbound", _outbound_s(plan, procedure, still, outbound_heading, tail))
    plan.turn("offset turn", off_turn)
    plan.straight("offset turn", change_s)
    turn_inbound(plan, side, side)
    fly_to_fix(plan)


def _outbound_s(
    plan: PlannedFlight,
    procedure: Procedure,
    still: PlannedFlight | None,
    heading: float,
    tail: Callable[[float], tuple[float, float]],
) -> float:
    """Time of the outbound leg: two minutes or what the limit leaves in still air; as far out as that in a wind."""
    rate = plan.ground_rate(heading)[0]
    if still is not None:
        return max((_end_of(still, "reversal turn")[0] - tail(0.0)[0]) / rate, 0.0)
    seconds = OUTBOUND_S
    if procedure.remain_within_m is not None:
        room = procedure.remain_within_m - SPARE_NM * METRES_PER_NM - tail(0.0)[1]
        seconds = min(seconds, room / rate)
    return max(seconds, SHORTEST_OUTBOUND_S)


# --- teardrop, racetrack and hold ----------------------------------------------------------------------------------


def _teardrop(plan: PlannedFlight, procedure: Procedure, still: PlannedFlight | None) -> None:
    """Out on the outbound course so long that the turn ends on the inbound course."""
    side = procedure.side
    track = 180.0 - side * TEARDROP_DEG
    if procedure.reversal == "teardrop":
        track = (procedure.outbound_true_deg - procedure.inbound_true_deg) % 360.0
    heading = plan.heading_for_track(track)
    inbound = plan.heading_for_track(0.0)
    along_rate, cross_rate = plan.ground_rate(heading)
    turned = plan.turn_change(heading, turn_to(heading, inbound, side))
    leg_s = -turned[1] / cross_rate
    charted_s = None
    if procedure.reversal == "teardrop" and procedure.outbound_m is not None:
        charted_s = procedure.outbound_m / plan.tas_mps
    elif procedure.reversal == "teardrop" and "limits.outbound_min" not in procedure.defaults:
        charted_s = procedure.outbound_s
    if charted_s is not None:
        leg_s = charted_s if still is None else _end_of(still, "outbound")[0] / along_rate
    plan.heading_deg = heading
    plan.straight("outbound", leg_s, timed_s=leg_s)
    turn_inbound(plan, side, side)
    fly_to_fix(plan)


def _hold(plan: PlannedFlight, procedure: Procedure, entry: Entry) -> None:
    """Entry and one circuit; a direct entry is the circuit itself."""
    side = procedure.side
    leg_s = _hold_leg_s(procedure)
    inbound = plan.heading_for_track(0.0)
    if entry == "direct":
        plan.heading_deg = inbound % 360.0
        _circuit(plan, procedure, leg_s)
        return
    track = 180.0 - side * TEARDROP_DEG if entry == "teardrop" else 180.0
    plan.heading_deg = plan.heading_for_track(track) % 360.0
    along_rate, _ = plan.ground_rate(plan.heading_deg)
    seconds = leg_s
    if procedure.outbound_m is not None:
        seconds = procedure.outbound_m / along_rate
    plan.straight("outbound", seconds, timed_s=seconds)
    turn_inbound(plan, side if entry == "teardrop" else -side, side)
    fly_to_fix(plan)
    plan.lap += 1
    _circuit(plan, procedure, leg_s)


def _circuit(plan: PlannedFlight, procedure: Procedure, leg_s: float) -> None:
    """One circuit from the fix: turn, outbound leg, turn, inbound leg."""
    side = procedure.side
    inbound = plan.heading_for_track(0.0)
    correction = wrap_180(inbound)
    wanted = max(-MOST_OUTBOUND_CORRECTION_DEG, min(MOST_OUTBOUND_CORRECTION_DEG, OUTBOUND_CORRECTION * correction))
    if plan.ground_rate(180.0 - wanted)[0] <= 0.0:
        raise NoSuchHeadingError("the wind stops the outbound leg")
    if procedure.outbound_m is None:
        wanted = _correction_that_intercepts(plan, procedure, leg_s, correction, wanted)
    seconds = _turn_outbound(plan, procedure, 180.0 - wanted, leg_s)
    if procedure.outbound_m is None:
        seconds = _long_enough_to_intercept(plan, seconds, side)
    along_rate, _ = plan.ground_rate(plan.heading_deg)
    wings_level_along = plan.along_m
    before_abeam_s = max(-wings_level_along / along_rate, 0.0)  # timing starts abeam the fix or wings level, the later
    plan.straight("outbound", seconds, timed_s=max(seconds - before_abeam_s, 0.0))
    turn_inbound(plan, side, side)
    fly_to_fix(plan)


def _turn_outbound(plan: PlannedFlight, procedure: Procedure, outbound_deg: float, leg_s: float) -> float:
    """Turn from the fix to the outbound heading; give the time that the outbound leg then takes."""
    side, inbound = procedure.side, plan.heading_for_track(0.0)
    along_rate, _ = plan.ground_rate(outbound_deg)
    plan.turn("outbound turn", turn_to(plan.heading_deg, outbound_deg, side))
    if procedure.outbound_m is not None:
        return max((procedure.outbound_m - plan.along_m) / along_rate, 0.0)
    back = plan.turn_change(outbound_deg, turn_to(outbound_deg, inbound, side))
    return max((-plan.ground_rate(inbound)[0] * leg_s - plan.along_m - back[0]) / along_rate, 0.0)


def _correction_that_intercepts(
    plan: PlannedFlight, procedure: Procedure, leg_s: float, inbound_deg: float, thrice_deg: float
) -> float:
    """Outbound correction nearest to three times the inbound one with which the course is reached before the fix.

    Three times the inbound correction is a rule of thumb for outbound legs of about a minute: in a strong wind, where
    the leg is much longer or shorter, it misses the course so widely that the intercept uses up the inbound leg.
    """
    least = min(abs(inbound_deg), abs(thrice_deg))
    steps = range(int((MOST_OUTBOUND_CORRECTION_DEG - least) / CORRECTION_STEP_DEG) + 1)
    sizes = [abs(thrice_deg) + sign * step * CORRECTION_STEP_DEG for step in steps for sign in (-1.0, 1.0)]
    for inbound_s, most_s in ((WORTHWHILE_INBOUND_S, LONG_OUTBOUND_S), (0.0, LONG_OUTBOUND_S), (0.0, math.inf)):
        for size in sizes:
            outbound = 180.0 - math.copysign(size, thrice_deg)
            trial = replace(plan, legs=[])
            if not least <= size <= MOST_OUTBOUND_CORRECTION_DEG or trial.ground_rate(outbound)[0] <= 0.0:
                continue
            seconds = _turn_outbound(trial, procedure, outbound, leg_s)
            if seconds <= most_s and _reaches_course(trial, seconds, procedure.side, inbound_s):
                return math.copysign(size, thrice_deg)
    return thrice_deg


def _reaches_course(plan: PlannedFlight, seconds: float, side: int, inbound_s: float = 0.0) -> bool:
    """Whether after an outbound leg of so many seconds the course is reached, and for how long, before the fix."""
    trial = replace(plan, legs=[])
    trial.straight("outbound", seconds)
    turn_inbound(trial, side, side)
    return trial.along_m > -trial.ground_rate(trial.heading_deg)[0] * inbound_s


def _long_enough_to_intercept(plan: PlannedFlight, seconds: float, side: int) -> float:
    """Lengthen the outbound leg until the course is reached before the fix.

    Needed where no correction of the outbound heading alone brings the course before the fix.
    """
    for _ in range(MOST_LENGTHENINGS):
        if _reaches_course(plan, seconds, side):
            return seconds
        seconds += LENGTHENING_S
    return seconds


def _hold_leg_s(procedure: Procedure) -> float:
    """Return the timed leg of a hold: as charted, or by the altitude."""
    if procedure.outbound_s is not None:
        return procedure.outbound_s
    limit = procedure.altitude("reversal")
    low_m = limit.low_m if limit is not None else None
    return HIGH_HOLD_LEG_S if low_m is not None and low_m > HIGH_HOLD_FT * METRES_PER_FOOT else HOLD_LEG_S


def _end_of(flight: PlannedFlight, phase: str) -> tuple[float, float]:
    """Along and cross at the end of the first leg of that phase."""
    leg = next(leg for leg in flight.legs if leg.phase == phase)
    return float(leg.along_m[-1]), float(leg.cross_m[-1])
