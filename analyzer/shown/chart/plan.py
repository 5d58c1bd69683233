"""The plan view: areas, needle lines, cone, rings, course, barb or racetrack, nominal path, north and scale."""

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import offset_copy

from analyzer.given import AltitudeLimit
from analyzer.planned import SECTOR_LINE_DEG
from analyzer.shown.chart.scene import Scene
from analyzer.shown.chart.words import course_text, feet, nautical_miles, variation_text
from analyzer.shown.report.drawn.palette import LIGHT
from analyzer.units import METRES_PER_NM

INK, QUIET, AREA, AREA_LINE = LIGHT["ink"], LIGHT["quiet"], LIGHT["area"], LIGHT["area-line"]
LIMIT, PLAN, SHEET, GRID = LIGHT["limit"], LIGHT["plan"], LIGHT["sheet"], LIGHT["rule"]
_HALO = {"facecolor": SHEET, "edgecolor": "none", "alpha": 0.85, "pad": 0.8}
_BARB_NM = 2.2
#: size of the whole sheet, inches
SHEET_WIDTH_IN, SHEET_HEIGHT_IN = 8.0, 10.6


def draw_plan(axes: Axes, scene: Scene) -> None:
    """Draw the plan view, north up, in NM about the fix."""
    axes.set_aspect("equal")
    axes.set_axis_off()
    _areas(axes, scene)
    _rings(axes, scene)
    for along, cross in scene.needle_lines_m():
        axes.plot(*scene.place_nm(along, cross), color=QUIET, linewidth=0.8, dashes=(1.5, 2.5), zorder=4)
    if scene.cone_m is not None:
        circle = np.radians(np.arange(0.0, 361.0, 5.0))
        axes.plot(
            *scene.place_nm(scene.cone_m * np.cos(circle), scene.cone_m * np.sin(circle)), color=QUIET, linewidth=0.8
        )
    _course(axes, scene)
    if scene.procedure.reversal == "procedure turn":
        _barb(axes, scene)
    if scene.procedure.is_hold:
        _entry_sectors(axes, scene)
    along, cross = scene.path_m
    axes.plot(*scene.place_nm(along, cross), color=PLAN, linewidth=1.6, dashes=(5, 2), zorder=6)
    _runway(axes, scene)
    _fix(axes, scene)
    _furniture(axes, scene)


def _areas(axes: Axes, scene: Scene) -> None:
    looks: dict[str, dict[str, Any]] = {
        "secondary": {"facecolor": "none", "edgecolor": AREA, "hatch": "////", "linewidth": 0.8},
        "primary": {"facecolor": AREA, "edgecolor": AREA_LINE, "alpha": 0.32, "linewidth": 1.2},
        "entry zone": {"facecolor": "none", "edgecolor": AREA_LINE, "linewidth": 0.8, "linestyle": (0, (1, 2))},
        "distance limit": {"facecolor": "none", "edgecolor": LIMIT, "linewidth": 1.3, "linestyle": (0, (7, 3))},
    }
    for area in scene.areas:
        vertices, codes = [], []
        for ring in (area.shape.exterior, *area.shape.interiors):
            ring_m = np.asarray(ring.coords)
            vertices.append(np.column_stack(scene.place_nm(ring_m[:, 0], ring_m[:, 1])))
            codes += [Path.MOVETO] + [Path.LINETO] * (len(ring_m) - 2) + [Path.CLOSEPOLY]
        patch = PathPatch(Path(np.concatenate(vertices), codes), zorder=2, **looks[area.name])
        axes.add_patch(patch)
        if area.name == "primary":
            outline = np.concatenate(vertices[:1])
            axes.plot(outline[:, 0], outline[:, 1], color=AREA_LINE, linewidth=1.2, zorder=3)
    _area_names(axes, scene)


def _area_names(axes: Axes, scene: Scene) -> None:
    """Name each area just inside its far edge, on the bearings where they don't meet each other."""
    angles = {"primary": 20.0, "secondary": 32.0, "distance limit": -22.0, "entry zone": 155.0}
    for area in scene.areas:
        direction = math.radians(angles[area.name])
        ring = np.asarray(area.shape.exterior.coords)
        reach = ring[:, 0] * math.cos(direction) + scene.procedure.side * ring[:, 1] * math.sin(direction)
        along, cross = ring[int(np.argmax(reach))]
        inward = 0.97 if area.name != "secondary" else 0.985
        east, north = scene.place_nm(along * inward, cross * inward)
        colour = LIMIT if area.name == "distance limit" else AREA_LINE
        text: str = area.name
        if area.name == "distance limit" and scene.procedure.remain_within_m is not None:
            text = f"remain within {nautical_miles(scene.procedure.remain_within_m)}"
        axes.text(
            float(east), float(north), text, color=colour, fontsize=7.5, ha="center", va="center", bbox=_HALO, zorder=9
        )


def _rings(axes: Axes, scene: Scene) -> None:
    """Distance rings every 5 NM as far as the course is drawn, every mile's tick on the course."""
    circle = np.radians(np.arange(0.0, 361.0, 2.0))
    for radius in range(5, int(scene.reach_m / METRES_PER_NM) + 1, 5):
        axes.plot(radius * np.cos(circle), radius * np.sin(circle), color=GRID, linewidth=0.7, zorder=1)
        aside = radius * METRES_PER_NM
        # on the side away from the manoeuvre, where there is least to cover
        east, north = scene.place_nm(
            aside * math.cos(math.radians(115)), -scene.procedure.side * aside * math.sin(math.radians(115))
        )
        axes.text(
            float(east),
            float(north),
            f"{radius}",
            color=QUIET,
            fontsize=7,
            ha="center",
            va="center",
            bbox=_HALO,
            zorder=3,
        )
    for mile in range(1, int(scene.reach_m / METRES_PER_NM) + 1):
        tick = 0.12 * METRES_PER_NM
        axes.plot(*scene.place_nm([mile * METRES_PER_NM] * 2, [-tick, tick]), color=INK, linewidth=0.7, zorder=5)


def _course(axes: Axes, scene: Scene) -> None:
    """Inbound course with its arrow and both magnetic courses; a teardrop's outbound course as well."""
    procedure = scene.procedure
    axes.plot(*scene.place_nm([scene.reach_m, 0.0], [0.0, 0.0]), color=INK, linewidth=1.3, zorder=5)
    _arrow(axes, scene, 0.42, 0.0)
    _course_word(axes, scene, 0.55, 0.0, course_text(procedure, procedure.inbound_true_deg), -procedure.side)
    if procedure.reversal == "teardrop":
        angle = math.radians((procedure.outbound_true_deg - procedure.inbound_true_deg) % 360.0)
        along_m, cross_m = scene.outbound_m
        axes.plot(*scene.place_nm(along_m, cross_m), color=INK, linewidth=1.3, zorder=5)
        middle = float(along_m[-1]) * 0.55
        _course_word(
            axes,
            scene,
            middle / scene.reach_m,
            -math.tan(angle) * middle,
            course_text(procedure, procedure.outbound_true_deg),
            procedure.side,
            angle - math.pi,
        )
    elif not procedure.is_hold:
        _course_word(axes, scene, 0.2, 0.0, course_text(procedure, procedure.outbound_true_deg), procedure.side)


def _arrow(axes: Axes, scene: Scene, share: float, cross_m: float) -> None:
    """Draw an arrowhead on the course, towards the fix."""
    tip, tail, half = share * scene.reach_m, share * scene.reach_m + 0.45 * METRES_PER_NM, 0.16 * METRES_PER_NM
    east, north = scene.place_nm([tip, tail, tail], [cross_m, cross_m - half, cross_m + half])
    axes.fill(east, north, color=INK, zorder=6)


def _course_word(
    axes: Axes, scene: Scene, share: float, cross_m: float, text: str, side: int, turn: float = 0.0
) -> None:
    """Write a course beside its line, along it and upright."""
    along = share * scene.reach_m
    east, north = scene.place_nm(along, cross_m + side * 0.42 * scene.unit_m)
    angle = (90.0 - scene.procedure.inbound_true_deg - math.degrees(turn) + 90.0) % 180.0 - 90.0
    axes.text(
        float(east),
        float(north),
        text,
        color=INK,
        fontsize=10,
        weight="bold",
        rotation=angle,
        rotation_mode="anchor",
        ha="center",
        va="center",
        bbox=_HALO,
        zorder=8,
    )


def _barb(axes: Axes, scene: Scene) -> None:
    """Draw the barb on the manoeuvring side with the charted headings off and back."""
    procedure = scene.procedure
    start = float(scene.outbound_m[0][-1])
    heading = math.radians((procedure.offset_true_deg - procedure.inbound_true_deg) % 360.0)
    length = _BARB_NM * METRES_PER_NM
    end = (start - length * math.cos(heading), length * math.sin(heading))
    axes.plot(
        *scene.place_nm([start, end[0]], [0.0, end[1]]), color=INK, linewidth=2.2, zorder=7, solid_capstyle="butt"
    )
    flag = math.radians(150.0 * procedure.side)
    hook = (
        end[0] - 0.5 * METRES_PER_NM * math.cos(heading + flag),
        end[1] + 0.5 * METRES_PER_NM * math.sin(heading + flag),
    )
    axes.plot(*scene.place_nm([end[0], hook[0]], [end[1], hook[1]]), color=INK, linewidth=2.2, zorder=7)
    off, back = (
        course_text(procedure, procedure.offset_true_deg),
        course_text(procedure, procedure.offset_true_deg + 180.0),
    )
    east, north = scene.place_nm(end[0] + 0.15 * METRES_PER_NM, end[1] + procedure.side * 0.55 * METRES_PER_NM)
    axes.text(
        float(east),
        float(north),
        f"{off} / {back}",
        color=INK,
        fontsize=9,
        ha="center",
        va="center",
        bbox=_HALO,
        zorder=8,
    )


def _entry_sectors(axes: Axes, scene: Scene) -> None:
    """Draw the sectors of a hold's entries about the fix: where an arrival comes from, and the entry it gets."""

    def from_where(heading_deg: float, distance_m: float) -> tuple[float, float]:
        # the heading is seen from the inbound course, positive in the direction of the turns
        angle = math.radians(heading_deg)
        return distance_m * math.cos(angle), -scene.procedure.side * distance_m * math.sin(angle)

    length = 3.6 * scene.unit_m
    for boundary in (-SECTOR_LINE_DEG, 180.0 - SECTOR_LINE_DEG, 180.0):
        along, cross = from_where(boundary, length)
        axes.plot(*scene.place_nm([0.0, along], [0.0, cross]), color=QUIET, linewidth=0.7, zorder=4)
    for middle, entry in ((78.0, "direct"), (145.0, "teardrop"), (-125.0, "parallel")):
        east, north = scene.place_nm(*from_where(middle, 0.85 * length))
        look: Any = {"fontsize": 8, "style": "italic", "color": QUIET, "ha": "center", "va": "center"}
        axes.text(float(east), float(north), entry, bbox=_HALO, zorder=7, **look)


def _runway(axes: Axes, scene: Scene) -> None:
    runway = scene.procedure.runway
    if runway is None:
        return
    east, north = scene.frame.east_north_m(runway.latitude_deg, runway.longitude_deg)
    x, y = east / METRES_PER_NM, north / METRES_PER_NM
    axes.plot([x], [y], marker="s", markersize=6, color=INK, zorder=7)
    label = f"runway {runway.ident}" if runway.ident else "runway"
    axes.annotate(
        label,
        (x, y),
        xytext=(7, -3),
        textcoords="offset points",
        fontsize=8,
        color=INK,
        zorder=8,
        annotation_clip=True,
        clip_on=True,
    )


def _fix(axes: Axes, scene: Scene) -> None:
    procedure = scene.procedure
    axes.plot(
        [0.0],
        [0.0],
        marker="^",
        markersize=11,
        markerfacecolor=SHEET,
        markeredgecolor=INK,
        markeredgewidth=1.5,
        zorder=8,
    )
    axes.plot([0.0], [0.0], marker=".", markersize=4, color=INK, zorder=9)
    name = " ".join(part for part in (procedure.fix.ident, procedure.guidance.kind) if part)
    # beside the fix, away from the course and the manoeuvre
    east, north = scene.place_nm(-0.9 * scene.unit_m, -procedure.side * 0.9 * scene.unit_m)
    axes.text(
        float(east),
        float(north),
        name,
        fontsize=10,
        weight="bold",
        color=INK,
        ha="center",
        va="center",
        bbox=_HALO,
        zorder=9,
    )
    for segment, along in (("reversal", 0.78),):
        limit = next((one for one in procedure.altitudes if one.segment == segment), None)
        if limit is not None:
            east, north = scene.place_nm(
                along * scene.reach_m, -procedure.side * (1.7 if procedure.is_hold else 1.0) * scene.unit_m
            )
            altitude_mark(axes, float(east), float(north), limit)


def altitude_mark(axes: Axes, x: float, y: float, limit: AltitudeLimit, size: float = 10.0) -> None:
    """Write an altitude in feet with a line below (not below), above (not above) or both, as charts have it."""
    values = [value for value in (limit.high_m, limit.low_m) if value is not None]
    texts = list(dict.fromkeys(feet(value) for value in values))
    step = 1.35 * size
    bottom = -step * (len(texts) - 1) / 2.0
    figure = axes.get_figure(root=True)
    for row, text in enumerate(reversed(texts)):
        place = offset_copy(axes.transData, fig=figure, y=bottom + row * step, units="points")
        axes.text(
            x, y, text, transform=place, fontsize=size, color=INK, ha="center", va="center", bbox=_HALO, zorder=10
        )
    lines = []
    if limit.low_m is not None:
        lines.append(bottom - 0.68 * size)
    if limit.high_m is not None:
        lines.append(bottom + (len(texts) - 1) * step + 0.68 * size)
    for offset in lines:
        place = offset_copy(axes.transData, fig=figure, y=offset, units="points")
        axes.plot(
            [x], [y], marker=[(-1.0, 0.0), (1.0, 0.0)], markersize=2.6 * size, color=INK, transform=place, zorder=10
        )


def _furniture(axes: Axes, scene: Scene) -> None:
    """Set the bounds; put true north and a scale bar into the corners that have the most room."""
    rings = [np.asarray(area.shape.exterior.coords) for area in scene.areas]
    runway = scene.procedure.runway
    if runway is not None:
        place_m = np.hypot(*scene.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg))
        if place_m < 1.5 * scene.reach_m:  # else it would make all the rest small
            rings.append(np.array([scene.frame.along_cross_m(runway.latitude_deg, runway.longitude_deg)]))
    east, north = scene.place_nm(
        np.concatenate([ring[:, 0] for ring in rings]), np.concatenate([ring[:, 1] for ring in rings])
    )
    pad = 0.4 if runway is None else 2.2
    width, height = np.ptp(east) + 2.0 * pad, np.ptp(north) + 2.0 * pad
    box = axes.get_position()
    figure = axes.get_figure(root=True)
    shape = box.width * figure.get_figwidth() / (box.height * figure.get_figheight()) if figure else 1.0
    width, height = max(width, height * shape), max(height, width / shape)  # fill the sheet
    centre_x, centre_y = (east.max() + east.min()) / 2.0, (north.max() + north.min()) / 2.0
    left, low = centre_x - width / 2.0, centre_y - height / 2.0
    axes.set_xlim(left, left + width)
    axes.set_ylim(low, low + height)

    def room(corner_x: float, corner_y: float) -> float:
        return float(np.hypot(east - (left + corner_x * width), north - (low + corner_y * height)).min())

    corner = max((0.0, 1.0), key=lambda side: room(side, 1.0))
    x, toward, align = abs(corner - 0.035), (1 if corner == 0.0 else -1), ("left" if corner == 0.0 else "right")
    transform = axes.transAxes
    arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 1.4}
    axes.annotate("", (x, 0.965), xytext=(x, 0.885), xycoords=transform, textcoords=transform, arrowprops=arrow)
    axes.text(x, 0.967, "N", transform=transform, ha="center", va="bottom", fontsize=10, weight="bold", color=INK)
    words = f"true north up\nvariation {variation_text(scene.procedure)}\ncourses magnetic"
    place: Any = {"ha": align, "va": "center", "transform": transform, "multialignment": align}
    axes.text(x + 0.022 * toward, 0.925, words, fontsize=7.5, color=QUIET, bbox=_HALO, zorder=9, **place)
    length = 5.0 if width > 18.0 else 2.0
    corner = max((0.0, 1.0), key=lambda side: room(side, 0.0))
    x0 = left + 0.02 * width if corner == 0.0 else left + 0.98 * width - length
    y0, tick = low + 0.02 * height, 0.008 * height
    axes.plot([x0, x0, x0 + length, x0 + length], [y0 + tick, y0, y0, y0 + tick], color=INK, linewidth=1.1, zorder=9)
    axes.text(x0 + length / 2.0, y0 + tick, f"{length:g} NM", ha="center", va="bottom", fontsize=8, color=INK, zorder=9)
