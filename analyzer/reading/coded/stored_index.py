"""The index of a file of coded records, made once and kept."""

import json
import os
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from analyzer.errors import CodedProcedureError
from analyzer.reading.coded.coded_file import POINT_SECTIONS, CodedFile, raw_lines
from analyzer.reading.coded.cycle import Cycle, cycle_of_header
from analyzer.reading.coded.interpretation import reversal_rows
from analyzer.reading.coded.records import RECORD_LENGTH

#: goes up when what the index holds changes: an older index is then made anew
_INDEX_VERSION = 2
_LARGEST_BYTES = 2_000_000_000


def open_coded_file(path: str | Path) -> CodedFile:
    """Return a coded file with its index, which is made beside the file the first time.

    Raises
    ------
    CodedProcedureError
        One line: the file can't be read or holds no ARINC 424 records.
    """
    place = Path(path)
    try:
        status = place.stat()
        if not place.is_file():
            raise CodedProcedureError(f"{place}: is not a file. Expected a file of ARINC 424 records")
        if status.st_size > _LARGEST_BYTES:
            raise CodedProcedureError(f"{place}: larger than 2 GB. Expected one cycle of coded procedures")
        stamp = {"version": _INDEX_VERSION, "size": status.st_size, "modified_ns": status.st_mtime_ns}
        content = _stored_index(_index_path(place), stamp)
        if content is None:
            content = _made_index(place)
            _store_index(_index_path(place), {**stamp, **content})
    except OSError as error:
        reason = (error.strerror or "can't be read").lower()
        raise CodedProcedureError(f"{place}: {reason}. Expected a file of ARINC 424 records") from error
    cycle = content["cycle"]
    return CodedFile(
        place,
        None if cycle is None else Cycle(cycle[0], date.fromisoformat(cycle[1]), date.fromisoformat(cycle[2])),
        content["airports"],
        content["points"],
        content["reversals"],
    )


def _index_path(place: Path) -> Path:
    return place.with_name(place.name + ".index.json")


def _stored_index(path: Path, stamp: dict[str, int]) -> dict[str, Any] | None:
    try:
        content = json.loads(path.read_bytes())
        if not isinstance(content, dict) or any(content.get(key) != value for key, value in stamp.items()):
            return None
        shape = {"airports": dict, "points": dict, "reversals": list}
        whole = "cycle" in content and all(isinstance(content.get(key), kind) for key, kind in shape.items())
        return content if whole else None
    except (OSError, ValueError, RecursionError):
        return None  # no index yet, or one that something else wrote: it is made anew


def _store_index(path: Path, content: dict[str, Any]) -> None:
    # written beside and renamed, so that two runs at once leave a whole index; a folder that can't be written to
    # only costs the time of making it again
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.name + ".")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as stream:
                json.dump(content, stream, separators=(",", ":"))
            Path(name).replace(path)
        except OSError:
            Path(name).unlink(missing_ok=True)
    except OSError:
        return


def _made_index(place: Path) -> dict[str, Any]:

    airports: dict[str, list[list[int]]] = {}
    points: dict[str, int] = {}
    header: list[str] = []
    records = 0
    for start, raw in raw_lines(place):
        if raw.startswith(b"HDR"):
            header.append(raw.decode("latin-1"))
            continue
        if len(raw) != RECORD_LENGTH or raw[:1] not in (b"S", b"T"):
            continue
        records += 1
        section = raw[4:6].decode("latin-1")
        if section[0] == "P":
            ranges = airports.setdefault(raw[6:10].decode("latin-1").strip(), [])
            if ranges and start - ranges[-1][1] <= 2:  # the line end between two records
                ranges[-1][1] = start + RECORD_LENGTH
            else:
                ranges.append([start, start + RECORD_LENGTH])
        if section in POINT_SECTIONS and raw[21:22] in (b"0", b"1"):
            ident = raw[13:18].decode("latin-1").strip()
            points.setdefault(f"{section}{ident} {raw[19:21].decode('latin-1')}", start)
    if not records:
        raise CodedProcedureError(
            f"{place}: holds no ARINC 424 records of {RECORD_LENGTH} columns. "
            "Expected a file of coded procedures; unpack it if it came in an archive"
        )
    cycle = cycle_of_header(header)
    file = CodedFile(place, cycle, airports, points, [])
    return {
        "cycle": None if cycle is None else [cycle.code, str(cycle.first_day), str(cycle.next_day)],
        "airports": airports,
        "points": points,
        "reversals": list(reversal_rows(file)),
    }
