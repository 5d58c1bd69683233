"""Rows on bank, legs and their times. Beside each case stands what the rule says."""

from typing import Any

from tests.benchmarks.examiner.case import HARD, Case, Named
from tests.independent.aircraft import Air
from tests.independent.cockpit import Cockpit
from tests.independent.flights import Flight
from tests.independent.procedures import INBOUND_DEG, Asked

TURN = "us vor turn"
STEEP = "bank-too-steep"
BANK = "steep bank"
BANK_COLUMN = {"columns": ("bank_deg",)}
#: a steep turn is fast as well, and what it leaves of the geometry is its own doing
STEEP_BRINGS = ("turn-too-fast",)


def _with_bank(bank_deg: float, tas_kt: float = 110.0, kind: str = TURN) -> Flight:
    return Flight(kind, tas_kt=tas_kt, bank_deg=bank_deg)


def _short_peak(c: Cockpit, _: Asked) -> None:
    """For a moment, in the reversal turn, 8 degrees more than the 28 that are flown: one and a half seconds over 30."""
    hold = c.step

    def step(bank_deg: float) -> None:
        start = c.marks.get("reversal turn start")
        inside = start is not None and 20.0 <= c.time_s - start <= 22.2
        hold(bank_deg * (36.0 / 28.0) if inside else bank_deg)

    c.step = step  # type: ignore[method-assign]


def _seen(result: dict[str, Any], _: Cockpit) -> list[str]:
    """A steep reversal turn is still a reversal: the flight is seen for what it is."""
    methods = [attempt["flown_as"] for attempt in result["attempts"]]
    return [] if "45/180" in methods else [f"flown as {methods}, it was a 45/180"]


def bank_cases() -> tuple[Case, ...]:
    """Sustained for 3 s: over 30 minor (IFH ch. 7), 35 major (5 degrees, IR.IV.A.S1), 45 critical (own choice)."""
    minor, major, critical = ((Named(STEEP, (severity,)),) for severity in ("minor", "major", "critical"))
    recorded = [
        Case(f"{bank:g} degrees, recorded", BANK, _with_bank(bank), rule, named=named, silent=silent, check=_seen,
             record=BANK_COLUMN, caused=STEEP_BRINGS)
        for bank, rule, named, silent in (
            (28.0, "under 30", (), (STEEP,)), (29.5, "under 30", (), (STEEP,)), (31.5, "over 30", minor, ()),
            (34.0, "over 30, under 35", minor, ()), (37.0, "over 35", major, ()), (43.5, "over 35, under 45", major,
            ()),
            (47.0, "over 45", critical, ()),
        )
    ]  # fmt: skip
    from_path = [
        Case(f"{bank:g} degrees at {tas:g} kt", BANK, _with_bank(bank, tas), rule, named=named, silent=silent,
             check=_seen, caused=STEEP_BRINGS)
        for bank, tas, rule, named, silent in (
            (26.0, 110.0, "under 30", (), (STEEP,)), (33.7, 110.0, "over 30, under 35", minor, ()),
            (38.5, 110.0, "over 35", major, ()), (38.5, 85.0, "over 35", major, ()), (38.5, 150.0, "over 35", major,
            ()),
            (48.5, 110.0, "over 45", critical, ()), (51.0, 110.0, "over 45; 12 degrees a second", critical, ()),
            (41.0, 95.0, "over 35", major, ()),
        )
    ]  # fmt: skip
    return (
        *recorded,
        *from_path,
        Case("a peak of 2 s over 30", BANK, Flight(TURN, tas_kt=110, bank_deg=28, hooks=(_short_peak,)),
             "not sustained for 3 s", silent=(STEEP,), record=BANK_COLUMN),
        Case("hold at 38 degrees", BANK, Flight("hold in lieu 4 NM", tas_kt=110, arrival_deg=INBOUND_DEG,
             bank_deg=38.5),
             "over 35", named=major, caused=STEEP_BRINGS),
    )  # fmt: skip


OVERFLOWN = "charted leg overflown"
LONG = r"leg-too-long|overflown|beyond its leg|leg-overflown"
MINOR, MAJOR = (Named(LONG, ("minor",)),), (Named(LONG, ("major",)),)
#: what a leg that is too long makes long as well
LONG_BRINGS = ("inbound-leg-long", "left-primary-area", "laps-drift")
LIEU_4, LIEU_1, DME_5 = "hold in lieu 4 NM", "hold in lieu 1 min", "hold 5 NM"


def overflown_cases() -> tuple[Case, ...]:
    """A limit (AIM 5-4-9 a): over by 0.5 NM or a quarter of the time minor, by 1 NM or half major (own choice)."""
    distance = [
        Case(f"{kind} flown to {nm:g} NM", OVERFLOWN, Flight(kind, arrival_deg=INBOUND_DEG, leg_nm=nm, **more), rule,
             named=named, silent=silent, caused=LONG_BRINGS)
        for kind, nm, rule, named, silent, more in (
            (LIEU_4, 4.1, "0.1 NM over", (), (LONG,), {}), (LIEU_4, 4.4, "0.4 NM over", (), (LONG,), {}),
            (LIEU_4, 4.75, "0.75 NM over", MINOR, (), {}), (LIEU_4, 5.3, "1.3 NM over", MAJOR, (), {}),
            (LIEU_4, 6.5, "2.5 NM over", MAJOR, (), {}),
            (DME_5, 5.3, "0.3 NM over", (), (LONG,), {"laps": 1}), (DME_5, 5.8, "0.8 NM over", MINOR, (), {"laps": 1}),
            (DME_5, 6.4, "1.4 NM over", MAJOR, (), {"laps": 1}), (DME_5, 8.6, "3.6 NM over", MAJOR, (), {"laps": 1}),
        )
    ]  # fmt: skip
    drop = [
        Case(f"teardrop of 6 NM flown to {nm:g}", OVERFLOWN, Flight("teardrop by distance", leg_nm=nm), rule,
             named=named, silent=silent, caused=LONG_BRINGS)
        for nm, rule, named, silent in (
            (6.1, "0.1 NM over", (), (LONG,)), (6.75, "0.75 NM over", MINOR, ()), (7.4, "1.4 NM over", MAJOR, ()),
        )
    ]  # fmt: skip
    timed = [
        Case(f"{kind} of {asked:g} s flown {seconds:g} s", OVERFLOWN, Flight(kind, leg_s=seconds, **more), rule,
             named=named, silent=silent, caused=LONG_BRINGS)
        for kind, asked, seconds, rule, named, silent, more in (
            ("base turn", 120, 122, "2 s over", (), (LONG,), {}), ("base turn", 120, 158, "by 0.32", MINOR, (), {}),
            ("base turn", 120, 188, "by 0.57", MAJOR, (), {}),
            (LIEU_1, 60, 64, "4 s over", (), (LONG,), {"arrival_deg": INBOUND_DEG}),
            (LIEU_1, 60, 82, "by 0.37", MINOR, (), {"arrival_deg": INBOUND_DEG}),
            (LIEU_1, 60, 98, "by 0.63", MAJOR, (), {"arrival_deg": INBOUND_DEG}),
        )
    ]  # fmt: skip
    return (*distance, *drop, *timed)


SHORT = "leg too short"
TOO_SHORT = "leg-too-short"
#: 21 kt on the tail inbound: 109 s outbound bring a minute inbound at 100 kt (`test_the_wind_of_the_short_holds`)
TAIL = Air(INBOUND_DEG + 180.0, 21.0)
ASKED_S = 109.0


def _short_hold(seconds: float) -> Flight:
    return Flight("icao hold 1 min", air=TAIL, arrival_deg=INBOUND_DEG, laps=2, lap_s=(seconds, seconds), ending="stop")


def short_cases() -> tuple[Case, ...]:
    """Against what the wind asks for; never harder than too long: nothing under a quarter, minor under half of it."""
    asked = ASKED_S
    minor = (Named(TOO_SHORT, ("minor",)),)
    brings = ("inbound-leg-short", "established-inside-fix")
    holds = [
        Case(f"{seconds:g} s of {asked:.0f} s asked for", SHORT, _short_hold(seconds), rule, named=named, silent=silent,
             caused=brings)
        for seconds, rule, named, silent in (
            (asked, "as the wind asks", (), (TOO_SHORT,)), (asked - 7.0, "inside 10 s", (), (TOO_SHORT,)),
            (95.0, "by 0.13: long by so little is no fault either", (), (TOO_SHORT,)),
            (84.0, "by 0.23: under a quarter", (), (TOO_SHORT,)), (74.0, "by 0.32", minor, ()),
            (64.0, "by 0.41", minor, ()),
        )
    ]  # fmt: skip
    return (
        *holds,
        Case("base turn 70 s of 120 in still air", SHORT, Flight("base turn", leg_s=70.0),
             "short against what still air asks; by 0.42: not harder than minor", named=minor,
             caused=("shallow-intercept", "established-inside-fix", "never-established", "overshot", "crossings",
                     "turned-inbound"), result="any"),
    )  # fmt: skip


US_LEG = "US procedure turn's leg"
TIMING = r"leg-too-|timing-too-close"


def us_leg_cases() -> tuple[Case, ...]:
    """AIM 5-4-9 a1: point, type and rate are the pilot's; no time unless the file gives one (IFH's 40 s is a hint)."""
    free = [
        Case(f"no time charted, {seconds:g} s level", US_LEG, Flight(TURN, leg_s=seconds), "not judged",
             silent=(TIMING,), check=_no_timing)
        for seconds in (40.0, 45.0, 60.0, 75.0)
    ]  # fmt: skip
    given = {"limits": {"outbound_min": 1.0}}
    return (
        *free,
        Case("one minute charted, 60 s", US_LEG, Flight(TURN, leg_s=60.0, changes=given), "as charted",
             silent=(TIMING,)),
        Case("one minute charted, 38 s in still air", US_LEG, Flight(TURN, leg_s=38.0, changes=given), "22 s short",
             named=(Named(TOO_SHORT, ("minor",)),)),
        Case("one minute charted, 85 s in still air", US_LEG, Flight(TURN, leg_s=85.0, changes=given), "25 s long",
             named=(Named(LONG, ("minor", "major")),)),
    )  # fmt: skip


def _no_timing(result: dict[str, Any], _: Cockpit) -> list[str]:
    verdicts = [one["timing"]["verdict"] for one in result["attempts"] if one["timing"] is not None]
    judged = [one for one in verdicts if one != "not assessed"]
    return [f"timing is {judged[0]} where no time is charted"] if judged else []


ICAO_LEG = "ICAO 45/180"
CATEGORY_C = {"protection": {"category": "C"}}


def icao_leg_cases() -> tuple[Case, ...]:
    """From the start of the turn 1 min (A, B) or 1 min 15 s (C, D, E), within 10 s."""
    kind = "icao vor turn"
    short, long = (Named(TOO_SHORT, ("minor", "major")),), (Named(LONG, ("minor", "major")),)
    return tuple(
        Case(f"category {'C' if changes else 'B'}, {seconds:g} s from the turn", ICAO_LEG, Flight(kind, leg_s=seconds,
             from_turn=True, tas_kt=140.0 if changes else 100.0, changes=changes), rule, named=named, silent=silent,
             caused=("left-primary",) if named else ())
        for seconds, changes, rule, named, silent in (
            (60.0, {}, "1 min", (), (TIMING,)), (67.0, {}, "within 10 s", (), (TIMING,)),
            (53.0, {}, "within 10 s", (), (TIMING,)), (42.0, {}, "18 s short", short, ()),
            (84.0, {}, "24 s long", long, ()), (75.0, CATEGORY_C, "1 min 15 s", (), (TIMING,)),
            (56.0, CATEGORY_C, "19 s short", short, ()), (100.0, CATEGORY_C, "25 s long", long, ()),
        )
    )  # fmt: skip


AREA = "areas"
LEFT = r"left-(primary|secondary)-area|left-distance-limit"


def area_cases() -> tuple[Case, ...]:
    """US distance limit; ICAO 45/180 area by table C-2; US teardrop and hold areas are no published ones: a note."""
    beyond = (Named("left-distance-limit", HARD),)
    icao = "icao vor turn"
    return (
        Case("9.3 of 10 NM", AREA, Flight(TURN, outbound_nm=6.5), "inside", silent=(LEFT,)),
        Case("10.6 of 10 NM", AREA, Flight(TURN, outbound_nm=8.2), "beyond the profile view's distance (AIM 5-4-9 a)",
             named=beyond, caused=(LEFT,)),
        Case("12 of 10 NM", AREA, Flight(TURN, outbound_nm=9.6), "beyond", named=beyond, caused=(LEFT,)),
        Case("ICAO, one minute", AREA, Flight(icao, leg_s=60, from_turn=True), "as designed", silent=(LEFT,)),
        # Table C-2: 3.9 NM to the side at 140 kt IAS and 59 kt of wind; four minutes on the leg reach 6 NM.
        Case("ICAO, four minutes on the leg", AREA, Flight(icao, leg_s=240, from_turn=True, tas_kt=110),
             "beyond the template by 1.5 NM and more", named=(Named(r"left-(primary|secondary)-area", HARD),),
             caused=(LONG, LEFT)),
        Case("US teardrop out for 3 min 40 s", AREA, Flight("us teardrop", leg_s=220, changes={
             "limits": {"remain_within_nm": None}}), "no US area is published for it: a note at most", silent=(LEFT,)),
        Case("US hold in lieu, 6.9 NM leg", AREA, Flight(LIEU_4, arrival_deg=INBOUND_DEG, leg_nm=6.9, tas_kt=150),
             "no published area: the leg is the fault, not the area", named=MAJOR, silent=(LEFT,)),
        Case("US hold, 5 NM leg at 150 kt", AREA, Flight(DME_5, arrival_deg=INBOUND_DEG, tas_kt=150, laps=1),
             "as charted",
             silent=(LEFT,)),
    )  # fmt: skip


def cases() -> tuple[Case, ...]:
    """All of this page."""
    return (
        *bank_cases(), *overflown_cases(), *short_cases(), *us_leg_cases(), *icao_leg_cases(), *area_cases(),
    )  # fmt: skip
