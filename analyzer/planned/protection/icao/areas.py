"""Computed areas after ICAO Doc 8168 Volume II: which template where, with its fix tolerance and secondary area."""

from dataclasses import dataclass

from shapely.affinity import scale

from analyzer.given import Procedure
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.design_altitude import design_altitude_m
from analyzer.planned.protection.icao.base_turn import (
    base_turn_outbound_s,
    distance_limits,
    entry_discs,
    latest_turn_m,
    template_base_turn,
    timed_limits,
)
from analyzer.planned.protection.icao.design_conditions import AreaConditions, design_conditions, flown_conditions
from analyzer.planned.protection.icao.fix_tolerance import FixTolerance, dme_tolerance_m, fix_tolerance
from analyzer.planned.protection.icao.procedure_turn import (
    latest_start_m,
    nominal_45_180,
    nominal_80_260,
    template_45_180,
    template_80_260,
)
from analyzer.planned.protection.icao.racetrack import entry_template, template_racetrack
from analyzer.planned.protection.icao.wind_spirals import Discs, envelope, fix_discs, joined, outermost
from analyzer.standards import AREAS_ICAO, AREAS_US, FLYING, SPEEDS_ICAO, speed_limit
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT, difference_deg

DOCUMENT = "ICAO Doc 8168 Volume II, Part I, Section 4, Chapter 3 and Appendix C"
#: where the procedure gives no altitude at all; that of the document's own example
ASSUMED_ALTITUDE_FT = 6000.0
#: where an ICAO hold has no speed of its own (above 34000 ft, Mach 0.83)
ASSUMED_HIGH_HOLD_KT = 280.0
#: straight leg before a procedure turn that neither time nor distance limits; our own choice
ASSUMED_OUTBOUND_S = 120.0


@dataclass(frozen=True)
class Design:
    """What an area is computed for: conditions (the slow check's second), the fix's tolerance, and notes."""

    conditions: tuple[AreaConditions, ...]
    tolerance: FixTolerance
    notes: tuple[str, ...]


def computed_areas(procedure: Procedure) -> tuple[Area, ...]:
    """Primary area and secondary ring for the speed, altitude and wind of the criteria.

    Procedure turns cover the 45/180 and the 80/260; teardrops the base turn; holds the racetrack with entries from
    every direction. Under US criteria no document at hand draws an area for this hold or teardrop: the same
    construction is used with the US speed limit, and the area says that it is not a published one.
    """
    return _areas(procedure, _design(procedure))


def flown_areas(procedure: Procedure, tas_mps: float, wind_speed_mps: float) -> tuple[Area, ...]:
    """Primary area and secondary ring of the same construction for one flight's true airspeed and wind speed.

    The wind is taken from every direction, as the criteria take theirs: the difference to `computed_areas` is what the
    weather and the speed of the day left in hand.
    """
    altitude_m = design_altitude_m(procedure)
    tolerance = fix_tolerance(procedure, ASSUMED_ALTITUDE_FT * METRES_PER_FOOT if altitude_m is None else altitude_m)
    conditions = flown_conditions(tas_mps, wind_speed_mps)
    text = _conditions_text(conditions, "as flown")
    return _areas(procedure, Design((conditions,), tolerance, (text, tolerance.text)))


def _design(procedure: Procedure) -> Design:
    notes = []
    altitude_m = design_altitude_m(procedure)
    if altitude_m is None:
        altitude_m = ASSUMED_ALTITUDE_FT * METRES_PER_FOOT
        notes.append(f"No altitude is given: {ASSUMED_ALTITUDE_FT:.0f} ft are assumed.")
    ias_mps = procedure.max_ias_mps
    if ias_mps is None:
        limit = speed_limit(procedure.criteria, procedure.category, procedure.is_hold, altitude_m / METRES_PER_FOOT)
        ias_mps = (ASSUMED_HIGH_HOLD_KT if limit is None else limit.value) * MPS_PER_KNOT
    fastest = design_conditions(ias_mps, altitude_m)
    conditions = [fastest]
    if not procedure.is_hold:
        slow = SPEEDS_ICAO["icao.speed.slow_check"].value * MPS_PER_KNOT
        conditions.append(design_conditions(min(slow, ias_mps), altitude_m))
    tolerance = fix_tolerance(procedure, altitude_m)
    text = _conditions_text(fastest, f"{ias_mps / MPS_PER_KNOT:.0f} kt IAS at {altitude_m / METRES_PER_FOOT:.0f} ft")
    return Design(tuple(conditions), tolerance, (text, *notes, tolerance.text))


def _conditions_text(conditions: AreaConditions, origin: str) -> str:
    return (
        f"{conditions.tas_mps / MPS_PER_KNOT:.0f} kt TAS ({origin}), {conditions.rate_deg_s:.2f} deg/s, "
        f"{conditions.wind_mps / MPS_PER_KNOT:.0f} kt of wind from any direction."
    )


def _areas(procedure: Procedure, design: Design) -> tuple[Area, ...]:
    """Envelope of the discs of every condition, and the ring outside."""
    kind, groups, notes = _discs(procedure, design)
    primary = envelope(joined(*groups))
    if procedure.side == -1:
        primary = scale(primary, yfact=-1.0, origin=(0.0, 0.0))
    buffered = procedure.reversal == "holding"
    width = AREAS_ICAO["icao.area.hold.buffer" if buffered else "icao.area.secondary"]
    ring = primary.buffer(width.value * METRES_PER_NM, quad_segs=45).difference(primary)
    published = procedure.criteria == "ICAO"
    reference = DOCUMENT if published else f"computed, no published area: {kind} as in {DOCUMENT}"
    if not published:
        notes = [_no_us_area(procedure), *notes]
    note = " ".join([f"{kind}.", *notes, *design.notes])
    return (
        Area("primary", primary, procedure.criteria, reference, "calculated", note, published),
        Area(
            "secondary",
            ring,
            procedure.criteria,
            reference,
            width.status,
            f"{'Buffer' if buffered else 'Secondary area'} {width.value:g} NM wide outside the primary area.",
            published,
        ),
    )


def _no_us_area(procedure: Procedure) -> str:
    """Say why an area under US criteria is computed, and for a hold what sizes the US patterns have."""
    if not procedure.is_hold:
        return "Computed, no published area: the US rules draw none for a teardrop."
    sizes = [
        (AREAS_US[f"us.hold.length.{number}"].value, AREAS_US[f"us.hold.width.{number}"].value) for number in (4, 10)
    ]
    (short, narrow), (long, wide) = sizes
    return (
        f"Computed, no published area: US holding patterns 4 to 10 measure {short:g} by {narrow:g} to {long:g} by "
        f"{wide:g} NM (FAA Order 8260.3C, second hand), which of them is this one's is not known."
    )


def _discs(procedure: Procedure, design: Design) -> tuple[str, list[Discs], list[str]]:
    """Kind of area, discs for each condition, and what was assumed."""
    if procedure.is_hold:
        return _racetrack(procedure, design)
    if procedure.reversal == "teardrop":
        return _base_turn(procedure, design)
    return _procedure_turn(procedure, design)


def _procedure_turn(procedure: Procedure, design: Design) -> tuple[str, list[Discs], list[str]]:
    """45/180 and 80/260 templates from the nearest and the latest start of the turn on the outbound track."""
    tolerance = design.tolerance
    timed_s = _offset_timed_s(procedure)
    groups = []
    for conditions in design.conditions:
        for template, nominal in (
            (template_45_180(conditions, timed_s), nominal_45_180(conditions, timed_s)),
            (template_80_260(conditions), nominal_80_260(conditions)),
        ):
            if procedure.remain_within_m is not None:
                start_m = latest_start_m(nominal, procedure.remain_within_m)
                nearest_m, farthest_m = -tolerance.along_m, start_m + dme_tolerance_m(start_m)
            else:
                limits = timed_limits(conditions, ASSUMED_OUTBOUND_S, tolerance.radius_m + tolerance.along_m)
                nearest_m = max(limits.nearest_m, -tolerance.along_m)
                farthest_m = limits.farthest_m - 5.0 * (conditions.tas_mps + conditions.wind_mps)  # bank is in a-b
            starts = [
                (distance_m, side * tolerance.cross_at_m(max(distance_m, 0.0)))
                for distance_m in (nearest_m, farthest_m)
                for side in (-1.0, 1.0)
            ]
            groups.append(template.placed(starts))
        groups.append(entry_discs(conditions, 0.0, tolerance))
    groups.append(fix_discs(tolerance.corners(), tolerance.radius_m))
    if procedure.remain_within_m is not None:
        note = "The turn may start anywhere from the fix to where its still-air path just stays within the distance."
    else:
        note = "No distance is given: a timed straight leg of 2 min before the turn is assumed."
    return "Procedure turn area for the 45/180 and the 80/260", groups, [note]


def _offset_timed_s(procedure: Procedure) -> float:
    """Time of the offset leg from the start of the turn: as charted, or by the category."""
    if procedure.outbound_s is not None and "limits.outbound_min" not in procedure.defaults:
        from_wings_level = procedure.timing_from == "wings level"
        return procedure.outbound_s + (15.0 if from_wings_level else 0.0)  # 45 degrees at 3 deg/s
    return 60.0 * FLYING["icao.offset_leg.slow" if procedure.category in ("A", "B") else "icao.offset_leg.fast"].value


def _base_turn(procedure: Procedure, design: Design) -> tuple[str, list[Discs], list[str]]:
    """Outbound leg by time or distance, at least to where the distance limit lets it go, and the template about it."""
    tolerance = design.tolerance
    divergence_deg = abs(difference_deg(procedure.reciprocal_true_deg, procedure.outbound_true_deg))
    charted_s = procedure.outbound_s if "limits.outbound_min" not in procedure.defaults else None
    groups, notes = [], []
    for conditions in design.conditions:
        if procedure.outbound_m is not None:
            every = [distance_limits(conditions, procedure.outbound_m)]
        else:
            seconds = base_turn_outbound_s(conditions, divergence_deg) if charted_s is None else charted_s
            every = [timed_limits(conditions, seconds, tolerance.radius_m + tolerance.along_m)]
            if charted_s is None and procedure.remain_within_m is not None:
                every.append(distance_limits(conditions, latest_turn_m(conditions, procedure.remain_within_m)))
        groups += [template_base_turn(conditions, divergence_deg, limits, tolerance) for limits in every]
        groups.append(entry_discs(conditions, divergence_deg, tolerance))
    if procedure.outbound_m is None and charted_s is None:
        notes.append("No outbound time is given: the time that fits the divergence, or as far as the distance allows.")
    return "Base turn (teardrop) area", groups, notes


def _racetrack(procedure: Procedure, design: Design) -> tuple[str, list[Discs], list[str]]:
    """Racetrack template and entries on every point of the fix tolerance."""
    tolerance = design.tolerance
    notes = []
    groups = []
    for conditions in design.conditions:
        if procedure.outbound_m is not None:
            seconds = procedure.outbound_m / conditions.tas_mps
            notes.append("The distance leg is taken as a timed leg of its still-air time.")
        else:
            seconds = procedure.outbound_s if procedure.outbound_s is not None else 60.0
        discs = outermost(joined(template_racetrack(conditions, seconds), entry_template(conditions, seconds)))
        groups.append(discs.placed(tolerance.corners(), tolerance.radius_m))
    kind = "Holding area" if procedure.reversal == "holding" else "Racetrack area"
    return f"{kind} with entries from every direction", groups, notes
