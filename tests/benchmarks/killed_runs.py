"""Kills batch runs at random moments and looks at what they left: no half-written file, no report lost.

    python tests/benchmarks/killed_runs.py [RUNS]

Each run assesses some flights into one folder that keeps the reports of the runs before. After each kill every result
file must be whole and every page must end, and what was there before must still be there. At the end a run that is left
alone must find all flights assessed.
"""

import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from analyzer.reading.procedure_file.read import read_procedure
from analyzer.run.demo.scenario import DEMO_FLIGHTS, procedure_text
from analyzer.synthesis import fly
from analyzer.synthesis.write import write_recording

FLIGHTS = 6


def main(runs: int) -> int:
    """Return how many runs left something broken."""
    generator = random.Random(20)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        procedure = folder / "procedure.toml"
        procedure.write_text(procedure_text(DEMO_FLIGHTS[0].procedure), encoding="utf-8")
        for seed in range(FLIGHTS):
            plan = DEMO_FLIGHTS[0].plan
            write_recording(fly(read_procedure(procedure), plan, seed), folder / f"flight{seed}.csv")
        tracks = [str(folder / f"flight{seed}.csv") for seed in range(FLIGHTS)]
        reports = folder / "reports"
        command = [sys.executable, "-m", "analyzer", "assess", *tracks, "--procedure", str(procedure)]
        command += ["--output", str(reports)]
        began = time.monotonic()
        subprocess.run(command, check=True, capture_output=True)
        whole_run_s = time.monotonic() - began
        broken, kills, seen = 0, 0, {path.name for path in reports.iterdir()}
        for run in range(runs):
            if run % 10 == 0:  # from an empty folder, too
                for path in reports.iterdir():
                    path.unlink()
                seen = set()
            jobs = "1" if run % 2 else "2"
            started = subprocess.Popen([*command, "--jobs", jobs], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            try:
                started.wait(generator.uniform(0.3, 1.1 * whole_run_s))
            except subprocess.TimeoutExpired:
                started.kill()
                started.wait()
                kills += 1
            if run % 2 == 0:
                time.sleep(0.5)  # orphaned processes of the pool end when their parent is gone
            problems = look(reports, seen)
            seen = {path.name for path in reports.iterdir() if not path.name.endswith(".partial")}
            broken += bool(problems)
            for problem in problems:
                print(f"run {run}: {problem}")
        subprocess.run(command, check=True, capture_output=True)
        names = {path.name for path in reports.iterdir() if not path.name.endswith(".partial")}
        expected = {f"flight{seed}{suffix}" for seed in range(FLIGHTS) for suffix in (".json", ".html")} | {
            "index.html"
        }
        if names != expected:
            print(f"at the end: {sorted(names ^ expected)}")
            broken += 1
    print(f"{runs} runs, {kills} killed, {broken} left something broken")
    return broken


def look(reports: Path, seen: set[str]) -> list[str]:
    """Return what is broken in the folder."""
    problems = [f"{name} is lost" for name in seen if not (reports / name).exists()]
    for path in reports.iterdir():
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".json":
            try:
                json.loads(text)["attempts"]
            except (ValueError, KeyError) as error:
                problems.append(f"{path.name}: {error}")
        elif path.suffix == ".html" and not text.rstrip().endswith("</html>"):
            problems.append(f"{path.name} ends too soon")
    return problems


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 200) > 0)
