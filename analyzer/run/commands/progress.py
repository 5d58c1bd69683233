"""`progress`: one pilot over weeks, or a class, from result files."""

from os.path import relpath
from pathlib import Path
from typing import Any
from urllib.parse import quote

import click

from analyzer.errors import OptionError
from analyzer.run.commands.options import FILE
from analyzer.run.commands.terminal import finish, say_error


@click.command()
@click.argument("results", nargs=-1, required=True, type=FILE, metavar="RESULT...")
@click.option("--output", default="progress.html", type=FILE, show_default=True, metavar="FILE", help="Page to write.")
@click.option(
    "--class", "by_pilot", is_flag=True, help="A line for each pilot: the folder of a result names the pilot."
)
def progress(results: tuple[Path, ...], output: Path, by_pilot: bool) -> None:
    """Show what improved over several flights.

    RESULT is a .json file that assess wrote.
    """
    from analyzer.files import write_whole
    from analyzer.run.report_names import read_result
    from analyzer.shown import ProgressFlight, class_html, progress_html

    if output.suffix.lower() not in (".html", ".htm"):
        raise OptionError(f"{output}: the page is HTML; name a file that ends in .html")
    flights = []
    for path in results:
        result = read_result(path)
        if result is None or not _is_whole(result):
            say_error(f"{path}: no result file of this program; name the .json files that assess wrote")
            continue
        page = path.with_suffix(".html")
        flights.append(
            ProgressFlight(
                pilot=path.resolve().parent.name if by_pilot else "",
                name=path.stem,
                when=result["track"]["start_utc"] or "",
                result=result,
                href=_way_to(page, output) if page.is_file() else None,
            )
        )
    if flights:
        write_whole(output, class_html(flights) if by_pilot else progress_html(flights))
        click.echo(f"{output}: {len(flights)} flights")
    finish(len(flights), len(results))


def _way_to(page: Path, output: Path) -> str | None:
    """Return the address of a report as seen from the page that is written; None where it lies on another drive."""
    try:
        way = relpath(page.resolve(), output.resolve().parent)
    except ValueError:
        return None
    return quote(Path(way).as_posix())


def _is_whole(result: dict[str, Any]) -> bool:
    """Whether a page can be made of a result; one that was damaged or made up must not cost the others theirs."""
    from analyzer.shown import ProgressFlight, progress_html

    try:
        when = result["track"]["start_utc"] or ""
        progress_html([ProgressFlight("", "", when, result)])
    except Exception:  # whatever is missing or of another kind
        return False
    return isinstance(when, str)
