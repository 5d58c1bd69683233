"""Motion, procedure and attempt made by hand: straights and turns with known moments, for the tests of measurements."""

from dataclasses import replace
from typing import Any

import numpy as np

from analyzer.flown import AltitudeProfile, AltitudeRecord, Flight, RecordedProfile, air_motion
from analyzer.flown.attempt import Attempt, FixPassage, FlownTurn, Phase
from analyzer.flown.motion.motion import Motion
from analyzer.given import Track, Wind, frame_of
from analyzer.given.procedure import Guidance, Place, Procedure
from analyzer.given.reversal_names import PhaseName
from analyzer.units.factors import METRES_PER_NM

INBOUND_TRUE_DEG = 125.0
FIX = Place(46.2, -101.5, "HRF", 579.0)
SPEED_MPS = 60.0


def procedure(**changes: Any) -> Procedure:
    """A procedure turn on a VOR; its turn side is "right", so that the manoeuvre lies left of the inbound course."""
    base = Procedure(
        title="VOR-A", reversal="procedure turn", fix=FIX, inbound_true_deg=INBOUND_TRUE_DEG, variation_deg=7.0,
        variation_source="file", turn_side="right", outbound_true_deg=305.0, offset_true_deg=350.0,
        guidance=Guidance("VOR", FIX, 10.0, None), remain_within_m=10 * METRES_PER_NM, outbound_s=60.0,
        outbound_m=None, timing_from="wings level", max_ias_mps=None, altitudes=(), criteria="US", category="A",
    )  # fmt: skip
    return replace(base, **changes)


def mirrored(one: Procedure) -> Procedure:
    """The same procedure on the other side of its course."""
    return replace(one, turn_side="left" if one.turn_side == "right" else "right", offset_true_deg=260.0)


def motion_of(
    time_s: Any, along_m: Any, cross_m: Any, sigma_m: float = 0.01, in_gap: Any = None, noise_m: float = 0.01
) -> Motion:
    """Motion from positions alone; velocities and rates are differences."""
    time, along, cross = (np.asarray(values, dtype=float) for values in (time_s, along_m, cross_m))
    along_mps, cross_mps = np.gradient(along, time), np.gradient(cross, time)
    track = np.unwrap(np.arctan2(cross_mps, -along_mps))
    speed = np.maximum(np.hypot(along_mps, cross_mps), 1.0)
    ones = np.ones(time.shape)
    return Motion(
        time, along, cross, along_mps, cross_mps, np.degrees(np.gradient(track, time)), sigma_m * ones,
        0.1 * sigma_m * ones, np.degrees(0.1 * sigma_m / speed), 0.01 * ones,
        np.zeros(time.shape, dtype=bool) if in_gap is None else np.asarray(in_gap, dtype=bool), noise_m,
        INBOUND_TRUE_DEG,
    )  # fmt: skip


def flown(
    pieces: list[tuple[float, float]],
    along_m: float = 0.0,
    cross_m: float = 0.0,
    track_deg: float = 180.0,
    speed_mps: float = SPEED_MPS,
    step_s: float = 0.5,
) -> tuple[Motion, list[float]]:
    """Fly pieces of (seconds, degrees turned in them, positive right) and return the motion and where each one ends.

    The start is at (along, cross) on a track relative to the inbound course: 180 is outbound.
    """
    ends = np.cumsum([seconds for seconds, _ in pieces])
    fine = np.arange(0.0, ends[-1] + 0.005, 0.01)
    headings = np.interp(fine, [0.0, *ends], np.cumsum([track_deg, *(degrees for _, degrees in pieces)]))
    radians = np.radians(headings)
    middle = 0.5 * (radians[1:] + radians[:-1])
    along = along_m + np.concatenate([[0.0], np.cumsum(-np.cos(middle))]) * speed_mps * 0.01
    cross = cross_m + np.concatenate([[0.0], np.cumsum(np.sin(middle))]) * speed_mps * 0.01
    time = np.arange(0.0, ends[-1] + 1e-9, step_s)
    motion = motion_of(time, np.interp(time, fine, along), np.interp(time, fine, cross))
    relative = np.interp(time, fine, radians)
    return replace(
        motion, along_mps=-np.cos(relative) * speed_mps, cross_mps=np.sin(relative) * speed_mps
    ), ends.tolist()


def turn(start_s: float, end_s: float, degrees: float, tas_mps: float | None = SPEED_MPS) -> FlownTurn:
    """A turn at a steady rate."""
    rate = degrees / (end_s - start_s)
    return FlownTurn(start_s, end_s, degrees, rate, rate, tas_mps, "ground track" if tas_mps is None else "air heading")


def attempt(
    phases: list[tuple[PhaseName, float, float]] | list[tuple[PhaseName, float, float, int]],
    passages: list[tuple[float, str]],
    established_s: list[float | None],
    turns: list[tuple[PhaseName, FlownTurn]] | None = None,
    flown_as: str = "45/180",
    wrong_side: bool = False,
) -> Attempt:
    """An attempt with phases of (name, start, end, lap); lap is 1 where left out."""
    made = tuple(Phase(one[0], one[3] if len(one) > 3 else 1, one[1], one[2]) for one in phases)
    laps = max(phase.lap for phase in made)
    return Attempt(
        1, made[0].start_s, made[-1].end_s, tuple(FixPassage(at, 0.0, way) for at, way in passages),  # type: ignore[arg-type]
        flown_as, None, None, False, None, laps, made,  # type: ignore[arg-type]
        tuple((name, laps, one) for name, one in turns or []), tuple(established_s),
        made[-1].name == "final", wrong_side, (),
    )  # fmt: skip


def forty_five_one_eighty(overshoot_s: float = 0.0) -> tuple[Motion, Attempt, list[float]]:
    """A 45/180 flown to the right of the outbound course; the turn onto the course begins `overshoot_s` late.

    Outbound 90 s, 45 degrees right in 15 s, 60 s level, 180 degrees left in 60 s, intercept at 45 degrees, onto the
    course by a left turn of 45 degrees in 15 s, inbound to the fix, 60 s beyond.
    """
    radius = SPEED_MPS / np.radians(3.0)
    lead_m = radius * (1.0 - np.cos(np.radians(45.0)))
    first = [(90.0, 0.0), (15.0, 45.0), (60.0, 0.0), (60.0, -180.0)]
    motion, _ = flown(first)
    to_go_m = abs(float(motion.cross_m[-1])) - lead_m
    intercept_s = to_go_m / (SPEED_MPS * np.sin(np.radians(45.0))) + overshoot_s
    before = flown([*first, (intercept_s, 0.0), (15.0, -45.0)])[0]
    inbound_s = float(before.along_m[-1]) / SPEED_MPS
    motion, ends = flown([*first, (intercept_s, 0.0), (15.0, -45.0), (inbound_s, 0.0), (60.0, 0.0)])
    names: list[PhaseName] = ["outbound", "offset turn", "offset leg", "reversal turn", "intercept", "inbound", "final"]
    cuts = [0.0, *ends[:4], ends[5], ends[6], ends[7]]
    turns: list[tuple[PhaseName, FlownTurn]] = [
        ("offset turn", turn(ends[0], ends[1], 45.0)),
        ("reversal turn", turn(ends[2], ends[3], -180.0)),
        ("intercept", turn(ends[4], ends[5], -45.0)),
    ]
    made = attempt(
        [(name, start, end) for name, start, end in zip(names, cuts[:-1], cuts[1:], strict=True)],
        [(0.0, "outbound"), (ends[6], "inbound")],
        [ends[5]],
        turns,
    )
    return motion, made, ends


def as_mirrored(motion: Motion) -> Motion:
    """The same motion on the other side of the course."""
    return replace(
        motion, cross_m=-motion.cross_m, cross_mps=-motion.cross_mps, turn_rate_deg_s=-motion.turn_rate_deg_s
    )


def flight_of(
    motion: Motion, track: Track | None = None, wind: Wind | None = None, profile: AltitudeProfile | None = None
) -> Flight:
    """What was flown, from pieces made by hand; a profile is taken as smoothed already, right within 6 m."""
    bare = Track("made by hand", motion.time_s, np.full(len(motion), 46.0), np.full(len(motion), -101.0))
    flight = Flight(track or bare, motion, air_motion(motion, frame_of(procedure()), wind), wind)
    if profile is not None:
        flight.__dict__["recorded"] = RecordedProfile(profile, np.full(profile.time_s.shape, 6.0))
    return flight


def with_altitude(flight: Flight, altitude_m: Any) -> Flight:
    """The flight with the altimeter altitude at the motion's moments."""
    time = flight.motion.time_s
    return replace(
        flight, altitude=AltitudeRecord(time, altitude_m, np.full(time.shape, 6.0), "indicated", "made by hand")
    )
