"""The measured values of what was cleared: the altitude kept until then, and the one over the fix."""

from dataclasses import dataclass

from analyzer.given import CrossingAltitude


@dataclass(frozen=True)
class AssignedMeasure:
    """How an assigned altitude was kept.

    Parameters
    ----------
    limit_m : float
    from_s, until_s : float
        From where it was first reached to where it had to be kept.
    cleared_s : float or None
        When the approach was cleared; None where nobody said.
    low_m, low_at_s, high_m, high_at_s : float or None
        The lowest and the highest altitude; None with `reason` where nothing was measured.
    left_s : float or None
        When the flight last left the altitude for the lowest or highest one, whichever is farther off.
    sigma_m : float
        1 sigma of the altitude.
    reading_m : float
        As for a limit of the chart.
    """

    limit_m: float
    from_s: float
    until_s: float
    cleared_s: float | None = None
    low_m: float | None = None
    low_at_s: float | None = None
    high_m: float | None = None
    high_at_s: float | None = None
    left_s: float | None = None
    sigma_m: float = 0.0
    reading_m: float = 0.0
    reason: str | None = None


@dataclass(frozen=True)
class CrossingMeasure:
    """How the fix was crossed: when, at which altitude (None without one), and its 1 sigma."""

    limit: CrossingAltitude
    at_s: float
    altitude_m: float | None
    sigma_m: float = 0.0
    reading_m: float = 0.0


@dataclass(frozen=True)
class ClearedMeasure:
    """What was flown of a clearance in one attempt; None for what it doesn't ask of it.

    `leave_s` is when a hold was to be left, `left_s` when it was.
    """

    assigned: AssignedMeasure | None = None
    crossing: CrossingMeasure | None = None
    leave_s: float | None = None
    left_s: float | None = None
