"""The chart as one self-contained page: drawing, facts, what to fly, areas with their sources."""

import base64
import hashlib
from importlib import resources

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analyzer.shown.briefing.page import colours, parts, read_style
from analyzer.shown.briefing.sheet import Briefed, briefed, conditions
from analyzer.shown.chart.figure import inline_svg
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import CAUTION, facts, limit_text, summary


def chart_page(scene: Scene, sheet: Briefed | None = None) -> str:
    """Return the page. It makes no request, needs no script, and everything from the procedure file is escaped.

    Parameters
    ----------
    scene : Scene
    sheet : Briefed, optional
        What to fly in a wind; default: in still air at the speed of the scene.
    """
    loaders = [PackageLoader(f"analyzer.shown.{part}", "templates") for part in ("chart", "briefing")]
    environment = Environment(
        loader=ChoiceLoader(loaders), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    style = (resources.files("analyzer.shown.chart") / "templates" / "chart.css").read_text(encoding="utf-8")
    style += colours("svg.plan") + read_style("drawing.css")
    if sheet is None:
        sheet = briefed(scene.procedure, scene.tas_mps, None)
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    procedure = scene.procedure
    return environment.get_template("chart.html").render(
        title=procedure.title,
        summary=summary(procedure),
        caution=CAUTION,
        policy=f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'",
        style=Markup(style),
        chart=Markup(inline_svg(scene, "chart")),
        facts=facts(procedure),
        charted=[(limit.segment, limit_text(limit)) for limit in procedure.altitudes],
        areas=scene.areas,
        windy=sheet.asked.wind is not None,
        conditions=conditions(sheet),
        notes=procedure.notes,
        **parts(sheet),
    )
