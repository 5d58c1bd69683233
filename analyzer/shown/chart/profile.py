"""The profile view: altitudes over the distance from the fix, outbound to the left as on an approach chart."""

import math

import numpy as np
from matplotlib.axes import Axes

from analyzer.given import AltitudeLimit, AltitudeSegment, Procedure
from analyzer.shown.chart.plan import GRID, INK, LIMIT, PLAN, QUIET, SHEET, SHEET_HEIGHT_IN, altitude_mark
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import course_text, nautical_miles
from analyzer.standards import GUIDANCE
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM

_HALO = {"facecolor": SHEET, "edgecolor": "none", "alpha": 0.9, "pad": 0.8}


def draw_profile(axes: Axes, scene: Scene) -> None:
    """Draw the profile; without any altitude it says so."""
    procedure = scene.procedure
    axes.set_facecolor("none")
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(GRID)
    levels = {limit.segment: _level_ft(limit) for limit in procedure.altitudes}
    beyond = max(3.0, 1.15 * _runway_nm(scene))
    out = scene.reach_m / METRES_PER_NM * 1.04
    axes.set_xlim(out, -beyond)
    axes.tick_params(colors=QUIET, labelsize=7.5, length=3)
    axes.set_xlabel("distance from the fix, NM (outbound to the left)", fontsize=7.5, color=QUIET)
    axes.xaxis.set_major_formatter(lambda value, _: f"{abs(value):g}")
    axes.set_yticks([])
    if not levels:
        axes.set_ylim(0.0, 1.0)
        axes.text(0.5, 0.5, "the procedure gives no altitudes", transform=axes.transAxes, ha="center", color=QUIET)
        return
    ground = _ground_ft(procedure)
    floor = min(min(levels.values()) - 900.0, math.inf if ground is None else ground - 200.0)
    top = floor + 1.35 * (max(levels.values()) + 500.0 - floor)
    axes.set_ylim(floor, top)
    if ground is not None:
        axes.fill_between([out, -beyond], floor, ground, color=GRID, alpha=0.5, linewidth=0)
    _cone(axes, scene, ground, top)
    axes.axvline(0.0, color=INK, linewidth=0.9, dashes=(2, 2))
    axes.text(0.0, top, procedure.fix.ident or "fix", ha="center", va="bottom", fontsize=9, weight="bold", color=INK)
    if procedure.remain_within_m is not None:
        limit_nm = procedure.remain_within_m / METRES_PER_NM
        axes.axvline(limit_nm, color=LIMIT, linewidth=1.2, dashes=(7, 3))
        axes.text(
            limit_nm - 0.1,
            floor,
            f"remain within {nautical_miles(procedure.remain_within_m)}",
            color=LIMIT,
            fontsize=7.5,
            ha="left",
            va="bottom",
            rotation=90,
        )
    _path(axes, scene, levels, out, beyond)


def _level_ft(limit: AltitudeLimit) -> float:
    value = limit.low_m if limit.low_m is not None else limit.high_m
    return (value or 0.0) / METRES_PER_FOOT


def _ground_ft(procedure: Procedure) -> float | None:
    known = [place.elevation_m for place in (procedure.runway, procedure.fix) if place is not None]
    elevation = next((value for value in known if value is not None), None)
    return None if elevation is None else elevation / METRES_PER_FOOT


def _runway_nm(scene: Scene) -> float:
    """How far beyond the fix the runway lies along the course, 0 where it is not given or lies elsewhere."""
    runway = scene.procedure.runway
    if runway is None:
        return 0.0
    along_m, _ = scene.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)
    return max(-float(along_m) / METRES_PER_NM, 0.0)


def _cone(axes: Axes, scene: Scene, ground_ft: float | None, top_ft: float) -> None:
    if scene.cone_m is None or ground_ft is None:
        return
    station_m = scene.procedure.guidance.station.elevation_m or 0.0
    half = math.tan(math.radians(GUIDANCE[f"cone.{scene.procedure.guidance.kind}"].value))
    width = half * (top_ft * METRES_PER_FOOT - station_m) / METRES_PER_NM
    base = station_m / METRES_PER_FOOT
    axes.fill([0.0, width, -width], [base, top_ft, top_ft], color=QUIET, alpha=0.13, linewidth=0)


def _path(axes: Axes, scene: Scene, levels: dict[AltitudeSegment, float], out: float, beyond: float) -> None:
    """Outbound, turn, inbound and final as level stretches joined by descents, with the altitudes at them."""
    procedure = scene.procedure
    reversal = levels.get("reversal", levels.get("inbound", next(iter(levels.values()))))
    arrival, inbound = levels.get("arrival", reversal), levels.get("inbound", reversal)
    turn = min(scene.furthest_m / METRES_PER_NM, 0.97 * scene.reach_m / METRES_PER_NM)
    bulge = min(0.1 * turn, 0.6)
    flat = turn - bulge
    sweep = np.radians(np.linspace(90.0, -90.0, 25))
    # the way out is drawn a little above the way back, or both would be one line
    span = axes.get_ylim()[1] - axes.get_ylim()[0]
    gap = 0.05 * span
    x = [0.0, 0.3 * flat, flat, *(flat + bulge * np.cos(sweep)), 0.45 * flat, 0.25 * flat, 0.0]
    upper, lower = reversal + 2 * gap, reversal
    y = [arrival + 2 * gap, upper, upper, *(reversal + gap + gap * np.sin(sweep)), lower, inbound, inbound]
    axes.plot(x, y, color=PLAN, linewidth=1.7)
    if "final" in levels:
        end = _runway_nm(scene) or 0.8 * beyond
        axes.plot([0.0, -0.55 * end, -end], [inbound, levels["final"], levels["final"]], color=PLAN, linewidth=1.7)
    for share, level, text in (
        (0.62, upper, course_text(procedure, procedure.outbound_true_deg)),
        (0.62, lower, course_text(procedure, procedure.inbound_true_deg)),
    ):
        arrow = f"← {text}" if level == upper else f"{text} →"
        axes.text(share * flat, level, arrow, fontsize=9, color=INK, ha="center", va="center", bbox=_HALO)
    places = {
        "arrival": (0.07 * (out + beyond), arrival + 2 * gap, 9.0),
        "reversal": (0.9 * flat, reversal, -15.0),
        "inbound": (0.12 * flat, inbound, -15.0),
        "final": (-0.8 * (_runway_nm(scene) or 0.8 * beyond), levels.get("final", 0.0), 15.0),
    }
    shown: set[tuple[float, str]] = set()
    for limit in procedure.altitudes:
        if limit.segment == "inbound" and (_level_ft(limit), limit.rule) in shown:
            continue
        shown.add((_level_ft(limit), limit.rule))
        place_x, place_y, offset = places[limit.segment]
        height_in = SHEET_HEIGHT_IN * axes.get_position().height
        altitude_mark(axes, place_x, place_y + offset / 72.0 / height_in * span, limit, size=9.5)
    runway = procedure.runway
    if runway is not None and _runway_nm(scene) > 0.0:
        elevation = (runway.elevation_m or 0.0) / METRES_PER_FOOT
        threshold = -_runway_nm(scene)
        axes.plot(
            [threshold, threshold - 0.06 * beyond],
            [elevation, elevation],
            color=INK,
            linewidth=4,
            solid_capstyle="butt",
        )
