"""Which entry was flown, and the track of the arrival that the sector rule is asked for."""

from dataclasses import dataclass

import numpy as np

from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.circuits import Circuit
from analyzer.flown.reversals.turn_roles import TurnRoles, relative_heading_deg
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.given import Entry, Procedure
from analyzer.planned import entry_sector
from analyzer.standards import figure
from analyzer.units import circular_mean_deg, difference_deg


@dataclass(frozen=True)
class EntrySettings:
    """By what the entry of a hold is named: costs are negative logarithms of likelihoods (nats), own choices."""

    arrival_s: float = 30.0  # definition of the result: the arrival's track is the mean over so long before the fix
    teardrop_deg: float = figure("entry.teardrop").value
    heading_sigma_deg: float = 7.0  # how far off its heading a leg is held by hand
    most_direct_correction: float = figure("hold.drift_factor").value  # of the drift, on a hold's outbound leg
    most_teardrop_correction: float = 1.0  # the teardrop's leg is flown along its line
    short_turn_deg: float = 120.0  # after a smaller turn at the fix a direct entry lies near the course,
    made_up_deg: float = 20.0  # and leads away from it by up to so much (own choices)
    expected_nats: float = 2.0  # an entry that fits the sector needs less evidence than one that does not
    expected_parallel_nats: float = 3.0  # and a parallel one still less, while no turn back shows which it was
    beyond_course_deg: float = 205.0  # a parallel entry turns back through the course, to its holding side
    wrong_way_round_deg: float = 100.0  # so much against the hold at the fix is a hold flown the wrong way round
    shortest_leg_s: float = 4.0
    parallel_sigma_deg: float = 12.0  # a parallel leg flown without a needle to follow
    beside_m: float = (
        300.0  # a leg on the holding side by this much is not a parallel entry's, nearer not a direct one's
    )
    beside_spread_m: float = 500.0


ENTRY = EntrySettings()


@dataclass(frozen=True)
class EntryReading:
    """The entry flown and the one expected."""

    flown: Entry | None
    expected: Entry | None
    near_boundary: bool
    arrival_track_true_deg: float | None
    evidence: tuple[str, ...]


def arrival_track_true_deg(motion: Motion, first_passage_s: float) -> float | None:
    """Return the mean ground track of the last 30 s before the first passage, degrees true; None with no motion."""
    chosen = (motion.time_s >= first_passage_s - ENTRY.arrival_s) & (motion.time_s <= first_passage_s)
    if np.count_nonzero(chosen) < 3:
        return None
    mean = circular_mean_deg(motion.track_true_deg[chosen])
    return mean if np.isfinite(mean) else None


def read_entry(
    circuit: Circuit, manoeuvre: TurnRoles, motion: Motion, air: AirMotion, procedure: Procedure, next_turns: int
) -> EntryReading:
    """Return how a hold was entered and what the sectors give.

    Parameters
    ----------
    circuit, manoeuvre
        Of the first lap.
    motion : Motion
    air : AirMotion
    procedure : Procedure
    next_turns : int
        Direction of the reversal turn of the second lap, 0 where there is none.

    Returns
    -------
    EntryReading
    """
    turn_sign = procedure.side
    arrival = arrival_track_true_deg(motion, circuit.start.at_s)
    expected: Entry | None = None
    near = False
    if arrival is not None:
        expected, near = entry_sector(arrival, procedure.inbound_true_deg, turn_sign)
    reversal, outbound = manoeuvre.reversal_turn, manoeuvre.outbound_turn
    leg_start = outbound.end_s if outbound is not None else circuit.start.at_s
    leg_end = reversal.start_s if reversal is not None else circuit.limit_s
    if leg_end - leg_start < ENTRY.shortest_leg_s:
        return EntryReading(None, expected, near, arrival, ("The outbound leg is too short to name the entry.",))
    middle = 0.5 * (leg_start + leg_end)
    leg_heading = turn_sign * relative_heading_deg(air, middle)  # towards the holding side is below 180
    off_outbound = float(difference_deg(180.0, leg_heading))  # negative: converges on the holding side
    turned = 0.0 if outbound is None else turn_sign * outbound.degrees
    if reversal is not None and reversal.direction != turn_sign:
        # a single circuit: a pilot without reason for a parallel entry, who turned back onto the course, not beyond it
        single = next_turns == 0 and expected == "direct" and not near
        single = single and abs(reversal.degrees) < ENTRY.beyond_course_deg
        wrong_way_round = turned < -ENTRY.wrong_way_round_deg and (next_turns == reversal.direction or single)
        flown: Entry = "direct" if wrong_way_round else "parallel"
        words = f"Turned back {abs(reversal.degrees):.0f} deg against the direction of the hold: {flown} entry."
        return EntryReading(flown, expected, near, arrival, (words,))
    # drift angle of the leg, to allow for a correction the pilot may have put in
    drift = turn_sign * _drift_deg(motion, air, middle)
    costs: dict[Entry, float] = {}
    short = expected == "direct" and 0.0 < turned < ENTRY.short_turn_deg
    patterns: tuple[tuple[Entry, tuple[float, ...], float], ...] = (
        (
            "direct",
            (0.0, -0.5 * ENTRY.made_up_deg, -ENTRY.made_up_deg) if short else (0.0,),
            ENTRY.most_direct_correction,
        ),
        ("teardrop", (-ENTRY.teardrop_deg,), ENTRY.most_teardrop_correction),
    )
    for name, headings, most in patterns:
        corrections = np.linspace(0.0, most, 7) * -drift
        miss = min(float(np.min(np.abs(off_outbound - heading - corrections))) for heading in headings)
        cost = 0.5 * (miss / ENTRY.heading_sigma_deg) ** 2
        costs[name] = cost if name == expected else cost + ENTRY.expected_nats
    if reversal is None:
        side = turn_sign * float(np.interp(leg_end, motion.time_s, motion.cross_m))
        costs["parallel"] = 0.5 * (off_outbound / ENTRY.parallel_sigma_deg) ** 2
        costs["parallel"] += 0.0 if expected == "parallel" else ENTRY.expected_parallel_nats
        costs["parallel"] += 0.5 * (max(0.0, side + ENTRY.beside_m) / ENTRY.beside_spread_m) ** 2
        costs["direct"] += 0.5 * (max(0.0, ENTRY.beside_m - side) / ENTRY.beside_spread_m) ** 2
    chosen = min(costs, key=costs.__getitem__)
    words = (
        f"Turned {abs(turned):.0f} deg {'with' if turned >= 0 else 'against'} the hold at the fix, then flew "
        f"{abs(off_outbound):.0f} deg {'towards' if off_outbound < 0 else 'away from'} the holding side: "
        f"{chosen} entry."
    )
    return EntryReading(chosen, expected, near, arrival, (words,))


def _drift_deg(motion: Motion, air: AirMotion, at_s: float) -> float:
    """Ground track less heading at a moment, degrees; 0 where the wind is not known."""
    along = float(np.interp(at_s, motion.time_s, motion.along_mps))
    cross = float(np.interp(at_s, motion.time_s, motion.cross_mps))
    track = float(np.degrees(np.arctan2(cross, -along)))
    return float(difference_deg(relative_heading_deg(air, at_s), track))
