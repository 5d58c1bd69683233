"""What was really flown, by the published definitions: from the noise-free flight and the pilot's control events."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from analyzer.flown import FixPassage, Phase
from analyzer.given import FlownAs, PhaseName, Procedure
from analyzer.synthesis.aircraft import State
from analyzer.synthesis.controls import AttemptNote, LapNote, TurnNote
from analyzer.synthesis.plan import FlightPlan
from analyzer.synthesis.truth_altitudes import altitude_truths
from analyzer.synthesis.truth_doubts import SMALLEST_TURN_DEG, doubts_about
from analyzer.synthesis.truth_measures import (
    arrival_track_deg,
    count_crossings,
    deflections,
    distance_excursions,
    established_index,
    overshoot_of,
    time_crossed,
    true_cone_radius_m,
)
from analyzer.synthesis.truth_values import AttemptTruth, Truth, TurnTruth, sector_entry
from analyzer.units import METRES_PER_NM, wrap_180

ALONG_COURSE_DEG = 10.0


def truth_of(
    state: State,
    notes: list[AttemptNote],
    procedure: Procedure,
    plan: FlightPlan,
    first_s: float,
    last_s: float,
) -> Truth:
    """Return the truth about a flight recorded from `first_s` to `last_s`, times counted from `first_s`."""
    seen = (state.time_s >= first_s - 1e-9) & (state.time_s <= last_s + 1e-9)
    cut = State(*(getattr(state, name)[seen] for name in State.__dataclass_fields__))
    moved = replace(cut, time_s=cut.time_s - first_s)
    flying = moved.altitude_m > moved.altitude_m.min() + 1.0 if plan.ending == "land" else moved.tas_mps > 0
    builder = _Builder(moved, procedure, plan, first_s)
    attempts = []
    for index, note in enumerate(notes):
        following = notes[index + 1] if index + 1 < len(notes) else None
        attempt = builder.attempt(note, notes[index - 1] if index else None, following, index + 1)
        if attempt is not None:
            attempts.append(attempt)
    return Truth(
        plan.wind_from_deg_true % 360.0, plan.wind_speed_mps, float(np.mean(moved.tas_mps[flying])), tuple(attempts)
    )


class _Builder:
    def __init__(self, state: State, procedure: Procedure, plan: FlightPlan, first_s: float) -> None:
        self.state, self.procedure, self.plan, self.first_s = state, procedure, plan, first_s
        self.time = state.time_s
        self.end_s = float(state.time_s[-1])
        self.distance = state.distance_m
        self.deflection = deflections(state, procedure)
        self.cone_m = true_cone_radius_m(state, procedure)
        wide = procedure.is_hold or bool(np.any((self.cone_m > METRES_PER_NM) & (self.distance < self.cone_m)))
        self.pass_m = (2.0 if wide else 1.0) * METRES_PER_NM

    def index(self, at_s: float) -> int:
        return int(np.clip(np.searchsorted(self.time, at_s), 0, len(self.time) - 1))

    def clock(self, flight_s: float | None) -> float:
        """Track time of a moment of the flight; past the end where it never came."""
        return float("inf") if flight_s is None else flight_s - self.first_s

    def passage(self, near_s: float, earliest_s: float, latest_s: float, direction: str) -> FixPassage | None:
        if near_s > self.end_s + 1e-9:
            return None
        low = self.index(max(earliest_s, near_s - 60.0, 0.0))
        high = self.index(min(latest_s, near_s + 60.0)) + 1
        here = low + int(np.argmin(self.distance[low:high]))
        if self.distance[here] > self.pass_m or here >= len(self.time) - 2:
            return None
        at_s = float(self.time[here])
        if 0 < here < len(self.time) - 1:  # vertex of the squared distance
            before, middle, after = (float(self.distance[here + step] ** 2) for step in (-1, 0, 1))
            curve = before - 2.0 * middle + after
            if curve > 0:
                at_s += 0.5 * (before - after) / curve * float(self.time[here + 1] - self.time[here])
        return FixPassage(at_s, float(np.interp(at_s, self.time, self.distance)), direction)  # type: ignore[arg-type]

    def attempt(
        self, note: AttemptNote, before: AttemptNote | None, following: AttemptNote | None, number: int
    ) -> AttemptTruth | None:
        if not note.laps:
            return None
        times = [self.clock(lap.passage_s) for lap in note.laps] + [self.clock(note.laps[-1].inbound_passage_s)]
        start = 0.0 if before is None or before.return_turn is None else self.clock(before.return_turn.start_s)
        middles = [start] + [0.5 * (a + min(b, self.end_s)) for a, b in pairwise(times)]
        middles.append(self.end_s)
        passages: list[FixPassage | None] = []
        for index, near in enumerate(times):
            direction = "outbound" if index == 0 else "inbound"
            passages.append(self.passage(near, middles[index], middles[index + 1], direction))
        first = passages[0]
        reversal = [turn for lap in note.laps for turn in lap.turns if turn.purpose == "reversal"]
        if first is None or not reversal or self.clock(reversal[0].start_s) > self.end_s:
            return None
        end = self.end_s if following is None or note.return_turn is None else self.clock(note.return_turn.start_s)
        phases = [Phase("arrival", 1, start, first.at_s)]
        turns: list[TurnTruth] = []
        established: list[float | None] = []
        timed: list[float | None] = []
        flown_laps = 0
        for index, lap in enumerate(note.laps):
            entered, left = passages[index], passages[index + 1]
            if entered is None:
                break
            flown_laps += 1
            stop = end if left is None else left.at_s
            known = self._lap(lap, index + 1, entered.at_s, stop, left is not None, phases, turns)
            established.append(known)
            timed.append(self._timed_leg(lap, phases, index + 1))
        out = passages[flown_laps]
        if out is not None and end > out.at_s:
            phases.append(Phase("final", flown_laps, out.at_s, end))
        last_lap = note.laps[flown_laps - 1]
        stop = end if out is None else out.at_s
        side = -self.procedure.side if note.wrong_side else self.procedure.side
        measures = self._intercept(last_lap, established[-1], stop, side)
        until = self.index(stop)
        limit = self.procedure.remain_within_m
        span = slice(self.index(first.at_s), until + 1)
        arrival = (arrival_track_deg(self.state, first.at_s) + self.procedure.inbound_true_deg) % 360.0
        relative = wrap_180(arrival - self.procedure.inbound_true_deg)
        expected, near_edge = sector_entry(relative, self.procedure.side)
        hold = self.procedure.is_hold
        window = None
        if following is not None and note.return_turn is not None:
            window = (end, min(self.end_s, self.clock(note.return_turn.end_s)))
        return AttemptTruth(
            number=number,
            start_s=start,
            end_s=end,
            passages=tuple(passage for passage in passages if passage is not None),
            flown_as="hold" if hold else self._flown_as(),
            entry=note.entry if hold else None,  # type: ignore[arg-type]
            entry_expected=expected if hold else None,
            entry_near_boundary=near_edge if hold else False,
            arrival_track_true_deg=arrival,
            laps=flown_laps,
            phases=tuple(phase for phase in phases if phase.end_s > phase.start_s),
            turns=tuple(turns),
            established=tuple(established),
            established_at_m=None if established[-1] is None else self._distance_at(established[-1]),
            timed_legs_s=tuple(timed),
            altitudes=altitude_truths(
                self.state, self.procedure, first.at_s, established[-1], out.at_s if out else None, start, end
            ),
            max_distance_m=float(np.max(self.distance[span])),
            distance_excursions=()
            if limit is None
            else distance_excursions(self.time[span], self.distance[span], limit),
            wrong_side=note.wrong_side,
            complete=out is not None,
            return_window_s=window,
            doubts=doubts_about(note.laps[:flown_laps], self._farthest_between(passages), self.pass_m),
            **measures,  # type: ignore[arg-type]
        )

    def _flown_as(self) -> FlownAs:
        method = self.plan.method
        return "other" if method in ("straight in",) else method  # type: ignore[return-value]

    def _distance_at(self, at_s: float) -> float:
        return float(np.interp(at_s, self.time, self.distance))

    def _lap(
        self,
        lap: LapNote,
        number: int,
        start: float,
        stop: float,
        complete: bool,
        phases: list[Phase],
        turns: list[TurnTruth],
    ) -> float | None:
        """Append the phases of one circuit and return when it was established."""
        marks: list[tuple[PhaseName, float]] = []
        reversal_end = float("inf")
        reversal_start = float("inf")
        level_s = 0.0
        after_offset: PhaseName = "offset leg"
        here: PhaseName = "outbound"
        marks.append(("outbound", start))
        for turn in lap.turns:
            begins, level = self.clock(turn.start_s), self.clock(turn.end_s)
            if begins >= stop:
                break
            if turn.end_s is not None and abs(turn.degrees) < SMALLEST_TURN_DEG and turn.purpose != "reversal":
                continue
            if turn.purpose == "outbound" and level > start:
                marks[0] = ("outbound turn", start)
                marks.append(("outbound", level))
                here = "outbound turn"
            elif turn.purpose == "offset":
                marks.append(("offset turn", begins))
                if self.plan.method == "45/180":
                    marks.append((after_offset, level))
                here = "offset turn"
            elif turn.purpose == "reversal":
                marks.append(("reversal turn", begins))
                reversal_start, reversal_end = begins, level
                here = "reversal turn"
            elif turn.purpose == "onto course":
                here = "intercept"
                level_s = max(level_s, level)
            if turn.purpose != "outbound" or here == "outbound turn":
                name: PhaseName = here
                if turn.end_s is not None:
                    turns.append(TurnTruth(name, number, begins, min(level, self.end_s), turn.degrees))
        established = None
        if reversal_start < stop:
            found = established_index(
                self.state, self.deflection, self.distance < self.cone_m, self.index(reversal_start),
                self.index(stop), complete,
            )  # fmt: skip
            established = None if found is None else float(self.time[found])
        if reversal_end < stop:
            inbound_from = float("inf")
            if established is not None:
                # a turn onto the course that is still under way when established is part of the intercept
                under_way = [
                    self.clock(turn.end_s)
                    for turn in lap.turns
                    if turn.purpose == "onto course"
                    and turn.end_s is not None
                    and abs(turn.degrees) >= SMALLEST_TURN_DEG
                    and self.clock(turn.start_s) <= established
                ]
                inbound_from = max([established, reversal_end, *under_way])
            if inbound_from > reversal_end:
                marks.append(("intercept", reversal_end))
            if inbound_from < stop:
                marks.append(("inbound", inbound_from))
        ends = [mark[1] for mark in marks[1:]] + [stop]
        for (name, begin), end in zip(marks, ends, strict=True):
            if begin < stop:
                phases.append(Phase(name, number, begin, min(end, stop)))
        return established

    def _timed_leg(self, lap: LapNote, phases: list[Phase], number: int) -> float | None:
        reversal = next((turn for turn in lap.turns if turn.purpose == "reversal"), None)
        if reversal is None or self.clock(reversal.start_s) > self.end_s:
            return None
        roll_in = self.clock(reversal.start_s)
        if self.plan.method == "45/180":
            offset = next(turn for turn in lap.turns if turn.purpose == "offset")
            from_turn = self.procedure.timing_from == "turn start"
            return roll_in - self.clock(offset.start_s if from_turn else offset.end_s)
        charted_s = self.procedure.outbound_s if self.procedure.reversal == "teardrop" else None
        if not self.procedure.is_hold and (self.plan.method != "teardrop" or charted_s is None):
            return None
        start = next(phase.start_s for phase in phases if phase.lap == number and phase.name == "outbound")
        low, high = self.index(self.clock(lap.passage_s) - 5.0), self.index(roll_in)
        along = self.state.along_m[low : high + 1]
        behind = np.flatnonzero(along < 0.0)
        if behind.size and behind[-1] + 1 < len(along):
            start = max(start, time_crossed(self.time[low : high + 1], along, int(behind[-1])))
        if charted_s is not None:  # over the fix or with wings level, whichever comes nearer to the time
            passed = next(phase.start_s for phase in phases if phase.lap == number and phase.name != "arrival")
            start = min((passed, start), key=lambda begun: abs(roll_in - begun - charted_s))
        return roll_in - start

    def _intercept(self, lap: LapNote, established: float | None, stop: float, side: int) -> dict[str, object]:
        """Angle, overshoot, crossings and deflections of one lap's way onto the course."""
        state = self.state
        reversal = next((turn for turn in lap.turns if turn.purpose == "reversal"), None)
        nothing: dict[str, object] = {
            "intercept_angle_deg": None, "intercept_angle_later_deg": None, "overshoot_m": 0.0, "crossings": 0,
            "rms_deflection": None, "max_deflection": None,
        }  # fmt: skip
        if reversal is None or self.clock(reversal.start_s) >= stop:
            return nothing
        low, high = self.index(self.clock(reversal.start_s)), self.index(stop)
        onto = [
            turn
            for turn in lap.turns
            if turn.purpose == "onto course"
            and self.clock(turn.start_s) < stop
            and not abs(turn.degrees) < SMALLEST_TURN_DEG
            and (established is None or self.clock(turn.start_s) <= established)
        ]
        angles = self._angles_before(onto)
        cross = state.cross_m[low : high + 1]
        changes = np.flatnonzero(np.sign(cross[1:]) * np.sign(cross[:-1]) < 0)
        if not angles and reversal.end_s is not None and self.clock(reversal.end_s) <= self.end_s:
            rolled_out = self._angle_at(self.clock(reversal.end_s))
            crossed = [self._angle_at(float(self.time[low + change])) for change in changes]
            inbound = [angle for angle in crossed if angle < 90.0]
            # an intercept that runs to the fix without a turn onto the course has no angle
            angles = [] if rolled_out > ALONG_COURSE_DEG and established is None else inbound[:1] or [0.0]
        until = high if established is None else self.index(established)
        in_cone = (self.distance < self.cone_m)[low : high + 1]
        values: dict[str, object] = {
            "intercept_angle_deg": angles[0] if angles else None,
            "intercept_angle_later_deg": angles[-1] if len(angles) > 1 else None,
            "overshoot_m": overshoot_of(cross[: until - low + 1], side),
            "crossings": count_crossings(self.deflection[low : high + 1], in_cone),
            "rms_deflection": None,
            "max_deflection": None,
        }
        if established is not None:
            counts = (np.arange(low, high + 1) >= self.index(established)) & ~in_cone
            needle = self.deflection[low : high + 1][counts]
            if needle.size:
                values["rms_deflection"] = float(np.sqrt(np.mean(needle**2)))
                values["max_deflection"] = float(np.max(np.abs(needle)))
        return values

    def _angles_before(self, onto: list[TurnNote]) -> list[float]:
        """Angles before the turns onto the course: first the one that first brings the track along it."""
        angles = [self._angle_at(self.clock(turn.start_s)) for turn in onto]
        for number, turn in enumerate(onto):
            span = slice(self.index(self.clock(turn.start_s)), self.index(self.clock(turn.end_s)) + 1)
            along_course = np.abs(self.state.track_relative_deg[span]) <= ALONG_COURSE_DEG
            if angles[number] > ALONG_COURSE_DEG and bool(along_course.any()):
                return angles[number:]
        return angles[-1:]

    def _angle_at(self, at_s: float) -> float:
        return float(abs(self.state.track_relative_deg[self.index(at_s)]))

    def _farthest_between(self, passages: list[FixPassage | None]) -> list[float]:
        """Largest distance from the fix between each two passages."""
        known = [passage.at_s for passage in passages if passage is not None]
        return [float(np.max(self.distance[self.index(begin) : self.index(end) + 1])) for begin, end in pairwise(known)]
