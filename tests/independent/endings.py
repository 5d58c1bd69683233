"""What comes after the reversal: descent to the minimum, landing or missed approach."""

from tests.independent.aircraft import NAUTICAL_MILE, Air
from tests.independent.cockpit import Cockpit, passed
from tests.independent.reversals import Charted, go_on

FEET_PER_NM = 318.0  # 3 degrees
BRAKING_KT_S = 4.0


def land(
    c: Cockpit, charted: Charted, threshold_nm: float, elevation_ft: float, slope_ft_nm: float = FEET_PER_NM
) -> None:
    """Leave the altitude on a steady slope to the threshold, touch down and roll out; `threshold_nm` from the fix."""
    go_on(c, charted, threshold_nm + 0.1 - (c.target_ft - elevation_ft) / slope_ft_nm)
    c.mark("left minimum")
    line = charted.inbound
    ground_kt = c.aircraft.air.groundspeed_kt(line.course_deg, c.base_tas_kt)
    c.errors.pilot = type(c.pilot)()
    left_nm = max(threshold_nm + 0.1 - line.past_m(c.aircraft) / NAUTICAL_MILE, 0.2)
    steepest_ft_nm = max(slope_ft_nm, (c.aircraft.altitude_ft - elevation_ft) / left_nm)
    c.descend(elevation_ft, steepest_ft_nm * ground_kt / 60.0)
    c.track(line, lambda k: k.aircraft.altitude_ft <= elevation_ft + 8.0, name="landing")
    c.mark("touchdown")
    c.aircraft.air, c.aircraft.heading_deg = Air(), line.course_deg
    c.base_tas_kt = c.aircraft.tas_kt = ground_kt
    c.aircraft.bank_deg, c.aircraft.altitude_ft, c.aircraft.climb_fpm = 0.0, elevation_ft, 0.0
    while c.base_tas_kt > 15.0:
        c.base_tas_kt -= 0.1 * BRAKING_KT_S
        c.step(0.0)


def miss(c: Cockpit, charted: Charted, at_nm: float, climb_to_ft: float, seconds: float = 70.0) -> None:
    """Fly level to the missed approach point, so far past the fix, and climb straight ahead."""
    go_on(c, charted, at_nm)
    c.mark("missed approach")
    c.descend(climb_to_ft, 700.0)
    end_s = c.time_s + seconds
    c.track(charted.inbound, lambda k: k.time_s >= end_s, name="climb")


def stop_at(c: Cockpit, charted: Charted, nm: float) -> None:
    """Fly on level to so far past the fix; the recording ends there."""
    go_on(c, charted, nm)


def steady_descent(c: Cockpit, charted: Charted, from_nm: float, to_nm: float, to_ft: float) -> None:
    """Descend from one place to another past the fix at a constant angle."""
    line = charted.inbound
    go_on(c, charted, from_nm)
    ground_kt = c.aircraft.air.groundspeed_kt(line.course_deg, c.base_tas_kt)
    c.descend(to_ft, (c.aircraft.altitude_ft - to_ft) / (to_nm - from_nm) * ground_kt / 60.0)
    c.track(line, passed(line, to_nm), name="descent")
