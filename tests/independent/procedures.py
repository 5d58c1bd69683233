"""Invented procedures at one invented place, as files a user would write, and the same facts for the simulator.

Not for navigation. Courses are magnetic in the files; variation is 7 degrees east.
"""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pyproj import Geod

from tests.independent.aircraft import NAUTICAL_MILE, Line
from tests.independent.reversals import Charted

FIX = (46.2, -101.5)
VARIATION_DEG = 7.0
INBOUND_MAGNETIC_DEG = 118.0
INBOUND_DEG = INBOUND_MAGNETIC_DEG + VARIATION_DEG
RUNWAY_NM = 6.5  # from the fix to the threshold
RUNWAY_FT = 1870.0
_WGS84 = Geod(ellps="WGS84")


def place(nm: float, course_deg: float = INBOUND_DEG) -> tuple[float, float]:
    """Latitude and longitude of a place so many miles from the fix along a true course."""
    longitude, latitude, _ = _WGS84.fwd(FIX[1], FIX[0], course_deg, nm * NAUTICAL_MILE)
    return round(latitude, 6), round(longitude, 6)


def _runway() -> dict[str, Any]:
    latitude, longitude = place(RUNWAY_NM)
    return {"ident": "12", "latitude": latitude, "longitude": longitude, "elevation_ft": RUNWAY_FT}


def _station(nm: float) -> dict[str, float]:
    latitude, longitude = place(nm)
    return {"latitude": latitude, "longitude": longitude}


_ALTITUDES: dict[str, Any] = {
    "arrival": {"at_or_above": 5500},
    "reversal": {"at_or_above": 4600},
    "inbound": {"at_or_above": 3700},
    "final": {"at_or_above": 2500},
}
_US = {"criteria": "US", "category": "A"}
_ICAO = {"criteria": "ICAO", "category": "B"}


def _file(reversal: str, guidance: Mapping[str, Any], side: str, limits: Mapping[str, Any],
          protection: Mapping[str, Any], **more: Any) -> dict[str, Any]:  # fmt: skip
    course = {"inbound_deg": INBOUND_MAGNETIC_DEG, "variation_deg": VARIATION_DEG, "turn_side": side}
    fix = {"ident": "HRF", "latitude": FIX[0], "longitude": FIX[1]}
    if "latitude" not in guidance and guidance["kind"] in ("VOR", "NDB"):
        fix["elevation_ft"] = 1900
    return {
        "title": f"{guidance['kind']} 12, Harrow Flats", "reversal": reversal, "fix": fix,
        "course": course | more.get("course", {}), "guidance": dict(guidance), "limits": dict(limits),
        "altitudes_ft": deepcopy(more.get("altitudes", _ALTITUDES)), "protection": dict(protection),
        "runway": _runway(),
    }  # fmt: skip


_LEVEL = {name: {"at_or_above": feet} for name, feet in
          {"arrival": 4600, "reversal": 4600, "inbound": 4600, "final": 2500}.items()}  # fmt: skip
_HELD = {"arrival": {"at_or_above": 4400}, "reversal": {"at": 4600}, "inbound": {"at_or_above": 4400}}
_TEN = {"remain_within_nm": 10}
_MINUTE = {"outbound_min": 1.0}

#: each kind as a file's content
FILES: dict[str, dict[str, Any]] = {
    "us vor turn": _file("procedure turn", {"kind": "VOR"}, "right", _TEN, _US),
    "us localizer turn": _file("procedure turn", {"kind": "localizer"} | _station(RUNWAY_NM + 1.8), "left", _TEN, _US),
    "us ndb turn": _file("procedure turn", {"kind": "NDB"}, "left", _TEN, _US),
    "icao vor turn": _file("procedure turn", {"kind": "VOR"}, "right", {}, _ICAO),
    "icao ndb turn": _file("procedure turn", {"kind": "NDB"}, "left", {}, _ICAO),
    "base turn": _file(
        "teardrop", {"kind": "VOR"}, "right", {"outbound_min": 2.0}, _ICAO, course={"outbound_deg": 316.0}
    ),
    "us teardrop": _file("teardrop", {"kind": "VOR"}, "right", _TEN, _US, course={"outbound_deg": 318.0}),
    "teardrop by distance": _file(
        "teardrop", {"kind": "VOR"}, "right", {"outbound_nm": 6}, _ICAO, course={"outbound_deg": 316.0}
    ),
    "hold in lieu 4 NM": _file(
        "hold in lieu", {"kind": "RNAV"}, "right", {"outbound_nm": 4}, _US | {"category": "B"}, altitudes=_LEVEL
    ),
    "hold in lieu 1 min": _file("hold in lieu", {"kind": "VOR"}, "right", _MINUTE, _US, altitudes=_LEVEL),
    "hold 1 min": _file("holding", {"kind": "VOR"}, "right", _MINUTE, _US, altitudes=_HELD),
    "icao hold 1 min": _file("holding", {"kind": "VOR"}, "right", _MINUTE, _ICAO, altitudes=_HELD),
    "hold 5 NM": _file("holding", {"kind": "VOR"} | _station(15.0), "right", {"outbound_nm": 5}, _US, altitudes=_HELD),
}  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """One procedure: the file's content and what the simulator is told."""

    kind: str
    content: Mapping[str, Any]

    @property
    def charted(self) -> Charted:
        course, guidance = self.content["course"], self.content["guidance"]
        side = 1 if course["turn_side"] == "right" else -1
        outbound = course.get("outbound_deg")
        station: tuple[float, float] | None = (0.0, 0.0)
        if guidance["kind"] == "RNAV":
            station = None
        elif "latitude" in guidance:
            nm = 15.0 if self.kind.startswith("hold 5") else RUNWAY_NM + 1.8
            station = Line(INBOUND_DEG).point(nm)
        inbound_deg = course["inbound_deg"] + course["variation_deg"]
        return Charted(
            inbound_deg, side, None if outbound is None else outbound + course["variation_deg"], station
        )  # fmt: skip

    @property
    def full_scale_deg(self) -> float | None:
        kind = self.content["guidance"]["kind"]
        return {"VOR": 10.0, "NDB": 10.0, "localizer": 2.5}.get(kind)

    def limit_ft(self, segment: str) -> float:
        """Lowest altitude of a segment."""
        limit = self.content["altitudes_ft"][segment]
        return float(limit.get("at_or_above", limit.get("at", 0.0)))


def asked(kind: str, **changes: Any) -> Asked:
    """Return a procedure with some of its keys changed: `asked("us vor turn", limits={"remain_within_nm": 8})`.

    A value None takes a key away; a whole table None takes the table away.
    """
    content = deepcopy(FILES[kind])
    for table, values in changes.items():
        if not isinstance(values, Mapping):
            if values is None:
                content.pop(table, None)
            else:
                content[table] = values
            continue
        content.setdefault(table, {}).update(values)
        content[table] = {key: value for key, value in content[table].items() if value is not None}
    return Asked(kind, content)


def write_toml(path: Path, content: Mapping[str, Any]) -> Path:
    """Write a procedure or clearance file and return its path."""
    lines = [f"{key} = {_value(value)}" for key, value in content.items() if not isinstance(value, Mapping)]
    for table, values in content.items():
        if isinstance(values, Mapping):
            lines.append(f"\n[{table}]")
            lines += [f"{key} = {_value(value)}" for key, value in values.items()]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value(one)}" for key, one in value.items()) + " }"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_value(one) for one in value) + "]"
    return str(value).lower() if isinstance(value, bool) else repr(value)
