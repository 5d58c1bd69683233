"""The desk of a folder, opened: its records, its files, its crew."""

from dataclasses import dataclass
from pathlib import Path

from analyzer.errors import DeskError
from analyzer.files import reason
from analyzer.run.desk.lock import FolderLock
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.database import Store
from analyzer.run.desk.work.crew import Crew


@dataclass(frozen=True)
class Desk:
    """All that a page needs: `store` for records, the three kinds of files, `crew` for work that takes long."""

    folder: Path
    store: Store
    recordings: PlainFiles
    results: PlainFiles
    reports: PlainFiles
    crew: Crew
    lock: FolderLock

    def close(self) -> None:
        """End the crew and give the folder free; work under way is taken up again by the next desk."""
        self.crew.close()
        self.store.close()
        self.lock.release()


def open_desk(folder: Path, workers: int | None = None) -> Desk:
    """Open the desk of a folder, made where it is missing; work left over from last time starts.

    Parameters
    ----------
    folder : Path
    workers : int, optional
        Worker processes at most; default: one less than the machine's cores, and at least one. 0: nothing is worked
        on.

    Raises
    ------
    DeskError
        Where the folder can't be used, another desk has it, or a newer program wrote it.
    """
    try:
        folder = folder.resolve()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)  # lessons are nobody else's on this machine
    except (OSError, ValueError) as error:  # ValueError: a null character in the name
        said = reason(error) if isinstance(error, OSError) else str(error)
        raise DeskError(f"{folder}: can't be made a folder of the desk ({said}); name another one") from error
    lock = FolderLock(folder)
    try:
        files = _files(folder)
        store = Store(folder)
    except OSError as error:
        lock.release()
        raise DeskError(f"{folder}: can't be written ({reason(error)}); name another folder") from error
    except BaseException:
        lock.release()
        raise
    for kind in files:
        kind.sweep()
    recordings, results, reports = files
    crew = Crew(folder, store, workers)
    crew.start()
    return Desk(folder, store, recordings, results, reports, crew, lock)


def _files(folder: Path) -> tuple[PlainFiles, PlainFiles, PlainFiles]:
    return (
        PlainFiles(folder / "recordings"),
        PlainFiles(folder / "results", ".json"),
        PlainFiles(folder / "reports", ".html"),
    )
