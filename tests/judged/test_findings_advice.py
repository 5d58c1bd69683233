"""What a finding advises and refers to, by method, guidance, kind of reversal and criteria: one row for each branch."""

from dataclasses import replace

import pytest

from analyzer.given import frame_of, wind_from
from analyzer.given.procedure import Guidance
from analyzer.judged.findings import Case, Finding, judge
from analyzer.judged.measurements.values import Excursion, LegEnd, LegMeasure, NearStation
from analyzer.planned import Plan
from analyzer.standards.tolerances import load_tolerances
from analyzer.units import METRES_PER_NM as NM, MPS_PER_KNOT as KT
from tests.judged.test_findings_table import FIX, PAIRS, Scene, hold, procedure_turn

NDB = Guidance("NDB", FIX, 10.0, None)


def findings(scene: Scene, wind: object = None) -> tuple[Finding, ...]:
    plan = Plan(scene.procedure, frame_of(scene.procedure))
    case = Case(scene.attempt, scene.measures, plan, load_tolerances(), wind, altitude_kind="indicated",  # type: ignore[arg-type]
                clearance=scene.clearance)  # fmt: skip
    return judge(case).findings


def one(scene: Scene, code: str, wind: object = None) -> Finding:
    return next(finding for finding in findings(scene, wind) if finding.code == code)


def asked(scene: Scene, **changes: object) -> Scene:
    return replace(scene, procedure=replace(scene.procedure, **changes))


def inbound(scene: Scene, **changes: object) -> Scene:
    return replace(scene, measures=replace(scene.measures, intercept=replace(scene.measures.intercept, **changes)))


def flown_as(scene: Scene, method: str) -> Scene:
    return replace(scene, attempt=replace(scene.attempt, flown_as=method))


# --- documents -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "changes", "reference"),
    [
        ("descended-before-fix", {"criteria": "ICAO"}, "chart: altitude of the segment"),
        ("below-minimum-altitude", {"criteria": "ICAO"}, "chart: altitude of the segment"),
        ("below-minimum-altitude", {}, "chart; AIM 5-4-9 a"),
        ("too-fast", {"criteria": "ICAO"}, "ICAO Doc 8168 Vol II, Table I-4-1-2"),
        ("too-fast", {"defaults": frozenset()}, "chart: speed limit"),
        ("leg-too-long", {"criteria": "ICAO"},
         "ICAO Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.4.1; tolerance as designed for: 3.6.2 h) 1)"),
        ("turned-on-unprotected-side", {"criteria": "ICAO"}, "chart: turn direction"),
        ("reversal-not-permitted", {"criteria": "ICAO"}, "chart: no reversal"),
        ("left-distance-limit", {"criteria": "ICAO"}, "chart: distance limit"),
        ("left-primary-area", {"criteria": "ICAO"}, "ICAO Doc 8168 Vol II, Part I, Section 4, ch. 3"),
        ("never-established", {"criteria": "ICAO"}, "ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6"),
        ("inbound-leg-long", {"criteria": "ICAO"}, "common practice"),
        ("laps-converged", {"criteria": "ICAO"}, "common practice"),
        ("left-late", {"criteria": "ICAO"}, "clearance; tolerance: own choice"),
    ],
)  # fmt: skip
def test_the_document_goes_by_the_criteria(code: str, changes: dict[str, object], reference: str) -> None:
    scene = asked(PAIRS[code][0](), **changes)
    assert next(finding for finding in scene.judged().findings if finding.code == code).reference == reference


@pytest.mark.parametrize(
    ("reversal", "criteria", "outbound_m", "reference"),
    [
        ("holding", "US", None, "AIM 5-3-8 j4; tolerance: own choice"),
        ("holding", "US", 4 * NM, "AIM 5-3-8 j5; tolerance: own choice"),
        ("holding", "ICAO", None, "chart; ICAO Doc 8168, holding; tolerance: own choice"),
        ("hold in lieu", "US", None, "AIM 5-4-9 a5; tolerance: own choice"),
        ("hold in lieu", "ICAO", None, "chart; ICAO Doc 8168, holding; tolerance: own choice"),
    ],
)
def test_the_document_of_a_holds_leg(reversal: str, criteria: str, outbound_m: "float | None", reference: str) -> None:
    scene = asked(hold(), reversal=reversal, criteria=criteria, outbound_m=outbound_m)
    timing = replace(scene.measures.timing, leg_s=90.0)
    end = None if outbound_m is None else LegEnd(3, 700.0, 5 * NM, 5 * NM, 4 * NM, 10.0)
    scene = replace(scene, measures=replace(scene.measures, timing=None if end else timing, leg_end=end))
    assert one(scene, "leg-too-long").reference == reference


# --- the timed leg ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("scene", "changes", "start"),
    [
        (procedure_turn(), {}, "with wings level"),
        (procedure_turn(), {"timing_from": "turn start"}, "as the turn begins"),
        (hold(), {}, "abeam the fix or with wings level, whichever is later,"),
        (procedure_turn(), {"reversal": "teardrop"}, "over the fix or with wings level outbound"),
    ],
)
def test_where_the_clock_is_started(scene: Scene, changes: dict[str, object], start: str) -> None:
    scene = asked(scene, **changes)
    scene = replace(scene, measures=replace(scene.measures, timing=replace(scene.measures.timing, leg_s=95.0)))
    wanted = scene.measures.timing.wind_adjusted_s  # type: ignore[union-attr]
    assert one(scene, "leg-too-long").advice == f"Start the clock {start} and turn at {wanted:.0f} s."


@pytest.mark.parametrize(("wind_s", "severity"), [(None, "minor"), (62.0, "major")])
def test_a_holds_leg_may_be_what_an_unknown_wind_asks_for(wind_s: "float | None", severity: str) -> None:
    """100 s of 60: 38 s over what 62 s of wind leave, 40 over the chart; the wind not known, it is no major fault."""
    scene = hold()
    timing = replace(scene.measures.timing, leg_s=100.0, wind_adjusted_s=wind_s)
    scene = replace(scene, measures=replace(scene.measures, timing=timing))
    assert one(scene, "leg-too-long").severity == severity


@pytest.mark.parametrize(("first_s", "found"), [(94.1, True), (93.9, False)])
def test_a_leg_far_too_long_in_an_earlier_lap_is_said_where_the_last_one_is_right(first_s: float, found: bool) -> None:
    """62 s asked for, half of 60 s over it is a major fault, 2 s of doubt: from 94 s on."""
    scene = hold()
    laps = (replace(scene.measures.laps[0], outbound_s=first_s), *scene.measures.laps[1:])
    said = findings(replace(scene, measures=replace(scene.measures, laps=laps)))
    long = [finding for finding in said if finding.code == "leg-too-long"]
    assert bool(long) is found
    if found:
        assert (long[0].severity, long[0].lap, long[0].measured, long[0].limit) == ("minor", 1, first_s, 77.0)


# --- the way in ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "from_deg", "at_s", "advice"),
    [
        # 125 inbound; the manoeuvre side is left of it, from where a wind out of the north-east blows to the course
        ("80/260", 35.0, 430.0, "With the wind across towards the course, hold the 80° heading"),
        ("80/260", 215.0, 430.0, "Turn through all of the 80° first"),
        ("45/180", 35.0, 365.0, "With the wind across towards the course, fly the offset leg longer"),
        ("45/180", 215.0, 365.0, "Lead the turn onto the course"),
        ("45/180", 35.0, 430.0, "Lead the turn onto the course"),
        ("racetrack", 35.0, 365.0, "Correct the outbound heading away from the course"),
        ("racetrack", 35.0, 430.0, "Lead the turn onto the course"),
        ("teardrop", 35.0, None, "Correct the outbound heading away from the course"),
    ],
)
def test_an_overshoot_is_advised_on_by_what_brought_it_about(
    method: str, from_deg: float, at_s: "float | None", advice: str
) -> None:
    """The intercept begins at 371 s: what is passed before that is passed in the turn."""
    scene = flown_as(
        inbound(procedure_turn(), overshoot_m=0.7 * NM, overshoot_deflection=0.9, overshoot_at_s=at_s), method
    )
    assert one(scene, "overshot-course", wind_from(from_deg, 15.0 * KT)).advice.startswith(advice)


@pytest.mark.parametrize(("mps", "blown"), [(2.1, True), (1.9, False)])
def test_less_than_2_metres_a_second_across_explain_no_overshoot(mps: float, blown: bool) -> None:
    scene = flown_as(inbound(procedure_turn(), overshoot_m=0.7 * NM, overshoot_deflection=0.9), "80/260")
    assert ("With the wind across" in one(scene, "overshot-course", wind_from(35.0, mps)).advice) is blown


@pytest.mark.parametrize(
    ("guidance", "cut"), [(None, "turn 20° towards"), (Guidance("localizer", FIX, 2.5, None), "turn 10° towards")]
)
def test_back_to_a_localizer_by_10_degrees_and_to_others_by_20(guidance: "Guidance | None", cut: str) -> None:
    scene = procedure_turn() if guidance is None else asked(procedure_turn(), guidance=guidance)
    assert cut in one(inbound(scene, steady_deflection=0.9), "outside-tracking-limit").advice


@pytest.mark.parametrize(("heading_deg", "right"), [(121.9, True), (122.1, False), (112.1, True), (111.9, False)])
def test_a_drift_correction_within_5_degrees_of_the_winds_was_not_at_fault(heading_deg: float, right: bool) -> None:
    """125 inbound with 8 degrees left asked for: 117, and 5 either way."""
    scene = inbound(procedure_turn(), steady_deflection=0.9)
    leg = LegMeasure("inbound", 1, 440.0, 600.0, 125.0, 0.5, heading_deg, 1.5, 125.0, -8.0)
    scene = replace(scene, measures=replace(scene.measures, legs=(*scene.measures.legs, leg)))
    advice = one(scene, "outside-tracking-limit").advice
    assert ("The drift correction was right" in advice) is (
        abs(heading_deg - 117.0) <= 5.0
    ) is right or heading_deg > 122.0
    assert ("asked for a drift correction of 8° left" in advice) is (abs(heading_deg - 117.0) > 5.0)


def test_a_beacon_is_told_in_degrees() -> None:
    """0.8 of 10 degrees; three quarters are 7.5."""
    scene = inbound(asked(procedure_turn(), guidance=NDB), steady_deflection=0.8)
    finding = one(scene, "outside-tracking-limit")
    assert (finding.measured, finding.limit, finding.margin, finding.unit) == (8.0, 7.5, -0.5, "deg")
    assert "8.0° off the 118° bearing to the beacon" in finding.text
    assert "more than 10° off on the final bearing fly the missed approach" in finding.advice
    near = inbound(asked(procedure_turn(), guidance=NDB), overshoot_m=0.7 * NM, overshoot_deflection=0.9)
    assert one(near, "overshot-course").unit == "deg"


def test_near_the_station_what_the_needle_said_already_is_not_said_again() -> None:
    near = NearStation(0.2 * NM, 590.0, 10.0)
    both = findings(inbound(procedure_turn(), steady_deflection=0.9, near=near))
    assert [finding.code for finding in both] == ["outside-tracking-limit"]
    assert both[0].unit == "full scale"
    (alone,) = findings(inbound(procedure_turn(), near=near))
    assert (alone.unit, alone.limit) == ("NM", 0.15)
    assert alone.measured == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("reversal", "final", "never", "inside"),
    [
        ("holding", None, "fly another lap.", "fly another lap before any descent"),
        ("hold in lieu", None, "fly the missed approach.", "go missed or fly another circuit"),
        ("hold in lieu", "elsewhere", "tell ATC and fly another circuit.", "tell ATC and fly another circuit"),
        ("procedure turn", None, "fly the missed approach.", "go missed or fly another circuit"),
    ],
)
def test_not_established_one_goes_by_what_lies_behind_the_fix(
    reversal: str, final: "str | None", never: str, inside: str
) -> None:
    place = None if final is None else replace(FIX, latitude_deg=46.1)
    scene = asked(procedure_turn(), reversal=reversal, final_fix=place)
    lost = inbound(scene, established=False, established_s=None, steady_deflection=None)
    assert one(lost, "never-established").advice.endswith(never)
    assert inside in one(inbound(lost, established_after_fix_s=615.0), "established-inside-fix").advice


@pytest.mark.parametrize(("tail_mps", "told"), [(2.6, True), (2.4, False), (-9.0, False)])
def test_a_tailwind_of_5_knots_outbound_is_told_with_the_distance_limit(tail_mps: float, told: bool) -> None:
    """2.5 m/s are 4.9 kt; outbound is 305 true."""
    out = (Excursion("distance limit", 320.0, 350.0, 200.0, 335.0, "reversal turn", 1),)
    scene = procedure_turn()
    contained = replace(scene.measures.containment, margin_m=-200.0, excursions=out)
    wind = wind_from(125.0, tail_mps) if tail_mps > 0.0 else wind_from(305.0, -tail_mps)
    advice = one(
        replace(scene, measures=replace(scene.measures, containment=contained)), "left-distance-limit", wind
    ).advice
    assert ("of tailwind carry the flight out" in advice) is told
    if told:
        assert "5 kt of tailwind" in advice


# --- laps ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("inbound_s", "outbound_s", "wind_s", "advice"),
    [
        # long, and 80 s out where the wind asks for 62: the time was at fault
        (73.0, 80.0, 62.0, "With the outbound heading corrected for the wind, fly 62 s outbound."),
        # short, and 50 s out
        (47.0, 50.0, 62.0, "With the outbound heading corrected for the wind, fly 62 s outbound."),
        # long, and short outbound by more than 10 s: something else was at fault
        (73.0, 50.0, 62.0, "Look at the outbound heading and the turns first; with them right, fly 62 s outbound"),
        (73.0, 55.0, 62.0, "the time of 55 s was not at fault."),
        # the wind not known: 13 s less, 13 s more, and not under 15
        (73.0, 70.0, None, "Shorten the next outbound leg by what the inbound leg was over: about 57 s here."),
        (47.0, 70.0, None, "Lengthen the next outbound leg by what the inbound leg was short: about 83 s here."),
        (95.0, 30.0, None, "about 15 s here."),
    ],
)
def test_one_time_outbound_is_advised(inbound_s: float, outbound_s: float, wind_s: "float | None", advice: str) -> None:
    scene = hold()
    laps = (*scene.measures.laps[:2], replace(scene.measures.laps[2], inbound_s=inbound_s, outbound_s=outbound_s))
    timing = replace(scene.measures.timing, wind_adjusted_s=wind_s)
    said = findings(replace(scene, measures=replace(scene.measures, laps=laps, timing=timing)))
    assert advice in next(one.advice for one in said if one.code.startswith("inbound-leg"))


@pytest.mark.parametrize(
    ("laps", "entry", "leave", "found"),
    [
        ((1.4, 1.4, 2.0), "direct", None, True),
        ((1.4, 1.4, 2.0), "parallel", None, True),
        ((0.4, 1.4, 1.6), "parallel", None, False),  # an entry's lap turns elsewhere by its nature
        ((0.4, 1.4, 1.6), "direct", None, True),
        ((1.4, 1.5, 2.2), "direct", 820.0, False),  # the last lap turns where the time to leave asks
    ],
)
def test_which_laps_show_a_drift(laps: tuple[float, ...], entry: str, leave: "float | None", found: bool) -> None:
    scene = hold()
    made = tuple(replace(lap, roll_in_cross_m=nm * NM) for lap, nm in zip(scene.measures.laps, laps, strict=True))
    scene = replace(scene, attempt=replace(scene.attempt, entry=entry, entry_expected=entry),
                    measures=replace(scene.measures, laps=made))  # fmt: skip
    if leave is not None:
        scene = replace(scene, clearance=replace(scene.clearance, hold=replace(scene.clearance.hold, leave_at_s=leave)))
    assert ("laps-drift" in [finding.code for finding in findings(scene)]) is found


@pytest.mark.parametrize(("out_s", "drift_nm"), [((62.0, 71.0), 0.6), ((62.0, 73.0), None)])
def test_along_the_course_a_turning_point_may_be_meant_to_move(
    out_s: tuple[float, float], drift_nm: "float | None"
) -> None:
    """0.6 NM further out: a drift where the outbound times are alike within 10 s, meant where they differ by more."""
    scene = hold()
    first, middle, last = scene.measures.laps
    laps = (
        replace(first, outbound_s=out_s[0]), middle,
        replace(last, outbound_s=out_s[1], roll_in_along_m=(first.roll_in_along_m or 0.0) + 0.6 * NM),
    )  # fmt: skip
    said = [
        one for one in findings(replace(scene, measures=replace(scene.measures, laps=laps))) if one.code == "laps-drift"
    ]
    assert [one.measured for one in said] == ([] if drift_nm is None else [pytest.approx(drift_nm)])


@pytest.mark.parametrize(("cross_nm", "way"), [(2.0, "away from"), (0.8, "towards")])
def test_a_drift_is_towards_the_inbound_course_or_away_from_it(cross_nm: float, way: str) -> None:
    """A right-hand hold lies right of its inbound course."""
    scene = hold()
    laps = (*scene.measures.laps[:2], replace(scene.measures.laps[2], roll_in_cross_m=cross_nm * NM))
    text = one(replace(scene, measures=replace(scene.measures, laps=laps)), "laps-drift").text
    assert f"0.60 NM, {way} the inbound course" in text
