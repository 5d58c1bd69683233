"""`assess`: from a track and a procedure to the debrief, for scripts and notebooks as for the command."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from os import PathLike
from os.path import isdir
from typing import TYPE_CHECKING, Any

from analyzer.errors import OptionError, ProcedureFileError
from analyzer.given import Clearance, Procedure, Track, longest_flight
from analyzer.judged import Assessment, Lesson, assess_lesson
from analyzer.run.call_options import options_from, parsed_columns
from analyzer.run.commands.outcome_words import outcome_words
from analyzer.run.one_thread import one_thread

if TYPE_CHECKING:
    from pandas import DataFrame

    from analyzer.reading import ClearanceAsked


@dataclass(frozen=True, repr=False)
class Debrief:
    """What a track says about a course reversal: everything known, the result file's content, the report, a table.

    `lesson` holds an assessment for each procedure; `assessment` is the first of them, the only one where one procedure
    was handed in.
    """

    lesson: Lesson

    @property
    def assessment(self) -> Assessment:
        """What the track says about the first procedure."""
        return self.lesson.parts[0]

    def to_dict(self) -> dict[str, Any]:
        """Return the result file's content: plain values, no nan."""
        from analyzer.shown import lesson_dict

        return lesson_dict(self.lesson)

    def to_html(self, overview: str | None = None) -> str:
        """Return the report: one page that needs neither network nor script.

        `overview` is the address of the page that lists all flights, for a link to it; default: no link.
        """
        from analyzer.shown import render_lesson

        return render_lesson(self.lesson, overview)

    def to_geojson(self) -> dict[str, Any]:
        """Return the flight for a map (RFC 7946): track by phase with its heights, areas, fix, places of findings."""
        from analyzer.shown import flight_collection

        return flight_collection(self.lesson)

    def to_kml(self) -> str:
        """Return the flight for a globe (OGC KML 2.2): what `to_geojson` holds, the track at its height."""
        from analyzer.shown import flight_collection, flight_kml

        return flight_kml(flight_collection(self.lesson))

    def to_svg(self, reversal: int = 1) -> str:
        """Return the plan of a reversal as a drawing that stands alone; of a flight without one that of its track."""
        return str(self._plan("svg", reversal))

    def to_png(self, reversal: int = 1) -> bytes:
        """Return the plan of a reversal as a picture."""
        picture = self._plan("png", reversal)
        assert isinstance(picture, bytes)
        return picture

    def _plan(self, kind: str, reversal: int) -> str | bytes:
        from analyzer.shown import plans

        found = [content for number, content in plans(self.lesson, kind) if number in (0, reversal)]
        if not found:
            raise OptionError(f"reversal: {reversal} is not in this track. Expected 1 to {len(self.lesson.in_order)}")
        return found[0]

    def to_frame(self) -> "DataFrame":
        """Return the flight as a pandas table, a row for each moment of the smoothed track.

        Columns: `time_s` after the first point; `procedure` and `attempt`, 0 outside reversals; `phase`, `lap`;
        `along_nm`, positive on the outbound side of the fix; `cross_nm`, positive to the right of the inbound course;
        `needle` in parts of full scale, nan in a station's cone; `altitude_ft`; `altitude_margin_ft` to the limit of
        the segment and `area_margin_nm` to the edge of area and distance limit, positive inside; `groundspeed_kt`;
        `track_deg_true`; `turn_rate_deg_s`. nan where a value is not known or nothing is judged.
        """
        from analyzer.shown import flight_table

        return flight_table(self.lesson)

    def __repr__(self) -> str:
        """Return a line: the flight, the procedure, the verdict."""
        titles = ", ".join(part.procedure.title for part in self.lesson.parts)
        return f"<Debrief of {self.assessment.track.name}, {titles}: {outcome_words(self.to_dict())}>"

    def _repr_html_(self) -> str:
        """Return what a notebook shows: the verdict and the findings, without the report's figures."""
        from analyzer.shown import summary_html

        return summary_html(self.to_dict())


@dataclass(frozen=True)
class CodedChoice:
    """One reversal of a file of coded procedures: airport, approach and, where it takes one, transition."""

    path: str | PathLike[str]
    airport: str
    approach: str
    transition: str | None = None


#: how one procedure may be handed in
ProcedureGiven = str | PathLike[str] | Procedure | CodedChoice


def assess(
    track: str | PathLike[str] | Track,
    procedure: ProcedureGiven | Sequence[ProcedureGiven],
    *,
    columns: str | Mapping[str, str] | None = None,
    max_megabytes: float | None = None,
    altimeter_setting: float | str | None = None,
    temperature_c: float | str | None = None,
    station_elevation_ft: float | None = None,
    position_sigma_m: float | None = None,
    altitude_sigma_ft: float | None = None,
    wind: str | tuple[float, float] | None = None,
    forecast_wind: str | tuple[float, float] | None = None,
    brief_wind: str | tuple[float, float] | None = None,
    tolerances: str = "US practical test",
    self_assessment: str | PathLike[str] | None = None,
    anonymous: bool = False,
    reversal_expected: str | None = None,
    clock: str | datetime | None = None,
    clearance: "str | PathLike[str] | Mapping[str, Any] | ClearanceAsked | Clearance | None" = None,
) -> Debrief:
    """Return the debrief of a flight.

    Parameters
    ----------
    track : path or Track
        GPX, CSV, KML, IGC, NMEA 0183 and the other formats that the command reads.
    procedure : path, Procedure or CodedChoice, or a sequence of them
        A procedure file (TOML), or a reversal of a file of coded procedures; a folder stands for the procedure files in
        it. Of several each reversal in the track goes to the one that it fits.
    columns : str or mapping, optional
        Which column of a table holds a meaning: "time=Zulu,latitude=Lat" or a mapping.
    max_megabytes : float, optional
        Larger track files, in millions of bytes, are refused before they are read.
    altimeter_setting : float or str, optional
        Inches of mercury, or hPa above 500; text as "29,92" or "Q1013" too. Corrects pressure altitudes.
    temperature_c : float or str, optional
        Degrees Celsius, or text as "60F", at a station; corrects geometric altitudes.
    station_elevation_ft : float, optional
        Feet above mean sea level: the elevation of the station that reported the temperature.
    position_sigma_m : float, optional
        Metres, 1 sigma of the positions. Default: 10 m, or what the data show.
    altitude_sigma_ft : float, optional
        Feet, 1 sigma of the altitudes. Default: by their kind.
    wind, forecast_wind, brief_wind : str or (float, float), optional
        Of the flight, of the next one, and what this one was briefed for: "240/18" or "24018KT", from degrees true at
        knots, "240M/18" magnetic; a pair is degrees true and knots. Default: estimated from the flight, none, none.
    tolerances : str
        Name of a set, or the path of a file.
    self_assessment : path, optional
        The sheet on which the pilot rated the flight.
    anonymous : bool
        Whether names, dates and absolute position are left out.
    reversal_expected : "required" or "not permitted", optional
        What the clearance asked for.
    clock : str or datetime, optional
        Moment that the report says it was made, ISO 8601, UTC where it names no zone. Default: none.
    clearance : path or mapping, optional
        A clearance file (TOML), or a mapping shaped like one: what was asked of this flight.

    Raises
    ------
    ReversalDebriefError
        One of its kinds for a bad file or option: one line that says which, where, what is wrong, what would be right.
    """
    if not isinstance(track, str | PathLike | Track):
        raise OptionError(f"track: {type(track).__name__} is not a track. Expected the path of a file, or a Track")
    loaded_track = track if isinstance(track, Track) else load_track(track, columns, max_megabytes)
    procedures = _load_procedures(procedure, loaded_track)
    options = options_from(
        altimeter_setting=altimeter_setting,
        temperature_c=temperature_c,
        station_elevation_ft=station_elevation_ft,
        position_sigma_m=position_sigma_m,
        altitude_sigma_ft=altitude_sigma_ft,
        wind=wind,
        forecast_wind=forecast_wind,
        brief_wind=brief_wind,
        variation_deg=procedures[0].variation_deg,
        tolerances=tolerances,
        self_assessment=None if self_assessment is None else str(self_assessment),
        anonymous=anonymous,
        reversal_expected=reversal_expected,
        clock=clock,
        clearance=_clearance(clearance, longest_flight(loaded_track)),
    )
    if anonymous:
        from analyzer.run.anonymous import without_identity

        loaded_track, procedures = without_identity(loaded_track, procedures)
    with one_thread():
        return Debrief(assess_lesson(loaded_track, procedures, options))


def _clearance(
    asked: "str | PathLike[str] | Mapping[str, Any] | ClearanceAsked | Clearance | None", flight: Track
) -> Clearance | None:
    """Return a clearance with its moments in seconds of the flight; None for none."""
    if asked is None or isinstance(asked, Clearance):
        return asked
    from pathlib import Path

    from analyzer.reading import clearance_asked, clearance_of_flight, read_clearance

    if isinstance(asked, str | PathLike):
        asked = read_clearance(Path(asked))
    elif isinstance(asked, Mapping):
        asked = clearance_asked(asked)
    return clearance_of_flight(asked, flight.start, flight.duration_s)


def load_track(
    path: str | PathLike[str],
    columns: str | Mapping[str, str] | None = None,
    max_megabytes: float | None = None,
) -> Track:
    """Return the track of a file with the fingerprint of its bytes.

    Raises
    ------
    TrackFileError, OptionError
        As the reader and `parsed_columns` do.
    """
    import hashlib
    from pathlib import Path

    from analyzer.reading import LARGEST_FILE_BYTES, plain, read_bytes, read_track_bytes

    file = Path(path)
    source = plain(file, 200)
    mapping = parsed_columns(columns) if isinstance(columns, str) else columns
    max_bytes = LARGEST_FILE_BYTES if max_megabytes is None else int(max_megabytes * 1_000_000)
    data = read_bytes(file, source, max_bytes)
    track = read_track_bytes(data, source, file.stem, mapping)
    return replace(track, source_sha256=hashlib.sha256(data).hexdigest())


def _load_procedures(given: ProcedureGiven | Sequence[ProcedureGiven], track: Track) -> tuple[Procedure, ...]:
    """Return the procedures in the order given, a folder's by the names of its files."""
    from pathlib import Path

    several = [given] if isinstance(given, str | PathLike | Procedure | CodedChoice) else list(given)
    found: list[Procedure] = []
    for one in several:
        if isinstance(one, Procedure):
            found.append(one)
        elif not isinstance(one, CodedChoice) and isdir(one):
            files = sorted(Path(one).glob("*.toml"))
            if not files:
                raise ProcedureFileError(f"{one}: no procedure file in this folder. Expected files that end in .toml")
            found += [_load_procedure(file, track) for file in files]
        else:
            found.append(_load_procedure(one, track))
    return tuple(found)


def _load_procedure(path: str | PathLike[str] | CodedChoice, track: Track) -> Procedure:
    from pathlib import Path

    if isinstance(path, CodedChoice):
        from analyzer.reading import coded_procedure

        return coded_procedure(Path(path.path), path.airport, path.approach, path.transition, track.start)
    from analyzer.reading import read_procedure

    return read_procedure(Path(path), track.start)
