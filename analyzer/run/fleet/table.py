"""The table of an archive: one row for each attempt, one for a track that has none, as CSV or Parquet."""

import csv
import io
import os
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import IO, Any

from analyzer.errors import OptionError, OutputError
from analyzer.files import whole_file
from analyzer.run.jobs import Job, Outcome

Row = dict[str, Any]

SEVERITIES = ("critical", "major", "minor", "note")
SCORES = ("overall", "containment", "altitude", "intercept", "timing")
SEGMENTS = ("arrival", "reversal", "inbound", "final")
#: the columns in order with the kind of their values; new ones go to the end
COLUMNS: dict[str, type] = {
    "file": str,
    "sha256": str,
    "result_file": str,  # name of the result file without its suffix, where reports were asked for
    "attempt": int,
    "flown_as": str,
    "entry": str,
    "laps": int,
    "result": str,
    **{f"score_{name}": float for name in SCORES},
    **{f"{severity}_findings": str for severity in SEVERITIES},  # their codes, in order, "; " between
    "track_notes": str,  # codes of what was noted about the track, why there is no attempt among them
    "error": str,
    "flown_utc": str,  # start of the recording
    "procedure": str,
    "wind_from_deg_true": float,
    "wind_kt": float,
    "containment_margin_nm": float,
    "max_distance_nm": float,
    **{f"{segment}_margin_ft": float for segment in SEGMENTS},  # inside is positive
    "intercept_angle_deg": float,
    "overshoot_nm": float,
}
#: a spreadsheet takes a cell that begins so for a formula, also with an invisible character before it
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
UNSEEN = ("Cc", "Cf", "Zs", "Zl", "Zp", "Mn")
ROWS_AT_A_TIME = 1000


def name_in_table(number: int, track: Path, *, anonymous: bool) -> str:
    """Return what a track is called in the table."""
    return f"track {number + 1}" if anonymous else str(track)


def rows_of(outcome: Outcome) -> list[Row]:
    """Return the rows of one track; each has all columns, None where there is no value."""
    job = outcome.job
    about: Row = dict.fromkeys(COLUMNS)
    anonymous = bool(job.options.get("anonymous"))
    about["file"] = name_in_table(job.number, job.track, anonymous=anonymous)
    about["sha256"] = job.sha256
    if outcome.result is None:
        error = outcome.error or ""
        return [about | {"error": error.replace(str(job.track), about["file"]) if anonymous else error}]
    about["result_file"] = job.stem if job.with_result and not anonymous else None
    about["track_notes"] = "; ".join(note["code"] for note in outcome.result["track"]["quality"])
    about["flown_utc"] = outcome.result["track"].get("start_utc")
    about["procedure"] = None if anonymous else _procedure_name(job)
    wind = outcome.result.get("wind") or {}
    about["wind_from_deg_true"], about["wind_kt"] = wind.get("from_deg_true"), wind.get("speed_kt")
    titles = [] if anonymous else outcome.result.get("procedures", [])
    return [about | _attempt(attempt) | _own_procedure(attempt, titles) for attempt in outcome.result["attempts"]] or [
        about
    ]


def _own_procedure(attempt: dict[str, Any], titles: list[str]) -> Row:
    """Return the title of an attempt's procedure where there are several."""
    return {"procedure": titles[attempt["procedure"]]} if titles and "procedure" in attempt else {}


def _attempt(attempt: dict[str, Any]) -> Row:
    codes: dict[str, list[str]] = {severity: [] for severity in SEVERITIES}
    for finding in attempt["findings"]:
        codes[finding["severity"]].append(finding["code"])
    return {
        "attempt": attempt["number"],
        "flown_as": attempt["flown_as"],
        "entry": attempt["entry"],
        "laps": attempt["laps"],
        "result": attempt["result"],
        **{f"score_{name}": attempt["scores"][name] for name in SCORES},
        **{f"{severity}_findings": "; ".join(found) for severity, found in codes.items()},
        "containment_margin_nm": attempt["containment"]["margin_nm"],
        "max_distance_nm": attempt["containment"]["max_distance_nm"],
        **{f"{each['segment']}_margin_ft": each["margin_ft"] for each in attempt["altitudes"]},
        "intercept_angle_deg": attempt["intercept"]["angle_deg"],
        "overshoot_nm": attempt["intercept"]["overshoot_nm"],
    }


def _procedure_name(job: Job) -> str | None:
    return job.procedure.name if isinstance(job.procedure, Path) else None


def cell(value: Any) -> Any:
    """Return a value as a CSV cell that no spreadsheet takes for a formula: such text gets an apostrophe before it."""
    if isinstance(value, str) and (value.startswith(FORMULA_STARTS) or _seen(value).startswith(FORMULA_STARTS)):
        return f"'{value}"
    return value


def _seen(value: str) -> str:
    """Return a text from its first character on that takes up room."""
    first = next((at for at, each in enumerate(value) if unicodedata.category(each) not in UNSEEN), len(value))
    return value[first:]


def check_place(path: Path) -> None:
    """Refuse a place for a table before anything is assessed for it.

    Raises
    ------
    OptionError
        For a suffix other than .csv or .parquet, or .parquet without the package for it.
    OutputError
        Where a file that is not such a table lies there, or the folder is missing.
    """
    suffix = path.suffix.lower()
    if suffix not in (".csv", ".parquet"):
        raise OptionError(f"--table: {path.name} ends in neither .csv nor .parquet; name it so")
    if suffix == ".parquet":
        try:
            import pyarrow.parquet  # noqa: F401
        except ImportError as error:
            raise OptionError(
                "--table: Parquet needs the package pyarrow; install it with: pip install pyarrow, or name a .csv file"
            ) from error
    if not path.parent.is_dir():
        raise OutputError(f"{path}: its folder is not there; make it or name another one")
    if os.path.lexists(path) and not _is_ours(path):
        raise OutputError(f"{path}: is there already and not a table of this program; name another file with --table")


def _is_ours(path: Path) -> bool:
    try:
        if path.suffix.lower() == ".parquet":
            import pyarrow.parquet

            names = pyarrow.parquet.read_schema(path).names
        else:
            with open(path, encoding="utf-8-sig", newline="") as stream:
                names = next(csv.reader([stream.readline(10_000)]), [])
    except (OSError, ValueError, csv.Error):  # pyarrow's errors are among them
        return False
    return list(names[:3]) == list(COLUMNS)[:3]


def write_table(path: Path, rows: Iterable[Row]) -> int:
    """Write the table whole by a rename and return how many rows it has; never more than a thousand are held.

    Raises
    ------
    OutputError
        Where it can't be written; what was there before stays.
    """
    write = _write_parquet if path.suffix.lower() == ".parquet" else _write_csv
    with whole_file(path, "free the place or name another one with --table") as stream:
        return write(stream, rows)


def _write_csv(stream: IO[bytes], rows: Iterable[Row]) -> int:
    text = io.TextIOWrapper(stream, encoding="utf-8", errors="backslashreplace", newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    count = 0
    for row in rows:
        writer.writerow([cell(row.get(name)) for name in COLUMNS])
        count += 1
    text.detach()
    return count


def _write_parquet(stream: IO[bytes], rows: Iterable[Row]) -> int:
    import pyarrow
    import pyarrow.parquet

    kinds = {str: pyarrow.string(), int: pyarrow.int32(), float: pyarrow.float64()}
    schema = pyarrow.schema([(name, kinds[kind]) for name, kind in COLUMNS.items()])
    count = 0
    with pyarrow.parquet.ParquetWriter(stream, schema, compression="snappy") as writer:
        for some in _portions(rows):
            count += len(some)
            columns = {name: [_storable(row.get(name)) for row in some] for name in COLUMNS}
            writer.write_table(pyarrow.table(columns, schema=schema))
    return count


def _portions(rows: Iterable[Row]) -> Iterator[list[Row]]:
    some: list[Row] = []
    for row in rows:
        some.append(row)
        if len(some) == ROWS_AT_A_TIME:
            yield some
            some = []
    if some:
        yield some


def _storable(value: Any) -> Any:
    """Return text without the halves of characters that names of files may hold and Parquet can't."""
    return value.encode("utf-8", "backslashreplace").decode() if isinstance(value, str) else value
