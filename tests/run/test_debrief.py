"""A debrief in Python: a short line, a small table in a notebook, a frame whose numbers are the report's."""

import inspect
import re
from pathlib import Path

import numpy as np
import pytest

import analyzer
from analyzer.errors import OptionError
from analyzer.run.debrief import Debrief

SAMPLES = Path("sample_tracks")


@pytest.fixture(scope="module")
def debrief() -> Debrief:
    return analyzer.assess(SAMPLES / "good_45_180.csv", SAMPLES / "vor_12.toml")


def test_the_line_is_short_and_says_the_verdict(debrief: Debrief) -> None:
    assert repr(debrief).startswith("<Debrief of good_45_180, VOR 12, Harrow Flats: 45/180 to standard (")
    assert len(repr(debrief)) < 300


def test_a_notebook_gets_a_small_table_with_outside_words_escaped(debrief: Debrief) -> None:
    from dataclasses import replace

    shown = debrief._repr_html_()
    assert len(shown) < 5_000
    assert "to standard" in shown
    assert "not for navigation" in shown
    part = debrief.assessment
    named = replace(part, track=replace(part.track, name="<script>x</script>"))
    shown = Debrief(replace(debrief.lesson, parts=(named,)))._repr_html_()
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


def test_the_frame_agrees_with_the_result(debrief: Debrief) -> None:
    frame = debrief.to_frame()
    result = debrief.to_dict()
    attempt = result["attempts"][0]
    assert frame["time_s"].is_monotonic_increasing
    assert frame["time_s"].is_unique
    assert frame["time_s"].iloc[0] == 0.0
    assert frame["time_s"].iloc[-1] == pytest.approx(result["track"]["duration_s"], abs=1.0)
    flown = frame[frame["attempt"] == 1]
    for phase in attempt["phases"]:
        middle = (phase["start_s"] + phase["end_s"]) / 2.0
        row = flown.iloc[int(np.argmin(np.abs(flown["time_s"] - middle)))]
        assert (row["phase"], row["lap"]) == (phase["name"], phase["lap"])
    # the largest distance within the reversal is a figure of the result file, 0.02 NM for the step between moments
    during = flown[(flown["time_s"] >= attempt["fix_passages"][0]["at_s"]) & (flown["phase"] != "final")]
    farthest = np.hypot(during["along_nm"], during["cross_nm"]).max()
    assert farthest == pytest.approx(attempt["containment"]["max_distance_nm"], abs=0.02)
    assert flown["area_margin_nm"].min() == pytest.approx(attempt["containment"]["margin_nm"], abs=0.05)
    assert set(frame[frame["attempt"] == 0]["phase"]) <= {""}


def test_the_docstring_names_every_option_and_its_unit() -> None:
    said = inspect.getdoc(analyzer.assess) or ""
    for name in inspect.signature(analyzer.assess).parameters:
        assert re.search(rf"^[\w, ]*\b{name}\b[\w, ]* : ", said, re.M), name
    for unit in ("hPa", "Celsius", "Feet", "Metres", "knots", "degrees true", "millions of bytes"):
        assert unit in said


def test_what_is_not_a_track_is_answered_in_words() -> None:
    with pytest.raises(OptionError, match="track: list is not a track"):
        analyzer.assess([1, 2], SAMPLES / "vor_12.toml")  # type: ignore[arg-type]
