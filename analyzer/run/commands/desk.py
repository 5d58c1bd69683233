"""`desk`: the debrief as a page on this machine, for people who don't type commands."""

from pathlib import Path

import click

from analyzer.run.commands.options import FILE


@click.command()
@click.option(
    "--folder", type=FILE, metavar="DIR", help="Where recordings and lessons are kept. Default: your data folder."
)
@click.option(
    "--port", type=click.IntRange(1, 65535), metavar="N", help="Port on this machine. Default: 45180, or any."
)
@click.option("--no-browser", is_flag=True, help="Only say the address; don't open it.")
def desk(folder: Path | None, port: int | None, no_browser: bool) -> None:
    """Debrief in the browser, on this machine only.

    Drop a recording, choose or copy the chart, look at the debrief together, overrule, sign, keep.
    """
    from analyzer.run.desk.serve import serve

    if folder is None:
        from platformdirs import user_data_path

        folder = user_data_path("reversal-debrief", appauthor=False)
    serve(folder, port, browser=not no_browser, say=click.echo)
