"""The chart of a procedure before any flight: plan, profile, protected areas and the nominal path."""

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analyzer.errors import OptionError
from analyzer.given import Procedure

if TYPE_CHECKING:
    from analyzer.shown.briefing.sheet import Briefed

SUFFIXES = (".html", ".svg", ".geojson")

__all__ = ["SUFFIXES", "chart_content", "draw_chart", "write_chart"]


def chart_content(procedure: Procedure, suffix: str, sheet: "Briefed | None" = None) -> str:
    """Return the chart as text: a page (".html"), a drawing (".svg") or its geometry (".geojson").

    The same procedure gives the same text, byte for byte.

    Raises
    ------
    OptionError
        For another suffix.
    """
    from analyzer.shown.chart.scene import scene_of

    if suffix not in SUFFIXES:
        raise OptionError(f"chart: {suffix or 'no suffix'}; the suffix says how to draw: {', '.join(SUFFIXES)}")
    scene = scene_of(procedure)
    if suffix == ".geojson":
        import json

        from analyzer.shown.chart.words import CAUTION
        from analyzer.shown.result.geojson import feature_collection, path_features, protection_features

        features = [*protection_features(scene.frame, scene.areas), *path_features(scene.frame, scene.nominal)]
        return json.dumps(feature_collection(features, caution=CAUTION), ensure_ascii=False, indent=1) + "\n"
    from analyzer.shown.chart.figure import drawing_svg

    if suffix == ".svg":
        return drawing_svg(scene)
    from analyzer.shown.chart.page import chart_page

    return chart_page(scene, sheet)


def draw_chart(procedure: Procedure, output_path: str | Path, sheet: "Briefed | None" = None) -> None:
    """Draw a procedure and write it; the suffix says how: .html, .svg or .geojson.

    `sheet` is what to fly on the page; default: in still air.

    Raises
    ------
    OptionError
        For another suffix.
    OutputError
        Where the file can't be written.
    """
    from analyzer.files import write_whole

    path = Path(output_path)
    try:
        content = chart_content(procedure, path.suffix.lower(), sheet)
    except OptionError as error:
        raise OptionError(f"{path}: {str(error).removeprefix('chart: ')}") from error
    write_whole(path, content)


def write_chart(procedure_path: str | Path, output: str | Path | None = None, **question: Any) -> str:
    """Read a procedure file, draw its chart and return a line for the terminal.

    Parameters
    ----------
    procedure_path : path
    output : path, optional
        Default: the procedure's name with .html in the present folder.
    question
        What to fly in a wind, as of `write_briefing`, its speed by default that of the chart; none: in still air.
    """
    from analyzer.reading import read_procedure

    path = Path(f"{Path(procedure_path).stem}.html") if output is None else Path(output)
    if path.suffix.lower() not in SUFFIXES:  # before anything is computed
        raise OptionError(f"{path}: {path.suffix or 'no suffix'}; the suffix says how to draw: {', '.join(SUFFIXES)}")
    procedure, sheet = read_procedure(procedure_path, datetime.now(UTC)), None
    if question:
        from analyzer.shown.briefing.sheet import answered
        from analyzer.shown.chart.scene import scene_of

        if path.suffix.lower() != ".html":
            raise OptionError(f"{path}: only a page (.html) says what to fly in a wind")
        sheet = answered(procedure, {"tas_mps": scene_of(procedure).tas_mps, **question})
    draw_chart(procedure, path, sheet)
    return f"{path}: chart of {Path(procedure_path).name}; training only, not for navigation"
