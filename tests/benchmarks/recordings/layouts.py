"""At least 120 layouts, without a mistake, that recorders, phones, tablets, simulators and spreadsheets write."""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from analyzer.units import METRES_PER_FOOT, MPS_PER_KNOT
from tests.benchmarks.recordings.case import Answer, Case
from tests.benchmarks.recordings.truth import SETTING_INHG, Truth, truth
from tests.benchmarks.recordings.writing import (
    Column,
    degrees_minutes,
    degrees_minutes_seconds,
    epochs,
    fixed,
    gpx,
    igc,
    iso,
    kml_track,
    nmea,
    place,
    stamps,
    table,
)


def layouts() -> list[Case]:
    """Return the cases, names in order and unique."""
    return [case for maker in makers() for case in maker(truth())]


def makers() -> list[Callable[[Truth], Iterator[Case]]]:
    """Return what makes the cases, a function for each kind."""
    return [_times, _altitudes, _settings, _delimiters, _positions, _speeds, _recorders, _formats, _intervals, _named]


def _basic(flight: Truth, altitude: Column | None = None) -> list[Column]:
    return [iso(flight), *place(flight), altitude or ("altitude_ft", fixed(flight.indicated_ft))]


def _times(flight: Truth) -> Iterator[Case]:
    rest = [*place(flight), ("altitude_ft", fixed(flight.indicated_ft))]
    days = flight.time_s / 86_400.0 + 45_730.625  # 2025-03-14 15:00 counted from the end of 1899
    single: dict[str, tuple[str, list[str]]] = {
        "iso": iso(flight),
        "iso with offset": ("time", stamps(flight, "%Y-%m-%dT%H:%M:%S-05:00", -5.0)),
        "iso blank": ("timestamp", stamps(flight, "%Y-%m-%d %H:%M:%S")),
        "iso fraction": ("datetime", stamps(flight, "%Y-%m-%dT%H:%M:%S.000Z")),
        "compact": ("time", stamps(flight, "%Y%m%d%H%M%S")),
        "compact T": ("time", stamps(flight, "%Y%m%dT%H%M%SZ")),
        "epoch s": ("time", epochs(flight)),
        "epoch ms": ("timestamp", epochs(flight, 1e3)),
        "epoch us": ("timestamp", epochs(flight, 1e6)),
        "unix": ("unix", epochs(flight)),
        "elapsed s": ("elapsed_s", fixed(flight.time_s)),
        "elapsed ms": ("Elapsed (ms)", fixed(flight.time_s * 1000, 0)),
        "elapsed min": ("Elapsed (min)", fixed(flight.time_s / 60, 6)),
        "t": ("t", fixed(flight.time_s)),
        "session time": ("Session Time", fixed(flight.time_s)),
        "spreadsheet days": ("Time", fixed(days, 8)),
        "day month year": ("Date Time", stamps(flight, "%d/%m/%Y %H:%M:%S")),
        "day.month.year": ("Date Time", stamps(flight, "%d.%m.%Y %H:%M:%S")),
        "month name": ("Date Time", stamps(flight, "%d-%b-%Y %H:%M:%S")),
        "12 hours": ("Date Time", stamps(flight, "%Y-%m-%d %I:%M:%S %p")),
        "clock alone": ("UTC", stamps(flight, "%H:%M:%S")),
        "clock past midnight": ("UTC", stamps(flight, "%H:%M:%S", 8.9)),
    }
    for name, column in single.items():
        yield Case(f"time {name}", table([column, *rest]), "same")
    double: dict[str, list[Column]] = {
        "date and time": [("Date", stamps(flight, "%Y-%m-%d")), ("Time", stamps(flight, "%H:%M:%S"))],
        "date and compact time": [("date", stamps(flight, "%Y%m%d")), ("time", stamps(flight, "%H%M%S"))],
        "local with offset": [
            *(("Lcl Date", stamps(flight, "%Y-%m-%d", -6.0)), ("Lcl Time", stamps(flight, "%H:%M:%S", -6.0))),
            ("UTCOfst", ["-06:00"] * len(flight)),
        ],
    }
    for name, columns in double.items():
        yield Case(f"time {name}", table([*columns, *rest]), "same")
    hours = fixed(15.0 + flight.time_s / 3600.0, 6)
    yield Case("time decimal hours", table([("UTC Time", hours), *rest]), "same", "hours only", "screen")
    minutes = fixed(flight.time_s / 60.0, 5)
    yield Case("time decimal minutes", table([("Elapsed", minutes), *rest]), "same", "minutes only", "screen")
    mapped = {"elapsed_h": "UTC Time"}
    yield Case("time hours named", table([("UTC Time", hours), *rest]), "same", columns=mapped)


def _altitudes(flight: Truth) -> Iterator[Case]:
    metres = {name: getattr(flight, f"{name}_ft") * METRES_PER_FOOT for name in ("indicated", "sea", "ellipsoid")}
    named: dict[str, tuple[Column, Answer]] = {
        "Indicated Altitude [ft]": (("Indicated Altitude [ft]", fixed(flight.indicated_ft)), "same"),
        "Indicated Altitude (m)": (("Indicated Altitude (m)", fixed(metres["indicated"])), "same"),
        "AltB": (("AltB", fixed(flight.indicated_ft)), "same"),
        "Altimeter": (("Altimeter", fixed(flight.indicated_ft)), "same"),
        "Corrected Altitude": (("Corrected Altitude", fixed(flight.indicated_ft)), "same"),
        "QNH Altitude": (("QNH Altitude (ft)", fixed(flight.indicated_ft)), "same"),
        "Altitude (ft)": (("Altitude (ft)", fixed(flight.sea_ft)), "datum"),
        "alt_m": (("alt_m", fixed(metres["sea"])), "datum"),
        "Altitude [m]": (("Altitude [m]", fixed(metres["sea"])), "datum"),
        "Height": (("Height (ft)", fixed(flight.sea_ft)), "datum"),
        "AltMSL": (("AltMSL", fixed(flight.sea_ft)), "datum"),
        "altitudeAMSL": (("altitudeAMSL", fixed(flight.sea_ft)), "datum"),
        "GPS Alt (m)": (("GPS Alt (m)", fixed(metres["sea"])), "datum"),
        "gps_altitude_ft": (("gps_altitude_ft", fixed(flight.sea_ft)), "datum"),
        "elevation": (("elevation", fixed(metres["sea"])), "datum"),
        "altWGS84": (("altWGS84 (ft)", fixed(flight.ellipsoid_ft)), "datum"),
        "HAE": (("HAE (m)", fixed(metres["ellipsoid"])), "datum"),
        "pressure_altitude_ft": (("pressure_altitude_ft", fixed(flight.pressure_ft)), "datum"),
        "mode_c": (("mode_c", fixed(np.round(flight.pressure_ft / 100) * 100, 0)), "datum"),
        "FL": (("FL", fixed(flight.pressure_ft / 100, 2)), "datum"),
        "PALT": (("PALT", fixed(flight.pressure_ft)), "datum"),
        "Baro Altitude alone": (("Baro Altitude (ft)", fixed(flight.pressure_ft)), "datum"),
        "cells with ft": (("altitude_ft", [f"{text} ft" for text in fixed(flight.indicated_ft, 0)]), "same"),
        "cells with m": (("Indicated Altitude", [f"{text} m" for text in fixed(metres["indicated"])]), "same"),
        "cells with thousands": (("altitude_ft", [f"{value:,.0f}" for value in flight.indicated_ft]), "same"),
    }
    for name, (column, answer) in named.items():
        yield Case(f"altitude {name}", table(_basic(flight, column)), answer)
    unnamed = ("Altitude", fixed(flight.sea_ft))
    yield Case("altitude no unit", table(_basic(flight, unnamed)), "datum", "names no unit")
    yield Case("altitude none", table(_basic(flight)[:-1]), "no altitude", "no altitudes", "screen")
    above = ("Height AGL", fixed(flight.indicated_ft - 1900))
    yield Case("altitude above ground", table(_basic(flight, above)), "no altitude", "above the ground", "screen")
    both = [*_basic(flight), ("Height AGL (ft)", fixed(flight.indicated_ft - 1900))]
    yield Case("altitude and height above ground", table(both), "same", "above the ground")
    sea, ellipsoid = ("gps_altitude_ft", fixed(flight.sea_ft)), ("HAE (m)", fixed(metres["ellipsoid"]))
    yield Case("altitude indicated and satellite", table([*_basic(flight), sea]), "same", "geometric heights lie")
    yield Case("altitude both satellite", table([*_basic(flight, sea), ellipsoid]), "datum", "above the ellipsoid lie")


def _settings(flight: Truth) -> Iterator[Case]:
    inches, hpa = ["30.12"] * len(flight), ["1019.98"] * len(flight)
    pressure, sea = ("pressure_altitude_ft", fixed(flight.pressure_ft)), ("gps_altitude_ft", fixed(flight.sea_ft))
    given = {"altimeter_setting": SETTING_INHG}
    baro = ("Baro Altitude (ft)", fixed(flight.indicated_ft))
    for name, column in {
        "inches": ("Barometer Setting (inHg)", inches),
        "hpa": ("Altimeter Setting [hPa]", hpa),
        "QNH": ("QNH", hpa),
        "by size": ("Altimeter Setting", inches),
    }.items():
        yield Case(f"setting {name}", table([*_basic(flight, pressure), column]), "same", "as recorded")
    yield Case("setting given", table(_basic(flight, pressure)), "same", options=given)
    both = table([*_basic(flight, pressure), sea])
    yield Case("setting not known, satellite too", both, "datum")
    yield Case("setting given, satellite too", both, "same", options=given)
    column = ("Barometer Setting (inHg)", inches)
    yield Case("setting beside baro altitude", table([*_basic(flight, baro), column]), "same", "stands beside")
    three = [*_basic(flight, baro), ("Pressure Altitude (ft)", fixed(flight.pressure_ft)), sea, column]
    yield Case("setting beside three altitudes", table(three), "same", "stands beside")
    units = ["yyyy-mm-ddThh:mm:ssZ", "deg", "deg", "ft Baro", "inch", "ft msl"]
    log = [*_basic(flight, ("AltB", fixed(flight.indicated_ft))), ("BaroA", inches), ("AltMSL", fixed(flight.sea_ft))]
    yield Case("setting in an avionics log", table(log, units=units), "same", "geometric heights lie")


def _delimiters(flight: Truth) -> Iterator[Case]:
    columns = _basic(flight)
    yield Case("table tabs", table(columns, "\t"), "same")
    yield Case("table bars", table(columns, "|"), "same")
    yield Case("table semicolons", table(columns, ";"), "same")
    commas = [(name, [cell.replace(".", ",") for cell in cells]) for name, cells in columns]
    yield Case("table decimal commas", table(commas, ";"), "same")
    yield Case("table CRLF and mark", b"\xef\xbb\xbf" + table(columns, end="\r\n"), "same")
    yield Case("table UTF-16", b"\xff\xfe" + table(columns).decode().encode("utf-16-le"), "same")
    latin = table([*columns, ("Temp (°C)", ["3"] * len(flight))]).decode().encode("cp1252")
    yield Case("table Latin-1", latin, "same", "Latin-1")
    yield Case("table all quoted", table([(n, [f'"{c}"' for c in cells]) for n, cells in columns]), "same")
    before = ["Pilot,A. Student", "Aircraft,trainer", ""]
    yield Case("table preamble", table(columns, before=before), "same")
    yield Case("table comment header", b"#" + table(columns), "same")
    yield Case("table units line", table(columns, units=["utc", "deg", "deg", "ft"]), "same")
    metres = _basic(flight, ("Indicated Altitude", fixed(flight.indicated_ft * METRES_PER_FOOT)))
    yield Case("table units line m", table(metres, units=["utc", "deg", "deg", "m"]), "same")
    strange = table(_basic(flight, ("Altitude", fixed(flight.sea_ft))), units=["utc", "deg", "deg", "feet-ish"])
    yield Case("table unknown unit", strange, "datum", "is not known")
    yield Case("table blanks", table([(n, [f"  {c} " for c in cells]) for n, cells in columns]), "same")
    yield Case("table extra columns", table([*columns, ("OAT", ["3"] * len(flight))]), "same", "Columns not used: OAT")


def _positions(flight: Truth) -> Iterator[Case]:
    when, up = iso(flight), ("altitude_ft", fixed(flight.indicated_ft))
    north, west = fixed(flight.latitude, 6), fixed(-flight.longitude, 6)
    pairs: dict[str, list[Column]] = {
        "lat lon": place(flight, names=("lat", "lon")),
        "LAT LNG": place(flight, names=("LAT", "LNG")),
        "four decimals": place(flight, 4),
        "radians": [
            ("Latitude (rad)", fixed(np.radians(flight.latitude), 9)),
            ("Longitude (rad)", fixed(np.radians(flight.longitude), 9)),
        ],
        "0 to 360": [("lat", north), ("lon", fixed(flight.longitude + 360, 6))],
        "letters before": [
            *(("lat", degrees_minutes(flight.latitude, "NS")), ("lon", degrees_minutes(flight.longitude, "EW"))),
        ],
        "degrees minutes seconds": [
            ("lat", degrees_minutes_seconds(flight.latitude, "NS")),
            ("lon", degrees_minutes_seconds(flight.longitude, "EW")),
        ],
        "letters in columns": [
            *(("lat", north), ("N/S", ["N"] * len(flight)), ("lon", west), ("E/W", ["W"] * len(flight))),
        ],
        "minutes and letters in columns": [
            ("lat", [f"{int(v) * 100 + (v % 1) * 60:.4f}" for v in flight.latitude.tolist()]),
            ("N/S", ["N"] * len(flight)),
            ("lon", [f"{int(-v) * 100 + (-v % 1) * 60:.4f}" for v in flight.longitude.tolist()]),
            ("E/W", ["W"] * len(flight)),
        ],
        "one cell": [("position", [f"{a}, -{b}" for a, b in zip(north, west, strict=True)])],
        "one cell lat/lon": [("lat/lon", [f"{a} -{b}" for a, b in zip(north, west, strict=True)])],
    }
    for name, columns in pairs.items():
        yield Case(f"position {name}", table([when, *columns, up]), "same")
    whole = [("lat", fixed(flight.latitude * 1e7, 0)), ("lon", fixed(flight.longitude * 1e7, 0))]
    yield Case("position whole numbers", table([when, *whole, up]), "same", "ten-millionths")


def _speeds(flight: Truth) -> Iterator[Case]:
    mps = flight.groundspeed_kt * MPS_PER_KNOT
    for name, values in {
        "groundspeed_kt": flight.groundspeed_kt,
        "Ground Speed (km/h)": mps * 3.6,
        "GndSpd [m/s]": mps,
        "speed": mps,
        "speed_kt": flight.groundspeed_kt,
        "sog": flight.groundspeed_kt,
        "groundspeed_mph": mps / 0.44704,
    }.items():
        yield Case(f"speed {name}", table([*_basic(flight), (name, fixed(values))]), "same")
    everything = [
        ("track_deg", fixed(flight.track_deg)),
        ("heading_deg", fixed(flight.heading_deg)),
        ("ias_kt", fixed(flight.ias_kt)),
        ("bank_deg", fixed(flight.bank_deg)),
        ("vertical_speed_fpm", fixed(flight.climb_fpm, 0)),
    ]
    yield Case("speed and all else", table([*_basic(flight), *everything]), "same")
    climb = ("vs (m/s)", fixed(flight.climb_fpm * METRES_PER_FOOT / 60, 2))
    open_unit = ("Altitude", fixed(flight.sea_ft * METRES_PER_FOOT))
    yield Case("altitude unit by climb", table([*_basic(flight, open_unit), climb]), "datum", "in metres", "screen")
    open_unit = ("altitude", fixed(flight.sea_ft * METRES_PER_FOOT))
    yield Case("altitude unit by limits", table(_basic(flight, open_unit)), "datum", "as metres they fit", "screen")


def _recorders(flight: Truth) -> Iterator[Case]:
    metres = flight.sea_ft * METRES_PER_FOOT
    epoch, count = epochs(flight), len(flight)
    vectors: list[Column] = [
        *(("time", epoch), ("icao24", ["abc123"] * count), *place(flight, names=("lat", "lon"))),
        ("velocity", fixed(flight.groundspeed_kt * MPS_PER_KNOT)),
        *(("heading", fixed(flight.track_deg)), ("vertrate", fixed(flight.climb_fpm * METRES_PER_FOOT / 60, 2))),
        *(("baroaltitude", fixed(flight.pressure_ft * METRES_PER_FOOT)), ("geoaltitude", fixed(metres))),
        ("lastposupdate", epoch),
    ]
    yield Case("recorder state vectors", table(vectors), "datum")
    tablet: list[Column] = [
        *(("Timestamp", epochs(flight, 1e3)), *place(flight, names=("Latitude", "Longitude"))),
        *(("Altitude", fixed(flight.sea_ft)), ("Course", fixed(flight.track_deg))),
        *(("Speed", fixed(flight.groundspeed_kt)), ("Bank", fixed(flight.bank_deg))),
    ]
    yield Case("recorder tablet", table(tablet, before=["Pilot,Tail", "A,B"]), "datum")
    phone: list[Column] = [iso(flight), *place(flight, names=("lat", "lon")), ("elevation", fixed(metres)),
                           ("speed", fixed(flight.groundspeed_kt * MPS_PER_KNOT))]  # fmt: skip
    yield Case("recorder phone", table(phone), "datum")
    simulator: list[Column] = [
        *(("_real,_time", fixed(flight.time_s, 3)), ("__lat,__deg", fixed(flight.latitude, 6))),
        *(("__lon,__deg", fixed(flight.longitude, 6)), ("__alt,ftmsl", fixed(flight.sea_ft))),
        *(("_Vind,_kias", fixed(flight.ias_kt)), ("hding,__mag", fixed(flight.heading_deg))),
    ]
    yield Case("recorder simulator", table(simulator, "|"), "datum")
    variables: list[Column] = [
        ("ZULU TIME", fixed(54_000.0 + flight.time_s, 2)),
        *place(flight, names=("PLANE LATITUDE", "PLANE LONGITUDE")),
        *(("INDICATED ALTITUDE", fixed(flight.indicated_ft)), ("AIRSPEED INDICATED", fixed(flight.ias_kt))),
    ]
    yield Case("recorder simulator variables", table(variables), "same")


def _formats(flight: Truth) -> Iterator[Case]:
    metres, pressure = flight.sea_ft * METRES_PER_FOOT, flight.pressure_ft * METRES_PER_FOOT
    ellipsoid = flight.ellipsoid_ft * METRES_PER_FOOT
    yield Case("gpx", gpx(flight, metres), "datum")
    yield Case("gpx 1.0", gpx(flight, metres, version="1.0"), "datum")
    yield Case("gpx segments", gpx(flight, metres, segments=4), "datum")
    yield Case("gpx ellipsoid", gpx(flight, ellipsoid), "datum")
    yield Case("gpx no heights", gpx(flight, None), "no altitude", "no altitudes", "screen")
    yield Case("gpx local", gpx(flight, metres, lambda rows: stamps(rows, "%Y-%m-%dT%H:%M:%S")), "datum")
    yield Case("gpx UTF-16", b"\xff\xfe" + gpx(flight, metres).decode().encode("utf-16-le"), "datum")
    yield Case("kml track", kml_track(flight, metres), "datum")
    on_ground = kml_track(flight, metres, "relativeToGround")
    yield Case("kml above ground", on_ground, "no altitude", "above the ground")
    yield Case("igc", igc(flight, pressure, metres), "datum", "pressure altitudes lie")
    given = {"altimeter_setting": SETTING_INHG}
    yield Case("igc with setting", igc(flight, pressure, metres), "same", options=given)
    yield Case("igc no pressure", igc(flight, None, metres), "datum")
    yield Case("igc no satellite height", igc(flight, pressure, None), "datum", "setting was given")
    yield Case("nmea", nmea(flight, metres), "datum")
    yield Case("nmea RMC", nmea(flight, metres, "R"), "no altitude", "no altitudes", "screen")
    yield Case("nmea GGA", nmea(flight, metres, "G"), "datum")


def _intervals(flight: Truth) -> Iterator[Case]:
    for interval_s in (0.2, 0.5, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0):
        yield Case(f"every {interval_s:g} s", partial(_every, interval_s), "same")
    for interval_s in (11.0, 12.0, 15.0, 20.0, 30.0):
        yield Case(f"every {interval_s:g} s", partial(_every, interval_s), "withheld", "one position in")
    parts = ("manoeuvre", "altitudes", "containment")
    yield Case("every 40 s", partial(_every, 40.0), "withheld", "one position in", parts=parts)


def _every(interval_s: float) -> bytes:
    return table(_exact(truth(interval_s)))


def _exact(flight: Truth) -> list[Column]:
    when = [f"{START + s:.1f}" for s in flight.time_s.tolist()]
    return [("time", when), *place(flight), ("altitude_ft", fixed(flight.indicated_ft))]


START = 1_741_964_400.0  # 2025-03-14 15:00 UTC


def _named(flight: Truth) -> Iterator[Case]:
    """Layouts that need --columns, with the option as the refusal tells it."""
    columns = [("a", stamps(flight)), ("b", fixed(flight.latitude, 6)), ("c", fixed(flight.longitude, 6)),
               ("d", fixed(flight.indicated_ft))]  # fmt: skip
    by_name = {"time": "a", "latitude": "b", "longitude": "c", "altitude_ft": "d"}
    by_number = {"time": "#1", "latitude": "#2", "longitude": "#3", "altitude_ft": "#4"}
    yield Case("named columns", table(columns), "same", columns=by_name)
    yield Case("numbered columns", table(columns), "same", columns=by_number)
    yield Case("numbered without header", table(columns, header=False), "same", columns=by_number)
    german = [("Zeit", stamps(flight)), ("Breite", fixed(flight.latitude, 6)), ("Länge", fixed(flight.longitude, 6)),
              ("Höhe", fixed(flight.indicated_ft * METRES_PER_FOOT))]  # fmt: skip
    own = {"time": "Zeit", "latitude": "Breite", "longitude": "Länge", "indicated_altitude_m": "Höhe"}
    yield Case("named in German", table(german, ";").decode().encode("cp1252"), "same", "Latin-1", columns=own)
    bare = _basic(flight, ("Altitude", fixed(flight.indicated_ft)))
    yield Case("named altitude", table(bare), "same", columns={"altitude_ft": "Altitude"})
    comma = [iso(flight), *place(flight), ("alt, msl", fixed(flight.indicated_ft))]
    yield Case("named with a comma", table(comma), "same", columns={"altitude_ft": "alt, msl"})
    order = [("time", stamps(flight, "03/04/2025 %H:%M:%S")), *_basic(flight)[1:]]
    yield Case("named date order", table(order), "same", columns={"date_order": "mdy"})
