"""Each published figure stands once: no named number outside standards/ stands for one, and none is read by nobody.

A number is taken to stand for a figure where its value and unit are the figure's and its name shares a word with the
figure's key. What is found must take its value from the figure or be listed here with the reason why it is another
thing. A number under a name without any word of the figure's key is not found: reviewers have to see it.
"""

import ast
import re

import pytest

from analyzer.standards.figures import FIGURES
from analyzer.standards.published import Figure
from tests.standards.literals import PROGRAM, Literal, named_literals

#: words of keys that say nothing of what a figure is about
EMPTY = {
    "near",
    "far",
    "icao",
    "us",
    "ifh",
    "low",
    "high",
    "most",
    "least",
    "area",
    "constant",
    "second",
    "first",
    "fast",
    "slow",
}
#: words under which the program speaks of a key's word
ALSO = {
    "remain": {"remain", "within", "length"}, "offset_angle": {"offset", "turn_45"}, "80_260": {"turn_80", "back_80"},
    "established": {"established"}, "standard_rate": {"rate"}, "drift_factor": {"drift"}, "leg": {"leg"},
}  # fmt: skip

#: place and name of a number, and why it is not the figure that it equals
OTHER_THINGS = {
    ("judged/findings/as_charted.py", "ENTRY_DOUBT_DEG"): "how well an ICAO arrival keeps to a sector's edge",
    ("planned/protection/icao/racetrack.py", "_ENTRY_STEP_DEG"): "the step at which headings of entry are drawn",
    ("planned/protection/icao/areas.py", "ASSUMED_OUTBOUND_S"): "own choice, where neither time nor distance limits",
}


def _words(text: str) -> set[str]:
    return set(re.split(r"[^a-z0-9]+", text.lower().replace("_", " "))) - EMPTY - {""}


def _words_of(entry: Figure) -> set[str]:
    words = _words(entry.key)
    return words | {other for part, others in ALSO.items() if part in entry.key for other in others}


def _stands_for(literal: Literal) -> list[str]:
    found = []
    for entry in FIGURES.values():
        unit = entry.unit.split()[0] if entry.unit else ""
        values = {(entry.value, unit)} | ({(60.0 * entry.value, "s")} if unit == "min" else set())
        if literal.unit and (literal.value, literal.unit) in values and _words(literal.name) & _words_of(entry):
            found.append(entry.key)
    return found


def test_no_named_number_stands_for_a_figure_that_is_listed():
    found = {(one.place, one.name): _stands_for(one) for one in named_literals()}
    twice = {place: keys for place, keys in found.items() if keys and place not in OTHER_THINGS}
    assert not twice, "take the value from the figure, or say in OTHER_THINGS why it is another thing"


@pytest.mark.parametrize(
    ("name", "value", "unit", "key"),
    [
        ("STANDARD_RATE_DEG_S", 3.0, "deg/s", "turn.standard_rate"),
        ("TEARDROP_DEG", 30.0, "deg", "entry.teardrop"),
        ("BANK_FOR_RATE_DEG", 25.0, "deg", "icao.bank"),
        ("CONE_HALF_ANGLE_DEG", 50.0, "deg", "cone.VOR"),
        ("LONGEST_LENGTH_NM", 15.0, "NM", "us.remain_within.most"),
        ("HOLD_LEG_S", 60.0, "s", "hold.leg.low"),
    ],
)
def test_the_copies_that_once_were_there_would_be_found(name, value, unit, key):
    assert key in _stands_for(Literal("x.py", name, value, unit))


def test_every_figure_is_read_by_the_program():
    """A key stands in the program's text, whole or as the pattern of a formatted one, outside its own definition."""
    patterns = [re.compile(pattern) for pattern in _keys_in_use()]
    tables = "".join(path.read_text(encoding="utf-8") for path in PROGRAM.rglob("*.toml"))
    unread = [key for key in FIGURES if f'"{key}"' not in tables and not any(one.fullmatch(key) for one in patterns)]
    assert not unread, "remove what nothing reads"


def _keys_in_use() -> set[str]:
    found = set()
    for path in PROGRAM.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        calls = [
            node for node in ast.walk(tree) if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Figure"
        ]
        own = {id(part) for call in calls for part in ast.walk(call)}
        for node in ast.walk(tree):
            if id(node) in own:
                continue
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and "." in node.value:
                found.add(re.escape(node.value))
            if isinstance(node, ast.JoinedStr):
                parts = [re.escape(p.value) if isinstance(p, ast.Constant) else r"[\w.]*" for p in node.values]
                # a pattern of next to no letters would match every key
                if len("".join(part for part in parts if "[" not in part)) >= 5 and "." in "".join(parts):
                    found.add("".join(parts))
    return found
