"""Each line of a tolerance set has a flight just inside it and a twin just outside, the numbers written out.

Measured exactly (a doubt of next to nothing), so that the line itself is what decides. All with the US practical test.
"""

from collections.abc import Callable
from dataclasses import replace

import pytest

from analyzer.given import Clearance, HoldClearance, frame_of, wind_from
from analyzer.given.procedure import AltitudeLimit
from analyzer.judged.findings import Case
from analyzer.judged.findings.judging import judge
from analyzer.judged.measurements.final_values import ArcMeasure
from analyzer.judged.measurements.values import (
    AltitudeMeasure,
    AltitudeViolation,
    HeldBank,
    LegEnd,
    LegMeasure,
    NearStation,
)
from analyzer.planned import Plan
from analyzer.standards.tolerances import LINES, load_tolerances
from analyzer.units import METRES_PER_FOOT as FT, METRES_PER_NM as NM, MPS_PER_KNOT as KT
from tests.judged.test_findings_table import ALTITUDES, Scene, hold, procedure_turn

EXACT = 1e-6
#: what is raised, a finding's code with its severity; None: nothing
Said = str | None


def _with(scene: Scene, **changes: object) -> Scene:
    return replace(scene, measures=replace(scene.measures, **changes))


def _altitude(scene: Scene, index: int, limit: AltitudeLimit, feet: float) -> Scene:
    """A segment's worst altitude, known exactly, with a stretch of it where it is beyond the limit at all."""
    low_m = limit.low_m or 0.0
    violation = AltitudeViolation(200.0, 240.0, feet * FT, 220.0, None)
    measure = AltitudeMeasure(limit, feet * FT, 220.0, feet * FT - low_m, EXACT, (violation,))
    altitudes = list(scene.measures.altitudes)
    altitudes[index] = measure
    limits = list(scene.procedure.altitudes)
    limits[index] = limit
    return replace(
        _with(scene, altitudes=tuple(altitudes)), procedure=replace(scene.procedure, altitudes=tuple(limits))
    )


def held_in_hold(feet: float) -> Scene:
    return _altitude(hold(), 0, AltitudeLimit("reversal", "at", 5000 * FT, 5000 * FT), feet)


def held_before_final(feet: float) -> Scene:
    return _altitude(procedure_turn(), 1, AltitudeLimit("reversal", "at", 4600 * FT, 4600 * FT), feet)


def on_final(feet: float) -> Scene:
    return _altitude(procedure_turn(), 3, ALTITUDES[3], feet)


def early_by(before_s: float) -> Scene:
    """50 ft below the 4,600 ft of the reversal so long before being established at 440 s."""
    scene = procedure_turn()
    violation = AltitudeViolation(440.0 - before_s, 440.0, 4550 * FT, 439.0, None)
    altitudes = list(scene.measures.altitudes)
    altitudes[1] = AltitudeMeasure(ALTITUDES[1], 4550 * FT, 439.0, -50 * FT, EXACT, (violation,))
    return _with(scene, altitudes=tuple(altitudes))


def swing(scene: Scene, knots: float) -> Scene:
    """An airspeed that goes from 100 kt up by so much."""
    speed = replace(scene.measures.speed, low_mps=100 * KT, high_mps=(100 + knots) * KT, sigma_mps=EXACT)
    return _with(scene, speed=speed)


def heading(scene: Scene, phase: str, true_deg: float, course_deg: float, drift_deg: float) -> Scene:
    leg = LegMeasure(phase, 1, 160.0, 220.0, course_deg, 0.5, true_deg, EXACT, course_deg, drift_deg)  # type: ignore[arg-type]
    return _with(scene, legs=(leg,))


def outbound(deflection: float) -> Scene:
    scene = procedure_turn()
    return _with(scene, legs=(replace(scene.measures.legs[0], end_deflection=deflection), scene.measures.legs[1]))


def inbound(scene: Scene, **changes: object) -> Scene:
    exact = {
        "sigma_m": EXACT,
        "steady_deflection_sigma": EXACT,
        "angle_sigma_deg": EXACT,
        "turn_late_sigma_s": EXACT,
        **changes,
    }
    return _with(scene, intercept=replace(scene.measures.intercept, **exact))


def overshot(deflection: float | None, miles: float) -> Scene:
    return inbound(procedure_turn(), overshoot_m=miles * NM, overshoot_deflection=deflection)


def offset_leg(leg_s: float) -> Scene:
    """60 s charted, 58 s in this wind."""
    scene = procedure_turn()
    return _with(scene, timing=replace(scene.measures.timing, leg_s=leg_s, sigma_s=EXACT))


def third_lap(leg_s: float) -> Scene:
    """60 s charted, 62 s in this wind."""
    scene = hold()
    return _with(scene, timing=replace(scene.measures.timing, leg_s=leg_s, sigma_s=EXACT))


def by_length(miles: float) -> Scene:
    """A leg of 4 NM along the course."""
    return _with(hold(), timing=None, leg_end=LegEnd(3, 700.0, miles * NM, miles * NM, 4 * NM, EXACT))


def left(at_s_before: float) -> Scene:
    """The hold is left at 820 s; a passage is known to 1 s, so that 2 s more decide nothing."""
    return replace(hold(), clearance=Clearance(hold=HoldClearance(leave_at_s=820.0 - at_s_before)))


def last_lap(inbound_s: float) -> Scene:
    scene = hold()
    timing = replace(scene.measures.timing, sigma_s=EXACT)
    laps = (*scene.measures.laps[:2], replace(scene.measures.laps[2], inbound_s=inbound_s))
    return _with(scene, laps=laps, timing=timing)


def drifted(miles: float) -> Scene:
    scene = hold()
    laps = (*scene.measures.laps[:2], replace(scene.measures.laps[2], roll_in_cross_m=(1.4 + miles) * NM))
    return _with(scene, laps=laps, containment=replace(scene.measures.containment, sigma_m=EXACT))


def off_arc(miles: float) -> Scene:
    """An arc of 10 NM that leads to the fix, flown so far outside it."""
    return _with(procedure_turn(), arc=ArcMeasure(20.0, 80.0, miles * NM, 50.0, EXACT, 10.0 * NM, 6.0, 6.0))


def banked(degrees: float) -> Scene:
    scene = procedure_turn()
    last = replace(scene.measures.turns[2], held_bank=HeldBank(degrees, 320.0, EXACT, recorded=True))
    return _with(scene, turns=(*scene.measures.turns[:2], last))


def half_turn(rate_deg_s: float) -> Scene:
    """180 degrees: 60 s at 3 deg/s and 4 s of rolling ask for 2.8125 deg/s."""
    scene = procedure_turn()
    flown = replace(scene.measures.turns[2].turn, mean_rate_deg_s=rate_deg_s, end_s=308.0 + 180.0 / rate_deg_s)
    last = replace(scene.measures.turns[2], turn=flown, rate_sigma_deg_s=EXACT)
    return _with(scene, turns=(*scene.measures.turns[:2], last))


def parallel_entry(_: float) -> Scene:
    return replace(hold(), attempt=replace(hold().attempt, entry="parallel"))


def minor(code: str) -> str:
    return f"{code}: minor"


OFF = "off-assigned-altitude: major"
#: line: scene of a number, then numbers with what is said of each
TWINS: dict[str, tuple[Callable[[float], Scene], list[tuple[float, Said]]]] = {
    "holding.altitude_ft": (
        held_in_hold,
        [(5099.0, None), (5101.0, OFF), (4901.0, None), (4899.0, OFF)],
    ),
    "before_final.altitude_ft": (
        held_before_final,
        [(4699.0, None), (4701.0, OFF), (4501.0, None), (4499.0, OFF)],
    ),
    "assigned.critical_altitude_ft": (
        held_in_hold,
        [(5300.0, "off-assigned-altitude: major"), (5301.0, "off-assigned-altitude: critical")],
    ),
    "final.minimum_descent_below_ft": (
        on_final,
        [(3100.1, None), (3099.9, "below-minimum-descent-altitude: major")],
    ),
    "final.critical_below_ft": (
        on_final,
        [(3051.0, "below-minimum-descent-altitude: major"), (3050.0, "below-minimum-descent-altitude: critical")],
    ),
    "intercept.established_doubt_s": (
        early_by,
        [(4.9, "altitude-too-close: note"), (5.1, "descended-before-established: major")],
    ),
    "holding.speed_kt": (lambda by: swing(hold(), by), [(19.9, None), (20.1, minor("speed-not-held"))]),
    "before_final.speed_kt": (lambda by: swing(procedure_turn(), by), [(19.9, None), (20.1, minor("speed-not-held"))]),
    # a hold's outbound leg, 305 true, with 6 degrees left for the wind: anything from 299 to 305 is asked for
    "holding.heading_deg": (
        lambda true_deg: heading(hold(), "outbound", true_deg, 305.0, -6.0),
        [(289.1, None), (288.9, minor("heading-off"))],
    ),
    # an offset leg, 350 true, with 5 degrees left for the wind: from 345 to 350
    "before_final.heading_deg": (
        lambda true_deg: heading(procedure_turn(), "offset leg", true_deg, 350.0, -5.0),
        [(335.1, None), (334.9, minor("heading-off")), (359.9, None), (360.1, minor("heading-off"))],
    ),
    "holding.deflection": (
        lambda part: inbound(hold(), steady_deflection=part),
        [(0.749, None), (0.751, "outside-tracking-limit: major")],
    ),
    "before_final.deflection": (
        lambda part: inbound(procedure_turn(), steady_deflection=part),
        [(0.749, None), (0.751, "outside-tracking-limit: major"), (1.001, "outside-tracking-limit: critical")],
    ),
    # the needle outbound is known to 0.02, so that 0.04 more decide nothing
    "tracking.deflection": (
        outbound,
        [(0.789, None), (0.791, minor("outbound-course-not-tracked")), (1.039, minor("outbound-course-not-tracked")),
         (-1.041, "outbound-course-not-tracked: major")],
    ),
    "tracking.near_station_nm": (
        lambda miles: inbound(procedure_turn(), near=NearStation(miles * NM, 590.0, EXACT)),
        [(0.149, None), (0.151, "outside-tracking-limit: major")],
    ),
    "tracking.arc_nm": (
        off_arc,
        [(0.999, None), (1.001, "off-the-arc: major"), (-0.999, None), (-1.001, "off-the-arc: major")],
    ),
    "intercept.low_angle_deg": (
        lambda degrees: inbound(procedure_turn(), angle_deg=degrees),
        [(20.01, None), (19.99, minor("shallow-intercept"))],
    ),
    "intercept.high_angle_deg": (
        lambda degrees: inbound(procedure_turn(), angle_deg=degrees),
        [(89.99, None), (90.01, minor("steep-intercept"))],
    ),
    "intercept.overshoot_deflection": (
        lambda part: overshot(part, 0.5),
        [(0.749, None), (0.751, minor("overshot-course")), (0.999, minor("overshot-course")),
         (1.001, "overshot-course: major")],
    ),
    "intercept.overshoot_nm": (
        lambda miles: overshot(None, miles),
        [(0.299, None), (0.301, minor("overshot-course"))],
    ),
    "intercept.crossings": (
        lambda count: inbound(procedure_turn(), crossings=int(count)),
        [(1, None), (2, minor("several-crossings"))],
    ),
    "intercept.turn_onto_course_s": (
        lambda late_s: inbound(procedure_turn(), turn_late_s=late_s),
        [(4.9, None), (5.1, minor("turned-inbound-late")), (-4.9, None), (-5.1, minor("turned-inbound-early"))],
    ),
    "timing.leg_s": (
        offset_leg,
        [(69.9, None), (70.1, minor("leg-too-long")), (48.1, None), (47.9, minor("leg-too-short"))],
    ),
    "timing.leg_share": (
        third_lap,
        [(76.9, None), (77.1, minor("leg-too-long")), (47.1, None), (46.9, minor("leg-too-short"))],
    ),
    "timing.leg_major_share": (
        third_lap,
        [(91.9, minor("leg-too-long")), (92.1, "leg-too-long: major"), (20.0, minor("leg-too-short"))],
    ),
    "timing.leg_over_nm": (by_length, [(4.499, None), (4.501, minor("leg-too-long")), (2.0, None)]),
    "timing.leg_major_over_nm": (by_length, [(4.999, minor("leg-too-long")), (5.001, "leg-too-long: major")]),
    "timing.leave_s": (
        left,
        [(31.9, "left-on-time: note"), (32.1, minor("left-late")), (61.9, minor("left-late")),
         (62.1, "left-late: major"), (-31.9, "left-on-time: note"), (-32.1, minor("left-early")),
         (-62.1, "left-early: major")],
    ),
    "timing.inbound_leg_s": (
        last_lap,
        [(69.9, None), (70.1, minor("inbound-leg-long")), (50.1, None), (49.9, minor("inbound-leg-short"))],
    ),
    "timing.lap_drift_nm": (drifted, [(0.499, None), (0.501, minor("laps-drift")), (-0.501, minor("laps-drift"))]),
    "turns.bank_deg": (banked, [(29.9, None), (30.1, minor("bank-too-steep"))]),
    "turns.major_bank_deg": (banked, [(34.9, minor("bank-too-steep")), (35.1, "bank-too-steep: major")]),
    "turns.critical_bank_deg": (banked, [(44.9, "bank-too-steep: major"), (45.1, "bank-too-steep: critical")]),
    # 0.75 and 1.33 of 2.8125 deg/s
    "turns.slow_rate_share": (half_turn, [(2.111, None), (2.108, minor("turn-too-slow"))]),
    "turns.fast_rate_share": (half_turn, [(3.739, None), (3.742, minor("turn-too-fast"))]),
    # a hold's outbound leg flown on its course without any correction
    "wind.smallest_correction_deg": (
        lambda asked_deg: heading(hold(), "outbound", 305.0, 305.0, -asked_deg),
        [(4.99, None), (5.01, minor("no-wind-correction"))],
    ),
    # 10 degrees left asked for: 4 of them count as a correction
    "wind.correction_share": (
        lambda flown_deg: heading(hold(), "outbound", 305.0 - flown_deg, 305.0, -10.0),
        [(4.01, None), (3.99, minor("no-wind-correction")), (-2.99, minor("no-wind-correction")),
         (-3.01, minor("wind-correction-wrong-way"))],
    ),
    "entry.sector_rule_binding": (parallel_entry, [(0.0, minor("wrong-entry"))]),
}  # fmt: skip
#: no judge reads it: what is flown on the way in is judged by the needle
SHOWN_ONLY: set[str] = {"tracking.heading_deg"}


def said_of(scene: Scene, tolerances: str = "US practical test", **lines: float) -> list[str]:
    used = load_tolerances(tolerances)
    changed = {key: replace(used.lines[key], value=value) for key, value in lines.items()}
    used = replace(used, lines={**used.lines, **changed})
    plan = Plan(scene.procedure, frame_of(scene.procedure))
    case = Case(
        scene.attempt, scene.measures, plan, used, wind_from(240.0, 10.0), altitude_kind="indicated",
        reversal_expected=scene.expected, clearance=scene.clearance,
    )  # fmt: skip
    return [f"{finding.code}: {finding.severity}" for finding in judge(case).findings]


def test_every_line_has_its_twins() -> None:
    assert set(TWINS) | SHOWN_ONLY == set(LINES)


@pytest.mark.parametrize(
    ("line", "number", "said"), [(line, number, said) for line, (_, rows) in TWINS.items() for number, said in rows]
)
def test_just_inside_nothing_is_said_and_just_outside_it_is(line: str, number: float, said: Said) -> None:
    assert said_of(TWINS[line][0](number)) == ([] if said is None else [said])


@pytest.mark.parametrize(("binding", "severity"), [(0.0, "minor"), (1.0, "major")])
def test_the_sector_rule_is_major_where_it_binds(binding: float, severity: str) -> None:
    said = said_of(parallel_entry(0.0), **{"entry.sector_rule_binding": binding})
    assert said == [f"wrong-entry: {severity}"]
