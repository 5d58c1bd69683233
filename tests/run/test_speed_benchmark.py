"""The benchmark of speed runs and prints a figure and a target for each row that it is asked for."""

import re

import pytest

from tests.benchmarks.speed.__main__ import main


def test_the_quick_table_has_a_figure_for_each_line(capsys: pytest.CaptureFixture[str]) -> None:
    missed = main(["--quick", "--rows", "reading,memory"])
    lines = capsys.readouterr().out.splitlines()
    ratios = [line for line in lines if re.match(r" *\d+\.\d\d +[\d.]+/[\d.]+ s +\d+\.\d\d +0\.35 +(not )?met ", line)]
    amounts = [line for line in lines if re.match(r" *\d+ MB +350 +met ", line)]
    assert len(ratios) == 1
    assert len(amounts) == 3
    assert all(40 < int(line.split()[0]) < 350 for line in amounts)  # MB: no process with numpy is smaller
    assert missed == sum("not met" in line for line in lines)


def test_an_unknown_row_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--rows", "reading,readin"])
    assert "no row readin; there are report," in capsys.readouterr().err
