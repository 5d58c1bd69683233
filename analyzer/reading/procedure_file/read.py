"""Procedure files: TOML to a `Procedure` with every default filled in and every course true.

All problems of a file are reported at once, one line each: file, key, value, what is wrong, what would be right.
"""

import contextlib
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from analyzer.errors import ProcedureFileError
from analyzer.files import parsed_toml, read_small_file
from analyzer.given import Procedure
from analyzer.reading.procedure_file.by_category import for_category
from analyzer.reading.procedure_file.printed_forms import as_toml, with_positions_read
from analyzer.reading.procedure_file.problems import find_problems
from analyzer.reading.procedure_file.values import build_procedure
from analyzer.units import visible

#: more lines than this about one file help nobody
_MOST_PROBLEMS = 50


def read_procedure(path: str | Path, track_start: datetime | None = None) -> Procedure:
    """Return the procedure of a TOML file.

    Parameters
    ----------
    path : str or Path
    track_start : datetime, optional
        First moment of the flight, for a variation of "WMM".

    Returns
    -------
    Procedure
        `defaults` holds the dotted keys that the file left out and that have a default.

    Raises
    ------
    ProcedureFileError
        With one line for each problem; all problems of the file are in it.
    """
    place = Path(path)
    source = visible(str(place))
    try:
        data = read_small_file(place)
    except OSError as error:
        reason = (error.strerror or "can't be read").lower()
        raise ProcedureFileError(f"{source}: {reason}. Expected the path of a procedure file (TOML)") from error
    except ValueError as error:
        raise ProcedureFileError(f"{source}: {error}. Expected the path of a procedure file (TOML)") from error
    return procedure_from_mapping(parsed_procedure(data, source), source, track_start)


def procedure_from_mapping(mapping: Mapping[str, Any], source: str, track_start: datetime | None = None) -> Procedure:
    """Return the procedure of a mapping shaped like the TOML file.

    Parameters
    ----------
    mapping : mapping
        Tables and keys as in a procedure file; None is taken as left out.
    source : str
        What error messages call it: the file's path, or words such as "procedure".
    track_start : datetime, optional
        First moment of the flight, for a variation of "WMM".

    Raises
    ------
    ProcedureFileError
        With one line for each problem.
    """
    try:
        mapping = with_positions_read(_without_none(mapping))
        problems = find_problems(mapping)
    except RecursionError as error:
        raise ProcedureFileError(f"{source}: tables nested too deep. Expected tables of single values") from error
    if problems:
        if len(problems) > _MOST_PROBLEMS:
            problems[_MOST_PROBLEMS:] = [f"and {len(problems) - _MOST_PROBLEMS:,} more problems like these"]
        raise ProcedureFileError("\n".join(f"{source}: {problem}" for problem in problems))
    try:
        return build_procedure(for_category(mapping)[0], source, track_start)
    except ValueError as error:
        raise ProcedureFileError(f"{source}: {error}") from error


def _without_none(mapping: Mapping[str, Any]) -> dict[str, Any]:
    kept = {key: value for key, value in mapping.items() if value is not None}
    return {key: _without_none(value) if isinstance(value, Mapping) else value for key, value in kept.items()}


def parsed_procedure(data: bytes, source: str) -> dict[str, Any]:
    """Return the tables of a procedure file's bytes, numbers as printed mended and nothing else checked.

    Raises
    ------
    ProcedureFileError
        Where it is not TOML, in one line.
    """
    try:
        # editors on some systems put a byte order mark first, which TOML does not allow
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise ProcedureFileError(f"{source}: line {line}: not UTF-8 text. Save the file as UTF-8") from error
    with contextlib.suppress(ValueError):  # perhaps for a number as it is printed
        return parsed_toml(text)
    try:
        mended = as_toml(text)
    except ValueError as error:
        raise ProcedureFileError(f"{source}: {error}") from error
    try:
        return parsed_toml(mended)
    except ValueError as error:
        raise ProcedureFileError(f"{source}: not valid TOML: {error}. Expected lines like key = value") from error
