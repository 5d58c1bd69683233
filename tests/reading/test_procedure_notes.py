"""What the reader of a procedure notes reaches the result file, and stays away where names and dates are left out."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

import analyzer
from analyzer.given.plane import frame_of
from analyzer.given.track import Track
from analyzer.reading.procedure_file.read import read_procedure

FLIGHT = datetime(2026, 5, 1, 14, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def straight_in():
    """Flies straight to the fix of a hold whose variation is the model's, and past it."""
    procedure = read_procedure(Path(__file__).parents[1] / "procedures" / "rnav_hold_in_lieu.toml", FLIGHT)
    time_s = np.arange(0.0, 400.0)
    latitude, longitude = frame_of(procedure).latitude_longitude_from_along_cross(12000.0 - 60.0 * time_s, 0.0 * time_s)
    return Track("flight", time_s, latitude, longitude, start=FLIGHT), procedure


def notes_of(result):
    return [note["text"] for note in result["track"]["quality"] if note["code"] == "procedure"]


def test_the_variations_source_is_told(straight_in):
    notes = notes_of(analyzer.assess(*straight_in).to_dict())
    assert len(notes) == 1
    assert "from WMM2025 on 2026-05-01" in notes[0]


def test_without_names_and_dates_there_is_no_such_note(straight_in):
    result = analyzer.assess(*straight_in, anonymous=True).to_dict()
    assert notes_of(result) == []
    assert "2026" not in str(result["track"])
