"""The plan as a drawing of its own: the report's drawing of the reversal, with its colours and its caution in it."""

import re
from functools import cache
from importlib import resources

from markupsafe import Markup

from analyzer.shown.handed_on.flight import CAUTION, GENERATOR
from analyzer.shown.report.drawn.palette import DOCK, LIGHT, PHASE_LOOKS, ink_on, palette_css, phase_key
from analyzer.shown.report.drawn.plan import HEIGHT, SHEET_TOP, WIDTH, draw_sheet
from analyzer.shown.report.drawn.svg import element, text
from analyzer.shown.report.view.values import PlanView, phase_letter

LINE, LONGEST, MOST_LINES = 19.0, 116, 4  # pixels between the lines below; letters in one; lines of phases
_LEFT_OUT = re.compile(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*[^{}]*\}|(?:^|\n):root\{[^}]*\}|/\*.*?\*/", re.DOTALL)
_RULE = re.compile(r"([^{}\n]+)\{([^{}]*)\}")
_KEPT = re.compile(r"fill|stroke|font|display|visibility")


def plan_svg(plan: PlanView, title: str) -> str:
    """Return the plan as a whole SVG file that any drawing program reads: no script, no variables.

    Parameters
    ----------
    plan : PlanView
    title : str
        Stands above the drawing.
    """
    plan, lines = as_handed_on(plan), words_below(plan)
    high = SHEET_TOP + HEIGHT + LINE * len(lines) + 11.0
    parts = [
        element("title", title),
        element("desc", f"{plan.words} {CAUTION}"),
        element("style", Markup(drawing_style())),
        element("rect", width=WIDTH, height=high, fill=LIGHT["ground"]),
        text(14.0, 22.0, title, class_="word strong"),
        draw_sheet(plan, "plan"),
        *(text(14.0, SHEET_TOP + HEIGHT + LINE * at, words, class_="note") for at, words in enumerate(lines, 1)),
    ]
    drawing = element(
        "svg",
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:.0f} {high:.0f}",
        width=f"{WIDTH:.0f}",
        height=f"{high:.0f}",
    )
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<!-- {GENERATOR} -->\n{drawing}\n'


def as_handed_on(plan: PlanView) -> PlanView:
    """Return what of a plan is drawn: beside the flight put right no planned paths, as the report starts."""
    return plan._replace(planned=()) if plan.put_right else plan


def words_below(plan: PlanView) -> list[str]:
    """Return the lines under a drawing: the phases' letters, what is dotted, the caution."""
    lines: list[str] = []
    for one in plan.stretches:
        name = f"{phase_letter(one.number)} {one.label}"
        if not lines or len(lines[-1]) + len(name) + 3 > LONGEST:
            lines.append(name)
        else:
            lines[-1] += f"   {name}"
    lines = lines[:MOST_LINES]
    if plan.put_right:
        lines.append(f"Dotted green: the same flight, put right. {plan.put_right[0].chip}.")
    return [*lines, CAUTION]


@cache
def drawing_style() -> str:
    """Return the report's rules for the plan with its light colours written in."""
    rules = palette_css() + "\n"
    style = (resources.files("analyzer.shown.report") / "templates" / "plan.css").read_text(encoding="utf-8")
    rules += style.partition("/* beside the plan */")[0]
    colours = {**LIGHT, **DOCK}
    for name, look in PHASE_LOOKS.items():
        colours |= {f"phase-{phase_key(name)}": look.light, f"on-{phase_key(name)}": ink_on(look.light)}
    kept = []
    for selector, body in _RULE.findall(_LEFT_OUT.sub("", rules)):
        if ".live" in selector:
            continue
        said = [one.strip() for one in body.split(";") if _KEPT.match(one.strip())]
        if said:
            kept.append(f"{selector.strip()}{{{';'.join(said)}}}")
    style = "\n".join(kept)
    style = re.sub(r"calc\((\d+(?:\.\d+)?px)\*var\(--thin,1\)\)", r"\1", style)
    style = re.sub(r"var\(--([\w-]+)\)", lambda found: colours[found[1]], style)
    return style + f"\ntext.sign-number{{font-size:12px;font-weight:800;fill:{LIGHT['sheet']}}}\n"
