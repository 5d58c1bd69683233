"""Wind where it acts on the plan view: the heading at each minute, drift in the turns; and the flight put right."""

from markupsafe import Markup

from analyzer.shown.report.drawn.board import Board
from analyzer.shown.report.drawn.svg import STEADY, element, group, path_data, thinned
from analyzer.shown.report.view.values import PlanView

_THIN = 0.12
_SHORTEST_ARROW = 6.0  # drawing units: a shorter one is all head


def minute_ticks(plan: PlanView, board: Board) -> Markup:
    """Draw a stroke across the path at each whole minute, and where the nose pointed where that is known."""
    drawn = []
    for tick in plan.ticks:
        parts = [element("path", class_="minute-stroke", d="M-5 0H5", transform=f"rotate({tick.track_true_deg:.0f})")]
        if tick.heading_true_deg is not None:
            nose = element("path", class_="nose", d="M0 0V-19M-3.5 -14L0 -20L3.5 -14")
            parts.append(group(nose, transform=f"rotate({tick.heading_true_deg:.0f})"))
        drawn.append(group(group(*parts, class_="pin"), transform=board.shift(board(*tick.place))))
    return group(*drawn, class_="layer layer-minutes")


def drift_lines(plan: PlanView, board: Board) -> Markup:
    """Draw each turn as it would have been in still air, and what the wind added to it."""
    drawn = []
    for drift in plan.drifts:
        still = board.places(drift.still_air)
        x, y = board(*drift.flown_end)
        x0, y0 = float(still[-1][0]), float(still[-1][1])
        arrow = element("path", class_="line drift-arrow", d=path_data([(x0, y0), (x, y)]), vector_effect=STEADY)
        path = element("path", class_="line still-air", d=path_data(thinned(still, _THIN)), vector_effect=STEADY)
        parts = [element("title", drift.words), path]
        if abs(x - x0) + abs(y - y0) >= _SHORTEST_ARROW:
            parts.append(arrow)
        drawn.append(group(*parts))
    return group(*drawn, class_="layer layer-drift")


def put_right_paths(plan: PlanView, board: Board) -> Markup:
    """Draw the same flight with one thing put right, each a layer of its own; the first is seen at the start."""
    drawn = []
    for number, one in enumerate(plan.put_right):
        data = path_data(thinned(board.places(one.path), _THIN))
        casing = element("path", class_="line put-right-casing", d=data, vector_effect=STEADY)
        path = element("path", class_="line put-right", d=data, vector_effect=STEADY)
        x, y = board(*one.path[0])
        start = group(element("circle", class_="departs", r=4.5), class_="pin")
        drawn.append(
            group(
                element("title", one.words),
                casing,
                path,
                group(start, transform=board.shift((x, y))),
                class_=f"put-right-layer{'' if number == 0 else ' off'}",
                data_cause=number,
            )
        )
    return group(*drawn, class_="put-right-all")
