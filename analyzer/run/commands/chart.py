"""`chart`: draw a procedure and its protected areas."""

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
def chart(procedure: Path, output: Path | None) -> None:
    """Draw a procedure with its protected areas."""
    from analyzer.shown import write_chart

    click.echo(write_chart(procedure, output))
