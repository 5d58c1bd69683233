"""Flights drawn from a seed: sloppy but acceptable ones, and the same with one fault beyond its tolerance.

Acceptable means inside the tolerances of the US practical test (100 ft but never below a minimum, 10 kt, 10 degrees of
heading, three quarters of full scale), 10 s of a timed leg and 30 degrees of bank, with room for what two errors make
together.
"""

import random
from dataclasses import replace
from typing import Any

from tests.benchmarks.examiner.case import HARD, Case, Named
from tests.benchmarks.examiner.hooks import airspeed, dip, past, to_level
from tests.independent.aircraft import Air
from tests.independent.flights import Flight
from tests.independent.pilot import Pilot
from tests.independent.procedures import INBOUND_DEG

KINDS = (
    "us vor turn", "us localizer turn", "us ndb turn", "icao vor turn", "icao ndb turn", "base turn", "us teardrop",
    "teardrop by distance", "hold in lieu 4 NM", "hold in lieu 1 min", "hold 1 min", "icao hold 1 min", "hold 5 NM",
)  # fmt: skip
STRONGEST_KT = 30.0
#: altitude wander up to 45 ft about 60 ft above each minimum; half of each tolerance of heading, needle, speed, time
SLOPPY = Pilot(
    heading_deg=5.0, bank_share=0.12, timing_s=4.0, altitude_ft=45.0, speed_kt=5.0, needle_deg=2.5, track_nm=0.12
)
NEEDLE_DEG = {"us localizer turn": 0.6}


def _is_hold(kind: str) -> bool:
    return "hold" in kind


def drawn_flight(number: int, most_wind_kt: float = STRONGEST_KT, sloppy: float = 1.0) -> tuple[Flight, dict[str, Any]]:
    """Return a flight of a seed and how it is recorded."""
    chance = random.Random(7000 + number)
    kind = KINDS[number % len(KINDS)]
    tas_kt = chance.uniform(88.0, 132.0)
    wind_kt = chance.uniform(0.0, min(most_wind_kt, 0.28 * tas_kt))
    air = Air(chance.uniform(0.0, 360.0), wind_kt)
    pilot = Pilot(
        *(sloppy * value for value in (SLOPPY.heading_deg, SLOPPY.bank_share, SLOPPY.timing_s, SLOPPY.altitude_ft,
                                       SLOPPY.speed_kt, NEEDLE_DEG.get(kind, SLOPPY.needle_deg), SLOPPY.track_nm))
    )  # fmt: skip
    flight = Flight(kind, air, tas_kt, pilot, seed=number, start_nm=5.0)
    if kind.startswith("us ") and "turn" in kind:
        flight = replace(
            flight, outbound_nm=chance.uniform(2.5, 4.0), method=chance.choice(["45/180", "45/180", "80/260"])
        )
        outbound = INBOUND_DEG + 180.0
        flight = replace(flight, arrival_deg=outbound + chance.uniform(-40.0, 40.0))
    elif kind.startswith("icao") and "turn" in kind:
        flight = replace(flight, leg_s=60.0, from_turn=True, outbound_nm=chance.uniform(2.5, 4.0))
    elif kind == "hold in lieu 1 min":
        # a one-minute parallel entry comes back too near the fix to be established before it: from the other sectors
        flight = replace(flight, arrival_deg=INBOUND_DEG + chance.uniform(-35.0, 35.0))
    elif _is_hold(kind):
        flight = replace(flight, arrival_deg=chance.uniform(0.0, 360.0))
    if kind in ("hold 1 min", "icao hold 1 min", "hold 5 NM"):
        flight = replace(flight, laps=2, ending="stop", pilot=replace(pilot, altitude_ft=80.0 * sloppy))
    elif flight.ending == "land":
        flight = replace(flight, ending=chance.choice(["land", "land", "miss", "descent"]))
    record: dict[str, Any] = {"seed": number, "noise_m": chance.choice([0.0, 2.0, 4.0]), "utc": chance.random() < 0.5}
    if chance.random() < 0.4:
        record["columns"] = chance.choice(
            [("ias_kt",), ("heading_deg", "ias_kt"), ("heading_deg", "tas_kt", "bank_deg")]
        )
    return flight, record


def clean_case(number: int) -> Case:
    """An acceptable flight: to standard, no finding above minor."""
    flight, record = drawn_flight(number)
    return Case(f"clean {number}: {_words(flight)}", flight.kind, flight, "inside all tolerances", result="to standard",
                record=record, all_checks=False)  # fmt: skip


def _words(flight: Flight) -> str:
    air = flight.air
    wind = f"{air.wind_from_deg:03.0f}/{air.wind_kt:.0f}"
    return f"{flight.tas_kt:.0f} kt in {wind}, {flight.method or ''} to {flight.ending}"


def _reached(name: str, seconds: float = 0.0) -> Any:
    return past(name, seconds)


OFF_COURSE = ("never-established", "established-inside-fix", "outside-tracking-limit", "overshot-course",
              "several-crossings", "shallow-intercept", "turned-inbound")  # fmt: skip


def _faults(flight: Flight) -> dict[str, tuple[Flight, Named, tuple[str, ...], str]]:
    """Faults that a flight can be given: name, the flight, what must be said, what it brings with it, the rule."""
    hold = _is_hold(flight.kind)
    held = flight.kind in ("hold 1 min", "icao hold 1 min", "hold 5 NM")
    low = "below-minimum-altitude|descended-before-established"
    found: dict[str, tuple[Flight, Named, tuple[str, ...], str]] = {}

    def add(name: str, one: Flight, named: Named, brings: tuple[str, ...], rule: str) -> None:
        found[name] = (one, named, brings, rule)

    def hooked(hook: Any) -> Flight:
        return replace(flight, hooks=(*flight.hooks, hook))

    add(
        "bank of 39 degrees",
        replace(flight, bank_deg=39.0, pilot=replace(flight.pilot, bank_share=0.0)),
        Named("bank-too-steep", ("major",)),
        (*OFF_COURSE, "turn-too-fast"),
        "over 35 for 3 s",
    )
    add(
        "bank of 49 degrees",
        replace(flight, bank_deg=49.0, pilot=replace(flight.pilot, bank_share=0.0)),
        Named("bank-too-steep", ("critical",)),
        (*OFF_COURSE, "turn-too-fast"),
        "over 45 for 3 s",
    )
    add(
        "airspeed to 225 kt",
        hooked(airspeed(_reached("fix outbound", 5), 245.0, 4.0)),
        Named("too-fast", ("minor", *HARD)),
        (
            *OFF_COURSE,
            "left-",
            "leg-too",
            "inbound-leg",
            "speed-not-held",
            "off-assigned",
            "below-minimum",
            "descent|ft/min",
            "sector",
        ),
        "over 200 KIAS",
    )
    if held:
        add(
            "350 ft high in the hold",
            hooked(dip(_reached("outbound start", 15), 4950, 40, 4600, 900)),
            Named("off-assigned-altitude", ("critical",)),
            (),
            "over 300 ft off",
        )
        add(
            "190 ft low in the hold",
            hooked(dip(_reached("outbound start", 15), 4410, 40, 4600, 900)),
            Named("off-assigned-altitude", ("major",)),
            ("below-minimum",),
            "over 100 ft off",
        )
        return found
    add(
        "200 ft below in the reversal",
        hooked(dip(_reached("reversal turn start", 3), 4400, 25, 4660, 1500)),
        Named(low, ("critical",)),
        ("ft/min", "descended-before"),
        "below the minimum by more than 100 ft",
    )
    if not hold:
        add(
            "400 ft below before the fix",
            hooked(to_level(lambda c: c.time_s > 60.0, 5050)),
            Named("descended-before-fix|below-minimum-altitude", ("critical",)),
            (),
            "below the arrival's minimum before the fix",
        )
    if flight.ending in ("land", "miss") and not hold:
        add(
            "150 ft below the minimum on final",
            replace(flight, levels_ft={"final": 2350.0}, final_fpm=900.0),
            Named("below-minimum-descent-altitude", ("critical",)),
            (),
            "level below the minimum, from 50 ft critical",
        )
    if "turn" in flight.kind and flight.kind != "base turn" and flight.method != "80/260" and not hold:
        add(
            "turned to the other side",
            replace(flight, wrong_side=True),
            Named("turned-on-unprotected-side", ("critical",)),
            (*OFF_COURSE, "left-"),
            "the unprotected side",
        )
    if hold:
        add(
            "held on the other side",
            replace(flight, arrival_deg=INBOUND_DEG, entry="direct", wrong_side=True),
            Named("turned-on-unprotected-side", ("critical",)),
            (*OFF_COURSE, "left-", "wrong-entry"),
            "the unprotected side",
        )
    if flight.kind == "hold in lieu 4 NM":
        add(
            "leg of 6 NM in place of 4",
            replace(flight, leg_nm=6.0),
            Named("leg-too-long|overflown", ("major",)),
            ("left-",),
            "over by more than 1 NM",
        )
    if flight.kind.startswith("us ") and "turn" in flight.kind and "teardrop" not in flight.kind:
        add(
            "beyond 10 NM",
            replace(flight, outbound_nm=9.8),
            Named("left-distance-limit", HARD),
            ("left-",),
            "beyond the profile view's distance",
        )
        add("outbound 20 degrees off", replace(flight, outbound_off_deg=20.0, outbound_nm=4.5,
            arrival_deg=INBOUND_DEG + 180.0), Named("outbound-course-not-tracked", HARD),
            ("wind-correction", "heading-off", "turned-on-unprotected"), "twice full scale")  # fmt: skip
    return found


def fault_case(number: int) -> Case:
    """A tidier flight with a fault beyond its tolerance: it is named, and nothing above minor that it doesn't cause."""
    flight, record = drawn_flight(number, most_wind_kt=18.0, sloppy=0.5)
    faults = _faults(flight)
    name = sorted(faults)[random.Random(90 + number).randrange(len(faults))]
    one, named, brings, rule = faults[name]
    if "225 kt" in name:
        record = record | {"columns": ("ias_kt",)}
    return Case(f"fault {number}: {name}, {_words(one)}", f"{name}", one, rule, named=(named,), caused=brings,
                result="any", record=record, all_checks=False)  # fmt: skip
