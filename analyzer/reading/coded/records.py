"""Single records of ARINC 424: columns to values.

The columns are those of supplement 18, section 4.1 (from memory, then held against the records of whole public cycles
and against a package that decodes them: see `tests/against/test_coded_records.py`). Columns are counted from 0 here, as
Python slices them. A field that can't be read is None: what needs it says so.
"""

from dataclasses import dataclass

RECORD_LENGTH = 132
#: [ARINC 424] 5.7: the first letter of a route; from memory, in agreement with the approaches' names in the records
TRANSITION_ROUTE = "A"


@dataclass(frozen=True)
class FixReference:
    """Name of a point in the file: identifier, region and section ("EA", "PC", "D ", "DB", "PN", "PG", "PI")."""

    ident: str
    region: str
    section: str


@dataclass(frozen=True)
class CodedAltitude:
    """Altitude field of a leg in feet: rule letter as coded, first and second altitude."""

    rule: str
    first_ft: int | None
    second_ft: int | None


@dataclass(frozen=True)
class Leg:
    """One leg of an approach.

    Parameters
    ----------
    approach, route_type, transition : str
        "S07", "S"; the transition's name is empty outside transitions.
    fix, navaid : FixReference or None
    description : str, length 4
        Waypoint description code: "M" in third place is the first leg of the missed approach, in fourth place the
        missed approach point.
    turn : str
        "L", "R" or "".
    path : str
        Path and terminator, "CF".
    course_deg : float or None
        Magnetic, or true where `course_is_true`.
    distance_nm, time_min : float or None
        Of a hold's leg one of both; of a PI leg the distance not to be exceeded.
    """

    approach: str
    route_type: str
    transition: str
    fix: FixReference | None
    description: str
    turn: str
    path: str
    navaid: FixReference | None
    course_deg: float | None
    course_is_true: bool
    distance_nm: float | None
    time_min: float | None
    altitude: CodedAltitude | None
    speed_limit_kt: float | None

    @property
    def in_transition(self) -> bool:
        """Whether the leg belongs to an approach transition."""
        return self.route_type == TRANSITION_ROUTE


@dataclass(frozen=True)
class Station:
    """A point with coordinates: waypoint, navaid, localizer, threshold or airport.

    `variation_deg` is the station declination of a VOR or localizer, the magnetic variation of the others, degrees
    east; `bearing_deg` (magnetic) and `width_deg` are a localizer's.
    """

    ident: str
    latitude_deg: float
    longitude_deg: float
    variation_deg: float | None = None
    elevation_ft: float | None = None
    bearing_deg: float | None = None
    width_deg: float | None = None
    true_north: bool = False


def is_primary(line: str, column: int) -> bool:
    """Return whether a record is not a continuation: its continuation number is 0, or 1 of several."""
    return line[column : column + 1] in ("0", "1")


def leg_of(line: str) -> Leg | None:
    """Return the leg of an approach record (section P, subsection F); None for a continuation."""
    if not is_primary(line, 38):
        return None
    course, is_true = _course(line[70:74])
    distance, time = _distance_or_time(line[74:78])
    return Leg(
        approach=line[13:19].strip(),
        route_type=line[19],
        transition=line[20:25].strip(),
        fix=_reference(line[29:34], line[34:36], line[36:38]),
        description=line[39:43],
        turn=line[43].strip(),
        path=line[47:49].strip(),
        navaid=_reference(line[50:54], line[54:56], line[78:80]),
        course_deg=course,
        course_is_true=is_true,
        distance_nm=distance,
        time_min=time,
        altitude=_altitude(line[82], line[84:89], line[89:94]),
        speed_limit_kt=_number(line[99:102]),
    )


def station_of(line: str) -> Station | None:
    """Return the point of a record of section D, DB, PN, EA, PC, PG, PI or PA; None where it has no coordinates."""
    section = line[4:6] if line[4] in "DE" or line[4:6] == "PN" else line[4] + line[12]
    latitude, longitude = angle_of(line[32:41]), angle_of(line[41:51])
    ident = line[13:18].strip()
    if section == "D ":
        if latitude is None or longitude is None:  # a DME or TACAN without a VOR
            latitude, longitude = angle_of(line[55:64]), angle_of(line[64:74])
        return _station(line[13:17].strip(), latitude, longitude, line[74:79], _number(line[79:84]))
    if section in ("DB", "PN"):
        return _station(line[13:17].strip(), latitude, longitude, line[74:79], None)
    if section in ("EA", "PC"):
        return _station(ident, latitude, longitude, line[74:79], None)
    if section == "PG":
        return _station(ident, latitude, longitude, "", _number(line[66:71]))
    if section == "PA":
        return _station(line[6:10].strip(), latitude, longitude, line[51:56], _number(line[56:61]))
    if section == "PI":
        width = _number(line[83:87])
        bearing, _ = _course(line[51:55])
        return _station(
            line[13:17].strip(), latitude, longitude, line[90:95], None, bearing, width / 100.0 if width else None
        )
    return None


def angle_of(text: str) -> float | None:
    """Return a latitude or longitude such as N46120000 or W101300000 in degrees; None where it is none."""
    text = text.strip()
    if len(text) not in (9, 10) or text[0] not in ("NS" if len(text) == 9 else "EW") or not text[1:].isdigit():
        return None
    degrees, minutes, hundredths = int(text[1:-6]), int(text[-6:-4]), int(text[-4:])
    value = degrees + minutes / 60.0 + hundredths / 360000.0
    if minutes > 59 or value > (90.0 if len(text) == 9 else 180.0):
        return None
    return -value if text[0] in "SW" else value


def _station(
    ident: str,
    latitude: float | None,
    longitude: float | None,
    variation: str,
    elevation_ft: float | None,
    bearing_deg: float | None = None,
    width_deg: float | None = None,
) -> Station | None:
    if latitude is None or longitude is None:
        return None
    variation_deg, true_north = _variation(variation)
    return Station(ident, latitude, longitude, variation_deg, elevation_ft, bearing_deg, width_deg, true_north)


def _variation(text: str) -> tuple[float | None, bool]:
    # E0100 is 10.0 degrees east; T marks a station that is aligned to true north
    if text[:1] == "T":
        return 0.0, True
    value = _number(text[1:])
    if text[:1] not in ("E", "W") or value is None:
        return None, False
    return (value if text[0] == "E" else -value) / 10.0, False


def _course(text: str) -> tuple[float | None, bool]:
    if text[3:] == "T":  # whole degrees true
        value = _number(text[:3])
        return (value, True) if value is not None and value <= 360.0 else (None, False)
    value = _number(text)
    return (value / 10.0, False) if value is not None and value <= 3600.0 else (None, False)


def _distance_or_time(text: str) -> tuple[float | None, float | None]:
    if text[:1] == "T":
        value = _number(text[1:])
        return None, value / 10.0 if value else None
    value = _number(text)
    return value / 10.0 if value else None, None


def _altitude(rule: str, first: str, second: str) -> CodedAltitude | None:
    values = [_feet(first), _feet(second)]
    return None if values == [None, None] else CodedAltitude(rule.strip(), values[0], values[1])


def _feet(text: str) -> int | None:
    if text[:2] == "FL":
        level = _number(text[2:])
        return None if level is None else int(level) * 100
    value = _number(text)
    return None if value is None else int(value)


def _number(text: str) -> float | None:
    text = text.strip()
    digits = text[1:] if text[:1] in "+-" else text
    return float(text) if digits.isascii() and digits.isdigit() else None


def _reference(ident: str, region: str, section: str) -> FixReference | None:
    return FixReference(ident.strip(), region, section) if ident.strip() else None
