"""Options are checked before any track is read, and each refusal says what would be right."""

from datetime import UTC, datetime

import pytest

from analyzer.errors import OptionError
from analyzer.run.call_options import options_from, parsed_clock, parsed_columns, parsed_wind
from analyzer.units.factors import MPS_PER_KNOT

ONE_TENTH_HPA = 0.1
ONE_MM_S = 0.001


def test_altimeter_setting_in_inches_and_in_hpa() -> None:
    inches = options_from(altimeter_setting=29.92).altimeter_setting_hpa
    assert inches is not None
    assert abs(inches - 1013.2) < ONE_TENTH_HPA
    assert options_from(altimeter_setting=998.0).altimeter_setting_hpa == 998.0


@pytest.mark.parametrize("setting", [2992.0, 92.9, 500.0, 0.0, -29.92, float("nan"), float("inf")])
def test_what_is_no_altimeter_setting_is_refused(setting: float) -> None:
    with pytest.raises(OptionError, match=r"--altimeter-setting: .* is not an altimeter setting. Expected inches"):
        options_from(altimeter_setting=setting)


def test_a_temperature_needs_the_stations_elevation() -> None:
    with pytest.raises(OptionError, match="add --station-elevation-ft"):
        options_from(temperature_c=8.0)
    options = options_from(temperature_c=8.0, station_elevation_ft=1000.0)
    assert options.temperature_k == 281.15
    assert options.station_elevation_m == 304.8


@pytest.mark.parametrize(
    "wrong",
    [
        {"temperature_c": 300.0, "station_elevation_ft": 0.0},
        {"station_elevation_ft": 1e6},
        {"position_sigma_m": 0.0},
        {"altitude_sigma_ft": -20.0},
    ],
)
def test_impossible_values_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(OptionError, match="is out of range"):
        options_from(**wrong)  # type: ignore[arg-type]


def test_wind_is_true_unless_it_says_magnetic() -> None:
    wind = parsed_wind("240/18")
    assert abs(wind.from_deg_true - 240.0) < ONE_MM_S
    assert abs(wind.speed_mps - 18.0 * MPS_PER_KNOT) < ONE_MM_S
    assert abs(parsed_wind("240M/18", variation_deg=7.0).from_deg_true - 247.0) < ONE_MM_S
    assert abs(parsed_wind("355M/18", variation_deg=7.0).from_deg_true - 2.0) < ONE_MM_S
    assert abs(parsed_wind("240T/18kt", variation_deg=7.0).from_deg_true - 240.0) < ONE_MM_S
    assert abs(parsed_wind((360.0, 18.0)).from_deg_true) < ONE_MM_S


def test_wind_blows_from_where_it_is_said_to() -> None:
    wind = parsed_wind("270/10")
    assert wind.east_mps > 0.0
    assert abs(wind.north_mps) < ONE_MM_S


@pytest.mark.parametrize(
    "text", ["", "240", "240/", "/18", "north/18", "240/18/3", "-10/18", "400/18", "240/999", "1e2/5"]
)
def test_what_is_no_wind_is_refused(text: str) -> None:
    with pytest.raises(OptionError, match="--wind: "):
        parsed_wind(text)


def test_columns_are_pairs() -> None:
    assert parsed_columns("time = Zulu, latitude=Lat") == {"time": "Zulu", "latitude": "Lat"}
    with pytest.raises(OptionError, match="is not a pair"):
        parsed_columns("time")
    with pytest.raises(OptionError, match="stands twice"):
        parsed_columns("time=a,time=b")


def test_the_clock_is_utc() -> None:
    noon = datetime(2026, 5, 1, 12, tzinfo=UTC)
    assert parsed_clock("2026-05-01T12:00:00Z") == noon
    assert parsed_clock("2026-05-01T12:00:00") == noon
    assert parsed_clock("2026-05-01T14:00:00+02:00") == noon
    with pytest.raises(OptionError, match="--clock: "):
        parsed_clock("yesterday")


@pytest.mark.parametrize(
    "wind", ["240/18", "240@18", "24018KT", "24018G25KT", "240/18kt", "240T/18", (240.0, 18.0), "240,0/18,0"]
)
def test_a_wind_as_people_and_reports_write_it(wind: str | tuple[float, float]) -> None:
    found = parsed_wind(wind, 7.0)
    assert abs(found.speed_mps - 18 * MPS_PER_KNOT) < ONE_MM_S
    assert abs(found.from_deg_true - 240.0) < 1e-9


def test_a_reported_wind_may_be_in_metres_a_second_and_a_spoken_one_magnetic() -> None:
    assert abs(parsed_wind("24009MPS").speed_mps - 9.0) < ONE_MM_S
    assert abs(parsed_wind("240M@18", 7.0).from_deg_true - 247.0) < 1e-9
    assert parsed_wind("00000KT").speed_mps < ONE_MM_S


@pytest.mark.parametrize("wind", ["VRB03KT", "2401KT", "240-18", "18", ""])
def test_what_is_no_wind_is_answered_with_the_right_forms(wind: str) -> None:
    with pytest.raises(OptionError, match=r"is not a wind\. Expected FROM/KNOTS, as 240/18 .* 24018KT"):
        parsed_wind(wind)


@pytest.mark.parametrize(
    "setting", ["29.92", "29,92", "A2992", "29.92 inHg", "1013.2", "Q1013.2", "QNH 1013.2", "1013,2 hPa"]
)
def test_an_altimeter_setting_as_people_and_reports_write_it(setting: str) -> None:
    found = options_from(altimeter_setting=setting).altimeter_setting_hpa
    assert found is not None
    assert abs(found - 1013.2) < ONE_TENTH_HPA


@pytest.mark.parametrize("setting", ["high", "2992", "Q29.92x", ""])
def test_what_is_no_setting_is_answered_in_words(setting: str) -> None:
    with pytest.raises(OptionError, match="is not an altimeter setting"):
        options_from(altimeter_setting=setting)


@pytest.mark.parametrize(
    ("given", "kelvin"), [("15", 288.15), ("60F", 288.71), ("-5 °C", 268.15), ("M05", 268.15), ("15,5", 288.65)]
)
def test_a_temperature_as_people_and_reports_write_it(given: str, kelvin: float) -> None:
    found = options_from(temperature_c=given, station_elevation_ft=1000.0).temperature_k
    assert found is not None
    assert abs(found - kelvin) < 0.01
    with pytest.raises(OptionError, match="is not a temperature"):
        options_from(temperature_c="warm", station_elevation_ft=1000.0)
