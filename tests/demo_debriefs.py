"""The demo's flights as they lie in `sample_tracks/`, each assessed once for all tests that look at the answer."""

from functools import cache
from pathlib import Path

import analyzer
from analyzer.run.demo.scenario import DEMO_FLIGHTS

SAMPLES = Path(__file__).parents[1] / "sample_tracks"


def demo_files() -> list[tuple[Path, Path]]:
    """Track and procedure of each flight; that these are the ones which the demo flies is tested in test_demo.py."""
    return [(SAMPLES / flight.track, SAMPLES / flight.procedure) for flight in DEMO_FLIGHTS]


@cache
def demo_debrief(number: int, *, anonymous: bool = False) -> analyzer.Debrief:
    track, procedure = demo_files()[number]
    return analyzer.assess(track, procedure, anonymous=anonymous, **DEMO_FLIGHTS[number].options)  # type: ignore[arg-type]
