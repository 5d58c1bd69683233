"""The chart as one self-contained page: drawing, facts, areas with their sources, legs of the nominal path."""

import base64
import hashlib
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analyzer.given import Procedure
from analyzer.planned import PathLeg
from analyzer.shown.chart.figure import inline_svg
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import CAUTION, course_text, facts, limit_text, summary
from analyzer.units import MPS_PER_KNOT


def chart_page(scene: Scene) -> str:
    """Return the page. It makes no request, needs no script, and everything from the procedure file is escaped."""
    environment = Environment(
        loader=PackageLoader("analyzer.shown.chart", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    style = (resources.files("analyzer.shown.chart") / "templates" / "chart.css").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    procedure = scene.procedure
    return environment.get_template("chart.html").render(
        title=procedure.title,
        summary=summary(procedure),
        caution=CAUTION,
        policy=f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'",
        style=Markup(style),
        drawing=Markup(inline_svg(scene, "chart")),
        facts=facts(procedure),
        altitudes=[(limit.segment, limit_text(limit)) for limit in procedure.altitudes],
        areas=scene.areas,
        tas_kt=f"{scene.tas_mps / MPS_PER_KNOT:.0f}",
        legs=[_leg_row(procedure, leg) for leg in scene.nominal[0].legs],
        notes=procedure.notes,
    )


def _leg_row(procedure: Procedure, leg: PathLeg) -> tuple[str, str, str]:
    """Phase, what is flown, how long."""
    if leg.heading_true_deg is not None:
        flown = f"heading {course_text(procedure, leg.heading_true_deg)}"
    else:
        flown = f"turn {'right' if (leg.turn_deg or 0.0) > 0 else 'left'} {abs(leg.turn_deg or 0.0):.0f}°"
    seconds = round(leg.duration_s)
    return leg.phase, flown, f"{seconds // 60}:{seconds % 60:02d}"
