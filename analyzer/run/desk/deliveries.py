"""What goes in and out as files: recordings received, reports and results handed out, how the work is coming on."""

import re
from typing import Any

from flask import Blueprint, Response, abort, jsonify, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from analyzer.errors import DeskError
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.store.assessments import assessment_of
from analyzer.run.desk.store.jobs import jobs_waiting
from analyzer.run.desk.store.lessons import add_lesson, keep_recording, lesson_of, lessons_of_recording
from analyzer.run.desk.store.pilots import pilot_of
from analyzer.run.desk.store.words import LONGEST_NAME, one_line

deliveries = Blueprint("deliveries", __name__)

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
        except DeskError as error:
            refused.append({"name": name, "error": str(error)})
    desk.crew.wake()
    if request.accept_mimetypes.best_match(["text/html", "application/json"]) == "application/json":
        return jsonify({"received": received, "refused": refused})
    if refused or not received:
        raise DeskError(refused[0]["error"] if refused else "recording: no file was chosen")
    if len(received) == 1:
        return redirect(url_for("pages.lesson", lesson=received[0]["lesson"]), 303)
    return redirect(url_for("pages.lessons"), 303)


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
    page = desk.reports.read(about.report_sha256)
    found = _POLICY_IN_HEAD.search(page[:4000])
    if found is None:
        abort(500)
    answer = Response(page, mimetype="text/html")
    import html

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
