"""Which column of a table holds what: by its name, or by what the user says with `--columns`."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from analyzer.errors import TrackFileError
from analyzer.reading.table.column_names import MEANINGS, ColumnMeaning, column_meaning
from analyzer.reading.table.layout import COLUMN_NUMBER, TableLayout, folded
from analyzer.reading.table.one_aircraft import state_vector_meanings
from analyzer.reading.wording import listed, plain
from analyzer.units import likely_words

#: keys of `--columns` that set how a file is read and name no column
SETTINGS = ("date_order",)


@dataclass(frozen=True)
class UsedColumn:
    """One column that is read: its place from 0, its name in the file, and what it means."""

    place: int
    name: str
    meaning: ColumnMeaning


def used_columns(
    layout: TableLayout, source: str, columns: Mapping[str, str] | None = None
) -> dict[str, list[UsedColumn]]:
    """Return the columns for each meaning, in the file's order; those named by the user come alone.

    Parameters
    ----------
    layout : TableLayout
    source : str
        The file as errors name it.
    columns : mapping of str to str, optional
        Meaning (as any column name that is recognised, with its unit: "altitude_m") to the file's column name.

    Raises
    ------
    TrackFileError
        Where the mapping names an unknown meaning or a column that is not there, or where no column holds latitude,
        longitude or time.
    """
    found: dict[str, list[UsedColumn]] = {}
    chosen = _named_by_user(layout, source, columns or {})
    taken = {column.place for column in chosen}
    state_vector = state_vector_meanings(layout)
    for place, name in enumerate(layout.names):
        says = state_vector.get(place) or column_meaning(name, layout.units[place])
        if says is not None and place not in taken:
            found.setdefault(says.meaning, []).append(UsedColumn(place, name, says))
    for column in chosen:
        found[column.meaning.meaning] = [column]
    named_altitudes = [column for column in chosen if column.meaning.meaning.startswith("altitude")]
    if named_altitudes:  # the user's word decides which altitude is used
        for meaning in [key for key in found if key.startswith("altitude")]:
            found[meaning] = [column for column in found[meaning] if column in named_altitudes]
    for meaning in ("latitude", "longitude"):
        if not found.get(meaning) and not found.get("position"):
            raise TrackFileError(
                f"{source}, line {layout.header_line}: no column for {meaning}; columns found: {listed(layout.names)}; "
                f"name it with --columns {meaning}=... (or by its number, {meaning}=#2); --explain lists what is known"
            )
    if not any(found.get(meaning) for meaning in ("time", "elapsed", "local_time", "date")):
        raise TrackFileError(
            f"{source}, line {layout.header_line}: no column for time; columns found: {listed(layout.names)}; "
            "name it with --columns time=... or --columns elapsed_s=...; --explain lists what is known"
        )
    return found


def _named_by_user(layout: TableLayout, source: str, columns: Mapping[str, str]) -> list[UsedColumn]:
    backwards = list(enumerate(layout.names))[::-1]  # so that the first of equal names counts
    exact = {name: place for place, name in backwards}
    by_name = {folded(name): place for place, name in backwards}
    chosen = []
    for key, name in columns.items():
        if key in SETTINGS:
            continue
        number = COLUMN_NUMBER.fullmatch(name.strip())
        place = exact.get(name.strip(), by_name.get(folded(name)))
        if number is not None and name.strip() not in exact:
            place = int(number[1]) - 1 if 1 <= int(number[1]) <= len(layout.names) else None
        meaning = column_meaning(key)
        if meaning is None:
            near = likely_words(key, [*MEANINGS, "elapsed_s", "altitude_ft", "altitude_m"])
            hint = f"; did you mean {near[0]}?" if near else "."
            raise TrackFileError(
                f'--columns: "{plain(key)}" is nothing that a track holds{hint} Known: time, date, elapsed_s, '
                "latitude, longitude, altitude_ft, pressure_altitude_ft, gps_altitude_ft, groundspeed_kt, track_deg, "
                "heading_deg, true_heading_deg, ias_kt, tas_kt, bank_deg, vertical_speed_fpm, deflection, date_order"
            )
        if place is None:
            near = likely_words(name, layout.names)
            hint = f'; did you mean "{plain(near[0])}"?' if near else "."
            raise TrackFileError(
                f'{source}, line {layout.header_line}: no column "{plain(name)}"{hint} Columns found: '
                f"{listed(layout.names)}; correct --columns {plain(key)}=..."
            )
        if meaning.unit is None:  # the column's own unit counts where the key has none
            own = column_meaning(f"{key} [{_unit_of(layout.names[place])}]", layout.units[place])
            meaning = own or meaning
        if key.strip().lower() == "altitude_ft":  # exactly this name is what the altimeter showed
            meaning = replace(meaning, meaning="altitude_indicated")
        chosen.append(UsedColumn(place, layout.names[place], meaning))
    return chosen


def _unit_of(name: str) -> str:
    """Return what stands in brackets after a name, or ""."""
    _, _, rest = name.partition("[") if "[" in name else name.partition("(")
    return rest.rstrip("]) ")
