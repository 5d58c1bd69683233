"""The reversals of a track: passes, circuits and turns put together into attempts with their phases."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.flown.attempt import Attempt, FixPassage, FlownTurn, Phase
from analyzer.flown.motion.motion import Motion
from analyzer.flown.reversals.circuits import Circuit, find_circuits
from analyzer.flown.reversals.entry import EntryReading, arrival_track_true_deg, read_entry
from analyzer.flown.reversals.established import established_time
from analyzer.flown.reversals.fix_passes import passes
from analyzer.flown.reversals.method import name_method
from analyzer.flown.reversals.take_off import passes_in_flight
from analyzer.flown.reversals.turn_roles import TurnRoles, read_manoeuvre
from analyzer.flown.turns.air_motion import AirMotion
from analyzer.given import FlownAs, Frame, PhaseName, Procedure
from analyzer.planned import deflection, in_cone, passage_radius_m
from analyzer.units import FloatArray

NEAR_FIX_M = 20_000.0


@dataclass(frozen=True)
class PhaseSettings:
    """Where the phases of an attempt are cut. Own choices."""

    short_s: float = 0.6  # a phase shorter than the moments of its edges are known is none
    under_way_s: float = 1.5  # a turn up to the end of the track is seen to end that long before it
    touching_s: float = (
        4.0  # level flight between the turns of an 80/260 shorter than this is the roll from bank to bank
    )
    return_deg: float = 25.0  # a smaller turn on the way back to the fix does not set course for it
    off_the_fix_deg: float = 35.0  # nor one that begins with the fix nearly ahead
    return_after_s: float = 5.0  # nor one of the passage just flown,
    return_before_s: float = 10.0  # nor one that is still under way long after the next


PHASES = PhaseSettings()


@dataclass(frozen=True)
class _Course:
    """Needle and cone along the whole motion."""

    deflection: FloatArray
    cone: npt.NDArray[np.bool_]


def find_attempts(
    motion: Motion,
    air: AirMotion,
    turns: tuple[FlownTurn, ...],
    procedure: Procedure,
    frame: Frame,
    altitude_m: FloatArray | None,
) -> tuple[Attempt, ...]:
    """Return the reversals of the track, in order; none for a flight that never reverses.

    Parameters
    ----------
    motion : Motion
    air : AirMotion
    turns : tuple of FlownTurn
        Of the whole flight, in order.
    procedure : Procedure
    frame : Frame
    altitude_m : array, shape (n,), or None
        At the motion's moments, for the station's cone.

    Returns
    -------
    tuple of Attempt
    """
    radius = passage_radius_m(procedure, _altitude_near_fix_m(motion, altitude_m))
    passed = passes_in_flight(passes(motion, radius), motion, altitude_m, procedure)
    groups = find_circuits(passed, motion, air, turns, procedure)
    course = _Course(
        deflection(procedure, frame, motion.along_m, motion.cross_m),
        in_cone(procedure, frame, motion.along_m, motion.cross_m, altitude_m),
    )
    attempts: list[Attempt] = []
    ends = [_return_s(groups, index, motion, turns) for index in range(len(groups))]
    for index, group in enumerate(groups):
        start = ends[index - 1] if index else _first_start_s(group[0], [one.at_s for one in passed], motion, turns)
        attempts.append(_attempt(index + 1, group, start, ends[index], motion, air, turns, procedure, course))
    return tuple(attempts)


def _altitude_near_fix_m(motion: Motion, altitude_m: FloatArray | None) -> float | None:
    if altitude_m is None:
        return None
    near = altitude_m[(motion.distance_m < NEAR_FIX_M) & np.isfinite(altitude_m)]
    return float(np.median(near)) if len(near) else None


def _attempt(
    number: int,
    group: list[Circuit],
    start_s: float,
    end_s: float,
    motion: Motion,
    air: AirMotion,
    turns: tuple[FlownTurn, ...],
    procedure: Procedure,
    course: _Course,
) -> Attempt:
    manoeuvres = [read_manoeuvre(circuit, turns, motion, air, procedure) for circuit in group]
    second = manoeuvres[1].reversal_turn if len(manoeuvres) > 1 else None
    reading = EntryReading(None, None, False, arrival_track_true_deg(motion, group[0].start.at_s), ())
    if procedure.is_hold:
        direction = 0 if second is None else second.direction
        reading = read_entry(group[0], manoeuvres[0], motion, air, procedure, direction)
    flown_as, evidence = name_method(group[0], manoeuvres[0], motion, air, procedure)
    phases: list[Phase] = []
    if group[0].start.at_s > start_s:
        phases.append(Phase("arrival", 1, start_s, group[0].start.at_s))
    named: list[tuple[PhaseName, int, FlownTurn]] = []
    established: list[float | None] = []
    for lap, (circuit, manoeuvre) in enumerate(zip(group, manoeuvres, strict=True), start=1):
        stop = circuit.end.at_s if circuit.end is not None else min(circuit.limit_s, end_s)
        lap_phases, lap_turns, moment = _lap(lap, circuit, manoeuvre, stop, motion, course, flown_as)
        phases += lap_phases
        named += lap_turns
        established.append(moment)
    last = group[-1]
    if last.end is not None and end_s > last.end.at_s:
        phases.append(Phase("final", len(group), last.end.at_s, end_s))
    passages = [FixPassage(group[0].start.at_s, group[0].start.distance_m, "outbound")]
    passages += [
        FixPassage(circuit.end.at_s, circuit.end.distance_m, "inbound") for circuit in group if circuit.end is not None
    ]
    return Attempt(
        number=number,
        start_s=start_s,
        end_s=end_s,
        passages=tuple(passages),
        flown_as=flown_as,
        entry=reading.flown,
        entry_expected=reading.expected,
        entry_near_boundary=reading.near_boundary,
        arrival_track_true_deg=reading.arrival_track_true_deg,
        laps=len(group),
        phases=tuple(phases),
        turns=tuple(named),
        established_s=tuple(established),
        complete=last.end is not None,
        wrong_side=_wrong_side(_came_back(manoeuvres, group, established), motion, procedure, reading),
        evidence=evidence + reading.evidence,
    )


def _lap(
    lap: int,
    circuit: Circuit,
    manoeuvre: TurnRoles,
    stop_s: float,
    motion: Motion,
    course: _Course,
    flown_as: FlownAs,
) -> tuple[list[Phase], list[tuple[PhaseName, int, FlownTurn]], float | None]:
    """Phases and named turns of one circuit, and the moment it was established."""
    cuts: list[tuple[PhaseName, float]] = []
    named: list[tuple[PhaseName, int, FlownTurn]] = []
    outbound_turn, offset, reversal = manoeuvre.outbound_turn, manoeuvre.offset_turn, manoeuvre.reversal_turn
    begin = circuit.start.at_s
    if outbound_turn is not None:
        cuts.append(("outbound turn", begin))
        named.append(("outbound turn", lap, outbound_turn))
        cuts.append(("outbound", max(begin, outbound_turn.end_s)))
    else:
        cuts.append(("outbound", begin))
    if offset is not None:
        cuts.append(("offset turn", offset.start_s))
        named.append(("offset turn", lap, offset))
        if flown_as != "80/260" or reversal is None:  # an 80/260 has no leg between its turns
            cuts.append(("offset leg", offset.end_s))
    moment: float | None = None
    if reversal is not None:
        start = reversal.start_s
        if offset is not None and flown_as == "80/260" and start - offset.end_s < PHASES.touching_s:
            start = 0.5 * (start + offset.end_s)
        cuts.append(("reversal turn", start))
        named.append(("reversal turn", lap, reversal))
        moment = established_time(
            motion, course.deflection, course.cone, reversal.start_s, stop_s, to_fix=circuit.end is not None
        )
        inbound = None if moment is None else _inbound_start_s(moment, reversal, manoeuvre.later_turns)
        under_way = circuit.end is None and stop_s - reversal.end_s < PHASES.under_way_s
        if not under_way and (inbound is None or inbound - reversal.end_s > PHASES.short_s):
            cuts.append(("intercept", reversal.end_s))
        if inbound is not None:
            cuts.append(("inbound", max(inbound, reversal.end_s)))
        named += [
            ("intercept" if inbound is None or turn.start_s < inbound else "inbound", lap, turn)
            for turn in manoeuvre.later_turns
            if 0.5 * (turn.start_s + turn.end_s) < stop_s  # otherwise it is the next lap's turn at the fix
        ]
    phases: list[Phase] = []
    for (name, _), after in zip(cuts, [cut[1] for cut in cuts[1:]] + [stop_s], strict=True):
        first = phases[-1].end_s if phases else begin
        last = min(max(after, first), stop_s)
        if last > first:
            phases.append(Phase(name, lap, first, last))
    return phases, named, moment


def _inbound_start_s(established_s: float, reversal: FlownTurn, later: tuple[FlownTurn, ...]) -> float:
    """Later of established and wings level: the end of the turn in which it came."""
    for turn in (reversal, *later):
        if turn.start_s <= established_s < turn.end_s:
            return turn.end_s
    return established_s


def _came_back(manoeuvres: list[TurnRoles], group: list[Circuit], established: list[float | None]) -> list[TurnRoles]:
    """Leave out a last lap after others that never came back on course: that is the way on to something else."""
    way_on = len(group) > 1 and group[-1].end is None and established[-1] is None
    return manoeuvres[:-1] if way_on else manoeuvres


def _wrong_side(
    manoeuvres: list[TurnRoles],
    motion: Motion,
    procedure: Procedure,
    reading: EntryReading,
) -> bool:
    """Whether the turn was flown on the unprotected side; a parallel entry's first lap is meant to be."""
    wrong = False
    for lap, manoeuvre in enumerate(manoeuvres, start=1):
        reversal = manoeuvre.reversal_turn
        if reversal is None or (lap == 1 and reading.flown == "parallel"):
            continue
        middle = 0.5 * (reversal.start_s + reversal.end_s)
        cross = float(np.interp(middle, motion.time_s, motion.cross_m)) * procedure.side
        wrong = wrong or (reversal.direction != procedure.side and (cross < 0.0 or manoeuvre.offset_turn is not None))
    return wrong


def _return_s(groups: list[list[Circuit]], index: int, motion: Motion, turns: tuple[FlownTurn, ...]) -> float:
    """Where an attempt ends: the track's end, or where the aircraft sets course for the fix again."""
    if index + 1 >= len(groups):
        return float(motion.time_s[-1])
    last, following = groups[index][-1], groups[index + 1][0].start.at_s
    begin = last.end.at_s if last.end is not None else last.start.at_s
    return sets_course_s(begin, following, motion, turns)


def _first_start_s(circuit: Circuit, passed_s: list[float], motion: Motion, turns: tuple[FlownTurn, ...]) -> float:
    """Where the first attempt's arrival starts: the track's start, or the return from an earlier straight-in pass."""
    earlier = [at for at in passed_s if at < circuit.start.at_s - 1.0]
    if not earlier:
        return float(motion.time_s[0])
    return sets_course_s(earlier[-1], circuit.start.at_s, motion, turns)


def sets_course_s(from_s: float, to_s: float, motion: Motion, turns: tuple[FlownTurn, ...]) -> float:
    """Return the start of the last turn towards the fix between two passes; without one, the farthest point."""
    if to_s <= from_s + 1.0:
        return from_s
    for turn in reversed(turns):
        early, late = turn.start_s <= from_s + PHASES.return_after_s, turn.end_s >= to_s + PHASES.return_before_s
        if early or late or abs(turn.degrees) < PHASES.return_deg:
            continue
        if _off_the_fix_deg(motion, turn.start_s - 1.0) > PHASES.off_the_fix_deg:
            return turn.start_s
    between = np.flatnonzero((motion.time_s >= from_s) & (motion.time_s <= to_s))
    if not len(between):
        return from_s
    return float(motion.time_s[between[int(np.argmax(motion.distance_m[between]))]])


def _off_the_fix_deg(motion: Motion, at_s: float) -> float:
    """Angle between the ground track and the direction to the fix."""
    along, cross = (float(np.interp(at_s, motion.time_s, values)) for values in (motion.along_m, motion.cross_m))
    va, vc = (float(np.interp(at_s, motion.time_s, values)) for values in (motion.along_mps, motion.cross_mps))
    product = np.hypot(along, cross) * np.hypot(va, vc)
    return float(np.degrees(np.arccos(np.clip(-(along * va + cross * vc) / max(product, 1e-9), -1.0, 1.0))))
