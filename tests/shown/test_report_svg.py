"""Lines of the report's drawings: written short, read back as the very places they were drawn through."""

import itertools
import math
import re

import numpy as np
import pytest
from hypothesis import given, strategies as st

from analyzer.shown.report.drawn.svg import path_data, thinned
from analyzer.shown.report.view.cursor import from_steps, in_steps

DRAWN_UNITS = 0.05 + 1e-9  # places are drawn to a tenth of a unit
_NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")


def places_of(data: str) -> list[list[tuple[float, float]]]:
    """Places of each line of a path that is written with M, l and Z, by the grammar of SVG paths."""
    lines: list[list[tuple[float, float]]] = []
    assert re.fullmatch(r"[MlZ\d. -]*", data)
    for letter, listed in re.findall(r"([MlZ])([^MlZ]*)", data):
        numbers = [float(shown) for shown in _NUMBER.findall(listed)]
        assert "".join(_NUMBER.findall(listed)) == listed.replace(" ", "")
        if letter == "M":
            assert len(numbers) == 2
            lines.append([(numbers[0], numbers[1])])
        for dx, dy in zip(numbers[::2], numbers[1::2], strict=True) if letter == "l" else ():
            x, y = lines[-1][-1]
            lines[-1].append((x + dx, y + dy))
    return lines


PLACE = st.tuples(st.floats(-2000, 2000), st.floats(-2000, 2000))


@given(st.lists(PLACE, min_size=1, max_size=40))
def test_a_path_goes_through_its_points(points):
    (line,) = places_of(path_data(points))
    rounded = np.rint(np.array(points) * 10) / 10
    kept = [rounded[0]]
    kept += [after for before, after in itertools.pairwise(rounded) if np.any(before != after)]
    drawn = line[:1] if len(kept) == 1 else line
    assert np.abs(np.array(drawn) - np.array(kept)).max() < 1e-6
    assert np.abs(np.array(line[-1]) - points[-1]).max() <= DRAWN_UNITS


@pytest.mark.parametrize(
    ("points", "data"),
    [
        ([], ""),
        ([(math.nan, 1.0)], ""),
        ([(1.0, 2.0)], "M1 2"),
        ([(0.0, -0.04), (0.5, -0.5)], "M0 0l.5-.5"),
        ([(10.0, 20.0), (10.0, 20.0)], "M10 20l0 0"),
        ([(10.0, 20.0), (110.5, 19.0), (100.0, 19.04)], "M10 20l100.5-1-10.5 0"),
        ([(1.0, 1.0), (2.0, 2.0), (math.nan, 0.0), (3.0, 3.0), (0.0, 3.0)], "M1 1l1 1M3 3l-3 0"),
    ],
)
def test_numbers_are_written_short(points, data):
    assert path_data(points) == data
    assert path_data(points, closed=True) == (data + "Z" if data else "")


def test_thinning_keeps_ends_corners_and_breaks():
    up = [(float(x), 0.1 * (x % 2)) for x in range(50)]
    corner = [*up, (49.0, 30.0)]
    line = thinned([*corner, (math.nan, math.nan), (60.0, 0.0), (70.0, 0.0)], 0.25)
    assert line.tolist()[0] == [0.0, 0.0]
    assert [49.0, 30.0] in line.tolist()
    assert np.isnan(line).any(axis=1).sum() == 1
    assert len(line) < 10
    assert thinned([]).shape == (0, 2)


@given(st.lists(st.none() | st.integers(-(10**9), 10**9)))
def test_steps_give_the_numbers_back(values):
    assert from_steps(in_steps(values)) == values
