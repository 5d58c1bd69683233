"""The drawing: plan above profile on one sheet, as SVG that is the same for the same procedure."""

import io
import re
import warnings
from typing import Any

from matplotlib import rc_context
from matplotlib.figure import Figure

from analyzer.shown.chart.plan import INK, QUIET, SHEET, SHEET_HEIGHT_IN, SHEET_WIDTH_IN, draw_plan
from analyzer.shown.chart.profile import draw_profile
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import CAUTION, course_text, summary
from analyzer.units import MPS_PER_KNOT

LONGEST_TITLE = 60
#: fixed names of clip paths and markers, no date, text as text
SETTINGS: Any = {
    "svg.hashsalt": "reversal-debrief",
    "svg.fonttype": "none",
    "path.simplify_threshold": 0.5,
    "font.family": "sans-serif",
    "text.parse_math": False,  # a $ in a name is a $
    "hatch.linewidth": 0.5,
}


def draw_figure(scene: Scene, with_title: bool = True) -> Figure:
    """Return plan and profile on one figure; to be saved under `SETTINGS`."""
    procedure = scene.procedure
    figure = Figure(figsize=(SHEET_WIDTH_IN, SHEET_HEIGHT_IN), facecolor=SHEET)
    if with_title:
        figure.text(0.03, 0.985, _short(procedure.title), fontsize=15, weight="bold", color=INK, va="top")
    words = (
        f"{procedure.reversal}, inbound {course_text(procedure, procedure.inbound_true_deg)}, {procedure.criteria} "
        f"areas, category {procedure.category}\ndashed: nominal path in still air at "
        f"{scene.tas_mps / MPS_PER_KNOT:.0f} kt; dotted along the course: full scale of the needle"
    )
    figure.text(0.03, 0.957 if with_title else 0.985, words, fontsize=8, color=QUIET, va="top", linespacing=1.35)
    draw_plan(figure.add_axes((0.02, 0.3, 0.96, 0.62 if with_title else 0.645)), scene)
    draw_profile(figure.add_axes((0.05, 0.075, 0.9, 0.195)), scene)
    figure.text(0.03, 0.012, CAUTION, fontsize=8.5, weight="bold", color=INK, va="bottom")
    return figure


def _short(title: str) -> str:
    """Title that fits on the sheet."""
    return title if len(title) <= LONGEST_TITLE else title[: LONGEST_TITLE - 1] + "…"


def drawing_svg(scene: Scene, with_title: bool = True) -> str:
    """Return the chart as a whole SVG file."""
    with rc_context(SETTINGS), warnings.catch_warnings():
        # the reader's fonts draw the words, not the one that measures them here
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*missing from font.*")
        warnings.filterwarnings("ignore", message=".*does not support.*")
        figure = draw_figure(scene, with_title)
        stream = io.StringIO()
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    return stream.getvalue()


def inline_svg(scene: Scene, identifier: str) -> str:
    """Return the chart as an SVG element for a page under a strict content policy.

    Style attributes become presentation attributes (a page that forbids inline style would drop them), ids and their
    references get a prefix, the XML head, the metadata and the global style go.
    """
    svg = drawing_svg(scene, with_title=False)
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<style[^>]*>.*?</style>", "", svg, flags=re.DOTALL)
    svg = re.sub(r'style="([^"]*)"', _as_attributes, svg)
    svg = re.sub(r'\bid="', f'id="{identifier}-', svg)
    svg = re.sub(r'((?:xlink:)?href)="#', rf'\1="#{identifier}-', svg)
    svg = re.sub(r"url\(#", f"url(#{identifier}-", svg)
    svg = svg.replace("xlink:href", "href")
    head = (
        f'<svg class="chart" role="img" aria-labelledby="{identifier}-title {identifier}-words" '
        'stroke-linejoin="round" stroke-linecap="butt" '
    )
    svg = svg.replace("<svg ", head, 1)
    svg = re.sub(r' (?:width|height)="[\d.]+pt"', "", svg, count=2)
    at = svg.index(">") + 1
    names = (
        f'<title id="{identifier}-title">Chart of the procedure</title>'
        f'<desc id="{identifier}-words">{_escaped(summary(scene.procedure))}</desc>'
    )
    return svg[:at] + names + svg[at:]


def _as_attributes(found: re.Match[str]) -> str:
    """Presentation attributes of a style attribute."""
    attributes = []
    for declaration in found.group(1).split(";"):
        name, _, value = declaration.strip().partition(":")
        if not name:
            continue
        if name == "font":  # shorthand: [weight] size family
            weight, size, family = _FONT.fullmatch(value.strip()).groups()  # type: ignore[union-attr]
            if weight:
                attributes.append(f'font-weight="{weight}"')
            attributes += [f'font-size="{size}"', f'font-family="{family.replace(chr(34), chr(39))}"']
        else:
            attributes.append(f'{name}="{value.strip()}"')
    return " ".join(attributes)


_FONT = re.compile(r"(?:(bold|\d{3})\s+)?([\d.]+px)\s+(.+)")


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
