"""The quick look at a procedure's shape against the models that have the last word."""

import subprocess
import sys
import tomllib
from copy import deepcopy
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from analyzer.readers.procedure_schema import ProcedureFile
from analyzer.readers.procedure_shape import has_published_shape

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "sample_tracks").glob("*.toml")) + sorted((ROOT / "tests").rglob("procedures/*.toml"))
FULL = {
    "title": "VOR A, Lower Teal",
    "reversal": "procedure turn",
    "fix": {"ident": "TEA", "latitude": 46.0, "longitude": -101.0, "elevation_ft": 1900},
    "course": {"inbound_deg": 118, "variation_deg": 7.0, "turn_side": "right", "offset_deg": 343},
    "guidance": {"kind": "VOR", "full_scale_deg": 10.0, "latitude": 46.0, "longitude": -101.0},
    "limits": {"remain_within_nm": 10, "outbound_min": 1.0, "timing_from": "turn start", "max_ias_kt": 200},
    "altitudes_ft": {"reversal": {"at_or_above": 4600}, "final": {"between": [2500, 3000.0]}},
    "protection": {"criteria": "US", "category": "A"},
    "runway": {"ident": "12", "latitude": 46.1, "longitude": -101.1},
    "source": {"name": "2604", "in_force_from": date(2026, 4, 16)},
}
PLACES = [(key,) for key in FULL] + [
    (table, key) for table, entry in FULL.items() if isinstance(entry, dict) for key in entry
]
_NUMBERS = (-1500, -1500.1, 0, -0.0, 90, 90.0000001, 180, -180, 360, 361, 45, 20, 100, 10, 600, 30, 60001, 10**400)
_TEXTS = ("WMM", "wmm", "left", "US", "", " ", "\n", "a\n", "\x85", "\ud800", "x" * 41, "x" * 201, "VOR", "2026-04-16")
_OTHERS = (True, False, float("nan"), float("inf"), date(2026, 4, 16), datetime(2026, 4, 16), [], {}, (1, 2), [1, 2])
EDGES = st.sampled_from(_NUMBERS) | st.sampled_from(_TEXTS) | st.sampled_from(_OTHERS)
VALUES = EDGES | st.recursive(
    st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["at", "between", "latitude", "kind", "zzz"]), inner, max_size=3)
    ),
    max_leaves=4,
)


def models_accept(mapping: dict) -> bool:
    try:
        ProcedureFile.model_validate(mapping)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_good_files_need_no_models(path):
    mapping = tomllib.loads(path.read_text(encoding="utf-8"))
    assert models_accept(mapping)
    assert has_published_shape(mapping)


@settings(max_examples=1500, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PLACES), VALUES | st.just("(left out)")), min_size=1, max_size=2))
def test_the_quick_look_never_lets_through_what_the_models_refuse(changes):
    mapping = deepcopy(FULL)
    for place, value in changes:
        table = mapping if len(place) == 1 else mapping.get(place[0])
        if not isinstance(table, dict):
            continue
        if value == "(left out)":
            table.pop(place[-1], None)
        else:
            table[place[-1]] = value
    if has_published_shape(mapping):
        assert models_accept(mapping)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("fix", "latitude"), 90.0000001),
        (("fix", "latitude"), float("nan")),
        (("fix", "latitude"), True),
        (("fix", "zzz"), 1),
        (("title",), "two\nlines"),
        (("title",), "ends\n"),
        (("title",), "\ud800"),
        (("guidance", "full_scale_deg"), 0),
        (("course", "variation_deg"), "wmm"),
        (("altitudes_ft", "final"), {"between": [1]}),
        (("source", "in_force_from"), "2026-04-16"),
        (("source", "in_force_from"), datetime(2026, 4, 16)),
        (("limits",), 3),
    ],
)
def test_what_is_out_of_shape_goes_to_the_models(place, value):
    mapping = deepcopy(FULL)
    assert has_published_shape(mapping)
    (mapping if len(place) == 1 else mapping[place[0]])[place[-1]] = value
    assert not has_published_shape(mapping)


def test_a_missing_table_goes_to_the_models():
    for key in ("title", "fix", "course", "guidance", "reversal"):
        assert not has_published_shape({name: entry for name, entry in FULL.items() if name != key})


def test_a_good_file_is_read_without_the_models():
    path = ROOT / "sample_tracks" / "vor_12.toml"
    code = (
        "import sys; from analyzer.readers.procedure_file import read_procedure; "
        f"read_procedure({str(path)!r}); print('pydantic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "False\n"
