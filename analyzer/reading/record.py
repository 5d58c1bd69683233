"""What a format's reader hands to the repair step: raw arrays as they stood in the file."""

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from analyzer.given import JudgedPart, QualityNote, RecordedAltitude, best_altitude
from analyzer.reading.wording import counted
from analyzer.units import FloatArray


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
    altitudes : dict of kind to (values, column)
        Metres; the first column of each kind.
    open_units : set of kind
        Altitudes whose unit the file does not name: they were read in the usual one.
    setting_hpa : array, shape (n,), or None
        Altimeter settings, with `setting_column`.
    sensors : dict of str to array
        Names as in a track.
    undecided : dict of str to (str, array)
        Sensors whose unit or meaning the file leaves open: the column's name and its numbers as they stand.
    time_unit_open : bool
        Whether the times are numbers of a unit that the file does not name: they were read as seconds.
    part : array of int, shape (n,), or None
        Which of the file's tracks a row belongs to.
    row : str
        What the format calls a row: "point", "row", "fix".
    columns_used : list of str
        Columns of time and position.
    sensor_columns : dict of str to str
        The column of each sensor.
    notes : list of QualityNote
    """

    source: str
    name: str
    time_s: FloatArray
    has_date: bool
    latitude_deg: FloatArray
    longitude_deg: FloatArray
    altitudes: dict[RecordedAltitude, tuple[FloatArray, str]] = field(default_factory=dict)
    open_units: set[RecordedAltitude] = field(default_factory=set)
    setting_hpa: FloatArray | None = None
    setting_column: str = ""
    sensors: dict[str, FloatArray] = field(default_factory=dict)
    undecided: dict[str, tuple[str, FloatArray]] = field(default_factory=dict)
    part: npt.NDArray[np.int64] | None = None
    time_unit_open: bool = False
    row: str = "row"
    columns_used: list[str] = field(default_factory=list)
    sensor_columns: dict[str, str] = field(default_factory=dict)
    notes: list[QualityNote] = field(default_factory=list)

    def add_sensor(self, sensor: str, values: FloatArray, column: str) -> None:
        """Add a sensor's values with the name of the column they stood in, unless all are missing."""
        if np.any(np.isfinite(values)):
            self.sensors[sensor] = values
            self.sensor_columns[sensor] = column

    def add_altitude(self, values: FloatArray, kind: RecordedAltitude, column: str) -> None:
        """Add altitudes of a kind, unless all are missing or there are such altitudes already."""
        if np.any(np.isfinite(values)):
            self.altitudes.setdefault(kind, (values, column))

    @property
    def altitude_kind(self) -> RecordedAltitude | None:
        """The kind that is nearest to what the altimeter showed."""
        return best_altitude(self.altitudes, setting_known=self.setting_hpa is not None)

    @property
    def altitude_m(self) -> FloatArray | None:
        """The altitudes of that kind."""
        kind = self.altitude_kind
        return None if kind is None else self.altitudes[kind][0]

    def all_columns(self) -> tuple[str, ...]:
        """Return the columns that came to use: time, position, altitude, sensors."""
        kind = self.altitude_kind
        altitude = [] if kind is None else [self.altitudes[kind][1]]
        if kind == "pressure" and self.setting_hpa is not None:
            altitude.append(self.setting_column)
        sensors = [self.sensor_columns[name] for name in self.sensors if name in self.sensor_columns]
        return (*self.columns_used, *(column for column in altitude if column), *sensors)

    @property
    def rows(self) -> str:
        """What the format calls several rows."""
        return self.row + ("es" if self.row.endswith("x") else "s")

    def count_of(self, count: int, one: str = "", many: str = "") -> str:
        """Return "1 row has", "1,200 rows have" for the verb forms "has" and "have"; without a verb "1 row"."""
        return counted(count, f"{self.row} {one}".strip(), f"{self.rows} {many}".strip())

    def chosen(self, rows: npt.NDArray[np.intp] | npt.NDArray[np.bool_]) -> "RawRecord":
        """Return the record with these rows only, in this order."""
        return replace(
            self,
            time_s=self.time_s[rows],
            latitude_deg=self.latitude_deg[rows],
            longitude_deg=self.longitude_deg[rows],
            altitudes={kind: (values[rows], column) for kind, (values, column) in self.altitudes.items()},
            setting_hpa=None if self.setting_hpa is None else self.setting_hpa[rows],
            sensors={name: values[rows] for name, values in self.sensors.items()},
            undecided={name: (column, values[rows]) for name, (column, values) in self.undecided.items()},
            part=None if self.part is None else self.part[rows],
        )

    def note(
        self, code: str, text: str, *, on_first_screen: bool = False, not_judged: tuple[JudgedPart, ...] = ()
    ) -> None:
        """Add a quality note; see `QualityNote`."""
        self.notes.append(QualityNote(code, text, on_first_screen, not_judged))
