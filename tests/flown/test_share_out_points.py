"""Which procedure a reversal fits best: the points of each reason, worked out by hand. All are own choices.

Established counts 3, the wrong side takes 2, the shape gives or takes 1. Passing the fix a mile off takes 1.5, and so
does a track over it that is 20 degrees off the course.
"""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.flown import Attempt, Flight, Phase
from analyzer.flown.attempt import FixPassage
from analyzer.flown.reversals.share_out import best_fit, within
from analyzer.given import frame_of
from analyzer.planned import Plan
from analyzer.units import METRES_PER_NM as NM
from tests.hand_flown import attempt, flight_of, motion_of, procedure, turn

PHASES = [("outbound", 0.0, 90.0), ("reversal turn", 90.0, 150.0), ("inbound", 150.0, 240.0), ("final", 240.0, 300.0)]


def flown(track_deg: float = 0.0, **changes: object) -> tuple[Flight, Attempt]:
    """Inbound at 60 m/s on a track so far off the course, over the fix at 240 s; a 45/180, established once."""
    time = np.arange(0.0, 301.0)
    radians = np.radians(track_deg)
    motion = motion_of(time, -60.0 * (time - 240.0) * np.cos(radians), 60.0 * (time - 240.0) * np.sin(radians))
    made = attempt(PHASES, [(0.0, "outbound"), (240.0, "inbound")], [200.0])  # type: ignore[arg-type]
    made = replace(made, **changes)  # type: ignore[arg-type]
    return replace(flight_of(motion), attempts=(made,)), made


def points(track_deg: float = 0.0, asked: object = None, **changes: object) -> float:
    wanted = asked or procedure()
    found = best_fit(flown(track_deg, **changes)[0], Plan(wanted, frame_of(wanted)))  # type: ignore[arg-type]
    assert found is not None
    return found


def at(*distances_m: float) -> tuple[FixPassage, ...]:
    return tuple(FixPassage(240.0 * number, far, "inbound") for number, far in enumerate(distances_m))


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, 3.0 + 1.0),
        ({"established_s": (None,)}, 1.0),
        ({"established_s": (200.0, None), "laps": 2}, 1.5 + 1.0),
        ({"wrong_side": True}, 4.0 - 2.0),
        ({"passages": at(0.0, NM)}, 4.0 - 1.5),
        ({"passages": at(0.5 * NM, 0.0)}, 4.0 - 0.375),
        ({"flown_as": "80/260"}, 4.0),
        ({"flown_as": "teardrop"}, 3.0),
        ({"flown_as": "other"}, 3.0 - 1.0),
    ],
)
def test_a_procedure_turn_by_its_reasons(changes: dict[str, object], expected: float) -> None:
    assert points(**changes) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(("track_deg", "expected"), [(20.0, 4.0 - 1.5), (-10.0, 4.0 - 0.375)])
def test_a_track_off_the_course_speaks_against_it(track_deg: float, expected: float) -> None:
    assert points(track_deg) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"flown_as": "hold", "laps": 1}, 3.0 + 0.5),
        ({"flown_as": "hold", "laps": 2, "established_s": (100.0, 200.0)}, 3.0 + 1.0),
        ({"flown_as": "hold", "laps": 3, "established_s": (90.0, 100.0, 200.0)}, 3.0 + 1.0),
        ({"flown_as": "hold", "turns": (("offset turn", 1, turn(10.0, 25.0, 45.0)),)}, 3.0 - 1.0),
    ],
)
def test_a_hold_by_its_laps_and_without_an_offset_turn(changes: dict[str, object], expected: float) -> None:
    assert points(asked=procedure(reversal="holding"), **changes) == pytest.approx(expected, abs=0.01)


def test_a_charted_teardrop_by_its_shape() -> None:
    base = procedure(reversal="teardrop", outbound_true_deg=329.0)
    assert points(asked=base, flown_as="teardrop") == pytest.approx(4.0, abs=0.01)
    assert points(asked=base, flown_as="45/180") == pytest.approx(3.0, abs=0.01)


def test_the_best_of_several_counts_and_none_gives_none() -> None:
    flight, made = flown()
    both = replace(flight, attempts=(replace(made, flown_as="other"), made))
    plan = Plan(procedure(), frame_of(procedure()))
    assert best_fit(both, plan) == pytest.approx(4.0, abs=0.01)
    assert best_fit(replace(flight, attempts=()), plan) is None


def test_an_attempt_is_cut_to_a_span_with_its_phases() -> None:
    _, made = flown()
    cut = within(made, 100.0, 220.0)
    assert (cut.start_s, cut.end_s) == (100.0, 220.0)
    assert [(one.name, one.start_s, one.end_s) for one in cut.phases] == [
        ("reversal turn", 100.0, 150.0), ("inbound", 150.0, 220.0),
    ]  # fmt: skip
    assert isinstance(cut.phases[0], Phase)
    same = within(made, -50.0, 900.0)
    assert (same.start_s, same.end_s) == (0.0, 300.0)
