"""Procedure files that contradict themselves are questioned on the first screen; files copied with care are not.

The good file is the demo's chart; each mistake is one that people make when they copy a chart.
"""

import tomllib
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from analyzer.given import QualityNote
from analyzer.reading.procedure_file.read import procedure_from_mapping, read_procedure

ROOT = Path(__file__).parents[2]
FLIGHT = datetime(2026, 5, 1, 14, 0, tzinfo=UTC)
GOOD = tomllib.loads((ROOT / "sample_tracks" / "vor_12.toml").read_text(encoding="utf-8"))


def doubts(**changes: Any) -> tuple[QualityNote, ...]:
    """Doubts about the good file with dotted keys (two underscores for the dot) set, or removed where None."""
    mapping = deepcopy(GOOD)
    for key, value in changes.items():
        table, _, name = key.partition("__")
        if value is None:
            mapping[table].pop(name)
        else:
            mapping.setdefault(table, {})[name] = value
    return procedure_from_mapping(mapping, "chart", FLIGHT).doubts


def low(feet: float) -> dict[str, float]:
    return {"at_or_above": feet}


@pytest.mark.parametrize(
    "path", [*(ROOT / "sample_tracks").glob("*.toml"), *(ROOT / "tests/procedures").glob("*.toml")]
)
def test_files_copied_with_care_bring_no_doubt(path: Path) -> None:
    assert read_procedure(path, FLIGHT).doubts == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        # 5500, 4600, 3700 and 2500 ft, converted by a careful hand: 1676, 1402, 1128 and 762 m
        (
            {
                f"altitudes_ft__{name}": low(value)
                for name, value in zip(
                    ("arrival", "reversal", "inbound", "final"), (1676, 1402, 1128, 762), strict=True
                )
            },
            "1,676 ft for the arrival, below the 1,870 ft of the runway's elevation. Are the altitudes metres? "
            "1,676 m are 5,499 ft.",
        ),
        (
            {"altitudes_ft__final": low(250)},
            "250 ft for the final, below the 1,870 ft of the runway's elevation. Check both",
        ),
        ({"altitudes_ft__reversal": low(46000)}, "5,500 ft for the arrival, 46,000 ft for the reversal."),
        ({"altitudes_ft__arrival": low(2500), "altitudes_ft__final": low(5500)}, "rises towards the runway: 2,500 ft"),
        ({"fix__elevation_ft": 579}, "Is the fix's in metres? 579 m are 1,900 ft."),
        ({"runway__elevation_ft": 570}, "Is the runway's in metres? 570 m are 1,870 ft."),
        ({"limits__remain_within_nm": 18.5}, "is it in kilometres? 18.5 km are 10 NM."),
        ({"limits__remain_within_nm": 9.3}, "9.3 km are 5 NM."),
        ({"guidance__latitude": 46.26, "guidance__longitude": -101.3}, "it bears 060° magnetic, 58° off, 9.08 NM away"),
        ({"guidance__latitude": 46.1, "guidance__longitude": 101.3}, "NM from the fix. Check the signs"),
        ({"fix__latitude": 46.1503, "fix__longitude": -101.3975}, "The fix lies at the runway's threshold."),
        ({"fix__longitude": 101.5}, "NM from the fix. Check both positions and their signs"),
        ({"course__inbound_deg": 298, "course__offset_deg": None}, "lies on the outbound side of the fix"),
        (
            {"course__variation_deg": -7.0},
            "7.0° W, and that of WMM2025 on 2026-05-01, 5.9° E, are 13° apart: is its sign right?",
        ),
        ({"course__variation_deg": 17.0}, "are 11° apart: check it"),
    ],
)
def test_each_mistake_is_questioned(changes: dict[str, Any], said: str) -> None:
    found = doubts(**changes)
    assert [note for note in found if said in note.text], found
    assert all(note.on_first_screen and note.code == "procedure-doubtful" for note in found)


def localizer(latitude: float, longitude: float) -> tuple[QualityNote, ...]:
    return doubts(
        guidance__kind="localizer",
        guidance__full_scale_deg=2.5,
        guidance__latitude=latitude,
        guidance__longitude=longitude,
    )


def test_a_localizers_aerial_belongs_beyond_the_runway() -> None:
    # the inbound course is 125 true: each 0.01 deg of latitude south goes with 0.02063 deg of longitude east at 46.2 N
    beyond = localizer(46.2 - 0.06, -101.5 + 0.12375)
    assert beyond == ()
    before_the_threshold = localizer(46.2 - 0.04, -101.5 + 0.0825)
    assert "on the approach side of the threshold" in before_the_threshold[0].text
    behind_the_fix = localizer(46.2 + 0.05, -101.5 - 0.1031)
    assert "on the approach side of the fix" in behind_the_fix[0].text


def test_what_is_in_doubt_beyond_reading_is_not_judged() -> None:
    metres = {f"altitudes_ft__{name}": low(value) for name, value in (("arrival", 1676), ("final", 762))}
    (note,) = doubts(**metres, altitudes_ft__reversal=None, altitudes_ft__inbound=None)
    assert note.not_judged == ("altitudes",)
    (rising,) = doubts(altitudes_ft__reversal=low(5600))
    assert rising.not_judged == (), "a minimum that rises by a little may be the chart's"


@pytest.mark.parametrize("value", [10, 15, 7.5, 12.3])
def test_a_distance_that_charts_print_is_no_doubt(value: float) -> None:
    assert doubts(limits__remain_within_nm=value) == ()


def test_a_small_disagreement_with_the_magnetic_model_stays_a_note() -> None:
    assert doubts(course__variation_deg=9.0) == ()
