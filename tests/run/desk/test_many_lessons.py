"""Thousands of lessons: list and search stay quick. The full folder of 5,000 is measured by hand."""

from analyzer.run.desk.store.database import Store
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from tests.benchmarks.desk_kills.many_lessons import LONGEST_S, fill, times_of

LESSONS = 400
A_BUSY_MACHINE = 5.0


def test_list_and_search_of_a_small_folder(tmp_path):
    store = Store(tmp_path)
    fill(store, LESSONS)
    assert max(times_of(store, LESSONS).values()) < LONGEST_S * A_BUSY_MACHINE
    with store.reading() as view:
        everything = lesson_list(view, Wanted(), most=LESSONS)
        assert everything.total == len(everything.lines) == LESSONS
        assert [line.flown_at for line in everything.lines] == sorted(
            (line.flown_at for line in everything.lines), reverse=True
        )
        pages = [lesson_list(view, Wanted(), start=start, most=150).lines for start in (0, 150, 300)]
        assert tuple(line for page in pages for line in page) == everything.lines
        for wanted, right in (
            (Wanted(pilot=3), lambda line: line.pilot == 3),
            (Wanted(text="ÅSTRÖM pilot 3"), lambda line: "3" in line.pilot_name + line.recording + str(line.charts)),
            (Wanted(text="vor 13,"), lambda line: "VOR 13, Harrow Flats" in line.charts),
            (Wanted(since="2023-01-01", until="2023-12-28"), lambda line: line.flown_at[:4] == "2023"),
            (Wanted(state="refused"), lambda line: False),
            (Wanted(text="flight 217.gpx"), lambda line: line.recording == "flight 217.gpx"),
        ):
            found = {line.id for line in lesson_list(view, wanted, most=LESSONS).lines}
            assert found == {line.id for line in everything.lines if right(line)}
        rows = view.execute("SELECT DISTINCT assessment FROM finding WHERE code = 'wrong-entry'").fetchall()
        assert lesson_list(view, Wanted(code="wrong-entry"), most=1).total == len(rows) > 50
    store.close()
