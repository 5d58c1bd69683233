"""All that a flight can be handed on as, by the suffix of the file."""

import json
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # a picture alone needs matplotlib
    from analyzer.judged import Lesson


def files_handed_on(lesson: "Lesson", kinds: Sequence[str]) -> Iterator[tuple[str, str | bytes]]:
    """Give the end of each file's name, suffix included, with its content.

    Parameters
    ----------
    lesson : Lesson
    kinds : sequence of str
        "svg" and "png" give a plan for each reversal, numbered from the second on; "geojson" and "kml" the flight.
    """
    from analyzer.shown.handed_on.flight import flight_collection

    if "geojson" in kinds:
        yield ".geojson", geojson_text(flight_collection(lesson))
    if "kml" in kinds:
        from analyzer.shown.handed_on.kml import flight_kml

        yield ".kml", flight_kml(flight_collection(lesson))
    for kind in ("svg", "png"):
        if kind in kinds:
            for number, (_, content) in enumerate(plans(lesson, kind), 1):
                yield (f".{kind}" if number == 1 else f"_reversal_{number}.{kind}"), content


def geojson_text(collection: dict[str, Any]) -> str:
    """Return a collection as text with a line for each feature."""
    head = json.dumps({**collection, "features": []}, ensure_ascii=False, allow_nan=False)
    features = ",\n".join(
        json.dumps(one, ensure_ascii=False, allow_nan=False, separators=(",", ":")) for one in collection["features"]
    )
    return f"{head[:-2]}\n{features}\n]}}\n"


def plans(lesson: "Lesson", kind: str) -> Iterator[tuple[int, str | bytes]]:
    """Give the plan of each reversal with its number, as "svg" or "png"; of a flight without one that of its track."""
    from analyzer.shown.report.view.lesson import lesson_view

    view = lesson_view(lesson)
    for one in view.attempts:
        title = f"{view.procedure} · {view.flight}" + (f" · {one.title}" if one.number else "")
        if kind == "svg":
            from analyzer.shown.handed_on.plan_svg import plan_svg

            yield one.number, plan_svg(one.plan, title)
        else:
            from analyzer.shown.handed_on.plan_png import plan_png

            yield one.number, plan_png(one.plan, title)
