"""The report's style sheet and its sorting of tables, for the pages of the desk."""

import hashlib

from flask import Response, request


def report_style() -> Response:
    """Give the style sheet that each page begins with."""
    from analyzer.shown import page_style

    return _unchanging(str(page_style()), "text/css")


def report_sort() -> Response:
    """Give the script that sorts tables."""
    from analyzer.shown import page_script

    return _unchanging(str(page_script(("sort.js",))), "text/javascript")


def _unchanging(text: str, kind: str) -> Response:
    answer = Response(text, mimetype=kind)
    answer.set_etag(hashlib.sha256(text.encode("utf-8")).hexdigest()[:24])
    answer.headers["Cache-Control"] = "private, no-cache"  # asked for again, answered by "not modified"
    answer.make_conditional(request)
    return answer
