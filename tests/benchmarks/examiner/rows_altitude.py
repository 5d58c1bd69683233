"""Rows on altitudes: minimums, the landing, descents. Beside each case stands what the rule says."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from tests.benchmarks.examiner.case import Case, Named
from tests.benchmarks.examiner.hooks import dip, past, to_level
from tests.independent.aircraft import NAUTICAL_MILE, Air
from tests.independent.cockpit import Cockpit
from tests.independent.flights import Flight, fly
from tests.independent.procedures import Asked

MDA_FT = 2500.0
TURN = "us vor turn"
#: below the minimum descent altitude: any is a violation (14 CFR 91.175(c)), critical from 50 ft (own choice)
LOW_ON_FINAL_CRITICAL = Named("below-minimum-descent-altitude", ("critical",))
LOW_ON_FINAL = Named("below-minimum-descent-altitude", ("major",))
NOT_LOW = ("below-minimum-descent-altitude",)


def on_final(nm: float) -> Any:
    """So many miles past the fix after the inbound passage."""

    def condition(c: Cockpit) -> bool:
        return "fix inbound" in c.marks and c.distance_m() >= nm * NAUTICAL_MILE and (
            c.time_s > c.marks["fix inbound"] + 5.0)  # fmt: skip

    return condition


def _verdict_of(segment: str, verdicts: Sequence[str]) -> Any:
    def check(result: dict[str, Any], _: Cockpit) -> list[str]:
        given = [
            one["verdict"]
            for attempt in result["attempts"]
            for one in attempt["altitudes"]
            if one["segment"] == segment
        ]
        return [] if given and given[-1] in verdicts else [f"{segment} is {given}, by the rule {' or '.join(verdicts)}"]

    return check


def _unknown_final(result: dict[str, Any], _: Cockpit) -> list[str]:
    """An altitude of unknown datum: too close to call, and never by a margin of exactly nothing."""
    wrong = []
    for attempt in result["attempts"]:
        for one in attempt["altitudes"]:
            if one["segment"] == "final":
                if one["verdict"] != "too close to call":
                    wrong.append(f"final is {one['verdict']}, by the rule too close to call")
                if one["margin_ft"] == 0.0:
                    wrong.append("final has a margin of 0.0")
    return wrong


LANDING = "below the minimum before a landing"
MDA_CASES = (
    # Only the landing is free: 20 ft above the minimum until a 3 degree slope to the runway begins.
    Case("mda level then lands", LANDING, Flight(TURN, levels_ft={"final": 2520}), "landing from the minimum is free",
         silent=NOT_LOW, check=_verdict_of("final", ["to standard"])),
    # Down the minimum by 0 ft: the altimeter's showing decides, at the limit is inside.
    Case("mda exact then lands", LANDING, Flight(TURN, levels_ft={"final": 2500}), "at the limit is inside",
         silent=NOT_LOW, check=_verdict_of("final", ["to standard"])),
    # Within 10 ft (half an altimeter's smallest division) is inside.
    Case("mda 8 ft low", LANDING, Flight(TURN, levels_ft={"final": 2492}), "within 10 ft is inside", silent=NOT_LOW),
    Case("mda 16 ft low", LANDING, Flight(TURN, levels_ft={"final": 2484}), "beyond 10 ft is outside",
         named=(LOW_ON_FINAL,)),
    Case("mda 30 ft low 20 s", LANDING, Flight(TURN, levels_ft={"final": 2540}, final_fpm=1000, hooks=(
        dip(on_final(3.0), 2470, 20, 2540),)), "30 ft low for 20 s is a violation, under 50 ft major",
        named=(LOW_ON_FINAL,)),
    Case("mda 45 ft low 60 s", LANDING, Flight(TURN, levels_ft={"final": 2455}), "level below: violation, under 50 ft",
         named=(LOW_ON_FINAL,)),
    Case("mda 60 ft low", LANDING, Flight(TURN, levels_ft={"final": 2440}), "critical from 50 ft",
         named=(LOW_ON_FINAL_CRITICAL,)),
    Case("mda 500 ft low then lands", LANDING, Flight(TURN, levels_ft={"final": 2000}, final_fpm=1000),
         "levels 500 ft low for a minute, then lands: what was flown before the landing is judged",
         named=(LOW_ON_FINAL_CRITICAL,)),
    Case("mda 150 ft low 20 s then lands", LANDING, Flight(TURN, levels_ft={"final": 2520}, final_fpm=1000, hooks=(
        to_level(on_final(2.9), 2350, 600),)), "a level stretch below the minimum before the landing",
        named=(LOW_ON_FINAL_CRITICAL,)),
    # A steady descent from the fix through the minimum to the runway: 290 ft/NM, passes 2500 ft 2 NM from touchdown.
    Case("steady descent from the fix", LANDING, Flight(TURN, ending="descent"), "a steady descent to land is free",
         silent=NOT_LOW),
    # (2500 - 1870)/250 + 1 = 3.5 NM from touchdown is the farthest; left 4.4 NM from it at 143 ft/NM.
    Case("minimum left 4.4 NM out", LANDING, Flight(TURN, levels_ft={"final": 2500}, final_fpm=1200, slope_ft_nm=143),
         "farther from touchdown than 3.5 NM: no landing yet", named=(LOW_ON_FINAL_CRITICAL,)),
    # 630 ft over 2.6 NM: 240 ft/NM, left inside of 3.5 NM.
    Case("minimum left 2.6 NM out", LANDING, Flight(TURN, levels_ft={"final": 2500}, final_fpm=1000, slope_ft_nm=240),
         "inside of 3.5 NM and steady: the landing", silent=NOT_LOW),
    Case("sinks 40 ft on the go-around", LANDING, Flight(TURN, ending="miss", levels_ft={"final": 2520}, hooks=(
        dip(on_final(5.0), 2460, 1, 2540),)), "below without a landing: violation, under 50 ft", named=(LOW_ON_FINAL,)),
    Case("sinks 120 ft on the go-around", LANDING, Flight(TURN, ending="miss", levels_ft={"final": 2520}, hooks=(
        dip(on_final(5.0), 2380, 1, 2540),)), "below without a landing, from 50 ft critical",
        named=(LOW_ON_FINAL_CRITICAL,)),
    Case("missed approach from the minimum", LANDING, Flight(TURN, ending="miss", levels_ft={"final": 2530}),
         "never below", silent=NOT_LOW),
    Case("unknown datum, at the minimum", LANDING, Flight(TURN, levels_ft={"final": 2520}), "datum unknown: no verdict",
         record={"altitude": "Altitude (ft)"}, result="any", check=_unknown_final),
    Case("unknown datum, 80 ft low", LANDING, Flight(TURN, levels_ft={"final": 2420}), "datum unknown: no verdict",
         record={"altitude": "Altitude (ft)"}, result="any", check=_unknown_final),
    Case("setting unknown", LANDING, Flight(TURN, levels_ft={"final": 2520}), "setting unknown: no verdict",
         record={"altitude": "pressure_altitude_ft"}, result="any", check=_unknown_final),
)  # fmt: skip

MINIMUM = "level at a minimum, indicated"
LOW = Named("below-minimum-altitude", ("major",))
NOT_LOW_ANYWHERE = ("below-minimum", "descended-before", "altitude-too-close")
MINIMUM_CASES = (
    Case("level at the minimum", MINIMUM, Flight(TURN, levels_ft={"reversal": 4600}), "at the limit is inside",
         silent=NOT_LOW_ANYWHERE, check=_verdict_of("reversal", ["to standard"])),
    Case("level 8 ft below", MINIMUM, Flight(TURN, levels_ft={"reversal": 4592}), "within 10 ft is inside",
         silent=NOT_LOW_ANYWHERE, check=_verdict_of("reversal", ["to standard"])),
    Case("level 20 ft above", MINIMUM, Flight(TURN, levels_ft={"reversal": 4620}), "above is inside",
         silent=NOT_LOW_ANYWHERE, check=_verdict_of("reversal", ["to standard"])),
    Case("level 15 ft below", MINIMUM, Flight(TURN, levels_ft={"reversal": 4585}), "beyond 10 ft is outside",
         named=(LOW,)),
    Case("30 ft low for 20 s", MINIMUM, Flight(TURN, hooks=(dip(past("offset leg start", 5), 4570, 20, 4660, 900),)),
         "30 ft low for 20 s is a violation", named=(LOW,)),
    # A record to 100 ft: half its step, 50 ft, is the doubt; 4600 recorded may be 4550 or 4650.
    Case("hundreds, at the minimum", MINIMUM, Flight(TURN, levels_ft={"reversal": 4600}), "half of 100 ft is the doubt",
         record={"altitude_step_ft": 100.0}, silent=("below-minimum", "descended-before"), result="to standard",
         check=_verdict_of("reversal", ["too close to call"])),
    Case("hundreds, 100 ft above", MINIMUM, Flight(TURN, levels_ft={"reversal": 4700, "arrival": 5700,
         "inbound": 3900}),
         "recorded 4700: at least 4650", record={"altitude_step_ft": 100.0}, silent=NOT_LOW_ANYWHERE,
         check=_verdict_of("reversal", ["to standard"])),
    Case("hundreds, 200 ft below", MINIMUM, Flight(TURN, levels_ft={"reversal": 4400}), "recorded 4400: at most 4450",
         record={"altitude_step_ft": 100.0}, named=(Named("below-minimum-altitude", ("critical",)),)),
    Case("inbound leg at its minimum", MINIMUM, Flight(TURN, levels_ft={"inbound": 3700}), "at the limit is inside",
         silent=NOT_LOW_ANYWHERE, check=_verdict_of("inbound", ["to standard"])),
    Case("inbound leg 35 ft low", MINIMUM, Flight(TURN, outbound_nm=6.0, levels_ft={"inbound": 3665}),
         "beyond 10 ft is outside", named=(LOW,)),
    Case("arrival at its minimum", MINIMUM, Flight(TURN, levels_ft={"arrival": 5500}), "at the limit is inside",
         silent=NOT_LOW_ANYWHERE, check=_verdict_of("arrival", ["to standard"])),
)  # fmt: skip


def _not_called_early(result: dict[str, Any], _: Cockpit) -> list[str]:
    early = [
        one for attempt in result["attempts"] for one in attempt["findings"] if "before-established" in one["code"]
    ]
    return ["a level stretch below the minimum is called an early descent"] if early else []


def _says_both(result: dict[str, Any], cockpit: Cockpit) -> list[str]:
    """Inside the test's 100 ft but below a charted minimum: both are said."""
    wrong = _not_called_early(result, cockpit)
    texts = " ".join(
        f"{one['text']} {one['advice']} {one['reference']}" for attempt in result["attempts"]
        for one in attempt["findings"] if one["code"] == "below-minimum-altitude"
    )  # fmt: skip
    return wrong if "100 ft" in texts else [*wrong, "not said: inside the test's 100 ft, below a charted minimum"]


LEVEL = "below a minimum on a level stretch"
LEVEL_CASES = (
    # 50 ft low from the outbound leg on: no early descent, a level-off too low; under 100 ft major.
    Case("50 ft low from outbound on", LEVEL, Flight(TURN, levels_ft={"reversal": 4550}),
         "a level-off below the minimum",
         named=(LOW,), check=_says_both),
    Case("80 ft low from outbound on", LEVEL, Flight(TURN, levels_ft={"reversal": 4520}),
         "a level-off below the minimum",
         named=(LOW,), check=_says_both),
    Case("150 ft low from outbound on", LEVEL, Flight(TURN, levels_ft={"reversal": 4450}), "over the test's 100 ft",
         named=(Named("below-minimum-altitude", ("critical",)),), check=_not_called_early),
    # Descending through the minimum before established: that is the early descent.
    Case("descends 40 s early", LEVEL, Flight(TURN, hooks=(to_level(past("reversal turn start", 20), 3760),)),
         "below the reversal's minimum before established",
         named=(Named("descended-before-established", ("critical",)),)),
)  # fmt: skip


def _low_before_established(feet: float, seconds: float) -> Callable[[], tuple[Cockpit, Asked]]:
    """Pass the minimum so many seconds before established, at a rate that makes it so many feet low at that moment."""

    def flown() -> tuple[Cockpit, Asked]:
        plain = Flight(TURN, wait_s=8.0)
        fpm = feet / seconds * 60.0
        start_s = fly(plain).marks["established"] - seconds - (4660.0 - 4600.0) / fpm * 60.0
        return fly(replace(plain, hooks=(to_level(lambda c: c.time_s >= start_s, 3760, fpm),))), plain.asked

    return flown


MOMENT = "around the moment of established"


def moment_cases() -> tuple[Case, ...]:
    """Cases about the moment of being established, which is known to some seconds only."""
    return (
        Case("45 ft low 4 s before", MOMENT, _low_before_established(45, 4), "within the doubt of the moment",
             silent=("descended-before", "below-minimum-altitude")),
        Case("25 ft low 3 s before", MOMENT, _low_before_established(25, 3), "within the doubt of the moment",
             silent=("descended-before", "below-minimum-altitude")),
        Case("250 ft low 25 s before", MOMENT, _low_before_established(250, 25), "well before the moment, over 100 ft",
             named=(Named("descended-before-established", ("critical",)),)),
        Case("descends 5 s after", MOMENT, Flight(TURN), "after being established",
             silent=("descended-before", "below-minimum-altitude")),
    )  # fmt: skip


ASSIGNED = "off an assigned altitude"
HOLD = {"kind": "hold 1 min", "arrival_deg": 125.0, "laps": 3}
OFF = "off-assigned-altitude"
ASSIGNED_CASES = tuple(
    # 100 ft either way (IR.III.B.S4); over 300 ft critical (own choice: half the 1000 ft of separation is not left).
    Case(f"{feet:+.0f} ft off in the hold", ASSIGNED, Flight(**HOLD, hooks=(dip(past("fix inbound", 25), 4600 + feet,
         40,
         4600, 900),)), rule, named=named, silent=silent, caused=caused)
    for feet, rule, named, silent, caused in (
        (80.0, "within 100 ft", (), (OFF,), ()),
        (-90.0, "within 100 ft", (), (OFF,), ()),
        (150.0, "over 100 ft", (Named(OFF, ("major",)),), (), ()),
        (280.0, "over 100, under 300 ft", (Named(OFF, ("major",)),), (), ()),
        (-280.0, "over 100, under 300 ft", (Named(OFF, ("major",)),), (), ("below-minimum",)),
        (350.0, "over 300 ft", (Named(OFF, ("critical",)),), (), ()),
        (678.0, "over 300 ft", (Named(OFF, ("critical",)),), (), ()),
        (-340.0, "over 300 ft", (Named(OFF, ("critical",)),), (), ("below-minimum",)),
    )
)  # fmt: skip

DESCENT = "never descends, dives"
#: common practice: a descent to the runway at more than about 500 ft/NM is no normal one; 3 degrees is 318
HIGH = r"normal descent|too high|steep.*runway|never descended|not descended"
FAST = r"ft/min|feet a minute|ft a minute|rate of descent|descent-rate|dive"
ANY = ("minor", "major", "critical")
DESCENT_CASES = (
    # 3760 ft kept to the missed approach point 0.3 NM from the threshold: 1890 ft above the runway.
    Case("never descends", DESCENT, Flight(TURN, levels_ft={"final": 3760}, ending="miss"),
         "1890 ft above the runway 0.3 NM from it: no normal descent", named=(Named(HIGH, ANY),), caused=(HIGH,)),
    Case("1300 ft too high", DESCENT, Flight(TURN, levels_ft={"final": 3200}, ending="miss"),
         "1330 ft above the runway 0.3 NM from it: no normal descent", named=(Named(HIGH, ANY),), caused=(HIGH,)),
    Case("down to the minimum", DESCENT, Flight(TURN), "a normal descent to the runway from 2 NM", silent=(HIGH, FAST)),
    Case("dives 2500 ft/min", DESCENT, Flight(TURN, levels_ft={"arrival": 6500, "reversal": 6500, "inbound": 6500},
         final_fpm=2500), "over 1500 ft/min on the final for 10 s", named=(Named(FAST, ANY),), caused=(FAST,)),
    Case("1800 ft/min for 50 s", DESCENT, Flight(TURN, levels_ft={"arrival": 5560, "reversal": 4660, "inbound": 4400},
         final_fpm=1800), "over 1500 ft/min on the final for 10 s", named=(Named(FAST, ANY),), caused=(FAST,)),
    Case("1300 ft/min high on the final", DESCENT, Flight(TURN, levels_ft={"final": 2900}, final_fpm=1300),
         "under 1500, and all of it 1000 ft above the runway", silent=(FAST,)),
    # From 2500 to 1870 in 0.9 NM at 100 kt: 1166 ft/min below 1000 ft above the runway.
    Case("1300 ft/min near the ground", DESCENT, Flight(TURN, slope_ft_nm=800, levels_ft={"final": 2560}),
         "over 1000 ft/min below 1000 ft above the runway", named=(Named(FAST, ANY),), caused=(FAST, HIGH)),
    Case("600 ft/min near the ground", DESCENT, Flight(TURN, slope_ft_nm=340), "a normal rate", silent=(FAST, HIGH)),
    # Table I-4-3-1: outbound at most 804 ft/min in category A and B.
    Case("ICAO outbound 1300 ft/min", DESCENT, Flight("icao vor turn", leg_s=60, from_turn=True, fpm=1300, levels_ft={
         "arrival": 6000, "inbound": 4600}), "over 804 ft/min of Table I-4-3-1", named=(Named(FAST, ANY),),
         caused=(FAST,)),
    Case("ICAO outbound 700 ft/min", DESCENT, Flight("icao vor turn", leg_s=60, from_turn=True, fpm=700, levels_ft={
         "arrival": 5560, "inbound": 4300}), "under 804 ft/min", silent=(FAST,)),
)  # fmt: skip

EARLY = "early descents and limits that stood"
EARLY_CASES = (
    Case("below the arrival's minimum", EARLY, Flight(TURN, hooks=(to_level(lambda c: c.time_s > 60, 5000),)),
         "500 ft below 5500 before the fix", named=(Named("descended-before-fix", ("critical",)),)),
    Case("60 ft low before the fix", EARLY, Flight(TURN, hooks=(dip(lambda c: c.time_s > 60, 5440, 30, 5560),)),
         "60 ft below 5500", named=(Named("below-minimum-altitude|descended-before-fix", ("major",)),)),
    Case("descends after the fix", EARLY, Flight(TURN, air=Air(60, 12)), "after the fix outbound",
         silent=("descended-before", "below-minimum")),
)  # fmt: skip


SCORE = "score beside a verdict"
#: a part that isn't "to standard" has no 100: looked at in every flight of the table, here where the doubt is sure
SCORE_CASES = (
    Case("hundreds, at both minimums", SCORE, Flight(TURN, levels_ft={"reversal": 4600, "inbound": 3700}),
         "half of 100 ft is the doubt", record={"altitude_step_ft": 100.0}, result="any"),
    Case("satellite heights, 60 ft above", SCORE, Flight(TURN), "doubt of a satellite height",
         record={"altitude": "gps_altitude_ft"}, result="any"),
    Case("pressure altitude without a setting", SCORE, Flight(TURN), "setting unknown",
         record={"altitude": "pressure_altitude_ft"}, result="any"),
    Case("indicated, 60 ft above", SCORE, Flight(TURN), "no doubt, to standard", result="to standard"),
)  # fmt: skip


def cases() -> tuple[Case, ...]:
    """All of this page."""
    return (*MDA_CASES, *MINIMUM_CASES, *LEVEL_CASES, *moment_cases(), *ASSIGNED_CASES, *DESCENT_CASES, *EARLY_CASES,
            *SCORE_CASES)  # fmt: skip
