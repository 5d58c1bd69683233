"""What a recording holds, told before there is a chart: when, how long, what is doubtful, an outline to draw."""

from typing import TYPE_CHECKING, Any

from analyzer.given import longest_flight
from analyzer.units import METRES_PER_FOOT

if TYPE_CHECKING:
    from analyzer.given import Track

#: enough for a small drawing, and for which fixes were passed
MOST_POINTS = 600


def look_of(track: "Track") -> dict[str, Any]:
    """Return what a recording holds, as plain values.

    Returns
    -------
    dict
        `name`; `points`; `start_utc` (ISO 8601 or None); `duration_s`; `median_interval_s`; `columns_used`;
        `quality`, a list of {code, text, first}: what is doubtful, `first` where it bears on a verdict;
        `outline`, a list of [seconds, latitude, longitude] of at most 600 points; `altitude`, None or {kind,
        lowest_ft, highest_ft}.
    """
    import numpy as np

    flight = longest_flight(track)
    count = len(flight.time_s)
    kept = np.unique(np.linspace(0, max(0, count - 1), min(count, MOST_POINTS)).round().astype(int))
    return {
        "name": flight.name,
        "points": count,
        "start_utc": None if flight.start is None else flight.start.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "duration_s": round(float(flight.time_s[-1] - flight.time_s[0]), 1) if count else 0.0,
        "median_interval_s": round(float(np.median(np.diff(flight.time_s))), 3) if count > 1 else None,
        "columns_used": list(flight.columns_used),
        "quality": [{"code": note.code, "text": note.text, "first": note.on_first_screen} for note in flight.quality],
        "outline": [
            [
                round(float(flight.time_s[index]), 1),
                round(float(flight.latitude_deg[index]), 5),
                round(float(flight.longitude_deg[index]), 5),
            ]
            for index in kept
        ],
        "altitude": _altitude(flight),
    }


def _altitude(flight: "Track") -> dict[str, Any] | None:
    import numpy as np

    if flight.altitude_m is None or not np.isfinite(flight.altitude_m).any():
        return None
    return {
        "kind": flight.altitude_kind,
        "lowest_ft": round(float(np.nanmin(flight.altitude_m)) / METRES_PER_FOOT),
        "highest_ft": round(float(np.nanmax(flight.altitude_m)) / METRES_PER_FOOT),
    }
