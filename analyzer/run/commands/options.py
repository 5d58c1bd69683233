"""Options that commands share."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

FILE = click.Path(path_type=Path)  # existence is checked by the readers, whose errors say what would be right


def assessment_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say how a track is to be assessed."""
    options = [
        click.option(
            "--altimeter-setting",
            type=float,
            metavar="X",
            help="Inches of mercury, or hPa above 500; corrects pressure altitudes.",
        ),
        click.option(
            "--temperature-c", type=float, metavar="C", help="Temperature at a station; corrects geometric altitudes."
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
            help="Wind in degrees true and knots, as 240/18; 240M/18 is magnetic. Default: estimated.",
        ),
        click.option("--forecast-wind", metavar="FROM/KT", help="Wind of the next flight, for its card."),
        click.option(
            "--tolerances",
            default="US practical test",
            metavar="NAME|FILE",
            show_default=True,
            help="Set of tolerances, or your own file.",
        ),
        click.option(
            "--self-assessment",
            type=FILE,
            metavar="FILE",
            help="Sheet on which the pilot rated the flight before looking.",
        ),
        click.option(
            "--reversal",
            "reversal_expected",
            metavar="required|not-permitted",
            help="What the clearance asked for; default: a reversal is fine, none is too.",
        ),
        click.option("--anonymous", is_flag=True, help="Leave out names, dates and absolute position."),
        click.option(
            "--clock", metavar="TIME", help="Moment that the report says it was made, ISO 8601; default: none."
        ),
    ]
    for option in reversed(options):
        command = option(command)
    return command


def check_options(options: dict[str, Any]) -> None:
    """Refuse a wrong option before the first track is read; the files it names are checked with the first track."""
    from analyzer.run.call_options import options_from, parsed_columns

    if options["columns"] is not None:
        parsed_columns(options["columns"])
    options_from(**{key: value for key, value in options.items() if key not in ("columns", "max_megabytes")})
