"""Options that commands share."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

#: the sets that come with the package: written here too, so that help loads nothing
TOLERANCE_SETS = (
    "US practical test",
    "European skill test",
    "training stage 1",
    "training stage 2",
    "training stage 3",
)
FILE = click.Path(path_type=Path)  # existence is checked by the readers, whose errors say what would be right


def assessment_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say how a track is to be assessed."""
    options = [
        click.option(
            "--altimeter-setting",
            metavar="X",
            help="Inches of mercury as 29.92, or hPa as 1013 or Q1013; corrects pressure altitudes.",
        ),
        click.option(
            "--temperature-c",
            metavar="C",
            help="Temperature at a station, Celsius, or 60F; corrects geometric altitudes.",
        ),
        click.option("--station-elevation-ft", type=float, metavar="FT", help="Elevation of that station."),
        click.option(
            "--position-sigma-m",
            type=float,
            metavar="M",
            help="1 sigma of the positions; default: 10 m, or from the data.",
        ),
        click.option(
            "--altitude-sigma-ft", type=float, metavar="FT", help="1 sigma of the altitudes; default: by their kind."
        ),
        click.option("--columns", metavar="MEANING=COLUMN,...", help="Columns of a table, as time=Zulu,latitude=Lat."),
        click.option("--max-megabytes", type=float, metavar="MB", help="Refuse larger track files; default: 268."),
        click.option(
            "--wind",
            metavar="FROM/KT",
            help="Wind in degrees true and knots, as 240/18 or 24018KT; 240M/18 is magnetic. Default: estimated.",
        ),
        click.option("--forecast-wind", metavar="FROM/KT", help="Wind of the next flight, for its card."),
        click.option("--brief-wind", metavar="FROM/KT", help="Wind that was briefed: compared with what blew."),
        click.option(
            "--tolerances",
            default="US practical test",
            metavar="NAME|FILE",
            show_default=True,
            help=f"Your own file (TOML), or a set: {', '.join(TOLERANCE_SETS)}.",
        ),
        click.option(
            "--self-assessment",
            type=FILE,
            metavar="FILE",
            help="Sheet on which the pilot rated the flight before looking.",
        ),
        click.option("--clearance", type=FILE, metavar="FILE", help="What was asked of this flight (TOML); or by:"),
        click.option(
            "--reversal",
            "reversal_expected",
            metavar="required|not-permitted",
            help="What the clearance asked for; default: a reversal is fine, none is too.",
        ),
        click.option("--hold-laps", type=int, metavar="N", help="Circuits that were asked for."),
        click.option(
            "--leave-at", metavar="TIME", help="When to leave the hold: UTC as 15:42:00, or +32:10 of the track."
        ),
        click.option("--hold-altitude-ft", type=float, metavar="FT", help="Altitude to hold at."),
        click.option("--hold-leg-min", type=float, metavar="MIN", help="Outbound leg that was asked for."),
        click.option(
            "--assigned-altitude-ft", type=float, metavar="FT", help="Altitude until cleared for the approach."
        ),
        click.option("--cleared-at", metavar="TIME", help="When the approach was cleared, as --leave-at."),
        click.option(
            "--crossing-altitude-ft", metavar="FT", help="At the fix, once cleared: 5000, or 'at or above 5000'."
        ),
        click.option("--straight-in", is_flag=True, help="The clearance was for a straight-in landing."),
        click.option("--circling", is_flag=True, help="The clearance was to circle."),
        click.option("--anonymous", is_flag=True, help="Leave out names, dates and absolute position."),
        click.option(
            "--clock", metavar="TIME", help="Moment that the report says it was made, ISO 8601; default: none."
        ),
    ]
    for option in reversed(options):
        command = option(command)
    return command


def checked_options(options: dict[str, Any]) -> dict[str, Any]:
    """Return the options as `assess` takes them, the clearance's as one; a wrong one is refused before the first track.

    The other files that options name are checked with the first track.
    """
    from analyzer.run.call_options import options_from, parsed_columns

    if options["columns"] is not None:
        parsed_columns(options["columns"])
    kept = {key: value for key, value in options.items() if key not in _CLEARANCE_OPTIONS}
    options_from(**{key: value for key, value in kept.items() if key not in ("columns", "max_megabytes", "clearance")})
    return kept | {"clearance": _clearance(options)}


#: option: the clearance file's key that means the same
_CLEARANCE_OPTIONS = {
    "hold_laps": "laps",
    "leave_at": "leave_at",
    "hold_altitude_ft": "altitude_ft",
    "hold_leg_min": "leg_min",
    "assigned_altitude_ft": "assigned_altitude_ft",
    "cleared_at": "cleared_at",
    "crossing_altitude_ft": "crossing_altitude_ft",
    "straight_in": "straight_in",
    "circling": "circling",
}
_OF_A_HOLD = ("laps", "leave_at", "altitude_ft", "leg_min")


def _clearance(options: dict[str, Any]) -> Any:
    """Return what file and options ask of the flight, the options first; None where neither says anything."""
    given = {option: options[option] for option in _CLEARANCE_OPTIONS}
    said = {option: value for option, value in given.items() if value is not None and value is not False}
    if options["clearance"] is None and not said:
        return None
    from analyzer.reading import ClearanceAsked, clearance_asked, merged_clearance, read_clearance

    mapping: dict[str, Any] = {"hold": {}}
    names: dict[str, str] = {}
    for option, value in said.items():
        key = _CLEARANCE_OPTIONS[option]
        (mapping["hold"] if key in _OF_A_HOLD else mapping)[key] = value
        names[f"hold.{key}" if key in _OF_A_HOLD else key] = "--" + option.replace("_", "-")
    asked = ClearanceAsked({}) if options["clearance"] is None else read_clearance(options["clearance"])
    return merged_clearance(asked, clearance_asked(mapping, "clearance", names))
