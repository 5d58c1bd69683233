"""A single circuit on the wrong side of a hold is not a parallel entry."""

from pathlib import Path

import pytest

import analyzer
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.reading.track_file import read_track
from analyzer.synthesis import fly
from analyzer.synthesis.plan import FlightPlan, FlyingError
from analyzer.synthesis.write import write_recording

SAMPLES = Path(__file__).parents[2] / "sample_tracks"
WRONG = (FlyingError("wrong side"),)


@pytest.mark.parametrize("name", ["vor_12_hold.toml", "rnav_30.toml"])
@pytest.mark.parametrize(
    ("plan", "entry", "wrong_side"),
    [
        (FlightPlan("hold", laps=1, errors=WRONG), "direct", True),
        (FlightPlan("hold", laps=1), "direct", False),
        (FlightPlan("hold", laps=1, entry="parallel"), "parallel", False),
    ],
)
def test_one_circuit(name: str, plan: FlightPlan, entry: str, wrong_side: bool, tmp_path: Path) -> None:
    procedure = read_procedure(SAMPLES / name)
    write_recording(fly(procedure, plan, 4), tmp_path / "flight.gpx")
    (attempt,) = analyzer.assess(read_track(tmp_path / "flight.gpx"), procedure).to_dict()["attempts"]
    assert attempt["entry"] == entry
    assert ("turned-on-unprotected-side" in {one["code"] for one in attempt["findings"]}) == wrong_side
    assert wrong_side <= (attempt["result"] == "not to standard")
