"""`chart`: draw a procedure and its protected areas, and what to fly."""

from pathlib import Path

import click

from analyzer.run.commands.options import FILE


@click.command()
@click.option("--procedure", required=True, type=FILE, metavar="FILE", help="Procedure file (TOML).")
@click.option(
    "--output",
    type=FILE,
    metavar="FILE",
    help="File to write, .html, .svg or .geojson; default: the procedure's name.html.",
)
@click.option("--wind", metavar="FROM/KT", help="Wind for what to fly, as of brief; default: still air.")
@click.option(
    "--tas", "tas_kt", type=float, metavar="KT", help="True airspeed for it; default: usual for the category."
)
@click.option("--arrival", type=float, metavar="DEG", help="Magnetic track to the fix: gives the entry of a hold.")
@click.option("--method", metavar="M", help="45/180, 80/260, teardrop, racetrack or hold; default: the usual one.")
@click.option("--temperature-c", type=float, metavar="C", help="At the station: what cold makes of the altitudes.")
def chart(
    procedure: Path,
    output: Path | None,
    wind: str | None,
    tas_kt: float | None,
    arrival: float | None,
    method: str | None,
    temperature_c: float | None,
) -> None:
    """Draw a procedure with its protected areas and say what to fly, in a wind where one is given."""
    from analyzer.run.briefing import chart_procedure

    click.echo(chart_procedure(procedure, output, wind, tas_kt, (arrival, method, temperature_c)))
