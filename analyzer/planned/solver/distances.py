"""What ends the outbound leg: the time of a hold, or a distance as the pilot reads it."""

import math

from analyzer.given import Procedure, frame_of
from analyzer.planned.solver.holds import Leg
from analyzer.planned.solver.teardrops import Charted, free_teardrop
from analyzer.standards import FLYING
from analyzer.units import METRES_PER_FOOT, difference_deg

HOLD_LEG_S, HIGH_HOLD_LEG_S = 60.0 * FLYING["hold.leg.low"].value, 60.0 * FLYING["hold.leg.high"].value
HIGH_HOLD_FT = FLYING["hold.leg.boundary"].value


def hold_leg_s(procedure: Procedure) -> float:
    """Return the timed leg of a hold: as charted, or by the altitude."""
    if procedure.outbound_s is not None:
        return procedure.outbound_s
    limit = procedure.altitude("reversal")
    low_m = limit.low_m if limit is not None else None
    return HIGH_HOLD_LEG_S if low_m is not None and low_m > HIGH_HOLD_FT * METRES_PER_FOOT else HOLD_LEG_S


def hold_leg(procedure: Procedure) -> Leg:
    """Return what ends the outbound leg: the inbound time, or the distance as it is read from fix or station."""
    if procedure.outbound_m is None:
        return Leg(inbound_s=hold_leg_s(procedure))
    if procedure.guidance.kind == "RNAV":
        return Leg(distance_m=procedure.outbound_m, by_track=True)
    x, y = station_m(procedure)
    at_fix = math.hypot(x, y)
    outwards = x <= 0.0
    end = at_fix + procedure.outbound_m if outwards else abs(at_fix - procedure.outbound_m)
    return Leg(distance_m=end, from_x_m=x, from_y_m=y, height_m=height_m(procedure))


def charted_teardrop(procedure: Procedure) -> Charted:
    """Return what the chart gives for the outbound leg of a teardrop; of a procedure turn's teardrop nothing."""
    if procedure.reversal != "teardrop":
        return free_teardrop()
    off = float(difference_deg(procedure.inbound_true_deg, procedure.outbound_true_deg)) * procedure.side
    if procedure.outbound_m is not None:
        by_station = procedure.guidance.kind in ("VOR", "localizer") and station_m(procedure) == (0.0, 0.0)
        return Charted(off, None, procedure.outbound_m, by_station, height_m(procedure) if by_station else 0.0)
    return Charted(off, None if "limits.outbound_min" in procedure.defaults else procedure.outbound_s)


def station_m(procedure: Procedure) -> tuple[float, float]:
    """Return where the station lies whose distance is read, in the solver's plane; the fix unless it is elsewhere."""
    station, fix = procedure.guidance.station, procedure.fix
    if (station.latitude_deg, station.longitude_deg) == (fix.latitude_deg, fix.longitude_deg):
        return 0.0, 0.0
    along, cross = frame_of(procedure).along_cross_m(station.latitude_deg, station.longitude_deg)
    return float(along), procedure.side * float(cross)


def height_m(procedure: Procedure) -> float:
    """Return the height over the station at which the reversal is flown, zero where it is not known."""
    limit, elevation_m = procedure.altitude("reversal"), procedure.guidance.station.elevation_m
    if limit is None or elevation_m is None:
        return 0.0
    altitude_m = limit.low_m if limit.low_m is not None else limit.high_m
    return max((altitude_m or 0.0) - elevation_m, 0.0)
