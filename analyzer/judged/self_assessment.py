"""The pilot's own view before looking: the sheet, its file, and both views side by side."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeVar, get_args

from analyzer.errors import ToleranceFileError
from analyzer.files import parsed_toml, read_small_text
from analyzer.given import Procedure
from analyzer.judged.findings import CODES, Judgement
from analyzer.standards import printable
from analyzer.units import METRES_PER_NM, did_you_mean, visible

#: learner-centred grades of a manoeuvre, Aviation Instructor's Handbook FAA-H-8083-9 (status: from memory)
Grade = Literal["describe", "explain", "practice", "perform", "not observed"]
GRADES: tuple[Grade, ...] = get_args(Grade)
GRADES_REFERENCE = "FAA-H-8083-9, learner-centred grades (from memory)"
GRADE_MEANINGS: Mapping[Grade, str] = {
    "describe": "I can say what is done, not yet why.",
    "explain": "I can say what is done and why, and fly it only with much help.",
    "practice": "I can fly it; somebody else has to point out errors.",
    "perform": "I can fly it alone, and notice and correct my own errors in time.",
    "not observed": "It did not come up.",
}
Item = Literal["protection", "side and entry", "altitude", "wind", "timing", "turns", "intercept", "speed"]
ITEMS: tuple[Item, ...] = get_args(Item)
LONGEST_REMARK = 500
Word = TypeVar("Word", bound=str)
_SUBJECTS: Mapping[Item, tuple[str, ...]] = {
    "protection": ("left-distance-limit", "left-primary-area", "left-secondary-area", "containment-too-close"),
    "side and entry": (
        "turned-on-unprotected-side",
        "wrong-entry",
        "outbound-course-not-tracked",
        "reversal-not-permitted",
        "reversal-missing",
    ),
    "wind": ("no-wind-correction", "wind-correction-wrong-way", "heading-off", "laps-drift"),
    "altitude": (),
    "timing": ("inbound-leg-short", "inbound-leg-long"),
    "turns": (),
    "intercept": (),
    "speed": (),
}


@dataclass(frozen=True)
class SelfAssessment:
    """The pilot's grades and remarks by item; items left out were not rated."""

    grades: Mapping[Item, Grade]
    remarks: Mapping[Item, str]
    source: str = ""


@dataclass(frozen=True)
class ComparedItem:
    """One item in both views: the pilot's grade, what the flight log shows, and how they meet."""

    item: Item
    own: Grade | None
    remark: str
    shown: Grade
    codes: tuple[str, ...]
    meeting: Literal["the same", "rated higher than shown", "rated lower than shown", "not rated", "not shown"]


def sheet(procedure: Procedure) -> tuple[tuple[Item, str], ...]:
    """Return the items with the question that each asks about this procedure, for printing."""
    limit = "" if procedure.remain_within_m is None else f" and within {procedure.remain_within_m / METRES_PER_NM:g} NM"
    side = f"with {procedure.turn_side} turns" if procedure.is_hold else f"on the {procedure.turn_side} side"
    entry = " with the right entry" if procedure.is_hold else ""
    leg = "" if procedure.outbound_s is None else f" of {procedure.outbound_s:g} s in still air"
    return (
        ("protection", f"Did I stay inside the protected area{limit}?"),
        ("side and entry", f"Did I fly the {procedure.reversal} {side}{entry}?"),
        ("altitude", "Did I keep every minimum, and descend only when allowed?"),
        ("wind", "Did I know the wind and correct for it, outbound too?"),
        ("timing", f"Was the timed leg{leg} right for the wind?"),
        ("turns", "Were my turns at 3° a second and never over 30° of bank?"),
        ("intercept", "Did I take up the inbound course at once and keep the needle inside half scale?"),
        ("speed", "Was I slow enough in time, and did I hold the speed?"),
    )


def compare(own: SelfAssessment, judgement: Judgement) -> tuple[ComparedItem, ...]:
    """Return both views of every item, side by side.

    Notes
    -----
    A flight log shows whether something was flown to standard, not what the pilot understands: it gives "perform"
    where an item has no critical or major finding, "practice" where it has one, "not observed" where the item was
    not assessed.
    """
    rows = []
    for item in ITEMS:
        codes = tuple(finding.code for finding in judgement.findings if _item_of(finding.code) == item)
        failed = any(f.severity in ("critical", "major") for f in judgement.findings if _item_of(f.code) == item)
        shown: Grade = "practice" if failed else "perform" if _assessed(item, judgement) else "not observed"
        grade = own.grades.get(item)
        rows.append(ComparedItem(item, grade, own.remarks.get(item, ""), shown, codes, _meeting(grade, shown)))
    return tuple(rows)


def _item_of(code: str) -> Item:
    for item, codes in _SUBJECTS.items():
        if code in codes:
            return item
    subject = CODES[code].subject
    return subject if subject in ITEMS else "timing"


def _assessed(item: Item, judgement: Judgement) -> bool:
    verdicts: Mapping[Item, bool] = {
        "protection": judgement.containment != "not assessed",
        "altitude": any(verdict != "not assessed" for verdict in judgement.altitudes),
        "intercept": judgement.intercept != "not assessed",
        "timing": judgement.timing != "not assessed",
        "speed": judgement.speed != "not assessed",
        "wind": not any(text.startswith("Wind correction") for text in judgement.not_assessed),
    }
    return verdicts.get(item, True)


def _meeting(
    own: Grade | None, shown: Grade
) -> Literal["the same", "rated higher than shown", "rated lower than shown", "not rated", "not shown"]:
    if own is None or own == "not observed":
        return "not rated"
    if shown == "not observed":
        return "not shown"
    order = GRADES.index
    if shown == "perform":
        return "the same" if own == "perform" else "rated lower than shown"
    return "rated higher than shown" if order(own) > order("practice") else "the same"


def read_self_assessment(path: str | Path) -> SelfAssessment:
    """Return a sheet from a TOML or CSV file.

    TOML: a table `[grades]` of item to grade and, if wanted, a table `[remarks]`. CSV: a header line with item, grade
    and, if wanted, remark. Hyphens and underscores in items count as spaces.

    Raises
    ------
    ToleranceFileError
        One line: file, place, what is wrong, what would be right.
    """
    path = Path(path)
    try:
        text = read_small_text(path)
    except (OSError, ValueError) as error:  # bytes that are not UTF-8, a path with a zero byte
        raise ToleranceFileError(printable(f"{path}: can't be read as UTF-8 text ({error}).", 400)) from error
    source = printable(path)
    grades: dict[Item, Grade] = {}
    remarks: dict[Item, str] = {}
    rows = _csv_rows(text, source) if path.suffix.lower() == ".csv" else _toml_rows(text, source)
    for place, item_text, grade_text, remark in rows:
        item = _one_of(item_text, ITEMS, "item", place)
        if grade_text is not None:
            if item in grades:
                raise ToleranceFileError(f'{place}: item "{item}" is rated twice; once is right.')
            grades[item] = _one_of(grade_text, GRADES, "grade", place)
        if remark:
            remarks[item] = visible(remark[:LONGEST_REMARK])
    if not grades:
        raise ToleranceFileError(f"{source}: no item is rated. Items: {', '.join(ITEMS)}.")
    return SelfAssessment(grades, remarks, str(path))


def _one_of(text: str, words: tuple[Word, ...], kind: str, place: str) -> Word:
    plain = " ".join(text.replace("-", " ").replace("_", " ").lower().split())
    for word in words:
        if plain == word:
            return word
    likely = did_you_mean(plain, words, 0.5)
    raise ToleranceFileError(
        f'{place}: "{printable(text, 40)}" is not a known {kind}.{likely} Known: {", ".join(words)}.'
    )


def _toml_rows(text: str, source: str) -> list[tuple[str, str, str | None, str]]:
    try:
        content = parsed_toml(text)
    except ValueError as error:
        raise ToleranceFileError(printable(f"{source}: not valid TOML: {error}.", 400)) from error
    rows: list[tuple[str, str, str | None, str]] = []
    for key, table in content.items():
        name = _one_of(key, ("grades", "remarks"), "table", source)
        if not isinstance(table, dict):
            raise ToleranceFileError(f"{source}: {name}: expected a table, as [{name}].")
        for item, value in table.items():
            if not isinstance(value, str):
                raise ToleranceFileError(
                    f"{source}: {name}.{printable(item, 40)}: {printable(repr(value), 60)} is not text."
                )
            place = f"{source}: {name}.{printable(item, 40)}"
            rows.append((place, item, value, "") if name == "grades" else (place, item, None, value))
    return rows


def _csv_rows(text: str, source: str) -> list[tuple[str, str, str | None, str]]:
    rows: list[tuple[str, str, str | None, str]] = []
    reader = csv.DictReader(text.splitlines())
    try:
        names = {(name or "").strip().lower(): name for name in reader.fieldnames or []}
        for column in ("item", "grade"):
            if column not in names:
                raise ToleranceFileError(f"{source}: line 1: no column {column}. Expected item, grade, remark.")
        for row in reader:
            place = f"{source}: line {reader.line_num}"
            item, grade = (row.get(names[key]) or "" for key in ("item", "grade"))
            if not item.strip() and not grade.strip():
                continue
            remark = row.get(names["remark"]) or "" if "remark" in names else ""
            rows.append((place, item, grade, remark.strip()))
    except csv.Error as error:
        raise ToleranceFileError(printable(f"{source}: line {reader.line_num}: not a table: {error}.")) from error
    return rows
