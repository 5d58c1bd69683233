"""A folder of thousands of lessons: how long the list, a search and each filter take."""

import json
import random
import time
from pathlib import Path

from analyzer.run.desk.opened import open_desk
from analyzer.run.desk.store.assessments import FindingKey, Inputs, Outcome, add_assessment, codes_seen
from analyzer.run.desk.store.charts import add_chart
from analyzer.run.desk.store.database import Store
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.lessons import Spoken, add_lesson, keep_look, keep_recording, keep_spoken
from analyzer.run.desk.store.pilots import add_pilot
from analyzer.run.desk.store.remarks import Said, add_remark

CODES = ("heading-off", "overshot-course", "leg-too-long", "wrong-entry", "turn-too-slow", "below-minimum-altitude")
LONGEST_S = 0.2


def fill(store: Store, lessons: int, seed: int = 20) -> None:
    """Make lessons with findings and remarks, as years of a school would."""
    generator = random.Random(seed)
    outline = [[float(second), 46.2, -101.5] for second in range(600)]
    with store.writing() as change:
        pilots = [add_pilot(change, f"Pilot {number} Åström").id for number in range(max(1, lessons // 25))]
        charts = [add_chart(change, f"VOR {number}, Harrow Flats", f"n = {number}").id for number in range(20)]
        for number in range(lessons):
            sha256 = f"{number:064x}"
            keep_recording(change, sha256, f"flight {number}.gpx", 100_000)
            chart = generator.choice(charts)
            lesson = add_lesson(change, sha256, pilot=generator.choice(pilots), charts=[chart]).id
            month, day = generator.randint(1, 12), generator.randint(1, 28)
            start = f"{generator.randint(2020, 2026)}-{month:02d}-{day:02d}T12:00:00Z"
            keep_look(change, lesson, {"start_utc": start, "duration_s": 1800.0, "outline": outline})
            keys = tuple(
                (FindingKey(1, code, "outbound", 1, float(place)), "minor")
                for place, code in enumerate(generator.sample(CODES, generator.randint(0, 5)))
            )
            outcome = Outcome(sha256, sha256, "1", "to standard", generator.uniform(40.0, 100.0), 1, keys)
            about = add_assessment(change, lesson, Inputs((chart,), "", {}), outcome)
            keep_spoken(change, lesson, Spoken(outcome.result, outcome.overall, 0))
            for key, _ in keys[: generator.randint(0, 3)]:
                add_remark(change, about.id, Said("comment", "look at this again", "Ada", finding=key))
        change.execute("DELETE FROM job")


def times_of(store: Store, lessons: int) -> dict[str, float]:
    """Return the longest of five times of each kind of list, in seconds."""
    asked = {
        "first page": (Wanted(), 0),
        "last page": (Wanted(), lessons - 50),
        "search, many": (Wanted(text="flight"), 0),
        "search, one": (Wanted(text=f"flight {lessons // 2}.gpx"), 0),
        "search, two words": (Wanted(text="åström harrow"), 0),
        "search, none": (Wanted(text="nothing of this name"), 0),
        "pilot": (Wanted(pilot=3), 0),
        "chart": (Wanted(chart=3), 0),
        "finding": (Wanted(code="wrong-entry"), 0),
        "dates": (Wanted(since="2023-01-01", until="2023-12-31"), 0),
        "all at once": (Wanted(text="vor", chart=3, code="wrong-entry", since="2021-01-01", state="assessed"), 0),
    }
    found = {}
    for name, (wanted, start) in asked.items():
        longest_s = 0.0
        for _ in range(5):
            began = time.perf_counter()
            with store.reading() as view:
                lesson_list(view, wanted, start=start)
            longest_s = max(longest_s, time.perf_counter() - began)
        found[name] = longest_s
    began = time.perf_counter()
    with store.reading() as view:
        codes_seen(view)
    found["codes for the filter"] = time.perf_counter() - began
    return found


def run_lists(folder: Path, lessons: int) -> int:
    """Print the times; returns 0 where all are under 200 ms."""
    desk = open_desk(folder, workers=0)
    fill(desk.store, lessons)
    found = times_of(desk.store, lessons)
    size = (folder / "desk.sqlite").stat().st_size
    desk.close()
    print(json.dumps({name: f"{seconds * 1000:.0f} ms" for name, seconds in found.items()}, indent=1))
    print(f"{lessons} lessons, database {size / 1e6:.0f} MB; longest {max(found.values()) * 1000:.0f} ms")
    return 0 if max(found.values()) < LONGEST_S else 1
