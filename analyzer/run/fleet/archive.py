"""The tracks of an archive: folders searched, none twice, each with the fingerprint of its bytes."""

import hashlib
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from analyzer.errors import TrackFileError
from analyzer.run.jobs import Job, fingerprint
from analyzer.run.report_names import ReportNames, safe_stem
from analyzer.version import __version__

#: what a folder is searched for; a file that is named itself may have any suffix
TRACK_SUFFIXES = frozenset({".gpx", ".csv", ".kml", ".igc", ".nmea", ".kmz", ".gz", ".zip", ".geojson", ".tcx", ".fit"})


def find_tracks(places: Sequence[Path], output: Path, leave_out: Sequence[Path] = ()) -> list[Path]:
    """Return the track files: those named, and those in the folders named, each once.

    Parameters
    ----------
    places : sequence of Path
        Files are taken in the order given, whatever they are; a folder is searched with the folders in it, by name.
        Hidden files and links to folders are left alone.
    output : Path
        Folder of reports, not searched where it lies in one of the folders.
    leave_out : sequence of Path
        Files that are not tracks (the table of an earlier run).

    Raises
    ------
    TrackFileError
        Where a folder holds no track.
    """
    found: dict[str, Path] = {}
    own_folder = os.path.abspath(output)
    others = {os.path.abspath(path) for path in leave_out}
    for place in places:
        if not os.path.isdir(place):  # no error for a name that no file system takes
            found.setdefault(os.path.abspath(place), place)
            continue
        before = len(found)
        seen = False
        for path in _searched(place, own_folder):
            absolute = os.path.abspath(path)
            if absolute not in others:
                seen = True
                found.setdefault(absolute, path)
        if not seen and len(found) == before:
            suffixes = ", ".join(sorted(TRACK_SUFFIXES))
            raise TrackFileError(f"{place}: no track in this folder; expected files that end in {suffixes}")
    return list(found.values())


def _searched(folder: Path, own_folder: str) -> Iterator[Path]:
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(
            name
            for name in folders
            if not name.startswith(".") and os.path.abspath(os.path.join(place, name)) != own_folder
        )
        for name in sorted(files):
            if not name.startswith(".") and os.path.splitext(name)[1].lower() in TRACK_SUFFIXES:
                yield Path(place) / name


@dataclass(frozen=True)
class Request:
    """What is asked of every track of a run.

    Attributes
    ----------
    procedures : tuple of Path
        Procedure files, or folders of them.
    folder : Path
        Where reports go.
    options : dict
        As `analyzer.run.debrief.assess` takes them.
    with_reports : bool
        Whether each track gets its result file and its page, as `assess` writes them.
    """

    procedures: tuple[Path, ...]
    folder: Path
    options: dict[str, Any]
    with_reports: bool

    def key(self) -> str:
        """Fingerprint of what rows depend on beside the track: the same key and track give the same rows."""
        digest = hashlib.sha256(f"{__version__}\n".encode())
        for procedure in self.files():
            digest.update(f"{fingerprint(procedure)}\n".encode())
        for name, value in sorted(self.options.items()):
            content = fingerprint(Path(value)) if isinstance(value, str | Path) and value else None
            digest.update(f"{name}={value!s}:{content}\n".encode("utf-8", "backslashreplace"))
        return digest.hexdigest()

    def files(self) -> tuple[Path, ...]:
        """Return the procedure files, those of a folder by their names."""
        named = ((one,) if not one.is_dir() else tuple(sorted(one.glob("*.toml"))) for one in self.procedures)
        return tuple(path for paths in named for path in paths)

    def absolute(self) -> "Request":
        """Return the request with paths that hold on another machine with the same folders."""
        options = {name: value.absolute() if isinstance(value, Path) else value for name, value in self.options.items()}
        tolerances = options.get("tolerances")
        if isinstance(tolerances, str) and Path(tolerances).is_file():
            options["tolerances"] = str(Path(tolerances).absolute())
        procedures = tuple(one.absolute() for one in self.procedures)
        return replace(self, procedures=procedures, folder=self.folder.absolute(), options=options)


def jobs_of(tracks: Sequence[Path], request: Request) -> Iterator[Job]:
    """Give the jobs of a run in order; with reports they get the names that `assess` would give them."""
    names = ReportNames(request.folder)
    alone = len(request.procedures) == 1 and not request.procedures[0].is_dir()
    procedure: Path | tuple[Path, ...] = request.procedures[0] if alone else request.procedures
    for number, track in enumerate(tracks):
        sha256 = fingerprint(track)
        stem = names.stem_for(track.stem, sha256) if request.with_reports else safe_stem(track.stem)
        yield Job(
            number,
            track,
            procedure,
            request.folder,
            stem,
            request.options,
            with_report=request.with_reports,
            with_result=request.with_reports,
            sha256=sha256,
        )
