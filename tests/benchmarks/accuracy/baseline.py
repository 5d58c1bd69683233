"""The plain method that the analyzer is to beat: a smoothed turn rate with a threshold, rules in a row."""

from typing import Any

import numpy as np

from analyzer.given.plane import frame_of
from analyzer.given.procedure import Procedure
from analyzer.given.track import Track
from analyzer.synthesis import sector_entry
from analyzer.units.arrays import FloatArray
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

STEP_S = 0.5
SMOOTH_S = 5.0
TURN_RATE_DEG_S = 1.0
SMALLEST_TURN_DEG = 20.0


def baseline_result(track: Track, procedure: Procedure) -> dict[str, Any]:
    """Return attempts and wind in the shape of a result file, as far as the plain method goes."""
    frame = frame_of(procedure)
    along_raw, cross_raw = frame.along_cross_m(track.latitude_deg, track.longitude_deg)
    time = np.arange(0.0, track.duration_s, STEP_S)
    along = _smooth(np.interp(time, track.time_s, along_raw))
    cross = _smooth(np.interp(time, track.time_s, cross_raw))
    along_mps, cross_mps = np.gradient(along, STEP_S), np.gradient(cross, STEP_S)
    course = np.degrees(np.unwrap(np.arctan2(cross_mps, -along_mps)))
    rate = _smooth(np.gradient(course, STEP_S))
    turns = _turns(time, course, rate)
    distance = np.hypot(along, cross)
    passages = _passages(time, distance, (2.0 if procedure.is_hold else 1.0) * METRES_PER_NM)
    altitude = None
    if track.altitude_m is not None:
        good = np.isfinite(track.altitude_m)
        altitude = np.interp(time, track.time_s[good], track.altitude_m[good])
    state = {"time": time, "along": along, "cross": cross, "course": course, "distance": distance}
    attempts = _attempts(state, turns, passages, procedure, altitude)
    return {"attempts": attempts, "wind": _wind(time, *frame.east_north_from_along_cross(along_mps, cross_mps), turns)}


def _smooth(values: FloatArray) -> FloatArray:
    width = int(SMOOTH_S / STEP_S) | 1
    padded = np.pad(values, width // 2, mode="edge")
    return np.convolve(padded, np.ones(width) / width, mode="valid")


def _turns(time: FloatArray, course: FloatArray, rate: FloatArray) -> list[tuple[float, float, float]]:
    """Start, end and degrees of each stretch in which the turn rate stays beyond the threshold on one side."""
    found = []
    for sign in (1.0, -1.0):
        turning = sign * rate > TURN_RATE_DEG_S
        edges = np.flatnonzero(np.diff(np.concatenate(([False], turning, [False])).astype(int)))
        for low, high in zip(edges[::2], edges[1::2] - 1, strict=True):
            degrees = float(course[high] - course[low])
            if abs(degrees) >= SMALLEST_TURN_DEG:
                found.append((float(time[low]), float(time[high]), degrees))
    return sorted(found)


def _passages(time: FloatArray, distance: FloatArray, within_m: float) -> list[int]:
    inside = distance <= within_m
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(int)))
    lows = [low + int(np.argmin(distance[low:high])) for low, high in zip(edges[::2], edges[1::2], strict=True)]
    return [low for low in lows if 0 < low < len(time) - 1]


def _attempts(
    state: dict[str, FloatArray],
    turns: list[tuple[float, float, float]],
    passages: list[int],
    procedure: Procedure,
    altitude: FloatArray | None,
) -> list[dict[str, Any]]:
    time = state["time"]
    circuits = []
    for number, low in enumerate(passages):
        begin = float(time[low])
        end = float(time[passages[number + 1]]) if number + 1 < len(passages) else float(time[-1])
        inside = [turn for turn in turns if turn[1] > begin - 2.0 and turn[0] < end - 2.0]
        outbound = np.cos(np.radians(state["course"][(time >= begin) & (time <= end)])) < -0.5
        if any(abs(turn[2]) > 100.0 for turn in inside) and outbound.mean() > 0.1:
            circuits.append((begin, end, inside, number + 1 < len(passages)))
    attempts: list[dict[str, Any]] = []
    groups: list[list[Any]] = []
    for circuit in circuits:
        if groups and procedure.is_hold and abs(groups[-1][-1][1] - circuit[0]) < 1.0:
            groups[-1].append(circuit)
        else:
            groups.append([circuit])
    for number, group in enumerate(groups):
        start = 0.0 if number == 0 else attempts[-1]["end_s"]
        stop = float(time[-1])
        if number + 1 < len(groups):  # halfway from this attempt's last passage to the next one's first
            stop = 0.5 * (group[-1][1] + groups[number + 1][0][0])
        attempts.append(_attempt(number + 1, group, start, stop, state, procedure, altitude))
    return attempts


def _attempt(
    number: int,
    group: list[Any],
    start: float,
    stop: float,
    state: dict[str, FloatArray],
    procedure: Procedure,
    altitude: FloatArray | None,
) -> dict[str, Any]:
    time = state["time"]
    phases: list[tuple[str, int, float, float]] = [("arrival", 1, start, group[0][0])]
    established = None
    for lap, (begin, end, turns, _) in enumerate(group, 1):
        big = [turn for turn in turns if abs(turn[2]) > 100.0]
        reversal = big[-1]
        before = [turn for turn in turns if turn[1] <= reversal[0] + 1.0]
        marks: list[tuple[str, float]] = [("outbound", begin)]
        if before and before[0][0] < begin + 15.0:
            marks = [("outbound turn", begin), ("outbound", before[0][1])]
            before = before[1:]
        if before and not procedure.is_hold and abs(before[-1][2]) < 110.0:
            marks.append(("offset turn", before[-1][0]))
            if reversal[0] - before[-1][1] > 10.0:
                marks.append(("offset leg", before[-1][1]))
        marks.append(("reversal turn", reversal[0]))
        established = _established(state, reversal[0], end, procedure)
        if established is None or established > reversal[1] + 1.0:
            marks.append(("intercept", reversal[1]))
        if established is not None:
            marks.append(("inbound", max(established, reversal[1])))
        ends = [mark[1] for mark in marks[1:]] + [end]
        phases += [
            (mark[0], lap, mark[1], finish) for mark, finish in zip(marks, ends, strict=True) if finish > mark[1]
        ]
    last = group[-1]
    if last[3]:
        phases.append(("final", len(group), last[1], stop))
    names = {phase[0] for phase in phases}
    first_turns = group[0][2]
    flown_as = _method(names, first_turns, procedure)
    arrival = (time > group[0][0] - 30.0) & (time <= group[0][0])
    relative = float(np.mean(state["course"][arrival])) if arrival.any() else 0.0
    expected, _ = sector_entry((relative + 180.0) % 360.0 - 180.0, procedure.side)
    offset = next((phase for phase in phases if phase[0] == ("outbound" if procedure.is_hold else "offset leg")), None)
    inside = (time >= group[0][0]) & (time <= last[1])
    return {
        "number": number, "start_s": start, "end_s": stop, "flown_as": flown_as, "laps": len(group),
        "entry": _entry(first_turns, procedure) if procedure.is_hold else None,
        "entry_expected": expected if procedure.is_hold else None,
        "fix_passages": [{"at_s": begin} for begin in [group[0][0], *[one[1] for one in group if one[3]]]],
        "phases": [{"name": name, "lap": lap, "start_s": begin, "end_s": end} for name, lap, begin, end in phases],
        "intercept": _intercept(state, phases, established, last, procedure),
        "timing": None if offset is None else {"leg_s": offset[3] - offset[2]},
        "altitudes": [] if altitude is None else _altitudes(time, altitude, phases, established, last, procedure),
        "containment": {
            "max_distance_nm": float(state["distance"][inside].max()) / METRES_PER_NM,
            "excursions": _excursions(time[inside], state["distance"][inside], procedure),
        },
    }  # fmt: skip


def _method(names: set[str], turns: list[tuple[float, float, float]], procedure: Procedure) -> str:
    if procedure.is_hold:
        return "hold"
    if "offset leg" in names:
        return "45/180"
    if "offset turn" in names:
        return "80/260"
    if sum(1 for turn in turns if abs(turn[2]) > 100.0) >= 2:
        return "racetrack"
    return "teardrop"


def _entry(turns: list[tuple[float, float, float]], procedure: Procedure) -> str:
    big = [turn for turn in turns if abs(turn[2]) > 100.0]
    if len(big) >= 2:
        return "direct"
    return "teardrop" if big[-1][2] * procedure.side > 0 else "parallel"


def _needle(state: dict[str, FloatArray], procedure: Procedure) -> FloatArray:
    guidance = procedure.guidance
    if guidance.full_scale_m is not None:
        return state["cross"] / guidance.full_scale_m
    station = guidance.station
    along, cross = frame_of(procedure).along_cross_m(station.latitude_deg, station.longitude_deg)
    angle = np.degrees(np.arctan2(state["cross"] - cross, np.abs(state["along"] - along)))
    return np.asarray(angle / (guidance.full_scale_deg or 10.0))


def _established(state: dict[str, FloatArray], begin: float, end: float, procedure: Procedure) -> float | None:
    time = state["time"]
    inside = np.flatnonzero((time >= begin) & (time <= end))
    relative = (state["course"] + 180.0) % 360.0 - 180.0
    good = ((np.abs(_needle(state, procedure)) <= 0.5) & (np.abs(relative) <= 10.0))[inside]
    need = int(10.0 / STEP_S)
    for index in np.flatnonzero(good).tolist():
        if good[index : index + need].all():
            return float(time[inside[index]])
    return None


def _intercept(
    state: dict[str, FloatArray],
    phases: list[tuple[str, int, float, float]],
    established: float | None,
    last: Any,
    procedure: Procedure,
) -> dict[str, Any]:
    time = state["time"]
    reversal = next(phase for phase in reversed(phases) if phase[0] == "reversal turn")
    until = established if established is not None else last[1]
    span = (time >= reversal[2]) & (time <= until)
    cross = state["cross"][span]
    crossed = np.flatnonzero(np.diff(np.sign(cross)))
    over = max(0.0, float((-procedure.side * cross[crossed[0] :]).max())) if len(crossed) else 0.0
    whole = state["cross"][(time >= reversal[2]) & (time <= last[1])]
    onto = [turn for turn in last[2] if turn[0] > reversal[3] - 1.0]
    at = onto[-1][0] if onto else (time[span][crossed[0]] if len(crossed) else reversal[3])
    relative = (float(np.interp(at, time, state["course"])) + 180.0) % 360.0 - 180.0
    there = None if established is None else float(np.interp(established, time, state["distance"])) / METRES_PER_NM
    return {
        "angle_deg": abs(relative), "overshoot_nm": over / METRES_PER_NM,
        "crossings": int(np.count_nonzero(np.diff(np.sign(whole)))), "established": established is not None,
        "established_s": established, "established_at_nm": there,
    }  # fmt: skip


def _stretches(time: FloatArray, excess: FloatArray) -> list[tuple[float, float, float]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], excess > 0.0, [False])).astype(int)))
    return [
        (float(time[low]), float(time[high - 1]), float(excess[low:high].max()))
        for low, high in zip(edges[::2], edges[1::2], strict=True)
    ]


def _excursions(time: FloatArray, distance: FloatArray, procedure: Procedure) -> list[dict[str, Any]]:
    if procedure.remain_within_m is None:
        return []
    return [
        {"area": "distance limit", "start_s": begin, "end_s": end, "max_nm": most / METRES_PER_NM}
        for begin, end, most in _stretches(time, distance - procedure.remain_within_m)
    ]


def _altitudes(
    time: FloatArray,
    altitude: FloatArray,
    phases: list[tuple[str, int, float, float]],
    established: float | None,
    last: Any,
    procedure: Procedure,
) -> list[dict[str, Any]]:
    first, end = phases[0][3], phases[-1][3]
    until = established if established is not None else last[1]
    spans = {
        "arrival": (phases[0][2], first),
        "reversal": (first, until),
        "inbound": (until, last[1]),
        "final": (last[1], end),
    }
    found = []
    for limit in procedure.altitudes:
        begin, finish = spans[limit.segment]
        span = (time >= begin) & (time <= finish)
        low = -np.inf if limit.low_m is None else limit.low_m
        high = np.inf if limit.high_m is None else limit.high_m
        slack = 100.0 * METRES_PER_FOOT if limit.rule == "at" else 0.0
        violations = []
        for sign, edge in ((1.0, low), (-1.0, high)):
            if not np.isfinite(edge):
                continue
            for start, stop, most in _stretches(time[span], sign * (edge - altitude[span]) - slack):
                worst = (edge - sign * (most + slack)) / METRES_PER_FOOT
                violations.append({"start_s": start, "end_s": stop, "worst_ft": worst})
        bounds = [value / METRES_PER_FOOT for value in (low, high) if np.isfinite(value)]
        shown = bounds if limit.rule == "between" else bounds[0]
        found.append({"segment": limit.segment, "rule": limit.rule, "limit_ft": shown, "violations": violations})
    return found


def _wind(
    time: FloatArray, east_mps: FloatArray, north_mps: FloatArray, turns: list[tuple[float, float, float]]
) -> dict[str, Any] | None:
    """Algebraic circle fit to the ground velocity in all turns: its centre is the wind."""
    turning = np.zeros(len(time), dtype=bool)
    for begin, end, _ in turns:
        turning |= (time >= begin) & (time <= end)
    if turning.sum() < 10:
        turning[:] = True
    east, north = east_mps[turning], north_mps[turning]
    matrix = np.column_stack([2.0 * east, 2.0 * north, np.ones(len(east))])
    centre = np.linalg.lstsq(matrix, east**2 + north**2, rcond=None)[0]
    from_deg = float(np.degrees(np.arctan2(-centre[0], -centre[1])) % 360.0)
    return {"from_deg_true": from_deg, "speed_kt": float(np.hypot(centre[0], centre[1])) / MPS_PER_KNOT}
