"""The words of column names: units, abbreviations, and which names mean what."""

import re
from typing import Literal

from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_FPM, MPS_PER_KMH, MPS_PER_KNOT

Kind = Literal["time", "text", "angle", "length", "speed", "ratio", "pressure"]

#: unit as written, without spaces, dots and case -> factor to SI (degrees for angles), by kind of quantity
UNITS: dict[str, dict[str, float]] = {
    "length": {
        **dict.fromkeys(("ft", "feet", "foot"), METRES_PER_FOOT),
        **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "mtr"), 1.0),
        **dict.fromkeys(("km", "kilometres", "kilometers"), 1000.0),
        **dict.fromkeys(("nm", "nmi"), METRES_PER_NM),
        **dict.fromkeys(("fl", "hft", "100ft"), 100.0 * METRES_PER_FOOT),
    },
    "speed": {
        **dict.fromkeys(("kt", "kts", "kn", "knot", "knots"), MPS_PER_KNOT),
        **dict.fromkeys(("m/s", "mps", "ms", "m/sec", "ms1", "metrespersecond", "meterspersecond"), 1.0),
        **dict.fromkeys(("km/h", "kmh", "kph", "kmph"), MPS_PER_KMH),
        **dict.fromkeys(("mph", "mi/h"), 1609.344 / 3600.0),  # statute mile, exact by the definition of the foot
        **dict.fromkeys(("fpm", "ft/min", "ftmin", "ftpm", "feetperminute", "feet/min"), MPS_PER_FPM),
        **dict.fromkeys(("ft/s", "fps", "fts"), METRES_PER_FOOT),
    },
    "angle": {
        **dict.fromkeys(("deg", "degree", "degrees", "°", "dd", "degt", "degm", "°t", "°m"), 1.0),
        **dict.fromkeys(("rad", "radian", "radians"), 57.29577951308232),
    },
    "time": {
        **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1.0),
        **dict.fromkeys(("ms", "msec", "millisecond", "milliseconds"), 1e-3),
        **dict.fromkeys(("us", "microseconds"), 1e-6),
        **dict.fromkeys(("min", "mins", "minutes"), 60.0),
        **dict.fromkeys(("h", "hr", "hrs", "hours"), 3600.0),
    },
    "pressure": {
        **dict.fromkeys(("inhg", "in", "inches"), 33.8638866667),  # hPa; the inch of mercury at 0 degrees Celsius
        **dict.fromkeys(("hpa", "mb", "mbar", "millibar", "millibars"), 1.0),
    },
    "ratio": {"%": 0.01, "percent": 0.01, "pct": 0.01, "fsd": 1.0, "fullscale": 1.0},
}
ALL_UNITS = frozenset(unit for units in UNITS.values() for unit in units)
LAYOUT_WORDS = re.compile(r"^[yYmMdDhHsS:/\-. ]{5,}$|^iso ?8601$|^utc$|^zulu$|^z$", re.IGNORECASE)  # (yyyy-mm-dd)

#: what may stand beside a unit and says above what an altitude is
DATUM_WORDS = frozenset({"baro", "barometric", "msl", "amsl", "wgs", "wgs84", "gps", "hae", "agl", "ind", "std", "qnh"})

ABBREVIATIONS = {
    "lat": "latitude",
    "lon": "longitude",
    "lng": "longitude",
    "long": "longitude",
    "alt": "altitude",
    "elev": "elevation",
    "ele": "elevation",
    "gnd": "ground",
    "spd": "speed",
    "vel": "velocity",
    "hdg": "heading",
    "hding": "heading",
    "amsl": "msl",
    "wgs84": "wgs",
    "barometer": "barometric",
    "trk": "track",
    "vert": "vertical",
    "mag": "magnetic",
    "ind": "indicated",
    "press": "pressure",
    "prs": "pressure",
    "baro": "barometric",
    "corr": "corrected",
    "lcl": "local",
    "ofst": "offset",
    "gnss": "gps",
    "gmt": "utc",
    "zulu": "utc",
    "geo": "geometric",
    "geom": "geometric",
}
MEANING_NAMES: dict[str, tuple[Kind, tuple[str, ...]]] = {
    "time": (
        "time",
        (
            "time", "timestamp", "utc", "datetime", "date time", "time stamp", "utc time", "gps time", "utc datetime",
            "utc date time", "utc timestamp", "epoch", "epoch time", "unix time", "posix time", "unix timestamp",
            "gps timestamp", "time of day", "position time", "iso time", "t", "unix", "system time",
        ),
    ),
    "date": ("text", ("date", "utc date", "gps date")),
    "local_time": ("text", ("local time", "local datetime", "local date time", "local timestamp")),
    "local_date": ("text", ("local date",)),
    "utc_offset": ("text", ("utc offset", "time zone", "timezone", "time zone offset", "local offset")),
    "elapsed": (
        "time",
        ("elapsed", "elapsed time", "time elapsed", "seconds", "sec", "relative time", "simulation time", "sim time",
         "session time", "real time"),
    ),
    "position": (
        "text",
        ("position", "latitude longitude", "coordinates", "coordinate", "location", "gps position",
         "latitude and longitude"),
    ),
    "hemisphere_latitude": (
        "text", ("n s", "ns", "latitude ns", "latitude n s", "latitude hemisphere", "latitude direction", "north south")
    ),
    "hemisphere_longitude": (
        "text",
        ("e w", "ew", "longitude ew", "longitude e w", "longitude hemisphere", "longitude direction", "east west"),
    ),
    "latitude": ("angle", ("latitude", "gps latitude")),
    "longitude": ("angle", ("longitude", "gps longitude")),
    "altitude_indicated": (
        "length",
        (
            "indicated altitude", "altimeter", "altimeter altitude", "altimeter indication", "corrected altitude",
            "barometric corrected altitude", "qnh altitude", "altitude b", "altitude qnh", "altimeter reading",
            "set altitude", "local altitude",
        ),
    ),
    "altitude": ("length", ("altitude", "height")),
    "altitude_barometric": ("length", ("barometric altitude", "barometric height", "barometric")),
    "altitude_above_ground": (
        "length",
        (
            "height agl", "altitude agl", "agl", "radio altitude", "radar altitude", "radio height", "radar height",
            "height above ground", "altitude above ground", "above ground level", "altitude above ground level",
            "gps altitude agl", "gps height agl",
        ),
    ),
    "setting": (
        "pressure",
        (
            "altimeter setting", "barometric setting", "barometric a", "qnh", "pressure setting", "barometric set",
            "altimeter qnh", "qnh setting", "barometric qnh",
        ),
    ),
    "altitude_pressure": (
        "length",
        (
            "pressure altitude", "barometric pressure altitude", "altitude p", "p altitude", "mode c",
            "mode c altitude", "altitude mode c", "altitude std", "std altitude", "altitude 1013", "palt",
            "flight level", "fl",
            "standard altitude", "standard pressure altitude", "uncorrected altitude",
            "barometric uncorrected altitude",
        ),
    ),
    "altitude_geometric": (
        "length",
        (
            "gps altitude", "geometric altitude", "gps height", "geometric height", "elevation", "gps elevation",
            "altitude msl", "msl", "gps altitude msl", "true altitude", "geoaltitude", "altitude ft msl", "height msl",
            "gps height msl", "gps msl", "gps msl altitude", "satellite altitude",
        ),
    ),
    "altitude_ellipsoidal": (
        "length",
        (
            "ellipsoid height", "ellipsoid altitude", "hae", "altitude hae", "height hae", "gps altitude hae",
            "altitude wgs", "altitude wgs 84", "height wgs", "height wgs 84", "gps altitude wgs 84", "gps altitude wgs",
            "height above ellipsoid", "altitude above ellipsoid", "wgs altitude", "ellipsoidal height",
        ),
    ),
    "groundspeed": (
        "speed",
        ("groundspeed", "ground speed", "gs", "gspd", "speed over ground", "sog", "gps speed", "ground velocity",
         "gps groundspeed", "gps ground speed", "v true kt gs", "kt gs", "gs kt"),
    ),
    "speed": ("speed", ("speed", "velocity")),
    "track": (
        "angle",
        ("track", "ground track", "true track", "true ground track", "track angle", "true track angle", "gps track",
         "course over ground", "cog", "true course over ground", "ground course", "gps course", "track over ground"),
    ),
    "course": ("angle", ("course", "true course", "bearing")),
    "heading_magnetic": (
        "angle",
        ("heading", "magnetic heading", "compass heading", "compass", "heading angle", "magnetic heading angle"),
    ),
    "heading_true": ("angle", ("true heading", "true heading angle")),
    "ias": ("speed", ("ias", "indicated airspeed", "airspeed", "indicated air speed", "air speed", "kias",
                      "airspeed indicated", "cas", "kcas", "calibrated airspeed", "v ind kias")),
    "tas": ("speed", ("tas", "true airspeed", "true air speed", "ktas")),
    "bank": ("angle", ("bank", "roll", "bank angle", "roll angle")),
    "vertical_speed": (
        "speed",
        ("vertical speed", "vs", "vspd", "vspeed", "v speed", "vertical rate", "vertrate", "rate of climb",
         "climb rate", "roc", "vsi", "vvi", "ivsi", "vertical velocity"),
    ),
    "deflection": ("ratio", ("deflection", "cdi", "cdi deflection", "needle", "needle deflection", "course deflection",
                             "course deviation indicator", "lateral deflection")),
}  # fmt: skip
DEFAULT_UNITS = {
    "length": METRES_PER_FOOT,
    "speed": MPS_PER_KNOT,
    "angle": 1.0,
    "ratio": 1.0,
    "time": 1.0,
    "text": 1.0,
    "pressure": 0.0,  # told by size
}
UNIT_OF_NAME = {  # names that imply another unit than their kind
    frozenset({"elevation"}): 1.0,  # the GPX element, metres there
    frozenset({"flight", "level"}): UNITS["length"]["fl"],
    frozenset({"fl"}): UNITS["length"]["fl"],
}
NEUTRAL = frozenset(
    {"aircraft", "plane", "current", "position", "pos", "value", "wgs", "wgs84", "84", "of", "the", "own"}
)
