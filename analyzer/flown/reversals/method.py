"""What the reversal was flown as, and how a hold was entered, with the evidence."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.reversals.turn_roles import TurnRoles
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.given import FlownAs, Procedure
from analyzer.units import METRES_PER_NM, FloatArray, circular_mean_deg, difference_deg

ARRIVAL_S = 30.0
TEARDROP_DEG = 30.0  # AIM 5-3-8 j (teardrop entry), read
HEADING_SIGMA_DEG = 7.0
BEYOND_COURSE_DEG = 205.0  # a parallel entry turns back through the course, to its holding side; own choice
EXPECTED_ENTRY_NATS = 2.0  # an entry that fits the sector needs less evidence than one that does not
BESIDE_NATS = 0.4  # where the leg starts tells less than where it heads
CHARTED_NATS = 12.0  # where a teardrop is charted and no offset turn was flown, anything else needs much evidence
RACETRACK_TURN_DEG, RACETRACK_RAMP_DEG = (110.0, 260.0), 40.0  # sizes of a racetrack's turn at the fix, blurred below
STRAIGHT_OUT_DEG = 75.0  # after a smaller one, or one the other way, a racetrack is unlikely
ROUND_NATS, CARRIED_OFF_NATS = 1.5, 4.0  # a turn of that size at the fix, and a leg whose line passes the fix abeam
OTHER_NATS = 6.0  # a leg that is so far from both patterns is neither
CUT_SHORT_S = 3.0  # a turn that ends so near to the end of the track is cut short by it
PAUSE_45_S = 14.0  # a level leg longer than this between offset and reversal turn makes it a 45/180


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
        cut_short = circuit.end is None and reversal is not None and reversal.end_s > circuit.limit_s - CUT_SHORT_S
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
    angles = np.array([charted]) if is_teardrop else np.linspace(14.0, 40.0, 8)
    # a racetrack's leg is parallel, begun a turn's width beside the course; a teardrop's leaves the fix at an angle
    drift = -side * leg.drift_deg
    parallel = _misfit_deg(off_deg, np.zeros(1), np.linspace(0.0, 3.0, 7) * -drift)
    diverging = _misfit_deg(off_deg, angles, np.linspace(0.0, 1.3, 5) * -drift)
    width = max(leg.turn_radius_m * 2.0, 600.0)
    # a racetrack begins with a turn of about 180 deg the way it goes on, which carries its leg off the fix
    turned = 0.0 if manoeuvre.outbound_turn is None else side * manoeuvre.outbound_turn.degrees
    round_at_fix = float(np.clip((turned - RACETRACK_TURN_DEG[0]) / RACETRACK_RAMP_DEG, 0.0, 1.0))
    round_at_fix = 0.0 if turned > RACETRACK_TURN_DEG[1] else round_at_fix
    carried_off = float(np.clip((side * leg.fix_abeam_m / width - 0.2) / 0.4, 0.0, 1.0))
    for_racetrack = round_at_fix * (ROUND_NATS + CARRIED_OFF_NATS * carried_off)
    for_racetrack -= ROUND_NATS if turned < STRAIGHT_OUT_DEG else 0.0
    costs: dict[FlownAs, float] = {
        "racetrack": 0.5 * (parallel / HEADING_SIGMA_DEG) ** 2
        + min(BESIDE_NATS, 0.5 * (max(0.0, 0.75 * width - beside_m) / (0.25 * width)) ** 2)
        + (CHARTED_NATS if is_teardrop else 0.0),
        "teardrop": 0.5 * (diverging / HEADING_SIGMA_DEG) ** 2
        + (0.0 if is_teardrop else for_racetrack)
        + (0.0 if is_teardrop else min(BESIDE_NATS, 0.5 * (max(0.0, beside_m - 0.5 * width) / (0.25 * width)) ** 2)),
        "other": OTHER_NATS + (3.0 * CHARTED_NATS if is_teardrop else 0.0),
    }
    return min(costs, key=costs.__getitem__), (words,)


def _misfit_deg(off_deg: float, angles_deg: FloatArray, corrections_deg: FloatArray) -> float:
    return float(np.min(np.abs(off_deg - (angles_deg[:, None] + corrections_deg[None, :]))))


def _name_offset(manoeuvre: TurnRoles, cut_short: bool) -> tuple[FlownAs, tuple[str, ...]]:
    offset, reversal = manoeuvre.offset_turn, manoeuvre.reversal_turn
    assert offset is not None
    size = abs(offset.degrees)
    if reversal is None:
        name: FlownAs = "45/180" if size < 62.0 else "80/260"
        return name, (f"Offset turn of {size:.0f} deg; the track ends before the reversal turn.",)
    pause = max(0.0, reversal.start_s - offset.end_s)
    round_deg = abs(reversal.degrees)
    words = f"Offset turn of {size:.0f} deg, {pause:.0f} s level, then {round_deg:.0f} deg the other way."
    # distance from each pattern in its own spread: offset, turn back, and whether a leg was flown between
    like_45 = ((size - 45.0) / 12.0) ** 2 + (max(0.0, PAUSE_45_S - pause) / 6.0) ** 2
    like_80 = ((size - 80.0) / 12.0) ** 2 + (max(0.0, pause - 5.0) / 6.0) ** 2
    if not cut_short:  # the size of a turn that the track's end cuts short tells nothing
        like_45 += ((round_deg - 180.0) / 22.0) ** 2
        like_80 += ((round_deg - 260.0) / 25.0) ** 2
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
    if end - begin < 8.0:
        return None
    later = (air.time_s >= begin + 0.45 * (end - begin)) & (air.time_s <= end - 1.0)
    if not np.any(later):
        return None
    heading = circular_mean_deg(air.heading_deg[later])
    track = circular_mean_deg(motion.track_relative_deg[later])
    rate = abs(reversal.max_rate_deg_s) if reversal is not None else 3.0
    radius = float(np.median(air.speed_mps[later])) / np.radians(np.clip(rate, 1.0, 4.0))
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
