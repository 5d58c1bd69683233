"""The chart as one page in the report's design: plan, profile, what to fly, facts, areas with their sources."""

from typing import NamedTuple

from jinja2 import ChoiceLoader, PackageLoader

from analyzer.planned import SolvedPlan
from analyzer.shown.briefing.page import parts
from analyzer.shown.briefing.sheet import Briefed, briefed, conditions
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.view import leg_words, over_plan, path_points, profile_view, sector_words
from analyzer.shown.chart.words import CAUTION, facts, limit_text, summary
from analyzer.shown.report.drawn.plan import PlanDrawing, draw_plan
from analyzer.shown.report.drawn.strips import draw_strip
from analyzer.shown.report.page import content_policy, environment, json_for_script, page_script, page_style
from analyzer.shown.report.procedure_drawing import procedure_plan
from analyzer.shown.report.view.plan_ground import bounds_of
from analyzer.shown.report.view.wording import course
from analyzer.units import MPS_PER_KNOT, knots

_SCRIPTS = ("numbers.js", "labels.js", "plan.js", "plan_moves.js", "chart.js")


class Windy(NamedTuple):
    """The plan in a wind: where from in degrees true, and its words."""

    plan: SolvedPlan
    from_true_deg: float
    words: str


def chart_page(scene: Scene, sheet: Briefed | None = None) -> str:
    """Return the page. It makes no request, holds all content without script, and escapes what a file says.

    Parameters
    ----------
    scene : Scene
    sheet : Briefed, optional
        What to fly in a wind; default: in still air at the speed of the scene.
    """
    procedure = scene.procedure
    sheet = briefed(procedure, scene.tas_mps, None) if sheet is None else sheet
    windy = _windy(sheet)
    drawn, profile = _drawn(scene, windy), profile_view(scene)
    style, script = page_style(), page_script(_SCRIPTS)
    loaders = [PackageLoader(f"analyzer.shown.{wing}", "templates") for wing in ("report", "briefing")]
    return (
        environment()
        .overlay(loader=ChoiceLoader(loaders))
        .get_template("chart.html")
        .render(
            title=procedure.title,
            summary=summary(procedure),
            caution=CAUTION,
            policy=content_policy(style, script),
            style=style,
            script=script,
            plan=drawn,
            data=json_for_script({"x0": drawn.x0, "y0": drawn.y0, "k": drawn.k, "close": drawn.close_view}),
            profile=profile,
            strip=draw_strip(profile, (), (), "chart"),
            facts=facts(procedure),
            charted=[(limit.segment, limit_text(limit)) for limit in procedure.altitudes],
            areas=scene.areas,
            tas_kt=f"{scene.tas_mps / MPS_PER_KNOT:.0f}",
            windy=windy,
            conditions=conditions(sheet),
            notes=procedure.notes,
            **{name: value for name, value in parts(sheet).items() if name != "drawing"},
        )
    )


def _windy(sheet: Briefed) -> Windy | None:
    wind = sheet.asked.wind
    if wind is None or not isinstance(sheet.solved, SolvedPlan):
        return None
    words = f"{course(wind.from_deg_true)} / {knots(wind.speed_mps)}"
    return Windy(sheet.solved, wind.from_deg_true, words)


def _drawn(scene: Scene, windy: Windy | None) -> PlanDrawing:
    plan, words = procedure_plan(scene)
    legs = scene.nominal[0].legs if scene.nominal else ()
    if windy is not None:
        legs, path = windy.plan.legs, path_points(scene, windy.plan.legs)
        west, south, east, north = plan.close_bounds
        plan = plan._replace(
            planned=(*plan.planned, ("wind-corrected path", path)),
            wind=(windy.from_true_deg, windy.words),
            close_bounds=bounds_of([(west, south), (east, north), *path], 0.0),
        )
    more = [*words[:1], *leg_words(scene, legs), *sector_words(scene)]
    return draw_plan(plan, "chart", more, lambda board: over_plan(scene, board))
