"""Each finding has a case that has it and only it, and a twin just inside the tolerance that has none."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import pairwise

import pytest

from analyzer.flown.attempt import Attempt, FixPassage, FlownTurn, Phase
from analyzer.given import Clearance, CrossingAltitude, HoldClearance, frame_of
from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.given.wind import wind_from
from analyzer.judged.findings import CODES, Case, Finding, Judgement, missing_reversal
from analyzer.judged.findings.altitude_words import altitude_remedy
from analyzer.judged.findings.judging import judge
from analyzer.judged.measurements.cleared_values import AssignedMeasure, ClearedMeasure, CrossingMeasure
from analyzer.judged.measurements.final_values import ArcMeasure
from analyzer.judged.measurements.values import (
    AltitudeMeasure,
    AltitudeViolation,
    AttemptMeasures,
    Containment,
    Descent,
    DescentRate,
    Excursion,
    HeldBank,
    Homing,
    Intercept,
    LapMeasure,
    LegMeasure,
    NearStation,
    Speed,
    Timing,
    TooHigh,
    TurnMeasure,
)
from analyzer.planned import Plan
from analyzer.standards.tolerances import load_tolerances
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

NM, FT, KT = METRES_PER_NM, METRES_PER_FOOT, MPS_PER_KNOT
FIX = Place(46.2, -101.5, "HRF", 600.0)
ALTITUDES = (
    AltitudeLimit("arrival", "at or above", 5500 * FT, None),
    AltitudeLimit("reversal", "at or above", 4600 * FT, None),
    AltitudeLimit("inbound", "between", 3800 * FT, 4600 * FT),
    AltitudeLimit("final", "at or above", 3100 * FT, None),
)
PROCEDURE = Procedure(
    "VOR-A", "procedure turn", FIX, 125.0, 7.0, "file", "right", 305.0, 350.0, Guidance("VOR", FIX, 10.0, None),
    10 * NM, 60.0, None, "wings level", 200 * KT, ALTITUDES, "US", "A", defaults=frozenset({"limits.max_ias_kt"}),
)  # fmt: skip
HOLD = replace(
    PROCEDURE, title="Delay hold", reversal="holding", turn_side="right", outbound_true_deg=305.0,
    altitudes=(AltitudeLimit("reversal", "at", 5000 * FT, 5000 * FT),),
)  # fmt: skip


@dataclass(frozen=True)
class Scene:
    """Everything `judge` takes, clean unless changed."""

    attempt: Attempt
    measures: AttemptMeasures
    procedure: Procedure
    expected: str | None = None
    clearance: Clearance = field(default_factory=Clearance)

    def judged(self) -> Judgement:
        wind = wind_from(240.0, 10.0)
        return judge(
            Case(
                self.attempt, self.measures, Plan(self.procedure, frame_of(self.procedure)), load_tolerances(), wind,
                altitude_kind="indicated", reversal_expected=self.expected, clearance=self.clearance,
            )
        )  # fmt: skip


def _altitude(limit: AltitudeLimit, worst_ft: float, *times: float) -> AltitudeMeasure:
    low, high = limit.low_m, limit.high_m
    margins = [worst_ft * FT - low] if low is not None else []
    margins += [high - worst_ft * FT] if high is not None else []
    violations = (AltitudeViolation(times[0], times[1], worst_ft * FT, sum(times) / 2),) if times else ()
    return AltitudeMeasure(limit, worst_ft * FT, sum(times) / 2 if times else 100.0, min(margins), 20 * FT, violations)


def _turn(start_s: float, degrees: float, rate: float = 2.85) -> FlownTurn:
    return FlownTurn(start_s, start_s + abs(degrees) / rate, degrees, rate if degrees > 0 else -rate, 3.0, 60.0,
                     "air heading")  # fmt: skip


def procedure_turn() -> Scene:
    """A 45/180 with nothing to fault: fix at 100 s, established at 440 s, fix again at 600 s."""
    names = (("arrival", 0.0), ("outbound turn", 100.0), ("outbound", 115.0), ("offset turn", 230.0),
             ("offset leg", 248.0), ("reversal turn", 308.0), ("intercept", 371.0), ("inbound", 440.0),
             ("final", 600.0), ("", 700.0))  # fmt: skip
    phases = tuple(Phase(a[0], 1, a[1], b[1]) for a, b in pairwise(names))
    turns = (("outbound turn", 1, _turn(100.0, -40.0, 2.5)), ("offset turn", 1, _turn(230.0, 45.0, 2.4)),
             ("reversal turn", 1, _turn(308.0, 180.0)))  # fmt: skip
    attempt = Attempt(
        1, 0.0, 700.0, (FixPassage(100.0, 50.0, "outbound"), FixPassage(600.0, 30.0, "inbound")), "45/180", None, None,
        False, 345.0, 1, phases, turns, (440.0,), True, False, (),
    )  # fmt: skip
    measures = AttemptMeasures(
        Containment(1.5 * NM, 10.0, "distance limit", 330.0, 8.5 * NM, 330.0, ()),
        tuple(_altitude(limit, worst) for limit, worst in zip(ALTITUDES, (5600, 4700, 4200, 3200), strict=True)),
        Intercept(45.0, 0.1 * NM, 430.0, 1, True, 440.0, 5.0 * NM, 0.2, 0.4, 500.0, 10.0, 0.12, 0.02, 380.0, 1.0,
                  420.0, 1.0, 1.0, None, 0.4, 500.0, 0.02),
        Timing("offset leg", 1, 248.0, 60.0, 60.0, 58.0, 1.0),
        tuple(TurnMeasure(name, lap, turn, 17.0, 0.6 * NM, 1.0, 0.05) for name, lap, turn in turns),
        Speed("ias", 120 * KT, 200.0, 200 * KT, 2 * KT, None, 112 * KT, 120 * KT),
        (),
        (
            LegMeasure("outbound", 1, 120.0, 225.0, 305.0, 0.5, 299.0, 1.5, 305.0, -8.0, 0.2),
            LegMeasure("offset leg", 1, 250.0, 305.0, 355.0, 0.5, 349.0, 1.5, 350.0, -5.0),
        ),
    )  # fmt: skip
    return Scene(attempt, measures, PROCEDURE)


def hold() -> Scene:
    """Three laps with nothing to fault, direct entry, 240 s each."""
    names = ("outbound turn", "outbound", "reversal turn", "inbound")
    phases = [Phase("arrival", 1, 0.0, 100.0)]
    for lap in (1, 2, 3):
        for number, name in enumerate(names):
            start = 100.0 + 240.0 * (lap - 1) + 60.0 * number
            phases.append(Phase(name, lap, start, start + 60.0))
    phases.append(Phase("final", 3, 820.0, 900.0))
    turns = tuple((p.name, p.lap, _turn(p.start_s, 180.0)) for p in phases if p.name.endswith("turn"))
    back = (FixPassage(100.0 + 240.0 * lap, 50.0, "inbound") for lap in (1, 2, 3))
    passages = (FixPassage(100.0, 50.0, "outbound"), *back)
    attempt = Attempt(
        1, 0.0, 900.0, passages, "hold", "direct", "direct", False, 125.0, 3, tuple(phases), turns,
        (280.0, 520.0, 760.0), True, False, (),
    )  # fmt: skip
    clean = procedure_turn().measures
    measures = replace(
        clean,
        altitudes=(_altitude(HOLD.altitudes[0], 5050),),
        intercept=replace(clean.intercept, angle_deg=0.0, crossings=0, overshoot_m=0.0, turn_late_s=None),
        timing=Timing("outbound", 3, 640.0, 60.0, 60.0, 62.0, 1.0),
        turns=tuple(TurnMeasure(name, lap, turn, 17.0, 0.6 * NM, 1.0, 0.05) for name, lap, turn in turns),
        laps=tuple(LapMeasure(lap, 62.0, 61.0, 280.0, 2 * NM, 1.4 * NM) for lap in (1, 2, 3)),
        legs=(LegMeasure("outbound", 1, 160.0, 220.0, 305.0, 0.5, 287.0, 1.5, 305.0, -6.0),),
    )
    return Scene(attempt, measures, HOLD)


LEVEL = Descent(None, None, None, None, None)


def _descent(part: str, feet_a_minute: float, criteria: str = "US", category: str = "A") -> Scene:
    scene = procedure_turn()
    rate = DescentRate(feet_a_minute * FT / 60.0, 620.0, 10.0, 0.001)
    asked = replace(scene.procedure, criteria=criteria, category=category)
    return replace(_measures(scene, descent=replace(LEVEL, **{part: rate})), procedure=asked)


#: an inbound leg that lies in the station's cone altogether
IN_CONE: dict[str, object] = {"established": False, "established_s": None, "steady_deflection": None}

# --- one change at a time --------------------------------------------------------------------------------------------


def _measures(scene: Scene, **changes: object) -> Scene:
    return replace(scene, measures=replace(scene.measures, **changes))


def _attempt(scene: Scene, **changes: object) -> Scene:
    return replace(scene, attempt=replace(scene.attempt, **changes))


def _intercept(**changes: object) -> Scene:
    scene = procedure_turn()
    for name, value in list(changes.items()):
        if name.startswith("max_deflection"):  # far from a station both are the same
            changes[name.replace("max_", "steady_")] = value
    return _measures(scene, intercept=replace(scene.measures.intercept, **changes))


def _contained(margin_nm: float, *areas: str, sigma_m: float = 10.0) -> Scene:
    out = tuple(Excursion(area, 320.0, 350.0, -margin_nm * NM, 335.0, "reversal turn", 1) for area in areas)
    name = areas[0] if areas else "distance limit"
    value = Containment(margin_nm * NM, sigma_m, name, 335.0, 10 * NM - margin_nm * NM, 335.0, out)
    return _measures(procedure_turn(), containment=value)


def _computed(margin_nm: float) -> Scene:
    """A flight that is so far inside (or outside) an area that nobody publishes."""
    out = (Excursion("primary", 320.0, 350.0, -margin_nm * NM, 335.0, "reversal turn", 1),)
    value = Containment(margin_nm * NM, 10.0, "primary", 335.0, 9 * NM, 335.0, (), True, out)
    return _measures(procedure_turn(), containment=value)


def _altitudes(index: int, worst_ft: float, *times: float) -> Scene:
    scene = procedure_turn()
    altitudes = list(scene.measures.altitudes)
    altitudes[index] = _altitude(altitudes[index].limit, worst_ft, *times)
    return _measures(scene, altitudes=tuple(altitudes))


def _read(low_ft: float, sigma_ft: float) -> Scene:
    """So far below the minimum descent altitude by an altimeter's record."""
    floor_ft = ALTITUDES[3].low_m / FT
    scene = _altitudes(3, floor_ft - low_ft, *((620.0, 640.0) if low_ft > 0.0 else ()))
    altitudes = list(scene.measures.altitudes)
    altitudes[3] = replace(altitudes[3], sigma_m=sigma_ft * FT, reading_m=10.0 * FT)
    return _measures(scene, altitudes=tuple(altitudes))


def _timed(leg_s: float, sigma_s: float = 1.0) -> Scene:
    scene = procedure_turn()
    return _measures(scene, timing=replace(scene.measures.timing, leg_s=leg_s, sigma_s=sigma_s))


def _turned(**changes: object) -> Scene:
    scene = procedure_turn()
    turns = (*scene.measures.turns[:2], replace(scene.measures.turns[2], **changes))
    return _measures(scene, turns=turns)


def _banked(degrees: float) -> Scene:
    return _turned(held_bank=HeldBank(degrees, 320.0, 0.5, recorded=True))


def _rated(rate: float) -> Scene:
    return _turned(turn=_turn(308.0, 180.0, rate))


def _speed(**changes: object) -> Scene:
    scene = procedure_turn()
    return _measures(scene, speed=replace(scene.measures.speed, **changes))


def _leg(scene: Scene, index: int, **changes: object) -> Scene:
    legs = list(scene.measures.legs)
    legs[index] = replace(legs[index], **changes)
    return _measures(scene, legs=tuple(legs))


def _laps(**changes: object) -> Scene:
    scene = hold()
    return _measures(scene, laps=(*scene.measures.laps[:2], replace(scene.measures.laps[2], **changes)))


def _hold_altitude(worst_ft: float, *times: float) -> Scene:
    scene = hold()
    return _measures(scene, altitudes=(_altitude(HOLD.altitudes[0], worst_ft, *times),))


def _not_established(after_s: float | None) -> Scene:
    return _intercept(established=False, established_s=None, max_deflection=None, established_after_fix_s=after_s,
                      crossings=0, overshoot_m=0.0, turn_late_s=None)  # fmt: skip


def _leaving(leave_at_s: float | None) -> Scene:
    """The hold is left at 820 s."""
    return replace(hold(), clearance=Clearance(hold=HoldClearance(leave_at_s=leave_at_s)))


def _second_lap(**changes: object) -> Scene:
    scene = hold()
    laps = (scene.measures.laps[0], replace(scene.measures.laps[1], **changes), scene.measures.laps[2])
    return _measures(scene, laps=laps)


def _circuits(reversal: str, laps: int | None) -> Scene:
    scene = replace(hold(), clearance=Clearance(hold=HoldClearance(laps=laps)))
    return replace(scene, procedure=replace(scene.procedure, reversal=reversal))


def _arriving(track_deg: float) -> Scene:
    """Into an ICAO procedure turn with 305 degrees outbound."""
    scene = _attempt(procedure_turn(), arrival_track_true_deg=track_deg)
    return replace(scene, procedure=replace(PROCEDURE, criteria="ICAO"))


def _flown_as(method: str, criteria: str) -> Scene:
    scene = _attempt(procedure_turn(), flown_as=method, arrival_track_true_deg=305.0)
    scene = _measures(scene, timing=None)
    return replace(scene, procedure=replace(PROCEDURE, criteria=criteria))


#: code: a scene that has it and only it, and its twin just inside the tolerance
def _assigned(worst_ft: float, left_s: float) -> Scene:
    """5,000 ft assigned, cleared at 150 s, the fix at 200 s; left at a moment for the worst altitude."""
    limit_m, worst_m = 5000.0 * FT, worst_ft * FT
    low, high = min(limit_m, worst_m), max(limit_m, worst_m)
    kept = AssignedMeasure(limit_m, 0.0, 200.0, 150.0, low, left_s + 20.0, high, left_s + 20.0, left_s, 0.1, 10.0 * FT)
    scene = procedure_turn()
    return replace(scene, measures=replace(scene.measures, cleared=ClearedMeasure(kept)))


def _off_arc(off_nm: float) -> Scene:
    """1 NM is allowed (IR.V.A.S6); 10 m of doubt are 0.005 NM."""
    arc = ArcMeasure(20.0, 80.0, off_nm * NM, 50.0, 10.0, 10.0 * NM, 6.0, 6.0)
    scene = procedure_turn()
    return replace(scene, measures=replace(scene.measures, arc=arc))


def _crossing(flown_ft: float) -> Scene:
    """At or above 5,000 ft over the fix; 10 ft are what an altimeter can be read to."""
    asked = CrossingAltitude("at or above", 5000.0 * FT, None)
    crossed = CrossingMeasure(asked, 100.0, flown_ft * FT, 0.1, 10.0 * FT)
    scene = procedure_turn()
    return replace(scene, measures=replace(scene.measures, cleared=ClearedMeasure(crossing=crossed)))


PAIRS: dict[str, tuple[Callable[[], Scene], Callable[[], Scene]]] = {
    "left-distance-limit": (lambda: _contained(-0.1, "distance limit"), lambda: _contained(0.02)),
    "left-primary-area": (lambda: _contained(-0.1, "primary"), lambda: _contained(0.02)),
    "left-secondary-area": (lambda: _contained(-0.1, "secondary", "primary"), lambda: _contained(0.02)),
    "outside-computed-area": (lambda: _computed(-0.1), lambda: _computed(-0.01)),
    "containment-too-close": (lambda: _contained(0.01), lambda: _contained(0.012)),
    "turned-on-unprotected-side": (lambda: _attempt(procedure_turn(), wrong_side=True), procedure_turn),
    "wrong-entry": (
        lambda: _attempt(hold(), entry="parallel"),
        lambda: _attempt(hold(), entry="parallel", entry_near_boundary=True),
    ),
    "outbound-course-not-tracked": (
        lambda: _leg(procedure_turn(), 0, end_deflection=-0.85),
        lambda: _leg(procedure_turn(), 0, end_deflection=-0.77),
    ),
    "no-wind-correction": (
        lambda: _leg(hold(), 0, drift_correction_deg=-8.0, heading_true_deg=305.0),
        lambda: _leg(hold(), 0, drift_correction_deg=-8.0, heading_true_deg=304.0),
    ),
    "wind-correction-wrong-way": (
        lambda: _leg(hold(), 0, drift_correction_deg=-8.0, heading_true_deg=312.0),
        lambda: _leg(hold(), 0, drift_correction_deg=-4.9, heading_true_deg=312.0),
    ),
    "heading-off": (
        lambda: _leg(procedure_turn(), 1, heading_true_deg=364.0),
        lambda: _leg(procedure_turn(), 1, heading_true_deg=362.5),
    ),
    "outside-entry-sector": (lambda: _arriving(305.0 + 36.0), lambda: _arriving(305.0 + 34.0)),
    "not-the-charted-method": (
        lambda: _flown_as("racetrack", "ICAO"),
        lambda: _flown_as("racetrack", "US"),
    ),
    "reversal-not-permitted": (
        lambda: replace(procedure_turn(), expected="not permitted"),
        lambda: replace(procedure_turn(), expected="required"),
    ),
    "descended-before-fix": (
        lambda: _altitudes(0, 5450, 60.0, 100.0),
        lambda: _altitudes(0, 5545),
    ),
    "descended-before-established": (
        lambda: _altitudes(1, 4550, 400.0, 440.0),
        lambda: _altitudes(1, 4645),
    ),
    "below-minimum-altitude": (lambda: _altitudes(1, 4550, 200.0, 240.0), lambda: _altitudes(1, 4645)),
    "below-minimum-descent-altitude": (lambda: _altitudes(3, 3050, 640.0, 660.0), lambda: _altitudes(3, 3145)),
    "above-maximum-altitude": (lambda: _altitudes(2, 4650, 440.0, 460.0), lambda: _altitudes(2, 4555)),
    "off-assigned-altitude": (lambda: _hold_altitude(5145, 200.0, 240.0), lambda: _hold_altitude(5055)),
    "altitude-too-close": (lambda: _altitudes(1, 4635), lambda: _altitudes(1, 4645)),
    "never-established": (lambda: _not_established(None), procedure_turn),
    "established-inside-fix": (
        lambda: _not_established(615.0),
        lambda: _intercept(established_s=585.0),
    ),
    "outside-tracking-limit": (lambda: _intercept(max_deflection=0.80), lambda: _intercept(max_deflection=0.70)),
    "intercept-too-close": (lambda: _intercept(max_deflection=0.72), lambda: _intercept(max_deflection=0.70)),
    "homed-to-beacon": (
        lambda: _intercept(homing=Homing(450.0, 560.0, 25.0)),
        lambda: _intercept(homing=None),
    ),
    "descent-rate": (lambda: _descent("final", 1510.0), lambda: _descent("final", 1490.0)),
    "too-high-for-the-runway": (
        lambda: _measures(
            procedure_turn(), descent=replace(LEVEL, too_high=TooHigh(640.0, 2 * NM, 500.0, 0.3 * NM, 690.0))
        ),
        lambda: _measures(procedure_turn(), descent=LEVEL),
    ),
    "overshot-course": (
        lambda: _intercept(overshoot_m=0.7 * NM, overshoot_deflection=0.80),
        lambda: _intercept(overshoot_m=0.66 * NM, overshoot_deflection=0.75),
    ),
    "several-crossings": (lambda: _intercept(crossings=2), lambda: _intercept(crossings=1)),
    "shallow-intercept": (lambda: _intercept(angle_deg=17.0), lambda: _intercept(angle_deg=20.0)),
    "steep-intercept": (lambda: _intercept(angle_deg=93.0), lambda: _intercept(angle_deg=90.0)),
    "turned-inbound-late": (lambda: _intercept(turn_late_s=8.0), lambda: _intercept(turn_late_s=5.0)),
    "turned-inbound-early": (lambda: _intercept(turn_late_s=-8.0), lambda: _intercept(turn_late_s=-5.0)),
    "leg-too-long": (lambda: _timed(73.0), lambda: _timed(68.0)),
    "leg-too-short": (lambda: _timed(45.0), lambda: _timed(50.0)),
    "timing-too-close": (lambda: _timed(69.0), lambda: _timed(68.0)),
    "bank-too-steep": (lambda: _banked(31.1), lambda: _banked(30.9)),
    "turn-too-slow": (lambda: _rated(1.9), lambda: _rated(2.15)),
    "turn-too-fast": (lambda: _rated(3.95), lambda: _rated(3.7)),
    "too-fast": (lambda: _speed(max_mps=205 * KT), lambda: _speed(max_mps=195 * KT)),
    "speed-not-held": (
        lambda: _speed(low_mps=90 * KT, high_mps=120 * KT),
        lambda: _speed(low_mps=100 * KT, high_mps=120 * KT),
    ),
    "speed-too-close": (lambda: _speed(max_mps=197 * KT), lambda: _speed(max_mps=195.9 * KT)),
    "laps-drift": (lambda: _laps(roll_in_cross_m=2.0 * NM), lambda: _laps(roll_in_cross_m=1.9 * NM)),
    "inbound-leg-long": (lambda: _laps(inbound_s=73.0), lambda: _laps(inbound_s=70.0)),
    "inbound-leg-short": (lambda: _laps(inbound_s=47.0), lambda: _laps(inbound_s=50.0)),
}
PAIRS |= {
    "left-late": (lambda: _leaving(787.0), lambda: _leaving(None)),
    "left-early": (lambda: _leaving(853.0), lambda: _leaving(None)),
    "left-on-time": (lambda: _leaving(795.0), lambda: _leaving(None)),
    "laps-converged": (lambda: _second_lap(inbound_s=71.0), lambda: _second_lap(inbound_s=70.0)),
    "circuits-not-as-cleared": (lambda: _circuits("holding", 2), lambda: _circuits("holding", 3)),
    "circuit-not-asked-for": (lambda: _circuits("hold in lieu", None), lambda: _circuits("hold in lieu", 3)),
}
PAIRS |= {
    "descended-before-cleared": (lambda: _assigned(4889.0, 100.0), lambda: _assigned(4891.0, 100.0)),
    "descended-before-segment": (lambda: _assigned(4889.0, 160.0), lambda: _assigned(4891.0, 160.0)),
    "climbed-off-assigned-altitude": (lambda: _assigned(5111.0, 100.0), lambda: _assigned(5109.0, 100.0)),
    "crossing-altitude-missed": (lambda: _crossing(4989.0), lambda: _crossing(4991.0)),
    "off-the-arc": (lambda: _off_arc(1.02), lambda: _off_arc(0.98)),
}
WITHOUT_ATTEMPT = {"reversal-missing"}  # said of a track without any reversal: tested below
#: the final has its pairs in a file of its own
OF_THE_FINAL = {"final-not-tracked", "below-step-down-fix", "missed-approach-late", "below-minimum-on-missed-approach"}
OF_THE_CAUSES = {"main-cause"}  # said after the judgement, by flying the reversal again


def test_no_finding_without_its_pair() -> None:
    assert set(PAIRS) | WITHOUT_ATTEMPT | OF_THE_FINAL | OF_THE_CAUSES == set(CODES)


@pytest.mark.parametrize("code", PAIRS)
def test_the_case_has_the_finding_and_only_it(code: str) -> None:
    findings = PAIRS[code][0]().judged().findings
    assert [finding.code for finding in findings] == [code]


@pytest.mark.parametrize("code", PAIRS)
def test_the_twin_inside_the_tolerance_has_none(code: str) -> None:
    assert PAIRS[code][1]().judged().findings == ()


@pytest.mark.parametrize("code", PAIRS)
def test_each_sentence_has_a_time_a_number_and_an_end(code: str) -> None:
    for finding in PAIRS[code][0]().judged().findings:
        assert re.search(r"\b\d\d:\d\d\b", finding.text), finding.text
        assert re.search(r"\d", re.sub(r"\d\d:\d\d", "", finding.text)), finding.text
        for sentence in (finding.text, finding.advice):
            assert sentence[0].isupper() or sentence[0].isdigit()
            assert sentence.endswith(".")
            assert not re.search(r"\bnan\b|None|  |\binf\b", sentence)
        assert finding.reference
        assert finding.at_s is not None
        if finding.margin is not None and finding.severity != "note":
            assert finding.margin < 0.0


def test_a_missing_reversal_is_said_only_where_one_was_required() -> None:
    finding = missing_reversal(PROCEDURE, "required", 312.0)
    assert finding is not None
    assert finding.code == "reversal-missing"
    assert "05:12" in finding.text
    assert missing_reversal(PROCEDURE, None, 312.0) is None
    assert missing_reversal(PROCEDURE, "not permitted", 312.0) is None


def test_an_inbound_leg_inside_the_cone_is_not_judged() -> None:
    judged = _intercept(**IN_CONE, near=NearStation(0.1 * NM, 580.0, 10.0, established_s=560.0)).judged()
    assert judged.intercept == "to standard"
    assert not judged.findings
    assert any("in the station's cone" in reason for reason in judged.not_assessed)


def test_beside_the_course_in_the_cone_by_position_is_never_established() -> None:
    """Nothing established by position: the position is known as well as elsewhere."""
    (finding,) = _intercept(**IN_CONE).judged().findings
    assert finding.code == "never-established"


@pytest.mark.parametrize(("off_nm", "severity"), [(0.13, None), (0.148, "note"), (0.17, "major")])
def test_near_the_station_the_distance_from_the_course_is_judged(off_nm: float, severity: str | None) -> None:
    """0.15 NM, own choice; 10 m of doubt, so that 0.011 NM about it decide nothing; no advice to turn there."""
    found = _intercept(near=NearStation(off_nm * NM, 590.0, 10.0)).judged().findings
    assert [one.severity for one in found] == ([] if severity is None else [severity])
    assert not any("turn 20" in one.advice for one in found)


def test_a_beacon_speaks_of_degrees_and_not_of_a_scale() -> None:
    """10 degrees are what half of which the 5 degrees of established are: 0.9 of them are 9 degrees off the bearing."""
    beacon = replace(PROCEDURE, guidance=Guidance("NDB", FIX, 10.0, None))
    wide = replace(_intercept(max_deflection=0.9, overshoot_deflection=0.9), procedure=beacon)
    lost = replace(_not_established(None), procedure=beacon)
    found = [*wide.judged().findings, *lost.judged().findings]
    assert {one.code for one in found} >= {"outside-tracking-limit", "overshot-course", "never-established"}
    words = " ".join(f"{one.text} {one.advice}" for one in found)
    assert "9.0° off the 118° bearing to the beacon" in words
    assert not re.search(r"scale|needle", words)
    (tracking,) = [one for one in found if one.code == "outside-tracking-limit"]
    assert (tracking.measured, tracking.limit, tracking.unit) == (pytest.approx(9.0), pytest.approx(7.5), "deg")


def test_homing_is_not_praised_as_the_right_drift_correction() -> None:
    scene = _intercept(max_deflection=0.9, homing=Homing(450.0, 560.0, 25.0))
    scene = replace(scene, procedure=replace(PROCEDURE, guidance=Guidance("NDB", FIX, 10.0, None)))
    found = {one.code: one for one in scene.judged().findings}
    assert "homing" in found["homed-to-beacon"].text
    assert "25°" in found["homed-to-beacon"].text
    assert "was right" not in found["outside-tracking-limit"].advice


def test_an_early_turn_that_could_not_have_met_the_course_before_the_fix_is_not_the_fault() -> None:
    codes = [finding.code for finding in _intercept(turn_late_s=-200.0).judged().findings]
    assert "turned-inbound-early" not in codes


@pytest.mark.parametrize(("low_ft", "verdict"), [(0.0, "to standard"), (9.0, "to standard"), (11.0, "not to standard")])
def test_what_the_altimeter_showed_decides_to_half_of_its_smallest_division(low_ft: float, verdict: str) -> None:
    """10 ft, own choice; recorded to the foot, so that half a foot is all the doubt there is."""
    assert _read(low_ft, 0.25).judged().altitudes[3] == verdict


@pytest.mark.parametrize(
    ("low_ft", "verdict"), [(0.0, "too close to call"), (100.0, "not to standard"), (-100.0, "to standard")]
)
def test_in_a_record_of_hundreds_half_a_step_is_the_doubt(low_ft: float, verdict: str) -> None:
    """50 ft: twice the 1 sigma of 25 ft."""
    assert _read(low_ft, 25.0).judged().altitudes[3] == verdict


def test_at_a_minimum_of_unknown_datum_it_is_too_close_to_call() -> None:
    assert _altitudes(3, ALTITUDES[3].low_m / FT).judged().altitudes[3] == "too close to call"


@pytest.mark.parametrize(("low_ft", "severity"), [(11.0, "major"), (49.0, "major"), (50.0, "critical")])
def test_below_the_minimum_descent_altitude_is_critical_from_50_ft(low_ft: float, severity: str) -> None:
    """Own choice."""
    (finding,) = _read(low_ft, 0.25).judged().findings
    assert (finding.code, finding.severity) == ("below-minimum-descent-altitude", severity)


def test_timing_and_inbound_leg_of_a_hold_ask_for_one_time_outbound() -> None:
    long = next(f for f in _laps(inbound_s=73.0, outbound_s=80.0).judged().findings if f.code == "inbound-leg-long")
    assert "fly 62 s outbound" in long.advice
    right = next(f for f in _laps(inbound_s=73.0, outbound_s=62.0).judged().findings if f.code == "inbound-leg-long")
    assert "was not at fault" in right.advice


def test_limit_and_margin_of_a_finding_agree() -> None:
    for scene in (_timed(90.0), _timed(30.0), _laps(inbound_s=90.0), _altitudes(1, 4000, 300.0, 320.0)):
        found = [f for f in scene.judged().findings if f.measured is not None and f.unit in ("s", "ft")]
        assert found
        for finding in found:
            assert finding.limit is not None
            assert finding.margin is not None
            assert abs(abs(finding.measured - finding.limit) - abs(finding.margin)) < 1e-6


def _advice(scene: Scene, code: str) -> str:
    return next(finding.advice for finding in scene.judged().findings if finding.code == code)


def _inbound(heading_true_deg: float, needle: float = 0.9) -> Scene:
    """A needle out on the inbound leg, where the wind asked for 8 degrees left."""
    scene = _intercept(max_deflection=needle)
    leg = LegMeasure("inbound", 1, 440.0, 600.0, 125.0, 0.5, heading_true_deg, 1.5, 125.0, -8.0)
    return _measures(scene, legs=(*scene.measures.legs, leg))


def test_a_needle_out_beside_the_course_is_not_blamed_on_the_drift_correction() -> None:
    assert "The drift correction was right" in _advice(_inbound(118.0), "outside-tracking-limit")
    wrong = _advice(_inbound(125.0), "outside-tracking-limit")
    assert "asked for a drift correction of 8° left, flown was none" in wrong


def test_an_overshoot_that_is_flown_back_is_advised_on_as_an_overshoot() -> None:
    scene = _intercept(crossings=2, overshoot_m=0.2 * NM, overshoot_deflection=0.2)
    finding = next(one for one in scene.judged().findings if one.code == "several-crossings")
    assert finding.text.startswith("From 05:08 to the fix")  # from the start of the reversal turn, as it is counted
    assert "drift correction" not in finding.advice
    wandering = _intercept(crossings=4, overshoot_m=0.2 * NM, overshoot_deflection=0.2)
    assert "one heading with the drift correction" in _advice(wandering, "several-crossings")


def test_a_gentle_turn_on_the_intercept_is_not_called_slow() -> None:
    scene = procedure_turn()
    gentle = replace(scene.measures.turns[2], phase="intercept", turn=_turn(380.0, 43.0, 1.0))
    scene = _measures(scene, turns=(*scene.measures.turns, gentle))
    assert scene.judged().findings == ()


def test_a_doubt_about_an_altitude_to_be_held_names_the_tolerance() -> None:
    finding = _hold_altitude(5085).judged().findings[0]
    assert finding.code == "altitude-too-close"
    assert "85 ft above the 5,000 ft of the hold, of 100 ft allowed" in finding.text
    assert finding.limit is not None
    assert abs(finding.limit - 5100) < 1e-6


def test_altitudes_in_doubt_by_the_whole_band_show_no_altitude_held() -> None:
    scene = _hold_altitude(5100)
    assert scene.judged().altitudes == ("to standard",)  # the worst is where the band was entered
    doubtful = replace(scene.measures.altitudes[0], sigma_m=80 * FT)
    assert _measures(scene, altitudes=(doubtful,)).judged().altitudes == ("too close to call",)


def test_pressure_altitudes_without_a_setting_ask_for_the_setting() -> None:
    assert altitude_remedy("pressure, setting unknown") == "Enter the altimeter setting to settle it."
    assert "altimeter setting" not in altitude_remedy("indicated")


def test_a_leg_timed_from_the_start_of_its_turn_says_so() -> None:
    scene = _timed(90.0)
    assert "offset leg, from 04:08, lasted" in scene.judged().findings[0].text
    turned = replace(scene, procedure=replace(scene.procedure, timing_from="turn start"))
    assert "offset leg, from the start of the turn at 04:08, lasted" in turned.judged().findings[0].text


def test_a_descent_that_goes_on_below_the_same_minimum_is_one_fault() -> None:
    scene = procedure_turn()
    same = replace(ALTITUDES[2], rule="at or above", low_m=ALTITUDES[1].low_m, high_m=None)
    limits = (*ALTITUDES[:2], same, ALTITUDES[3])
    scene = replace(scene, procedure=replace(PROCEDURE, altitudes=limits))
    reversal = _altitude(ALTITUDES[1], 4400, 400.0, 440.0)
    inbound = _altitude(same, 4300, 440.5, 480.0)
    altitudes = (scene.measures.altitudes[0], reversal, inbound, scene.measures.altitudes[3])
    judged = _measures(scene, altitudes=altitudes).judged()
    assert judged.altitudes[1:3] == ("not to standard", "not to standard")
    found = [one for one in judged.findings if one.code == "below-minimum-altitude"]
    assert len(found) == 1
    assert "From 06:40 to 08:00" in found[0].text
    assert "minimum of the reversal and the inbound leg: 4,300 ft" in found[0].text
    apart = (altitudes[0], reversal, _altitude(same, 4300, 500.0, 520.0), altitudes[3])
    codes = [one.code for one in _measures(scene, altitudes=apart).judged().findings]
    assert codes.count("below-minimum-altitude") == 2


def test_in_a_delay_hold_nobody_is_sent_on_the_missed_approach() -> None:
    scene = hold()
    late = replace(
        scene.measures.intercept, established=False, established_s=None, max_deflection=None, steady_deflection=None,
        established_after_fix_s=900.0,
    )  # fmt: skip
    advice = _advice(_measures(scene, intercept=late), "established-inside-fix")
    assert "fly another lap" in advice
    assert "missed" not in advice
    never = replace(late, established_after_fix_s=None)
    assert "missed" not in _advice(_measures(scene, intercept=never), "never-established")


def test_a_fast_aircraft_is_told_its_bank_and_its_time_for_a_right_angle() -> None:
    """At 240 kt 25 degrees of bank turn at 2.12 deg/s: 42 s for 90 degrees."""
    assert "3°/s at once" in _advice(_rated(1.5), "turn-too-slow")
    scene = _rated(1.2)
    turn = scene.measures.turns[2]
    fast = replace(turn, turn=replace(turn.turn, tas_mps=240 * KT))
    advice = _advice(_measures(scene, turns=(*scene.measures.turns[:2], fast)), "turn-too-slow")
    assert "Set 25° of bank at once" in advice
    assert "42 s for 90°" in advice


def test_a_course_passed_after_the_reversal_turn_is_a_matter_of_the_turn_onto_it() -> None:
    passed = {"overshoot_m": 0.7 * NM, "overshoot_deflection": 0.9}
    flown = _attempt(_intercept(**passed, overshoot_at_s=430.0), flown_as="teardrop")
    assert "Lead the turn onto the course" in _advice(flown, "overshot-course")
    in_turn = _attempt(_intercept(**passed, overshoot_at_s=365.0), flown_as="teardrop")
    assert "Correct the outbound heading" in _advice(in_turn, "overshot-course")


def test_a_needle_typically_farther_out_near_the_station_is_not_told_beside_the_judged_one() -> None:
    assert "(typically at" not in _intercept(max_deflection=0.9, rms_deflection=3.0).judged().findings[0].text
    assert "(typically at 0.20 of full scale)" in _intercept(max_deflection=0.9).judged().findings[0].text


def test_an_angle_that_rounds_to_its_limit_shows_the_tenth() -> None:
    text = _intercept(angle_deg=19.6, angle_sigma_deg=0.1).judged().findings[0].text
    assert "at 19.6°, shallower than 20°" in text


@pytest.mark.parametrize(
    ("degrees", "severity"), [(31.1, "minor"), (34.9, "minor"), (35.1, "major"), (44.9, "major"), (45.1, "critical")]
)
def test_a_bank_held_over_30_35_and_45_degrees_is_minor_major_and_critical(degrees: float, severity: str) -> None:
    """30: FAA-H-8083-15B ch. 7 (read); 35 and 45: own choice."""
    (finding,) = [one for one in _banked(degrees).judged().findings if one.code == "bank-too-steep"]
    assert (finding.severity, finding.limit) == (severity, 30.0)


def _level(level_ft: float | None, worst_ft: float, start_s: float = 250.0, end_s: float = 440.0) -> Finding:
    """The reversal's minimum of 4600 ft broken until established at 440 s; 3800 ft are allowed after that."""
    scene = _altitudes(1, worst_ft, start_s, end_s)
    altitudes = list(scene.measures.altitudes)
    (violation,) = altitudes[1].violations
    level = replace(violation, level_m=None if level_ft is None else level_ft * FT)
    altitudes[1] = replace(altitudes[1], violations=(level,), sigma_m=0.1)
    (finding,) = _measures(scene, altitudes=tuple(altitudes)).judged().findings
    return finding


@pytest.mark.parametrize(
    ("level_ft", "worst_ft", "code", "severity"),
    [
        (4550.0, 4550.0, "below-minimum-altitude", "major"),
        (4450.0, 4450.0, "below-minimum-altitude", "critical"),
        (4210.0, 4210.0, "below-minimum-altitude", "critical"),
        (4190.0, 4190.0, "descended-before-established", "critical"),
        (3850.0, 3850.0, "descended-before-established", "critical"),
        (None, 4500.0, "descended-before-established", "major"),
    ],
)
def test_a_level_off_below_the_minimum_is_no_early_descent(
    level_ft: float | None, worst_ft: float, code: str, severity: str
) -> None:
    """Nearer to 4600 than to 3800 ft, above 4200 ft, it is a level-off (own choice)."""
    finding = _level(level_ft, worst_ft)
    assert (finding.code, finding.severity) == (code, severity)
    assert ("level" in finding.text) is (code == "below-minimum-altitude")


@pytest.mark.parametrize(
    ("level_ft", "code"), [(4510.0, "below-minimum-altitude"), (4490.0, "descended-before-established")]
)
def test_on_the_way_in_more_than_100_ft_is_the_next_descent_begun(level_ft: float, code: str) -> None:
    """From 380 s, on the intercept; 100 ft: IR.VI.A.S9."""
    assert _level(level_ft, level_ft, 380.0).code == code


@pytest.mark.parametrize(("worst_ft", "both"), [(4501.0, True), (4498.0, False)])
def test_inside_the_tests_100_ft_but_below_a_charted_minimum_says_both(worst_ft: float, both: bool) -> None:
    """100 ft: IR.VI.A.S9."""
    text = _level(worst_ft, worst_ft).text
    assert ("inside the 100 ft of the US practical test" in text) is both


@pytest.mark.parametrize(("before_s", "code"), [(4.0, "altitude-too-close"), (6.0, "descended-before-established")])
def test_a_descent_within_the_doubt_of_the_moment_is_too_close_to_call(before_s: float, code: str) -> None:
    """5 s, own choice; 45 ft low."""
    assert _level(None, 4555.0, 440.0 - before_s).code == code


@pytest.mark.parametrize(("off_ft", "severity"), [(280.0, "major"), (300.0, "major"), (302.0, "critical")])
def test_over_300_ft_off_an_altitude_to_be_held_is_critical(off_ft: float, severity: str) -> None:
    """Own choice."""
    (finding,) = _hold_altitude(5000.0 + off_ft, 200.0, 240.0).judged().findings
    assert (finding.code, finding.severity) == ("off-assigned-altitude", severity)


@pytest.mark.parametrize(
    ("tolerances", "off", "severity"),
    [
        ("US practical test", 0.75, None),
        ("US practical test", 0.80, "minor"),
        ("US practical test", 1.03, "minor"),
        ("US practical test", 1.05, "major"),
        ("European skill test", 0.50, None),
        ("European skill test", 0.55, "minor"),
    ],
)
def test_outbound_tracking_a_minute_after_the_fix(tolerances: str, off: float, severity: str | None) -> None:
    """Three quarters of full scale: IR.V.A.S6; half: Part-FCL Appendix 7; major from full scale on, own choice."""
    scene = _leg(procedure_turn(), 0, end_deflection=off)
    plan = Plan(scene.procedure, frame_of(scene.procedure))
    found = judge(
        Case(scene.attempt, scene.measures, plan, load_tolerances(tolerances), wind_from(240.0, 10.0))
    ).findings
    assert [one.severity for one in found if one.code == "outbound-course-not-tracked"] == (
        [] if severity is None else [severity]
    )


@pytest.mark.parametrize(
    ("part", "criteria", "category", "limit"),
    [
        ("low", "US", "A", 1000.0),
        ("final", "US", "A", 1500.0),
        ("outbound", "ICAO", "B", 804.0),
        ("outbound", "ICAO", "C", 1197.0),
        ("inbound", "ICAO", "B", 655.0),
        ("inbound", "ICAO", "C", 1000.0),
    ],
)
def test_rates_of_descent(part: str, criteria: str, category: str, limit: float) -> None:
    """IPH ch. 4 (read); 1500: common practice; PANS-OPS II Table I-4-3-1 (read)."""
    for feet_a_minute, expected in ((limit - 6.0, 0), (limit + 6.0, 1)):
        found = _descent(part, feet_a_minute, criteria, category).judged().findings
        assert len([one for one in found if one.code == "descent-rate"]) == expected


def test_no_table_of_rates_for_a_us_procedure_turn() -> None:
    assert not _descent("outbound", 1300.0).judged().findings


@pytest.mark.parametrize(("overshoot_nm", "severity"), [(0.14, "minor"), (0.16, "major")])
def test_an_overshoot_within_015_nm_is_minor_at_most(overshoot_nm: float, severity: str) -> None:
    """Own choice: near the station 1.8 of full scale are a few metres."""
    (finding,) = _intercept(overshoot_m=overshoot_nm * NM, overshoot_deflection=1.8).judged().findings
    assert (finding.code, finding.severity) == ("overshot-course", severity)


@pytest.mark.parametrize(("charted_s", "codes"), [(120.0, set()), (None, {"turned-inbound-early"})])
def test_a_base_turn_begun_when_its_chart_says_so_is_not_early(charted_s: float | None, codes: set[str]) -> None:
    scene = _intercept(turn_late_s=-30.0, turn_onto_course_s=308.0)
    scene = _attempt(scene, flown_as="teardrop")
    scene = replace(scene, procedure=replace(scene.procedure, reversal="teardrop", outbound_s=charted_s))
    found = {one.code for one in scene.judged().findings}
    assert {code for code in found if code.startswith("turned-inbound")} == codes
