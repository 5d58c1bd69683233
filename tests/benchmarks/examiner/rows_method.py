"""Rows on tracking, the station, beacons, sectors, clearances, speed and references."""

import math
import re
from typing import Any

from tests.benchmarks.examiner.case import HARD, Case, Named
from tests.benchmarks.examiner.hooks import airspeed, past
from tests.independent.aircraft import NAUTICAL_MILE, Air, Line
from tests.independent.cockpit import Cockpit, passed, started
from tests.independent.endings import land
from tests.independent.flights import Flight
from tests.independent.procedures import INBOUND_DEG, RUNWAY_FT, RUNWAY_NM, Asked
from tests.independent.reversals import arrive, go_on, go_outbound, procedure_turn, to_the_fix

TURN = "us vor turn"
ANY = ("minor", "major", "critical")
OFF = r"outside-tracking-limit|never-established|established-inside-fix"

STATION = "near the station"


def _beside(offset_nm: float, from_nm: float) -> Any:
    """Right flight until so far before the station; from there on so far beside the course."""

    def flown() -> tuple[Cockpit, Asked]:
        flight = Flight(TURN, ending="none")
        procedure = flight.asked
        charted = procedure.charted
        c = fly_to_inbound(flight)
        line = charted.inbound
        c.track(line, passed(line, -from_nm), name="inbound")
        c.track(line, passed(line), name="beside", offset_nm=offset_nm)
        c.mark("fix inbound")
        c.descend(2560.0, 700.0)
        land(c, charted, RUNWAY_NM, RUNWAY_FT)
        return c, procedure

    return flown


def fly_to_inbound(flight: Flight) -> Cockpit:
    """Fly a procedure turn until the inbound course is joined and the descent to its altitude begun."""
    procedure = flight.asked
    charted = procedure.charted
    course = charted.outbound.course_deg
    c = started(Line(course), -5.0, 0.1, 5560.0, flight.tas_kt, flight.air, seed=flight.seed)
    arrive(c, charted, course)
    c.descend(4660.0, 600.0)
    go_outbound(c, charted, nm=flight.outbound_nm)
    procedure_turn(c, charted, flight.leg_s)
    return c


def station_cases() -> tuple[Case, ...]:
    """Within 1 NM or 30 s the distance from the course is judged: within 0.15 NM at most minor."""
    hard = (r"outside-tracking-limit",)
    return (
        Case("0.11 NM beside at half a mile", STATION, _beside(0.11, 1.3), "within 0.15 NM", silent=()),
        Case("0.13 NM beside, other side", STATION, _beside(-0.13, 1.3), "within 0.15 NM"),
        Case("0.10 NM beside the last mile", STATION, _beside(0.10, 1.1), "within 0.15 NM"),
        Case("0.05 NM beside", STATION, _beside(0.05, 1.5), "within 0.15 NM", silent=hard),
        Case("0.5 NM beside in the last mile and a half", STATION, _beside(0.5, 2.6), "far beyond 0.15 NM",
             named=(Named(r"outside-tracking-limit|several-crossings|off the course", HARD),), caused=(OFF,
                 "final-not-tracked")),
        Case("0.45 NM beside, other side", STATION, _beside(-0.45, 2.6), "far beyond 0.15 NM",
             named=(Named(r"outside-tracking-limit|several-crossings|off the course", HARD),), caused=(OFF,
                 "final-not-tracked")),
    )  # fmt: skip


BEACON = "NDB"
HOMED = r"homing|homed"
SCALE = r"full scale|of full|needle (at|within|moves)|half scale|dots?\b"


def _in_degrees(result: dict[str, Any], _: Cockpit) -> list[str]:
    """A beacon gives bearings: no word of a scale in any finding."""
    texts = [f"{one['text']} {one['advice']}" for attempt in result["attempts"] for one in attempt["findings"]]
    return [f"speaks of a scale: {text[:140]}" for text in texts if re.search(SCALE, text)][:1]


def _homing(kt: float, homes: bool, off_deg: float = 90.0, offset_nm: float = 0.0) -> Any:
    """Inbound with the nose on the beacon all the way in, from where the course was joined, or tracking right."""

    def flown() -> tuple[Cockpit, Asked]:
        flight = Flight("us ndb turn", air=Air(INBOUND_DEG + off_deg, kt), outbound_nm=5.5, ending="none")
        procedure = flight.asked
        charted = procedure.charted
        c = fly_to_inbound(flight)
        line = charted.inbound
        c.track(line, passed(line, -5.0), name="joining")
        c.descend(3760.0, 500.0)
        if homes:
            while c.distance_m() > 0.25 * NAUTICAL_MILE and line.past_m(c.aircraft) < 0.0:
                bearing = math.degrees(math.atan2(-c.aircraft.east_m, -c.aircraft.north_m))
                c._steer(bearing)
            c.hold(c.aircraft.heading_deg, passed(line), name="over")
            c.mark("fix inbound")
        else:
            c.track(line, passed(line), name="inbound", offset_nm=offset_nm)
            c.mark("fix inbound")
        c.descend(2760.0, 700.0)
        go_on(c, charted, 2.0)
        return c, procedure

    return flown


def beacon_cases() -> tuple[Case, ...]:
    """Bearings and degrees; a heading that follows the bearing is homing and named so."""
    low = {"result": "any", "check": _in_degrees}
    return (
        Case("homes in 25 kt across", BEACON, _homing(25, True), "heading follows the bearing",
             named=(Named(HOMED, ANY),), caused=(OFF, "no-wind-correction"), **low),
        Case("homes in 25 kt across, other side", BEACON, _homing(25, True, -90.0), "heading follows the bearing",
             named=(Named(HOMED, ANY),), caused=(OFF, "no-wind-correction"), **low),
        Case("homes in 18 kt across", BEACON, _homing(18, True), "heading follows the bearing",
             named=(Named(HOMED, ANY),), caused=(OFF, "no-wind-correction"), **low),
        Case("tracks in 25 kt across", BEACON, _homing(25, False), "the drift is held", silent=(HOMED, OFF),
             check=_in_degrees),
        Case("tracks in 18 kt, other side", BEACON, _homing(18, False, -90.0), "the drift is held", silent=(HOMED, OFF),
             check=_in_degrees),
        Case("nose on the beacon in 3 kt", BEACON, _homing(3, True), "there is nothing to correct", silent=(HOMED, OFF),
             check=_in_degrees),
        Case("12 degrees beside the bearing", BEACON, Flight("us ndb turn", inbound_offset_nm=0.55, outbound_nm=4.0),
             "said in degrees", result="any", caused=(OFF, "several-crossings", "overshot", "final-not-tracked"),
             check=_in_degrees),
    )  # fmt: skip


OUTBOUND = "outbound tracking"
NOT_TRACKED = "outbound-course-not-tracked"
EU = {"tolerances": "European skill test"}


def outbound_cases() -> tuple[Case, ...]:
    """Three quarters of full scale (IR.V.A.S6: 7.5 degrees of a VOR) a minute after the fix; European half: 5."""
    return tuple(
        Case(f"{off:+g} degrees off outbound, {'European' if options else 'US'} set", OUTBOUND, Flight(TURN,
             outbound_off_deg=off, outbound_nm=4.0), rule, named=named, silent=silent, options=options,
             caused=("wind-correction", "heading-off"))
        for off, options, rule, named, silent in (
            (4.0, {}, "inside 7.5", (), (NOT_TRACKED,)), (-5.5, {}, "inside 7.5", (), (NOT_TRACKED,)),
            (10.0, {}, "beyond 7.5", (Named(NOT_TRACKED, ("minor", "major")),), ()),
            (-10.0, {}, "beyond 7.5", (Named(NOT_TRACKED, ("minor", "major")),), ()),
            (20.0, {}, "twice full scale fails the test", (Named(NOT_TRACKED, ("major",)),), ()),
            (3.0, EU, "inside 5", (), (NOT_TRACKED,)),
            (7.0, EU, "beyond 5", (Named(NOT_TRACKED, ("minor", "major")),), ()),
        )
    )  # fmt: skip


SECTOR = "ICAO entry and method"
OUTSIDE = r"entry sector|entry-sector|outside the sector"
METHOD = r"method|racetrack.*charted|charted.*(45/180|procedure turn)"


def sector_cases() -> tuple[Case, ...]:
    """Within 30 degrees of the outbound track (3.5.3); another method than charted is a finding under ICAO only."""
    base = [
        Case(f"base turn entered {off:+g} degrees off", SECTOR, Flight("base turn", arrival_deg=323.0 + off), rule,
             named=named, silent=silent, caused=("overshot", "several-crossings", "left-", OFF, "turned-inbound"))
        for off, rule, named, silent in (
            (0.0, "along the outbound track", (), (OUTSIDE,)), (20.0, "inside 30", (), (OUTSIDE,)),
            (-22.0, "inside 30", (), (OUTSIDE,)), (50.0, "outside 30", (Named(OUTSIDE, ANY),), ()),
            (114.0, "outside 30", (Named(OUTSIDE, ANY),), ()),
            # from the inbound side: neither within 30 of 323 nor of the reciprocal 305
            (-120.0, "outside 30", (Named(OUTSIDE, ANY),), ()),
        )
    ]  # fmt: skip
    turn = [
        Case(f"45/180 entered {off:+g} degrees off", SECTOR, Flight("icao vor turn", leg_s=60, from_turn=True,
             arrival_deg=305.0 + off, outbound_nm=4.0), rule, named=named, silent=silent)
        for off, rule, named, silent in (
            (15.0, "inside 30", (), (OUTSIDE,)), (75.0, "outside 30", (Named(OUTSIDE, ANY),), ()),
        )
    ]  # fmt: skip
    return (
        *base,
        *turn,
        Case("racetrack for the charted 45/180, ICAO", SECTOR, Flight("icao vor turn", method="racetrack", leg_s=60,
             arrival_deg=INBOUND_DEG), "flown otherwise than charted", named=(Named(METHOD, ANY),),
             caused=("entry-sector", "left-", "sector")),
        Case("racetrack for a 45/180, US", SECTOR, Flight(TURN, method="racetrack", leg_s=90, arrival_deg=INBOUND_DEG),
             "the type of turn is the pilot's (AIM 5-4-9 a1)", silent=(METHOD,)),
        Case("80/260 for a 45/180, ICAO", SECTOR, Flight("icao vor turn", method="80/260"),
             "80/260 is an alternative to 45/180 unless excluded", silent=(METHOD,)),
        Case("80/260 for a 45/180, US", SECTOR, Flight(TURN, method="80/260"), "the pilot's choice", silent=(METHOD,)),
    )  # fmt: skip


CLEARED = "reversal required or not permitted"


def _straight_in() -> tuple[Cockpit, Asked]:
    """From 8 NM on the inbound course straight in to the landing."""
    procedure = Flight(TURN).asked
    charted = procedure.charted
    c = started(Line(INBOUND_DEG), -8.0, 0.05, 4660.0, 100.0, Air(200, 8))
    c.track(charted.inbound, passed(charted.inbound, -5.0), name="arrival")
    c.descend(3760.0, 500.0)
    to_the_fix(c, charted)
    c.descend(2560.0, 700.0)
    land(c, charted, RUNWAY_NM, RUNWAY_FT)
    return c, procedure


def _says(pattern: str, unwanted: str = "") -> Any:
    def check(result: dict[str, Any], _: Cockpit) -> list[str]:
        text = " ".join(one["text"] for one in result["track"]["quality"])
        text += " ".join(
            f"{one['code']} {one['text']}" for attempt in result["attempts"] for one in attempt["findings"]
        )
        wrong = [] if re.search(pattern, text, re.IGNORECASE) else [f"not said: {pattern}; said: {text[:200]}"]
        if unwanted and re.search(unwanted, text, re.IGNORECASE):
            wrong.append(f"says {unwanted}: {text[:160]}")
        return wrong

    return check


def cleared_cases() -> tuple[Case, ...]:
    """AIM 5-4-9 a: required when depicted unless cleared straight in; not permitted on a NoPT segment."""
    none = {"reversal_expected": "not permitted"}
    required = {"reversal_expected": "required"}
    return (
        Case("NoPT, straight in", CLEARED, _straight_in, "no reversal, and none was allowed: right", options=none,
             result="any", check=_says("none was (allowed|permitted)", "not assessed")),
        Case("NoPT by clearance, straight in", CLEARED, _straight_in, "the same by the clearance's file",
             clearance={"reversal": "not permitted"}, result="any", check=_says("none was (allowed|permitted)")),
        Case("required, straight in", CLEARED, _straight_in, "a required reversal was left out", options=required,
             result="any", check=_says("reversal-missing|requires|required")),
        Case("NoPT, reversal flown", CLEARED, Flight(TURN, air=Air(60, 12)), "flown where none was permitted",
             options=none, named=(Named("reversal-not-permitted", HARD),)),
        Case("required, reversal flown", CLEARED, Flight(TURN, air=Air(60, 12)), "as asked", options=required,
             silent=("reversal-",)),
        Case("nothing said, reversal flown", CLEARED, Flight(TURN, air=Air(60, 12)), "as charted",
             silent=("reversal-",)),
    )  # fmt: skip


REFERENCES = "references"
WITH_SPEED = {"columns": ("ias_kt",)}


def _cites(code: str, pattern: str) -> Any:
    def check(result: dict[str, Any], _: Cockpit) -> list[str]:
        given = [
            one["reference"] for attempt in result["attempts"] for one in attempt["findings"] if one["code"] == code
        ]
        return [] if given and re.search(pattern, given[0]) else [f"{code} cites {given}, by the rule {pattern}"]

    return check


def reference_cases() -> tuple[Case, ...]:
    """Paragraph and table of the document: holding speeds II-4-1-2, the turn's speed AIM 5-4-9 a3, its distance a."""
    fast = (Named("too-fast", ANY),)
    return (
        Case("200 KIAS, flown at 214", REFERENCES, Flight(TURN, tas_kt=228, outbound_nm=3.0), "over 200 (AIM 5-4-9 a3)",
             named=fast, record=WITH_SPEED, check=_cites("too-fast", r"5-4-9 a3"), caused=("left-",)),
        Case("200 KIAS, flown at 191", REFERENCES, Flight(TURN, tas_kt=204, outbound_nm=3.0), "under 200",
             silent=("too-fast",), record=WITH_SPEED),
        Case("ICAO hold of category B at 190 KIAS", REFERENCES, Flight("icao hold 1 min", tas_kt=204, laps=1,
             arrival_deg=INBOUND_DEG, ending="stop"), "170 kt where limited to category A and B", named=fast,
             record=WITH_SPEED, check=_cites("too-fast", r"II-4-1-2"), caused=("left-",)),
        Case("ICAO hold at 160 KIAS", REFERENCES, Flight("icao hold 1 min", tas_kt=172, laps=1, ending="stop",
             arrival_deg=INBOUND_DEG), "under 170", silent=("too-fast",), record=WITH_SPEED),
        Case("speed above 200 in the turn only", REFERENCES, Flight(TURN, tas_kt=190, outbound_nm=3.0, hooks=(
             airspeed(past("outbound start", 30), 232),)), "from the fix through the turn", named=fast,
             record=WITH_SPEED,
             check=_cites("too-fast", r"5-4-9 a3"), caused=("left-",)),
        Case("beyond 10 NM", REFERENCES, Flight(TURN, outbound_nm=8.6), "AIM 5-4-9 a", named=(
             Named("left-distance-limit", HARD),), caused=("left-",), check=_cites("left-distance-limit",
             r"AIM 5-4-9 a")),
    )  # fmt: skip


SIDE = "side and intercept"


def side_cases() -> tuple[Case, ...]:
    """The barb's side (AIM 5-4-9 a1); intercepts of 20 to 90 degrees (IFH ch. 9)."""
    return (
        Case("turned on the other side", SIDE, Flight(TURN, wrong_side=True), "the side that is not protected",
             named=(Named("turned-on-unprotected-side", ("critical",)),), caused=("left-",)),
        Case("turned on the right side", SIDE, Flight(TURN, air=Air(330, 15)), "as charted",
             silent=("turned-on-unprotected-side",)),
        Case("localizer, other side", SIDE, Flight("us localizer turn", wrong_side=True),
             "the side that is not protected",
             named=(Named("turned-on-unprotected-side", ("critical",)),), caused=("left-",)),
    )  # fmt: skip


def cases() -> tuple[Case, ...]:
    """All of this page."""
    return (
        *station_cases(), *beacon_cases(), *outbound_cases(), *sector_cases(), *cleared_cases(), *reference_cases(),
        *side_cases(),
    )  # fmt: skip
