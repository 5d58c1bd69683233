"""Contradictions between the optional keys of a procedure file: limits, steps, missed approach, sectors, arc."""

from collections.abc import Callable, Mapping
from typing import Any

from analyzer.reading.wording import shown

Lookup = Callable[[str], Any]


def extra_problems(value: Lookup) -> list[tuple[str, str]]:
    """Return key and line of each contradiction; `value` gives a dotted key's value, None where absent or wrong."""
    found = _halves(value("limits.outbound_limit"), "limits.outbound_limit")
    found += _missed_approach_problems(value("missed_approach"))
    steps = value("step")
    for number, step in enumerate(steps if isinstance(steps, list) else [], 1):
        found += _step_problems(step, f"step[{number}]")
    if value("no_reversal_from") is not None and value("course.no_reversal_from") is not None:
        key = "course.no_reversal_from"
        found.append((key, f"{key} and no_reversal_from at the top can't both hold. Expected one of them"))
    arc = value("arc")
    if isinstance(arc, Mapping) and arc.get("from_deg") is not None and arc.get("from_deg") == arc.get("to_deg"):
        found.append(("arc.to_deg", f"arc.to_deg = {shown(arc['to_deg'])} is arc.from_deg. Expected another radial"))
    return found


def _halves(table: Any, key: str) -> list[tuple[str, str]]:
    """Return the line for a latitude without its longitude, or the other way round."""
    if not isinstance(table, Mapping):
        return []
    pairs = (("latitude", "longitude"), ("longitude", "latitude"))
    return [
        (f"{key}.{other}", f"{key}.{other} is missing. Expected it beside {key}.{one}")
        for one, other in pairs
        if table.get(one) is not None and table.get(other) is None
    ]


def _step_problems(step: Any, key: str) -> list[tuple[str, str]]:
    found = _halves(step, key)
    if isinstance(step, Mapping) and step.get("from") is not None and step.get("latitude") is not None:
        found.append((f"{key}.from", f"{key}.from and {key}.latitude can't both hold. Expected one of them"))
    return found


def _missed_approach_problems(table: Any) -> list[tuple[str, str]]:
    if not isinstance(table, Mapping):
        return []
    at_nm, at_min, speed = (table.get(key) for key in ("at_nm", "at_min", "groundspeed_kt"))
    if (at_nm is None) == (at_min is None):
        held = "at_nm and at_min" if at_nm is not None else "neither at_nm nor at_min"
        right = "at_nm = 0.5, or at_min = 2.5 with groundspeed_kt = 90"
        return [("missed_approach", f"missed_approach holds {held}. Expected {right}")]
    if at_min is not None and speed is None:
        key = "missed_approach.groundspeed_kt"
        return [(key, f"{key} is missing. Expected the groundspeed that missed_approach.at_min goes with, knots")]
    if at_min is None and speed is not None:
        key = "missed_approach.groundspeed_kt"
        return [(key, f"{key} = {shown(speed)} goes with at_min. Expected at_min beside it, or no groundspeed_kt")]
    return []
