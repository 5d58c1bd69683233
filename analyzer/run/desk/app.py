"""The application of the desk: the gate before it, the pages in it, every error a page in plain words."""

from typing import IO

from flask import Flask, Request, Response, current_app, jsonify, render_template, request
from werkzeug.exceptions import HTTPException

from analyzer.errors import DeskError, ReversalDebriefError
from analyzer.run.desk.gate import Gate, install
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.recordings import LARGEST_FILE_BYTES, spooled

#: a folder of recordings in one go; a single file has its own limit
LARGEST_REQUEST_BYTES = 4 * LARGEST_FILE_BYTES
_MOST_PARTS = 2_000
_WORDS = {
    403: "No way in",
    404: "Nothing here",
    405: "Not this way",
    413: "Too large",
    500: "A mistake of this program",
}
_ADVICE = {
    404: "The address is wrong, or what it shows has gone.",
    405: "The address can't be used this way.",
    413: f"At most {LARGEST_FILE_BYTES / 1e6:,.0f} MB a recording, {LARGEST_REQUEST_BYTES / 1e6:,.0f} MB in one go.",
    500: "Nothing that was confirmed is lost. Go back and try again; please report it if it happens again.",
}


class DeskRequest(Request):
    """A request whose files are received in the desk's own folder, not in the system's temporary one."""

    def _get_file_stream(
        self,
        total_content_length: int | None,
        content_type: str | None,
        filename: str | None = None,
        content_length: int | None = None,
    ) -> IO[bytes]:
        return spooled(the_desk().recordings.folder)


def make_app(desk: Desk, gate: Gate) -> Flask:
    """Return the application of an open desk."""
    from analyzer.run.desk.deliveries import deliveries
    from analyzer.run.desk.pages.routes import pages

    app = Flask("analyzer.run.desk", static_folder=None, template_folder=None)
    app.request_class = DeskRequest
    app.extensions["desk"] = desk
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_REQUEST_BYTES
    app.config["MAX_FORM_PARTS"] = _MOST_PARTS
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.json.sort_keys = False  # type: ignore[attr-defined]
    install(app, gate)
    app.register_blueprint(deliveries)
    app.register_blueprint(pages)
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(ReversalDebriefError, _mistaken)
    app.register_error_handler(Exception, _broken)
    return app


def the_desk() -> Desk:
    """Return the desk that the request at hand was sent to."""
    desk: Desk = current_app.extensions["desk"]
    return desk


def error_answer(status: int, title: str, words: str) -> Response:
    """Return an error as a page, or as JSON to a script that asks for it: {"error": words}."""
    if request.accept_mimetypes.best_match(["text/html", "application/json"]) == "application/json":
        answer = jsonify({"error": words})
    else:
        answer = Response(render_template("desk/error.html", title=title, words=words), mimetype="text/html")
    answer.status_code = status
    return answer


def _refused(error: HTTPException) -> Response:
    status = error.code or 500
    said = error.description if status == 403 or status not in _ADVICE else _ADVICE[status]
    return error_answer(status, _WORDS.get(status, "Not possible"), str(said))


def _mistaken(error: ReversalDebriefError) -> Response:
    missing = isinstance(error, DeskError) and "there is no such" in str(error)
    return error_answer(404 if missing else 400, "Nothing here" if missing else "Not possible", str(error))


def _broken(error: Exception) -> Response:
    current_app.logger.exception("mistake of this program at %s", request.path)
    return error_answer(500, _WORDS[500], _ADVICE[500])
