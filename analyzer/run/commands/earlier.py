"""Flights that earlier runs left in a folder: they stay in its overview when a run adds to them."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analyzer.run.jobs import Outcome


def earlier_outcomes(folder: Path, outcomes: "list[Outcome]") -> "list[Outcome]":
    """Return what the folder's result files hold of other tracks than those of this run, in order of their names.

    Parameters
    ----------
    folder : Path
        Where the reports are.
    outcomes : list of Outcome
        Of this run.
    """
    from analyzer.run.jobs import Job, finished_before

    known = {outcome.job.stem.casefold() for outcome in outcomes}
    last = max((outcome.job.number for outcome in outcomes), default=0)
    found: list[Outcome] = []
    for path in sorted(folder.glob("*.json")):
        if path.stem.casefold() in known:
            continue
        job = Job(last + 1 + len(found), path.with_suffix(""), path, folder, path.stem)
        if (outcome := finished_before(job)) is not None:
            found.append(outcome)
    return found
