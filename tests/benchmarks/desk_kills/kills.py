"""Kills desks at random moments and looks whether anything confirmed is lost, or anything half is there."""

import contextlib
import hashlib
import json
import random
import re
import sqlite3
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from http.client import HTTPException
from pathlib import Path

from tests.benchmarks.desk_kills.browser import Browser

SAMPLES = Path(__file__).parents[3] / "sample_tracks"


@dataclass
class Confirmed:
    """What the desk has confirmed: recordings by SHA-256 with their lesson, remarks and signatures by uid."""

    recordings: dict[str, int] = field(default_factory=dict)
    remarks: set[str] = field(default_factory=set)
    signatures: set[str] = field(default_factory=set)


def run_kills(folder: Path, kills: int, seed: int) -> tuple[Confirmed, list[str]]:
    """Kill a desk so many times; returns what was confirmed and what was found wrong.

    Each is killed somewhere in twice the time that this machine needs from the start to the first confirmed recording,
    counted from the moment at which the address is known. At the end one desk is left alone until its work is done, and
    each recording must have been assessed exactly once.
    """
    generator = random.Random(seed)
    confirmed, problems = Confirmed(), []
    chart = first_start(folder)
    desk = _Running(folder, confirmed)
    began = time.monotonic()
    _drop(desk.address, f"{seed} first", chart, confirmed, threading.Event())
    longest_s = 2.0 * (time.monotonic() - began)
    desk.kill()
    for number in range(kills):
        if number % 20 == 0:
            print(
                f"{number} kills, {len(confirmed.recordings)} recordings, {len(confirmed.remarks)} remarks confirmed, "
                f"{len(problems)} problems",
                flush=True,
            )
        desk = _Running(folder, confirmed)
        ending = threading.Event()
        clients = [
            threading.Thread(target=_drop, args=(desk.address, f"{seed} {number} {client}", chart, confirmed, ending))
            for client in range(2)
        ]
        for client in clients:
            client.start()
        time.sleep(generator.uniform(0.0, longest_s))
        desk.kill()
        ending.set()
        for client in clients:
            client.join()
        problems += [f"kill {number + 1}: {one}" for one in look(folder, confirmed)]
    desk = _Running(folder, confirmed)
    browser = Browser(desk.address)
    until = time.monotonic() + 60.0 + 5.0 * len(confirmed.recordings)
    while json.loads(browser.get("/work"))["waiting"] and time.monotonic() < until:
        time.sleep(0.2)
    desk.kill()
    problems += [f"end: {one}" for one in (*look(folder, confirmed), *_not_done_once(folder))]
    return confirmed, problems


def look(folder: Path, confirmed: Confirmed) -> list[str]:
    """Return what is wrong with a folder whose desk was killed."""
    problems = []
    with contextlib.closing(sqlite3.connect(folder / "desk.sqlite")) as view:
        whole = view.execute("PRAGMA integrity_check").fetchone()[0]
        if whole != "ok":
            problems.append(f"the database is damaged: {whole}")
        if view.execute("PRAGMA foreign_key_check").fetchall():
            problems.append("a record names another one that is not there")
        lessons = dict(view.execute("SELECT recording, id FROM lesson"))
        remarks = {uid for (uid,) in view.execute("SELECT uid FROM remark")}
        signatures = {uid for (uid,) in view.execute("SELECT uid FROM signature")}
        named = [("recordings", sha, "") for (sha,) in view.execute("SELECT sha256 FROM recording")]
        for result, report in view.execute("SELECT result_sha256, report_sha256 FROM assessment"):
            named += [("results", result, ".json"), ("reports", report, ".html")]
        half = view.execute(
            "SELECT count(*) FROM lesson WHERE state = 'assessed' AND assessment IS NULL"
            " OR state = 'received' AND id NOT IN (SELECT lesson FROM job)"
            " OR state IN ('read', 'assessed') AND id NOT IN (SELECT lesson FROM look)"
        ).fetchone()[0]
        if half:
            problems.append(f"{half} lessons are half there")
    for sha256, lesson in list(confirmed.recordings.items()):
        if lessons.get(sha256) != lesson:
            problems.append(f"a recording that was confirmed is gone: lesson {lesson}")
    problems += [f"a remark that was confirmed is gone: {uid}" for uid in confirmed.remarks - remarks]
    problems += [f"a signature that was confirmed is gone: {uid}" for uid in confirmed.signatures - signatures]
    for kind, sha256, suffix in named:
        place = folder / kind / f"{sha256}{suffix}"
        if not place.is_file() or hashlib.sha256(place.read_bytes()).hexdigest() != sha256:
            problems.append(f"{kind}: a file that a record names is missing or not whole")
    return problems


def _not_done_once(folder: Path) -> list[str]:
    with contextlib.closing(sqlite3.connect(folder / "desk.sqlite")) as view:
        rows = view.execute(
            "SELECT lesson.id, state, (SELECT count(*) FROM assessment WHERE lesson = lesson.id) FROM lesson"
        ).fetchall()
    partial = [str(path) for path in folder.rglob("*.partial")]
    wrong = [f"lesson {lesson} is {state}, assessed {times} times" for lesson, state, times in rows if times != 1]
    return wrong + [f"left half written: {path}" for path in partial]


def first_start(folder: Path) -> int:
    """Make the folder with a chart and a lesson that can be talked about; returns the chart."""
    from analyzer.run.desk.opened import open_desk
    from analyzer.run.desk.store.charts import add_chart
    from analyzer.run.desk.store.lessons import add_lesson, keep_recording

    desk = open_desk(folder, workers=1)
    kept = desk.recordings.keep_bytes(small_recording("first"), "first")
    with desk.store.writing() as change:
        chart = add_chart(change, "RNAV 30", (SAMPLES / "rnav_30.toml").read_text(encoding="utf-8"), "file").id
        keep_recording(change, kept.sha256, "first.gpx", kept.size_bytes)
        lesson = add_lesson(change, kept.sha256, charts=[chart]).id
    desk.crew.wake()
    waiting = True
    while waiting:
        time.sleep(0.05)
        with desk.store.reading() as view:
            waiting = bool(view.execute("SELECT 1 FROM job WHERE lesson = ?", (lesson,)).fetchone())
    desk.close()
    return chart


def small_recording(mark: str) -> bytes:
    """Return a recording of a point each four seconds, with bytes that no other one has."""
    gpx = (SAMPLES / "teardrop_entry.gpx").read_text(encoding="utf-8")
    lines = gpx.split("\n")
    points = [number for number, line in enumerate(lines) if line.startswith("<trkpt")]
    left_out = {number for place, number in enumerate(points) if place % 4}
    kept = "\n".join(line for number, line in enumerate(lines) if number not in left_out)
    return kept.replace("</gpx>", f"<!-- {mark} --></gpx>").encode()


class _Running:
    """A desk in a process of its own, and what it says is listened to."""

    def __init__(self, folder: Path, confirmed: Confirmed) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.benchmarks.desk_kills.talking_desk", str(folder)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            cwd=Path(__file__).parents[3],
        )
        assert self._process.stdout is not None
        self._stream, self._confirmed = self._process.stdout, confirmed
        self.address = ""
        for line in self._stream:
            _heard(line, confirmed)
            found = re.search(r"http://\S+", line)
            if found is not None:
                self.address = found[0]
                break
        assert self.address, "the desk did not start"
        self._listener = threading.Thread(target=self._listen)
        self._listener.start()

    def kill(self) -> None:
        """Kill it as the system would, and hear what it had said until then."""
        self._process.kill()
        self._process.wait()
        self._listener.join()
        self._stream.close()

    def _listen(self) -> None:
        for line in self._stream:
            _heard(line, self._confirmed)


def _heard(line: str, confirmed: Confirmed) -> None:
    if line.startswith("said ") and line.endswith("\n"):
        _, remark, signature = line[:-1].split(" ")
        confirmed.remarks.add(remark)
        if signature:
            confirmed.signatures.add(signature)


def _drop(address: str, name: str, chart: int, confirmed: Confirmed, ending: threading.Event) -> None:
    """Drop a recording that nobody has dropped before."""
    with contextlib.suppress(OSError, ValueError, AssertionError, HTTPException):
        browser = Browser(address)
        if not ending.is_set():
            data = small_recording(name)
            answer = json.loads(browser.drop(f"{name}.gpx", data, chart=chart))
            confirmed.recordings[hashlib.sha256(data).hexdigest()] = answer["received"][0]["lesson"]
