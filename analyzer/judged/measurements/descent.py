"""How fast the flight came down, and whether a normal descent to the runway stayed possible."""

import numpy as np

from analyzer.flown import AltitudeProfile, Attempt, Flight
from analyzer.judged.measurements.altitudes import inbound_passage_s
from analyzer.judged.measurements.final import climb_begun_s
from analyzer.judged.measurements.ground import Ground
from analyzer.judged.measurements.values import Descent, DescentRate, TooHigh
from analyzer.planned import Plan
from analyzer.standards import figure
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, FloatArray

#: a rate is that of so long: a gust is shorter (own choice); the ICAO table gives its figures for each minute
RATE_S, TABLE_S = 10.0, 60.0
LOW_M = figure("descent.low.height").value * METRES_PER_FOOT
#: nearer to the threshold than this a path to it says nothing, farther off it was not approached (own choices)
NEAREST_M, APPROACHED_M = 0.25 * METRES_PER_NM, 1.0 * METRES_PER_NM
STEEPEST = figure("final.steepest").value * METRES_PER_FOOT / METRES_PER_NM
#: above the minimum by no more than a test allows the aircraft is where it should be
AT_MINIMUM_M = 100.0 * METRES_PER_FOOT
OVER_THRESHOLD_M = 50.0 * METRES_PER_FOOT


def measure_descent(attempt: Attempt, flight: Flight, plan: Plan, ground: Ground) -> Descent | None:
    """Return the steepest descents of an attempt and where it became too high for its runway; None without altitudes.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
    plan : Plan
        Its runway's elevation tells how high above the ground the final was.
    ground : Ground
        Where the aircraft touched down.
    """
    profile = flight.recorded.profile
    if profile is None:
        return None
    passage_s = inbound_passage_s(attempt)
    return Descent(
        outbound=_on_the_reversal(attempt, profile, ("outbound", "offset turn", "offset leg")),
        inbound=_on_the_reversal(attempt, profile, ("reversal turn", "intercept", "inbound")),
        final=None if passage_s is None else _fastest(profile, passage_s, attempt.end_s, RATE_S),
        low=None if passage_s is None else _low(attempt, profile, plan, ground, passage_s),
        too_high=None if passage_s is None else _too_high(flight, plan, ground, passage_s, attempt.end_s),
    )


def _on_the_reversal(attempt: Attempt, profile: AltitudeProfile, names: tuple[str, ...]) -> DescentRate | None:
    phases = [phase for phase in attempt.phases if phase.name in names and phase.lap == attempt.laps]
    return _fastest(profile, phases[0].start_s, phases[-1].end_s, TABLE_S) if phases else None


def _fastest(
    profile: AltitudeProfile, start_s: float, end_s: float, lasting_s: float, above: tuple[float, float] | None = None
) -> DescentRate | None:
    """Return the fastest descent that lasted so long; `above` keeps it within heights, metres above mean sea level."""
    starts = np.arange(max(start_s, float(profile.time_s[0])), min(end_s, float(profile.time_s[-1])) - lasting_s, 1.0)
    if not starts.size:
        return None
    begins, ends = (np.interp(starts + after, profile.time_s, profile.altitude_m) for after in (0.0, lasting_s))
    rate = (begins - ends) / lasting_s
    if above is not None:
        rate = np.where((begins <= above[1]) & (ends >= above[0]), rate, -np.inf)
    best = int(np.argmax(rate))
    if not np.isfinite(rate[best]):
        return None
    noise = (np.interp(starts[best] + after, profile.time_s, profile.noise_sigma_m) for after in (0.0, lasting_s))
    return DescentRate(float(rate[best]), float(starts[best]), lasting_s, float(np.hypot(*noise)) / lasting_s)


def _low(
    attempt: Attempt, profile: AltitudeProfile, plan: Plan, ground: Ground, passage_s: float
) -> DescentRate | None:
    """Below 1,000 ft above the runway, to the touchdown."""
    runway = plan.procedure.runway
    field_m = None if runway is None else runway.elevation_m
    if ground.touchdown is not None:
        field_m = ground.touchdown.ground_m
    if field_m is None:
        return None
    end_s = attempt.end_s if ground.touchdown is None else ground.touchdown.at_s
    return _fastest(profile, passage_s, end_s, RATE_S, (field_m, field_m + LOW_M))


def _too_high(flight: Flight, plan: Plan, ground: Ground, from_s: float, end_s: float) -> TooHigh | None:
    """Where the aircraft was last too high for its runway and above its minimum, up to the end of the final."""
    runway, minimum = plan.procedure.runway, plan.procedure.altitude("final")
    profile = flight.recorded.profile
    if runway is None or runway.elevation_m is None or ground.runway_before_fix or profile is None:
        return None
    motion = flight.motion
    along, cross = plan.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)
    climb_s = None if ground.touchdown is not None else climb_begun_s(from_s, end_s, flight.recorded)
    ends = [moment for moment in (ground.threshold_passed_s, climb_s) if moment is not None]
    until_s = min([end_s, *ends])  # who goes around does not come down to the runway any more
    inside = (motion.time_s >= from_s) & (motion.time_s <= until_s)
    away = np.hypot(motion.along_m - along, motion.cross_m - cross)
    if not np.any(inside) or float(np.min(away[inside])) > APPROACHED_M:
        return None
    judged = inside & (away >= NEAREST_M)
    time, far = motion.time_s[judged], away[judged]
    if not time.size:
        return None
    altitude: FloatArray = np.interp(time, profile.time_s, profile.altitude_m)
    floor_m = -np.inf if minimum is None or minimum.low_m is None else minimum.low_m + AT_MINIMUM_M
    allowed = np.maximum(runway.elevation_m + OVER_THRESHOLD_M + STEEPEST * far, floor_m)
    sigma = np.interp(
        time, profile.time_s, flight.recorded.sigma_m if flight.recorded.sigma_m is not None else 0.0 * time
    )
    beyond = altitude - allowed - 2.0 * sigma > 0.0
    if not beyond[-1]:
        return None
    first = int(np.flatnonzero(~beyond)[-1]) + 1 if np.any(~beyond) else 0
    return TooHigh(
        float(time[first]), float(far[first]), float(altitude[-1] - runway.elevation_m), float(far[-1]), float(time[-1])
    )
