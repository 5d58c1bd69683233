"""Faults of altitude and speed that a flight is given before it begins: each returns a hook that sets the watches."""

from collections.abc import Callable

from tests.independent.aircraft import NAUTICAL_MILE
from tests.independent.cockpit import Cockpit
from tests.independent.flights import Hook
from tests.independent.procedures import Asked

Condition = Callable[[Cockpit], bool]


def past(name: str, seconds: float = 0.0) -> Condition:
    """So many seconds after a mark of the flight."""
    return lambda c: name in c.marks and c.time_s >= c.marks[name] + seconds


def miles_past_fix(nm: float) -> Callable[[Asked], Condition]:
    """So many miles past the fix on the final."""

    def condition(procedure: Asked) -> Condition:
        line = procedure.charted.inbound
        return lambda c: "fix inbound" in c.marks and line.past_m(c.aircraft) >= nm * NAUTICAL_MILE

    return condition


def to_level(start: Condition, feet: float, fpm: float = 600.0) -> Hook:
    """Climb or descend to an altitude when something holds."""
    return lambda c, _: c.when(start, lambda k: k.descend(feet, fpm))


def dip(start: Condition, feet: float, seconds: float, back_ft: float, fpm: float = 500.0) -> Hook:
    """Go to an altitude, stay there for so many seconds, and come back."""

    def hook(c: Cockpit, _: Asked) -> None:
        def reached(k: Cockpit) -> bool:
            return "dip" in k.marks and abs(k.aircraft.altitude_ft - feet) < 4.0

        def stay(k: Cockpit) -> None:
            k.mark("dip reached")
            k.when(past("dip reached", seconds), lambda j: j.descend(back_ft, fpm))

        def go(k: Cockpit) -> None:
            k.mark("dip")
            k.descend(feet, fpm)
            k.when(reached, stay)

        c.when(start, go)

    return hook


def airspeed(start: Condition, tas_kt: float, kt_a_second: float = 1.0) -> Hook:
    """Change the true airspeed to a value, by so much a second, when something holds."""

    def hook(c: Cockpit, _: Asked) -> None:
        def faster(k: Cockpit) -> None:
            step = max(-0.1 * kt_a_second, min(0.1 * kt_a_second, tas_kt - k.base_tas_kt))
            k.base_tas_kt += step
            if abs(k.base_tas_kt - tas_kt) > 0.01:
                k.when(lambda _k: True, faster)

        c.when(start, faster)

    return hook
