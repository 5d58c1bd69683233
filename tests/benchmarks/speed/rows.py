"""The rows of the table: each is one kind of work over another, or an amount of memory, with its target."""

import functools
import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.benchmarks.speed import flights, peers
from tests.benchmarks.speed.measure import Spent, at_once, imports, peak_memory_mb, program, side_by_side, spent

LIBRARIES = ("pandas", "numpy", "shapely", "pyproj", "gpxpy")
PROCESSES = 2


@dataclass(frozen=True)
class Sizes:
    """How much of everything is measured."""

    runs: int
    hour: int = 3_600
    long: int = 36_000
    longest: int = 360_000
    lessons: int = 200
    archive: int = 500


QUICK = Sizes(runs=1, hour=1_000, long=3_600, longest=7_200, lessons=8, archive=8)


@dataclass(frozen=True)
class Line:
    """One line of the table.

    Parameters
    ----------
    name : str
    ours, theirs : Spent or None
        What was measured; None for an amount of memory.
    target : float or None
        Largest ratio, or MB; None for a line that only informs.
    memory_mb : float, optional
    """

    name: str
    ours: Spent | None
    theirs: Spent | None
    target: float | None
    memory_mb: float | None = None


class Bench:
    """The flights, made when they are first asked for, and the rows measured on them."""

    def __init__(self, folder: Path, sizes: Sizes) -> None:
        self.folder, self.sizes = folder, sizes
        self.procedure = flights.write_procedure(folder)
        self._outputs = itertools.count()

    @functools.cached_property
    def hour(self) -> Path:
        return flights.write_flight(self.folder / "hour.gpx", self.procedure, self.sizes.hour)

    @functools.cached_property
    def long(self) -> Path:
        return flights.write_flight(self.folder / "long.gpx", self.procedure, self.sizes.long)

    @functools.cached_property
    def longest(self) -> Path:
        """As long a flight as `long`, recorded ten times as often."""
        return flights.write_flight(self.folder / "fast.gpx", self.procedure, self.sizes.longest, 0.1)

    @functools.cached_property
    def days(self) -> Path:
        """As often recorded as `long`, ten times as long a flight."""
        return flights.write_flight(self.folder / "days.gpx", self.procedure, self.sizes.longest)

    @functools.cached_property
    def lessons(self) -> list[Path]:
        place = self.folder / "lessons"
        place.mkdir()
        return flights.write_lessons(place, self.procedure, self.sizes.lessons)

    @functools.cached_property
    def archive(self) -> Path:
        place = self.folder / "archive"
        place.mkdir()
        flights.write_lessons(place, self.procedure, self.sizes.archive)
        return place

    def assessed(self, command: str, tracks: list[Path], *more: str) -> Callable[[], None]:
        """Return the work of one call into a new folder each time, so that no call finds the files of another."""

        def work() -> None:
            output = self.folder / f"output_{next(self._outputs)}"
            program(self.folder, command, *tracks, "--procedure", self.procedure, "--output", output, *more)()

        return work

    def against(
        self, name: str, target: float | None, ours: Callable[[], object], theirs: Callable[[], object], **how: Any
    ) -> Line:
        return Line(name, *side_by_side(self.sizes.runs, ours, theirs, **how), target=target)


def report(bench: Bench) -> Iterator[Line]:
    """The whole process with a report against imports alone."""
    points = f"{bench.sizes.hour:,} points"
    ours = bench.assessed("assess", [bench.hour])
    bare = imports(bench.folder, [*LIBRARIES, "matplotlib"])
    pyplot = imports(bench.folder, [*LIBRARIES, "matplotlib.pyplot"])
    spent, of_bare, of_pyplot = side_by_side(bench.sizes.runs, ours, bare, pyplot)
    yield Line(f"assess, {points}, report ÷ import of {', '.join(LIBRARIES)}, matplotlib", spent, of_bare, 1.8)
    yield Line("  the same ÷ import with matplotlib.pyplot instead", spent, of_pyplot, None)


def no_report(bench: Bench) -> Iterator[Line]:
    """The whole process without a report against imports alone."""
    ours = bench.assessed("assess", [bench.hour], "--no-report")
    name = "assess --no-report ÷ the same import without matplotlib"
    yield bench.against(name, 1.6, ours, imports(bench.folder, LIBRARIES))


def reading(bench: Bench) -> Iterator[Line]:
    """Reading a GPX file."""
    from analyzer.reading.track_file import read_track

    name = f"reading GPX, {bench.sizes.long:,} points ÷ gpxpy.parse ({peers.gpxpy_parser()})"
    yield bench.against(name, 0.35, lambda: read_track(bench.long), lambda: peers.gpx_parsed(bench.long))


def _analysis(bench: Bench, path: Path) -> Callable[[], object]:
    """Return the work from a track and a procedure in memory to the debrief."""
    from analyzer.reading.procedure_file.read import read_procedure
    from analyzer.reading.track_file import read_track
    from analyzer.run.debrief import assess

    track, procedure = read_track(path), read_procedure(bench.procedure)
    return lambda: assess(track, procedure)


def analysis(bench: Bench) -> Iterator[Line]:
    """The analysis alone against parsing the file."""
    name = f"analysis alone, {bench.sizes.long:,} points ÷ gpxpy.parse of the file"
    yield bench.against(name, 0.25, _analysis(bench, bench.long), lambda: peers.gpx_parsed(bench.long))


def growth(bench: Bench) -> Iterator[Line]:
    """Ten times as many points."""
    sizes = bench.sizes
    target = 11.0 if sizes.longest == 10 * sizes.long else None
    works = [_analysis(bench, path) for path in (bench.longest, bench.days, bench.long)]
    fast, days, long = side_by_side(sizes.runs, *works)
    yield Line(f"analysis, {sizes.longest:,} points at 10 Hz ÷ {sizes.long:,} at 1 Hz", fast, long, target)
    hours = sizes.longest / 3600.0
    yield Line(f"analysis, {sizes.longest:,} points at 1 Hz ({hours:.0f} h) ÷ {sizes.long:,}", days, long, target)


def memory(bench: Bench) -> Iterator[Line]:
    """Peak memory of one call."""
    points = f"{bench.sizes.longest:,} points"
    for name, path, more in [
        (f"peak memory, {points} at 10 Hz, --no-report", bench.longest, ["--no-report"]),
        (f"peak memory, {points} at 10 Hz, report", bench.longest, []),
        (f"peak memory, {points} at 1 Hz, report", bench.days, []),
    ]:
        arguments = [path, "--procedure", bench.procedure, "--output", bench.folder / "memory", *more]
        yield Line(name, None, None, 350.0, memory_mb=peak_memory_mb(bench.folder, "assess", *arguments))


def pool(bench: Bench) -> Iterator[Line]:
    """Two processes against one, and the most that two can gain on this machine: two calls with half of the flights."""
    lessons, middle = bench.lessons, len(bench.lessons) // 2
    by_jobs = [bench.assessed("assess", lessons, "--no-report", "--jobs", str(jobs)) for jobs in (PROCESSES, 1)]
    halves = [
        bench.assessed("assess", half, "--no-report", "--jobs", "1") for half in (lessons[:middle], lessons[middle:])
    ]
    two, one, apart = side_by_side(bench.sizes.runs, *by_jobs, lambda: at_once(halves), warm_up=False)
    yield Line(f"{len(lessons)} flights, --no-report, two processes ÷ one", two, one, 0.58)
    yield Line("  two calls of one process with half of them each ÷ one call", apart, one, None)


def warm(bench: Bench) -> Iterator[Line]:
    """One flight in a process that has all loaded, against others' work on the same track."""
    from analyzer.reading.procedure_file.read import read_procedure
    from analyzer.reading.track_file import read_track
    from analyzer.run.debrief import assess

    track, procedure = read_track(bench.hour), read_procedure(bench.procedure)
    rates = peers.rates_of_turn(track)
    ours, alone, pelt, loop = side_by_side(
        bench.sizes.runs,
        lambda: assess(bench.hour, bench.procedure).to_dict(),
        lambda: assess(track, procedure),
        lambda: peers.change_points(rates, 5),
        lambda: peers.margins_in_a_loop(track, procedure),
    )
    pelt_each = spent(lambda: peers.change_points(rates, 1))  # takes a quarter of a minute
    points = f"{bench.sizes.hour:,} points"
    yield Line(f"warm, file to result, {points} ÷ ruptures Pelt (l2, every 5th point, its default)", ours, pelt, 0.1)
    yield Line("  the same ÷ Pelt at every point (jump 1), that measured once", ours, pelt_each, 0.1)
    yield Line("  the same ÷ a shapely loop: inside and distance for each point", ours, loop, 0.1)
    yield Line(f"warm, analysis alone, {points} ÷ Pelt, every 5th point", alone, pelt, None)
    yield Line("  the same ÷ a shapely loop", alone, loop, None)


def fleet(bench: Bench) -> Iterator[Line]:
    """Workers of a local dask cluster against the pool; both write a report and a result for each flight."""
    workers = str(PROCESSES)
    yield bench.against(
        f"{bench.sizes.archive:,} flights with reports, fleet on {workers} workers ÷ assess --jobs {workers}",
        1.3,
        bench.assessed("fleet", [bench.archive], "--reports", "--workers", workers),
        bench.assessed("assess", sorted(bench.archive.glob("*.gpx")), "--jobs", workers),
        warm_up=False,
    )


ROWS: dict[str, Callable[[Bench], Iterator[Line]]] = {
    row.__name__: row for row in (report, no_report, reading, analysis, growth, memory, pool, warm, fleet)
}
