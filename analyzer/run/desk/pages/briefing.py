"""The briefing for the next flight: a chart, the wind of the day, and what to fly in it."""

import html
import re

from flask import Response, render_template, request

from analyzer.errors import DeskError, OptionError, ReversalDebriefError
from analyzer.given import Procedure
from analyzer.run.briefing import sheet_of
from analyzer.run.desk.app import the_desk
from analyzer.run.desk.pages.typed import typed_query
from analyzer.run.desk.store.charts import Chart, all_charts, chart_of

METHODS = ("45/180", "80/260", "teardrop", "racetrack", "hold")
_POLICY_IN_HEAD = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]{1,2000})">')
_ALONE = "frame-ancestors 'self'; sandbox allow-modals allow-downloads"
_FIELDS = ("chart", "wind", "tas", "arrival", "method", "temperature")


def show() -> str:
    """Show the question, and the sheet where it is asked."""
    asked = {name: typed_query(name, 80) for name in _FIELDS}
    with the_desk().store.reading() as view:
        charts = [(str(one.id), one.title) for one in all_charts(view)]
    is_asked = bool(asked["chart"] and asked["wind"] and asked["tas"])
    wrong = ""
    if is_asked:
        try:
            _sheet(asked)
        except ReversalDebriefError as error:
            wrong = _in_words(error)
    return render_template(
        "desk/briefing.html",
        place="/briefing",
        asked=asked,
        charts=charts,
        methods=[("", "the usual one"), *((name, name) for name in METHODS)],
        wrong=wrong,
        query=request.query_string.decode("ascii", "replace") if is_asked and not wrong else "",
    )


def sheet() -> Response:
    """Give the sheet for its frame, or to be printed."""
    content = _sheet({name: typed_query(name, 80) for name in _FIELDS})
    found = _POLICY_IN_HEAD.search(content[:4000])
    answer = Response(content, mimetype="text/html")
    policy = "default-src 'none'" if found is None else html.unescape(found[1])
    answer.headers["Content-Security-Policy"] = f"{policy}; {_ALONE}"
    return answer


def _sheet(asked: dict[str, str]) -> str:
    chart = asked["chart"]
    if not (chart.isascii() and chart.isdecimal() and len(chart) < 16):
        raise DeskError("chart: pick one first")
    with the_desk().store.reading() as view:
        one = chart_of(view, int(chart))
    return sheet_of(
        _procedure(one),
        asked["wind"],
        _number(asked["tas"], "true airspeed") or 0.0,
        (_number(asked["arrival"], "arrival"), asked["method"] or None, _number(asked["temperature"], "temperature")),
    )


def _procedure(chart: Chart) -> Procedure:
    from datetime import UTC, datetime

    from analyzer.reading import parsed_procedure, procedure_from_mapping

    tables = parsed_procedure(chart.text.encode("utf-8", "replace"), chart.title)
    return procedure_from_mapping(tables, chart.title, datetime.now(UTC))


def _number(text: str, what: str) -> float | None:
    if not text:
        return None
    try:
        return float(text.rstrip("° ").replace(",", "."))
    except ValueError:
        raise OptionError(f"{what}: {text[:40]!r} is not a number") from None


def _in_words(error: ReversalDebriefError) -> str:
    """Return an error of the command's options in the words of the form."""
    said = str(error)
    for option, word in (("--tas", "true airspeed"), ("--arrival", "arrival track"), ("--wind", "wind")):
        said = said.replace(option, word)
    return said.replace("--method", "method").replace("--temperature-c", "temperature")
