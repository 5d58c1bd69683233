"""The demo: four flights and a lesson at an invented place, flown by the synthesizer with the same seeds each time.

The procedure files lie beside this module; `sample_tracks/` in the source tree holds the same files and the tracks for
those who look before they install. `python -m analyzer.run.demo FOLDER` writes that folder anew.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from urllib.parse import quote

from analyzer.files import file_sha256, write_whole
from analyzer.run.demo.lesson import CLEARANCE, PROCEDURES, TRACK, demo_lesson
from analyzer.run.jobs import Job
from analyzer.run.report_names import ReportNames, index_place, prepare_folder, read_result
from analyzer.synthesis import FlightPlan, FlyingError, Pilot, Sensor, fly
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT


@dataclass(frozen=True)
class DemoFlight:
    """One flight of the demo: its procedure and track file, how it was flown, recorded and is assessed."""

    procedure: str
    track: str
    about: str
    plan: FlightPlan
    sensor: Sensor
    seed: int
    options: Mapping[str, float] = field(default_factory=dict)


#: a student who holds what an instrument pilot holds, with the wobbles that go with it
STUDENT = Pilot(
    wind_correction=0.95,
    heading_sigma_deg=1.5,
    speed_sigma_mps=1.0,
    bank_sigma=0.05,
    altitude_sigma_m=6.0,
    rollout_sigma_deg=1.5,
    reaction_s=1.0,
)
#: a student who sees the drift late and corrects less than half of it
BLOWN_STUDENT = Pilot(
    wind_correction=0.4,
    heading_sigma_deg=2.0,
    speed_sigma_mps=1.2,
    bank_sigma=0.08,
    altitude_sigma_m=9.0,
    rollout_sigma_deg=2.0,
    reaction_s=2.0,
)
#: a tablet's receiver: metres of wander, 1 Hz, satellite heights
TABLET = Sensor(
    white_m=0.8,
    wander_m=2.5,
    altitude_kind="geometric",
    altitude_sigma_m=1.5,
    position_decimals=6,
)
#: a simulator's log: 2 Hz, with the instruments
SIMULATOR = Sensor(
    interval_s=0.5,
    altitude_step_m=1.0 * METRES_PER_FOOT,
    columns=("ias_mps", "heading_magnetic_deg", "bank_deg", "vertical_speed_mps"),
    speed_sigma_mps=0.2,
    angle_sigma_deg=0.3,
    position_decimals=6,
)

DEMO_FLIGHTS = (
    DemoFlight(
        "vor_12.toml",
        "good_45_180.csv",
        "A 45/180 away from the field, flown well: the station is the final approach fix.",
        FlightPlan(
            "45/180",
            tas_mps=112.0 * MPS_PER_KNOT,
            wind_from_deg_true=310.0,
            wind_speed_mps=9.0 * MPS_PER_KNOT,
            ending="land",
            final_m=6.0 * METRES_PER_NM,
            pilot=STUDENT,
        ),
        SIMULATOR,
        seed=3,
    ),
    DemoFlight(
        "ndb_a.toml",
        "blown_80_260.gpx",
        "An 80/260 over a beacon on the field, pushed off by a crosswind, with most of the 10 NM used.",
        FlightPlan(
            "80/260",
            tas_mps=118.0 * MPS_PER_KNOT,
            wind_from_deg_true=300.0,
            wind_speed_mps=40.0 * MPS_PER_KNOT,
            outbound_s=215.0,
            pilot=BLOWN_STUDENT,
        ),
        TABLET,
        seed=5,
        options=MappingProxyType({"temperature_c": 11.0, "station_elevation_ft": 1870.0}),
    ),
    DemoFlight(
        "rnav_30.toml",
        "teardrop_entry.gpx",
        "A hold in lieu of a procedure turn with a teardrop entry.",
        FlightPlan(
            "hold",
            tas_mps=125.0 * MPS_PER_KNOT,
            entry="teardrop",
            arrival_track_true_deg=95.0,
            wind_from_deg_true=250.0,
            wind_speed_mps=14.0 * MPS_PER_KNOT,
            pilot=STUDENT,
        ),
        TABLET,
        seed=8,
    ),
    DemoFlight(
        "vor_12_hold.toml",
        "delay_hold.csv",
        "Three laps of a delay hold before the approach, with a descent below the holding altitude on the way.",
        FlightPlan(
            "hold",
            tas_mps=112.0 * MPS_PER_KNOT,
            laps=3,
            wind_from_deg_true=210.0,
            wind_speed_mps=17.0 * MPS_PER_KNOT,
            pilot=STUDENT,
            errors=(FlyingError("level bust", 180.0 * METRES_PER_FOOT),),
        ),
        SIMULATOR,
        seed=11,
    ),
)


def procedure_text(name: str) -> str:
    """Return the text of one of the demo's procedure files."""
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


def demo_jobs(folder: Path) -> Iterator[Job]:
    """Fly the demo's flights and give a job for each, its files in the folder's `demo_tracks`."""
    names, overview = ReportNames(folder), quote(index_place(folder).name)
    flights = zip(DEMO_FLIGHTS, write_demo_flights(folder / "demo_tracks"), strict=True)
    for number, (flight, (track, procedure)) in enumerate(flights):
        stem = track.stem if _is_result_of(folder / f"{track.stem}.json", Path(flight.track).stem, procedure) else None
        if stem is None:
            stem = names.stem_for(track.stem, file_sha256(track))
        yield Job(number, track, procedure, folder, stem, dict(flight.options), overview=overview)
    track, procedures = write_demo_lesson(folder / "demo_tracks")
    stem = track.stem if _is_result_of(folder / f"{track.stem}.json", track.stem, procedures[0]) else None
    if stem is None:
        stem = names.stem_for(track.stem, file_sha256(track))
    yield Job(len(DEMO_FLIGHTS), track, procedures, folder, stem, {"clearance": dict(CLEARANCE)}, overview=overview)


def _is_result_of(path: Path, stem: str, procedure: Path) -> bool:
    """Whether a result file is of an earlier demo: another machine's flight may differ in the last digit."""
    result = read_result(path)
    if result is None:
        return False
    title = tomllib.loads(procedure_text(procedure.name))["title"]
    return bool(result["track"]["name"] == stem and result["procedure"]["title"] == title)


def write_demo_flights(folder: Path) -> Iterator[tuple[Path, Path]]:
    """Write the procedure files and fly and write the tracks; gives (track, procedure) of each flight as it is done.

    Raises
    ------
    OutputError
        Where the folder can't be written.
    """
    from analyzer.reading import read_procedure
    from analyzer.synthesis import write_recording

    prepare_folder(folder)
    for flight in DEMO_FLIGHTS:
        procedure_path, track_path = folder / flight.procedure, folder / flight.track
        write_whole(procedure_path, procedure_text(flight.procedure))
        flown = fly(read_procedure(procedure_path), flight.plan, flight.seed, flight.sensor, track_path.stem)
        write_recording(flown, track_path)
        yield track_path, procedure_path


def write_demo_lesson(folder: Path) -> tuple[Path, tuple[Path, ...]]:
    """Write the lesson's procedure files and fly and write its track; gives the track and the procedures.

    Raises
    ------
    OutputError
        Where the folder can't be written.
    """
    from analyzer.reading import read_procedure
    from analyzer.synthesis import write_recording

    prepare_folder(folder)
    paths = tuple(folder / name for name in PROCEDURES)
    for path in paths:
        write_whole(path, procedure_text(path.name))
    flown = demo_lesson({path.name: read_procedure(path) for path in paths}, STUDENT, BLOWN_STUDENT)
    write_recording(flown, folder / TRACK)
    return folder / TRACK, paths
