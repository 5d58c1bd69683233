"""Racetrack and holding area with entries from every direction, [PANS-OPS II] I-4-3 appendix C, 3.3.

x is the outbound direction, y the holding side; the fix is the origin. The wind acts from the fix on without any
correction, so each disc has the radius w' x flying time; only at the far end of the outbound leg the table adds less.
The table's numeric lines (Table I-4-3-App C-4) are second hand.
"""

from dataclasses import replace

import numpy as np

from analyzer.given import Entry
from analyzer.planned.entry_sectors import BOUNDARY_TOLERANCE_DEG, entry_sector
from analyzer.planned.protection.icao.design_conditions import AreaConditions
from analyzer.planned.protection.icao.wind_spirals import AirPosition, Discs, joined, same_turn_discs, turn_discs
from analyzer.standards import AREAS_ICAO, FLYING
from analyzer.units import wrap_180

_BANK_S = AREAS_ICAO["icao.area.bank_time"].value
_TIMING_S = AREAS_ICAO["icao.area.timing"].value
_REACTION_S = AREAS_ICAO["icao.area.reaction"].value
_HEADING_DEG = AREAS_ICAO["icao.area.heading"].value
_LONGEST_OFFSET_S = 60.0 * FLYING["icao.entry.offset_time"].value
_OFFSET_TRACK_DEG = FLYING["entry.teardrop"].value
_ENTRY_STEP_DEG = 5.0
#: a parallel entry turns through more than 180 degrees: to an intercept of 45 degrees, here from the widest heading
_PARALLEL_TURN_DEG = 235.0
#: Table I-4-3-App C-4, line 26: Wi2 = Wi1 + 14 w'. The time between the near and the far end of the leg, lines 14 and
#: 15, is 26 s; the table nevertheless has 14 (second hand, three sources agree)
_FAR_WIND_S = AREAS_ICAO["icao.area.hold.far_wind"].value


def template_racetrack(conditions: AreaConditions, outbound_s: float) -> Discs:
    """Return the discs whose envelope is the racetrack/holding template about its origin a.

    Outbound turn from b (5 s) and c (11 s); outbound leg from its end g, 5 degrees either side, (t - 5) to (t + 21) s;
    inbound turn from each of i1 to i4. Where the leg is timed from abeam the fix it ends (t + 21) s past abeam: both
    readings are in, the wider counts.
    """
    inbound = AirPosition(0.0, 0.0, 180.0, 0.0)
    early = inbound.after(conditions, _BANK_S)
    late = inbound.after(conditions, _BANK_S + _REACTION_S)
    end_of_turn = late.turned(conditions, -180.0)
    abeam = AirPosition(0.0, end_of_turn.y_m, 0.0, end_of_turn.wind_s)
    ends = [end for start in (end_of_turn, abeam) for end in outbound_leg_ends(conditions, start, outbound_s)]
    return joined(
        turn_discs(early, conditions, -270.0),
        turn_discs(late, conditions, -180.0),
        same_turn_discs(ends, conditions, -180.0),
    )


def entry_template(conditions: AreaConditions, outbound_s: float, offset_s: float | None = None) -> Discs:
    """Return the discs of entries from every direction.

    Each arrival track, 5 degrees apart, is taken with the entry that its sector gives; within 5 degrees of a boundary
    with both. Reaction and bank come before each first turn (5 to 11 s), the wind acts throughout.

    Parameters
    ----------
    outbound_s : float
        Timed leg.
    offset_s : float, optional
        Time on the 30 degree track of a teardrop entry; by default the outbound time, at most 90 s.
    """
    offset_s = min(outbound_s, _LONGEST_OFFSET_S) if offset_s is None else offset_s
    groups: list[Discs] = []
    ends: dict[float, list[AirPosition]] = {}  # starts of the last turns by their degrees: computed together, for speed
    for turnward in np.arange(-180.0, 180.0, _ENTRY_STEP_DEG).tolist():
        for entry in _entries(turnward):
            for wait_s in (_BANK_S, _BANK_S + _REACTION_S):
                start = AirPosition(0.0, 0.0, 180.0 - turnward, 0.0).after(conditions, wait_s)
                first, last_deg, starts = _entry(conditions, start, entry, outbound_s, offset_s)
                groups.append(first)
                ends.setdefault(last_deg, []).extend(starts)
                if entry == "teardrop" and outbound_s > offset_s:
                    ends.setdefault(-180.0, []).extend(_parallel_rest(conditions, start, outbound_s, offset_s))
    return joined(*groups, *(same_turn_discs(starts, conditions, degrees) for degrees, starts in ends.items()))


def _entries(turnward_deg: float) -> set[Entry]:
    """Entries that an arrival may use: its sector's, and the neighbour's within 5 degrees."""
    tolerance = BOUNDARY_TOLERANCE_DEG
    return {entry_sector(turnward_deg + off, 0.0, 1)[0] for off in (-tolerance, 0.0, tolerance)}


def _entry(
    conditions: AreaConditions, start: AirPosition, entry: Entry, outbound_s: float, offset_s: float
) -> tuple[Discs, float, list[AirPosition]]:
    """First turn of one entry, and the degrees and starts of its last turn; the start's heading is the arrival's."""
    if entry == "direct":
        turn, leg_s, last = -(start.heading_deg % 360.0), outbound_s, -180.0
    elif entry == "teardrop":
        turn, leg_s, last = _onto(start, _OFFSET_TRACK_DEG), offset_s, -(180.0 + _OFFSET_TRACK_DEG)
    else:
        turn, leg_s, last = _onto(start, 0.0), outbound_s, _PARALLEL_TURN_DEG
    return (
        turn_discs(start, conditions, turn),
        last,
        outbound_leg_ends(conditions, start.turned(conditions, turn), leg_s),
    )


def _onto(start: AirPosition, heading_deg: float) -> float:
    """Shorter turn onto a heading."""
    return wrap_180(heading_deg - start.heading_deg)


def _parallel_rest(
    conditions: AreaConditions, start: AirPosition, outbound_s: float, offset_s: float
) -> list[AirPosition]:
    """Return the ends of a teardrop entry that goes on parallel to the outbound leg after 90 s of offset track.

    [PANS-OPS II] I-4-3, 3.4.4.1 (read).
    """
    offset = start.turned(conditions, _onto(start, _OFFSET_TRACK_DEG)).after(conditions, offset_s + _REACTION_S)
    return outbound_leg_ends(conditions, offset.turned(conditions, -_OFFSET_TRACK_DEG), outbound_s - offset_s)


def outbound_leg_ends(conditions: AreaConditions, start: AirPosition, leg_s: float) -> list[AirPosition]:
    """Return where an outbound leg may end, i1 to i4 of the table: 5 degrees either side, earliest and latest.

    Lines 14, 15, 25 and 26.
    """
    nearest_s = max(leg_s - _TIMING_S + _BANK_S, 0.0)
    farthest_s = leg_s + _TIMING_S + _REACTION_S + _BANK_S
    ends = []
    for off in (-_HEADING_DEG, _HEADING_DEG):
        near, far = start.after(conditions, nearest_s, off), start.after(conditions, farthest_s, off)
        ends += [near, replace(far, wind_s=near.wind_s + _FAR_WIND_S)]
    return ends
