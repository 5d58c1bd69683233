"""What a worker does with one lesson: read the recording, look at it, assess it where it has a chart."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analyzer.errors import ReversalDebriefError
from analyzer.run.desk.margin.said import worst_of
from analyzer.run.desk.recordings import PlainFiles
from analyzer.run.desk.store.assessments import FindingKey, Outcome
from analyzer.run.desk.work.options import checked_options
from analyzer.version import __version__

if TYPE_CHECKING:
    from analyzer.given import Procedure, Track


@dataclass(frozen=True)
class Task:
    """A lesson as a worker needs it: where its recording is, what it was called, the texts that it is compared with."""

    folder: Path
    recording: str
    name: str
    charts: tuple[tuple[str, str], ...]  # title and text
    clearance: str
    options: Mapping[str, Any]


@dataclass(frozen=True)
class Done:
    """What came of a task: what the recording holds, and the assessment or what is wrong."""

    look: Mapping[str, Any] | None
    outcome: Outcome | None
    refusal: str = ""


def do(task: Task) -> Done:
    """Do a task; what is wrong with the recording, a chart or an option is part of the answer."""
    look = None
    try:
        track = _track(task)
        from analyzer.run.desk.work.look import look_of

        look = look_of(track)
        if not task.charts:
            return Done(look, None)
        return Done(look, _assessed(task, track))
    except ReversalDebriefError as error:
        return Done(look, None, str(error))
    except MemoryError:
        return Done(look, None, f"{task.name}: too large for the memory of this machine; cut the flight out of it")
    except Exception as error:  # a mistake of ours must not cost the other lessons theirs
        from analyzer.run.jobs import our_mistake

        return Done(look, None, our_mistake(task.name, error))


def load() -> None:
    """Load what a task needs, while nobody waits for it."""
    import analyzer.reading
    import analyzer.run.debrief
    import analyzer.shown

    for wing, name in (("reading", "read_track_bytes"), ("reading", "read_procedure"), ("shown", "render_lesson")):
        getattr(getattr(analyzer, wing), name)


def _track(task: Task) -> "Track":
    from analyzer.reading import read_track_bytes
    from analyzer.run.call_options import parsed_columns

    data = PlainFiles(task.folder / "recordings").read(task.recording)
    columns = task.options.get("columns")
    mapping = parsed_columns(columns) if columns else None
    track = read_track_bytes(data, task.name, _stem(task.name), mapping)
    return replace(track, source_sha256=task.recording)


def _stem(name: str) -> str:
    """Return a name without what follows its last full stop; a name is no path here."""
    stem, stop, _ = name.rpartition(".")
    return stem if stop and stem else name


def _assessed(task: Task, track: "Track") -> Outcome:
    from analyzer.files import json_text, parsed_toml
    from analyzer.run.debrief import assess

    procedures = [_procedure(title, text, track) for title, text in task.charts]
    options = {name: value for name, value in checked_options(task.options).items() if name != "columns"}
    clearance = parsed_toml(task.clearance) if task.clearance.strip() else None
    debrief = assess(track, procedures, clearance=clearance, **options)
    result = debrief.to_dict()
    written = json_text(result).encode("utf-8", "replace")
    page = debrief.to_html().encode("utf-8", "replace")
    return outcome_of(
        json.loads(written),
        PlainFiles(task.folder / "results", ".json").keep_bytes(written, task.name).sha256,
        PlainFiles(task.folder / "reports", ".html").keep_bytes(page, task.name).sha256,
        __version__,
    )


def outcome_of(result: Mapping[str, Any], result_sha256: str, report_sha256: str, program: str) -> Outcome:
    """Return what the records keep of a result file.

    Raises
    ------
    KeyError, TypeError, ValueError
        Where it is no result file.
    """
    attempts = result["attempts"]
    scores = [attempt["scores"]["overall"] for attempt in attempts if attempt["scores"]["overall"] is not None]
    worst = worst_of([attempt["result"] for attempt in attempts])
    findings = tuple(
        (
            FindingKey(
                int(attempt["number"]),
                str(one["code"]),
                str(one["phase"] or ""),
                int(one["lap"] or 0),
                None if one["at_s"] is None else float(one["at_s"]),
            ),
            str(one["severity"]),
        )
        for attempt in attempts
        for one in attempt["findings"]
    )
    lowest = float(min(scores)) if scores else None
    return Outcome(result_sha256, report_sha256, program, worst, lowest, len(attempts), findings)


def _procedure(title: str, text: str, track: "Track") -> "Procedure":
    """Return the procedure of a chart's text; errors name the chart."""
    from analyzer.reading import parsed_procedure, procedure_from_mapping

    return procedure_from_mapping(parsed_procedure(text.encode("utf-8", "replace"), title), title, track.start)
