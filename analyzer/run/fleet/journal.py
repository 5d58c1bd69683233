"""The journal of a run: each track's rows as they come, so that a run that was cut off is taken up where it ended.

A file of one JSON object a line beside the table. Only places in it are held in memory, so that it may be long.
"""

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import IO, Any

from analyzer.errors import OutputError
from analyzer.run.fleet.table import Row

FIRST_LINE = b'{"schema": "reversal-debrief/fleet-journal/1"}\n'


def journal_place(table: Path) -> Path:
    """Where the journal of a table is."""
    return table.with_name(f"{table.name}.journal")


class Journal:
    """Rows by the number of their track.

    Parameters
    ----------
    path : Path
    key : str
        Fingerprint of what was asked: rows of an earlier run are taken over only where it is the same.
    take_up : bool
        Whether rows of an earlier run are looked for at all; if not, the journal starts anew.

    Raises
    ------
    OutputError
        Where another file lies there, or it can't be written.
    """

    def __init__(self, path: Path, key: str, *, take_up: bool) -> None:
        self._path, self._key = path, key
        self._rows_at: dict[int, int] = {}  # number of a track -> where its line starts
        self._earlier: dict[tuple[str, str], int] = {}  # file and fingerprint -> where an earlier run's line starts
        try:
            existing = path.exists()
            if existing:
                with open(path, "rb") as stream:
                    if stream.readline(len(FIRST_LINE) + 1) != FIRST_LINE:
                        raise OutputError(
                            f"{path}: is there already and is not a journal of this program; name another table"
                        )
            self._stream: IO[bytes] = open(path, "r+b" if existing and take_up else "w+b")  # noqa: SIM115
            if existing and take_up:
                self._read_earlier()
            else:
                self._stream.write(FIRST_LINE)
                self._stream.flush()
        except OSError as error:
            raise OutputError(f"{path}: can't be written ({(error.strerror or 'unknown').lower()})") from error

    def __enter__(self) -> "Journal":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stream.close()

    def _read_earlier(self) -> None:
        place = 0
        whole = 0
        for line in self._stream:
            start, place = place, place + len(line)
            entry = _entry(line) if line.endswith(b"\n") else None
            if entry is None and start > 0:
                break  # a run was killed while it wrote this line
            whole = place
            if entry is not None and entry["key"] == self._key and entry["ok"]:
                self._earlier[(entry["file"], entry["sha256"])] = start
        self._stream.seek(whole)
        self._stream.truncate()

    def takes_over(self, number: int, file: Path, sha256: str | None) -> bool:
        """Take over an earlier run's rows of a track; False where there are none that still hold."""
        start = None if sha256 is None else self._earlier.get((_name(file), sha256))
        if start is None:
            return False
        self._rows_at[number] = start
        return True

    def add(self, number: int, file: Path, sha256: str | None, rows: list[Row], *, ok: bool) -> None:
        """Keep the rows of a track, once; a second time changes nothing.

        Raises
        ------
        OutputError
            Where the disk is full.
        """
        if number in self._rows_at:
            return
        entry = {"key": self._key, "file": _name(file), "sha256": sha256, "ok": ok, "rows": rows}
        try:
            start = self._stream.seek(0, 2)
            self._stream.write(json.dumps(entry).encode() + b"\n")
            self._stream.flush()
        except OSError as error:
            raise OutputError(
                f"{self._path}: can't be written ({(error.strerror or 'unknown').lower()}); free the disk and run "
                "again with --skip-existing"
            ) from error
        self._rows_at[number] = start

    def rows(self, names: Sequence[str]) -> Iterator[Row]:
        """Give all rows of this run in the order of the tracks, each with its track's name of now."""
        for number in sorted(self._rows_at):
            self._stream.seek(self._rows_at[number])
            for row in json.loads(self._stream.readline())["rows"]:
                yield row | {"file": names[number]}


def _name(file: Path) -> str:
    return str(file.absolute())


def _entry(line: bytes) -> dict[str, Any] | None:
    try:
        entry = json.loads(line)
    except ValueError:
        return None
    return entry if isinstance(entry, dict) and entry.keys() >= {"key", "file", "sha256", "ok", "rows"} else None
