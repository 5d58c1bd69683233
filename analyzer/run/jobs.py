"""One track as a job: what is to be done, what came of it, and doing it."""

import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analyzer.errors import ReversalDebriefError
from analyzer.files import file_sha256, json_text, write_whole
from analyzer.run.report_names import ReportNames, place_beside, read_result

if TYPE_CHECKING:  # pandas and the like are loaded with the first track, by the process that assesses it
    from analyzer.run.debrief import CodedChoice


@dataclass(frozen=True)
class Job:
    """One track to assess: where it is, what to assess it with, where the reports go."""

    number: int
    track: Path
    procedure: "Path | tuple[Path, ...] | CodedChoice"
    folder: Path
    stem: str
    options: dict[str, Any] = field(default_factory=dict)
    with_report: bool = True
    with_result: bool = True
    sha256: str | None = None  # of the track file, None where it can't be read
    overview: str | None = None  # name of the page of all flights beside the report
    also: tuple[str, ...] = ()  # what else is written: "svg", "png", "geojson", "kml"


@dataclass(frozen=True)
class Outcome:
    """What became of one track: `result` is the result file's content without its geometry, None with an `error`."""

    job: Job
    result: dict[str, Any] | None
    error: str | None = None
    skipped: bool = False

    @property
    def page(self) -> Path:
        """Where the report is."""
        return self.job.folder / f"{self.job.stem}.html"


def jobs_for(
    tracks: Sequence[Path],
    procedure: "Path | tuple[Path, ...] | CodedChoice",
    folder: Path,
    options: dict[str, Any],
    *,
    with_report: bool,
    also: tuple[str, ...] = (),
    overview: str | None = None,
) -> Iterator[Job]:
    """Give the jobs of a run in order, each with a stem that no other track has."""
    names = ReportNames(folder)
    for number, track in enumerate(tracks):
        sha256 = fingerprint(track)
        stem = names.stem_for(track.stem, sha256)
        yield Job(
            number, track, procedure, folder, stem, options, with_report, sha256=sha256, also=also, overview=overview
        )


def fingerprint(path: Path) -> str | None:
    """SHA-256 of a file; None for what is not a readable file: its reader says what is wrong with it."""
    try:
        return file_sha256(path) if path.is_file() else None
    except (OSError, ValueError):
        return None


def finished_before(job: Job) -> Outcome | None:
    """Return the outcome of an earlier run whose files are all there, None where there is none."""
    result = read_result(job.folder / f"{job.stem}.json")
    suffixes = (*(["html"] if job.with_report else []), *job.also)
    if result is None or not all((job.folder / f"{job.stem}.{suffix}").is_file() for suffix in suffixes):
        return None
    try:
        return Outcome(job, _brief(result), skipped=True)
    except (KeyError, TypeError):  # damaged, or somebody else's
        return None


def assess_one(job: Job) -> Outcome:
    """Assess one track and write the files asked for.

    The result file goes first: it tells whose the report is, so that a run which is cut off between the two can be
    taken up again.
    """
    from analyzer.run.debrief import assess

    try:
        debrief = assess(job.track, job.procedure, **job.options)
        result = debrief.to_dict()
        page = debrief.to_html(job.overview) if job.with_report else None
        if job.with_result:
            write_whole(job.folder / f"{job.stem}.json", json_text(result))
        if page is not None:
            write_whole(job.folder / f"{job.stem}.html", page)
        if job.also:
            from analyzer.shown import files_handed_on

            for ending, content in files_handed_on(debrief.lesson, job.also):
                write_whole(place_beside(job.folder, job.stem, ending), content)
    except ReversalDebriefError as error:
        return Outcome(job, None, str(error))
    except MemoryError:
        return Outcome(job, None, f"{job.track}: too large for the memory of this machine; cut the flight out of it")
    except Exception as error:  # a mistake of ours: it must not cost the other tracks their reports
        return Outcome(job, None, our_mistake(job.track, error))
    return Outcome(job, _brief(result))


def our_mistake(track: Path | str, error: Exception) -> str:
    """Return what is said of a mistake of this program that one track met."""
    place = traceback.extract_tb(error.__traceback__)[-1]
    said = " ".join(str(error).split())[:200]
    return (
        f"{track}: a mistake of this program, not of the file: {type(error).__name__}: {said} "
        f"({Path(place.filename).name}, line {place.lineno}); please report it"
    )


def _brief(result: dict[str, Any]) -> dict[str, Any]:
    """Return what the overview of a run needs: thousands of them are held until it is written."""
    kept = (
        "number",
        "flown_as",
        "entry",
        "laps",
        "result",
        "scores",
        "findings",
        "containment",
        "altitudes",
        "intercept",
        "timing",
        "speed",
    )
    attempts = [
        {key: attempt[key] for key in kept} | ({"procedure": attempt["procedure"]} if "procedure" in attempt else {})
        for attempt in result["attempts"]
    ]
    brief = {"schema": result["schema"], "track": result["track"], "wind": result["wind"], "attempts": attempts}
    finals = [{"result": one["result"]} for one in result.get("straight_ins", ())]
    titles = [one["title"] for one in result.get("procedures", ())]
    return brief | ({"straight_ins": finals} if finals else {}) | ({"procedures": titles} if titles else {})
