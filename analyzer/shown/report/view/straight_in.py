"""A final that no reversal led to, as the page shows it."""

from dataclasses import replace

from analyzer.judged import AssessedStraightIn, Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.attempt import attempt_view
from analyzer.shown.report.view.values import AttemptView

#: numbers of the page's parts: those of reversals are the result file's, these come after all of them
FIRST_NUMBER = 1000
TABLES = ("phases", "cleared", "final", "arc", "altitudes")


def straight_in_view(assessment: Assessment, one: AssessedStraightIn, number: int) -> AttemptView:
    """Return a straight-in as a part of the page, with what is known of it: no reversal, no scores.

    Parameters
    ----------
    assessment : Assessment
        Of its procedure.
    one : AssessedStraightIn
    number : int
        Counted from 1 over the straight-ins of the page.
    """
    assessed = replace(one.as_assessed, attempt=replace(one.attempt, number=FIRST_NUMBER + number))
    alone = replace(assessment, procedure=one.procedure, attempts=(assessed,), nominal=(), room=None)
    view = attempt_view(alone, assessed)
    worst = next((each for each in view.findings if each.number), None)
    said = "" if worst is None else f" {wording.sentence(worst.short)} {worst.advice}"
    return view._replace(
        title="Joined past the fix" if one.straight.inside_fix else "Straight in",
        headline=f"{wording.sentence(one.why)}{said}",
        scores=(),
        plan=view.plan._replace(words=view.plan.words.replace("Flown as other", "Flown without a reversal")),
        seat=(),
        tables=tuple(table for table in view.tables if table.key in TABLES),
    )
