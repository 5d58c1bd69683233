"""Any flight over any procedure gets an answer: no crash, no warning, no nan; and any procedure file gets one.

The quick run draws the same examples each time. DRAWN_EXAMPLES=20000 asks for as many others as a night has time for;
`tests/benchmarks/drawn_many.py` does so too, goes on after a crash, and measures time and memory.
"""

import os
from typing import Any

from answers import check_answer
from drawn_flights import drawn_procedure, mutated_mappings, procedure_mappings, tracks
from hypothesis import HealthCheck, assume, given, settings, strategies as st

from analyzer.errors import ProcedureFileError
from analyzer.given.procedure import Procedure
from analyzer.reading.procedure_file.read import procedure_from_mapping

QUICK_EXAMPLES = 10
EXAMPLES = int(os.environ.get("DRAWN_EXAMPLES", QUICK_EXAMPLES))
PROFILE = settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=EXAMPLES == QUICK_EXAMPLES,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)


@given(st.data())
@PROFILE
def test_any_flight_over_any_procedure_gets_an_answer(data: st.DataObject) -> None:
    try:
        procedure = drawn_procedure(data.draw(procedure_mappings()))
    except ProcedureFileError:
        assume(False)
        raise
    check_answer(data.draw(tracks(procedure)), procedure)


@given(mutated_mappings())
@PROFILE
def test_any_procedure_file_is_read_or_refused_in_lines(mapping: dict[str, Any]) -> None:
    try:
        procedure = procedure_from_mapping(mapping, "drawn.toml")
    except ProcedureFileError as error:
        lines = str(error).split("\n")
        assert lines
        assert all(line.startswith("drawn.toml: ") and len(line) > 20 for line in lines)
    else:
        assert isinstance(procedure, Procedure)


def test_most_drawn_procedures_are_valid() -> None:
    """The strategy must not draw refusals alone."""
    seen: list[bool] = []

    @given(procedure_mappings())
    @settings(PROFILE, max_examples=30, derandomize=True)
    def read(mapping: dict[str, Any]) -> None:
        try:
            drawn_procedure(mapping)
        except ProcedureFileError:
            seen.append(False)
        else:
            seen.append(True)

    read()
    assert sum(seen) > 0.5 * len(seen)
