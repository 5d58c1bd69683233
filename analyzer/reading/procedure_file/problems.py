"""What is wrong with a procedure file, one line for each problem, with the key, the value and what would be right."""

from collections.abc import Mapping
from typing import Any

from analyzer.reading.procedure_file.by_category import for_category
from analyzer.reading.procedure_file.extra_problems import extra_problems
from analyzer.reading.wording import shown
from analyzer.units import difference_deg, reciprocal_deg

#: a teardrop's outbound course this near the reciprocal does not diverge, deg
_LEAST_DIVERGENCE_DEG = 1.0
#: nor is it a teardrop, or the heading of a 45/180, when it diverges by more than this, deg
_MOST_DIVERGENCE_DEG = 90.0
#: courses on charts are whole degrees: an outbound course this near the reciprocal is the reciprocal, deg
_SAME_COURSE_DEG = 1.0


def find_problems(mapping: Mapping[str, Any]) -> list[str]:
    """Return one line for each problem of a procedure's tables and keys; empty where there is none."""
    return list(procedure_problems(mapping).values())


def procedure_problems(mapping: Mapping[str, Any]) -> dict[str, str]:
    """Return the line of each problem by the dotted key that it is about; empty where there is none."""
    from analyzer.reading.procedure_file.refusals import shape_problems  # loads pydantic: only where a file is read

    problems = shape_problems(mapping)
    resolved, without = for_category(mapping)
    for key in without:
        if not any(wrong.startswith((key, "protection")) for wrong in problems):
            problems[key] = f"{key} holds no value for the category of [protection]. Expected A = ... for A and above"
    for key, problem in _contradictions(resolved, problems):
        problems.setdefault(key, problem)
    _drop_explained_absences(problems)
    return problems


def _drop_explained_absences(problems: dict[str, str]) -> None:
    """Drop the absence of a misspelt required key: it would be told twice, and "unknown" tells more."""
    for key, problem in list(problems.items()):
        if "Did you mean" in problem and "is not a known key" in problem:
            table = key.rpartition(".")[0]
            meant = problem.rsplit('"', 2)[1]
            absent = f"{table}.{meant}" if table else meant
            if problems.get(absent, "").startswith(f"{absent} is missing"):
                del problems[absent]


def _contradictions(mapping: Mapping[str, Any], problems: Mapping[str, str]) -> list[tuple[str, str]]:
    """Return key and line of what is wrong between keys; keys that are wrong by themselves are left out."""

    def value(key: str) -> Any:
        found: Any = mapping
        if any(key == wrong or key.startswith(wrong + ".") for wrong in problems):
            return None
        for name in key.split("."):
            found = found.get(name) if isinstance(found, Mapping) else None
        return found

    found = _course_contradictions(value)
    for one, other in (
        ("guidance.full_scale_deg", "guidance.full_scale_nm"),
        ("limits.outbound_min", "limits.outbound_nm"),
    ):
        if value(one) is not None and value(other) is not None:
            found.append((other, f"{other} = {shown(value(other))} and {one} can't both hold. Expected one of them"))
    for one, other in (("latitude", "longitude"), ("longitude", "latitude")):
        if value(f"guidance.{one}") is not None and "guidance" in mapping and other not in mapping["guidance"]:
            found.append((f"guidance.{other}", f"guidance.{other} is missing. Expected it beside guidance.{one}"))
    tables = value("altitudes_ft")
    for segment in tables if isinstance(tables, Mapping) else ():
        found += _altitude_contradictions(f"altitudes_ft.{segment}", value(f"altitudes_ft.{segment}"), problems)
    return found + extra_problems(value)


def _course_contradictions(value: Any) -> list[tuple[str, str]]:
    kind, inbound = value("reversal"), value("course.inbound_deg")
    outbound, side, offset = value("course.outbound_deg"), value("course.turn_side"), value("course.offset_deg")
    if kind is None or value("course") is None:
        return []
    found: list[tuple[str, str]] = []
    if kind == "teardrop":
        if outbound is None:
            found.append(
                (
                    "course.outbound_deg",
                    "course.outbound_deg is missing. Expected a teardrop's outbound course, magnetic",
                )
            )
    elif side is None:
        found.append(("course.turn_side", f'course.turn_side is missing. Expected "left" or "right" for a {kind}'))
    if inbound is None:
        return found
    reciprocal = float(reciprocal_deg(inbound))
    if outbound is not None:
        found += _outbound_contradictions(kind, float(difference_deg(reciprocal, outbound)), reciprocal, outbound, side)
    if kind == "procedure turn" and offset is not None and side is not None:
        to_side = float(difference_deg(reciprocal, offset)) * (1 if side == "right" else -1)
        if not 0.0 < to_side <= _MOST_DIVERGENCE_DEG:
            sign = 1 if side == "right" else -1
            usual, last = (float((reciprocal + sign * angle) % 360.0) for angle in (45.0, _MOST_DIVERGENCE_DEG))
            right = f"{usual:g} for 45 degrees, not beyond {last:g}"
            found.append(
                (
                    "course.offset_deg",
                    f"course.offset_deg = {shown(offset)} does not lie on the {side} of the outbound course "
                    f"{reciprocal:g}. Expected {right}, or the other course.turn_side",
                )
            )
    return found


def _outbound_contradictions(
    kind: str, divergence: float, reciprocal: float, outbound: float, side: str | None
) -> list[tuple[str, str]]:
    key = "course.outbound_deg"
    if kind != "teardrop":
        if abs(divergence) <= _SAME_COURSE_DEG:
            return []
        return [
            (
                key,
                f"{key} = {shown(outbound)} is for a teardrop; a {kind} goes out on {reciprocal:g}, "
                'the reciprocal of course.inbound_deg. Leave it out, or set reversal = "teardrop"',
            )
        ]
    if not _LEAST_DIVERGENCE_DEG <= abs(divergence) <= _MOST_DIVERGENCE_DEG:
        return [
            (
                key,
                f"{key} = {shown(outbound)} makes no teardrop with course.inbound_deg. Expected a course "
                f"1 to 90 degrees to one side of {reciprocal:g}",
            )
        ]
    lies = "right" if divergence > 0 else "left"
    if side is not None and side != lies:
        return [
            (
                "course.turn_side",
                f'course.turn_side = "{side}" contradicts {key} = {shown(outbound)}, which lies on the {lies}, looking '
                f'outbound. Expected "{lies}" or no turn_side',
            )
        ]
    return []


def _altitude_contradictions(key: str, table: Any, problems: Mapping[str, str]) -> list[tuple[str, str]]:
    if not isinstance(table, Mapping) or any(wrong.startswith(key) for wrong in problems):
        return []
    if len(table) != 1:
        both = {"at_or_above", "at_or_below"} == set(table)
        hint = "between = [low, high]" if both else "one of at_or_above, at_or_below, at, between"
        held = " and ".join(table) if table else "nothing"
        return [(key, f"{key} holds {held}. Expected {hint}")]
    limits = table.get("between")
    if limits is not None and limits[0] > limits[1]:
        right = f"[{shown(limits[1])}, {shown(limits[0])}]"
        return [(f"{key}.between", f"{key}.between = {shown(limits)} has the higher altitude first. Expected {right}")]
    return []
