"""At least 60 mistakes of recorders, exporters, spreadsheets and hands in recordings of the flight."""

from collections.abc import Callable, Iterator

import numpy as np

from analyzer.units import METRES_PER_FOOT, MPS_PER_KNOT, FloatArray
from tests.benchmarks.recordings.case import Case
from tests.benchmarks.recordings.truth import Truth, truth
from tests.benchmarks.recordings.writing import Column, fixed, gpx, igc, iso, kml_track, place, stamps, table


def mistakes() -> list[Case]:
    """Return the cases, names in order and unique."""
    return [case for maker in makers() for case in maker(truth())]


def makers() -> list[Callable[[Truth], Iterator[Case]]]:
    """Return what makes the cases, a function for each kind."""
    return [_units, _clocks, _signs, _columns, _cuts, _bytes, _rows, _refused]


def _basic(flight: Truth, altitude: Column | None = None) -> list[Column]:
    return [iso(flight), *place(flight), altitude or ("altitude_ft", fixed(flight.indicated_ft))]


def _changed(flight: Truth, **changes: FloatArray) -> Truth:
    return Truth(**{**vars(flight), **changes})


def _units(flight: Truth) -> Iterator[Case]:
    up = ("altitudes",)
    metres = flight.indicated_ft * METRES_PER_FOOT
    fits = "which fits"
    yield Case("feet named, metres meant", table(_basic(flight, ("altitude_ft", fixed(metres)))), "withheld", fits,
               parts=up)  # fmt: skip
    settled = {"indicated_altitude_m": "altitude_ft"}
    yield Case("feet named, settled", table(_basic(flight, ("altitude_ft", fixed(metres)))), "same", columns=settled)
    metres_named = table(_basic(flight, ("altitude_m", fixed(flight.sea_ft))))
    yield Case("metres named, feet meant", metres_named, "withheld", fits, parts=up)
    yield Case("gpx in feet", gpx(flight, flight.sea_ft), "withheld", fits, parts=up)
    yield Case("gpx in feet, settled", gpx(flight, flight.sea_ft), "datum", columns={"gps_altitude_ft": "ele"})
    yield Case("kml in feet", kml_track(flight, flight.sea_ft), "withheld", fits, parts=up)
    yield Case("igc in feet", igc(flight, flight.pressure_ft, flight.sea_ft), "withheld", fits, parts=up)
    hundreds = ("altitude_ft", fixed(flight.indicated_ft / 100, 2))
    yield Case("hundreds of feet", table(_basic(flight, hundreds)), "withheld", "hundreds of feet", parts=up)
    ground = ("altitude_ft", fixed(flight.indicated_ft - 1900))
    yield Case("height above ground as altitude", table(_basic(flight, ground)), "withheld", "can't be right", parts=up)
    climb = ("vertical_speed_fpm", fixed(flight.climb_fpm, 0))
    contradicted = table([*_basic(flight, ("altitude_m", fixed(flight.sea_ft))), climb])
    yield Case("metres named, climb in feet", contradicted, "withheld", "fit", parts=up)
    mps = flight.groundspeed_kt * MPS_PER_KNOT
    yield Case("knots named, m/s meant", table([*_basic(flight), ("groundspeed_kt", fixed(mps))]), "same", "metres")
    yield Case(
        "knots named, km/h meant", table([*_basic(flight), ("groundspeed_kt", fixed(mps * 3.6))]), "same", "km/h"
    )
    wrong = ("groundspeed_kt", fixed(flight.groundspeed_kt * 1.37))
    yield Case("ground speed of nothing", table([*_basic(flight), wrong]), "same", "not used", "screen")
    fast = ("ias_kt", fixed(flight.ias_kt * MPS_PER_KNOT))
    yield Case("airspeed in m/s named knots", table([*_basic(flight), fast]), "withheld", "airspeed")
    off = ("track_deg", fixed(np.mod(flight.track_deg + 40, 360)))
    yield Case("track of nothing", table([*_basic(flight), off]), "same", "not used")


def _clocks(flight: Truth) -> Iterator[Case]:
    rest = [*place(flight), ("altitude_ft", fixed(flight.indicated_ft))]
    speed = ("groundspeed_kt", fixed(flight.groundspeed_kt))
    minutes = [("time", stamps(flight, "%Y-%m-%d %H:%M")), *rest]
    yield Case("clock to the minute", table(minutes), "same", "spread evenly", "screen")
    uneven = truth().every(slice(None))
    kept = np.ones(len(uneven), dtype=bool)
    kept[np.arange(0, len(kept), 7)] = kept[100:140] = kept[300:311] = False
    uneven = Truth(**{name: values[kept] for name, values in vars(uneven).items()})
    shared = [("time", stamps(uneven, "%Y-%m-%d %H:%M")), *_basic(uneven)[1:]]
    yield Case("clock to the minute, uneven", table(shared), "withheld", "can be judged")
    tens = [("time", [f"{text[:-2]}0Z" for text in stamps(flight)]), *rest]
    yield Case("clock to ten seconds", table(tens), "same", "spread evenly", "screen")
    for rate in (4.0, 8.0):
        quick = [("elapsed_s", fixed(flight.time_s / rate, 3)), *rest]
        yield Case(f"clock at {rate:g} times", table(quick), "withheld", "clock")
    for rate in (2.0, 4.0, 0.5):
        quick = [("elapsed_s", fixed(flight.time_s / rate, 3)), *rest, speed]
        yield Case(f"clock at {rate:g} times, speed recorded", table(quick), "withheld", "clock")
    stretch = np.clip(flight.time_s, 200.0, 360.0) - 200.0
    rushed = [("elapsed_s", fixed(flight.time_s - 0.75 * stretch, 3)), *rest]
    yield Case("clock at 4 times for 160 s", table(rushed), "withheld", "at once")
    yield Case("clock at 4 times for 160 s, speed recorded", table([*rushed, speed]), "withheld", "at once")
    pause = flight.time_s + np.where(flight.time_s > 200.0, 180.0, 0.0)
    paused = [("elapsed_s", fixed(pause)), *rest]
    yield Case("clock pauses on a leg", table(paused), "same", "gap")
    back = np.where(flight.time_s > 400.0, flight.time_s - 3.0, flight.time_s)
    yield Case("clock set back 3 s", table([("elapsed_s", fixed(back)), *rest]), "same", "goes back")
    broken = [text if row % 9 else "--:--" for row, text in enumerate(stamps(flight))]
    yield Case("clock not readable in parts", table([("time", broken), *rest]), "same", "no readable time")
    years = [text.replace("2025", "1970") for text in stamps(flight)]
    yield Case("clock of 1970", table([("time", years), *rest]), "same", "before 1980")


def _signs(flight: Truth) -> Iterator[Case]:
    east = _changed(flight, longitude=-flight.longitude)
    south = _changed(flight, latitude=-flight.latitude)
    yield Case("west positive", table(_basic(east)), "same", "other sign", "screen")
    yield Case("west positive in GPX", gpx(east, None), "no altitude", "other sign", "screen")
    yield Case("south positive", table(_basic(south)), "same", "other sign", "screen")
    both = _changed(east, latitude=-flight.latitude)
    yield Case("both signs", table(_basic(both)), "same", "other sign", "screen")
    away = _changed(flight, latitude=flight.latitude - 14.0)
    yield Case("another place", table(_basic(away)), "no reversal", "far from the procedure")
    swapped = [iso(flight), *place(flight, names=("longitude", "latitude"))]
    yield Case("latitude and longitude swapped", table(swapped), "refused", "swapped")
    parts = ("manoeuvre", "altitudes", "containment")
    yield Case("three decimals", table([iso(flight), *place(flight, 3), _basic(flight)[3]]), "withheld", "3 decimals")
    coarse = table([iso(flight), *place(flight, 2), _basic(flight)[3]])
    yield Case("two decimals", coarse, "withheld", "2 decimals", parts=parts)
    letters = [*place(_changed(flight, longitude=-flight.longitude)), ("E/W", ["W"] * len(flight))]
    yield Case("sign in a column", table([iso(flight), *letters, _basic(flight)[3]]), "same")


def _columns(flight: Truth) -> Iterator[Case]:
    basic = _basic(flight)
    low = ("Indicated Altitude", fixed(flight.indicated_ft - 900))
    yield Case("altitudes contradict", table([*basic, low]), "withheld", "differ by", parts=("altitudes",))
    same = ("altitude_ft", fixed(flight.indicated_ft))
    yield Case("altitude twice", table([*basic, same]), "same")
    moved = [*basic, ("lat", fixed(flight.latitude + 0.5, 6)), ("lon", fixed(flight.longitude, 6))]
    yield Case("positions contradict", table(moved), "withheld", "differ", parts=("manoeuvre", "containment"))
    yield Case("positions twice", table([*basic, *place(flight, names=("lat", "lon"))]), "same")
    later = ("timestamp", stamps(flight, offset_h=3.0))
    yield Case("times contradict", table([*basic, later]), "same", "Columns not used: timestamp")
    empty = [
        iso(flight),
        *place(flight),
        ("altitude_ft", [""] * len(flight)),
        ("gps_altitude_ft", fixed(flight.sea_ft)),
    ]
    yield Case("altitude empty", table(empty), "datum")
    frozen = ("altitude_ft", ["5600"] * len(flight))
    yield Case("altitude frozen", table(_basic(flight, frozen)), "withheld", "never change", parts=("altitudes",))
    zero = ("altitude_ft", ["0"] * len(flight))
    yield Case("altitude all zero", table(_basic(flight, zero)), "withheld", "never change", parts=("altitudes",))
    deflection = ("deflection", fixed(flight.bank_deg * 3))
    yield Case("deflection of nothing", table([*basic, deflection]), "same", "full scale")


def _cuts(flight: Truth) -> Iterator[Case]:
    whole = table(_basic(flight))
    yield Case("cut in a line", whole[: len(whole) - 17], "same")
    yield Case("cut in a number", whole[: len(whole) - 3], "same")
    unfinished = gpx(flight, flight.sea_ft * METRES_PER_FOOT)
    yield Case("cut GPX", unfinished[: len(unfinished) - 40], "datum", "stops before its end")
    yield Case("cut GPX in a tag", unfinished[: len(unfinished) - 63], "datum", "stops before its end")
    head = whole.split(b"\n", 1)[1]
    yield Case("cut header", head, "refused", "no header line")
    early = table(_basic(flight.every(slice(0, 330))))
    yield Case("cut before the end", early, "withheld", "", parts=())
    yield Case("zeros at the end", whole + b"\x00" * 4096, "same")


def _bytes(flight: Truth) -> Iterator[Case]:
    lines = table(_basic(flight)).split(b"\n")

    def with_line(place_: int, change: Callable[[bytes], bytes]) -> bytes:
        return b"\n".join([*lines[:place_], change(lines[place_]), *lines[place_ + 1 :]])

    yield Case("NUL in a line", with_line(300, lambda line: line[:30] + b"\x00\x00" + line[30:]), "same", "NUL")
    yield Case("NUL block", with_line(300, lambda _: b"\x00" * 600), "same", "NUL")
    yield Case("unclosed quote", with_line(300, lambda line: b'"' + line), "same", "quote")
    yield Case("unclosed quote at the end", with_line(300, lambda line: line + b'"'), "same", "quote")
    yield Case("garbage line", with_line(300, lambda _: bytes(range(128, 255))), "same", "no readable time")
    yield Case("short line", with_line(300, lambda line: line[:12]), "same", "no readable")
    yield Case("long line", with_line(300, lambda line: line + b",1,2,3,4,5"), "same", "too many cells")
    yield Case("blank lines", b"\n\n".join(lines), "same")


def _rows(flight: Truth) -> Iterator[Case]:
    lines = table(_basic(flight)).decode().splitlines()
    head, rows = lines[0], lines[1:]

    def joined(some: list[str]) -> bytes:
        return ("\n".join([head, *some]) + "\n").encode()

    yield Case("rows reversed", joined(rows[::-1]), "same", "goes back")
    shuffled = np.random.default_rng(1).permutation(len(rows))
    yield Case("rows shuffled", joined([rows[i] for i in shuffled]), "same", "goes back")
    yield Case("rows doubled", joined([row for row in rows for _ in (0, 1)]), "same", "time of the one before")
    yield Case("header repeated", joined([*rows[:300], head, *rows[300:500], head, *rows[500:]]), "same", "repeated")
    other = "time,longitude,latitude,altitude_ft"
    yield Case("header changes", joined([*rows[:300], other, *rows[300:]]), "refused", "later header")
    zero = [row if i % 50 else f"{row.split(',')[0]},0.0,0.0,0" for i, row in enumerate(rows)]
    yield Case("rows without a fix", joined(zero), "same", "exactly 0")
    jumps = [row if i % 60 != 7 else row.replace(",46.", ",47.", 1) for i, row in enumerate(rows)]
    yield Case("rows that jump", joined(jumps), "same", "no aircraft could")
    yield Case("two flights", joined([*[row.replace("2025-03-14", "2025-03-12") for row in rows[:200]], *rows]), "same",
               "divide the file")  # fmt: skip
    frozen = [*rows[:250], *[rows[249].replace(stamps(flight)[249], text) for text in stamps(flight)[250:262]],
              *rows[262:]]  # fmt: skip
    yield Case("rows frozen 12 s", joined(frozen), "same", "repeat")


def _refused(flight: Truth) -> Iterator[Case]:
    basic = _basic(flight)
    yield Case("no times", table(basic[1:]), "refused", "no column for time")
    yield Case("no longitude", table([basic[0], basic[1], basic[3]]), "refused", "longitude")
    dates = [("time", stamps(flight, "03/04/2025 %H:%M:%S")), *basic[1:]]
    yield Case("date of two readings", table(dates), "refused", "date_order")
    yield Case("GPX without times", gpx(flight, None, lambda rows: [""] * len(rows)), "refused", "time")
    yield Case("empty", b"", "refused", "empty")
    yield Case("header alone", table(basic).split(b"\n")[0] + b"\n", "refused", "no rows")
    yield Case("a web page", b"<!doctype html><html><body>sign in</body></html>", "refused", "web page")
    yield Case("a picture", b"\x89PNG\r\n\x1a\n" + b"\x00" * 500, "refused", "PNG")
    yield Case("column that is not there", table(basic), "refused", "no column", columns={"altitude_ft": "alti"})
    yield Case("number that is not there", table(basic), "refused", 'no column "#12"', columns={"altitude_ft": "#12"})
    commas = b"time,latitude,longitude,altitude_ft\n" + b"\n".join(
        f"{row},46,{row:04d},-101,{row:04d},5600".encode() for row in range(100)
    )
    yield Case("decimal commas unquoted", commas, "refused", "decimal")
    two = [("time", stamps(flight)), ("icao24", ["a"] * 300 + ["b"] * (len(flight) - 300)),
           *place(flight, names=("lat", "lon")), ("velocity", fixed(flight.ias_kt)),
           ("vertrate", fixed(flight.ias_kt))]  # fmt: skip
    yield Case("two aircraft", table(two), "refused", "2 aircraft")
