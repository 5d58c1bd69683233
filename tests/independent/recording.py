"""What a recorder writes of a flight: CSV with the columns a user may have, and the noise of a receiver."""

import math
import random
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from pyproj import Proj

from tests.independent.cockpit import Moment

SEA_LEVEL_K, LAPSE_K_PER_FT = 288.15, 0.0065 * 0.3048
START = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
NOISE_MEMORY_S = 20.0


def indicated_kt(tas_kt: float, altitude_ft: float) -> float:
    """Airspeed shown at a true airspeed in the standard atmosphere: times the root of the density ratio."""
    ratio = 1.0 - LAPSE_K_PER_FT * altitude_ft / SEA_LEVEL_K
    return tas_kt * math.sqrt(ratio**4.2559)


def write_csv(
    path: Path,
    moments: Sequence[Moment],
    fix: tuple[float, float],
    variation_deg: float,
    *,
    altitude: str | None = "altitude_ft",
    columns: Sequence[str] = (),
    interval_s: int = 1,
    noise_m: float = 0.0,
    altitude_step_ft: float = 1.0,
    utc: bool = False,
    seed: int = 1,
) -> Path:
    """Write a flight and return the file's path.

    Parameters
    ----------
    path, moments
    fix : (float, float)
        Latitude and longitude of the plane's origin.
    variation_deg : float
        Degrees east, for magnetic headings.
    altitude : str or None
        Name of the altitude's column; one whose name holds "_m" is in metres. None: no altitudes.
    columns : sequence of str
        Of `heading_deg` (magnetic), `ias_kt`, `tas_kt`, `bank_deg`, `groundspeed_kt`.
    interval_s : int
    noise_m : float
        1 sigma of the receiver's error in each direction, half of it slow (20 s), half of it new each second.
    altitude_step_ft : float
        Altitudes are recorded to this step.
    utc : bool
        Times as ISO 8601 in place of elapsed seconds.
    seed : int
    """
    plane = Proj(proj="aeqd", lat_0=fix[0], lon_0=fix[1], ellps="WGS84")
    chance = random.Random(seed)
    keep = math.exp(-1.0 / NOISE_MEMORY_S)
    part = noise_m * math.sqrt(0.5)
    slow = [chance.gauss(0.0, part), chance.gauss(0.0, part)]
    names = ["time" if utc else "elapsed_s", "latitude", "longitude", *([altitude] if altitude else []), *columns]
    lines = [",".join(names)]
    for number, one in enumerate(moments):
        slow = [keep * value + math.sqrt(1.0 - keep**2) * chance.gauss(0.0, part) for value in slow]
        error = [value + chance.gauss(0.0, part) for value in slow]
        if number % interval_s:
            continue
        longitude, latitude = plane(one.east_m + error[0], one.north_m + error[1], inverse=True)
        when = (START + timedelta(seconds=round(one.time_s, 1))).isoformat() if utc else f"{one.time_s:.1f}"
        cells = [when, f"{latitude:.7f}", f"{longitude:.7f}"]
        if altitude:
            shown = round(one.altitude_ft / altitude_step_ft) * altitude_step_ft
            cells.append(f"{shown * 0.3048:.1f}" if "_m" in altitude else f"{shown:.0f}")
        values = {
            "heading_deg": (one.heading_deg - variation_deg) % 360.0,
            "ias_kt": indicated_kt(one.tas_kt, one.altitude_ft),
            "tas_kt": one.tas_kt,
            "bank_deg": one.bank_deg,
            "groundspeed_kt": one.groundspeed_kt,
        }
        cells += [f"{values[name]:.1f}" for name in columns]
        lines.append(",".join(cells))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
