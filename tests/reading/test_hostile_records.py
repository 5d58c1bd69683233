"""Hostile idents in coded records, and formulas in every table that is written."""

import csv
import io
import json
import re
import tomllib
from pathlib import Path

import coded_records
import pytest
from reading_material import flown, procedure_for

from analyzer.errors import CodedProcedureError, ProcedureFileError
from analyzer.reading.coded.procedures import coded_procedure, procedure_file_from_coded, procedures
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.shown.chart.draw import chart_content
from analyzer.synthesis.write import write_recording

#: in the place of "HRF", of the same length: what ends a text of TOML, a tag, a template, a formula
IDENTS = [
    b'"\\\n',
    b'"=1',
    b"<b>",
    b"{{7",
    b"'''",
    b"]]>",
    b"=1+",
    b"@a\t",
    b"#\x1b[",
    b"\x00\x85\xad",
    b"\xe2\x80\xae",
]


@pytest.mark.parametrize("ident", IDENTS, ids=repr)
def test_idents_of_coded_records_stay_idents(ident: bytes, tmp_path: Path) -> None:
    path = coded_records.write_coded_file(tmp_path / "cycle")
    path.write_bytes(path.read_bytes().replace(b"HRF ", ident + b" "))
    try:
        text = procedure_file_from_coded(path, "XXHF", "S12")
        procedure = coded_procedure(path, "XXHF", "S12")
    except (CodedProcedureError, ProcedureFileError) as error:
        refusal = str(error)
    else:
        refusal = ""
    assert refusal.replace("\n", "").isprintable()
    if refusal:
        return
    written = tmp_path / "written.toml"
    written.write_text(text, encoding="utf-8")
    assert set(tomllib.loads(text)) <= {
        "title", "reversal", "fix", "course", "guidance", "limits", "altitudes_ft", "protection", "runway", "source",
        "step", "final_fix", "missed_approach", "no_reversal_from",
    }  # fmt: skip
    assert read_procedure(written).fix.ident == procedure.fix.ident
    page = chart_content(procedure, ".html")
    assert "<b>" not in page
    assert page.count("<script") == 2, "the page's own, and its data"
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202e]", page)
    json.loads(chart_content(procedure, ".geojson"))
    assert all((entry.fix or "").isprintable() for entry in procedures(path, "XXHF"))


def test_most_idents_are_read_and_not_refused(tmp_path: Path) -> None:
    """The test above must not be passed by refusals alone."""
    path = coded_records.write_coded_file(tmp_path / "cycle")
    path.write_bytes(path.read_bytes().replace(b"HRF ", b"<b> "))
    assert coded_procedure(path, "XXHF", "S12").fix.ident == "<b>"


def test_a_written_track_holds_numbers_and_moments_only(tmp_path: Path) -> None:
    """No text from outside comes into a synthesized table; so no cell of it can be a formula."""
    procedure = procedure_for()
    flight = flown(procedure, "45/180")
    write_recording(flight, tmp_path / "=1+1.csv")
    rows = list(csv.reader(io.StringIO((tmp_path / "=1+1.csv").read_text())))
    assert all(re.fullmatch(r"[a-z_]+", name) for name in rows[0])
    assert len(rows) > 100
    cells = {cell for row in rows[1:] for cell in row}
    assert all(re.fullmatch(r"-?\d+(\.\d+)?|\d{4}-\d\d-\d\dT[\d:.]+Z|", cell) for cell in cells)
