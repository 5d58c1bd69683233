"""`brief`: the sheet before the flight."""

from pathlib import Path

import click

from analyzer.run.commands.options import FILE


@click.command()
@click.option("--procedure", required=True, type=FILE, metavar="FILE", help="Procedure file (TOML).")
@click.option(
    "--wind",
    default="0/0",
    metavar="FROM/KT",
    help="Wind in degrees true and knots, as 240/18; 240M/18 is magnetic. Default: still air.",
)
@click.option("--tas", "tas_kt", type=float, default=110.0, show_default=True, metavar="KT", help="True airspeed.")
@click.option("--arrival", type=float, metavar="DEG", help="Magnetic track to the fix: gives the entry of a hold.")
@click.option("--method", metavar="M", help="45/180, 80/260, teardrop, racetrack or hold; default: the usual one.")
@click.option("--temperature-c", type=float, metavar="C", help="At the station: what cold makes of the altitudes.")
@click.option("--output", type=FILE, metavar="FILE", help="File to write; default: the procedure's name-briefing.html.")
def brief(
    procedure: Path,
    wind: str,
    tas_kt: float,
    arrival: float | None,
    method: str | None,
    temperature_c: float | None,
    output: Path | None,
) -> None:
    """Write the sheet for the briefing: what to fly in a wind, drawn and step by step."""
    from analyzer.run.briefing import brief_procedure

    click.echo(brief_procedure(procedure, output, wind, tas_kt, (arrival, method, temperature_c)))
