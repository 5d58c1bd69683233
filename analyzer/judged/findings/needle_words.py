"""The needle in words: parts of full scale, and degrees for a beacon, whose indicator has no full scale."""

from analyzer.judged.findings.case import Case

HALF_SCALE, TRACK_DEG = 0.5, 10.0  # the definition of established


def is_beacon(case: Case) -> bool:
    """Return whether the course is a bearing to an NDB."""
    return case.procedure.guidance.kind == "NDB"


def beacon_deg(case: Case, deflection: float) -> float:
    """Return a deflection as degrees off the bearing."""
    return deflection * (case.procedure.guidance.full_scale_deg or 10.0)


def shown(case: Case, deflection: float) -> str:
    """Return a deflection in words: "0.82 of full scale", or "8.2°"."""
    return f"{beacon_deg(case, deflection):.1f}°" if is_beacon(case) else f"{deflection:.2f} of full scale"


def in_units(case: Case, measured: float, limit: float) -> tuple[tuple[float, float, float], str]:
    """Return a deflection, its limit and the margin in the unit that they are told in, and the unit."""
    if is_beacon(case):
        measured, limit = beacon_deg(case, measured), beacon_deg(case, limit)
        return (measured, limit, limit - measured), "deg"
    return (measured, limit, limit - measured), "full scale"


def course_words(case: Case) -> str:
    """Return "the 125° inbound course", "the 125° bearing to the beacon"."""
    course = f"the {round(case.procedure.inbound_magnetic_deg) % 360 or 360:03d}°"
    return f"{course} bearing to the beacon" if is_beacon(case) else f"{course} inbound course"


def established_words(case: Case) -> str:
    """Return what established asks for, in words."""
    if is_beacon(case):
        return f"within {beacon_deg(case, HALF_SCALE):g}° of {course_words(case)} with its track within {TRACK_DEG:g}°"
    return f"within half scale and {TRACK_DEG:g}° of {course_words(case)}"
