"""The rows of a table under its header, by pandas' C parser, and what of its lines could not be taken apart."""

import io
import warnings
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import pandas as pd

from analyzer.errors import TrackFileError
from analyzer.given import QualityNote
from analyzer.reading.table.columns import UsedColumn
from analyzer.reading.table.layout import TableLayout
from analyzer.reading.wording import counted, plain

_TEXT_MEANINGS = frozenset(
    {"address", "time", "date", "local_time", "local_date", "utc_offset", "elapsed", "position"}
    | {"hemisphere_latitude", "hemisphere_longitude"}
)


@dataclass
class TableRows:
    """The rows, with the notes on lines that gave none, or less than they hold."""

    frame: pd.DataFrame
    notes: list[QualityNote] = field(default_factory=list)


def table_rows(data: bytes, layout: TableLayout, source: str, used: Mapping[str, list[UsedColumn]]) -> TableRows:
    """Return the rows of a table, a last line that a power failure cut short left out.

    Raises
    ------
    TrackFileError
        Where the rows can't be taken apart at all.
    """
    data = _without_cut_line(data, layout)
    frame, unquoted = _frame(data, layout, source, used, (0, 3))
    body = data[layout.data_offset :]
    found = TableRows(frame)
    if len(frame) != body.count(b"\n") or _has_odd_lines(body, layout):
        lines = [line for line in body.splitlines() if line.strip()]
        if len(frame) < len(lines) and b'"' in body and not unquoted:
            plainly, _ = _frame(data, layout, source, used, (3,))
            if len(plainly) > len(frame):
                found.frame, unquoted = plainly, True
        _note_lines(found, lines, layout)
    if (unquoted and b'"' in body) or body.count(b'"') % 2:
        text = "A quote is not closed; quotes were read as letters, and cells that hold one may be lost."
        found.notes.append(QualityNote("stray_quotes", text))
    return found


def _has_odd_lines(body: bytes, layout: TableLayout) -> bool:
    """Return whether the delimiters do not come out even, as they do where each line has as many cells."""
    delimiters, lines = body.count(layout.delimiter.encode()), max(1, body.count(b"\n"))
    return b'"' not in body and delimiters % lines != 0


def _note_lines(found: TableRows, lines: list[bytes], layout: TableLayout) -> None:
    lost = len(lines) - len(found.frame)
    if lost > 0:
        text = f"{counted(lost, 'line')} can't be taken apart (a quote that is not closed, too many cells): left out."
        found.notes.append(QualityNote("lines_not_read", text))
    mark = layout.delimiter.encode()
    counts = Counter(line.count(mark) for line in lines if b'"' not in line)
    if not counts:
        return
    usual = max(counts.most_common(1)[0][0], len(layout.names) - 1)
    longer = sum(number for count, number in counts.items() if count > usual)
    if longer:
        text = f"{counted(longer, 'line has', 'lines have')} too many cells: those beyond the header's were left out."
        found.notes.append(QualityNote("long_lines", text))


def _frame(
    data: bytes,
    layout: TableLayout,
    source: str,
    used: Mapping[str, list[UsedColumn]],
    quotings: tuple[Literal[0, 3], ...],
) -> tuple[pd.DataFrame, bool]:
    wanted = sorted({column.place for columns in used.values() for column in columns})
    texts = {column.place for key in used for column in used[key] if key in _TEXT_MEANINGS}
    if not data[layout.data_offset : layout.data_offset + 4096].strip() and not data[layout.data_offset :].strip():
        return pd.DataFrame({place: [] for place in wanted}), False
    for quoting in quotings:  # csv.QUOTE_MINIMAL 0, then QUOTE_NONE 3: a stray quote would swallow the rest of the file
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                stream = io.BytesIO(data)  # shares the bytes: a long file is not held twice
                stream.seek(layout.data_offset)
                frame = pd.read_csv(
                    stream,
                    sep=layout.delimiter,
                    decimal=layout.decimal,
                    header=None,
                    names=range(len(layout.names)),
                    usecols=wanted,
                    index_col=False,
                    dtype=dict.fromkeys(texts, str),
                    encoding=layout.encoding,
                    encoding_errors="replace",
                    engine="c",
                    quoting=quoting,
                    on_bad_lines="skip",
                    low_memory=False,
                )
                return frame, quoting == 3
        except (pd.errors.ParserError, ValueError, OverflowError, IndexError) as error:
            reason = error
    raise TrackFileError(f"{source}: the rows can't be taken apart ({plain(reason, 100)}); export the table again")


def _without_cut_line(data: bytes, layout: TableLayout) -> bytes:
    """Leave out a last line that a power failure cut short: what is left of its last number is another number."""
    if data.endswith((b"\n", b"\r")) or len(layout.sample) < 2:
        return data
    end = max(data.rfind(b"\n"), data.rfind(b"\r")) + 1
    cut = end > layout.data_offset and data.count(layout.delimiter.encode(), end) < len(layout.sample[0]) - 1
    return data[:end] if cut else data
