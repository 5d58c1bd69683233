"""The work: in processes of its own, taken up again after a crash, refused in words where it kills them."""

import io
import os
import signal
import threading
import time

import pytest
from desk_tasks import quick_or_deadly
from desk_visitor import SAMPLES, Visitor, visited

from analyzer.run.desk.opened import open_desk
from analyzer.run.desk.store.jobs import jobs_waiting
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.lessons import lesson_of
from analyzer.run.desk.work import crew as crew_module, worker as worker_module
from analyzer.run.desk.work.crew import Crew, default_workers

SOON_S = 60.0


def wait_for(true, what):
    until = time.monotonic() + SOON_S
    while not true():
        assert time.monotonic() < until, what
        time.sleep(0.02)


def send(visitor, *names):
    files = [(io.BytesIO(name.encode()), name) for name in names]
    return [one["lesson"] for one in visitor.post("/recordings", {"file": files}).json["received"]]


def state(visitor, lesson):
    with visitor.desk.store.reading() as view:
        return lesson_of(view, lesson)


@pytest.fixture
def visitor(tmp_path):
    with visited(tmp_path) as one:
        yield one


def with_crew(visitor, workers=1):
    made = Crew(visitor.desk.folder, visitor.desk.store, workers, quick_or_deadly)
    made.start()
    return made


def waiting(visitor):
    with visitor.desk.store.reading() as view:
        return jobs_waiting(view)


def test_at_most_one_less_than_the_cores_and_at_least_one(monkeypatch):
    for cores, workers in ((None, 1), (1, 1), (2, 1), (3, 2), (5, 4), (64, 4)):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        assert default_workers() == workers


def test_a_task_that_ends_its_worker_twice_is_refused_and_the_others_go_on(visitor):
    lessons = send(visitor, "one", "deadly", "unlucky", "two")
    crew = with_crew(visitor)
    try:
        wait_for(lambda: not waiting(visitor), "the work was not done")
    finally:
        crew.close()
    one, deadly, unlucky, two = (state(visitor, lesson) for lesson in lessons)
    assert (one.state, unlucky.state, two.state) == ("read", "read", "read")
    assert deadly.state == "refused"
    assert deadly.refusal.startswith("deadly: ended the process that worked on it 2 times")


def test_a_task_without_end_is_ended(visitor, monkeypatch):
    monkeypatch.setattr(worker_module, "LONGEST_TASK_S", 0.3)
    monkeypatch.setattr(worker_module, "_LOOK_S", 0.1)
    monkeypatch.setattr(crew_module, "MOST_DEATHS", 1)
    lesson, other = send(visitor, "endless", "one")
    crew = with_crew(visitor)
    try:
        wait_for(lambda: state(visitor, lesson).state == "refused", "it was not ended")
        monkeypatch.setattr(worker_module, "LONGEST_TASK_S", SOON_S)
        wait_for(lambda: not state(visitor, other).waiting, "the next one was not begun")
    finally:
        crew.close()


def test_a_closed_desk_leaves_no_process_and_its_work_is_taken_up_again(visitor):
    (lesson,) = send(visitor, "endless")
    crew = with_crew(visitor)
    wait_for(lambda: crew.processes, "no worker was started")
    (process,) = crew.processes
    crew.close()
    with pytest.raises(ProcessLookupError):
        os.kill(process, 0)
    assert state(visitor, lesson).waiting
    assert state(visitor, lesson).state == "received"  # a death that the desk caused does not count


def test_a_worker_that_is_killed_costs_nothing(visitor):
    crew = with_crew(visitor)
    try:
        wait_for(lambda: crew.processes, "no worker was started")
        os.kill(crew.processes[0], signal.SIGKILL)
        (lesson,) = send(visitor, "one")
        crew.wake()
        wait_for(lambda: not waiting(visitor), "the work was not done")
    finally:
        crew.close()
    assert state(visitor, lesson).state == "read"


def test_where_the_outcome_can_t_be_kept_the_lesson_says_so(visitor, monkeypatch):
    (lesson,) = send(visitor, "one")
    monkeypatch.setattr(crew_module, "keep", lambda *_: (_ for _ in ()).throw(OSError("disk full")))
    crew = with_crew(visitor)
    try:
        wait_for(lambda: not waiting(visitor), "the work was not done")
    finally:
        crew.close()
    assert "could not be kept" in state(visitor, lesson).refusal


def test_bad_recordings_and_charts_are_refused_in_words(visitor):
    chart = visitor.chart("vor_12.toml")
    with visitor.desk.store.writing() as change:
        change.execute("INSERT INTO chart VALUES (9, 'Bad', 'fix = 1', 'x', 'file', '', NULL)")
    data = {"file": (io.BytesIO(b"<html>"), "page.gpx")}
    page = visitor.post("/recordings", data).json["received"][0]["lesson"]
    (bad,) = visitor.drop("teardrop_entry.gpx", charts=(9,))
    (good,) = visitor.drop("good_45_180.csv", charts=(chart,))
    visitor.work()
    assert state(visitor, page).state == "refused"
    assert state(visitor, page).refusal.startswith("page.gpx: holds a web page")
    assert state(visitor, bad).refusal.startswith("Bad: ")
    assert state(visitor, bad).look["points"] > 100  # the recording itself is fine
    about = state(visitor, good)
    assert about.state == "assessed"
    assert about.flown_at.startswith("20")
    assert 2 < len(about.look["outline"]) <= 600
    assert about.look["altitude"]["kind"] == "indicated"


def test_real_workers_assess_what_clients_drop_at_once(tmp_path):
    """The small form of `python -m tests.benchmarks.desk_kills uploads`: 4 recordings from 4 clients at once."""
    gpx = (SAMPLES / "teardrop_entry.gpx").read_bytes()
    desk = open_desk(tmp_path, workers=1)
    try:
        first = Visitor(desk)
        first.enter()
        chart = first.chart("rnav_30.toml")
        answers = []

        def client(number):
            browser = Visitor(desk)
            browser.enter()
            for each in range(1):
                data = gpx.replace(b"</gpx>", b"<!-- %d %d --></gpx>" % (number, each))
                sent = {"file": (io.BytesIO(data), f"{number} {each}.gpx"), "chart": str(chart)}
                answers.append(browser.post("/recordings", sent).json["received"][0])

        threads = [threading.Thread(target=client, args=(number,)) for number in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        first.wait()
        with desk.store.reading() as view:
            lines = lesson_list(view, Wanted()).lines
            made = view.execute("SELECT count(*) FROM assessment").fetchone()[0]
        assert {line.id for line in lines} == {one["lesson"] for one in answers}
        assert [line.state for line in lines] == ["assessed"] * 4
        assert made == 4
    finally:
        desk.close()
