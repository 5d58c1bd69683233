"""US procedure-turn area: primary, secondary ring and entry zone from the dimension table."""

from dataclasses import dataclass

from shapely import Point, box, union_all
from shapely.affinity import scale
from shapely.geometry.base import BaseGeometry

from analyzer.given import Procedure
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.design_altitude import QUARTER_SEGMENTS, design_altitude_m
from analyzer.planned.protection.us.dimensions import (
    BAND_NAMES,
    DOCUMENT,
    LONGEST_LENGTH_NM,
    NEAR_CENTRE_OFFSET_NM,
    NORMAL_LENGTH_NM,
    SECONDARY_WIDTH_NM,
    ProcedureTurnDimensions,
    altitude_band,
    procedure_turn_dimensions,
)
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM

_BEYOND_M = 1e6  # wider than any area: a half-plane


@dataclass(frozen=True)
class _Outline:
    """Convex outline about two arcs: both common tangents and both outer arcs, y towards the manoeuvre."""

    near_radius_m: float
    far_radius_m: float
    length_m: float
    far_offset_m: float

    def shape(self) -> BaseGeometry:
        near = Point(0.0, NEAR_CENTRE_OFFSET_NM * METRES_PER_NM).buffer(self.near_radius_m, quad_segs=QUARTER_SEGMENTS)
        far = Point(self.length_m, self.far_offset_m).buffer(self.far_radius_m, quad_segs=QUARTER_SEGMENTS)
        return union_all([near, far]).convex_hull


def procedure_turn_areas(procedure: Procedure) -> tuple[Area, ...]:
    """Primary area, secondary ring and entry zone of a procedure turn under US criteria.

    Two arcs about a centre 1 NM abeam the fix and a centre at the "remain within" distance, both on the manoeuvring
    side, with their common tangents; the secondary arcs lie 2 NM outside. The entry zone is all of it (primary and
    secondary) behind the line through the fix across the course. See `figures_us` for the figures' status.

    Parameters
    ----------
    procedure : Procedure
        `reversal` "procedure turn". Without a "remain within" distance 10 NM is assumed, without altitudes the
        lowest band; the notes say so.
    """
    notes = []
    if procedure.remain_within_m is None:
        length_nm = NORMAL_LENGTH_NM
        notes.append("No remain within distance is given: 10 NM is assumed.")
    else:
        length_nm = procedure.remain_within_m / METRES_PER_NM
    altitude_m = design_altitude_m(procedure)
    altitude_ft = None if altitude_m is None else altitude_m / METRES_PER_FOOT
    band = 0 if altitude_ft is None else altitude_band(round(altitude_ft, 3))
    if altitude_ft is None:
        notes.append("No altitude is given: the lowest altitude band is assumed.")
    row = procedure_turn_dimensions(length_nm, band)
    status = row.status
    if length_nm > LONGEST_LENGTH_NM:
        notes.append("Longer than the 15 NM of the table: the rule for 10 to 15 NM is carried on.")
        status = "from memory"
    primary, outer = (_mirrored(shape, procedure.side) for shape in _shapes(row, length_nm))
    entry = outer.intersection(box(-_BEYOND_M, -_BEYOND_M, 0.0, _BEYOND_M))
    measures = (
        f"{length_nm:g} NM, {BAND_NAMES[band]}: arcs of {row.near_radius_nm:g} NM about a centre "
        f"{NEAR_CENTRE_OFFSET_NM:g} NM abeam the fix and {row.far_radius_nm:g} NM about a centre at the distance, "
        f"{row.far_centre_offset_nm:g} NM off the course."
    )
    return (
        Area("primary", primary, "US", DOCUMENT, status, " ".join([measures, *notes])),
        Area(
            "secondary",
            outer.difference(primary),
            "US",
            DOCUMENT,
            status,
            f"Ring outside the primary area, {SECONDARY_WIDTH_NM:g} NM at the arcs.",
        ),
        Area(
            "entry zone",
            entry,
            "US",
            DOCUMENT,
            "from memory",
            "The part behind the fix, primary and secondary; it counts until the fix is passed outbound.",
        ),
    )


def _shapes(row: ProcedureTurnDimensions, length_nm: float) -> tuple[BaseGeometry, BaseGeometry]:
    """Primary area and the outer edge of the secondary, y towards the manoeuvre."""
    shapes = [
        _Outline(
            (row.near_radius_nm + wider_nm) * METRES_PER_NM,
            (row.far_radius_nm + wider_nm) * METRES_PER_NM,
            length_nm * METRES_PER_NM,
            row.far_centre_offset_nm * METRES_PER_NM,
        ).shape()
        for wider_nm in (0.0, SECONDARY_WIDTH_NM)
    ]
    return shapes[0], shapes[1]


def _mirrored(shape: BaseGeometry, side: int) -> BaseGeometry:
    """Shape with its manoeuvring side put where the procedure has it."""
    return shape if side == 1 else scale(shape, yfact=-1.0, origin=(0.0, 0.0))
