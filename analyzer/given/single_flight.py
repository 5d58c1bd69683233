"""One flight of a track: hours of nothing lie between flights, and a fit across them would cost what they last."""

from dataclasses import replace
from datetime import timedelta

import numpy as np

from analyzer.given.track import SEPARATE_FLIGHTS_S, QualityNote, Track
from analyzer.units import FloatArray


def longest_stretch(time_s: FloatArray) -> tuple[slice, int]:
    """Return the stretch with most points and how many stretches pauses of over six hours divide them into."""
    edges = np.concatenate(([0], np.flatnonzero(np.diff(time_s) > SEPARATE_FLIGHTS_S) + 1, [len(time_s)]))
    longest = int(np.argmax(np.diff(edges)))
    return slice(int(edges[longest]), int(edges[longest + 1])), len(edges) - 1


def longest_flight(track: Track) -> Track:
    """Return the stretch with most points where pauses of over six hours lie between stretches, with a note.

    Readers do so with files; this is for tracks that callers bring. A track without such a pause, or without two
    moments on one side of it, comes back as it is. Times count from the first moment kept.
    """
    kept, parts = longest_stretch(track.time_s)
    if parts == 1 or kept.stop - kept.start < 2:
        return track
    first_s = float(track.time_s[kept.start])
    note = QualityNote(
        "several_flights",
        f"Pauses of over {SEPARATE_FLIGHTS_S / 3600:.0f} hours divide the track into {parts:,} parts; the one "
        f"with most points is assessed, {len(track) - (kept.stop - kept.start):,} points left out.",
    )
    return replace(
        track,
        time_s=track.time_s[kept] - first_s,
        latitude_deg=track.latitude_deg[kept],
        longitude_deg=track.longitude_deg[kept],
        altitude_m=None if track.altitude_m is None else track.altitude_m[kept],
        start=None if track.start is None else track.start + timedelta(seconds=first_s),
        sensors={name: values[kept] for name, values in track.sensors.items()},
        quality=(*track.quality, note),
        other_altitudes={kind: values[kept] for kind, values in track.other_altitudes.items()},
        altimeter_setting_hpa=None if track.altimeter_setting_hpa is None else track.altimeter_setting_hpa[kept],
    )
