"""Tolerance sets: complete, with sources, widening by stage; the user's own with one-line errors."""

from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from analyzer.errors import ToleranceFileError
from analyzer.standards.tolerances import LINES, SET_NAMES, STATUSES, load_tolerances


@pytest.mark.parametrize("name", SET_NAMES)
def test_every_line_of_every_set_has_a_source_and_a_status(name: str) -> None:
    tolerances = load_tolerances(name)
    assert tolerances.title == name
    assert set(tolerances.lines) == set(LINES)
    for line in tolerances.lines.values():
        assert line.document
        assert line.status in STATUSES
        if line.status in ("read", "second hand"):
            assert line.edition
            assert line.paragraph


def test_published_tolerances_of_the_tests() -> None:
    """FAA-S-ACS-8C IR.III.B.S4 and Part-FCL Appendix 7 item 11 (read)."""
    us, europe = load_tolerances("us-practical-test"), load_tolerances("EUROPEAN skill test")
    keys = ("holding.altitude_ft", "holding.speed_kt", "holding.heading_deg", "holding.deflection")
    assert [us.value(key) for key in keys] == [100.0, 10.0, 10.0, 0.75]
    assert [europe.value(key) for key in keys] == [100.0, 5.0, 5.0, 0.5]
    assert us.value("final.minimum_descent_below_ft") == europe.value("final.minimum_descent_below_ft") == 0.0
    a_millimetre_m = 0.001
    assert abs(us.si("holding.altitude_ft") - 30.48) < a_millimetre_m


def test_the_training_stages_never_narrow_what_the_test_allows_and_tighten_in_order() -> None:
    sets = [load_tolerances(f"training stage {stage}") for stage in (1, 2, 3)] + [load_tolerances()]
    for key in LINES:
        values = [tolerances.value(key) for tolerances in sets]
        assert values == sorted(values, reverse=True), key
    assert sets[0].value("timing.leg_s") > sets[2].value("timing.leg_s")


def test_own_file_changes_lines_of_a_named_set(tmp_path: Path) -> None:
    path = tmp_path / "school.toml"
    path.write_text(
        'title = "School"\nbased_on = "European skill test"\n[timing]\nleg_s = 15\n'
        '[holding]\naltitude_ft = { value = 150, document = "School manual", paragraph = "4.2" }\n'
    )
    own = load_tolerances(path)
    assert own.title == "School"
    assert own.value("timing.leg_s") == 15.0
    assert own.lines["timing.leg_s"].status == "own choice"
    assert own.reference("holding.altitude_ft") == "School manual 4.2"
    assert own.value("holding.deflection") == 0.5


def test_sets_are_frozen() -> None:
    tolerances = load_tolerances()
    with pytest.raises(FrozenInstanceError):
        tolerances.title = "other"  # type: ignore[misc]
    with pytest.raises(TypeError):
        tolerances.lines["timing.leg_s"] = None  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[timing]\nleg_sec = 4\n", 'Did you mean "leg_s"?'),
        ("[timming]\nleg_s = 4\n", 'Did you mean "timing"?'),
        ("[timing]\nleg_s = true\n", "timing.leg_s: True is not a number"),
        ("[timing]\nleg_s = -1\n", "timing.leg_s: -1 is not between 0 and"),
        ("[timing]\nleg_s = nan\n", "timing.leg_s: nan is not between 0 and"),
        ("[timing]\nleg_s = { valu = 4 }\n", 'Did you mean "value"?'),
        ('[timing]\nleg_s = { value = 4, status = "sure" }\n', "status 'sure'"),
        ('based_on = "moon"\n', "based_on: 'moon' is not a set"),
        ("timing = 4\n", "expected a table"),
        ("title = 4\n", "title: 4 is not text"),
        ('"tim\\ning" = 4\n', 'unknown key "tim?ing"'),
        ("[timing\n", "not valid TOML"),
        ("[intercept]\nlow_angle_deg = 95\n", "must be smaller"),
    ],
)
def test_errors_of_an_own_file_are_one_line(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    with pytest.raises(ToleranceFileError) as caught:
        load_tolerances(path)
    message = str(caught.value)
    assert words in message
    assert message.startswith(str(path))
    assert "\n" not in message


def test_a_misspelt_name_is_answered_with_the_likely_one() -> None:
    with pytest.raises(ToleranceFileError, match='Did you mean "us practical test"'):
        load_tolerances("US practicl test")
