"""The command for coded procedures: a list, a procedure file, and what a track may have flown."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from analyzer.errors import OptionError, OutputError

if TYPE_CHECKING:
    from analyzer.reading import CodedReversal

_FILE = click.Path(path_type=Path)


@click.command("procedures")
@click.argument("coded", type=_FILE, metavar="FILE")
@click.option("--airport", metavar="IDENT", help="Airport whose approaches to list.")
@click.option("--approach", metavar="NAME", help="Approach to write as a procedure file, as coded or as spoken.")
@click.option("--transition", metavar="IDENT", help="Its transition, where several lead to different reversals.")
@click.option("--track", type=_FILE, metavar="TRACK", help="Propose the reversals that this track may have flown.")
@click.option("--output", type=_FILE, metavar="FILE", help="Write the procedure file there; default: standard output.")
def procedures(
    coded: Path,
    airport: str | None,
    approach: str | None,
    transition: str | None,
    track: Path | None,
    output: Path | None,
) -> None:
    """List the course reversals of a file of coded procedures (ARINC 424) or write one as a procedure file."""
    if (airport is None) == (track is None):
        raise OptionError("procedures: expected either --airport IDENT or --track TRACK")
    if approach is None and (transition is not None or output is not None):
        raise OptionError("procedures: --transition and --output need --approach NAME")
    if approach is not None and airport is None:
        raise OptionError("procedures: --approach needs --airport IDENT")
    if track is not None:
        _propose(coded, track)
    elif airport is not None and approach is None:
        _list(coded, airport)
    elif airport is not None and approach is not None:
        _write(coded, airport, approach, transition, output)


def _list(coded: Path, airport: str) -> None:
    from analyzer.reading import procedures as coded_procedures

    found = coded_procedures(coded, airport)
    if not found:
        click.echo(f"{airport.upper()}: no approach with a course reversal or a hold in {coded}")
        return
    rows = [_row(entry) for entry in sorted(found, key=lambda entry: entry.path not in ("PI", "HF"))]
    _print_table([("approach", "name", "transition", "reversal", "fix", "inbound", "turn", "limit"), *rows])


def _row(entry: "CodedReversal") -> tuple[str, ...]:
    keys = entry.mapping
    start = (entry.approach, entry.name, entry.transition or "-")
    if keys is None:
        return (*start, entry.path, entry.fix, f"not usable: {entry.refusal}")
    limits = keys.get("limits", {})
    units = (("remain_within_nm", "within {:g} NM"), ("outbound_min", "{:g} min"), ("outbound_nm", "{:g} NM"))
    limit = next((form.format(limits[key]) for key, form in units if key in limits), "-")
    course = keys["course"]
    return (*start, keys["reversal"], entry.fix, f"{course['inbound_deg']:05.1f}", course["turn_side"], limit)


def _write(coded: Path, airport: str, approach: str, transition: str | None, output: Path | None) -> None:
    from analyzer.reading import procedure_file_from_coded

    text = procedure_file_from_coded(coded, airport, approach, transition)
    if output is None:
        click.echo(text, nl=False)
        return
    try:
        output.write_text(text, encoding="utf-8")
    except OSError as error:
        raise OutputError(f"{output}: can't be written: {(error.strerror or 'unknown reason').lower()}") from error
    click.echo(f"{output}: written; check it against the chart and add the minimum descent altitude")


def _propose(coded: Path, track: Path) -> None:
    from analyzer.reading import proposals, read_track

    found = proposals(coded, read_track(track))
    if not found:
        click.echo(f"{track}: passed no fix of a coded reversal twice, and once on its inbound course")
        return
    rows = [(entry.airport, entry.approach, entry.transition or "-", entry.path, entry.evidence) for entry in found]
    _print_table([("airport", "approach", "transition", "leg", "evidence"), *rows])
    best = found[0]
    via = f" --transition {best.transition!r}" if best.transition else ""
    click.echo(f"To use the first: --airport {best.airport} --approach {best.approach}{via}")


def _print_table(rows: list[tuple[str, ...]]) -> None:
    widths = [max(len(row[column]) for row in rows if column < len(row)) for column in range(len(rows[0]))]
    for row in rows:
        # the last cell of a row may be a sentence that is longer than its column
        cells = [cell.ljust(width) for cell, width in zip(row[:-1], widths, strict=False)]
        click.echo("  ".join([*cells, row[-1]]).rstrip())
