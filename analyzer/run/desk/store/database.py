"""The database: opened, brought up to date with a backup before each step, read and written in transactions."""

import contextlib
import os
import sqlite3
import struct
import threading
from collections.abc import Iterator
from pathlib import Path

from analyzer.errors import DeskError
from analyzer.files import PARTIAL_SUFFIX
from analyzer.run.desk.store.schema import APPLICATION_ID, STEPS, VERSION
from analyzer.run.desk.store.words import now

NAME = "desk.sqlite"
BACKUPS = "backups"
_WAIT_S = 30.0
#: what a disk or another program does to a write: full, can't be written, locked
_NOT_OUR_FAULT = frozenset(
    {
        sqlite3.SQLITE_FULL,
        sqlite3.SQLITE_IOERR,
        sqlite3.SQLITE_READONLY,
        sqlite3.SQLITE_CANTOPEN,
        sqlite3.SQLITE_BUSY,
        sqlite3.SQLITE_LOCKED,
    }
)
_MARK = b"SQLite format 3\x00"
# where an SQLite file's header holds user_version and application_id, sqlite.org/fileformat2.html, 1.3
_VERSION_AT, _APPLICATION_AT, _HEADER_BYTES = 60, 68, 100


class Store:
    """The records of a folder.

    Parameters
    ----------
    folder : Path
        The desk's folder, which must exist.

    Raises
    ------
    DeskError
        Where the database is another program's, a newer program's (it is not touched), damaged or can't be written.
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / NAME
        self._own = threading.local()
        self._all: list[sqlite3.Connection] = []
        self._lock = threading.Lock()
        _refuse_unread(self._path)
        try:
            self._bring_up_to_date()
        except sqlite3.DatabaseError as error:
            self.close()
            raise DeskError(f"{self._path}: can't be used as the desk's database ({error}); see {BACKUPS}") from error
        except BaseException:
            self.close()
            raise

    @contextlib.contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Give a connection that sees one state of all records for as long as the block lasts."""
        connection = self._connection()
        connection.execute("BEGIN")
        try:
            yield connection
        finally:
            connection.execute("ROLLBACK")

    @contextlib.contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Give a connection whose changes are all on the disk when the block is left, or none where it raises."""
        connection = self._connection()
        try:
            connection.execute("BEGIN IMMEDIATE")
            yield connection
            connection.execute("COMMIT")
        except BaseException as error:
            with contextlib.suppress(sqlite3.Error):  # on a full disk SQLite has done so itself
                connection.execute("ROLLBACK")
            if isinstance(error, sqlite3.OperationalError) and error.sqlite_errorcode & 0xFF in _NOT_OUR_FAULT:
                raise DeskError(f"{self._path}: can't be written ({error}); nothing was changed") from error
            raise

    def close(self) -> None:
        """Close the connections of all threads."""
        with self._lock:
            for connection in self._all:
                connection.close()
            self._all.clear()
        self._own = threading.local()

    def _connection(self) -> sqlite3.Connection:
        """Return this thread's connection."""
        connection: sqlite3.Connection | None = getattr(self._own, "connection", None)
        if connection is None:
            connection = sqlite3.connect(self._path, timeout=_WAIT_S, isolation_level=None, check_same_thread=False)
            with self._lock:
                self._all.append(connection)
            connection.row_factory = sqlite3.Row
            if connection.execute("PRAGMA journal_mode = WAL").fetchone()[0] != "wal":
                raise DeskError(
                    f"{self._path}: can't be kept safely on this file system; name a folder on a disk of this machine"
                )
            connection.execute("PRAGMA synchronous = FULL")  # a commit is on the disk, also where the power fails
            connection.execute("PRAGMA foreign_keys = ON")
            connection.create_function("folded", 1, _folded, deterministic=True)
            self._own.connection = connection
        return connection

    def _bring_up_to_date(self) -> None:
        connection = self._connection()
        version = _version(connection)
        if version > VERSION:  # the header on the disk was older than the journal beside it
            raise DeskError(_newer(self._path, version))
        for step in range(version, VERSION):
            if step:
                self._back_up(connection, step)
            with self.writing() as change:
                if _version(change) != step:
                    raise DeskError(f"{self._path}: was changed by another program while it was opened; start again")
                for statement in STEPS[step]:
                    change.execute(statement)
                change.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                change.execute(f"PRAGMA user_version = {step + 1}")
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # the version shows in the header from here on

    def _back_up(self, connection: sqlite3.Connection, version: int) -> None:
        folder = self._path.parent / BACKUPS
        folder.mkdir(exist_ok=True)
        stamp = now().replace(":", "").replace("-", "")
        partial = folder / f".desk-v{version}-{stamp}{PARTIAL_SUFFIX}"
        partial.unlink(missing_ok=True)
        with contextlib.closing(sqlite3.connect(partial)) as copy:
            connection.backup(copy)
        with open(partial, "rb+") as stream:
            os.fsync(stream.fileno())
        os.replace(partial, folder / f"desk-v{version}-{stamp}.sqlite")


def _folded(text: str | None) -> str:
    """Return a text as the search compares it: SQLite itself knows capitals of ASCII only."""
    return "" if text is None else text.casefold()


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _newer(path: Path, version: int) -> str:
    return (
        f"{path}: was written by a newer program (its tables are version {version}, this program knows {VERSION}); "
        "install the newer program, or name another folder"
    )


def _refuse_unread(path: Path) -> None:
    """Refuse a newer program's or another program's database by its header, before SQLite touches it."""
    try:
        with open(path, "rb") as stream:
            header = stream.read(_HEADER_BYTES)
    except FileNotFoundError:
        return
    except OSError as error:
        raise DeskError(f"{path}: can't be read ({error.strerror}); free it, or name another folder") from error
    if not header:
        return
    if len(header) < _HEADER_BYTES or not header.startswith(_MARK):
        raise DeskError(f"{path}: is not a database; put the file elsewhere, or name another folder")
    (version,) = struct.unpack_from(">I", header, _VERSION_AT)
    (application,) = struct.unpack_from(">I", header, _APPLICATION_AT)
    if application not in (0, APPLICATION_ID) or (application == 0 and version):
        raise DeskError(f"{path}: is another program's database; name another folder")
    if version > VERSION:
        raise DeskError(_newer(path, version))
