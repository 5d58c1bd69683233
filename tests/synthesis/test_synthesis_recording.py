"""The recording device: sampling, noise, gaps, bad times, altitude kinds, columns; and the files it is written to."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analyzer.errors import OptionError
from analyzer.given.plane import frame_of
from analyzer.given.track import SENSOR_NAMES
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.reading.track_file import read_track
from analyzer.run.synthesized_track import methods_for, parsed_error, parsed_wind, synthesize_command
from analyzer.synthesis import Flight, FlightPlan, Sensor, fly
from analyzer.synthesis.write import write_recording
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

TURN_FILE = Path("tests/procedures/vor_procedure_turn.toml")
TURN = read_procedure(TURN_FILE)
HOLD_FILE = Path("tests/procedures/vor_holding.toml")

ten_centimetres_m = 0.1
a_twentieth_of_a_foot_m = 0.05 * METRES_PER_FOOT


def flown(sensor: Sensor, seed: int = 0) -> Flight:
    return fly(TURN, FlightPlan("teardrop"), seed=seed, sensor=sensor)


def position_errors(flight: Flight) -> np.ndarray:
    along, cross = frame_of(TURN).along_cross_m(flight.track.latitude_deg, flight.track.longitude_deg)
    time = flight.track.time_s + flight.recording.first_s
    state = flight.state
    return np.array(
        [along - np.interp(time, state.time_s, state.along_m), cross - np.interp(time, state.time_s, state.cross_m)]
    )


def test_rows_are_as_far_apart_as_asked() -> None:
    assert flown(Sensor(interval_s=0.25)).track.median_interval_s == pytest.approx(0.25)
    jittery = np.diff(flown(Sensor(interval_s=2.0, interval_jitter_s=0.3)).track.time_s)
    assert 0.3 < float(np.std(jittery)) < 0.55  # two jitters of 0.3 s, independent: 0.42 s


def test_position_noise_has_the_chosen_size_and_correlation() -> None:
    white = position_errors(flown(Sensor(interval_s=0.1, white_m=4.0)))
    assert float(np.std(white)) == pytest.approx(4.0, rel=0.05)
    wander = position_errors(flown(Sensor(interval_s=0.1, wander_m=4.0, wander_correlation_s=5.0)))
    assert float(np.std(wander)) == pytest.approx(4.0, rel=0.3)
    after_5_s = np.mean(wander[:, 50:] * wander[:, :-50]) / np.mean(wander**2)
    assert after_5_s == pytest.approx(np.exp(-1.0), abs=0.2)


def test_outliers_gaps_and_bad_times() -> None:
    outliers = position_errors(flown(Sensor(interval_s=0.2, outlier_share=0.02, outlier_m=400.0)))
    share = float(np.mean(np.hypot(*outliers) > 50.0))
    assert share == pytest.approx(0.02, abs=0.008)
    gaps = np.diff(flown(Sensor(gaps=2, longest_gap_s=30.0)).track.time_s)
    assert 9.0 < float(gaps.max()) < 62.0
    flight = flown(Sensor(duplicate_share=0.05, missing_time_share=0.05))
    rows = flight.recording.time_s
    assert np.isnan(rows).any()
    assert (np.diff(rows[np.isfinite(rows)]) == 0.0).any()
    assert (np.diff(flight.track.time_s) > 0.0).all()
    assert len(flight.track) < len(rows)


def test_kinds_of_altitude_differ_as_they_should() -> None:
    indicated = flown(Sensor()).track.altitude_m
    pressure = flown(Sensor(altitude_kind="pressure", altimeter_setting_hpa=1003.25)).track.altitude_m
    geometric = flown(Sensor(altitude_kind="geometric", isa_deviation_k=-20.0)).track.altitude_m
    assert indicated is not None
    assert pressure is not None
    assert geometric is not None
    # 27.7 ft for each hPa near sea level, ICAO Doc 7488; the pressure altitude is higher where the setting is lower
    assert np.allclose(pressure - indicated, 27.7 * 10.0 * METRES_PER_FOOT, rtol=0.02)
    ground = TURN.fix.elevation_m or 0.0
    above = indicated - ground
    assert np.all(geometric <= indicated + 1e-9)
    shrunk = (indicated - geometric)[above > 300.0] / above[above > 300.0]
    assert np.all((shrunk > 0.065) & (shrunk < 0.075))  # about 4 % for each 10 degrees off standard
    assert flown(Sensor(altitude_kind=None)).track.altitude_m is None
    steps = flown(Sensor(altitude_step_m=10.0)).track.altitude_m
    assert steps is not None
    assert np.allclose(steps, 10.0 * np.round(steps / 10.0))


def test_columns_agree_with_the_positions() -> None:
    track = flown(Sensor(interval_s=0.5, columns=SENSOR_NAMES)).track
    frame = frame_of(TURN)
    east, north = frame.east_north_m(track.latitude_deg, track.longitude_deg)
    speed = np.hypot(np.gradient(east, track.time_s), np.gradient(north, track.time_s))
    assert float(np.median(np.abs(speed - track.sensors["groundspeed_mps"]))) < 0.1
    away = (track.sensors["heading_true_deg"] - track.sensors["heading_magnetic_deg"] - TURN.variation_deg) % 360.0
    assert np.all(np.minimum(away, 360.0 - away) < 1e-6)
    # no wind in this flight: heading and track agree
    drift = (track.sensors["heading_true_deg"] - track.sensors["track_true_deg"] + 180.0) % 360.0 - 180.0
    assert float(np.max(np.abs(drift))) < 1e-6
    assert float(np.max(np.abs(track.sensors["deflection"]))) <= 1.0
    assert np.all(track.sensors["ias_mps"] < track.sensors["tas_mps"])


def test_a_true_heading_far_from_the_fix_is_against_the_meridian_there() -> None:
    far_north = replace(TURN, fix=replace(TURN.fix, latitude_deg=70.0), inbound_true_deg=270.0, variation_deg=0.0)
    guided = replace(far_north, guidance=replace(far_north.guidance, station=far_north.fix))
    plan = FlightPlan("straight in", arrival_m=20.0 * METRES_PER_NM)
    track = fly(guided, plan, sensor=Sensor(columns=("track_true_deg",))).track
    # 20 NM west along the parallel of 70 degrees are 20 / 60 / cos 70 degrees of longitude; the meridians converge by
    # its sine of them
    expected = 270.0 + 20.0 / 60.0 / np.cos(np.radians(70.0)) * np.sin(np.radians(70.0))
    assert track.sensors["track_true_deg"][0] == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize("suffix", [".gpx", ".csv"])
def test_a_written_track_is_read_back(suffix: str, tmp_path: Path) -> None:
    kind = "geometric" if suffix == ".gpx" else "indicated"
    columns = () if suffix == ".gpx" else ("heading_magnetic_deg", "tas_mps")
    flight = flown(Sensor(interval_s=0.5, altitude_kind=kind, columns=columns))  # type: ignore[arg-type]
    path = tmp_path / f"track{suffix}"
    write_recording(flight, path)
    read = read_track(path)
    assert len(read) == len(flight.track)
    assert np.allclose(read.time_s, flight.track.time_s, atol=1e-3)
    error = np.max(np.abs(read.latitude_deg - flight.track.latitude_deg)) * 60.0 * METRES_PER_NM
    assert error < ten_centimetres_m
    assert read.altitude_kind == kind
    assert read.altitude_m is not None
    assert flight.track.altitude_m is not None
    assert float(np.max(np.abs(read.altitude_m - flight.track.altitude_m))) <= a_twentieth_of_a_foot_m + 1e-9
    assert set(read.sensors) == set(columns)


def test_another_suffix_is_refused(tmp_path: Path) -> None:
    with pytest.raises(OptionError, match=r"\.gpx or \.csv"):
        write_recording(flown(Sensor()), tmp_path / "track.kml")
    assert list(tmp_path.iterdir()) == []


def test_the_command_writes_the_same_file_for_the_same_seed(tmp_path: Path) -> None:
    for name in ("one", "two"):
        said = synthesize_command(
            TURN_FILE,
            tmp_path / f"{name}.csv",
            wind="240/20",
            tas_kt=120.0,
            pilot="human",
            position_noise_m=3.0,
            seed=5,
        )
        assert said.startswith(str(tmp_path / f"{name}.csv"))
        assert "240/20 kt" in said
    assert (tmp_path / "one.csv").read_bytes() == (tmp_path / "two.csv").read_bytes()


@pytest.mark.parametrize(
    ("options", "right"),
    [
        ({"method": "spiral"}, "45/180"),
        ({"entry": "direct"}, "leave it out"),
        ({"wind": "240-20"}, "240/18"),
        ({"wind": "400/20"}, "0 to 360"),
        ({"wind": "240/105"}, "under"),
        ({"tas_kt": 5.0}, "20 to 400"),
        ({"errors": ("sleepy",)}, "late turn"),
        ({"errors": ("late turn=soon",)}, "late turn=15"),
        ({"pilot": "tired"}, "human"),
        ({"ending": "crash"}, "land"),
        ({"columns": ("flaps",)}, "bank_deg"),
        ({"altitude_kind": "radio"}, "indicated"),
        ({"laps": 0}, "1 to 10"),
        ({"interval_s": 0.0}, "0.05 to 30"),
    ],
)
def test_wrong_options_are_told_in_one_line(options: dict[str, object], right: str, tmp_path: Path) -> None:
    with pytest.raises(OptionError) as error:
        synthesize_command(TURN_FILE, tmp_path / "track.csv", **options)  # type: ignore[arg-type]
    assert right in str(error.value)
    assert "\n" not in str(error.value)
    assert list(tmp_path.iterdir()) == []


def test_words_of_the_command() -> None:
    assert methods_for(read_procedure(HOLD_FILE))[0] == "hold"
    assert parsed_wind("360/5") == (0.0, 5.0)
    error = parsed_error("past-the-distance-limit=1.5")
    assert error.name == "past the distance limit"
    assert error.amount == pytest.approx(1.5 * METRES_PER_NM)
    assert parsed_error("too fast=10").amount == pytest.approx(10.0 * MPS_PER_KNOT)
    assert parsed_error("level_bust=100").amount == pytest.approx(100.0 * METRES_PER_FOOT)
    assert parsed_error("Late Turn").amount == 12.0
    assert parsed_error("wrong heading=-15").amount == -15.0
