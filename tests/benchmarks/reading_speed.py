"""How fast tracks are read, side by side in one run: `python tests/benchmarks/reading_speed.py [points]`.

Prints the median of five readings of a GPX file of 36,000 points (ten hours at 1 Hz), of gpxpy.parse on the same file,
their ratio, and the same track as a table. Processor time: other work on the machine does not count.
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from math import cos, sin
from pathlib import Path

import gpxpy

from analyzer.reading.track_file import read_track

RUNS = 5
TARGET_RATIO = 0.35


def write_tracks(folder: Path, points: int) -> tuple[Path, Path]:
    """Write the same circling flight as GPX and as a table."""
    start = datetime(2024, 1, 13, 9, tzinfo=UTC)
    gpx, table = folder / "flight.gpx", folder / "flight.csv"
    with gpx.open("w") as document, table.open("w") as rows:
        document.write('<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="benchmark" ')
        document.write('xmlns="http://www.topografix.com/GPX/1/1">\n <trk>\n  <trkseg>\n')
        rows.write("time,latitude,longitude,altitude_ft\n")
        for i in range(points):
            stamp = (start + timedelta(seconds=i)).strftime("%Y-%m-%dT%H:%M:%SZ")
            latitude, longitude = 46.2 + 0.05 * sin(i / 100), -101.5 + 0.05 * cos(i / 100)
            document.write(
                f'   <trkpt lat="{latitude:.7f}" lon="{longitude:.7f}">\n    <ele>{1500 + i % 100}.0</ele>\n'
            )
            document.write(f"    <time>{stamp}</time>\n   </trkpt>\n")
            rows.write(f"{stamp},{latitude:.7f},{longitude:.7f},{5000 + i % 100}.0\n")
        document.write("  </trkseg>\n </trk>\n</gpx>\n")
    return gpx, table


def median_s(action: Callable[[], object], runs: int = RUNS) -> float:
    """Return the median processor time of an action, seconds."""
    times = []
    for _ in range(runs):
        started = time.process_time()
        action()
        times.append(time.process_time() - started)
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    points = int(sys.argv[1]) if len(sys.argv) > 1 else 36_000
    with tempfile.TemporaryDirectory() as folder:
        gpx, table = write_tracks(Path(folder), points)
        assert len(read_track(gpx)) == len(read_track(table)) == points
        own = median_s(lambda: read_track(gpx))
        library = median_s(lambda: gpxpy.parse(gpx.read_text()))
        csv = median_s(lambda: read_track(table))
    print(f"{points:,} points, medians of {RUNS}")
    print(f"reading GPX            {own:8.3f} s")
    print(f"gpxpy.parse            {library:8.3f} s")
    print(f"ratio                  {own / library:8.3f}    target {TARGET_RATIO}")
    print(f"reading the table      {csv:8.3f} s")


if __name__ == "__main__":
    main()
