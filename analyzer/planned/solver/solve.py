"""One call for every kind of reversal: the plan for a procedure in a wind, or why there is none."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analyzer.given import Entry, FlownAs, Procedure, Wind, frame_of
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.margins import point_margins_m
from analyzer.planned.solver.air import Air, NoSuchHeadingError, air_for, short_way
from analyzer.planned.solver.constraints import checked
from analyzer.planned.solver.distances import charted_teardrop, hold_leg, hold_leg_s
from analyzer.planned.solver.entries import ESTABLISHED_S, parallel_entry, teardrop_entry
from analyzer.planned.solver.holds import Leg, fly_circuit, solve_circuit
from analyzer.planned.solver.procedure_turns import (
    Turned,
    eighty,
    fly_procedure_turn,
    forty_five,
    latest_start_m,
    outbound_seconds,
)
from analyzer.planned.solver.sketch import Sketch, sampled
from analyzer.planned.solver.teardrops import FARTHER_SHARE, fly_teardrop, told_time
from analyzer.planned.solver.thumb import rule_of_thumb
from analyzer.planned.solver.values import NoPlan, NoPlanError, SolvedPlan
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT, bank_of_turn_deg, difference_deg

#: a wind slower than this is called still air
STILL_MPS = 0.25
#: a wind above this share of the airspeed is not planned for (own choice: drift is over 36 degrees)
MOST_WIND_SHARE = 0.6
#: a direct entry from farther off the inbound course than this comes from across it (own choice)
ACROSS_DEG = 45.0
#: the turn of a procedure turn is begun earlier by steps until all of it is inside the primary area
EARLIER_M, MOST_EARLIER = 0.1 * METRES_PER_NM, 80


@dataclass(frozen=True)
class Asked:
    """What a plan is for.

    Parameters
    ----------
    procedure : Procedure
    tas_mps : float
        True airspeed, greater than zero.
    wind : Wind or None
        None or a calm: still air.
    method : str
        "45/180", "80/260", "teardrop", "racetrack" or "hold".
    entry : str or None
        Of a hold; None: direct.
    arrival_true_deg : float or None
        Ground track on which the fix of a hold is reached; None: a direct entry comes along the inbound course, the
        others begin on their outbound track.
    same_way : bool
        45/180: the 180 turns the same way as the 45.
    go_round : bool
        A circuit follows the entry also where the procedure ends with it, as it does in lieu of a procedure turn.
    """

    procedure: Procedure
    tas_mps: float
    wind: Wind | None
    method: FlownAs
    entry: Entry | None = None
    arrival_true_deg: float | None = None
    same_way: bool = False
    go_round: bool = False

    @property
    def calm(self) -> "Asked":
        """The same in still air."""
        return replace(self, wind=None)


def solve(asked: Asked, areas: Sequence[Area] = (), doubt_m: float = 0.0) -> SolvedPlan | NoPlan:
    """Return the plan for a reversal, solved on the exact path, or why there is none.

    Parameters
    ----------
    asked : Asked
    areas : sequence of Area
        The primary area among them must hold the whole plan.
    doubt_m : float
        Room that the plan keeps to the edges of what must not be left.

    Raises
    ------
    ValueError
        For an airspeed that is none, or a method without a plan ("other").

    Notes
    -----
    A wind-corrected plan rolls out where still air does: on the course, or as far from it, so that the charted time or
    distance is the still-air answer. Rates: 3 deg/s or 25 degrees of bank, whichever needs less bank.
    """
    if not (math.isfinite(asked.tas_mps) and asked.tas_mps > 0.0):
        raise ValueError(f"tas_mps is {asked.tas_mps}; a path needs an airspeed greater than zero")
    side = asked.procedure.side
    along, cross = 0.0, 0.0
    wind = asked.wind
    if wind is not None and wind.speed_mps >= STILL_MPS:
        along, cross = frame_of(asked.procedure).along_cross_from_east_north(wind.east_mps, wind.north_mps)
    else:
        wind = None
    air = air_for(asked.tas_mps, float(along), side * float(cross))
    try:
        if wind is not None and wind.speed_mps > MOST_WIND_SHARE * asked.tas_mps:
            raise NoPlanError(
                f"{wind.speed_mps / MPS_PER_KNOT:.0f} kt of wind at {asked.tas_mps / MPS_PER_KNOT:.0f} kt: not with "
                "this speed; ask for vectors or another approach"
            )
        try:
            return _within(asked, air, wind, areas, doubt_m)
        except NoSuchHeadingError:
            speed_kt = 0.0 if wind is None else wind.speed_mps / MPS_PER_KNOT
            raise NoPlanError(
                f"at {asked.tas_mps / MPS_PER_KNOT:.0f} kt no heading holds the course in {speed_kt:.0f} kt of wind: "
                "not with this speed; ask for vectors or another approach"
            ) from None
    except NoPlanError as no:
        return NoPlan(asked.method, _entry(asked), asked.tas_mps, wind, no.reason, no.failed)


def _entry(asked: Asked) -> Entry | None:
    return (asked.entry or "direct") if asked.method == "hold" else None


def _within(asked: Asked, air: Air, wind: Wind | None, areas: Sequence[Area], doubt_m: float) -> SolvedPlan:
    """Fly the plan; a teardrop whose longer leg leaves limit or area is tried with less of it."""
    shares = (FARTHER_SHARE, 0.5 * FARTHER_SHARE, 0.0) if asked.method == "teardrop" and wind is not None else (0.0,)
    for farther_share in shares[:-1]:
        try:
            return checked(_flown(asked, air, wind, areas, doubt_m, farther_share), asked.procedure, areas, doubt_m)
        except NoPlanError:
            continue
    return checked(_flown(asked, air, wind, areas, doubt_m, shares[-1]), asked.procedure, areas, doubt_m)


def _flown(
    asked: Asked, air: Air, wind: Wind | None, areas: Sequence[Area], doubt_m: float, farther_share: float
) -> SolvedPlan:
    """Fly the plan of the asked kind."""
    procedure = asked.procedure
    still = air_for(asked.tas_mps, 0.0, 0.0)
    latest_m = None
    if asked.method in ("hold", "racetrack"):
        sketch, inbound_s, notes = _hold(asked, air, still)
    elif asked.method == "teardrop":
        charted = charted_teardrop(procedure)
        sketch, inbound_s = fly_teardrop(air, charted, still, farther_share)
        notes = told_time(charted.seconds, sketch.pieces[0].timed_s)
    elif asked.method in ("45/180", "80/260"):
        sketch, inbound_s, latest_m = _procedure_turn(asked, air, still, areas, doubt_m)
        notes = ()
    else:
        raise ValueError(f"{asked.method} is no method of a reversal with a plan")
    legs = sampled(sketch, procedure.side, procedure.inbound_true_deg)
    return SolvedPlan(
        method=asked.method,
        entry=_entry(asked),
        tas_mps=asked.tas_mps,
        rate_deg_s=air.rate_deg_s,
        bank_deg=bank_of_turn_deg(air.rate_deg_s, asked.tas_mps),
        wind=wind,
        legs=legs,
        roll_out_m=(sketch.roll_out_m[0], procedure.side * sketch.roll_out_m[1]),
        inbound_s=inbound_s,
        beyond_m=0.0,
        farthest_m=max(float(np.max(np.hypot(leg.along_m, leg.cross_m))) for leg in legs),
        notes=notes,
        thumb=None if wind is None else rule_of_thumb(asked.method, procedure, air, legs),
        latest_start_m=latest_m,
        arrival_true_deg=asked.arrival_true_deg if asked.method == "hold" else None,
    )


# --- holds ---------------------------------------------------------------------------------------------------------


def _hold(asked: Asked, air: Air, still: Air) -> tuple[Sketch, float, tuple[str, ...]]:
    """Fly the entry and, where one is asked for, a circuit after it."""
    procedure = asked.procedure
    entry = _entry(asked) or "direct"
    leg = Leg(inbound_s=hold_leg_s(procedure)) if asked.method == "racetrack" else hold_leg(procedure)
    inbound = air.heading_for_track(0.0)
    arrival, still_arrival = _arrival_deg(asked, air), _arrival_deg(asked, still)
    sketch = Sketch(air, inbound % 360.0 if arrival is None else arrival % 360.0)
    notes: list[str] = []
    in_lieu = procedure.reversal == "hold in lieu" or asked.method == "racetrack"
    if entry == "direct":
        across = arrival is not None and abs(short_way(inbound, arrival)) > ACROSS_DEG
        inbound_s = fly_circuit(sketch, leg, solve_circuit(sketch, leg, entering=across))
    elif entry == "teardrop":
        aim = None if air == still else _still_beside_m(still, leg, hold_leg_s(procedure), still_arrival)
        inbound_s = teardrop_entry(sketch, leg, hold_leg_s(procedure), arrival, aim)
    else:
        aim = None if air == still else _still_x_m(still, leg, hold_leg_s(procedure), still_arrival)
        least_s = ESTABLISHED_S if in_lieu else 0.0
        inbound_s = parallel_entry(sketch, leg, hold_leg_s(procedure), arrival, aim, least_s)
    another = (asked.go_round or not in_lieu) and (entry != "direct" or arrival is not None)
    if in_lieu and entry != "direct" and inbound_s < ESTABLISHED_S:
        notes.append("The entry leaves no time to be established before the fix: ask for one circuit more.")
        another = True
    if another:
        sketch.lap += 1
        sketch.heading_deg = inbound % 360.0
        sketch.x_m, sketch.y_m = min(sketch.x_m, 0.0), 0.0
        inbound_s = fly_circuit(sketch, leg, solve_circuit(sketch, leg))
    asked_s = leg.inbound_s
    if asked_s is not None and (another or entry == "direct") and abs(inbound_s - asked_s) > 10.0:
        notes.append(
            f"The inbound leg comes out at {inbound_s:.0f} s instead of {asked_s:.0f} s: no outbound time makes it "
            "right in this wind."
        )
    return sketch, inbound_s, tuple(notes)


def _arrival_deg(asked: Asked, air: Air) -> float | None:
    """Heading on which the fix is reached, relative, in the solver's plane; None where it is not known."""
    if asked.arrival_true_deg is None or asked.method != "hold":
        return None
    procedure = asked.procedure
    track = procedure.side * float(difference_deg(procedure.inbound_true_deg, asked.arrival_true_deg))
    return air.heading_for_track(track)


def _still_beside_m(still: Air, leg: Leg, charted_s: float, arrival_deg: float | None) -> float:
    """Where the turn of a teardrop entry ends beside the course in still air."""
    sketch = Sketch(still)
    teardrop_entry(sketch, leg, charted_s, arrival_deg, None)
    number = next(n for n, piece in enumerate(sketch.pieces) if piece.phase == "reversal turn")
    piece = sketch.pieces[number]
    return piece.y_m + still.turn(piece.heading_deg, (-piece.heading_deg) % 360.0)[1]


def _still_x_m(still: Air, leg: Leg, charted_s: float, arrival_deg: float | None) -> float:
    """How far out the turn of a parallel entry begins in still air."""
    sketch = Sketch(still)
    parallel_entry(sketch, leg, charted_s, arrival_deg, None, 0.0)
    return next(piece.x_m for piece in sketch.pieces if piece.phase == "reversal turn")


# --- procedure turns -----------------------------------------------------------------------------------------------


def _procedure_turn(
    asked: Asked, air: Air, still: Air, areas: Sequence[Area], doubt_m: float
) -> tuple[Sketch, float, float | None]:
    """Fly a 45/180 or 80/260 from the fix, its turn begun so that all of it stays inside."""
    limit_m = asked.procedure.remain_within_m
    limit_m = None if limit_m is None else limit_m - doubt_m
    calm = _turned(asked, still, None)
    aim_x_m = calm.x_m + still.tas_mps * outbound_seconds(still, calm, limit_m, None)
    turned, aim = (calm, None) if air == still else (_turned(asked, air, calm.y_m), aim_x_m)
    seconds = outbound_seconds(air, turned, limit_m, aim)
    latest_m = None if limit_m is None else latest_start_m(turned, limit_m)
    sketch, inbound_s = fly_procedure_turn(air, turned, seconds)
    primary = next((area.shape for area in areas if area.name == "primary"), None)
    step_s = EARLIER_M / air.ground_mps(air.heading_for_track(180.0))[0]
    side, course = asked.procedure.side, asked.procedure.inbound_true_deg
    for _ in range(MOST_EARLIER):
        if primary is None or seconds - step_s < 15.0:
            break
        legs = sampled(sketch, side, course)
        if room_m(primary, legs) >= doubt_m:
            break
        seconds -= step_s
        sketch, inbound_s = fly_procedure_turn(air, turned, seconds)
    return sketch, inbound_s, latest_m


def room_m(shape: object, legs: Sequence[object]) -> float:
    """Return the smallest distance of a path to the edge of an area, negative outside."""
    along = np.concatenate([leg.along_m for leg in legs])  # type: ignore[attr-defined]
    cross = np.concatenate([leg.cross_m for leg in legs])  # type: ignore[attr-defined]
    return float(np.min(point_margins_m(shape, along, cross)))


def _turned(asked: Asked, air: Air, aim_y_m: float | None) -> Turned:
    procedure = asked.procedure
    if asked.method == "80/260":
        return eighty(air, aim_y_m)
    offset = procedure.side * float(difference_deg(procedure.inbound_true_deg, procedure.offset_true_deg))
    return forty_five(
        air,
        offset,
        (procedure.outbound_s, procedure.outbound_m),
        procedure.timing_from == "turn start",
        aim_y_m,
        -1 if asked.same_way else 1,
    )
