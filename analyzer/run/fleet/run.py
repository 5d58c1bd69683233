"""One run over an archive: what an earlier run found is taken over, the rest is assessed, the table is written."""

import itertools
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from analyzer.run.fleet.archive import Request, jobs_of
from analyzer.run.fleet.engine import ClusterCrew, assess_rows, check_workers, chunk_size, cluster
from analyzer.run.fleet.journal import Journal, journal_place
from analyzer.run.fleet.table import Row, name_in_table, rows_of, write_table
from analyzer.run.jobs import Job, Outcome
from analyzer.run.many_tracks import assess_all, ended_text


def assess_archive(
    tracks: Sequence[Path],
    request: Request,
    table: Path,
    *,
    scheduler: str | None = None,
    workers: int | None = None,
    skip_existing: bool = False,
    report: Callable[[str | None], None] = lambda error: None,
) -> int:
    """Assess an archive on a cluster, write its table and return how many rows that has.

    Parameters
    ----------
    tracks : sequence of Path
    request : Request
    table : Path
        Ends in .csv or .parquet; `table.check_place` says whether it can be written there.
    scheduler : str, optional
        Address of a running scheduler; default: processes on this machine, which end with the run.
    workers : int, optional
        How many of them; default: one for each core.
    skip_existing : bool
        Whether rows of an earlier run are kept where track, procedure and options are the same.
    report : function
        Called once for each track with its error, None for a track that was assessed.

    Raises
    ------
    ReversalDebriefError
        Where the cluster can't be had or is lost, or the table can't be written. What was assessed stays in the
        journal.
    """
    with Journal(journal_place(table), request.key(), take_up=skip_existing) as journal:

        def keep(job: Job, found: tuple[list[Row], str | None] | None) -> None:
            if found is None:
                said = ended_text(job)
                found = rows_of(Outcome(job, None, said)), said
            rows, error = found
            journal.add(job.number, tracks[job.number], job.sha256, rows, ok=error is None)
            report(error)

        def taken_over(job: Job) -> bool:
            if job.with_result and not all((job.folder / f"{job.stem}{end}").is_file() for end in (".json", ".html")):
                return False
            if not journal.takes_over(job.number, tracks[job.number], job.sha256):
                return False
            report(None)
            return True

        asked, places = (request, tracks) if scheduler is None else (request.absolute(), _absolute(tracks))
        missing = (job for job in jobs_of(places, asked) if not taken_over(job))
        first = next(missing, None)
        if first is not None:
            shared = [] if scheduler is None else [*map(str, asked.procedures), str(first.folder), str(first.track)]
            _assess(itertools.chain([first], missing), len(tracks), shared, scheduler, workers, keep)
        anonymous = bool(request.options.get("anonymous"))
        names = [name_in_table(number, track, anonymous=anonymous) for number, track in enumerate(tracks)]
        return write_table(table, journal.rows(names))


def _absolute(tracks: Sequence[Path]) -> list[Path]:
    return [track.absolute() for track in tracks]


def _assess(
    jobs: Iterator[Job],
    count: int,
    shared: Sequence[str],
    scheduler: str | None,
    workers: int | None,
    keep: Callable[[Job, tuple[list[Row], str | None] | None], None],
) -> None:
    with cluster(scheduler, workers) as client:
        at_once = check_workers(client, shared)
        assess_all(jobs, ClusterCrew(client, at_once), assess_rows, keep, chunk_size(count, at_once))
