"""Where a recording and its procedure can't be of one flight: each bound with a recording on either side of it.

The fix lies at 46.2 N 101.5 W, 1,900 ft; the limits are 3,100 to 5,500 ft. Bounds are own choices.
"""

from dataclasses import replace

import numpy as np
import pytest

from analyzer.given import AltitudeLimit, Options, Place, Procedure, Track
from analyzer.judged.recording_doubts import met
from analyzer.units import METRES_PER_FOOT as FT
from tests.hand_flown import procedure

FIX = Place(46.2, -101.5, "HRF", 1900 * FT)
LIMITS = (
    AltitudeLimit("arrival", "at or above", 5500 * FT, None),
    AltitudeLimit("final", "at or above", 3100 * FT, None),
)
ASKED = procedure(fix=FIX, altitudes=LIMITS, guidance=replace(procedure().guidance, station=FIX))
A_MILE_DEG = 1.0 / 60.007  # of latitude at 46 degrees north: 1,852 m of a meridian's 111,150 m a degree, nearly


def recorded(
    feet: object = 4000.0, north_nm: float = 0.0, latitude: float = 46.2, longitude: float = -101.5, **more: object
) -> Track:
    """100 rows, one mile along the meridian, so far north of the fix."""
    rows = np.arange(100.0)
    latitudes = latitude + A_MILE_DEG * (north_nm + 0.01 * rows)
    altitude = np.broadcast_to(np.asarray(feet, dtype=float) * FT, rows.shape) + 0.001 * rows
    return Track("by hand", rows, latitudes, np.full(100, longitude), altitude, "indicated", **more)  # type: ignore[arg-type]


def codes(track: Track, asked: Procedure = ASKED) -> list[str]:
    return [note.code for note in met(track, asked, Options()).quality]


@pytest.mark.parametrize(("north_nm", "found"), [(99.0, []), (101.0, ["far_from_fix"])])
def test_a_recording_100_miles_away_is_of_another_place(north_nm: float, found: list[str]) -> None:
    assert codes(recorded(north_nm=north_nm)) == found


@pytest.mark.parametrize(
    ("latitude", "longitude", "turned"),
    [(46.2, 101.5, "longitudes"), (-46.2, -101.5, "latitudes"), (-46.2, 101.5, "positions")],
)
def test_a_sign_that_is_turned_is_put_right(latitude: float, longitude: float, turned: str) -> None:
    track = met(recorded(latitude=latitude, longitude=longitude), ASKED, Options())
    (note,) = track.quality
    assert note.code == "sign_of_positions"
    assert note.on_first_screen
    assert f"The recording's {turned} have the other sign" in note.text
    assert abs(track.latitude_deg[0] - 46.2) < 0.02
    assert track.longitude_deg[0] == -101.5


@pytest.mark.parametrize(("off_nm", "code"), [(9.0, "sign_of_positions"), (11.5, "far_from_fix")])
def test_the_sign_has_to_bring_it_within_10_miles(off_nm: float, code: str) -> None:
    assert codes(recorded(north_nm=off_nm, longitude=101.5)) == [code]


def test_a_fix_far_from_its_own_station_is_in_doubt_itself() -> None:
    """Then it is not said of the recording: the file's sign is wrong."""
    far = replace(ASKED, guidance=replace(ASKED.guidance, station=Place(46.2, 101.5, "HRF", 1900 * FT)))
    assert codes(recorded(longitude=101.5), far) == []
    near = replace(ASKED, runway=Place(46.2 + 99 * A_MILE_DEG, -101.5, "", None))
    assert codes(recorded(longitude=101.5), near) == ["sign_of_positions"]


@pytest.mark.parametrize(
    ("feet", "found"),
    [
        (2105.0, []),  # 1,000 ft under the lowest limit
        (2090.0, ["altitude_unit_doubtful"]),  # metres: 6,857 ft
        (8480.0, []),  # 3,000 ft over the highest
        (8510.0, ["altitude_far_off"]),
        (1240.0, ["altitude_unit_doubtful"]),  # metres: 4,068 ft
        (13123.0, ["altitude_unit_doubtful"]),  # 13,123 ft read as metres: 4,000 ft
        (40.0, ["altitude_unit_doubtful"]),  # hundreds of feet: 4,000 ft
    ],
)
def test_altitudes_that_no_flight_of_this_procedure_has(feet: float, found: list[str]) -> None:
    assert codes(recorded(feet)) == found


@pytest.mark.parametrize(
    ("feet", "why"),
    [
        (1710.0, "1,390 ft below every limit"),
        (1690.0, "below the ground at 1,900 ft"),
        (8510.0, "3,010 ft above every limit"),
    ],
)
def test_it_is_said_how_far_off_they_are(feet: float, why: str) -> None:
    """200 ft under the ground nobody flies; above that the limits speak."""
    (note,) = met(recorded(feet), ASKED, Options()).quality
    assert why in note.text


@pytest.mark.parametrize(
    ("feet", "fits"),
    [
        # metres within 500 ft under the limits and 2,000 over: 2,600 to 7,500 ft are 792 to 2,286 m
        (800.0, True),
        (785.0, False),
    ],
)
def test_another_unit_fits_within_500_ft_under_and_2000_over_the_limits(feet: float, fits: bool) -> None:
    assert codes(recorded(feet)) == (["altitude_unit_doubtful"] if fits else ["altitude_below_ground"])


@pytest.mark.parametrize(("feet", "code"), [(24500.0, "altitude_unit_doubtful"), (24700.0, "altitude_far_off")])
def test_and_feet_named_metres_fit_up_to_7500(feet: float, code: str) -> None:
    """24,606 ft are 7,500 m."""
    assert codes(recorded(feet)) == [code]


def test_an_open_unit_is_settled_by_the_limits() -> None:
    track = met(recorded(1240.0, open_altitude_units=frozenset({"indicated"})), ASKED, Options())
    (note,) = track.quality
    assert note.code == "altitude_unit_found"
    assert track.altitude_m is not None
    assert track.altitude_m[0] == pytest.approx(1240.0, abs=0.5), "metres"


@pytest.mark.parametrize(("rows", "found"), [(9, []), (10, ["altitude_below_ground"])])
def test_ten_rows_under_the_ground_are_too_many(rows: int, found: list[str]) -> None:
    """3 % of the rows and ten at least."""
    feet = np.full(100, 4000.0)
    feet[:rows] = 1600.0
    assert codes(recorded(feet)) == found


@pytest.mark.parametrize(("depth_ft", "found"), [(190.0, []), (215.0, ["altitude_below_ground"])])
def test_under_the_ground_is_200_ft_under_it(depth_ft: float, found: list[str]) -> None:
    feet = np.full(100, 4000.0)
    feet[:20] = 1900.0 - depth_ft
    assert codes(recorded(feet)) == found


@pytest.mark.parametrize(("low_ft", "found"), [(4990.0, ["altitude_frozen"]), (5010.0, [])])
def test_a_frozen_altimeter_shows_where_the_limits_go_down_by_500_ft(low_ft: float, found: list[str]) -> None:
    asked = replace(ASKED, altitudes=(LIMITS[0], AltitudeLimit("final", "at or above", low_ft * FT, None)))
    frozen = replace(recorded(), altitude_m=np.full(100, 5500.0 * FT))
    assert codes(frozen, asked) == found
    assert codes(frozen, replace(asked, reversal="holding")) == []


@pytest.mark.parametrize(("north_nm", "found"), [(6.9, ["altitude_far_off"]), (8.1, [])])
def test_rows_within_8_miles_of_the_fix_are_what_the_limits_speak_of(north_nm: float, found: list[str]) -> None:
    assert codes(recorded(8520.0, north_nm=north_nm)) == found
