"""One flight of a track: hours of nothing lie between flights, and a fit across them would cost what they last."""

from dataclasses import replace
from datetime import timedelta

import numpy as np

from analyzer.track import SEPARATE_FLIGHTS_S, QualityNote, Track


def longest_flight(track: Track) -> Track:
    """Return the stretch with most moments where pauses of over six hours lie between stretches, with a note.

    Readers do so with files; this is for tracks that callers bring. A track without such a pause, or without two
    moments on one side of it, comes back as it is. Times count from the first moment kept.
    """
    cuts = np.flatnonzero(np.diff(track.time_s) > SEPARATE_FLIGHTS_S) + 1
    edges = np.concatenate(([0], cuts, [len(track)]))
    longest = int(np.argmax(np.diff(edges)))
    kept = slice(int(edges[longest]), int(edges[longest + 1]))
    if not len(cuts) or kept.stop - kept.start < 2:
        return track
    first_s = float(track.time_s[kept.start])
    note = QualityNote(
        "several_flights",
        f"Pauses of over {SEPARATE_FLIGHTS_S / 3600:.0f} hours divide the track into {len(edges) - 1:,} parts; the one "
        f"with most moments is assessed, {len(track) - (kept.stop - kept.start):,} moments left out.",
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
    )
