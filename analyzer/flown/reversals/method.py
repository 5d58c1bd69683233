"""What the reversal was flown as, and how a hold was entered, with the evidence."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.reversals.turn_roles import TurnRoles
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.given import FlownAs, Procedure
from analyzer.standards import figure
from analyzer.units import METRES_PER_NM, FloatArray, circular_mean_deg, difference_deg


@dataclass(frozen=True)
class OffsetSettings:
    """By what a reversal with an offset turn is told to be a 45/180 or an 80/260.

    Each pattern is a point (offset turn, level flight, turn back), and a flight belongs to the one that it is nearer
    to, each distance measured in the spread that hand-flown ones have. The spreads are own choices.
    """

    turn_45_deg: float = figure("offset_angle.45").value
    back_45_deg: float = 180.0  # the manoeuvre's name
    turn_80_deg: float = figure("ifh.80_260.first").value
    back_80_deg: float = figure("ifh.80_260.second").value
    turn_spread_deg: float = 12.0  # a heading bug or a gyro read in turbulence, and a roll-out early or late
    back_45_spread_deg: float = 22.0  # the turn back goes on to an intercept heading, of up to 45 degrees
    back_80_spread_deg: float = 25.0  # the same, after a longer turn
    pause_45_s: float = 14.0  # a 45/180 has a level leg at least so long; a minute is customary, hurried ones exist
    pause_80_s: float = 5.0  # the roll from bank to bank of an 80/260 takes no longer
    pause_spread_s: float = 6.0
    pause_most: float = 25.0  # the wind may stretch a pause: it counts no more than five spreads
    cut_short_s: float = 3.0  # a turn that ends so near to the end of the track is cut short by it


@dataclass(frozen=True)
class LegSettings:
    """By what a reversal without an offset turn is told to be a racetrack, a teardrop or neither.

    Costs are negative logarithms of likelihoods (nats): the cheapest name wins. All are own choices, made so that
    the method of synthesized and hand-flown reversals in winds of up to 30 kt is named as they were flown.
    """

    heading_sigma_deg: float = 7.0  # how far off its heading a leg is held by hand
    least_teardrop_deg: float = 14.0  # where none is charted: the smallest divergence that is meant as one
    most_teardrop_deg: float = 40.0
    most_racetrack_correction: float = 3.0  # the handbook's multiple of the inbound drift, tripled outbound
    most_teardrop_correction: float = 1.3  # of a leg flown along a line: the drift, and somewhat overdone
    least_width_m: float = 600.0  # of a racetrack, where speed and rate give less
    beside_nats: float = 0.4  # where the leg starts tells less than where it heads
    racetrack_beside: float = 0.75  # share of the width from which on a leg starts where a racetrack's does
    teardrop_beside: float = 0.5  # and up to which it starts where a teardrop's does
    beside_spread: float = 0.25
    charted_nats: float = 12.0  # a charted teardrop without an offset turn: anything else needs much evidence
    charted_other: float = 3.0  # times that for neither pattern
    racetrack_turn_deg: tuple[float, float] = (110.0, 260.0)  # sizes of a racetrack's turn at the fix,
    racetrack_ramp_deg: float = 40.0  # blurred above the smaller one
    straight_out_deg: float = 75.0  # after a smaller one, or one the other way, a racetrack is unlikely
    round_nats: float = 1.5  # a turn of that size at the fix
    carried_off_nats: float = 4.0  # and a leg whose line passes the fix abeam,
    carried_off_from: float = 0.2  # from this share of the width on,
    carried_off_ramp: float = 0.4  # fully so this much farther
    other_nats: float = 6.0  # a leg that is so far from both patterns is neither
    near_nats: float = 1.0  # another name that is at least a third as likely is told as well
    shortest_leg_s: float = 8.0  # shorter, its heading is still that of the turn before
    later_part: float = 0.45  # the heading is read from here on, when the turn at the fix and its correction are over
    usual_rate_deg_s: float = figure("turn.standard_rate").value  # for the width, where there is no turn back
    rates_deg_s: tuple[float, float] = (1.0, 4.0)  # a fitted rate beyond these is noise or a roll


OFFSET = OffsetSettings()
LEG = LegSettings()


def name_method(
    circuit: Circuit, manoeuvre: TurnRoles, motion: Motion, air: AirMotion, procedure: Procedure
) -> tuple[FlownAs, tuple[str, ...]]:
    """Return what a circuit was flown as, with the sentences that say why.

    Parameters
    ----------
    circuit : Circuit
    manoeuvre : TurnRoles
    motion : Motion
    air : AirMotion
    procedure : Procedure

    Returns
    -------
    str, tuple of str
    """
    offset, reversal = manoeuvre.offset_turn, manoeuvre.reversal_turn
    if offset is not None:
        cut_short = (
            circuit.end is None and reversal is not None and reversal.end_s > circuit.limit_s - OFFSET.cut_short_s
        )
        return _name_offset(manoeuvre, cut_short)
    if procedure.is_hold:
        return "hold", ("Out from the holding fix and back to it without an offset turn: a hold.",)
    leg = _leg(circuit, manoeuvre, motion, air)
    if leg is None:
        unfinished: FlownAs = "teardrop" if procedure.reversal == "teardrop" else "other"
        return unfinished, ("The outbound leg is too short to name the method.",)
    side = procedure.side if reversal is None else reversal.direction  # a wrong side is mirrored, not misnamed
    beside_m, off_deg = side * leg.cross_m, -side * leg.off_outbound_deg  # towards the manoeuvre side positive
    size = abs(reversal.degrees) if reversal is not None else float("nan")
    words = (
        f"Outbound leg headed {abs(off_deg):.0f} deg {'towards' if off_deg >= 0 else 'away from'} the manoeuvre side, "
        f"begun {abs(beside_m) / METRES_PER_NM:.1f} NM beside the course"
    )
    words += "." if reversal is None else f", then one turn of {size:.0f} deg."
    charted = abs(float(difference_deg(procedure.outbound_true_deg, procedure.reciprocal_true_deg)))
    is_teardrop = procedure.reversal == "teardrop"
    angles = np.array([charted]) if is_teardrop else np.linspace(LEG.least_teardrop_deg, LEG.most_teardrop_deg, 8)
    # a racetrack's leg is parallel, begun a turn's width beside the course; a teardrop's leaves the fix at an angle
    drift = -side * leg.drift_deg
    parallel = _misfit_deg(off_deg, np.zeros(1), np.linspace(0.0, LEG.most_racetrack_correction, 7) * -drift)
    diverging = _misfit_deg(off_deg, angles, np.linspace(0.0, LEG.most_teardrop_correction, 5) * -drift)
    width = max(leg.turn_radius_m * 2.0, LEG.least_width_m)
    # a racetrack begins with a turn of about 180 deg the way it goes on, which carries its leg off the fix
    turned = 0.0 if manoeuvre.outbound_turn is None else side * manoeuvre.outbound_turn.degrees
    to_parallel = turned + max(off_deg, 0.0)  # a correction towards the manoeuvre side makes the turn smaller
    round_at_fix = float(np.clip((to_parallel - LEG.racetrack_turn_deg[0]) / LEG.racetrack_ramp_deg, 0.0, 1.0))
    round_at_fix = 0.0 if turned > LEG.racetrack_turn_deg[1] else round_at_fix
    abeam = side * leg.fix_abeam_m / width
    carried_off = float(np.clip((abeam - LEG.carried_off_from) / LEG.carried_off_ramp, 0.0, 1.0))
    for_racetrack = round_at_fix * (LEG.round_nats + LEG.carried_off_nats * carried_off)
    for_racetrack -= LEG.round_nats if turned < LEG.straight_out_deg else 0.0
    costs: dict[FlownAs, float] = {
        "racetrack": 0.5 * (parallel / LEG.heading_sigma_deg) ** 2
        + _beside_nats(LEG.racetrack_beside * width - beside_m, width)
        + (LEG.charted_nats if is_teardrop else 0.0),
        "teardrop": 0.5 * (diverging / LEG.heading_sigma_deg) ** 2
        + (0.0 if is_teardrop else for_racetrack)
        + (0.0 if is_teardrop else _beside_nats(beside_m - LEG.teardrop_beside * width, width)),
        "other": LEG.other_nats + (LEG.charted_other * LEG.charted_nats if is_teardrop else 0.0),
    }
    return _cheapest(costs, words)


def _cheapest(costs: dict[FlownAs, float], words: str) -> tuple[FlownAs, tuple[str, ...]]:
    """Return the likeliest name, and the doubt about it where the next one is nearly as likely."""
    first, second = sorted(costs, key=costs.__getitem__)[:2]
    if costs[second] - costs[first] > LEG.near_nats:
        return first, (words,)
    other = "one of neither shape" if "other" in (first, second) else f"a {second}"
    return first, (words, f"Near the line between two shapes: it may as well be {other}.")


def _beside_nats(amiss_m: float, width_m: float) -> float:
    return min(LEG.beside_nats, 0.5 * (max(0.0, amiss_m) / (LEG.beside_spread * width_m)) ** 2)


def _misfit_deg(off_deg: float, angles_deg: FloatArray, corrections_deg: FloatArray) -> float:
    return float(np.min(np.abs(off_deg - (angles_deg[:, None] + corrections_deg[None, :]))))


def _name_offset(manoeuvre: TurnRoles, cut_short: bool) -> tuple[FlownAs, tuple[str, ...]]:
    offset, reversal = manoeuvre.offset_turn, manoeuvre.reversal_turn
    assert offset is not None
    size = abs(offset.degrees)
    if reversal is None:
        name: FlownAs = "45/180" if size < 0.5 * (OFFSET.turn_45_deg + OFFSET.turn_80_deg) else "80/260"
        return name, (f"Offset turn of {size:.0f} deg; the track ends before the reversal turn.",)
    pause = max(0.0, reversal.start_s - offset.end_s)
    round_deg = abs(reversal.degrees)
    words = f"Offset turn of {size:.0f} deg, {pause:.0f} s level, then {round_deg:.0f} deg the other way."
    # distance from each pattern in its own spread: offset, turn back, and whether a leg was flown between
    short_s, long_s = max(0.0, OFFSET.pause_45_s - pause), max(0.0, pause - OFFSET.pause_80_s)
    short, long = (min((off_s / OFFSET.pause_spread_s) ** 2, OFFSET.pause_most) for off_s in (short_s, long_s))
    like_45 = ((size - OFFSET.turn_45_deg) / OFFSET.turn_spread_deg) ** 2 + short
    like_80 = ((size - OFFSET.turn_80_deg) / OFFSET.turn_spread_deg) ** 2 + long
    if not cut_short:  # the size of a turn that the track's end cuts short tells nothing
        like_45 += ((round_deg - OFFSET.back_45_deg) / OFFSET.back_45_spread_deg) ** 2
        like_80 += ((round_deg - OFFSET.back_80_deg) / OFFSET.back_80_spread_deg) ** 2
    return ("45/180" if like_45 <= like_80 else "80/260"), (words,)


@dataclass(frozen=True)
class _OutboundLeg:
    """Where the leg starts beside the course, and how it heads in its later half, all to the right positive.

    `fix_abeam_m` is how far the line of its later half passes the fix.
    """

    cross_m: float
    off_outbound_deg: float
    drift_deg: float
    turn_radius_m: float
    fix_abeam_m: float


def _leg(circuit: Circuit, manoeuvre: TurnRoles, motion: Motion, air: AirMotion) -> _OutboundLeg | None:
    begin = circuit.start.at_s
    if manoeuvre.outbound_turn is not None:
        begin = max(begin, manoeuvre.outbound_turn.end_s)
    reversal = manoeuvre.reversal_turn
    end = reversal.start_s if reversal is not None else circuit.limit_s
    if end - begin < LEG.shortest_leg_s:
        return None
    later = (air.time_s >= begin + LEG.later_part * (end - begin)) & (air.time_s <= end - 1.0)
    if not np.any(later):
        return None
    heading = circular_mean_deg(air.heading_deg[later])
    track = circular_mean_deg(motion.track_relative_deg[later])
    rate = abs(reversal.max_rate_deg_s) if reversal is not None else LEG.usual_rate_deg_s
    radius = float(np.median(air.speed_mps[later])) / np.radians(np.clip(rate, *LEG.rates_deg_s))
    return _OutboundLeg(
        cross_m=float(np.interp(begin, motion.time_s, motion.cross_m)),
        off_outbound_deg=float(difference_deg(180.0, heading)),
        drift_deg=float(difference_deg(heading, track)),
        turn_radius_m=float(radius),
        fix_abeam_m=_fix_abeam_m(motion, 0.5 * (begin + end), track),
    )


def _fix_abeam_m(motion: Motion, at_s: float, track_deg: float) -> float:
    """Distance at which a line passes the fix; positive where an outbound one lies right of the inbound course."""
    along, cross = (float(np.interp(at_s, motion.time_s, values)) for values in (motion.along_m, motion.cross_m))
    course = np.radians(track_deg)
    return float(-(along * np.sin(course) + cross * np.cos(course)))
