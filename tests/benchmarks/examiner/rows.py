"""All flights of the examiner's table."""

from collections import Counter

from tests.benchmarks.examiner import rows_altitude, rows_holds, rows_method, rows_turns
from tests.benchmarks.examiner.case import Case

FEWEST_FLIGHTS, FEWEST_A_ROW = 150, 3


def all_cases() -> tuple[Case, ...]:
    """Every case, with what the table promises of their number checked."""
    cases = (*rows_altitude.cases(), *rows_turns.cases(), *rows_holds.cases(), *rows_method.cases())
    rows = Counter(case.row for case in cases)
    names = Counter((case.row, case.name) for case in cases)
    assert len(cases) >= FEWEST_FLIGHTS, len(cases)
    assert min(rows.values()) >= FEWEST_A_ROW, rows
    assert max(names.values()) == 1, names.most_common(1)
    return cases
