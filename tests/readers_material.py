"""Small tracks in every format, made in an invented place, for the tests of the readers."""

import json
import math
import struct
from datetime import UTC, datetime, timedelta

START = datetime(2024, 1, 13, 9, 0, 0, tzinfo=UTC)
LATITUDE, LONGITUDE = 46.2, -101.5
STEP_DEG = 0.0005  # of latitude a second, due north: 55.6 m/s


def gpx(count: int = 5, *, head: str = "", extra: str = "", name: str = "A flight") -> bytes:
    """Return a GPX document of points due north, one a second."""
    points = "".join(
        f'<trkpt lat="{LATITUDE + i * STEP_DEG:.6f}" lon="{LONGITUDE}"><ele>{1500 + i}</ele>'
        f"<time>{stamp(i)}</time>{extra}</trkpt>\n"
        for i in range(count)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n{head}<gpx version="1.1" creator="test" '
        f'xmlns="http://www.topografix.com/GPX/1/1"><trk><name>{name}</name><trkseg>\n{points}</trkseg></trk></gpx>'
    ).encode()


def stamp(seconds: float) -> str:
    """Return the moment so many seconds after START as ISO 8601."""
    return (START + timedelta(seconds=seconds)).strftime("%Y-%m-%dT%H:%M:%SZ")


def table(count: int = 5, header: str = "time,lat,lon,alt_ft", delimiter: str = ",") -> bytes:
    """Return a table of rows due north, one a second."""
    rows = [f"{stamp(i)},{LATITUDE + i * STEP_DEG:.6f},{LONGITUDE},{5000 + i}" for i in range(count)]
    return "\n".join([header, *rows, ""]).replace(",", delimiter).encode()


def kml(count: int = 5, mode: str = "absolute") -> bytes:
    """Return a KML document with one track."""
    when = "".join(f"<when>{stamp(i)}</when>" for i in range(count))
    where = "".join(f"<gx:coord>{LONGITUDE} {LATITUDE + i * STEP_DEG:.6f} {1500 + i}</gx:coord>" for i in range(count))
    return (
        '<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2" '
        'xmlns:gx="urn:example:gx"><Document><Placemark><name>A flight</name><gx:Track>'
        f"<altitudeMode>{mode}</altitudeMode>{when}{where}</gx:Track></Placemark></Document></kml>"
    ).encode()


def igc(count: int = 5) -> bytes:
    """Return a flight recorder file with true airspeed as an extension."""
    lines = ["AXXX001", "HFDTE130124", "I033638FXA3940SIU4143TAS"]
    for i in range(count):
        moment = START + timedelta(seconds=i)
        minutes = (LATITUDE - 46.0 + i * STEP_DEG) * 60.0
        lines.append(f"B{moment:%H%M%S}46{round(minutes * 1000):05d}N10130000WA{1500 + i:05d}{1530 + i:05d}00509200")
    return ("\r\n".join(lines) + "\r\n").encode()


def sentence(body: str) -> str:
    """Return a sentence with its sum."""
    total = 0
    for character in body:
        total ^= ord(character)
    return f"${body}*{total:02X}\r\n"


def nmea(count: int = 5, start: datetime = START) -> bytes:
    """Return a log with a GGA and an RMC sentence each second."""
    lines = []
    for i in range(count):
        moment = start + timedelta(seconds=i)
        minutes = (LATITUDE - 46.0 + i * STEP_DEG) * 60.0
        place = f"46{minutes:07.4f},N,10130.0000,W"
        lines.append(sentence(f"GPGGA,{moment:%H%M%S}.00,{place},1,08,0.9,{1500 + i}.0,M,-20.0,M,,"))
        lines.append(sentence(f"GPRMC,{moment:%H%M%S}.00,A,{place},108.0,000.0,{moment:%d%m%y},,,A"))
    return "".join(lines).encode()


def state_vectors(count: int = 20, address: str = "abc123") -> bytes:
    """Return a table of received state vectors in which each position stands twice."""
    epoch = math.floor(START.timestamp())
    lines = ["time,icao24,lat,lon,velocity,heading,vertrate,callsign,onground,baroaltitude,geoaltitude,lastposupdate"]
    for i in range(count):
        seen = i - i % 2
        place = f"{LATITUDE + seen * STEP_DEG:.6f},{LONGITUDE}"
        lines.append(f"{epoch + i},{address},{place},55.6,0.0,1.0,INVENTED,False,1500,1530,{epoch + seen}.0")
    return ("\n".join(lines) + "\n").encode()


def geojson(count: int = 5) -> bytes:
    """Return a line with a time for each of its places."""
    line = [[LONGITUDE, round(LATITUDE + i * STEP_DEG, 6), 1500 + i] for i in range(count)]
    about = {"name": "A flight", "coordTimes": [stamp(i) for i in range(count)]}
    feature = {"type": "Feature", "properties": about, "geometry": {"type": "LineString", "coordinates": line}}
    return json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()


def tcx(count: int = 5) -> bytes:
    """Return a watch's recording in XML."""
    points = "".join(
        f"<Trackpoint><Time>{stamp(i)}</Time><Position><LatitudeDegrees>{LATITUDE + i * STEP_DEG:.6f}</LatitudeDegrees>"
        f"<LongitudeDegrees>{LONGITUDE}</LongitudeDegrees></Position><AltitudeMeters>{1500 + i}</AltitudeMeters>"
        "<HeartRateBpm><Value>90</Value></HeartRateBpm></Trackpoint>"
        for i in range(count)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?><TrainingCenterDatabase xmlns="urn:example:tcx"><Activities><Activity>'
        f"<Id>{stamp(0)}</Id><Lap><Track>{points}</Track></Lap></Activity></Activities></TrainingCenterDatabase>"
    ).encode()


def fit(count: int = 5) -> bytes:
    """Return a watch's binary recording: one definition of a record message, then records, then the sums.

    Written by hand from the format's layout (header of 14 bytes, little endian): message 20 with field 253 timestamp,
    0 and 1 position in semicircles, 2 altitude (5 a metre, from -500 m), 6 speed (1000 a metre a second). Its clock
    begins on 1989-12-31.
    """
    epoch = datetime(1989, 12, 31, tzinfo=UTC)
    body = struct.pack("<BBBHB", 0x40, 0, 0, 20, 5)
    for number, size, kind in ((253, 4, 0x86), (0, 4, 0x85), (1, 4, 0x85), (2, 2, 0x84), (6, 2, 0x84)):
        body += struct.pack("<BBB", number, size, kind)
    for i in range(count):
        seconds = int((START - epoch).total_seconds()) + i
        north, east = (round(degrees * 2**31 / 180.0) for degrees in (LATITUDE + i * STEP_DEG, LONGITUDE))
        body += struct.pack("<BIiiHH", 0, seconds, north, east, (1500 + i + 500) * 5, 55_600)
    header = struct.pack("<BBHI4s", 14, 0x10, 2132, len(body), b".FIT")
    header += struct.pack("<H", _fit_sum(header))
    return header + body + struct.pack("<H", _fit_sum(header + body))


def _fit_sum(data: bytes) -> int:
    """Return the format's sum: CRC-16 with the polynomial 0x8005, reflected."""
    total = 0
    for byte in data:
        total ^= byte
        for _ in range(8):
            total = total >> 1 ^ 0xA001 if total & 1 else total >> 1
    return total
