"""`synthesize`: fly a procedure and write a track."""

from pathlib import Path
from typing import Any

import click

from analyzer.run.commands.options import FILE


@click.command()
@click.option("--procedure", required=True, type=FILE, metavar="FILE", help="Procedure file (TOML).")
@click.option("--output", required=True, type=FILE, metavar="TRACK", help="Track file to write, .gpx or .csv.")
@click.option(
    "--method", metavar="M", help="45/180, 80/260, teardrop, racetrack, hold or straight in; default: the usual one."
)
@click.option("--tas", "tas_kt", type=float, default=110.0, show_default=True, metavar="KT", help="True airspeed.")
@click.option("--wind", default="0/0", metavar="FROM/KT", help="Wind in degrees true and knots; default: calm.")
@click.option(
    "--entry", metavar="E", help="Of a hold: direct, teardrop or parallel; default: what the sector rule gives."
)
@click.option("--laps", type=int, default=1, show_default=True, metavar="N", help="Circuits of a hold.")
@click.option("--attempts", type=int, default=1, show_default=True, metavar="N", help="Reversals one after the other.")
@click.option(
    "--arrival-track",
    "arrival_track_deg",
    type=float,
    metavar="DEG",
    help="True track on which the fix is first reached.",
)
@click.option("--outbound", "outbound_s", type=float, metavar="S", help="Time of the outbound leg in still air.")
@click.option(
    "--error",
    "errors",
    multiple=True,
    metavar="NAME[=SIZE]",
    help='A named error, as "late turn=15"; may stand several times.',
)
@click.option("--pilot", default="ideal", show_default=True, metavar="P", help="ideal or human.")
@click.option("--ending", default="level", show_default=True, metavar="E", help="level or land.")
@click.option(
    "--interval", "interval_s", type=float, default=1.0, show_default=True, metavar="S", help="Time between rows."
)
@click.option(
    "--position-noise", "position_noise_m", type=float, default=0.0, metavar="M", help="1 sigma of the positions."
)
@click.option(
    "--altitude-noise", "altitude_noise_ft", type=float, default=0.0, metavar="FT", help="1 sigma of the altitudes."
)
@click.option("--gaps", type=int, default=0, metavar="N", help="Stretches without rows.")
@click.option("--outliers", "outlier_share", type=float, default=0.0, metavar="SHARE", help="Share of wild positions.")
@click.option("--altitude-kind", metavar="KIND", help="indicated, pressure or geometric; default: by the file.")
@click.option(
    "--columns",
    "columns_text",
    default="",
    metavar="NAME,...",
    help="Sensor columns to write, as tas_mps,heading_true_deg.",
)
@click.option("--seed", type=int, default=0, show_default=True, metavar="N", help="The same seed gives the same file.")
def synthesize(procedure: Path, output: Path, columns_text: str, **options: Any) -> None:
    """Fly a procedure and write a track.

    It is flown perfectly, or by a human, or with named errors.
    """
    from analyzer.run.synthesized_track import synthesize_command

    columns = tuple(column.strip() for column in columns_text.split(",") if column.strip())
    click.echo(synthesize_command(procedure, output, columns=columns, **options))
