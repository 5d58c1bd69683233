"""All measurements of one attempt, in one call."""

import numpy as np

from analyzer.flown import Attempt, Flight, Motion, take_off_s
from analyzer.given import Frame, Options, Procedure
from analyzer.judged.cleared_parts import PartAsked
from analyzer.judged.measurements.altitudes import inbound_passage_s, measure_altitudes
from analyzer.judged.measurements.asked_for import flown_plan
from analyzer.judged.measurements.cleared import measure_cleared
from analyzer.judged.measurements.containment import POSITION_SIGMA_M, measure_containment
from analyzer.judged.measurements.descent import measure_descent
from analyzer.judged.measurements.final import climb_begun_s, measure_final, point_passed_s
from analyzer.judged.measurements.ground import Ground, touchdown_of
from analyzer.judged.measurements.intercept import measure_intercept
from analyzer.judged.measurements.laps import measure_laps
from analyzer.judged.measurements.leading_arc import measure_arc
from analyzer.judged.measurements.legs import measure_leg_end, measure_legs
from analyzer.judged.measurements.speed import measure_speed
from analyzer.judged.measurements.timing import measure_timing
from analyzer.judged.measurements.turns import measure_turns
from analyzer.judged.measurements.unmeasured import NO_INTERCEPT
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Plan


def measure_attempt(
    attempt: Attempt, flight: Flight, plan: Plan, options: Options, asked: PartAsked | None = None
) -> AttemptMeasures:
    """Return everything that is measured of one attempt.

    Parameters
    ----------
    attempt : Attempt
    flight : Flight
        Its airspeed and heading columns are used where it has them. Without a wind there is no bank, radius, drift
        correction or wind-adjusted time; without altitudes no altitude is measured.
    plan : Plan
    options : Options
        `position_sigma_m` as stated by the user.
    asked : PartAsked, optional
        What the clearance asked of this attempt.
    """
    track, motion, wind = flight.track, flight.motion, flight.wind
    procedure, frame = plan.procedure, plan.frame
    stated_m = options.position_sigma_m
    solved = None if wind is None else flown_plan(attempt, flight, plan)
    ground = ground_of(attempt, flight, plan)
    return AttemptMeasures(
        containment=measure_containment(attempt, motion, procedure, plan.areas, stated_m),
        altitudes=measure_altitudes(attempt, procedure, flight.recorded, ground, _held_until_s(asked)),
        intercept=measure_intercept(attempt, flight, plan, stated_m),
        timing=measure_timing(attempt, motion, procedure, solved),
        turns=measure_turns(attempt, flight),
        speed=measure_speed(attempt, flight, plan),
        laps=measure_laps(attempt, motion, procedure),
        final=measure_final(attempt, flight, plan, ground.threshold_passed_s, _landed_s(ground)),
        legs=measure_legs(attempt, track, motion, wind, procedure, frame),
        leg_end=measure_leg_end(attempt, motion, procedure, POSITION_SIGMA_M if stated_m is None else stated_m),
        solved=solved,
        descent=measure_descent(attempt, flight, plan, ground),
        cleared=measure_cleared(attempt, flight.recorded, asked),
        arc=measure_arc(attempt.start_s, attempt.first_passage_s, flight, plan),
    )


def measure_straight_in(
    attempt: Attempt, flight: Flight, plan: Plan, options: Options, asked: PartAsked | None = None
) -> AttemptMeasures:
    """Return what is measured of a final that no reversal led to; as `measure_attempt`, without the reversal."""
    ground = ground_of(attempt, flight, plan)
    return AttemptMeasures(
        containment=measure_containment(attempt, flight.motion, plan.procedure, (), options.position_sigma_m),
        altitudes=measure_altitudes(attempt, plan.procedure, flight.recorded, ground, _held_until_s(asked)),
        intercept=NO_INTERCEPT,
        timing=None,
        turns=(),
        speed=None,
        laps=(),
        final=measure_final(attempt, flight, plan, ground.threshold_passed_s, _landed_s(ground)),
        descent=measure_descent(attempt, flight, plan, ground),
        cleared=measure_cleared(attempt, flight.recorded, asked),
        arc=measure_arc(attempt.start_s, attempt.established_s[-1] or attempt.first_passage_s, flight, plan),
    )


def _held_until_s(asked: PartAsked | None) -> float | None:
    """Return until when the altitude cleared for a hold is to be held; None: as long as the hold lasts."""
    if asked is None or asked.clearance.hold.altitude_m is None:
        return None
    return asked.clearance.cleared_at_s


def _landed_s(ground: Ground) -> float | None:
    return None if ground.touchdown is None else ground.touchdown.at_s


def ground_of(attempt: Attempt, flight: Flight, plan: Plan) -> Ground:
    """Return where an attempt and its track touch the ground."""
    motion, runway = flight.motion, plan.procedure.runway
    start_s = inbound_passage_s(attempt)
    touchdown = touchdown_of(start_s, attempt, flight.track, motion, flight.recorded.profile)
    point_s = None
    if start_s is not None and (touchdown or climb_begun_s(start_s, attempt.end_s, flight.recorded)):
        point_s = point_passed_s(start_s, attempt, flight, plan)  # who does neither is held to the minimum on
    before = runway is not None and plan.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)[0] > 0.0
    return Ground(
        threshold_passed_s(attempt, motion, plan.procedure, plan.frame),
        touchdown,
        bool(before),
        float(motion.time_s[0]),
        take_off_s(motion) is not None,
        point_s,
    )


def threshold_passed_s(attempt: Attempt, motion: Motion, procedure: Procedure, frame: Frame) -> float | None:
    """Return when the final came nearest to the runway threshold, None without a runway or a final."""
    passage_s = inbound_passage_s(attempt)
    if procedure.runway is None or passage_s is None:
        return None
    along, cross = frame.along_cross_m(procedure.runway.latitude_deg, procedure.runway.longitude_deg)
    inside = np.flatnonzero((motion.time_s >= passage_s) & (motion.time_s <= attempt.end_s))
    if inside.size == 0:
        return None
    distance = np.hypot(motion.along_m[inside] - along, motion.cross_m[inside] - cross)
    return float(motion.time_s[inside[int(np.argmin(distance))]])
