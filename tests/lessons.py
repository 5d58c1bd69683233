"""Lessons made of several parts: reversals by different procedures at different fixes, joined by the way between them.

Each part is flown by the synthesizer about its own fix; the way from the end of one to the start of the next is flown
here, point by point, with turns of 3 degrees a second.
"""

from dataclasses import dataclass, replace

import numpy as np

from analyzer.given import AltitudeLimit, Frame, Guidance, Place, Procedure, Track, frame_of
from analyzer.synthesis import HUMAN, FlightPlan, Method, Sensor, fly
from analyzer.units.factors import METRES_PER_FOOT as FOOT, METRES_PER_NM as NM, MPS_PER_KNOT as KT

HOME = Place(46.2, -101.5, "HRF", 579.0)
NORTH = Place(46.45, -101.35, "NOR", 560.0)
WEST = Place(46.1, -101.95, "WST", 600.0)
SOUTH = Place(45.85, -101.4, "STH", 570.0)


def _altitudes(*feet: float) -> tuple[AltitudeLimit, ...]:
    segments = ("arrival", "reversal", "inbound", "final")
    return tuple(
        AltitudeLimit(name, "at or above", each * FOOT, None) for name, each in zip(segments, feet, strict=True)
    )  # type: ignore[arg-type]


VOR_TURN = Procedure(
    "VOR 12", "procedure turn", HOME, 125.0, 7.0, "file", "right", 305.0, 350.0, Guidance("VOR", HOME, 10.0, None),
    10 * NM, 60.0, None, "wings level", 200 * KT, _altitudes(5500, 4600, 4600, 3100), "US", "A",
)  # fmt: skip
NDB_TURN = replace(
    VOR_TURN, title="NDB 30", fix=WEST, inbound_true_deg=300.0, outbound_true_deg=120.0, turn_side="left",
    offset_true_deg=75.0, guidance=Guidance("NDB", WEST, 10.0, None),
)  # fmt: skip
HOLD_IN_LIEU = replace(
    VOR_TURN, title="RNAV 36", reversal="hold in lieu", fix=NORTH, inbound_true_deg=180.0, outbound_true_deg=0.0,
    offset_true_deg=0.0, guidance=Guidance("RNAV", NORTH, None, 1.0 * NM), remain_within_m=None, outbound_s=None,
    outbound_m=4.0 * NM,
)  # fmt: skip
HOLD_HOME = replace(
    VOR_TURN, title="Hold HRF", reversal="holding", inbound_true_deg=20.0, outbound_true_deg=200.0, turn_side="right",
    remain_within_m=None,
)  # fmt: skip
HOLD_SOUTH = replace(
    HOLD_HOME, title="Hold STH", fix=SOUTH, inbound_true_deg=270.0, outbound_true_deg=90.0, turn_side="left",
    guidance=Guidance("VOR", SOUTH, 10.0, None),
)  # fmt: skip
METHODS: dict[str, tuple[Method, ...]] = {
    "VOR 12": ("45/180", "80/260"),
    "NDB 30": ("45/180", "80/260", "racetrack"),
    "RNAV 36": ("hold",),
    "Hold HRF": ("hold",),
    "Hold STH": ("hold",),
}
PROCEDURES = (VOR_TURN, NDB_TURN, HOLD_IN_LIEU, HOLD_HOME, HOLD_SOUTH)


@dataclass(frozen=True)
class Part:
    """One part as it was flown: which procedure, by what method, from the fix to the fix."""

    procedure: int
    method: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Lesson:
    """A recording with what is true of it."""

    track: Track
    parts: tuple[Part, ...]
    wind_from_deg_true: float
    wind_mps: float


def lesson(seed: int, parts: int | None = None, chosen: tuple[int, ...] | None = None) -> Lesson:
    """Return a lesson of three to five parts in random order, wind and arrivals, or of the procedures chosen."""
    random = np.random.default_rng(seed)
    count = int(random.integers(3, 6)) if parts is None else parts
    wind_from, wind_mps = float(random.uniform(0, 360)), float(random.uniform(0, 25)) * KT
    chosen = chosen or tuple(int(random.integers(len(PROCEDURES))) for _ in range(count))
    tas = float(random.uniform(90, 130)) * KT
    home = frame_of(VOR_TURN)
    pieces: list[tuple[np.ndarray, ...]] = []  # time, east, north, altitude
    truth: list[Part] = []
    for index in chosen:
        procedure = PROCEDURES[index]
        method = str(random.choice(METHODS[procedure.title]))
        plan = FlightPlan(
            method,  # type: ignore[arg-type]
            tas_mps=tas,
            wind_from_deg_true=wind_from,
            wind_speed_mps=wind_mps,
            pilot=HUMAN,
            laps=int(random.integers(2, 4)) if procedure.reversal == "holding" else 1,
            final_m=float(random.uniform(2.0, 5.0)) * NM,
        )
        flight = fly(procedure, plan, int(random.integers(1 << 30)), Sensor(interval_s=1.0, white_m=2.0))
        track = flight.track
        assert track.altitude_m is not None
        east, north = home.east_north_m(track.latitude_deg, track.longitude_deg)
        first = np.array([east[0], north[0]])
        heading = np.arctan2(east[15] - east[0], north[15] - north[0])
        if pieces:
            _join(pieces, first, heading, float(track.altitude_m[0]), tas)
        begins = 0.0 if not pieces else float(pieces[-1][0][-1]) + 1.0
        (one,) = flight.truth.attempts
        last = one.passages[-1].at_s
        truth.append(Part(index, method, begins + one.passages[0].at_s, begins + last))
        pieces.append((begins + track.time_s, np.asarray(east), np.asarray(north), track.altitude_m))
    return Lesson(_track(pieces, home), tuple(truth), wind_from, wind_mps)


def _join(pieces: list[tuple[np.ndarray, ...]], first: np.ndarray, heading: float, height: float, speed: float) -> None:
    """Fly from the end of the last piece to a start, over a point 3 NM before it, so that its track fits."""
    time, east, north, altitude = pieces[-1]
    place = np.array([east[-1], north[-1]])
    now = np.arctan2(east[-1] - east[-10], north[-1] - north[-10])
    ahead = np.array([np.sin(heading), np.cos(heading)])
    targets = [first - 4.0 * NM * ahead, first - 1.5 * NM * ahead, first]
    found, rate = [], np.radians(3.0)
    while targets and len(found) < 3600:
        wanted = np.arctan2(*(targets[0] - place))
        now += float(np.clip((wanted - now + np.pi) % (2 * np.pi) - np.pi, -rate, rate))
        place = place + speed * np.array([np.sin(now), np.cos(now)])
        if np.hypot(*(targets[0] - place)) < (0.6 * NM if len(targets) > 1 else 1.2 * speed):
            targets = targets[1:]
        found.append(place)
    way = np.array(found)
    times = time[-1] + 1.0 + np.arange(len(way))
    heights = np.linspace(altitude[-1], height, len(way))
    pieces.append((times, way[:, 0], way[:, 1], heights))


def _track(pieces: list[tuple[np.ndarray, ...]], home: Frame) -> Track:
    time, east, north, altitude = (np.concatenate([piece[k] for piece in pieces]) for k in range(4))
    latitude, longitude = home.latitude_longitude_deg(east, north)
    return Track("lesson", time, np.asarray(latitude), np.asarray(longitude), altitude, "indicated")
