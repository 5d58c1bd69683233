"""The drawing of a briefing sheet: areas, course, the solved path with its headings, still-air path, sectors, wind."""

import math

import numpy as np
from markupsafe import Markup

from analyzer.judged import end_reading
from analyzer.planned import SECTOR_LINE_DEG, PathLeg, SolvedPlan
from analyzer.shown.briefing.sheet import Briefed, course
from analyzer.shown.report.drawn.svg import element, group
from analyzer.units import METRES_PER_NM, FloatArray, clock_words, knots

WIDTH, HEIGHT, MARGIN = 640.0, 620.0, 34.0
_SECTOR_NM = 0.9
#: a straight shorter than this has no room for its heading and time
LEAST_SAID_S = 8.0


def drawing(sheet: Briefed) -> Markup:
    """Return the drawing as an SVG element with a title and a sentence that says the same in words."""
    board = _Board(sheet)
    procedure = sheet.plan.procedure
    parts = [*board.areas(), *board.rings(), board.course_line()]
    if procedure.is_hold:
        parts.append(board.sectors())
    for plan, kind in ((sheet.still, "still"), (sheet.solved, "solved")):
        if isinstance(plan, SolvedPlan) and not (kind == "still" and plan is sheet.solved):
            parts.append(board.path(plan, kind))
    if isinstance(sheet.solved, SolvedPlan):
        parts += board.leg_words(sheet.solved)
    parts += [board.fix(), board.north(), board.wind(), board.scale()]
    title = element("title", f"Plan of {procedure.title}", id="plan-title")
    said = element("desc", board.sentence(), id="plan-said")
    return element(
        "svg", title, said, *parts,
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}", role="img", aria_labelledby="plan-title plan-said", class_="plan",
    )  # fmt: skip


class _Board:
    """North is up; the scale is chosen so that path and course fit."""

    def __init__(self, sheet: Briefed) -> None:
        self.sheet, self.frame = sheet, sheet.plan.frame
        along, cross = [np.array([0.0, -0.8 * METRES_PER_NM])], [np.zeros(2)]
        for plan in (sheet.solved, sheet.still):
            if isinstance(plan, SolvedPlan):
                along += [leg.along_m for leg in plan.legs]
                cross += [leg.cross_m for leg in plan.legs]
        east, north = self.frame.east_north_from_along_cross(np.concatenate(along), np.concatenate(cross))
        self.low = float(east.min()), float(north.min())
        self.high = float(east.max()), float(north.max())
        span = max((self.high[0] - self.low[0]) / (WIDTH - 2 * MARGIN - 90.0),
                   (self.high[1] - self.low[1]) / (HEIGHT - 2 * MARGIN - 60.0))  # fmt: skip
        self.metres_per_px = max(span, 4.0 * METRES_PER_NM / WIDTH)
        self.centre = 0.5 * (self.low[0] + self.high[0]), 0.5 * (self.low[1] + self.high[1])

    def at(self, along_m: FloatArray | float, cross_m: FloatArray | float) -> tuple[FloatArray, FloatArray]:
        """Return x and y on the sheet of points of the plane."""
        east, north = self.frame.east_north_from_along_cross(np.asarray(along_m, float), np.asarray(cross_m, float))
        return self._px(east, north)

    def _px(self, east: FloatArray, north: FloatArray) -> tuple[FloatArray, FloatArray]:
        x = WIDTH / 2.0 + (east - self.centre[0]) / self.metres_per_px
        y = HEIGHT / 2.0 - (north - self.centre[1]) / self.metres_per_px
        return np.asarray(x), np.asarray(y)

    def _line(self, along_m: FloatArray, cross_m: FloatArray, **attributes: str) -> Markup:
        x, y = self.at(along_m, cross_m)
        points = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x, y, strict=True))
        return element("polyline", points=points, **attributes)

    def areas(self) -> list[Markup]:
        """Primary and secondary area and the distance limit."""
        drawn = []
        for area in self.sheet.plan.areas:
            for shape in getattr(area.shape, "geoms", [area.shape]):
                ring = np.asarray(shape.exterior.coords)
                kind = {"primary": "area", "secondary": "area second", "distance limit": "limit"}.get(area.name)
                if kind is not None:
                    drawn.append(self._line(ring[:, 0], ring[:, 1], class_=kind))
        return drawn

    def rings(self) -> list[Markup]:
        """Rings of distance about the fix, every mile, two or five."""
        reach = max(WIDTH, HEIGHT) * self.metres_per_px / METRES_PER_NM
        step = 1 if reach < 9.0 else 2 if reach < 20.0 else 5
        x, y = self.at(0.0, 0.0)
        rings = []
        for nm in range(step, int(reach) + 1, step):
            radius = nm * METRES_PER_NM / self.metres_per_px
            rings.append(element("circle", cx=float(x), cy=float(y), r=radius, class_="ring"))
            here = self.at(nm * METRES_PER_NM, 0.0)
            rings.append(element("text", f"{nm}", x=float(here[0]) + 4.0, y=float(here[1]) - 3.0, class_="small"))
        return rings

    def course_line(self) -> Markup:
        """Return the inbound course through the fix."""
        far = max(self.high[0] - self.low[0], self.high[1] - self.low[1]) + 2.0 * METRES_PER_NM
        return self._line(np.array([far, -far]), np.zeros(2), class_="course")

    def sectors(self) -> Markup:
        """Return the lines that part the entry sectors, and the arrival."""
        procedure, arrival = self.sheet.plan.procedure, self.sheet.asked.arrival_true_deg
        radius = _SECTOR_NM * METRES_PER_NM
        side, parts = procedure.side, []
        for relative in (-side * SECTOR_LINE_DEG, side * (180.0 - SECTOR_LINE_DEG), 180.0):
            turn = math.radians(relative)  # heading at the fix: it comes from the other side
            parts.append(
                self._line(
                    np.array([0.0, radius * math.cos(turn)]), np.array([0.0, -radius * math.sin(turn)]), class_="sector"
                )
            )
        if arrival is not None:
            track = math.radians(arrival - procedure.inbound_true_deg)
            ends = np.array([1.8 * radius, 0.25 * radius])
            parts.append(self._line(ends * math.cos(track), -ends * math.sin(track), class_="arrival"))
        return group(*parts)

    def path(self, plan: SolvedPlan, kind: str) -> Markup:
        """Return the whole path as one line."""
        along = np.concatenate([leg.along_m for leg in plan.legs])
        cross = np.concatenate([leg.cross_m for leg in plan.legs])
        return self._line(along, cross, class_=f"path {kind}")

    def leg_words(self, plan: SolvedPlan) -> list[Markup]:
        """Heading and time beside each straight, with an arrow."""
        words = []
        for leg in plan.legs:
            if leg.turn_deg is not None or leg.duration_s < LEAST_SAID_S or (leg.phase == "inbound" and leg.lap > 1):
                continue
            words += self._leg_word(leg)
        return words

    def _leg_word(self, leg: PathLeg) -> list[Markup]:
        middle = leg.along_m.size // 2
        x, y = self.at(leg.along_m, leg.cross_m)
        heading = math.atan2(float(y[-1] - y[0]), float(x[-1] - x[0]))
        centre_x, centre_y = self._px(np.asarray(self.centre[0]), np.asarray(self.centre[1]))
        px, py = float(x[middle]), float(y[middle])
        off = (-math.sin(heading), math.cos(heading))
        outwards = (px - float(centre_x)) * off[0] + (py - float(centre_y)) * off[1] >= 0.0
        if outwards == (leg.tracked and leg.phase == "outbound"):  # out and in along one course: one on each side of it
            off = (-off[0], -off[1])
        procedure = self.sheet.plan.procedure
        timed = leg.duration_s if leg.timed_s is None else leg.timed_s
        said = course(procedure, leg.heading_true_deg or 0.0)
        reading = end_reading(procedure, leg.end)
        if reading:
            said += f" to {reading}"
        else:
            said += f" {clock_words(timed).replace(' seconds', ' s')}"
        cos, sin = math.cos(heading), math.sin(heading)
        tip = [(9.0, 0.0), (-5.0, -5.0), (-5.0, 5.0)]
        turned = " ".join(f"{px + a * cos - b * sin:.1f},{py + a * sin + b * cos:.1f}" for a, b in tip)
        anchor = "start" if off[0] > 0.3 else "end" if off[0] < -0.3 else "middle"
        return [
            element("polygon", points=turned, class_="tip"),
            element("text", said, x=px + 15.0 * off[0], y=py + 15.0 * off[1] + 4.0, text_anchor=anchor, class_="leg"),
        ]

    def fix(self) -> Markup:
        """Return the fix with its name."""
        x, y = (float(value) for value in self.at(0.0, 0.0))
        triangle = f"{x:.1f},{y - 8:.1f} {x - 7:.1f},{y + 5:.1f} {x + 7:.1f},{y + 5:.1f}"
        name = self.sheet.plan.procedure.fix.ident or "fix"
        return group(
            element("polygon", points=triangle, class_="fix"),
            element("text", name, x=x + 12.0, y=y + 16.0, class_="name"),
        )

    def north(self) -> Markup:
        """Return true north and the variation."""
        procedure = self.sheet.plan.procedure
        side = "E" if procedure.variation_deg >= 0 else "W"
        return group(
            element("path", d="M26 54V20M20 30 26 18 32 30", class_="mark"),
            element("text", "true north", x=40.0, y=30.0, class_="small"),
            element("text", f"variation {abs(procedure.variation_deg):.0f}° {side}", x=40.0, y=46.0, class_="small"),
        )

    def wind(self) -> Markup:
        """Return an arrow that points where the wind blows, with its speed."""
        wind = self.sheet.asked.wind
        x, y = WIDTH - 56.0, 46.0
        if wind is None or wind.speed_mps <= 0.0:
            return element("text", "still air", x=WIDTH - 20.0, y=30.0, text_anchor="end", class_="small")
        turned = f"translate({x:.0f} {y:.0f}) rotate({(wind.from_deg_true + 180.0) % 360.0:.0f})"
        arrow = element("path", d="M0 22V-20M-7 -9 0 -22 7 -9", class_="wind", transform=turned)
        said = f"{course(self.sheet.plan.procedure, wind.from_deg_true)}/{knots(wind.speed_mps)}"
        return group(arrow, element("text", said, x=x, y=y + 40.0, text_anchor="middle", class_="small"))

    def scale(self) -> Markup:
        """One nautical mile."""
        length = METRES_PER_NM / self.metres_per_px
        y = HEIGHT - 18.0
        return group(
            element("path", d=f"M20 {y - 4:.0f}V{y:.0f}H{20 + length:.1f}V{y - 4:.0f}", class_="mark"),
            element("text", "1 NM", x=26.0 + length, y=y, class_="small"),
        )

    def sentence(self) -> str:
        """Say what the drawing shows, in words."""
        solved = self.sheet.solved
        if not isinstance(solved, SolvedPlan):
            return f"No plan: {solved.reason}."
        farthest = solved.farthest_m / METRES_PER_NM
        return f"{solved.method}, solved for this wind; farthest {farthest:.1f} NM from the fix; dashed: still air."
