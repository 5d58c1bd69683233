"""Which numbers were settled on synthetic flights, the values to try, and what their errors are read from."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Number:
    """One number: where it stands (a setting of a frozen value has a dot), values to try, what to look at.

    `reads` are capabilities of `tests.benchmarks.accuracy`.
    """

    module: str
    name: str
    tried: tuple[float, ...]
    reads: tuple[str, ...]


NUMBERS: dict[str, Number] = {
    "smoothing_width": Number(
        "analyzer.flown.motion.motion",
        "BEST_WIDTH_S",
        (3.4, 4.1, 4.85, 5.8, 7.0),
        ("boundary error s", "intercept angle deg", "wind error over bound"),
    ),
    "straight_spread": Number(
        "analyzer.flown.turns.turn_states",
        "STRAIGHT_SPREAD_DEG_S",
        (0.3, 0.45, 0.65),
        ("phase sequence", "time in phase", "boundary error s"),
    ),
    "switch_cost": Number(
        "analyzer.flown.turns.turn_states",
        "SWITCH_COST",
        (3.0, 5.0, 8.0),
        ("phase sequence", "time in phase", "boundary error s"),
    ),
    "level_split": Number(
        "analyzer.flown.turns.level_splits",
        "SPLITS.evidence",
        (4.0, 7.0, 12.0),
        ("phase sequence", "method", "time in phase"),
    ),
    "established_stay": Number(
        "analyzer.flown.reversals.established",
        "STAY_SIGMAS",
        (0.0, 0.5, 1.0, 2.0),
        ("established", "established distance NM"),
    ),
    "crossing_least": Number(
        "analyzer.judged.measurements.crossings",
        "COUNTED_LEAST_M",
        (0.5, 3.0, 10.0),
        ("crossings", "overshoot NM"),
    ),
    "arc_reach": Number(
        "analyzer.judged.measurements.arc",
        "REACH_S",
        (5.0, 9.0, 14.0),
        ("intercept angle deg",),
    ),
    "arc_rate_drift": Number(
        "analyzer.judged.measurements.arc",
        "RATE_DRIFT_DEG_S2",
        (0.02, 0.05, 0.12),
        ("intercept angle deg",),
    ),
    "method_pause": Number(
        "analyzer.flown.reversals.method",
        "OFFSET.pause_45_s",
        (8.0, 14.0, 20.0),
        ("method",),
    ),
    "method_heading": Number(
        "analyzer.flown.reversals.method",
        "LEG.heading_sigma_deg",
        (4.0, 7.0, 12.0),
        ("method",),
    ),
    "entry_heading": Number(
        "analyzer.flown.reversals.entry",
        "ENTRY.heading_sigma_deg",
        (4.0, 7.0, 12.0),
        ("entry",),
    ),
}
