"""Everything a chart shows, computed once: areas, nominal path, needle lines, cone, in NM east and north of the fix."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.given import Frame, Procedure, frame_of
from analyzer.planned import (
    Area,
    NominalPath,
    cone_radius_m,
    default_method,
    design_altitude_m,
    nominal_paths,
    protection_areas,
)
from analyzer.standards import GUIDANCE, SPEEDS_ICAO
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT, FloatArray

UNKNOWN_LEG_M = 5.0 * METRES_PER_NM  # how far out a course is drawn where neither chart nor path says (own choice)


@dataclass(frozen=True)
class Scene:
    """What is drawn.

    `reach_m` is how far out along the outbound course the drawing has something to show; `cone_m` the radius of the
    station's cone at the reversal altitude, None where the fix is not a station or its elevation is not known.
    """

    procedure: Procedure
    frame: Frame
    areas: tuple[Area, ...]
    nominal: tuple[NominalPath, ...]
    tas_mps: float
    cone_m: float | None

    def place_nm(self, along_m: npt.ArrayLike, cross_m: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Return east and north in NM of points of the frame."""
        east, north = self.frame.east_north_from_along_cross(
            np.asarray(along_m, dtype=float), np.asarray(cross_m, dtype=float)
        )
        return east / METRES_PER_NM, north / METRES_PER_NM

    @property
    def path_m(self) -> tuple[FloatArray, FloatArray]:
        """Along and cross of the whole nominal path; of the outbound leg where the charted values allow no path."""
        if not self.nominal:
            return self.outbound_m
        legs = self.nominal[0].legs
        return np.concatenate([leg.along_m for leg in legs]), np.concatenate([leg.cross_m for leg in legs])

    @property
    def outbound_m(self) -> tuple[FloatArray, FloatArray]:
        """Along and cross of the nominal path's first leg, or of a straight one along the charted outbound course."""
        if self.nominal:
            return self.nominal[0].legs[0].along_m, self.nominal[0].legs[0].cross_m
        procedure = self.procedure
        length_m = procedure.outbound_m or procedure.remain_within_m or UNKNOWN_LEG_M
        course_rad = np.radians(procedure.outbound_true_deg)
        east, north = np.sin(course_rad), np.cos(course_rad)
        along, cross = self.frame.along_cross_from_east_north(east, north)
        return along * np.array([0.0, length_m]), cross * np.array([0.0, length_m])

    @property
    def furthest_m(self) -> float:
        """How far out along the course the nominal path goes."""
        return float(self.path_m[0].max())

    @property
    def reach_m(self) -> float:
        """How far out the course line is drawn."""
        limit = self.procedure.remain_within_m
        return max(1.15 * self.furthest_m, 0.0 if limit is None else limit)

    @property
    def unit_m(self) -> float:
        """Distance by which words stand off their lines: 1 NM on a drawing 20 NM across, as much as that on others."""
        bounds = np.array([area.shape.bounds for area in self.areas])
        low, high = bounds[:, :2].min(axis=0), bounds[:, 2:].max(axis=0)
        return float(np.max(high - low)) / 20.0

    def needle_lines_m(self) -> list[tuple[FloatArray, FloatArray]]:
        """Return along and cross of the two lines of full deflection, from the station (or abeam the fix) outwards."""
        guidance = self.procedure.guidance
        if guidance.full_scale_m is not None:
            along = np.array([0.0, self.reach_m])
            return [(along, np.full(2, side * guidance.full_scale_m)) for side in (-1.0, 1.0)]
        station, _ = self.frame.along_cross_m(guidance.station.latitude_deg, guidance.station.longitude_deg)
        slope = math.tan(math.radians(guidance.full_scale_deg or 0.0))
        start = max(float(station), 0.0) if station < self.reach_m else float(station)
        along = np.array([start, self.reach_m])
        return [(along, side * slope * np.abs(along - station)) for side in (-1.0, 1.0)]


def scene_of(procedure: Procedure, areas: tuple[Area, ...] | None = None) -> Scene:
    """Return the scene of a procedure in still air; its areas are computed where they are not given.

    The nominal path is flown at the highest threshold speed of the category (of D for E), not above the procedure's
    limit: a usual speed for the reversal, only to give the drawing a size.
    """
    category = procedure.category if procedure.category in "ABCD" else "D"
    threshold = SPEEDS_ICAO[f"icao.speed.threshold.{category}"].value * MPS_PER_KNOT
    tas_mps = threshold if procedure.max_ias_mps is None else min(threshold, procedure.max_ias_mps)
    return Scene(
        procedure=procedure,
        frame=frame_of(procedure),
        areas=protection_areas(procedure) if areas is None else areas,
        nominal=nominal_paths(procedure, tas_mps, None, default_method(procedure)),
        tas_mps=tas_mps,
        cone_m=_cone_m(procedure),
    )


def _cone_m(procedure: Procedure) -> float | None:
    guidance = procedure.guidance
    altitude_m, elevation_m = design_altitude_m(procedure), guidance.station.elevation_m
    if guidance.kind not in ("VOR", "NDB") or altitude_m is None or elevation_m is None:
        return None
    along_m, cross_m = frame_of(procedure).along_cross_m(guidance.station.latitude_deg, guidance.station.longitude_deg)
    if math.hypot(along_m, cross_m) > 100.0:
        return None
    return cone_radius_m(altitude_m - elevation_m, GUIDANCE[f"cone.{guidance.kind}"].value)
