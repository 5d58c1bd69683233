"""Ways to write the flight's columns down."""

from collections.abc import Callable, Iterable, Sequence
from datetime import timedelta

import numpy as np

from analyzer.synthesis import FLIGHT_DAY
from analyzer.units import FloatArray
from tests.benchmarks.recordings.truth import START_EPOCH_S, Truth

Column = tuple[str, Sequence[str]]


def fixed(values: FloatArray, decimals: int = 1) -> list[str]:
    return [f"{value:.{decimals}f}" for value in values.tolist()]


def stamps(flight: Truth, layout: str = "%Y-%m-%dT%H:%M:%SZ", offset_h: float = 0.0) -> list[str]:
    return [(FLIGHT_DAY + timedelta(seconds=s, hours=offset_h)).strftime(layout) for s in flight.time_s.tolist()]


def epochs(flight: Truth, factor: float = 1.0) -> list[str]:
    return [f"{(START_EPOCH_S + s) * factor:.0f}" for s in flight.time_s.tolist()]


def iso(flight: Truth) -> Column:
    return ("time", stamps(flight))


def place(flight: Truth, decimals: int = 6, names: tuple[str, str] = ("latitude", "longitude")) -> list[Column]:
    return [(names[0], fixed(flight.latitude, decimals)), (names[1], fixed(flight.longitude, decimals))]


def table(
    columns: Iterable[Column],
    delimiter: str = ",",
    units: Sequence[str] | None = None,
    before: Sequence[str] = (),
    header: bool = True,
    end: str = "\n",
) -> bytes:
    columns = list(columns)
    quoted = [f'"{name}"' if delimiter in name else name for name, _ in columns]
    lines = [*before, *([delimiter.join(quoted)] if header else []), *([delimiter.join(units)] if units else [])]
    for cells in zip(*(values for _, values in columns), strict=True):
        lines.append(delimiter.join(f'"{cell}"' if delimiter in cell else cell for cell in cells))
    return (end.join(lines) + end).encode()


def gpx(
    flight: Truth,
    elevation_m: FloatArray | None,
    stamp: Callable[[Truth], list[str]] = stamps,
    extra: str = "",
    version: str = "1.1",
    segments: int = 1,
    decimals: int = 7,
) -> bytes:
    times = stamp(flight)
    points = []
    for row in range(len(flight)):
        place_ = f'<trkpt lat="{flight.latitude[row]:.{decimals}f}" lon="{flight.longitude[row]:.{decimals}f}">'
        height = "" if elevation_m is None else f"<ele>{elevation_m[row]:.1f}</ele>"
        when = f"<time>{times[row]}</time>" if times[row] else ""
        points.append(f"{place_}{height}{when}{extra}</trkpt>")
    parts = np.array_split(np.arange(len(points)), segments)
    body = "".join("<trkseg>" + "\n".join(points[i] for i in part) + "</trkseg>" for part in parts)
    space = version.replace(".", "/")
    head = f'<?xml version="1.0"?><gpx version="{version}" creator="a" xmlns="http://www.topografix.com/GPX/{space}">'
    return f"{head}<trk>{body}</trk></gpx>".encode()


def kml_track(flight: Truth, elevation_m: FloatArray, mode: str = "absolute") -> bytes:
    when = "".join(f"<when>{text}</when>" for text in stamps(flight))
    rows = zip(flight.longitude.tolist(), flight.latitude.tolist(), elevation_m.tolist(), strict=True)
    where = "".join(f"<gx:coord>{lon:.7f} {lat:.7f} {up:.1f}</gx:coord>" for lon, lat, up in rows)
    return (
        '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2">'
        f"<Document><Placemark><gx:Track><altitudeMode>{mode}</altitudeMode>{when}{where}</gx:Track></Placemark>"
        "</Document></kml>"
    ).encode()


def igc(flight: Truth, pressure_m: FloatArray | None, height_m: FloatArray | None) -> bytes:
    lines = ["AXXX001", f"HFDTEDATE:{FLIGHT_DAY:%d%m%y},01"]
    for row, text in enumerate(stamps(flight, "%H%M%S")):
        latitude, longitude = abs(float(flight.latitude[row])), abs(float(flight.longitude[row]))
        north = f"{int(latitude):02d}{round((latitude % 1) * 60_000):05d}N"
        east = f"{int(longitude):03d}{round((longitude % 1) * 60_000):05d}W"
        low = 0 if pressure_m is None else round(float(pressure_m[row]))
        high = 0 if height_m is None else round(float(height_m[row]))
        lines.append(f"B{text}{north}{east}A{low:05d}{high:05d}")
    return ("\r\n".join(lines) + "\r\n").encode()


def _sentence(body: str) -> str:
    total = 0
    for letter in body:
        total ^= ord(letter)
    return f"${body}*{total:02X}"


def nmea(flight: Truth, height_m: FloatArray, kinds: str = "GR") -> bytes:
    lines = []
    for row, text in enumerate(stamps(flight, "%H%M%S.00")):
        latitude, longitude = abs(float(flight.latitude[row])), abs(float(flight.longitude[row]))
        where = f"{int(latitude):02d}{(latitude % 1) * 60:08.5f},N,{int(longitude):03d}{(longitude % 1) * 60:08.5f},W"
        if "G" in kinds:
            lines.append(_sentence(f"GPGGA,{text},{where},1,09,0.9,{height_m[row]:.1f},M,-20.0,M,,"))
        if "R" in kinds:
            speed, way = flight.groundspeed_kt[row], flight.track_deg[row]
            lines.append(_sentence(f"GPRMC,{text},A,{where},{speed:.1f},{way:.1f},{FLIGHT_DAY:%d%m%y},,,A"))
    return ("\r\n".join(lines) + "\r\n").encode()


def degrees_minutes(values: FloatArray, letters: str) -> list[str]:
    return [
        f"{letters[0] if value >= 0 else letters[1]}{int(abs(value))} {(abs(value) % 1) * 60:.4f}"
        for value in values.tolist()
    ]


def degrees_minutes_seconds(values: FloatArray, letters: str) -> list[str]:
    texts = []
    for value in values.tolist():
        seconds = round(abs(value) * 3600, 2)
        degrees, rest = divmod(seconds, 3600)
        minutes, seconds = divmod(rest, 60)
        texts.append(f"{int(degrees)}°{int(minutes):02d}'{seconds:05.2f}\"{letters[0] if value >= 0 else letters[1]}")
    return texts
