"""A lesson as one page to hand over: the report as it is, with what the instructor said of it inside."""

from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from analyzer.errors import DeskError
from analyzer.run.desk.margin.said import AttemptSaid, FindingSaid, LessonSaid, read_result, what_was_said
from analyzer.run.desk.opened import Desk
from analyzer.run.desk.store.assessments import assessment_of
from analyzer.run.desk.store.lessons import lesson_of
from analyzer.run.desk.store.remarks import Remark
from analyzer.units import clock

_BEFORE_MAIN = '<main id="main"'
_BEFORE_BACKGROUND = '<section class="papers background"'
_KINDS = {
    "agree": "agreed",
    "overrule": "overruled",
    "comment": "comment",
    "own finding": "own finding",
    "task": "task",
    "remark": "remark",
    "withdrawn": "withdrawn",
}


@dataclass(frozen=True)
class SaidLine:
    """One thing that was said, as the page shows it."""

    what: str
    about: str
    text: str
    author: str
    when: str
    stands: bool


@dataclass(frozen=True)
class SaidView:
    """What the page shows of what was said."""

    summary: str
    results: tuple[str, ...]
    standing: tuple[SaidLine, ...]
    earlier: tuple[SaidLine, ...]
    signed: tuple[str, ...]


def lesson_page(desk: Desk, lesson: int) -> str:
    """Return the newest report of a lesson with all that was said of it.

    Raises
    ------
    DeskError
        Where it has no report.
    """
    with desk.store.reading() as view:
        about = lesson_of(view, lesson)
        assessment = None if about.assessment is None else assessment_of(view, about.assessment)
        if assessment is None or not assessment.report_sha256:
            raise DeskError(f"lesson {lesson}: there is no such report yet; it is made when a chart is chosen")
        said = what_was_said(view, assessment, read_result(desk.results, assessment))
    page = desk.reports.read(assessment.report_sha256).decode("utf-8")
    if not said.history and not said.signed:
        return page
    words = said_view(said)
    head, mark, rest = page.partition(_BEFORE_MAIN)
    body, background, tail = rest.partition(_BEFORE_BACKGROUND)
    opening, close, body = body.partition(">")
    if not (mark and background and close):
        raise DeskError(f"lesson {lesson}: its report was made by another program; assess it again")
    top, section = _template("said_top.html", words), _template("said.html", words)
    return f"{head}{mark}{opening}{close}\n{top}{body}{section}{background}{tail}"


def said_view(said: LessonSaid) -> SaidView:
    """Return what the page shows of what was said."""
    stands = {remark.id for remark in said.general} | {remark.id for remark in said.gone}
    places: dict[int, FindingSaid] = {}
    for attempt in said.attempts:
        for one in attempt.findings:
            stands |= {remark.id for remark in one.remarks}
            places |= {remark.id: one for remark in one.remarks}
    lines = [_line(remark, places.get(remark.id), said, stands) for remark in said.history]
    signed = tuple(
        f"Signed by {one.signature.name}, {_when(one.signature.made_at)}"
        f"{'' if one.covers_all else '; something was said or assessed again after this signature'}"
        for one in said.signed
    )
    return SaidView(
        _summary(said),
        tuple(words for attempt in said.attempts if (words := _result_words(attempt))),
        tuple(line for line in lines if line.stands),
        tuple(line for line in lines if not line.stands),
        signed,
    )


def _summary(said: LessonSaid) -> str:
    overruled = sum(attempt.overruled for attempt in said.attempts)
    count = len(said.general) + sum(len(one.remarks) for attempt in said.attempts for one in attempt.findings)
    parts = [f"{count} remark{'' if count == 1 else 's'}"]
    if overruled:
        parts.append(f"{overruled} finding{'' if overruled == 1 else 's'} overruled, scores without them")
    if said.signed:
        parts.append(f"signed by {said.signed[-1].signature.name}")
    return "; ".join(parts)


def _result_words(attempt: AttemptSaid) -> str:
    """Return how an attempt counts without what was overruled, "" where nothing was."""
    if not attempt.overruled:
        return ""
    return (
        f"Reversal {attempt.number} without what was overruled: {attempt.after.result}, "
        f"{_points(attempt.after.scores['overall'])}; the program alone says {attempt.before.result}, "
        f"{_points(attempt.before.scores['overall'])}."
    )


def _points(score: float | None) -> str:
    return "no score" if score is None else f"{score:.0f} of 100"


def _line(remark: Remark, place: FindingSaid | None, said: LessonSaid, stands: set[int]) -> SaidLine:
    about = ""
    if place is not None:
        about = str(place.finding["text"])
    elif remark.finding is not None:
        about = f"{remark.finding.code.replace('-', ' ')}, reversal {remark.finding.attempt}"
        if remark in said.gone:
            about += " (not found by the newest assessment)"
    elif remark.at_s is not None:
        about = f"at {clock(remark.at_s)}"
    return SaidLine(_KINDS[remark.kind], about, remark.text, remark.author, _when(remark.made_at), remark.id in stands)


def _when(moment: str) -> str:
    return moment.replace("T", " ").replace("Z", " UTC")


def _template(name: str, view: SaidView) -> str:
    return _environment().get_template(name).render(view=view)


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("analyzer.run.desk.exchange", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
