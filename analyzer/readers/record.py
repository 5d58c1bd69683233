"""What a format's reader hands to the repair step: raw arrays as they stood in the file."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from analyzer.track import AltitudeKind, QualityNote

FloatArray = npt.NDArray[np.float64]


@dataclass
class RawRecord:
    """Rows of a track file in SI, in the file's order, unchecked.

    Parameters
    ----------
    source : str
        The file as errors name it.
    name : str
        What the report calls the flight.
    time_s : array, shape (n,)
        Seconds since 1970-01-01 UTC where `has_date`, else elapsed seconds; nan where not readable.
    has_date : bool
        Whether the moments are tied to a calendar.
    latitude_deg, longitude_deg : array, shape (n,)
        As recorded; nan where not readable.
    altitude_m, altitude_kind
        As in a track.
    sensors : dict of str to array
        Names as in a track.
    part : array of int, shape (n,), or None
        Which of the file's tracks a row belongs to.
    row : str
        What the format calls a row: "point", "row", "fix".
    columns_used : list of str
    notes : list of QualityNote
    """

    source: str
    name: str
    time_s: FloatArray
    has_date: bool
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    altitude_m: FloatArray | None = None
    altitude_kind: AltitudeKind | None = None
    sensors: dict[str, FloatArray] = field(default_factory=dict)
    part: npt.NDArray[np.int64] | None = None
    row: str = "row"
    columns_used: list[str] = field(default_factory=list)
    notes: list[QualityNote] = field(default_factory=list)

    def note(self, code: str, text: str) -> None:
        """Add a quality note."""
        self.notes.append(QualityNote(code, text))
