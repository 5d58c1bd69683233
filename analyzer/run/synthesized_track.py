"""`synthesize` for the command line: a plan from words and trade units, flown and written."""

from pathlib import Path
from typing import cast, get_args

from analyzer.errors import OptionError
from analyzer.given import SENSOR_NAMES, AltitudeKind, Entry, Procedure
from analyzer.reading import read_procedure
from analyzer.synthesis import (
    AUTOPILOT,
    ERROR_NAMES,
    ERROR_SIZES,
    FLIGHT_DAY,
    HUMAN,
    SUFFIXES,
    Ending,
    ErrorName,
    FlightPlan,
    FlyingError,
    Method,
    Sensor,
    fly,
    write_recording,
)
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

PILOTS = {"ideal": AUTOPILOT, "human": HUMAN}

#: how each error's size is given on the command line: unit, and that unit in SI
COMMAND_UNITS: dict[ErrorName, tuple[str, float]] = {
    name: {"": ("", 1.0), "s": ("s", 1.0), "deg": ("deg", 1.0), "m/s": ("kt", MPS_PER_KNOT)}.get(
        unit, ("full scale", 1.0)
    )
    for name, (unit, _) in ERROR_SIZES.items()
} | {
    "early descent": ("ft", METRES_PER_FOOT),
    "level bust": ("ft", METRES_PER_FOOT),
    "past the distance limit": ("NM", METRES_PER_NM),
    "overshoot": ("NM", METRES_PER_NM),
}


def methods_for(procedure: Procedure) -> tuple[Method, ...]:
    """Return the methods by which the procedure can be flown, the usual one first."""
    if procedure.is_hold:
        return ("hold", "straight in")
    if procedure.reversal == "teardrop":
        return ("teardrop", "straight in")
    return ("45/180", "80/260", "teardrop", "racetrack", "straight in")


def synthesize_command(
    procedure: Path,
    output: Path,
    *,
    method: str | None = None,
    tas_kt: float = 110.0,
    wind: str = "0/0",
    entry: str | None = None,
    laps: int = 1,
    attempts: int = 1,
    arrival_track_deg: float | None = None,
    outbound_s: float | None = None,
    errors: tuple[str, ...] = (),
    pilot: str = "ideal",
    ending: str = "level",
    interval_s: float = 1.0,
    position_noise_m: float = 0.0,
    altitude_noise_ft: float = 0.0,
    gaps: int = 0,
    outlier_share: float = 0.0,
    altitude_kind: str | None = None,
    columns: tuple[str, ...] = (),
    seed: int = 0,
) -> str:
    """Fly a procedure file and write the track; returns one line for the terminal.

    Parameters
    ----------
    procedure, output : Path
        Procedure file; track file to write, .gpx or .csv.
    method : str, optional
        One of `methods_for`; None takes the usual one.
    tas_kt : float
        20 to 400.
    wind : str
        "FROM/KT", degrees true.
    entry : str, optional
        Of a hold: "direct", "teardrop", "parallel"; None takes what the sector rule gives.
    laps, attempts : int
        1 to 10.
    arrival_track_deg : float, optional
        True track to the fix.
    outbound_s : float, optional
        Time of the outbound leg in still air.
    errors : tuple of str
        "late turn=15": a name of `ERROR_NAMES` with an optional size in the unit of `COMMAND_UNITS`.
    pilot : str
        "ideal" or "human".
    ending : str
        "level" or "land".
    interval_s, position_noise_m, altitude_noise_ft, gaps, outlier_share, altitude_kind, columns
        How the flight is recorded; see `Sensor`. `altitude_kind` None takes "indicated" for CSV, "geometric" for GPX.
    seed : int
        The same seed gives the same file.

    Raises
    ------
    ReversalDebriefError
        OptionError for a wrong option, ProcedureFileError, OutputError: one line that says what would be right.
    """
    if output.suffix.lower() not in SUFFIXES:
        raise OptionError(f"{output}: a track is written as {' or '.join(SUFFIXES)}; the name's ending says which")
    loaded = read_procedure(procedure, FLIGHT_DAY)
    allowed = methods_for(loaded)
    chosen = allowed[0] if method is None else method
    if chosen not in allowed:
        raise OptionError(
            f"--method {method}: a {loaded.reversal} is not flown so; one of {', '.join(allowed)} would be right"
        )
    if entry is not None and entry not in get_args(Entry):
        raise OptionError(f"--entry {entry}: not an entry; direct, teardrop or parallel would be right")
    if entry is not None and not loaded.is_hold:
        raise OptionError(f"--entry {entry}: a {loaded.reversal} has no entries; leave it out")
    if pilot not in PILOTS:
        raise OptionError(f"--pilot {pilot}: not known; {' or '.join(PILOTS)} would be right")
    if ending not in get_args(Ending):
        raise OptionError(f"--ending {ending}: not known; level or land would be right")
    _check_range("--tas", tas_kt, 20.0, 400.0, "kt")
    _check_range("--laps", laps, 1, 10, "circuits")
    _check_range("--attempts", attempts, 1, 10, "reversals")
    _check_range("--interval", interval_s, 0.05, 30.0, "s")
    _check_range("--position-noise", position_noise_m, 0.0, 1000.0, "m")
    _check_range("--altitude-noise", altitude_noise_ft, 0.0, 2000.0, "ft")
    _check_range("--gaps", gaps, 0, 50, "gaps")
    _check_range("--outliers", outlier_share, 0.0, 0.5, "of the rows")
    from_deg, wind_kt = parsed_wind(wind)
    if wind_kt > 0.9 * tas_kt:
        raise OptionError(f"--wind {wind}: is too strong for {tas_kt:g} kt; under {0.9 * tas_kt:.0f} kt would be right")
    for column in columns:
        if column not in SENSOR_NAMES:
            raise OptionError(f"--columns {column}: not a column; one of {', '.join(SENSOR_NAMES)} would be right")
    gpx = output.suffix.lower() == ".gpx"
    kind = altitude_kind or ("geometric" if gpx else "indicated")
    if kind not in get_args(AltitudeKind):
        raise OptionError(f"--altitude-kind {kind}: not known; {', '.join(get_args(AltitudeKind))} would be right")
    plan = FlightPlan(
        chosen,
        tas_mps=tas_kt * MPS_PER_KNOT,
        wind_from_deg_true=from_deg,
        wind_speed_mps=wind_kt * MPS_PER_KNOT,
        arrival_track_true_deg=arrival_track_deg,
        entry=cast("Entry | None", entry),
        laps=laps,
        attempts=attempts,
        outbound_s=outbound_s,
        ending=cast(Ending, ending),
        pilot=PILOTS[pilot],
        errors=tuple(parsed_error(text) for text in errors),
    )
    sensor = Sensor(
        interval_s=interval_s,
        white_m=position_noise_m,
        altitude_sigma_m=altitude_noise_ft * METRES_PER_FOOT,
        gaps=gaps,
        outlier_share=outlier_share,
        altitude_kind=cast(AltitudeKind, kind),
        columns=columns,
    )
    flight = fly(loaded, plan, seed=seed, sensor=sensor, name=output.stem)
    write_recording(flight, output)
    minutes = flight.track.duration_s / 60.0
    return (
        f"{output}: {chosen} in {from_deg:03.0f}/{wind_kt:g} kt, {len(flight.recording.time_s)} rows, {minutes:.0f} min"
    )


def parsed_error(text: str) -> FlyingError:
    """Return the error that a text like "late turn=15" names, its size turned into SI.

    Raises
    ------
    OptionError
        For a name that is not known or a size that is not a positive number.
    """
    name, _, size = text.partition("=")
    name = " ".join(name.replace("-", " ").replace("_", " ").lower().split())
    if name not in ERROR_NAMES:
        raise OptionError(f"--error {text}: not known; one of {', '.join(ERROR_NAMES)} would be right")
    known: ErrorName = name
    if not size.strip():
        return FlyingError(known)
    unit, factor = COMMAND_UNITS[known]
    try:
        value = float(size)
    except ValueError:
        value = float("nan")
    signed = known == "wrong heading"  # to the left where negative
    if not 0.0 < (abs(value) if signed else value) < 1e5:
        example = f"{name}=15" if unit else name
        raise OptionError(f"--error {text}: the size is not a number above 0; {example} {unit} would be right".rstrip())
    return FlyingError(known, value * factor)


def parsed_wind(text: str) -> tuple[float, float]:
    """Return direction (degrees true, from) and knots of a wind like "240/18".

    Raises
    ------
    OptionError
        For anything else.
    """
    parts = text.split("/")
    try:
        from_deg, knots = (float(part) for part in parts)
    except ValueError as error:
        raise OptionError(f"--wind {text}: not a wind; 240/18 (from, degrees true / kt) would be right") from error
    if not (0.0 <= from_deg <= 360.0 and 0.0 <= knots <= 200.0):
        raise OptionError(f"--wind {text}: out of range; 0 to 360 degrees and 0 to 200 kt would be right")
    return from_deg % 360.0, knots


def _check_range(option: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise OptionError(f"{option} {value:g}: out of range; {low:g} to {high:g} {unit} would be right")
