"""Procedure values from a checked mapping: SI, courses true, defaults filled in and recorded."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, cast

from analyzer.given import (
    ALTITUDE_SEGMENTS,
    AltitudeLimit,
    AltitudeRule,
    AltitudeSegment,
    Guidance,
    Place,
    Procedure,
    Side,
    course_and_distance,
)
from analyzer.reading.procedure_file.by_category import DEFAULT_CATEGORY
from analyzer.reading.procedure_file.extra_values import extra_values
from analyzer.reading.procedure_file.plausibility import doubtful, doubtful_values
from analyzer.standards import declination, figure as published, speed_limit
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT, difference_deg, reciprocal_deg, wrap_360

DEFAULT_CRITERIA = "US"
HOLDS = ("hold in lieu", "holding")
#: a station nearer to the fix than this is the fix: coordinates on charts are rounded to hundredths of a minute or so
_SAME_PLACE_M = 60.0
#: a charted variation further from the magnetic model than this is worth a note: own choice, stations are aligned
#: anew after a few degrees only
_VARIATION_TOLERANCE_DEG = 2.0
#: further than this no station in use is out of line: own choice
_LARGEST_VARIATION_ERROR_DEG = 6.0
#: of the altitude rules: key in the file, rule, whether it bounds from below, from above
_RULES: tuple[tuple[str, AltitudeRule, bool, bool], ...] = (
    ("at_or_above", "at or above", True, False),
    ("at_or_below", "at or below", False, True),
    ("at", "at", True, True),
)


class _Keys:
    """Looks up dotted keys and remembers which were left out."""

    def __init__(self, mapping: Mapping[str, Any]) -> None:
        self._mapping = mapping
        self.defaults: set[str] = set()

    def given(self, key: str) -> Any:
        table, _, name = key.rpartition(".")
        return self._mapping.get(table, {}).get(name) if table else self._mapping.get(name)

    def number(self, key: str) -> float | None:
        value = self.given(key)
        return None if value is None else float(value)

    def or_default(self, key: str, default: Any) -> Any:
        value = self.given(key)
        if value is None:
            if default is not None:
                self.defaults.add(key)
            return default
        return value


def build_procedure(mapping: Mapping[str, Any], source: str | None, track_start: datetime | None) -> Procedure:
    """Return the procedure of a mapping that `find_problems` found none in.

    Raises
    ------
    ValueError
        Where "WMM" is asked for and no date, or none the model covers, is known.
    """
    keys = _Keys(mapping)
    kind = keys.given("reversal")
    is_hold = kind in HOLDS
    criteria = keys.or_default("protection.criteria", DEFAULT_CRITERIA)
    category = keys.or_default("protection.category", DEFAULT_CATEGORY)
    fix = Place(
        float(keys.given("fix.latitude")),
        float(keys.given("fix.longitude")),
        keys.given("fix.ident"),
        _metres(keys.number("fix.elevation_ft"), METRES_PER_FOOT),
    )
    variation, variation_note, variation_doubt = _variation(keys, fix, track_start)
    inbound = float(wrap_360(keys.given("course.inbound_deg") + variation))
    outbound, turn_side = _outbound_and_side(keys, kind, inbound, variation)
    offset = keys.number("course.offset_deg")
    if offset is None:
        angle = published("offset_angle.45").value
        right_of_outbound = (turn_side == "right") != is_hold  # a hold's turn side is the direction of its turns
        offset_true = float(wrap_360(outbound + (angle if right_of_outbound else -angle)))
        if kind == "procedure turn":
            keys.defaults.add("course.offset_deg")
    else:
        offset_true = float(wrap_360(offset + variation))
    altitudes = _altitudes(mapping.get("altitudes_ft", {}))
    altitude_ft = _design_altitude_ft(altitudes, fix)
    outbound_s, outbound_m = _leg(keys, kind, criteria, category, altitude_ft)
    max_ias_kt = keys.number("limits.max_ias_kt")
    if max_ias_kt is None:
        limit = speed_limit(criteria, category, is_hold, altitude_ft)
        max_ias_kt = keys.or_default("limits.max_ias_kt", limit.value if limit else None)
    guidance = _guidance(keys, fix)
    procedure = Procedure(
        title=keys.given("title"),
        reversal=kind,
        fix=fix,
        inbound_true_deg=inbound,
        variation_deg=variation,
        variation_source="WMM" if keys.given("course.variation_deg") == "WMM" else "file",
        turn_side=turn_side,
        outbound_true_deg=outbound,
        offset_true_deg=offset_true,
        guidance=guidance,
        remain_within_m=_metres(keys.number("limits.remain_within_nm"), METRES_PER_NM),
        outbound_s=outbound_s,
        outbound_m=outbound_m,
        timing_from=keys.or_default("limits.timing_from", "wings level" if criteria == "US" else "turn start"),
        max_ias_mps=_metres(max_ias_kt, MPS_PER_KNOT),
        altitudes=altitudes,
        criteria=criteria,
        category=category,
        runway=_runway(keys) if "runway" in mapping else None,
        defaults=frozenset(keys.defaults),
        source=source,
        notes=tuple(note for note in (variation_note, _source_note(keys, track_start)) if note),
        **extra_values(mapping, fix, guidance.station, variation),
    )
    variation_doubts = (doubtful(variation_doubt),) if variation_doubt else ()
    return replace(procedure, doubts=variation_doubts + doubtful_values(procedure))


def _metres(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _variation(keys: _Keys, fix: Place, track_start: datetime | None) -> tuple[float, str, str]:
    """Return degrees east, a note for the report, and a doubt for its first screen; the last two may be empty."""
    given = keys.given("course.variation_deg")
    if given != "WMM":
        text, is_doubt = _disagreement(float(given), fix, track_start)
        return (float(given), "", text) if is_doubt else (float(given), text, "")
    if track_start is None:
        raise ValueError(
            'course.variation_deg = "WMM" needs the date of the flight, and the track has none. '
            "Give degrees, east positive and west negative"
        )
    try:
        found = declination(fix.latitude_deg, fix.longitude_deg, fix.elevation_m or 0.0, track_start)
    except ValueError as error:
        raise ValueError(
            f'course.variation_deg = "WMM": {error}. Give degrees, east positive and west negative'
        ) from error
    note = (
        f"Variation {_east_west(found.degrees)} (1 sigma {found.sigma_deg:.1f}°) from {found.model} "
        f"on {track_start:%Y-%m-%d}. {found.note}"
    )
    return found.degrees, note.strip(), ""


def _disagreement(variation_deg: float, fix: Place, track_start: datetime | None) -> tuple[str, bool]:
    """Return a sentence where a charted variation is far from the model's, and whether it is likely to be wrong."""
    if track_start is None:
        return "", False
    try:
        found = declination(fix.latitude_deg, fix.longitude_deg, fix.elevation_m or 0.0, track_start)
    except ValueError:
        return "", False
    apart_deg = abs(float(difference_deg(found.degrees, variation_deg)))
    if apart_deg <= _VARIATION_TOLERANCE_DEG:
        return "", False
    both = (
        f"The variation of the procedure, {_east_west(variation_deg)}, and that of {found.model} on "
        f"{track_start:%Y-%m-%d}, {_east_west(found.degrees)}, are"
    )
    if abs(float(difference_deg(found.degrees, -variation_deg))) <= _VARIATION_TOLERANCE_DEG:
        return f"{both} {apart_deg:.0f}° apart: is its sign right? East is positive, west is negative.", True
    if apart_deg > _LARGEST_VARIATION_ERROR_DEG:
        return f"{both} {apart_deg:.0f}° apart: check it, and the position of the fix.", True
    apart = f"more than {_VARIATION_TOLERANCE_DEG:g}° apart"
    return f"{both} {apart}: compasses and stations may disagree by as much.", False


def _source_note(keys: _Keys, track_start: datetime | None) -> str:
    """Return a sentence on the file's source and whether it was in force on the day of the flight."""
    name, first, after = (keys.given(f"source.{key}") for key in ("name", "in_force_from", "in_force_until"))
    if name is None and first is None and after is None:
        return ""
    force = " ".join(f"{word} {day}" for word, day in (("from", first), ("until", after)) if day is not None)
    said = f"Source of the procedure: {name or 'not named'}" + (f", in force {force}" if force else "")
    day = None if track_start is None else track_start.date()
    if day is None or ((first is None or day >= first) and (after is None or day < after)):
        return said + "."
    when = "not yet" if first is not None and day < first else "no longer"
    return f"{said}: {when} in force on the day of the flight, {day}. Check it against the chart."


def _east_west(variation_deg: float) -> str:
    return f"{abs(variation_deg):.1f}° {'E' if variation_deg >= 0 else 'W'}"


def _outbound_and_side(keys: _Keys, kind: str, inbound: float, variation: float) -> tuple[float, Side]:
    reciprocal = float(reciprocal_deg(inbound))
    side = keys.given("course.turn_side")
    if kind != "teardrop":
        return reciprocal, cast(Side, side)
    outbound = float(wrap_360(keys.given("course.outbound_deg") + variation))
    derived: Side = "right" if difference_deg(reciprocal, outbound) > 0 else "left"
    return outbound, keys.or_default("course.turn_side", derived) if side is None else side


def _guidance(keys: _Keys, fix: Place) -> Guidance:
    kind = keys.given("guidance.kind")
    scale_deg, scale_nm = keys.number("guidance.full_scale_deg"), keys.number("guidance.full_scale_nm")
    if scale_deg is None and scale_nm is None:
        figure = published(f"full_scale.{kind}")
        if figure.unit == "deg":
            scale_deg = keys.or_default("guidance.full_scale_deg", figure.value)
        else:
            scale_nm = keys.or_default("guidance.full_scale_nm", figure.value)
    latitude, longitude = keys.number("guidance.latitude"), keys.number("guidance.longitude")
    station = fix
    if latitude is None or longitude is None:
        keys.defaults.update(("guidance.latitude", "guidance.longitude"))
    elif course_and_distance(fix.latitude_deg, fix.longitude_deg, latitude, longitude)[1] > _SAME_PLACE_M:
        station = Place(latitude, longitude)
    return Guidance(kind, station, scale_deg, _metres(scale_nm, METRES_PER_NM))


def _leg(keys: _Keys, kind: str, criteria: str, category: str, altitude_ft: float) -> tuple[float | None, float | None]:
    """Return the timed leg in seconds and metres; the one that holds, None for the other."""
    minutes, nautical_miles = keys.number("limits.outbound_min"), keys.number("limits.outbound_nm")
    if nautical_miles is not None:
        return None, nautical_miles * METRES_PER_NM
    if minutes is None and kind != "teardrop":
        minutes = keys.or_default("limits.outbound_min", _default_leg_min(kind, criteria, category, altitude_ft))
    return _metres(minutes, 60.0), None


def _default_leg_min(kind: str, criteria: str, category: str, altitude_ft: float) -> float:
    if kind in HOLDS:
        high = altitude_ft > published("hold.leg.boundary").value
        prefix = "" if criteria == "US" else "icao."
        return published(f"{prefix}hold.leg.{'high' if high else 'low'}").value
    if criteria == "US":
        return published("us.offset_leg.customary").value
    return published(f"icao.offset_leg.{'slow' if category in ('A', 'B') else 'fast'}").value


def _altitudes(tables: Mapping[str, Any]) -> tuple[AltitudeLimit, ...]:
    return tuple(_altitude(segment, tables[segment]) for segment in ALTITUDE_SEGMENTS if segment in tables)


def _altitude(segment: AltitudeSegment, table: Mapping[str, Any]) -> AltitudeLimit:
    if "between" in table:
        low, high = table["between"]
        return AltitudeLimit(segment, "between", low * METRES_PER_FOOT, high * METRES_PER_FOOT)
    key, rule, below, above = next(entry for entry in _RULES if entry[0] in table)
    value = float(table[key]) * METRES_PER_FOOT
    return AltitudeLimit(segment, rule, value if below else None, value if above else None)


def _design_altitude_ft(altitudes: tuple[AltitudeLimit, ...], fix: Place) -> float:
    """Return the altitude that picks the band of speeds and times: the charted one, or the ground where none is."""
    for segment in ("reversal", "arrival", "inbound"):
        for limit in altitudes:
            if limit.segment == segment:
                metres = limit.low_m if limit.low_m is not None else limit.high_m
                return (metres or 0.0) / METRES_PER_FOOT
    return (fix.elevation_m or 0.0) / METRES_PER_FOOT


def _runway(keys: _Keys) -> Place:
    return Place(
        float(keys.given("runway.latitude")),
        float(keys.given("runway.longitude")),
        keys.given("runway.ident"),
        _metres(keys.number("runway.elevation_ft"), METRES_PER_FOOT),
    )
