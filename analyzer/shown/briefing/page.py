"""The briefing as one self-contained page that prints on one sheet."""

import base64
import hashlib
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from analyzer.given import Procedure
from analyzer.planned import SolvedPlan
from analyzer.shown.briefing.drawing import drawing
from analyzer.shown.briefing.sheet import (
    Briefed,
    altitude_rows,
    answered,
    conditions,
    leg_rows,
    limit_rows,
    what_if_rows,
)
from analyzer.shown.report.drawn.palette import DARK, LIGHT
from analyzer.units import knots

CAUTION = (
    "Training debrief only, not for navigation or flight planning; the chart in force, local rules and a licensed "
    "instructor decide."
)


def briefing_page(sheet: Briefed) -> str:
    """Return the page. It makes no request, needs no script, and everything from the procedure file is escaped."""
    environment = Environment(
        loader=PackageLoader("analyzer.shown.briefing", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    style = _style()
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    procedure = sheet.plan.procedure
    return environment.get_template("briefing.html").render(
        title=procedure.title,
        subject=_subject(procedure, sheet),
        caution=CAUTION,
        policy=f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; form-action 'none'",
        style=Markup(style),
        conditions=conditions(sheet),
        notes=procedure.notes,
        **parts(sheet),
    )


def parts(sheet: Briefed) -> dict[str, Any]:
    """Return what the shared parts of a page ("what to fly", "legs and limits") and its drawing are filled with."""
    solved = isinstance(sheet.solved, SolvedPlan)
    return {
        "drawing": drawing(sheet),
        "no_plan": "" if solved else sheet.card.conditions,
        "turns": sheet.card.conditions if solved else "",
        "steps": sheet.card.lines,
        "legs": leg_rows(sheet),
        "limits": limit_rows(sheet),
        "altitudes": altitude_rows(sheet),
        "what_if": what_if_rows(sheet),
    }


def read_style(name: str) -> str:
    """Return one of the style sheets."""
    return (resources.files("analyzer.shown.briefing") / "templates" / name).read_text(encoding="utf-8")


def colours(selector: str) -> str:
    """Return the report's colours, light and dark, for an element and what is in it."""
    light = ";".join(f"--{name}:{colour}" for name, colour in LIGHT.items())
    dark = ";".join(f"--{name}:{colour}" for name, colour in DARK.items())
    return f"{selector}{{{light}}}\n@media screen and (prefers-color-scheme:dark){{{selector}{{{dark}}}}}\n"


def _subject(procedure: Procedure, sheet: Briefed) -> str:
    method = "" if sheet.asked.method in (procedure.reversal, "hold") else f", flown as {sheet.asked.method}"
    return f"{procedure.reversal}{method}, at {knots(sheet.asked.tas_mps)}"


def _style() -> str:
    """Return the style sheet with the report's colours, light and dark."""
    return colours(":root") + read_style("drawing.css") + read_style("briefing.css")


def briefing_of(procedure: Procedure, **question: Any) -> str:
    """Return the sheet of a procedure as a page; `question` as `write_briefing` says."""
    return briefing_page(answered(procedure, question))


def write_briefing(procedure_path: str | Path, output: str | Path | None, **question: Any) -> str:
    """Read a procedure file, write its briefing sheet and return a line for the terminal.

    Parameters
    ----------
    procedure_path : path
    output : path or None
        Default: the procedure's name with "-briefing.html" in the present folder.
    question
        As of `briefed`; `wind` and `arrival_true_deg` may be functions of the procedure (its variation counts).
    """
    from analyzer.errors import OptionError
    from analyzer.files import write_whole
    from analyzer.reading import read_procedure

    path = Path(f"{Path(procedure_path).stem}-briefing.html") if output is None else Path(output)
    if path.suffix.lower() != ".html":
        raise OptionError(f"{path}: {path.suffix or 'no suffix'}; a briefing is written as .html")
    procedure = read_procedure(procedure_path, datetime.now(UTC))
    sheet = answered(procedure, question)
    write_whole(path, briefing_page(sheet))
    short = "" if isinstance(sheet.solved, SolvedPlan) else f" No plan: {sheet.solved.reason}."
    return f"{path}: briefing of {Path(procedure_path).name}; training only, not for navigation.{short}"
