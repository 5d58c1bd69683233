"""How a track file was read, in lines for a person: its format, each column, what came to use, what was noted."""

from collections.abc import Mapping
from pathlib import Path

from analyzer.errors import TrackFileError
from analyzer.reading.containers import is_packed, unpacked
from analyzer.reading.content import Content, recognised
from analyzer.reading.table.explained import explained_table
from analyzer.reading.track_file import LARGEST_FILE_BYTES, read_bytes, read_track_bytes
from analyzer.reading.wording import plain

_PARTED = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars", " ": "blanks"}
_HEAD = ("", "column", "taken for", "unit", "used", "first values")


def explained(path: Path, columns: Mapping[str, str] | None = None, max_bytes: int = LARGEST_FILE_BYTES) -> list[str]:
    """Return how a file was read, a line each; a refusal is the last of them.

    Raises
    ------
    TrackFileError
        For a file that holds nothing of any known format.
    """
    source = plain(path, 200)
    data = read_bytes(path, source, max_bytes)
    inner = ""
    if is_packed(data):
        data, inner = unpacked(data, source)
    kind, text = recognised(data, source)
    try:
        track = read_track_bytes(data, source, path.stem, columns)
        used, notes = set(track.columns_used), [f"  {note.text}" for note in track.quality]
        ends = f"  Read: {len(track):,} points over {track.duration_s / 60.0:.1f} minutes."
    except TrackFileError as error:
        used, notes, ends = set(), [], f"  Not read: {str(error).removeprefix(source).lstrip(':, ')}"
    within = f" ({inner} in it)" if inner else ""
    if kind is not Content.TABLE:
        named = ", ".join(sorted(used)) or "none"
        return [f"{source}{within}: {kind.value}; parts used: {named}", *notes, ends]
    try:
        table = explained_table(text, source, columns)
    except TrackFileError:  # no header with what a track needs: the refusal names what was found instead
        return [f"{source}{within}: a table", ends]
    parted = _PARTED.get(table.delimiter, f'"{table.delimiter}"')
    rows = [_HEAD]
    for column in table.columns:
        meaning = column.taken_for or "-"
        meaning += f", {column.datum}" if column.datum else ""
        is_used = "yes" if column.name in used else "no"
        rows.append((f"#{column.number}", column.name, meaning, column.unit, is_used, ", ".join(column.first)))
    widths = [max(len(row[place]) for row in rows) for place in range(len(_HEAD))]
    lines = [
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
    head = f"{source}{within}: a table, header on line {table.header_line}, parted by {parted}, decimal {table.decimal}"
    return [head, *lines, *notes, ends]
