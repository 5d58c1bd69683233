"""The measured values of a final."""

from dataclasses import dataclass

from analyzer.given import StepFix


@dataclass(frozen=True)
class StepMeasure:
    """One step-down fix: where it was passed and how low the flight was until then.

    Parameters
    ----------
    step : StepFix
    passed_s : float
        When the flight came abeam of it, or where the final ended before.
    worst_m, worst_at_s, margin_m, sigma_m : float
        The lowest altitude until then, its moment, how far above the minimum, its 1 sigma.
    """

    step: StepFix
    passed_s: float
    worst_m: float
    worst_at_s: float
    margin_m: float
    sigma_m: float


@dataclass(frozen=True)
class MissedMeasure:
    """A missed approach: when it was begun, and how low the flight was between its point and the climb.

    `point_s` is None where the flight climbed away before the missed approach point; `low_m` is the lowest altitude
    after the climb was due, None without altitudes or without a lower limit on the final.
    """

    climb_s: float
    point_s: float | None
    low_m: float | None = None
    low_at_s: float | None = None
    margin_m: float | None = None
    sigma_m: float | None = None


@dataclass(frozen=True)
class FinalMeasure:
    """What was flown after the inbound passage of the fix.

    `deflection` is the largest needle deflection in parts of full scale, `off_m` the distance from the course there;
    None with `reason` where the final's course is not known.
    """

    start_s: float
    end_s: float
    deflection: float | None = None
    deflection_at_s: float | None = None
    deflection_sigma: float | None = None
    off_m: float | None = None
    steps: tuple[StepMeasure, ...] = ()
    missed: MissedMeasure | None = None
    reason: str | None = None
