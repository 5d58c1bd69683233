"""Templates of the 45/180 and 80/260 procedure turns about the start of the turn, [PANS-OPS II] I-4-3 appendix C.

The template's origin a is the start of the turn, its x axis the outbound track. The points are named as in the
document: 3.2.2 for the 45/180 and 3.2.3 for the 80/260 turn (read); the tables' numeric lines are second hand.
"""

import numpy as np

from analyzer.planned.protection.icao.design_conditions import AreaConditions
from analyzer.planned.protection.icao.wind_spirals import AirPosition, Discs, joined, turn_discs
from analyzer.standards import AREAS_ICAO

_BANK_S = AREAS_ICAO["icao.area.bank_time"].value
_TIMING_S = AREAS_ICAO["icao.area.timing"].value
_HEADING_DEG = AREAS_ICAO["icao.area.heading"].value
_START = AirPosition(0.0, 0.0, 0.0, 0.0)


def offset_leg_s(conditions: AreaConditions, timed_s: float) -> tuple[float, float]:
    """Return the shortest and longest straight part c-d of a 45/180's offset leg, timed from the start of the turn.

    [PANS-OPS II] Table I-4-3-App C-2, lines 11 to 13 (second hand): cd = (t - 5 - 45/R) v, cd1 = cd3 = cd - 5 v and
    cd2 = cd4 = cd + 15 v: (t - 10 - 45/R) and (t + 10 - 45/R) seconds. Not below zero.
    """
    straight_s = timed_s - conditions.turn_s(45.0)
    return max(straight_s - _TIMING_S, 0.0), max(straight_s + _TIMING_S, 0.0)


def template_points_45_180(conditions: AreaConditions, timed_s: float) -> dict[str, AirPosition]:
    """Return the named points of the 45/180 template in still air, with the time for which the wind acts on each.

    d1 and d2 lie on the line that leads away from the outbound track (50 degrees off it), d3 and d4 on the nearer one.
    """
    shortest, longest = offset_leg_s(conditions, timed_s)
    points = {"a": _START, "b": _START.after(conditions, _BANK_S)}
    points["c"] = points["b"].turned(conditions, 45.0)
    for name, seconds, off in (
        ("d1", shortest, _HEADING_DEG),
        ("d2", longest, _HEADING_DEG),
        ("d3", shortest, -_HEADING_DEG),
        ("d4", longest, -_HEADING_DEG),
    ):
        points[name] = points["c"].after(conditions, seconds, off)
    for name, start, degrees in (
        ("f", "d2", 50.0),
        ("g", "d2", 100.0),
        ("h", "d4", 100.0),
        ("i", "d4", 150.0),
        ("j", "d4", 200.0),
        ("k", "d3", 200.0),
        ("l", "d3", 250.0),
    ):
        points[name] = points[start].turned(conditions, -degrees)
    return points


def template_45_180(conditions: AreaConditions, timed_s: float) -> Discs:
    """Return the discs whose envelope is the 45/180 template: a, the arc about c, d2 - f - g, h - i - j, k - l.

    Parameters
    ----------
    conditions : AreaConditions
    timed_s : float
        Time of the offset leg from the start of the turn.
    """
    points = template_points_45_180(conditions, timed_s)
    return joined(
        points["a"].disc(conditions),
        turn_discs(points["b"], conditions, 45.0),
        turn_discs(points["d2"], conditions, -100.0),
        turn_discs(points["d4"], conditions, -200.0),
        turn_discs(points["d3"], conditions, -250.0),
    )


def template_points_80_260(conditions: AreaConditions) -> dict[str, AirPosition]:
    """Return the named points of the 80/260 template in still air, with the time for which the wind acts on each."""
    points = {"a": _START, "b": _START.after(conditions, _BANK_S)}
    for number, degrees in (("1", 75.0), ("2", 85.0)):
        points["d" + number] = points["b"].turned(conditions, degrees)
        points["e" + number] = points["d" + number].after(conditions, 2.0 * _BANK_S)
    for name, start, degrees in (
        ("g", "e2", 45.0),
        ("h", "e2", 90.0),
        ("i", "e2", 135.0),
        ("j", "e2", 180.0),
        ("k", "e1", 180.0),
        ("l", "e1", 225.0),
        ("m", "e1", 270.0),
    ):
        points[name] = points[start].turned(conditions, -degrees)
    return points


def template_80_260(conditions: AreaConditions) -> Discs:
    """Return the discs whose envelope is the 80/260 template."""
    points = template_points_80_260(conditions)
    return joined(
        points["a"].disc(conditions),
        turn_discs(points["b"], conditions, 85.0),
        turn_discs(points["e2"], conditions, -270.0),
        turn_discs(points["e1"], conditions, -270.0),
    )


def latest_start_m(still_air: Discs, within_m: float) -> float:
    """Return how far out a turn may start so that its still-air path stays within a distance of the fix.

    Parameters
    ----------
    still_air : Discs
        Path of the turn from its start; radii are ignored.
    within_m : float
        Distance limit about the fix. One that even a turn at the fix breaks gives 0.
    """
    beside = np.square(within_m) - np.square(still_air.y_m)
    if np.any(beside < 0.0):
        return 0.0
    return max(float(np.min(np.sqrt(beside) - still_air.x_m)), 0.0)


def nominal_45_180(conditions: AreaConditions, timed_s: float) -> Discs:
    """Return the nominal still-air path of a 45/180 from the start of the turn, as discs."""
    rolled_out = _START.turned(conditions, 45.0)
    leg_end = rolled_out.after(conditions, max(timed_s - conditions.turn_s(45.0), 0.0))
    return joined(turn_discs(_START, conditions, 45.0), turn_discs(leg_end, conditions, -180.0))


def nominal_80_260(conditions: AreaConditions) -> Discs:
    """Return the nominal still-air path of an 80/260 from the start of the turn, as discs."""
    return joined(turn_discs(_START, conditions, 80.0), turn_discs(_START.turned(conditions, 80.0), conditions, -260.0))
