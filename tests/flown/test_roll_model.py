"""The edge of a turn as a model: its path against one integrated here, its slopes against differences, its priors."""

import numpy as np
import pytest

from analyzer.flown.turns.air_motion import AirMotion
from analyzer.flown.turns.roll_fit import FittedEdge, fit_edges
from analyzer.flown.turns.roll_model import (
    USUAL_ROLL,
    Models,
    RollHabit,
    Window,
    between,
    integral,
    misfit,
    misfit_and_slopes,
    models,
    window_s_for,
)
from analyzer.units import FloatArray

SPEED_MPS, WIND_ALONG_MPS, WIND_CROSS_MPS = 60.0, 4.0, -3.0
RATE_DEG_S = 3.0
# 60 m/s and 3 deg/s: tan(bank) = 60 x 0.0523599 / 9.80665 = 0.320353, 17.763 degrees
BANK_DEG = 17.763


def heading_of(time_s: FloatArray, knots: list[tuple[float, float]], first_deg: float = 180.0) -> FloatArray:
    """Heading where the rate of turn runs straight between (moment, degrees a second)."""
    fine = np.arange(0.0, time_s[-1] + 0.005, 0.01)
    rate = np.interp(fine, [at for at, _ in knots], [value for _, value in knots])
    turned = np.concatenate([[0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * 0.01)])
    return np.asarray(first_deg + np.interp(time_s, fine, turned))


def path_of(time_s: FloatArray, knots: list[tuple[float, float]]) -> FloatArray:
    """Along and across the inbound course, shape (2, n), from 0, 0; integrated in steps of a hundredth of a second."""
    fine = np.arange(0.0, time_s[-1] + 0.005, 0.01)
    heading = np.radians(heading_of(fine, knots))
    velocity = np.stack([-np.cos(heading) * SPEED_MPS + WIND_ALONG_MPS, np.sin(heading) * SPEED_MPS + WIND_CROSS_MPS])
    place = np.concatenate(
        [np.zeros((2, 1)), np.cumsum(0.5 * (velocity[:, 1:] + velocity[:, :-1]) * 0.01, axis=1)], axis=1
    )
    return np.stack([np.interp(time_s, fine, each) for each in place])


def air_of(time_s: FloatArray, knots: list[tuple[float, float]]) -> AirMotion:
    rate = np.interp(time_s, [at for at, _ in knots], [value for _, value in knots])
    ones = np.ones(len(time_s))
    return AirMotion(
        time_s, heading_of(time_s, knots), rate, 0.1 * ones, 0.5 * ones, SPEED_MPS * ones, "air heading",
        WIND_ALONG_MPS, WIND_CROSS_MPS, np.zeros(len(time_s), dtype=bool),
    )  # fmt: skip


TIME = np.arange(0.0, 40.5, 0.5)
#: level to 16 s, rolled in by 20 s; rolled out from 16 s to level at 20 s; out by 16 s, level, in from 20 s
ROLL_IN = [(0.0, 0.0), (16.0, 0.0), (20.0, RATE_DEG_S), (41.0, RATE_DEG_S)]
ROLL_OUT = [(0.0, RATE_DEG_S), (16.0, RATE_DEG_S), (20.0, 0.0), (41.0, 0.0)]
BOTH = [(0.0, RATE_DEG_S), (12.0, RATE_DEG_S), (16.0, 0.0), (20.0, 0.0), (24.0, RATE_DEG_S), (41.0, RATE_DEG_S)]
#: along, cross, heading, speed, drift; end, log of the roll-out, rate before; start, log of the roll-in, rate after
STATE = [0.0, 0.0, 180.0, SPEED_MPS, 0.0]
LOG_4_S = float(np.log(4.0))


def window(knots: list[tuple[float, float]], end_s: float | None, start_s: float | None) -> Window:
    return Window(
        TIME, path_of(TIME, knots), end_s, start_s, RATE_DEG_S if end_s is not None else 0.0,
        RATE_DEG_S if start_s is not None else 0.0,
    )  # fmt: skip


CASES = {
    "roll in": (window(ROLL_IN, None, 17.0), ROLL_IN, [*STATE, 0.0, 0.0, 0.0, 16.0, LOG_4_S, RATE_DEG_S]),
    "roll out": (window(ROLL_OUT, 19.0, None), ROLL_OUT, [*STATE, 20.0, LOG_4_S, RATE_DEG_S, 0.0, 0.0, 0.0]),
    "both": (
        window(BOTH, 15.0, 21.0), BOTH,
        [*STATE, 16.0, LOG_4_S, RATE_DEG_S, 20.0, LOG_4_S, RATE_DEG_S],
    ),
}  # fmt: skip


def model(name: str, noise_m: float = 1.0, habit: RollHabit = USUAL_ROLL) -> Models:
    asked, knots, _ = CASES[name]
    return models([asked], air_of(TIME, knots), noise_m, habit)


@pytest.mark.parametrize("name", CASES)
def test_the_true_values_put_the_path_through_the_positions(name: str) -> None:
    """Steps of a quarter of a second: within 5 cm over 40 s, so within 0.05 of a sigma of a metre."""
    off = misfit(model(name), np.array([CASES[name][2]]))[0]
    assert np.abs(off[: 2 * len(TIME)]).max() < 0.05


@pytest.mark.parametrize("name", CASES)
def test_the_slopes_are_what_the_misfit_changes_by(name: str) -> None:
    fitted, values = model(name), np.array([CASES[name][2]])
    values[0, :5] += [30.0, -20.0, 4.0, 1.0, 0.05]
    values[0, [5, 8]] += 0.1  # between two points of the grid, where nothing has a corner
    off, slopes = misfit_and_slopes(fitted, values)
    assert off == pytest.approx(misfit(fitted, values))
    for row, which in enumerate(fitted.free):
        step = np.zeros_like(values)
        step[0, which] = 1e-5
        change = (misfit(fitted, values + step) - misfit(fitted, values - step)) / 2e-5
        assert slopes[0, row] == pytest.approx(change[0], abs=1e-4 + 1e-5 * float(np.abs(change).max()))


@pytest.mark.parametrize(("name", "edges"), [("roll in", (8, 9, 10)), ("roll out", (5, 6, 7)), ("both", range(5, 11))])
def test_the_free_values_are_those_of_the_edges_that_are_there(name: str, edges: tuple[int, ...]) -> None:
    assert model(name).free.tolist() == [0, 1, 2, 3, 4, *edges]


def test_where_a_fit_begins_and_how_far_it_may_go() -> None:
    """Roll-out ends a second after where it is seen, roll-in begins one before; rolling 17.763 degrees at 5.5 a second.

    0.35 of the rate of turn, 4 s for an edge, 1.5 m/s, 0.12 deg/s of drift in level flight: own choices.
    """
    fitted = model("both")
    roll = float(np.log(BANK_DEG / 5.5))
    assert fitted.first[0] == pytest.approx(
        [0.0, 0.0, 180.0, SPEED_MPS, 0.0, 16.0, roll, RATE_DEG_S, 20.0, roll, RATE_DEG_S], abs=1e-3
    )
    assert fitted.sigma[0] == pytest.approx([1e4, 1e4, 60.0, 1.5, 0.12, 4.0, 0.45, 1.05, 4.0, 0.45, 1.05])
    assert fitted.weight[0] == pytest.approx(1.0)
    assert model("both", noise_m=0.1).weight[0] == pytest.approx(1.0 / 0.3)  # no recorder is as good as that
    assert model("both", habit=RollHabit(8.0, 0.2)).first[0, 6] == pytest.approx(np.log(BANK_DEG / 8.0), abs=1e-3)


def test_a_turn_before_a_turn_takes_the_place_of_level_flight() -> None:
    """A steady turn of 2 degrees a second: its rate is known to 0.35 of it."""
    asked, knots, _ = CASES["roll in"]
    steady = Window(asked.time_s, asked.position_m, None, 17.0, 0.0, RATE_DEG_S, steady_before=2.0)
    fitted = models([steady], air_of(TIME, knots), 1.0, USUAL_ROLL)
    assert (fitted.first[0, 4], fitted.sigma[0, 4]) == pytest.approx((2.0, 0.7))


def test_edges_that_would_cross_begin_in_their_middle() -> None:
    asked, knots, _ = CASES["both"]
    crossed = Window(asked.time_s, asked.position_m, 18.0, 19.0, RATE_DEG_S, RATE_DEG_S)
    first = models([crossed], air_of(TIME, knots), 1.0, USUAL_ROLL).first[0]
    assert (first[5], first[8]) == pytest.approx((18.5, 18.5))


@pytest.mark.parametrize(("rate_after", "sigma_s"), [(-3.0, 2.5), (3.0, 1000.0)])
def test_from_bank_to_opposite_bank_pilots_roll_in_one_go(rate_after: float, sigma_s: float) -> None:
    """Level flight between is as long as 2.5 s (own choice); between turns the same way any time is as likely."""
    asked, knots, values = CASES["both"]
    one = Window(asked.time_s, asked.position_m, 15.0, 21.0, RATE_DEG_S, rate_after)
    off = misfit(models([one], air_of(TIME, knots), 1.0, USUAL_ROLL), np.array([values]))[0]
    assert off[-1] == pytest.approx(4.0 / sigma_s)


def test_a_roll_in_before_the_roll_out_has_ended_costs_two_a_second() -> None:
    values = np.array([CASES["both"][2]])
    values[0, 8] = 13.0  # the roll-out ends at 16 s
    assert misfit(model("both"), values)[0, -1] == pytest.approx(-6.0)


def test_the_integral_is_the_running_trapezoid_over_quarters_of_a_second() -> None:
    assert integral(np.array([2.0, 2.0, 4.0, 0.0])) == pytest.approx([0.0, 0.5, 1.25, 1.75])


def test_moments_between_two_include_both() -> None:
    assert between(np.arange(10.0), 2.0, 5.0) == slice(2, 6)


@pytest.mark.parametrize(
    ("interval_s", "noise_m", "window_s"),
    [
        (1.0, 4.0, 12.0),
        (1.0, 2.0, 12.0 * 0.5**0.4),
        (4.0, 1.0, 16.0),
        (1.0, 0.5, 7.2),
        (1.0, 9.0, 12.0),
        (5.0, 1.0, 20.0),
    ],
)
def test_good_positions_need_a_short_window(interval_s: float, noise_m: float, window_s: float) -> None:
    """12 s at 4 m and a second, with the noise to the power 0.4; not under 0.6 of it; four intervals at least."""
    assert window_s_for(interval_s, noise_m) == pytest.approx(window_s)


def fitted_edge(name: str, noise_m: float = 1.0, moved: Window | None = None) -> FittedEdge:
    asked, knots, _ = CASES[name]
    (found,) = fit_edges([moved or asked], air_of(TIME, knots), noise_m)
    return found


@pytest.mark.parametrize(
    ("name", "end_s", "start_s"), [("roll in", 16.0, 16.0), ("roll out", 20.0, 20.0), ("both", 16.0, 20.0)]
)
def test_edges_are_found_where_they_were_flown(name: str, end_s: float, start_s: float) -> None:
    """Positions without noise, priors that are off by up to a second: 0.3 s; rolls of 17.8 degrees in 4 s."""
    edge = fitted_edge(name, noise_m=0.3).edge
    assert edge is not None
    if name != "roll in":
        assert edge.end_s == pytest.approx(end_s, abs=0.3)
    if name != "roll out":
        assert edge.start_s == pytest.approx(start_s, abs=0.3)
    assert len(edge.roll_rates_deg_s) == (2 if name == "both" else 1)
    assert edge.roll_rates_deg_s == pytest.approx([BANK_DEG / 4.0] * len(edge.roll_rates_deg_s), rel=0.15)


def test_all_windows_together_give_what_each_gives_alone() -> None:
    asked = [CASES[name][0] for name in CASES]
    air = air_of(TIME, BOTH)
    together = fit_edges(asked, air, 1.0)
    for one, found in zip(asked, together, strict=True):
        (alone,) = fit_edges([one], air, 1.0)
        assert alone.cost == pytest.approx(found.cost, rel=1e-6)
        assert alone.values == pytest.approx(found.values, abs=1e-6)


@pytest.mark.parametrize(("seen_s", "found"), [(24.0, True), (30.0, False)])
def test_an_edge_that_moves_by_more_than_9_seconds_is_not_that_edge(seen_s: float, found: bool) -> None:
    """The roll-in begins at 16 s; seen at 24 s it moves by 7 s from where the fit begins, seen at 30 s by 13."""
    asked, _, _ = CASES["roll in"]
    late = Window(asked.time_s, asked.position_m, None, seen_s, 0.0, RATE_DEG_S)
    assert (fitted_edge("roll in", 0.3, late).edge is not None) is found


def test_a_fit_that_goes_on_from_another_begins_there() -> None:
    asked, knots, _ = CASES["roll in"]
    air = air_of(TIME, knots)
    first = fit_edges([asked], air, 1.0)
    (again,) = fit_edges([asked], air, 1.0, before=first)
    assert again.cost <= first[0].cost + 0.01
    assert again.values == pytest.approx(first[0].values, abs=0.05)
