"""Coded approaches as a user asks for them: a list, a procedure file, a procedure."""

import json
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

from analyzer.errors import CodedProcedureError
from analyzer.given import Procedure
from analyzer.reading.coded.coded_file import CodedFile
from analyzer.reading.coded.cycle import Cycle
from analyzer.reading.coded.interpretation import CodedReversal, reversals_of_airport
from analyzer.reading.coded.stored_index import open_coded_file
from analyzer.reading.procedure_file.read import procedure_from_mapping
from analyzer.units import likely_words

_TABLES = ("fix", "course", "guidance", "limits", "altitudes_ft", "final_fix", "missed_approach", "runway")
#: a course reversal is asked for more often than the hold of a missed approach, so it is looked for first
_PREFERRED = ("PI", "HF", "HA", "HM")


def procedures(path: str | Path, airport: str) -> tuple[CodedReversal, ...]:
    """Return the course reversals and holds of an airport's coded approaches.

    Parameters
    ----------
    path : str or Path
        File of ARINC 424 records, supplement 18; its index is made beside it the first time.
    airport : str
        Identifier, in any case; "XYZ" also finds "KXYZ".

    Raises
    ------
    CodedProcedureError
        One line: no such file, no ARINC 424 records, no such airport.
    """
    file = open_coded_file(path)
    return tuple(reversals_of_airport(file, _airport(file, airport)))


def coded_reversal(path: str | Path, airport: str, approach: str, transition: str | None = None) -> CodedReversal:
    """Return one reversal of a coded approach.

    Parameters
    ----------
    approach : str
        As coded ("S07", "VOR-A") or as spoken ("VOR 07"), in any case.
    transition : str, optional
        Identifier of a transition, or "missed approach"; needed where several transitions lead to different reversals.

    Raises
    ------
    CodedProcedureError
        One line: nothing fits, several do, or the records don't give a procedure.
    """
    found = procedures(path, airport)
    place = found[0].airport if found else airport.upper()
    of_approach = [entry for entry in found if _same(approach, entry.approach, entry.name)]
    if not of_approach:
        spoken = {
            entry.approach: entry.approach + ("" if entry.name == entry.approach else f" ({entry.name})")
            for entry in found
        }
        alike = [spoken[key] for key in sorted(spoken) if _folded(approach) in _folded(spoken[key])]
        hint = f"Did you mean {' or '.join(alike[:6])}?" if alike else _likely(approach.upper(), sorted(spoken))
        raise CodedProcedureError(f'{path}: {place} has no approach "{approach}" with a reversal or hold. {hint}')
    if transition is not None:
        fitting = [entry for entry in of_approach if _same(transition, entry.transition)]
        if not fitting:
            names = sorted({entry.transition for entry in of_approach})
            raise CodedProcedureError(
                f'{path}: approach {of_approach[0].approach} of {place} has no transition "{transition}" with a '
                f"reversal. {_likely(transition.upper(), names)}"
            )
    else:
        first = min(_PREFERRED.index(entry.path) for entry in of_approach)
        fitting = [entry for entry in of_approach if entry.path == _PREFERRED[first]]
    return _only(fitting, path)


def procedure_file_from_coded(path: str | Path, airport: str, approach: str, transition: str | None = None) -> str:
    """Return the text of a procedure file (TOML) for one reversal of a coded approach.

    Raises
    ------
    CodedProcedureError
        As `coded_reversal`.
    """
    reversal = coded_reversal(path, airport, approach, transition)
    assert reversal.mapping is not None
    # what stands in the file has been read back once: a file that the program then refuses helps nobody
    procedure_from_mapping(reversal.mapping, str(path))
    return _toml(reversal, open_coded_file(path).cycle)


def coded_procedure(
    path: str | Path, airport: str, approach: str, transition: str | None = None, track_start: datetime | None = None
) -> Procedure:
    """Return the procedure of one reversal of a coded approach; its notes name the cycle and what is not coded.

    Parameters
    ----------
    track_start : datetime, optional
        First moment of the flight: the notes say whether the cycle was in force, and how the station's variation
        differs from the magnetic model's.

    Raises
    ------
    CodedProcedureError
        As `coded_reversal`.
    """
    from dataclasses import replace

    reversal = coded_reversal(path, airport, approach, transition)
    assert reversal.mapping is not None
    source = f"{path}: {reversal.airport} {reversal.approach} {reversal.transition}".rstrip()
    procedure = procedure_from_mapping(reversal.mapping, source, track_start)
    day = None if track_start is None else track_start.date()
    return replace(
        procedure, notes=(*procedure.notes, _cycle_words(open_coded_file(path).cycle, day), *reversal.remarks)
    )


def _only(fitting: list[CodedReversal], path: str | Path) -> CodedReversal:
    usable = [entry for entry in fitting if entry.mapping is not None]
    if not usable:
        entry = fitting[0]
        raise CodedProcedureError(
            f"{path}: {entry.airport} {entry.approach} {entry.transition}: {entry.refusal}. "
            "Write a procedure file from the chart"
        )
    different: dict[str, CodedReversal] = {}
    for entry in usable:
        assert entry.mapping is not None
        different.setdefault(json.dumps(_without_arrival(entry.mapping), sort_keys=True), entry)
    if len(different) > 1:
        names = ", ".join(entry.transition for entry in different.values())
        entry = usable[0]
        raise CodedProcedureError(
            f"{path}: approach {entry.approach} of {entry.airport} has several reversals. "
            f"Name one with --transition: {names}"
        )
    return usable[0]


def _without_arrival(mapping: Mapping[str, Any]) -> dict[str, Any]:
    # transitions that reach one reversal at different altitudes are one reversal
    altitudes = {key: value for key, value in mapping.get("altitudes_ft", {}).items() if key != "arrival"}
    return {**mapping, "altitudes_ft": altitudes}


def _airport(file: CodedFile, airport: str) -> str:
    wanted = airport.strip().upper()
    for ident in (wanted, "K" + wanted):
        if ident in file.airports:
            return ident
    raise CodedProcedureError(f'{file.path}: has no airport "{airport}". {_likely(wanted, sorted(file.airports))}')


def _same(wanted: str, *names: str) -> bool:
    return any(_folded(wanted) == _folded(name) for name in names)


def _alike_from_the_start(one: str, other: str) -> int:
    return next(
        (count for count, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other))
    )


def _folded(name: str) -> str:
    return "".join(name.upper().split())


def _likely(wanted: str, names: list[str]) -> str:
    close = likely_words(wanted, names, 50)
    if close:
        # of names that are as close as each other, those that begin alike are likelier
        close.sort(key=lambda name: -_alike_from_the_start(wanted, name))
        return f"Did you mean {' or '.join(close[:3])}?"
    return f"It has {', '.join(name or 'none' for name in names[:12])}" if names else "It has none"


def _cycle_words(cycle: Cycle | None, day: date | None) -> str:
    return cycle.note(day) if cycle is not None else "The coded file does not say which cycle it is of."


def _toml(reversal: CodedReversal, cycle: Cycle | None) -> str:
    mapping = reversal.mapping
    assert mapping is not None
    via = f", transition {reversal.transition}" if reversal.transition else ""
    lines = [
        f"# {reversal.airport} {reversal.name}{via}, from coded records.",
        f"# {_cycle_words(cycle, None)}",
        "# For training debriefs only, not for navigation: check every value against the chart.",
    ]
    lines += [f"# {remark}" for remark in reversal.remarks]
    lines += ["", f"title = {_value(mapping['title'])}", f"reversal = {_value(mapping['reversal'])}"]
    if "no_reversal_from" in mapping:
        lines.append(f"no_reversal_from = {_value(mapping['no_reversal_from'])}")
    for table in _TABLES:
        keys = mapping.get(table)
        if keys:
            lines += ["", f"[{table}]", *(f"{key} = {_value(value)}" for key, value in keys.items())]
            if table == "altitudes_ft":
                lines.append("# final = { at_or_above = ... }")
    for step in mapping.get("step", ()):
        lines += ["", "[[step]]", *(f"{key} = {_value(value)}" for key, value in step.items())]
    if cycle is not None:
        lines += ["", "[source]", f"name = {_value(f'coded cycle {cycle.code}')}"]
        lines += [f"in_force_from = {cycle.first_day}", f"in_force_until = {cycle.next_day}"]
    return "\n".join(lines) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return f"{value:.1f}"
    return json.dumps(value, ensure_ascii=False)
