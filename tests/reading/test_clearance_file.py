"""What was asked of a flight: keys of the file, moments in seconds of the flight, refusals that say what is right."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from analyzer.errors import ClearanceFileError
from analyzer.given import Clearance, HoldClearance
from analyzer.reading import clearance_asked, clearance_of_flight, merged_clearance, read_clearance

START = datetime(2026, 5, 1, 15, 20, 30, tzinfo=UTC)
HALF_AN_HOUR_S = 1800.0


def of_flight(mapping: dict[str, object], start: datetime | None = START) -> Clearance:
    return clearance_of_flight(clearance_asked(mapping), start, HALF_AN_HOUR_S)


def test_every_key_is_read_in_si(tmp_path: Path) -> None:
    file = tmp_path / "clearance.toml"
    file.write_text(
        'reversal = "required"\nhold = { laps = 3, leave_at = "15:42:00", altitude_ft = 4000, leg_min = 1.5 }\n'
        'assigned_altitude_ft = 5000\ncleared_at = "+28:00"\ncircling = true\n'
    )
    found = clearance_of_flight(read_clearance(file), START, HALF_AN_HOUR_S)
    # 15:42:00 is 21 min 30 s after 15:20:30; 4000 ft and 5000 ft at 0.3048 m
    assert found == Clearance(
        "required", HoldClearance(3, 1290.0, 4000 * 0.3048, 90.0), 5000 * 0.3048, 1680.0, "circling", str(file)
    )


def test_nothing_asked_is_nothing_said() -> None:
    assert of_flight({}) == Clearance(source="clearance")
    assert of_flight({"hold": {"laps": None}, "straight_in": False}).hold == HoldClearance()


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("15:42", 1290.0), ("15:42:00Z", 1290.0), ("+32:10", 1930.0), ("+1:02:10", 3730.0), ("15:10:30", -600.0)],
)
def test_moments(text: str, seconds: float) -> None:
    assert of_flight({"cleared_at": text}).cleared_at_s == seconds


def test_a_time_without_quotation_marks_is_understood(tmp_path: Path) -> None:
    file = tmp_path / "clearance.toml"
    file.write_text("cleared_at = 15:42:00\n")
    assert clearance_of_flight(read_clearance(file), START, HALF_AN_HOUR_S).cleared_at_s == 1290.0


def test_a_flight_over_midnight() -> None:
    late = datetime(2026, 5, 1, 23, 50, tzinfo=UTC)
    assert of_flight({"cleared_at": "00:05:00"}, late).cleared_at_s == 900.0
    early = datetime(2026, 5, 2, 0, 5, tzinfo=UTC)
    assert of_flight({"cleared_at": "23:55:00"}, early).cleared_at_s == -600.0


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        ({"cleared_at": "10:42:00"}, "lies 4.6 hours outside the recording .* from 15:20:30 UTC on; a local time"),
        ({"cleared_at": "25:00:00"}, r'cleared_at = "25:00:00" is not possible. Expected UTC as "15:42:00"'),
        ({"hold": {"laps": 0}}, "hold.laps = 0 is not possible. Expected a whole number of circuits from 1"),
        ({"hold": {"laps": True}}, "hold.laps"),
        ({"hold": {"altitude_ft": "4000"}}, 'hold.altitude_ft = "4000" is not possible. Expected feet'),
        ({"hold": {"leg_min": float("nan")}}, "hold.leg_min"),
        ({"hold": 3}, "hold = 3 is not a table"),
        ({"holds": {}}, "holds = a table is not a known key. Known keys: reversal, hold.laps"),
        ({"hold": {"lap": 2}}, 'Did you mean "hold.laps"'),
        ({"reversal": "maybe"}, 'Expected "required", "not permitted" or "as charted"'),
        ({"straight_in": True, "circling": True}, "can't both hold"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(mapping: dict[str, object], said: str) -> None:
    with pytest.raises(ClearanceFileError, match=said):
        of_flight(mapping)


def test_utc_needs_a_track_with_a_date() -> None:
    with pytest.raises(
        ClearanceFileError, match=r'needs the date and time of the track, and the track has none.*Expected "\+mm:ss"'
    ):
        of_flight({"cleared_at": "15:42:00"}, None)
    assert of_flight({"cleared_at": "+05:00"}, None).cleared_at_s == 300.0


def test_what_is_said_later_goes_before_the_file() -> None:
    asked = merged_clearance(
        clearance_asked({"hold": {"laps": 3, "leg_min": 1.0}}), clearance_asked({"hold": {"laps": 2}})
    )
    assert clearance_of_flight(asked, START, HALF_AN_HOUR_S).hold == HoldClearance(laps=2, leg_s=60.0)


def test_a_missing_or_broken_file_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(ClearanceFileError, match=r"no such file or directory\. Expected the path of a clearance file"):
        read_clearance(tmp_path / "none.toml")
    (tmp_path / "broken.toml").write_text("hold = {")
    with pytest.raises(ClearanceFileError, match="lines like key = value"):
        read_clearance(tmp_path / "broken.toml")


@pytest.mark.parametrize(
    ("given", "rule", "low_ft", "high_ft"),
    [
        (5000, "at", 5000, 5000),
        ({"at_or_above": 5000}, "at or above", 5000, None),
        ("at or below 5,000 ft", "at or below", None, 5000),
        ("5000", "at", 5000, 5000),
    ],
)
def test_a_crossing_altitude_is_a_number_a_table_or_words(
    given: object, rule: str, low_ft: float | None, high_ft: float | None
) -> None:
    asked = clearance_asked({"crossing_altitude_ft": given})
    crossing = clearance_of_flight(asked, None, 600.0).crossing
    assert crossing is not None
    assert crossing.rule == rule
    assert crossing.low_m == (None if low_ft is None else pytest.approx(low_ft * 0.3048))
    assert crossing.high_m == (None if high_ft is None else pytest.approx(high_ft * 0.3048))


@pytest.mark.parametrize("given", ["about 5000", {"at_or_above": 5000, "at": 1}, {"over": 5000}, True, 99_000, []])
def test_another_crossing_altitude_is_refused(given: object) -> None:
    with pytest.raises(ClearanceFileError, match="crossing_altitude_ft"):
        clearance_asked({"crossing_altitude_ft": given})
