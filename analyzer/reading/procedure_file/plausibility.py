"""What in a procedure file is possible and yet hardly meant: values that contradict each other, one sentence for each.

A chart that says so is right: these are questions, not refusals. All limits here are own choices, wide of what charts
print, so that a file copied with care brings none.
"""

from itertools import pairwise

from analyzer.given import AltitudeLimit, JudgedPart, Place, Procedure, QualityNote, course_and_distance
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, difference_deg, feet, miles

CODE = "procedure-doubtful"
#: a charted course is rounded to a degree and its variation may be some degrees old, deg
_OFF_COURSE_DEG = {"localizer": 4.0}
_OFF_COURSE_USUALLY_DEG = 8.0
#: nearer than this a station's bearing from the fix says little
_NEAR_M = 2.0 * METRES_PER_NM
#: no station guides from so far
_FAR_STATION_M = 150.0 * METRES_PER_NM
#: no runway is so far from the fix of its reversal
_FAR_RUNWAY_M = 40.0 * METRES_PER_NM
_SAME_POINT_M = 60.0
_FEET_IN_A_METRE = 1.0 / METRES_PER_FOOT
#: of two elevations on one field, or near each other, one in metres: the factor, this far either way
_FACTOR_BAND = 0.06
_LEAST_ELEVATION_FT = 300.0
_ANOTHER_DIGIT = 3.0  # a minimum this many times the one before has a digit too many
_KM_PER_NM = METRES_PER_NM / 1000.0
_NEAR_WHOLE_NM = 0.03  # of a distance in kilometres rounded to one decimal
_WORDS = {"arrival": "arrival", "reversal": "reversal", "inbound": "inbound leg", "final": "final"}


def doubtful(text: str, *not_judged: JudgedPart) -> QualityNote:
    """Return the note of a doubtful value, with what can't be judged by it."""
    return QualityNote(CODE, text, on_first_screen=True, not_judged=not_judged)


def doubtful_values(procedure: Procedure) -> tuple[QualityNote, ...]:
    """Return a note for each pair of values that contradict each other; empty where none do."""
    found = (
        _below_the_ground(procedure),
        _one_elevation_in_metres(procedure),
        _rising_minimums(procedure),
        _station(procedure),
        _runway(procedure),
        _in_kilometres(procedure),
    )
    return tuple(note for note in found if note is not None)


def _below_the_ground(procedure: Procedure) -> QualityNote | None:
    """Return the note for an altitude below the station's, fix's or runway's ground, or one in metres."""
    grounds = [
        (place.elevation_m, word)
        for place, word in ((procedure.runway, "runway"), (procedure.fix, "fix"))
        if place is not None and place.elevation_m is not None
    ]
    below: list[tuple[AltitudeLimit, float, str]] = []
    for limit in procedure.altitudes:
        for ground_m, word in grounds:
            top_m = limit.high_m if limit.high_m is not None else limit.low_m
            # on the final, which may go down past the station's hill, the runway alone counts
            if top_m is not None and top_m < ground_m and (word == "runway" or limit.segment != "final"):
                below.append((limit, ground_m, word))
    if not below:
        return None
    limit, ground_m, word = below[0]
    value_m = limit.high_m if limit.high_m is not None else limit.low_m
    assert value_m is not None
    text = (
        f"The procedure file has {feet(value_m)} for the {_WORDS[limit.segment]}, below the {feet(ground_m)} of the "
        f"{word}'s elevation."
    )
    if all(ground_m < (each.low_m or each.high_m or 0.0) * _FEET_IN_A_METRE for each, _, _ in below):
        given = value_m / METRES_PER_FOOT
        return doubtful(f"{text} Are the altitudes metres? {given:,.0f} m are {feet(given)}.", "altitudes")
    return doubtful(f"{text} Check both against the chart.", "altitudes")


def _one_elevation_in_metres(procedure: Procedure) -> QualityNote | None:
    runway, fix = procedure.runway, procedure.fix
    if runway is None or runway.elevation_m is None or fix.elevation_m is None:
        return None
    low_ft, high_ft = sorted(value / METRES_PER_FOOT for value in (runway.elevation_m, fix.elevation_m))
    if low_ft < _LEAST_ELEVATION_FT or abs(high_ft / low_ft / _FEET_IN_A_METRE - 1.0) > _FACTOR_BAND:
        return None
    where = "fix" if fix.elevation_m < runway.elevation_m else "runway"
    return doubtful(
        f"The procedure file has elevations of {low_ft:,.0f} and {high_ft:,.0f} ft for two places near each other. "
        f"Is the {where}'s in metres? {low_ft:,.0f} m are {low_ft * _FEET_IN_A_METRE:,.0f} ft."
    )


def _rising_minimums(procedure: Procedure) -> QualityNote | None:
    """Return the note for the first minimum that lies above the one of the segment before."""
    lows = [(limit.segment, limit.low_m) for limit in procedure.altitudes if limit.low_m is not None]
    for (before, before_m), (after, after_m) in pairwise(lows):
        if after_m <= before_m:
            continue
        text = (
            f"The procedure file's minimum rises towards the runway: {feet(before_m)} for the {_WORDS[before]}, "
            f"{feet(after_m)} for the {_WORDS[after]}. Are they in the chart's order, with the right number of digits?"
        )
        return doubtful(text, "altitudes") if after_m > _ANOTHER_DIGIT * before_m else doubtful(text)
    return None


def _station(procedure: Procedure) -> QualityNote | None:
    """Return the note for a station that can't give the inbound course."""
    guidance, fix = procedure.guidance, procedure.fix
    station = guidance.station
    if station == fix or guidance.kind == "RNAV":
        return None
    bearing, distance_m = _course_and_distance(fix, station)
    if distance_m > _FAR_STATION_M:
        return doubtful(
            f"The station under [guidance] lies {miles(distance_m)} from the fix. Check the signs of its "
            "position: south and west are negative.",
            "manoeuvre",
        )
    if distance_m < _NEAR_M:
        return None
    ahead = abs(float(difference_deg(procedure.inbound_true_deg, bearing)))
    off_deg = min(ahead, 180.0 - ahead)
    if off_deg > _OFF_COURSE_DEG.get(guidance.kind, _OFF_COURSE_USUALLY_DEG):
        bearing_magnetic = procedure.magnetic_deg(bearing)
        return doubtful(
            f"The station under [guidance] doesn't lie on the inbound course: from the fix it bears "
            f"{bearing_magnetic:03.0f}° magnetic, {off_deg:.0f}° off, {miles(distance_m)} away. Check its position and "
            "the course."
        )
    if guidance.kind != "localizer":
        return None
    runway = procedure.runway
    behind = "the fix" if ahead > 90.0 else ""
    if not behind and runway is not None:
        to_runway, runway_m = _course_and_distance(fix, runway)
        inbound = abs(float(difference_deg(procedure.inbound_true_deg, to_runway))) < 90.0
        behind = "the threshold" if inbound and distance_m < runway_m - _SAME_POINT_M else ""
    if not behind:
        return None
    return doubtful(
        f"The localizer's aerial lies on the approach side of {behind}; a front course has it beyond the far end of "
        "the runway. Is its position that of the other end, or is this a back course?"
    )


def _runway(procedure: Procedure) -> QualityNote | None:
    runway = procedure.runway
    if runway is None:
        return None
    bearing, distance_m = _course_and_distance(procedure.fix, runway)
    if distance_m < _SAME_POINT_M:
        return doubtful("The fix lies at the runway's threshold. Is its position that of another line of the chart?")
    if distance_m > _FAR_RUNWAY_M:
        return doubtful(
            f"The runway's threshold lies {miles(distance_m)} from the fix. Check both positions and their signs: "
            "south and west are negative."
        )
    if distance_m > _NEAR_M and abs(float(difference_deg(procedure.inbound_true_deg, bearing))) > 90.0:
        return doubtful(
            f"The runway's threshold lies on the outbound side of the fix, {miles(distance_m)} away. Is the inbound "
            "course the one that is flown towards the fix?"
        )
    return None


def _in_kilometres(procedure: Procedure) -> QualityNote | None:
    if procedure.remain_within_m is None:
        return None
    given = procedure.remain_within_m / METRES_PER_NM
    in_nm = given / _KM_PER_NM
    is_whole = abs(given - round(given)) < _NEAR_WHOLE_NM
    if is_whole or round(in_nm) < 1 or abs(in_nm - round(in_nm)) > _NEAR_WHOLE_NM:
        return None
    text = f"limits.remain_within_nm is {given:g}: is it in kilometres? {given:g} km are {round(in_nm)} NM."
    return doubtful(text)


def _course_and_distance(start: Place, end: Place) -> tuple[float, float]:
    course, distance = course_and_distance(start.latitude_deg, start.longitude_deg, end.latitude_deg, end.longitude_deg)
    return float(course), float(distance)
