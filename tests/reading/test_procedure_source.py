"""A procedure file that names its source and its dates says on the report whether it was in force."""

from datetime import UTC, date, datetime

import coded_records
import pytest

from analyzer.errors import ProcedureFileError
from analyzer.reading.coded.procedures import procedure_file_from_coded
from analyzer.reading.procedure_file.read import procedure_from_mapping, read_procedure

SHORTEST = {
    "title": "Shortest, Lower Teal",
    "reversal": "procedure turn",
    "fix": {"latitude": 46.2, "longitude": -101.5},
    "course": {"inbound_deg": 118, "variation_deg": 7, "turn_side": "right"},
    "guidance": {"kind": "VOR"},
}
IN_FORCE = {"name": "coded cycle 2604", "in_force_from": date(2026, 4, 16), "in_force_until": date(2026, 5, 14)}


def notes(source, *day):
    start = datetime(*day, tzinfo=UTC) if day else None
    found = procedure_from_mapping({**SHORTEST, "source": source}, "procedure", start)
    return [note for note in found.notes if note.startswith("Source")]


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ((2026, 4, 16), "until 2026-05-14."),
        ((2026, 5, 13, 23), "until 2026-05-14."),
        ((2026, 5, 14), "until 2026-05-14: no longer in force on the day of the flight, 2026-05-14. Check it"),
        ((2026, 4, 15), "until 2026-05-14: not yet in force on the day of the flight, 2026-04-15. Check it"),
        ((), "until 2026-05-14."),
    ],
)
def test_a_source_out_of_force_is_told(day, said):
    (note,) = notes(IN_FORCE, *day)
    assert note.startswith("Source of the procedure: coded cycle 2604, in force from 2026-04-16 ")
    assert said in note


def test_a_source_may_name_less():
    assert notes({"name": "chart of May"}, 2026, 5, 1) == ["Source of the procedure: chart of May."]
    (note,) = notes({"in_force_until": date(2026, 5, 1)}, 2026, 5, 1)
    assert note.startswith("Source of the procedure: not named, in force until 2026-05-01: no longer in force")
    assert notes({}, 2026, 5, 1) == []


@pytest.mark.parametrize("value", ["2026-05-14", 20260514, True])
def test_a_date_is_no_text(value):
    with pytest.raises(ProcedureFileError, match=r"in_force_until.*Expected a date such as 2026-05-14, without"):
        procedure_from_mapping({**SHORTEST, "source": {"in_force_until": value}}, "procedure")


def test_a_written_coded_procedure_remembers_its_cycle(tmp_path):
    coded = coded_records.write_coded_file(tmp_path / "cycle")
    path = tmp_path / "procedure.toml"
    path.write_text(procedure_file_from_coded(coded, "XXHF", "S12"), encoding="utf-8")
    late = read_procedure(path, datetime(2026, 7, 1, tzinfo=UTC))
    assert any("coded cycle 2604" in note and "no longer in force" in note for note in late.notes)
    in_time = read_procedure(path, datetime(2026, 5, 1, tzinfo=UTC))
    assert not any("in force on the day" in note for note in in_time.notes)
