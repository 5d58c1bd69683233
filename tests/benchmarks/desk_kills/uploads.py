"""Many recordings dropped by several clients at once on a real desk: all debriefed once, none lost."""

import json
import re
import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

from tests.benchmarks.desk_kills.browser import Browser
from tests.benchmarks.desk_kills.kills import first_start, small_recording


def run_uploads(folder: Path, recordings: int, clients: int) -> int:
    """Print how long it took; returns 0 where each recording, and the one there before, was assessed exactly once."""
    chart = first_start(folder)
    command = [sys.executable, "-m", "analyzer", "desk", "--no-browser", "--folder", str(folder)]
    began = time.monotonic()
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        found = re.search(r"http://\S+", process.stdout.readline())
        assert found is not None
        print(f"there after {time.monotonic() - began:.2f} s")
        answers: list[tuple[int, int]] = []

        def client(number: int) -> None:
            browser = Browser(found[0])
            for each in range(number, recordings, clients):
                data = small_recording(str(each))
                answers.append(
                    (each, json.loads(browser.drop(f"{each}.gpx", data, chart=chart))["received"][0]["lesson"])
                )

        began = time.monotonic()
        threads = [threading.Thread(target=client, args=(number,)) for number in range(clients)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        received_s = time.monotonic() - began
        browser = Browser(found[0])
        slowest_s = 0.0
        while True:
            asked = time.monotonic()
            waiting = json.loads(browser.get("/work"))["waiting"]
            slowest_s = max(slowest_s, time.monotonic() - asked)
            if not waiting:
                break
            time.sleep(0.1)
        done_s = time.monotonic() - began
        process.kill()
    with closing(sqlite3.connect(folder / "desk.sqlite")) as view:
        states = Counter(state for (state,) in view.execute("SELECT state FROM lesson"))
        times = Counter(
            times
            for (times,) in view.execute(
                "SELECT count(assessment.id) FROM lesson LEFT JOIN assessment ON"
                " assessment.lesson = lesson.id GROUP BY lesson.id"
            )
        )
    print(
        f"{len(answers)} of {recordings} confirmed in {received_s:.1f} s by {clients} clients, done after "
        f"{done_s:.1f} s; "
        f"states {dict(states)}, assessed so many times {dict(times)}; slowest answer meanwhile {slowest_s:.2f} s"
    )
    return 0 if len(answers) == recordings and states == {"assessed": recordings + 1} and set(times) == {1} else 1
