"""Signs on the plan view: fix, station, runway, passages of the fix, the numbered signs of findings."""

from markupsafe import Markup

from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.svg import element, group, text
from analyzer.shown.report.view.values import Mark, PlanView

_SIGNS = {
    "fix": group(
        element("path", class_="fix-sign", d="M0 -9L8 5H-8Z"),
        element("circle", class_="ink-fill", r=1.8),
    ),
    "station": element("path", class_="fix-sign", d="M-4 -7H4L8 0L4 7H-4L-8 0Z"),
    "runway": element("rect", class_="ink-fill", x=-3, y=-8, width=6, height=16),
    "passage": element(
        "path", class_="passage-sign", d="M-7 0A7 7 0 1 0 7 0A7 7 0 1 0 -7 0M0 -11V-4M0 4V11M-11 0H-4M4 0H11"
    ),
}
_SHAPES = {
    "critical": "M-4.5 -11H4.5L11 -4.5V4.5L4.5 11H-4.5L-11 4.5V-4.5Z",
    "major": "M0 -12L12 10H-12Z",
    "minor": "M0 -12L12 0L0 12L-12 0Z",
}
_NUMBER_Y = {"critical": 4.2, "major": 7.4, "minor": 4.2}


def mark_symbols(plan: PlanView, board: Board) -> Markup:
    """Draw the signs of all marks, the fix first so that passages lie above it."""
    return group(*(_mark(mark, board) for mark in plan.marks), class_="marks")


def _mark(mark: Mark, board: Board) -> Markup:
    return group(
        group(element("title", mark.label), _SIGNS[mark.kind], class_="pin"),
        class_=f"mark {mark.kind}",
        transform=board.shift(board(*mark.place)),
        data_jump=None if mark.at_s is None else f"{mark.at_s:.1f}",
    )


def finding_sign(severity: str, number: int) -> Markup:
    """Draw the sign of how bad a finding is, with its number in it."""
    tone = "open-sign" if severity == "minor" else "bad-sign"
    word = text(0, _NUMBER_Y[severity], str(number), class_="sign-number", text_anchor="middle")
    return group(element("path", class_=f"sign {tone}", d=_SHAPES[severity]), word)
