"""The kinds, speeds and winds of the benchmark: a first flight, its card, the card flown, and what came of it."""

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import analyzer
from tests.benchmarks.cards.flown_card import FlownCard, fly_card, other_side_nm
from tests.independent.ahead import hold_answer, straight, turned
from tests.independent.aircraft import NAUTICAL_MILE, Air, Aircraft, normal_bank_deg
from tests.independent.cockpit import Cockpit, LostError
from tests.independent.flights import METHODS, Flight, fly
from tests.independent.procedures import FIX, INBOUND_DEG, VARIATION_DEG, Asked, write_toml
from tests.independent.recording import write_csv
from tests.independent.reversals import expected_entry

SPEEDS_KT = (90.0, 110.0, 150.0)
WINDS = tuple(Air(from_deg, kt) for kt in (12.0, 25.0, 40.0) for from_deg in range(0, 360, 45))
MOST_OTHER_SIDE_NM, MOST_OFF_NM = 0.3, 0.2
#: a wind below this share of the airspeed leaves a plan
NO_PLAN_SHARE = 0.35
SHORTEST_S, LONGEST_S = 15.0, 180.0
ALTITUDES = ("altitude", "descen", "minimum")
_OUT = INBOUND_DEG + 180.0
_DIRECT, _TEARDROP, _PARALLEL = INBOUND_DEG, _OUT - 30.0, _OUT + 45.0

#: name: a flight of that kind
KINDS: dict[str, dict[str, Any]] = {
    "45/180 US": {"kind": "us vor turn"},
    "45/180 ICAO": {"kind": "icao vor turn", "leg_s": 60.0, "from_turn": True},
    "80/260": {"kind": "us vor turn", "method": "80/260"},
    "racetrack": {"kind": "us vor turn", "method": "racetrack", "arrival_deg": _DIRECT},
    "base turn, 2 min": {"kind": "base turn"},
    "teardrop by time": {"kind": "us teardrop"},
    "teardrop to 6 NM": {"kind": "teardrop by distance"},
    "hold 1 min, direct": {"kind": "hold 1 min", "arrival_deg": _DIRECT, "laps": 1},
    "hold 1 min, teardrop": {"kind": "hold 1 min", "arrival_deg": _TEARDROP, "laps": 1},
    "hold 1 min, parallel": {"kind": "hold 1 min", "arrival_deg": _PARALLEL, "laps": 1},
    "in lieu 4 NM, direct": {"kind": "hold in lieu 4 NM", "arrival_deg": _DIRECT},
    "in lieu 4 NM, teardrop": {"kind": "hold in lieu 4 NM", "arrival_deg": _TEARDROP},
    "in lieu 4 NM, parallel": {"kind": "hold in lieu 4 NM", "arrival_deg": _PARALLEL},
    "hold 5 NM, direct": {"kind": "hold 5 NM", "arrival_deg": _DIRECT, "laps": 1},
    "hold 5 NM, teardrop": {"kind": "hold 5 NM", "arrival_deg": _TEARDROP, "laps": 1},
    "hold 5 NM, parallel": {"kind": "hold 5 NM", "arrival_deg": _PARALLEL, "laps": 1},
}


@dataclass(frozen=True)
class Outcome:
    """One card: `how` is "flown", "no plan" or what went wrong; `wrong` what the benchmark does not allow."""

    kind: str
    tas_kt: float
    wind: str
    how: str
    wrong: tuple[str, ...] = ()
    other_side_nm: float = 0.0
    off_nm: float = 0.0
    result: str = ""
    told: tuple[str, ...] = ()
    reason: str = ""


def first_flight(kind: str, tas_kt: float, air: Air, arrival_deg: float | None = None) -> Flight:
    """Return the flight that the card is asked of; only holds end without a landing.

    `arrival_deg` is another true course over a hold's fix than the kind's own.
    """
    more = dict(KINDS[kind])
    if arrival_deg is not None:
        more["arrival_deg"] = arrival_deg
    ending = "stop" if "laps" in more else "land"
    return Flight(air=air, tas_kt=tas_kt, ending=ending, start_nm=4.0, **more)


def assessed(cockpit: Cockpit, procedure: Asked) -> dict[str, Any]:
    """Return the result file's content of a flight."""
    with tempfile.TemporaryDirectory() as folder:
        track = write_csv(Path(folder) / "flight.csv", cockpit.moments, FIX, VARIATION_DEG)
        file = write_toml(Path(folder) / "procedure.toml", procedure.content)
        return dict(analyzer.assess(track, file).to_dict())


def plan_of(result: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return the plan of the first card of the first reversal that has one."""
    for attempt in result["attempts"]:
        for card in attempt["cards"]:
            return dict(card["plan"])
    return None


def run(kind: str, tas_kt: float, air: Air, arrival_deg: float | None = None) -> Outcome:
    """Fly first, take the card, fly the card, and judge it."""
    wind = f"{air.wind_from_deg:03.0f}/{air.wind_kt:.0f}"
    wind += "" if arrival_deg is None else f" arriving on {arrival_deg:03.0f}"
    flight = first_flight(kind, tas_kt, air, arrival_deg)
    try:
        plan = plan_of(assessed(fly(flight), flight.asked))
    except LostError as error:
        return Outcome(kind, tas_kt, wind, "first flight lost", (str(error),))
    if plan is None:
        return Outcome(kind, tas_kt, wind, "no card", ("the result holds no card",))
    asked = flight.method or METHODS[flight.asked.content["reversal"]]
    if plan["kind"] != asked:
        return Outcome(kind, tas_kt, wind, f"a card for {plan['kind']}", (f"the flight was a {asked}",))
    if plan["no_plan"]:
        return Outcome(kind, tas_kt, wind, "no plan", _plan_missed(flight), reason=plan["no_plan"])
    try:
        card = fly_card(plan, flight)
    except LostError as error:
        return Outcome(kind, tas_kt, wind, "card lost", (str(error),))
    return _judged(kind, wind, flight, card)


def _plan_missed(flight: Flight) -> tuple[str, ...]:
    """What is wrong with having no plan: a wind that isn't strong, or a lap that was found by trial."""
    wrong = []
    share = flight.air.wind_kt / flight.tas_kt
    if share <= NO_PLAN_SHARE:
        wrong.append(f"no plan in a wind of {share:.0%} of the airspeed")
    procedure = flight.asked
    limits = procedure.content["limits"]
    charted = procedure.charted
    nm = limits.get("outbound_nm")
    if procedure.content["reversal"] not in ("hold in lieu", "holding"):
        return tuple(wrong)
    answer = hold_answer(charted.inbound, charted.side, flight.tas_kt, flight.air, 60.0, nm)
    lap = answer.found and (
        nm is not None or (SHORTEST_S <= answer.seconds <= LONGEST_S and abs(answer.inbound_s - 60.0) < 3.0)
    )
    entry = expected_entry(charted, flight.arrival_deg or 0.0)
    if lap and (entry == "direct" or (entry == "teardrop" and _entry_found(flight))):
        wrong.append(f"no plan, though heading {answer.heading_deg % 360.0:.0f} and {answer.seconds:.0f} s are one")
    return tuple(wrong)


def _entry_found(flight: Flight) -> bool:
    """Whether a teardrop entry rolls out at most 0.2 NM beyond the course after some time, by trial."""
    charted = flight.asked.charted
    outbound = charted.inbound_deg + 180.0
    track = outbound - 30.0 * charted.side
    start = Aircraft(0.0, 0.0, outbound % 360.0, 4000.0, flight.tas_kt, flight.air)
    start.heading_deg = (track + flight.air.crab_deg(track, flight.tas_kt)) % 360.0
    final = charted.inbound_deg + flight.air.crab_deg(charted.inbound_deg, flight.tas_kt)
    bank = normal_bank_deg(flight.tas_kt)
    for seconds in range(15, 64, 3):
        end = turned(straight(start, float(seconds)), charted.side, to_deg=final, bank_deg=bank)
        if charted.side * charted.inbound.right_m(end) >= -0.2 * NAUTICAL_MILE:
            return True
    return False


def _judged(kind: str, wind: str, flight: Flight, card: FlownCard) -> Outcome:
    result = assessed(card.cockpit, flight.asked)
    attempts = result["attempts"]
    found = [one for attempt in attempts for one in attempt["findings"] if one["severity"] != "note"]
    told = tuple(f"{one['code']} ({one['severity']})" for one in found if not any(a in one["code"] for a in ALTITUDES))
    given = {attempt["result"] for attempt in attempts} or {"no attempt"}
    verdict = "to standard" if given == {"to standard"} else ", ".join(sorted(given))
    side_nm = other_side_nm(card, flight.asked)
    wrong = []
    if verdict != "to standard":
        wrong.append(f"is {verdict}")
    if side_nm > MOST_OTHER_SIDE_NM:
        wrong.append(f"{side_nm:.2f} NM on the other side")
    if card.off_nm > MOST_OFF_NM:
        places = "; ".join(
            f"lap {one.lap} at {one.flown[0]:.2f} {one.flown[1]:+.2f} for {one.planned[0]:.2f} {one.planned[1]:+.2f}"
            for one in card.roll_outs
        )
        wrong.append(f"rolls out {card.off_nm:.2f} NM off: {places}")
    wrong += [f"told {one}" for one in told]
    return Outcome(kind, flight.tas_kt, wind, "flown", tuple(wrong), side_nm, card.off_nm, verdict, told)
