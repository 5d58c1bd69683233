"""The drawing: plan above profile on one sheet, as SVG that is the same for the same procedure."""

import io
import warnings
from typing import Any

from matplotlib import rc_context
from matplotlib.figure import Figure

from analyzer.shown.chart.plan import INK, QUIET, SHEET, SHEET_HEIGHT_IN, SHEET_WIDTH_IN, draw_plan
from analyzer.shown.chart.profile import draw_profile
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import CAUTION, course_text
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


def draw_figure(scene: Scene) -> Figure:
    """Return plan and profile on one figure; to be saved under `SETTINGS`."""
    procedure = scene.procedure
    figure = Figure(figsize=(SHEET_WIDTH_IN, SHEET_HEIGHT_IN), facecolor=SHEET)
    figure.text(0.03, 0.985, _short(procedure.title), fontsize=15, weight="bold", color=INK, va="top")
    words = (
        f"{procedure.reversal}, inbound {course_text(procedure, procedure.inbound_true_deg)}, {procedure.criteria} "
        f"areas, category {procedure.category}\ndashed: nominal path in still air at "
        f"{scene.tas_mps / MPS_PER_KNOT:.0f} kt; dotted along the course: full scale of the needle"
    )
    figure.text(0.03, 0.957, words, fontsize=8, color=QUIET, va="top", linespacing=1.35)
    draw_plan(figure.add_axes((0.02, 0.3, 0.96, 0.62)), scene)
    draw_profile(figure.add_axes((0.05, 0.075, 0.9, 0.195)), scene)
    figure.text(0.03, 0.012, CAUTION, fontsize=8.5, weight="bold", color=INK, va="bottom")
    return figure


def _short(title: str) -> str:
    """Title that fits on the sheet."""
    return title if len(title) <= LONGEST_TITLE else title[: LONGEST_TITLE - 1] + "…"


def drawing_svg(scene: Scene) -> str:
    """Return the chart as a whole SVG file."""
    with rc_context(SETTINGS), warnings.catch_warnings():
        # the reader's fonts draw the words, not the one that measures them here
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*missing from font.*")
        warnings.filterwarnings("ignore", message=".*does not support.*")
        figure = draw_figure(scene)
        stream = io.StringIO()
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    return stream.getvalue()
