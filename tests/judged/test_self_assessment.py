"""The pilot's sheet: both file forms, its errors, and both views side by side."""

from pathlib import Path

import pytest

from analyzer.errors import ToleranceFileError
from analyzer.judged.findings import Finding, Judgement
from analyzer.judged.self_assessment import ITEMS, SelfAssessment, compare, read_self_assessment


def _write(tmp_path: Path, name: str, text: str) -> Path:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def _judgement(*findings: Finding, speed: str = "to standard") -> Judgement:
    return Judgement("inside", ("to standard",), "to standard", "to standard", speed, findings)  # type: ignore[arg-type]


def _finding(code: str, severity: str) -> Finding:
    return Finding(code, severity, None, None, 1.0, "Text.", "Advice.", "Reference")  # type: ignore[arg-type]


def test_toml_and_csv_say_the_same(tmp_path: Path) -> None:
    toml = '[grades]\naltitude = "perform"\nside-and-entry = "Practice"\n[remarks]\naltitude = "kept it"\n'
    table = "Item,Grade,Remark\naltitude,perform,kept it\nside and entry,practice,\n"
    one = read_self_assessment(_write(tmp_path, "own.toml", toml))
    other = read_self_assessment(_write(tmp_path, "own.csv", table))
    assert one.grades == other.grades == {"altitude": "perform", "side and entry": "practice"}
    assert one.remarks == other.remarks == {"altitude": "kept it"}


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.toml", '[grades]\naltitud = "perform"\n', 'Did you mean "altitude"?'),
        ("b.toml", '[grades]\naltitude = "perfrom"\n', 'Did you mean "perform"?'),
        ("c.toml", "[grades]\naltitude = 4\n", "4 is not text"),
        ("d.toml", "[grades\n", "not valid TOML"),
        ("e.toml", '[grade]\naltitude = "perform"\n', 'Did you mean "grades"?'),
        ("f.toml", "[grades]\n", "no item is rated"),
        ("g.csv", "what,grade\naltitude,perform\n", "no column item"),
        ("h.csv", "item,grade\naltitude,perform\naltitude,practice\n", "line 3"),
        ("i.csv", "item,grade\naltitude,fine\n", "line 2"),
        ("j.csv", f"item,grade\naltitude,{'x' * 200_000}\n", "not a table"),
        ("k.toml", '[grades]\n"alti\\ntude" = "perform"\n', "alti?tude"),
    ],
)
def test_errors_are_one_line_with_place_and_cure(tmp_path: Path, name: str, text: str, words: str) -> None:
    with pytest.raises(ToleranceFileError) as caught:
        read_self_assessment(_write(tmp_path, name, text))
    message = str(caught.value)
    assert words in message
    assert name in message
    assert "\n" not in message


def test_both_views_side_by_side() -> None:
    own = SelfAssessment({"altitude": "perform", "intercept": "practice", "timing": "practice", "speed": "perform"}, {})
    judgement = _judgement(
        _finding("below-minimum-altitude", "major"),
        _finding("never-established", "critical"),
        _finding("leg-too-long", "minor"),
        speed="not assessed",
    )
    rows = {row.item: row for row in compare(own, judgement)}
    assert tuple(rows) == ITEMS
    assert (rows["altitude"].shown, rows["altitude"].meeting) == ("practice", "rated higher than shown")
    assert rows["altitude"].codes == ("below-minimum-altitude",)
    assert (rows["intercept"].shown, rows["intercept"].meeting) == ("practice", "the same")
    assert (rows["timing"].shown, rows["timing"].meeting) == ("perform", "rated lower than shown")
    assert (rows["speed"].shown, rows["speed"].meeting) == ("not observed", "not shown")
    assert rows["turns"].meeting == "not rated"
