"""Hypothesis strategies: procedures as their files may say them, and random walks with turns near the fix."""

from typing import Any

import numpy as np
from answers import NOT_A_NUMBER
from hypothesis import strategies as st

from analyzer.given.plane import Frame, frame_of
from analyzer.given.procedure import Procedure
from analyzer.given.track import SENSOR_NAMES, Track
from analyzer.reading.procedure_file.read import procedure_from_mapping

METRES_PER_NM = 1852.0
LONGEST_PIECE_S = 240
FASTEST_MPS = 300.0
Piece = tuple[str, float, float]


def numbers(low: float, high: float, *likely: float) -> st.SearchStrategy[float]:
    """Numbers of a range, its ends and the usual ones more often than chance would have them."""
    return st.one_of(st.sampled_from([low, high, *likely]), st.floats(low, high, allow_subnormal=False))


courses = numbers(0.0, 360.0, 118.0)
latitudes = numbers(-90.0, 90.0, 0.0, 46.2, 46.2, 46.2, 89.9999, -89.98)
longitudes = numbers(-180.0, 180.0, 0.0, -101.5, -101.5, 179.9999, -179.99)
elevations = numbers(-1500.0, 30000.0, 0.0, 1900.0)
altitudes_ft = numbers(-1500.0, 60000.0, 0.0, 3000.0, 4600.0, 14000.0)
words = st.text(st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=20).filter(
    lambda text: bool(text.strip()) and not NOT_A_NUMBER.search(text)
)


@st.composite
def altitude_tables(draw: st.DrawFn) -> dict[str, Any]:
    key = draw(st.sampled_from(["at_or_above", "at_or_below", "at", "between"]))
    if key == "between":
        return {key: sorted([draw(altitudes_ft), draw(altitudes_ft)])}
    return {key: draw(altitudes_ft)}


def _optional(draw: st.DrawFn, table: dict[str, Any], **keys: st.SearchStrategy[Any]) -> dict[str, Any]:
    for key, strategy in keys.items():
        if draw(st.booleans()):
            table[key] = draw(strategy)
    return table


@st.composite
def procedure_mappings(draw: st.DrawFn) -> dict[str, Any]:
    """What a procedure file says: every key that the schema knows, in its ranges; keys may contradict each other."""
    kind = draw(st.sampled_from(["procedure turn", "teardrop", "hold in lieu", "holding"]))
    latitude, longitude = draw(latitudes), draw(longitudes)
    course: dict[str, Any] = {"inbound_deg": draw(courses), "variation_deg": draw(numbers(-180.0, 180.0, 0.0, 7.0))}
    side = draw(st.sampled_from(["left", "right"]))
    if kind == "teardrop":
        off = draw(numbers(1.0, 60.0, 24.0)) * (1.0 if side == "right" else -1.0)
        course["outbound_deg"] = (course["inbound_deg"] + 180.0 + off) % 360.0
    else:
        course["turn_side"] = side
    if kind == "procedure turn" and draw(st.booleans()):
        course["offset_deg"] = (course["inbound_deg"] + 180.0 + (45.0 if side == "right" else -45.0)) % 360.0
    guidance: dict[str, Any] = {"kind": draw(st.sampled_from(["VOR", "NDB", "localizer", "RNAV"]))}
    scale = draw(st.sampled_from(["", "full_scale_deg", "full_scale_nm"]))
    if scale:
        guidance[scale] = draw(numbers(1e-9, 45.0, 10.0) if scale == "full_scale_deg" else numbers(1e-9, 20.0, 1.0))
    if draw(st.integers(0, 3)) == 0:
        near = draw(st.booleans())
        guidance["latitude"] = (
            float(np.clip(latitude + draw(st.floats(-0.1, 0.1)), -90, 90)) if near else draw(latitudes)
        )
        guidance["longitude"] = (
            float(np.clip(longitude + draw(st.floats(-0.1, 0.1)), -180, 180)) if near else draw(longitudes)
        )
    limits = _optional(
        draw,
        {},
        remain_within_nm=numbers(1e-9, 100.0, 5.0, 10.0),
        timing_from=st.sampled_from(["wings level", "turn start"]),
        max_ias_kt=numbers(30.0, 600.0, 200.0),
    )
    leg = draw(st.sampled_from(["", "outbound_min", "outbound_nm"]))
    if leg:
        limits[leg] = draw(numbers(1e-9, 10.0, 1.0) if leg == "outbound_min" else numbers(1e-9, 50.0, 4.0))
    mapping: dict[str, Any] = {
        "title": draw(words),
        "reversal": kind,
        "fix": _optional(
            draw, {"latitude": latitude, "longitude": longitude}, ident=words, elevation_ft=elevations
        ),
        "course": course,
        "guidance": guidance,
        "limits": limits,
        "altitudes_ft": _optional(
            draw, {}, arrival=altitude_tables(), reversal=altitude_tables(), inbound=altitude_tables(),
            final=altitude_tables(),
        ),
        "protection": _optional(
            draw, {}, criteria=st.sampled_from(["US", "ICAO"]), category=st.sampled_from(list("ABCDE"))
        ),
    }  # fmt: skip
    if draw(st.integers(0, 3)) == 0:
        mapping["runway"] = _optional(
            draw, {"latitude": draw(latitudes), "longitude": draw(longitudes)}, ident=words, elevation_ft=elevations
        )
    return mapping


junk = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(max_size=12),
    st.lists(st.one_of(st.floats(), st.text(max_size=3)), max_size=3),
    st.dictionaries(st.text(max_size=5), st.floats(), max_size=2),
    st.dates(),
)


@st.composite
def mutated_mappings(draw: st.DrawFn) -> dict[str, Any]:
    """A procedure file with one to four values replaced, taken away or added."""
    mapping = draw(procedure_mappings())
    for _ in range(draw(st.integers(1, 4))):
        table: Any = mapping
        while True:
            keys = sorted(str(key) for key in table)
            if not keys:
                break
            key = draw(st.sampled_from(keys))
            if isinstance(table[key], dict) and draw(st.booleans()):
                table = table[key]
                continue
            break
        what = draw(st.sampled_from(["replace", "take", "add", "add a known"]))
        if what == "add" or not keys:
            table[draw(st.text(min_size=1, max_size=8))] = draw(junk)
        elif what == "add a known":
            known = ["full_scale_deg", "full_scale_nm", "latitude", "outbound_deg", "turn_side", "outbound_nm", "at"]
            table[draw(st.sampled_from(known))] = draw(st.one_of(junk, st.floats(0.1, 50.0)))
        elif what == "replace":
            table[key] = draw(st.one_of(junk, st.floats(-400.0, 400.0)))
        else:
            del table[key]
    return mapping


def drawn_procedure(mapping: dict[str, Any]) -> Procedure:
    """Return the procedure of a mapping; ProcedureFileError where it contradicts itself."""
    return procedure_from_mapping(mapping, "drawn.toml")


@st.composite
def tracks(draw: st.DrawFn, procedure: Procedure, longest_s: float = 1000.0) -> Track:
    """A random walk of straights, turns and flights back to the fix, as a good or a bad device would record it."""
    frame = frame_of(procedure)
    time_s = _moments(draw, longest_s)
    east, north, speed = _walk(draw, procedure, time_s)
    noise_m = draw(st.sampled_from([0.0, 0.0, 3.0, 30.0, 3000.0]))
    noise = np.random.default_rng(draw(st.integers(0, 99)))
    east, north = (values + noise_m * noise.standard_normal(len(time_s)) for values in (east, north))
    if draw(st.integers(0, 5)) == 0:  # a receiver slower than its record: positions stand still, then jump
        held = np.arange(len(time_s)) // draw(st.integers(2, 9)) * 2
        held = np.minimum(held, len(time_s) - 1)
        east, north = east[held], north[held]
    latitude, longitude = on_earth(frame, east, north)
    altitude_m = _altitudes(draw, procedure, time_s)
    return Track(
        "drawn",
        time_s,
        latitude,
        longitude,
        altitude_m,
        None if altitude_m is None else draw(st.sampled_from(["indicated", "pressure", "geometric"])),
        sensors=_sensors(draw, time_s, speed),
    )


def on_earth(frame: Frame, east_m: Any, north_m: Any) -> tuple[np.ndarray, np.ndarray]:
    """Return latitude and longitude of points of the plane, such as a device would write them."""
    latitude, longitude = (np.asarray(each) for each in frame.latitude_longitude_deg(east_m, north_m))
    latitude, longitude = np.nan_to_num(latitude, posinf=0.0), np.nan_to_num(longitude, posinf=0.0)
    return np.clip(np.round(latitude, 7), -90.0, 90.0), np.clip(np.round(longitude, 7), -180.0, 180.0)


def _moments(draw: st.DrawFn, longest_s: float) -> np.ndarray:
    interval_s = draw(st.sampled_from([1.0, 1.0, 2.0, 2.0, 5.0, 5.0, 0.2, 0.05, 0.01, 30.0, 1e-6, 3600.0]))
    most = max(2, min(1500, int(longest_s / interval_s) + 1))
    count = draw(st.one_of(st.sampled_from([2, 3, 5, 8, 9, most, most, most, most, most]), st.integers(2, most)))
    steps = np.full(count - 1, interval_s)
    random = np.random.default_rng(draw(st.integers(0, 99)))
    if draw(st.integers(0, 3)) == 0:
        steps = steps * random.uniform(0.001, 2.0, count - 1)
    for _ in range(draw(st.sampled_from([0, 0, 0, 0, 1, 3]))):
        steps[random.integers(count - 1)] = draw(st.sampled_from([5.0, 5.0, 60.0, 60.0, 600.0, 600.0, 1e-6, 86_400.0]))
    return np.concatenate([[0.0], np.cumsum(steps)])


pieces_anywhere = st.lists(
    st.tuples(
        st.sampled_from(["home", "straight", "turn", "round", "outbound", "inbound", "stop"]),
        st.floats(1.0, LONGEST_PIECE_S),
        st.one_of(st.sampled_from([-1.0, 1.0]), st.floats(-3.0, 3.0)),
    ),
    min_size=1,
    max_size=14,
)


@st.composite
def pieces_near(draw: st.DrawFn, procedure: Procedure) -> list[Piece]:
    """A reversal about as it is meant, on either side, whole or cut short, with pieces of anything in between."""
    side = float(procedure.side) * draw(st.sampled_from([1.0, 1.0, -1.0]))
    leg_s = draw(st.floats(20.0, LONGEST_PIECE_S))
    pieces: list[Piece] = [("home", 600.0, 0.0)]
    if draw(st.booleans()):
        for _ in range(draw(st.integers(1, 4))):
            pieces += [("round", 60.0, side), ("straight", leg_s, 0.0), ("round", 60.0, side), ("home", 600.0, 0.0)]
    else:
        pieces += [("outbound", leg_s, 0.0), ("turn", draw(st.floats(5.0, 30.0)), -side)]
        pieces += [("straight", draw(st.floats(0.0, 90.0)), 0.0), ("turn", draw(st.floats(50.0, 90.0)), side)]
        pieces += [("home", 600.0, 0.0)]
    pieces += [("inbound", draw(st.floats(0.0, 120.0)), 0.0)]
    for _ in range(draw(st.sampled_from([0, 0, 1, 3]))):
        pieces.insert(draw(st.integers(0, len(pieces))), draw(pieces_anywhere)[0])
    return pieces[: draw(st.sampled_from([len(pieces), len(pieces), 3]))]


def _walk(draw: st.DrawFn, procedure: Procedure, time_s: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return east and north of the fix and the speed: pieces of steady rate and speed, or homing to the fix."""
    inbound = np.radians(procedure.inbound_true_deg)
    distance_m = draw(st.sampled_from([0.0, 500.0, 5000.0, 20_000.0, 20_000.0])) * draw(st.floats(0.5, 1.5))
    bearing = inbound + np.pi + draw(st.sampled_from([0.0, 0.0, np.pi, 1.0, -2.0]))
    speed = draw(st.sampled_from([55.0, 55.0, 55.0, 30.0, 90.0, FASTEST_MPS, 0.01, 0.0]))
    pieces = draw(pieces_near(procedure) if draw(st.integers(0, 3)) else pieces_anywhere)
    step_s = 1.0
    place = [distance_m * np.sin(bearing), distance_m * np.cos(bearing)]
    heading = bearing + np.pi
    path, speeds = [tuple(place)], [speed]
    for kind, seconds, sign in pieces:
        count = int(60.0 if kind == "round" else seconds)
        now = 0.0 if kind == "stop" else speed
        for _ in range(count):
            if kind == "home":
                wanted = np.arctan2(-place[0], -place[1])
                miss = (wanted - heading + np.pi) % (2.0 * np.pi) - np.pi
                heading += float(np.clip(miss, -0.06, 0.06))
                if np.hypot(*place) < max(now, 1.0):
                    break
            elif kind in ("turn", "round"):
                heading += np.radians(3.0) * sign
            elif kind in ("outbound", "inbound"):
                heading = inbound + (np.pi if kind == "outbound" else 0.0)
            place[0] += now * step_s * np.sin(heading)
            place[1] += now * step_s * np.cos(heading)
            path.append(tuple(place))
            speeds.append(now)
    walked = np.arange(len(path)) * step_s
    east, north = np.array(path).T
    return np.interp(time_s, walked, east), np.interp(time_s, walked, north), np.interp(time_s, walked, speeds)


def _altitudes(draw: st.DrawFn, procedure: Procedure, time_s: np.ndarray) -> np.ndarray | None:
    kind = draw(st.sampled_from(["steady", "descending", "none", "all nan", "some nan", "one", "absurd", "jumps"]))
    if kind == "none":
        return None
    if kind == "all nan":
        return np.full(time_s.shape, np.nan)
    limit_m = next((each.low_m or each.high_m or 0.0 for each in procedure.altitudes), 1500.0)
    altitude = np.full(time_s.shape, limit_m + draw(st.sampled_from([0.0, 30.0, -30.0, 1000.0])))
    if kind == "descending":
        altitude = altitude - draw(st.floats(-10.0, 10.0)) * time_s
    elif kind == "some nan":
        altitude[np.random.default_rng(3).random(time_s.shape) < draw(st.floats(0.01, 0.99))] = np.nan
    elif kind == "one":
        altitude[1:] = np.nan
    elif kind == "absurd":
        altitude = altitude * draw(st.sampled_from([1e6, -1e6, 1e300, 1e-300]))
    elif kind == "jumps":
        altitude = altitude + np.where(np.arange(len(time_s)) % 2 == 0, 0.0, 30_000.0)
    return altitude


def _sensors(draw: st.DrawFn, time_s: np.ndarray, speed: np.ndarray) -> dict[str, np.ndarray]:
    sensors = {}
    for name in draw(st.sets(st.sampled_from(SENSOR_NAMES), max_size=4)):
        likely = speed if name.endswith("_mps") else np.mod(3.0 * time_s, 360.0) if name.endswith("_deg") else speed * 0
        values = likely * draw(st.sampled_from([1.0, 1.0, 1.0, 0.0, -1.0, 1e9]))
        missing = draw(st.sampled_from([0.0, 0.0, 0.5, 0.99, 1.0]))
        sensors[name] = np.where(np.random.default_rng(5).random(time_s.shape) < missing, np.nan, values)
    return sensors
