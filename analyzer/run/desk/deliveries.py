"""What goes in and out as files: recordings received, reports and results handed out, how the work is coming on."""

import html
import re
from collections.abc import Iterator
from typing import IO, Any

from flask import Blueprint, Response, abort, current_app, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from analyzer.errors import DeskError, ReversalDebriefError
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.recordings import spooled
from analyzer.run.desk.store.assessments import assessment_of
from analyzer.run.desk.store.jobs import jobs_waiting
from analyzer.run.desk.store.lessons import add_lesson, keep_recording, lesson_of, lessons_of_recording, put_away
from analyzer.run.desk.store.pilots import pilot_of
from analyzer.run.desk.store.words import LONGEST_NAME, one_line

deliveries = Blueprint("deliveries", __name__)

_CHUNK_BYTES = 1024 * 1024

#: what the report itself allows stands in its head; the frame adds that it is alone, without our origin
_POLICY_IN_HEAD = re.compile(rb'<meta http-equiv="Content-Security-Policy" content="([^"]{1,2000})">')
_ALONE = "frame-ancestors 'self'; sandbox allow-scripts allow-downloads allow-modals"


@deliveries.post("/recordings")
def receive() -> AnyResponse:
    """Receive recordings: fields `file` (several), and for all of them `pilot` and `chart` (several), by number.

    Answers JSON to a script: {"received": [{name, lesson, known}], "refused": [{name, error}]}; `known`: the same bytes
    were here already, and `lesson` is the one made of them then. Otherwise leads to the lesson, or to the list.
    """
    desk = the_desk()
    pilot = request.form.get("pilot", type=int)
    charts = request.form.getlist("chart", type=int)
    received: list[dict[str, Any]] = []
    refused: list[dict[str, str]] = []
    for sent in request.files.getlist("file"):
        name = shown_name(sent.filename or "")
        try:
            received.append({"name": name, **_received(desk, sent.stream, name, pilot, charts)})
        except ReversalDebriefError as error:
            refused.append({"name": name, "error": str(error)})
    desk.crew.wake()
    return _answer(received, refused)


def shown_name(name: str) -> str:
    """Return a file's name as it is shown: without folders, on one line, shortened; it never becomes a path."""
    last = re.split(r"[/\\]", name[-4 * LONGEST_NAME :])[-1]
    line = one_line(last, "name", len(name) + 1)
    if len(line) > LONGEST_NAME:  # the end tells the kind of file
        line = f"{line[: LONGEST_NAME - 13]}…{line[-12:]}"
    return line or "recording"


def _received(desk: Desk, stream: Any, name: str, pilot: int | None, charts: list[int]) -> dict[str, Any]:
    kept = desk.recordings.keep(stream, name)
    if not kept.size_bytes:
        raise DeskError(f"{name}: the file is empty; copy it from the recorder again")
    with desk.store.writing() as change:
        earlier = lessons_of_recording(change, kept.sha256)
        if earlier:
            put_away(change, earlier[-1], away=False)
            return {"lesson": earlier[-1], "known": True}
        if pilot is not None:
            pilot_of(change, pilot)
        keep_recording(change, kept.sha256, name, kept.size_bytes)
        lesson = add_lesson(change, kept.sha256, pilot=pilot, charts=charts)
    return {"lesson": lesson.id, "known": False}


@deliveries.get("/work")
def work() -> Response:
    """Tell how the work is coming on: {"waiting": [lessons in order], "lessons": {number: {state, waiting, refusal}}}.

    The lessons told of are those named as `lesson` in the query.
    """
    with the_desk().store.reading() as view:
        waiting = jobs_waiting(view)
        told: dict[str, Any] = {}
        for number in request.args.getlist("lesson", type=int)[:200]:
            one = lesson_of(view, number)
            told[str(number)] = {
                "state": one.state,
                "waiting": one.waiting,
                "refusal": one.refusal,
                "assessment": one.assessment,
            }
    return jsonify({"waiting": waiting, "lessons": told})


@deliveries.get("/assessments/<int:assessment>/report")
def report(assessment: int) -> Response:
    """Hand out a report for a frame of its own: scripts by the hashes in its head, no origin, no request."""
    desk = the_desk()
    with desk.store.reading() as view:
        about = assessment_of(view, assessment)
    if not about.report_sha256:
        raise DeskError(f"assessment {assessment}: there is no such report here; it came from another desk")
    page = desk.reports.read(about.report_sha256)
    found = _POLICY_IN_HEAD.search(page[:4000])
    if found is None:
        abort(500)
    answer = Response(page, mimetype="text/html")
    answer.headers["Content-Security-Policy"] = f"{html.unescape(found[1].decode('utf-8'))}; {_ALONE}"
    answer.headers["Cache-Control"] = "no-store"
    return answer


@deliveries.get("/assessments/<int:assessment>/result.json")
def result(assessment: int) -> Response:
    """Hand out a result file."""
    desk = the_desk()
    with desk.store.reading() as view:
        about = assessment_of(view, assessment)
    return Response(desk.results.read(about.result_sha256), mimetype="application/json")


@deliveries.get("/lessons/<int:lesson>/export.html")
def export_page(lesson: int) -> Response:
    """Hand out a lesson as one page, to be saved: the report with what was said of it."""
    from analyzer.run.desk.exchange.one_page import lesson_page

    desk = the_desk()
    return _saved_as(Response(lesson_page(desk, lesson), mimetype="text/html"), desk, lesson, ".html")


@deliveries.get("/lessons/<int:lesson>/export.zip")
def export_archive(lesson: int) -> Response:
    """Hand out a lesson as an archive of everything, which another desk takes in."""
    from analyzer.run.desk.exchange.export import write_archive

    desk = the_desk()
    stream = spooled(desk.recordings.folder)
    try:
        write_archive(desk, lesson, stream)
        stream.seek(0)
    except BaseException:
        stream.close()
        raise
    answer = Response(_pieces(stream), mimetype="application/zip")
    return _saved_as(answer, desk, lesson, ".zip")


@deliveries.post("/import")
def import_archive() -> AnyResponse:
    """Take in archives of lessons, fields `file` (several).

    Answers JSON to a script: {"received": [{name, lesson, known, new}], "refused": [{name, error}]}. Otherwise leads
    to the lesson, or to the list.
    """
    from analyzer.run.desk.exchange.take_in import take_in

    desk = the_desk()
    received: list[dict[str, Any]] = []
    refused: list[dict[str, str]] = []
    for sent in request.files.getlist("file"):
        name = shown_name(sent.filename or "")
        try:
            taken = take_in(desk, sent.stream, name)
            received.append({"name": name, "lesson": taken.lesson, "known": taken.known, "new": taken.new})
        except ReversalDebriefError as error:
            refused.append({"name": name, "error": str(error)})
    return _answer(received, refused)


@deliveries.post("/end")
def end() -> AnyResponse:
    """End the desk; what is under way is taken up again by the next one."""
    ending = current_app.extensions.get("end")
    answer = Response(render_template("desk/ended.html"), mimetype="text/html")
    if ending is not None:
        answer.call_on_close(ending)
    return answer


def _answer(received: list[dict[str, Any]], refused: list[dict[str, str]]) -> AnyResponse:
    """Answer a script with what became of each file; lead a browser without script to what was made of them."""
    if request.accept_mimetypes.best_match(["text/html", "application/json"]) == "application/json":
        return jsonify({"received": received, "refused": refused})
    if refused or not received:
        raise DeskError(refused[0]["error"] if refused else "file: none was chosen")
    if len(received) == 1:
        return redirect(url_for("pages.lesson", lesson=received[0]["lesson"]), 303)
    return redirect(url_for("pages.lessons"), 303)


def _pieces(stream: IO[bytes]) -> Iterator[bytes]:
    with stream:
        while piece := stream.read(_CHUNK_BYTES):
            yield piece


def _saved_as(answer: Response, desk: Desk, lesson: int, ending: str) -> Response:
    """Have a browser save an answer under the recording's name."""
    with desk.store.reading() as view:
        about = lesson_of(view, lesson)
    stem = about.recording.name.rpartition(".")[0] or about.recording.name
    safe = re.sub(r"[^\w .()+-]", "_", stem).strip(" .")[:80] or "lesson"
    answer.headers.set("Content-Disposition", "attachment", filename=f"{safe}{ending}")
    return answer
