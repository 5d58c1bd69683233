"""Sets of tolerances: what counts as to standard, each line with its document, paragraph and status."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Any

from analyzer.errors import ToleranceFileError
from analyzer.files import parsed_toml, read_small_text
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT, did_you_mean, visible

#: every line a set must have: its dotted key, and what it means in words for the report
LINES: Mapping[str, str] = MappingProxyType(
    {
        "holding.altitude_ft": "altitude in a hold, either way",
        "holding.speed_kt": "indicated airspeed in a hold, either way",
        "holding.heading_deg": "heading in a hold, either way",
        "holding.deflection": "needle on the inbound leg of a hold, parts of full scale",
        "tracking.heading_deg": "heading while intercepting and tracking, either way",
        "tracking.deflection": "needle while tracking, parts of full scale",
        "tracking.arc_nm": "distance off the radius of an arc",
        "tracking.near_station_nm": "off the course within 1 NM or 30 s of the station, and in its cone",
        "before_final.altitude_ft": "altitude before the final segment, either way",
        "before_final.speed_kt": "indicated airspeed before the final segment, either way",
        "before_final.heading_deg": "heading before the final segment, either way",
        "before_final.deflection": "needle before the final segment, parts of full scale",
        "final.minimum_descent_below_ft": "below the minimum descent altitude",
        "final.critical_below_ft": "below the minimum descent altitude from which it is a critical fault",
        "assigned.critical_altitude_ft": "off an altitude to be held over which it is a critical fault",
        "intercept.established_doubt_s": "how well the moment of being established is known",
        "intercept.low_angle_deg": "smallest intercept angle",
        "intercept.high_angle_deg": "largest intercept angle",
        "intercept.overshoot_deflection": "overshoot of the inbound course, parts of full scale",
        "intercept.overshoot_nm": "overshoot where the needle's scale is not known there",
        "intercept.crossings": "crossings of the inbound course",
        "intercept.turn_onto_course_s": "turn onto the course too early or too late",
        "timing.leg_s": "timed leg, either way of what the wind asks for",
        "timing.leg_share": "leg of a hold or base turn, either way, as a share of its time",
        "timing.leg_major_share": "leg of a hold or base turn, share of its time over it that is a major fault",
        "timing.leg_over_nm": "leg that is charted by distance, beyond its end",
        "timing.leg_major_over_nm": "leg that is charted by distance, beyond its end that is a major fault",
        "timing.leave_s": "time over the fix when leaving a hold, either way of the one cleared",
        "timing.inbound_leg_s": "inbound leg of a hold, either way of its time",
        "timing.lap_drift_nm": "drift of a hold's turning point over all laps",
        "turns.bank_deg": "largest bank held for 3 s in a turn",
        "turns.major_bank_deg": "bank held for 3 s from which it is a major fault",
        "turns.critical_bank_deg": "bank held for 3 s from which it is a critical fault",
        "turns.slow_rate_share": "slowest mean rate of turn, as a share of the rate asked for",
        "turns.fast_rate_share": "fastest mean rate of turn, as a share of the rate asked for",
        "wind.smallest_correction_deg": "wind correction asked for from which its lack is judged",
        "wind.correction_share": "smallest share of the correction asked for that counts as one",
        "entry.sector_rule_binding": "1: the sector rule's entry is binding; 0: another is fine inside the area",
    }
)
_LARGEST = {"deflection": 1.0, "share": 3.0, "binding": 1.0, "deg": 180.0, "nm": 10.0, "kt": 100.0, "ft": 1000.0}
_SI = {"ft": METRES_PER_FOOT, "kt": MPS_PER_KNOT, "nm": METRES_PER_NM}
_SETS = {
    "us practical test": "us_practical_test.toml",
    "european skill test": "european_skill_test.toml",
    "training stage 1": "training_stage_1.toml",
    "training stage 2": "training_stage_2.toml",
    "training stage 3": "training_stage_3.toml",
}
SET_NAMES = ("US practical test", "European skill test", "training stage 1", "training stage 2", "training stage 3")
STATUSES = ("read", "second hand", "from memory", "calculated", "common practice", "own choice")
_LINE_KEYS = ("value", "document", "edition", "paragraph", "status", "note")


@dataclass(frozen=True)
class ToleranceLine:
    """One tolerance in the unit its key names, with where it comes from."""

    key: str
    value: float
    document: str
    edition: str
    paragraph: str
    status: str
    note: str = ""

    @property
    def meaning(self) -> str:
        """What the line limits, in words."""
        return LINES[self.key]

    @property
    def reference(self) -> str:
        """Document and paragraph as findings name them."""
        return f"{self.document} {self.paragraph}".strip()


@dataclass(frozen=True)
class Tolerances:
    """One set: `lines` holds every key of `LINES`."""

    title: str
    note: str
    lines: Mapping[str, ToleranceLine] = field(default_factory=dict)
    source: str = ""

    def __post_init__(self) -> None:
        missing = [key for key in LINES if key not in self.lines]
        if missing:
            raise ValueError(f"tolerance set {self.title!r} lacks {', '.join(missing)}")
        object.__setattr__(self, "lines", MappingProxyType(dict(self.lines)))

    def value(self, key: str) -> float:
        """Return the line's value in the unit its key names."""
        return self.lines[key].value

    def si(self, key: str) -> float:
        """Return the value in metres, metres per second, seconds, degrees or parts, as fits the key's unit."""
        return self.lines[key].value * _SI.get(key.rsplit("_", 1)[-1], 1.0)

    def reference(self, key: str) -> str:
        """Return document and paragraph of the line."""
        return self.lines[key].reference


def load_tolerances(name_or_path: str | Path = "US practical test") -> Tolerances:
    """Return a set of the package by its name, or the user's own from a TOML file.

    Parameters
    ----------
    name_or_path : str or Path
        One of `SET_NAMES` (case, hyphens and underscores ignored), or the path of a file. A file names a set of the
        package in `based_on` (default: the US practical test) and changes lines of it: as a plain number
        (`leg_s = 15`) or as a table with value, document, edition, paragraph, status, note.

    Raises
    ------
    ToleranceFileError
        One line: file, key, what is wrong, what would be right.
    """
    name = _plain(str(name_or_path))
    if name in _SETS:
        return _load_text(_package_text(_SETS[name]), SET_NAMES[list(_SETS).index(name)], own=False)
    path = Path(name_or_path)
    if not path.is_file():
        raise ToleranceFileError(
            f"{printable(name_or_path)}: no set of tolerances and no file has this name."
            f"{did_you_mean(name, _SETS)} Sets: {', '.join(SET_NAMES)}."
        )
    try:
        text = read_small_text(path)
    except (OSError, ValueError) as error:  # bytes that are not UTF-8, a path with a zero byte
        raise ToleranceFileError(printable(f"{path}: can't be read as UTF-8 text ({error}).", 400)) from error
    return _load_text(text, printable(path), own=True)


def _plain(name: str) -> str:
    return " ".join(name.replace("-", " ").replace("_", " ").lower().split())


def _package_text(file_name: str) -> str:
    return resources.files("analyzer.standards").joinpath("tolerance_sets", file_name).read_text(encoding="utf-8")


def printable(text: object, longest: int = 200) -> str:
    """Return text from outside fit for a one-line message: nothing that is not printable, not too long."""
    plain = "".join(letter if letter.isprintable() else "?" for letter in str(text))
    return plain if len(plain) <= longest else f"{plain[: longest - 1]}…"


def _load_text(text: str, source: str, *, own: bool) -> Tolerances:
    try:
        content = parsed_toml(text)
    except ValueError as error:
        raise ToleranceFileError(printable(f"{source}: not valid TOML: {error}.", 400)) from error
    tasks = sorted({key.split(".")[0] for key in LINES})
    for key in content:
        if key not in ("title", "note", "based_on", *tasks):
            known = ["title", "note", "based_on", *tasks]
            raise ToleranceFileError(
                f'{source}: unknown key "{printable(key, 40)}".{did_you_mean(key, known)} Known: {", ".join(known)}.'
            )
    lines: dict[str, ToleranceLine] = {}
    based_on = content.get("based_on", "US practical test" if own else None)
    if based_on is not None:
        if not isinstance(based_on, str) or _plain(based_on) not in _SETS:
            raise ToleranceFileError(
                f"{source}: based_on: {printable(repr(based_on), 60)} is not a set of the package. "
                f"Sets: {', '.join(SET_NAMES)}."
            )
        lines.update(load_tolerances(based_on).lines)
    for task in tasks:
        lines.update(_task_lines(content.get(task, {}), task, source, own=own))
    if lines["intercept.low_angle_deg"].value >= lines["intercept.high_angle_deg"].value:
        raise ToleranceFileError(f"{source}: intercept.low_angle_deg: must be smaller than intercept.high_angle_deg.")
    return Tolerances(
        title=_text(content, "title", source, Path(source).stem),
        note=_text(content, "note", source, ""),
        lines=lines,
        source=source,
    )


def _task_lines(table: Any, task: str, source: str, *, own: bool) -> dict[str, ToleranceLine]:
    if not isinstance(table, dict):
        raise ToleranceFileError(f"{source}: {task}: expected a table of tolerances, as [{task}].")
    names = [key.split(".")[1] for key in LINES if key.startswith(f"{task}.")]
    lines = {}
    for name, given in table.items():
        if name not in names:
            raise ToleranceFileError(
                f'{source}: {task}: unknown key "{printable(name, 40)}".{did_you_mean(name, names)} '
                f"Known: {', '.join(names)}."
            )
        key = f"{task}.{name}"
        entry = given if isinstance(given, dict) else {"value": given}
        for word in entry:
            if word not in _LINE_KEYS:
                raise ToleranceFileError(
                    f'{source}: {key}: unknown key "{printable(word, 40)}".{did_you_mean(word, list(_LINE_KEYS))} '
                    f"Known: {', '.join(_LINE_KEYS)}."
                )
        status = _text(entry, "status", f"{source}: {key}", "own choice" if own else "")
        if status not in STATUSES:
            raise ToleranceFileError(
                f"{source}: {key}: status {printable(repr(status), 60)} is not one of {', '.join(STATUSES)}."
            )
        lines[key] = ToleranceLine(
            key,
            _number(entry.get("value"), key, source),
            _text(entry, "document", f"{source}: {key}", f"own tolerances {Path(source).name}" if own else ""),
            _text(entry, "edition", f"{source}: {key}", ""),
            _text(entry, "paragraph", f"{source}: {key}", ""),
            status,
            _text(entry, "note", f"{source}: {key}", ""),
        )
    return lines


def _number(value: Any, key: str, source: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ToleranceFileError(f"{source}: {key}: {printable(repr(value), 60)} is not a number.")
    largest = _LARGEST.get(key.rsplit("_", 1)[-1], _LARGEST.get(key.rsplit(".", 1)[-1], 120.0))
    if not 0.0 <= value <= largest:
        raise ToleranceFileError(f"{source}: {key}: {value} is not between 0 and {largest:g}.")
    return float(value)


def _text(table: Mapping[str, Any], key: str, source: str, default: str) -> str:
    value = table.get(key, default)
    if not isinstance(value, str):
        raise ToleranceFileError(f"{source}: {key}: {printable(repr(value), 60)} is not text.")
    return visible(value)
