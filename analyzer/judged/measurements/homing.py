"""Homing: the nose kept on the beacon, so that a wind across carries the aircraft round to it in a curve.

Instrument Flying Handbook, FAA-H-8083-15B, ch. 9, NDB tracking and homing (common practice where it gives no figure).
"""

import numpy as np

from analyzer.flown import Flight
from analyzer.judged.measurements.near_station import near_of
from analyzer.judged.measurements.values import Homing
from analyzer.planned import Plan
from analyzer.units import BoolArray, FloatArray

#: the nose is on the beacon when it points within this of it, in this share of the time (own choice)
ON_BEACON_DEG, SHARE = 4.0, 0.8
#: a bearing that changes by less shows no curve, and so little time shows no habit (own choice)
BEARING_LEAST_DEG, LEAST_S = 6.0, 40.0
#: of how much the bearing changed the heading followed at least so much (own choice)
FOLLOWED_SHARE = 0.5


def measure_homing(flight: Flight, plan: Plan, from_s: float, stop_s: float) -> Homing | None:
    """Return the homing on the way in to a beacon, None where there was none or the heading is not known.

    Parameters
    ----------
    flight : Flight
        Its heading column, or its air heading where the wind is known.
    plan : Plan
    from_s, stop_s : float
        Wings level after the last reversal turn; inbound passage of the fix or the end of what is looked at.
    """
    motion = flight.motion
    if plan.procedure.guidance.kind != "NDB" or not stop_s > from_s:
        return None
    inside = (motion.time_s >= from_s) & (motion.time_s <= stop_s) & ~near_of(flight, plan)
    heading = _heading_relative_deg(flight, plan)
    if heading is None or np.count_nonzero(inside) < 3:
        return None
    station = plan.procedure.guidance.station
    along, cross = plan.frame.along_cross_m(station.latitude_deg, station.longitude_deg)
    bearing = np.degrees(np.arctan2(cross - motion.cross_m, motion.along_m - along))
    time, bearing, heading = motion.time_s[inside], np.unwrap(bearing[inside], period=360.0), heading[inside]
    off = (heading - bearing + 180.0) % 360.0 - 180.0
    on_beacon = np.abs(off) <= ON_BEACON_DEG
    first = _from_where_on(on_beacon)
    if first is None or time[-1] - time[first] < LEAST_S:
        return None
    turned = float(bearing[-1] - bearing[first])
    followed = float((heading[-1] - heading[first] + 180.0) % 360.0 - 180.0)
    if abs(turned) < BEARING_LEAST_DEG or followed * np.sign(turned) < FOLLOWED_SHARE * abs(turned):
        return None
    return Homing(float(time[first]), float(time[-1]), turned)


def _from_where_on(on_beacon: BoolArray) -> int | None:
    """Return the first moment from which on the nose was on the beacon most of the time."""
    share = np.cumsum(on_beacon[::-1])[::-1] / np.arange(len(on_beacon), 0, -1)
    found = np.flatnonzero((share >= SHARE) & on_beacon)
    return int(found[0]) if found.size else None


def _heading_relative_deg(flight: Flight, plan: Plan) -> FloatArray | None:
    """Return the heading relative to the inbound course at the motion's moments; None where it is not known."""
    inbound, variation = plan.procedure.inbound_true_deg, plan.procedure.variation_deg
    for name, add_deg in (("heading_true_deg", 0.0), ("heading_magnetic_deg", variation)):
        column = flight.track.sensors.get(name)
        good = np.zeros(0, dtype=bool) if column is None else np.isfinite(column)
        if column is not None and np.count_nonzero(good) > 2:
            turned = np.unwrap(column[good], period=360.0)
            heading: FloatArray = np.interp(flight.motion.time_s, flight.track.time_s[good], turned)
            return heading + add_deg - inbound
    return flight.air.heading_deg if flight.wind is not None else None
