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
    after the climb was due, None without altitudes or without a lower limit on the final; `climbed_m` the highest one
    up to the end of this part of the flight, and `climb_to_m` what the chart says, None where it doesn't.
    """

    climb_s: float
    point_s: float | None
    low_m: float | None = None
    low_at_s: float | None = None
    margin_m: float | None = None
    sigma_m: float | None = None
    climbed_m: float | None = None
    climbed_at_s: float | None = None
    climb_to_m: float | None = None


@dataclass(frozen=True)
class GateMeasure:
    """The final where it came down through a height above the field, as it is commonly taught to be steady by then.

    `rate_mps` is the descent over the ten seconds from there, `deflection` the needle (None where it is not known).
    """

    at_s: float
    height_m: float
    rate_mps: float
    groundspeed_mps: float
    deflection: float | None


@dataclass(frozen=True)
class FinalMeasure:
    """What was flown after the inbound passage of the fix.

    `deflection` is the largest needle deflection in parts of full scale, `off_m` the distance from the course there;
    None with `reason` where the final's course is not known. `point_s` is when the missed approach point was passed;
    `charted_s` the chart's time to it from the final fix and `planned_s` the same at the groundspeed that was flown,
    None where the chart gives a distance.
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
    point_s: float | None = None
    charted_s: float | None = None
    planned_s: float | None = None
    gate: GateMeasure | None = None


@dataclass(frozen=True)
class ArcMeasure:
    """How an arc that leads to the fix was flown.

    Parameters
    ----------
    start_s, end_s : float
        From where it was reached to where the turn off it began.
    worst_m, worst_at_s, sigma_m : float
        The largest distance off its radius, positive outside, its moment and 1 sigma.
    radius_m : float
    lead_deg : float or None
        Degrees of bearing before the end of the arc at which the turn began; None where the arc was not flown so far.
    asked_lead_deg : float
        What a turn of 90 degrees at standard rate takes at that speed.
    """

    start_s: float
    end_s: float
    worst_m: float
    worst_at_s: float
    sigma_m: float
    radius_m: float
    lead_deg: float | None
    asked_lead_deg: float
