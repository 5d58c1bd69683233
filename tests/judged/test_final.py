"""The final: the needle to its end, step-down fixes, the missed approach; each limit with a twin on both sides."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analyzer.flown import AltitudeProfile, Attempt
from analyzer.given import AltitudeLimit, MissedApproach, Place, Procedure, StepFix, frame_of
from analyzer.judged.findings import Case, Finding
from analyzer.judged.findings.final import judge_final
from analyzer.judged.measurements.final import measure_final
from analyzer.judged.measurements.final_values import FinalMeasure
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Plan
from analyzer.standards import load_tolerances
from analyzer.units.factors import METRES_PER_FOOT as FT, METRES_PER_NM as NM
from tests.hand_flown import FIX, attempt, flight_of, motion_of, procedure

#: over the fix at 100 s, along the course at 60 m/s: 6 NM of final take 185 s
FIX_S, SPEED_MPS, END_S = 100.0, 60.0, 320.0
FRAME = frame_of(procedure())


def _place(along_nm: float) -> Place:
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(along_nm * NM, 0.0)
    return Place(float(latitude), float(longitude))


#: runway 5 NM beyond the fix, minimum 2,000 ft, missed approach point 0.5 NM before the runway, 3,000 ft until 3 NM
CHARTED = procedure(
    runway=_place(-5.0),
    steps=(StepFix(3.0 * NM, FIX, 3000.0 * FT, "STEP"),),
    missed_approach=MissedApproach(before_runway_m=0.5 * NM),
    altitudes=(AltitudeLimit("final", "at or above", 2000.0 * FT, None),),
)
FLOWN: Any = attempt(
    [("arrival", 0.0, 10.0), ("inbound", 10.0, FIX_S), ("final", FIX_S, END_S)], [(FIX_S, "inbound")], [20.0]
)
#: moments of the places on the way, by hand: distance / 60 m/s after the fix
STEP_S, POINT_S, RUNWAY_S = (FIX_S + distance * NM / SPEED_MPS for distance in (3.0, 4.5, 5.0))


def final(
    corners: list[tuple[float, float]], cross_m: Any = 0.0, one: Procedure = CHARTED, until_s: float | None = RUNWAY_S
) -> FinalMeasure:
    """Measure a straight flight over the fix with an altitude of straight lines between (seconds, feet)."""
    time = np.arange(0.0, END_S + 0.5, 0.5)
    cross = cross_m(time) if callable(cross_m) else np.full(time.shape, cross_m)
    motion = motion_of(time, -(time - FIX_S) * SPEED_MPS, cross)
    altitude = np.interp(time, *zip(*corners, strict=True)) * FT
    profile = AltitudeProfile(time, altitude, np.full(time.shape, 0.01), 0.01)
    found = measure_final(FLOWN, flight_of(motion, profile=profile), Plan(one, FRAME), until_s)
    assert found is not None
    return found


def findings(found: FinalMeasure, one: Procedure = CHARTED, kind: str = "indicated") -> dict[str, Finding]:
    bare: Any = replace(EMPTY, final=found)
    part = judge_final(Case(FLOWN, bare, Plan(one, FRAME), load_tolerances(), altitude_kind=kind))
    return {finding.code: finding for finding in part.findings}


EMPTY: Any = AttemptMeasures(None, (), None, None, (), None, ())  # type: ignore[arg-type]
GOOD = [(0.0, 4000.0), (FIX_S, 4000.0), (150.0, 3000.0), (STEP_S, 3000.0), (235.0, 2000.0), (RUNWAY_S, 2000.0)]


def test_a_good_final_has_no_finding() -> None:
    assert findings(final(GOOD)) == {}


@pytest.mark.parametrize(("lowest_ft", "severity"), [(2991.0, None), (2985.0, "major"), (2890.0, "critical")])
def test_a_step_down_fix_holds_until_it_is_passed(lowest_ft: float, severity: str | None) -> None:
    low = [(0.0, 4000.0), (FIX_S, 4000.0), (150.0, lowest_ft), (STEP_S, lowest_ft), (250.0, 2000.0), (END_S, 2000.0)]
    found = final(low)
    assert found.steps[0].passed_s == pytest.approx(STEP_S, abs=1.0)
    assert found.steps[0].margin_m == pytest.approx((lowest_ft - 3000.0) * FT, abs=0.1)
    got = findings(found).get("below-step-down-fix")
    assert (None if got is None else got.severity) == severity


def test_below_a_step_after_it_was_passed_is_free() -> None:
    after = [(0.0, 3000.0), (STEP_S + 1.0, 3000.0), (STEP_S + 40.0, 2000.0), (END_S, 2000.0)]
    assert "below-step-down-fix" not in findings(final(after))


def test_of_a_satellite_record_a_small_margin_decides_nothing() -> None:
    # 20 ft below with a sigma of 6 m (20 ft): inside twice the doubt
    low = [(0.0, 4000.0), (FIX_S, 4000.0), (150.0, 2980.0), (STEP_S, 2980.0), (250.0, 2000.0), (END_S, 2000.0)]
    assert findings(final(low), kind="geometric") == {}
    deep = [(seconds, feet - 60.0 if feet == 2980.0 else feet) for seconds, feet in low]
    assert "below-step-down-fix" in findings(final(deep), kind="geometric")


@pytest.mark.parametrize(("share", "severity"), [(0.72, None), (0.80, "major"), (1.05, "critical")])
def test_the_needle_is_followed_to_the_runway(share: float, severity: str | None) -> None:
    # a VOR of 10 degrees full scale at the fix: 4 NM out it is so far aside
    aside = np.tan(np.radians(10.0 * share)) * 4.0 * NM
    found = final(GOOD, lambda time: aside * np.clip((time - FIX_S) * SPEED_MPS / (4.0 * NM), 0.0, 1.0))
    assert found.deflection == pytest.approx(share, abs=0.02)
    got = findings(found).get("final-not-tracked")
    assert (None if got is None else got.severity) == severity


def test_the_needle_is_not_followed_beyond_the_missed_approach_point() -> None:
    wild = final(GOOD, lambda time: np.where(time > POINT_S + 3.0, 3.0 * NM, 0.0))
    assert wild.deflection == pytest.approx(0.0, abs=0.02)


def test_a_runway_off_the_course_has_a_course_of_its_own() -> None:
    latitude, longitude = FRAME.latitude_longitude_from_along_cross(-5.0 * NM, 0.5 * NM)  # 5.7 degrees off
    beside = replace(CHARTED, runway=Place(float(latitude), float(longitude)))
    found = final(GOOD, 0.0, beside)
    assert found.deflection is None
    assert found.reason is not None
    assert "6° off" in found.reason
    before = replace(CHARTED, runway=_place(1.0), missed_approach=None)
    assert final(GOOD, 0.0, before, None).reason == "the runway lies before the fix"


@pytest.mark.parametrize(("late_s", "severity"), [(-10.0, None), (3.0, None), (12.0, "major"), (28.0, "critical")])
def test_a_missed_approach_begins_at_its_point(late_s: float, severity: str | None) -> None:
    climb = POINT_S + late_s
    up = [(0.0, 3000.0), (STEP_S, 3000.0), (220.0, 2000.0), (climb, 2000.0), (END_S, 2000.0 + (END_S - climb) * 12.0)]
    found = final(up)
    assert found.missed is not None
    assert found.missed.climb_s == pytest.approx(climb, abs=4.0)  # 30 ft above the lowest: 2.5 s at 720 ft/min
    got = findings(found).get("missed-approach-late")
    assert (None if got is None else got.severity) == severity


@pytest.mark.parametrize(("sag_ft", "below"), [(0.0, False), (8.0, False), (25.0, True)])
def test_nothing_is_flown_below_the_minimum_on_a_missed_approach(sag_ft: float, below: bool) -> None:
    sagging = [
        (0.0, 3000.0), (STEP_S, 3000.0), (225.0, 2000.0), (POINT_S - 1.0, 2000.0), (POINT_S + 2.0, 2000.0 - sag_ft),
        (END_S, 3000.0),
    ]  # fmt: skip
    got = findings(final(sagging)).get("below-minimum-on-missed-approach")
    assert (got is not None and got.severity == "critical") is below


def test_a_landing_is_no_missed_approach() -> None:
    landing = [(0.0, 3000.0), (STEP_S, 3000.0), (POINT_S, 2000.0), (RUNWAY_S + 10.0, 1500.0), (END_S, 1500.0)]
    assert final(landing).missed is None


def test_a_file_that_says_nothing_of_a_final_has_none() -> None:
    bare = procedure()
    time = np.arange(0.0, 50.0)
    flight = flight_of(motion_of(time, -time * SPEED_MPS, 0.0 * time))
    flown: Attempt = FLOWN
    assert measure_final(flown, flight, Plan(bare, FRAME), None) is None
