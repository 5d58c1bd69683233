"""TOML made to be slow, deep or endless: procedure files, sets of tolerances and self-assessments refuse it at once."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from analyzer.errors import ProcedureFileError, ReversalDebriefError, ToleranceFileError
from analyzer.judged.self_assessment import read_self_assessment
from analyzer.reading.procedure_file.read import read_procedure
from analyzer.standards.tolerances import load_tolerances

FIVE_SECONDS_S = 5.0  # of processor time
LONGEST_ANSWER = 20_000  # characters, all lines together
HUGE = "0x" + "f" * 3_900  # 4,700 decimal digits: Python refuses to write it out
PROCEDURE = (
    'title = "T"\nreversal = "holding"\n[fix]\nlatitude = {latitude}\nlongitude = 179.99\n[course]\ninbound_deg = 5\n'
    'variation_deg = 12\nturn_side = "left"\n[guidance]\nkind = "NDB"\n'
)
ATTACKS = {
    "a number of thousands of digits": PROCEDURE.format(latitude=HUGE),
    "the same in a list": PROCEDURE.format(latitude=f"[{HUGE}]"),
    "the same as a title": PROCEDURE.format(latitude=46.2).replace('"T"', HUGE),
    "the same as a choice": PROCEDURE.format(latitude=46.2).replace('"holding"', HUGE),
    "the same as a tolerance": f"[timing]\nleg_s = {HUGE}\n",
    "the same as a grade": f"[grades]\naltitude = {HUGE}\n",
    "a decimal number of thousands of digits": PROCEDURE.format(latitude="9" * 5_000),
    "lists in lists": "a = " + "[" * 100_000,
    "tables in tables": "a = " + "{a = " * 700,
    "lists in lists as a value": PROCEDURE.format(latitude="[" * 300 + "]" * 300),
    "a name of thousands of parts": ".".join("a" * 300_000) + " = 1\n",
    "a name of a thousand parts": PROCEDURE.format(latitude=46.2) + ".".join("a" * 1_500) + " = 1\n",
    "names of many parts": "".join(f"[{'.'.join(f'a{row}' * 400)}]\n" for row in range(400)),
    "a name of thousands of letters": PROCEDURE.format(latitude=46.2) + "a" * 3_900 + " = 1\n",
    "tens of thousands of keys": "".join(f"k{number} = 1\n" for number in range(20_000)),
    "a latitude of 1e308": PROCEDURE.format(latitude="1e308"),
    "an infinite latitude": PROCEDURE.format(latitude="-inf"),
    "a title of a zero byte": PROCEDURE.format(latitude=46.2).replace('"T"', '"\\u0000"'),
    "a title with an escape character": PROCEDURE.format(latitude=46.2).replace('"T"', '"a\\u001b[2Jb"'),
    "half a character": PROCEDURE.format(latitude=46.2).replace('"T"', '"\\ud800"'),
    "zero bytes": "\0" * 1_000,
    "a megabyte of one line": "x" * 999_000,
}  # fmt: skip


@pytest.mark.parametrize("read", [read_procedure, load_tolerances, read_self_assessment])
@pytest.mark.parametrize("attack", ATTACKS)
def test_hostile_toml_is_refused_in_lines(attack: str, read: Callable[[Path], object], tmp_path: Path) -> None:
    path = tmp_path / "hostile.toml"
    path.write_text(ATTACKS[attack], encoding="utf-8")
    began = time.process_time()
    with pytest.raises((ProcedureFileError, ToleranceFileError)) as refusal:
        read(path)
    assert time.process_time() - began < FIVE_SECONDS_S
    text = str(refusal.value)
    assert len(text) < LONGEST_ANSWER
    assert text.replace("\n", "").isprintable()
    if read is not read_procedure:
        assert "\n" not in text
    assert all(str(path) in line for line in text.split("\n"))


@pytest.mark.parametrize("read", [read_procedure, load_tolerances, read_self_assessment])
def test_what_is_no_small_file_is_refused_before_it_is_read(read: Callable[[Path], object], tmp_path: Path) -> None:
    endless = tmp_path / "endless.toml"
    with endless.open("wb") as stream:
        stream.truncate(10_000_000_000)  # a hole: takes no room on the disk
    with pytest.raises(ReversalDebriefError, match="larger than 1 MB"):
        read(endless)
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    for path in (pipe, tmp_path, tmp_path / "none.toml", Path(f"{tmp_path}/a\0b.toml")):
        with pytest.raises(ReversalDebriefError) as refusal:
            read(path)
        assert "\n" not in str(refusal.value)
