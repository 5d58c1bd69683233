"""A sentence for each figure that says the same in words."""

import numpy as np

from analyzer.judged import AssessedAttempt, Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.series import Series
from analyzer.units import MPS_PER_KNOT

_NO_REVERSAL = "No reversal was found, so nothing is judged here."


def altitude(assessment: Assessment, assessed: AssessedAttempt | None) -> str:
    """Return what the figure of altitude over time shows."""
    if assessed is None:
        return _NO_REVERSAL
    parts = []
    for measure in assessed.measures.altitudes:
        limit, segment = measure.limit, measure.limit.segment
        if measure.margin_m is None:
            continue
        nearest = f"{wording.feet(measure.worst_m)} at {wording.clock(measure.worst_at_s)}"
        bound = wording.feet(limit.low_m if limit.low_m is not None else limit.high_m)
        if limit.rule == "between":
            bound = f"{wording.feet(limit.low_m)} to {wording.feet(limit.high_m)}"
        if measure.violations:
            total = sum(each.end_s - each.start_s for each in measure.violations)
            parts.append(f"{segment}: outside {limit.rule} {bound} for {wording.seconds(total)}, worst {nearest}")
        else:
            which = "worst of the stretch held" if limit.rule == "at" else "nearest to it"
            parts.append(f"{segment}, {limit.rule} {bound}: {which} {nearest}")
    return wording.sentence("; ".join(parts)) if parts else "No altitude could be compared with a limit."


def profile(assessment: Assessment, assessed: AssessedAttempt | None) -> str:
    """Return what the figure of altitude along the course shows."""
    text = "Seen from the side, outbound to the left, the fix at 0. "
    if assessed is None:
        return text + _NO_REVERSAL
    broken = [one.limit.segment for one in assessed.measures.altitudes if one.violations]
    if broken:
        return text + f"Shaded where a limit was broken: {wording.listed([str(name) for name in broken])}."
    return text + "No limit was broken."


def margin(assessed: AssessedAttempt | None) -> str:
    """Return what the figure of the altitude inside its limit shows."""
    if assessed is None:
        return _NO_REVERSAL
    text = (
        "The limit of the segment flown is the line at 0; below it is outside; inside the "
        "shaded stretch about it (2 sigma of the altitude) it is too close to call. "
    )
    if any(measure.limit.rule == "at" for measure in assessed.measures.altitudes):
        text += "An exact altitude is held within 100 ft either way. "
    for measure in assessed.measures.altitudes:
        if measure.violations and measure.margin_m is not None:
            first = measure.violations[0]
            text += (
                f"{measure.limit.segment.capitalize()}: {wording.feet(abs(measure.margin_m))} outside at "
                f"{wording.clock(measure.worst_at_s)}, first at {wording.clock(first.start_s)}. "
            )
    return text.rstrip()


def needle(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> str:
    """Return what the figure of the needle's deflection shows."""
    guidance = assessment.procedure.guidance
    scale = (
        f"{wording.degrees(guidance.full_scale_deg, 1)}"
        if guidance.full_scale_deg is not None
        else wording.miles(guidance.full_scale_m)
    )
    text = f"Full scale is {scale} ({guidance.kind}); upwards is right of the inbound course. "
    text += "The needle of the time bar has the inbound course set. "
    if bool(series.in_cone.any()):
        text += "Gaps in the line are inside the cone over the station, where the needle says nothing. "
    if assessed is None:
        return text
    intercept = assessed.measures.intercept
    if not intercept.established:
        return text + "The inbound course was not established."
    text += f"Established at {wording.clock(intercept.established_s)}"
    if intercept.established_at_m is not None:
        text += f", {wording.miles(intercept.established_at_m, 1)} from the fix"
    if intercept.max_deflection is not None:
        text += f"; from there to the fix at most {wording.parts_of_scale(intercept.max_deflection)}"
        steady = intercept.steady_deflection
        if steady is not None and intercept.max_deflection - steady > 0.01:
            text += (
                f", {wording.parts_of_scale(steady)} before the last stretch at the fix, which is too near it to judge"
            )
    return text + "."


def track(assessment: Assessment, assessed: AssessedAttempt | None) -> str:
    """Return what the figure of the ground track shows."""
    procedure = assessment.procedure
    text = (
        f"Level lines are the courses: inbound {wording.course(procedure.inbound_magnetic_deg)}, outbound "
        f"{wording.course(procedure.magnetic_deg(procedure.outbound_true_deg))}. "
    )
    if assessed is not None and assessed.measures.intercept.angle_deg is not None:
        text += f"The course was intercepted at {wording.degrees(assessed.measures.intercept.angle_deg)}."
    return text


def rate(assessed: AssessedAttempt | None) -> str:
    """Return what the figure of the turn rate shows."""
    if assessed is None:
        return _NO_REVERSAL
    turns = [
        f"{one.phase} {wording.degrees(abs(one.turn.degrees))} "
        f"{'right' if one.turn.degrees > 0 else 'left'} at {wording.number(abs(one.turn.mean_rate_deg_s), 1)}°/s"
        for one in assessed.measures.turns[:6]
    ]
    return wording.sentence("mean rates: " + wording.listed(turns)) if turns else "No turn was measured."


def speed(assessment: Assessment, assessed: AssessedAttempt | None, series: Series) -> str:
    """Return what the figure of the speed shows."""
    ground = series.groundspeed_mps[np.isfinite(series.groundspeed_mps)]
    if ground.size == 0:
        return "No speed is known."
    low, high = float(ground.min()) / MPS_PER_KNOT, float(ground.max()) / MPS_PER_KNOT
    text = f"Over the ground {wording.number(low)} to {wording.number(high)} kt. "
    measure = assessed.measures.speed if assessed is not None else None
    if measure is not None:
        kind = {"ias": "indicated airspeed", "tas": "true airspeed", "groundspeed": "groundspeed"}[measure.kind]
        text += f"Highest {kind} in the reversal: {wording.knots(measure.max_mps)}"
        if measure.limit_ias_mps is not None:
            text += f"; the limit is {wording.knots(measure.limit_ias_mps)} indicated"
        text += "."
    return text
