"""Byte-level mutations of small tracks in every format: an answer or a refusal in one line, quickly, never a crash.

Runs 2,000 inputs by default; READER_FUZZ_INPUTS asks for more and READER_FUZZ_SEED for others:
`READER_FUZZ_INPUTS=1000000 pytest tests/test_readers_fuzz.py`.
"""

import os
import random
import time

import numpy as np
import pytest
import readers_material as material

from analyzer.errors import TrackFileError
from analyzer.reading.track_file import read_track_bytes

INPUTS = int(os.environ.get("READER_FUZZ_INPUTS", "2000"))
SEED = int(os.environ.get("READER_FUZZ_SEED", "1"))
SLOWEST_S = 10.0
SEEDS = {
    "gpx": material.gpx(4),
    "gpx with extensions": material.gpx(
        3, extra="<extensions><a:b xmlns:a='x'><a:speed>55</a:speed><a:course>2</a:course></a:b></extensions>"
    ),
    "gpx in UTF-16": material.gpx(3).decode().replace("UTF-8", "UTF-16").encode("utf-16"),
    "table": material.table(5),
    "table with semicolons": b"elapsed_s;lat;lon;alt (m);speed\n0;46,2;-101,5;1500,5;55\n1;46,2005;-101,5;1501;55\n",
    "table with units": b"# log\n\nDate,UTC Time,Lat,Lon,Spd\nyyyy-mm-dd,hh:mm:ss,deg,deg,kt\n"
    b"2024-01-13,23:59:59,46.2,-101.5,108\n"
    b"2024-01-13,00:00:00,46.2005,-101.5,108\nDate,UTC Time,Lat,Lon,Spd\n2024-01-13,00:00:01,46.201,-101.5,108\n",
    "table with days": b"time\tlat\tlon\tdeflection\n13/01/2024 09:00:00\tN46 12.0\tW101 30.0\t0.1\n"
    b"13/01/2024 09:00:01\tN46 12.03\tW101 30.0\t0.2\n",
    "kml": material.kml(3),
    "igc": material.igc(4),
    "nmea": material.nmea(3),
    "state vectors": material.state_vectors(4),
}
TOKENS = [
    b'<', b'>', b'&', b'&amp;', b'&#0;', b'&x;', b']]>', b'<![CDATA[', b'<!--', b'-->',
    b"<!DOCTYPE g [<!ENTITY a 'b'>]>", b'"', b"'", b',', b';', b'\t', b'\n', b'\r', b'\r\n', b'\x00', b'\xff',
    b'\xfe\xff', b'\xef\xbb\xbf', b'nan', b'inf', b'-inf', b'1e308', b'-1e308', b'1e-308',
    b'9999999999999999999999', b'-', b'+', b'.', b'0', b'NaT', b'True', b'None', b'2024-13-45T99:99:99Z',
    b'0000-00-00', b'24:00:00', b'23:59:60', b'lat', b'lon', b'time', b'date', b'elapsed_s', b'lat,lon\n', b'B',
    b'$GPRMC,', b'*00', b'HFDTE', b'I013638FXA', b'%s', b'\xe2\x80\xae', b'\xf0\x9f\x9b\xa9', b'<trkpt',
    b'</trkpt>', b'<trk>', b'</gpx>', b'<when>',
]  # fmt: skip


def mutated(random_numbers: random.Random, seed: bytes, other: bytes) -> bytes:
    """Return the seed after one to eight changes: bits, tokens, pieces doubled, cut or taken from another."""
    data = bytearray(seed)
    for _ in range(random_numbers.choice((1, 1, 2, 3, 5, 8))):
        place = random_numbers.randrange(len(data) + 1)
        size = random_numbers.choice((1, 1, 2, 4, 8, 16, 40, 200))
        change = random_numbers.randrange(8)
        if change == 0 and place < len(data):
            data[place] ^= 1 << random_numbers.randrange(8)
        elif change == 1 and place < len(data):
            data[place] = random_numbers.randrange(256)
        elif change == 2:
            data[place:place] = random_numbers.choice(TOKENS)
        elif change == 3:
            data[place : place + size] = random_numbers.choice(TOKENS)
        elif change == 4:
            del data[place : place + size]
        elif change == 5:
            data[place:place] = data[place : place + size] * random_numbers.choice((1, 2, 10))
        elif change == 6:
            start = random_numbers.randrange(len(other))
            data[place:place] = other[start : start + size]
        elif change == 7:
            del data[place:]
    return bytes(data)


def check(data: bytes) -> str:
    """Read the bytes; return "track" or "refused"; anything else that happens fails the test."""
    started = time.perf_counter()
    try:
        track = read_track_bytes(data, "fuzzed.file")
    except TrackFileError as error:
        text = str(error)
        assert "\n" not in text
        assert len(text) < 1500
        outcome = "refused"
    else:
        assert len(track) >= 2
        assert np.all(np.diff(track.time_s) > 0)
        assert all(len(note.text) < 500 and "\n" not in note.text for note in track.quality)
        outcome = "track"
    assert time.perf_counter() - started < SLOWEST_S
    return outcome


@pytest.mark.parametrize("name", SEEDS)
def test_each_seed_is_a_track(name: str) -> None:
    assert check(SEEDS[name]) == "track"


@pytest.mark.parametrize("part", range(8))
def test_mutated_tracks_are_read_or_refused(part: int) -> None:
    random_numbers = random.Random(SEED * 1000 + part)
    seeds = list(SEEDS.values())
    outcomes = {"track": 0, "refused": 0}
    for _ in range(max(1, INPUTS // 8)):
        data = mutated(random_numbers, random_numbers.choice(seeds), random_numbers.choice(seeds))
        try:
            outcomes[check(data)] += 1
        except BaseException:
            print(f"the input that failed: {data!r}")
            raise
    assert outcomes["track"] > 0
    assert outcomes["refused"] > 0
