"""How the debrief was made: methods in words, the sources with how well they are known, the cautions."""

from pathlib import PurePath

from analyzer.judged import Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import Cell, TableView

CAUTIONS = (
    "This is a training debrief. It is not for navigation and not for flight planning.",
    "The chart in force, the rules of the place and a licensed instructor decide; where this page differs from them, "
    "they are right.",
    "Protected areas are drawn from published figures, some of them known only second hand or from memory, as the "
    "table of areas says. Being inside a drawn area says nothing about terrain or obstacles.",
    "The scores are this project's own scale. A low score is a reason to look, not a grade of a licence.",
)

STATUS_WORDS = {
    "read": "read in the document",
    "second hand": "known from a text that quotes it",
    "from memory": "from memory, to be checked",
    "calculated": "calculated",
    "common practice": "common practice",
}


def methods(assessment: Assessment) -> tuple[str, ...]:
    """Return what was done with the track, in the order in which it was done."""
    lines = [
        "Positions are laid on a plane about the fix (azimuthal equidistant, WGS 84): distances and bearings from the "
        "fix are exact.",
        "Positions are smoothed with local polynomials; ground track, speed and turn rate come from the same fit.",
        "Turns begin with roll-in and end with wings level; phases follow from the turns and the passages of the fix.",
        "Established means: needle at half scale or less and ground track within 10° of the inbound course, for 10 s "
        "or to the fix.",
        "Inside the cone over a station the needle is not used.",
        "Containment looks at the straight line between two positions, not at the positions alone.",
        "A margin smaller than twice the 1 sigma doubt is called too close to call.",
        f"Tolerances used: {PurePath(assessment.options.tolerances).name}.",
    ]
    if assessment.wind is not None:
        lines.append(f"Wind: {assessment.wind.method}. Where it is known, turns are measured on the air heading.")
    return tuple(wording.sentence(line) for line in lines)


def source_table(assessment: Assessment) -> TableView:
    """Documents that the findings and areas of this page rest on."""
    rows: dict[str, Cell] = {}
    for area in assessment.protection:
        rows.setdefault(area.reference, Cell(STATUS_WORDS.get(area.status, area.status)))
    for assessed in assessment.attempts:
        for finding in assessed.judgement.findings:
            if finding.reference:
                rows.setdefault(finding.reference, Cell(f"finding {finding.code}"))
    return TableView(
        "sources",
        "Sources",
        ("source", "used for, or how well known"),
        tuple((Cell(name), cell) for name, cell in rows.items()),
        "No published figure was used.",
    )
