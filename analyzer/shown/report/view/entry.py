"""The entry of a hold in words, with what its drawing needs."""

from analyzer.judged import AssessedAttempt, Assessment
from analyzer.shown.report.view import wording
from analyzer.shown.report.view.values import EntryView


def entry_view(assessment: Assessment, assessed: AssessedAttempt) -> EntryView | None:
    """Entry sectors with the arrival track, for a hold whose arrival is known."""
    attempt, procedure = assessed.attempt, assessment.procedure
    if not procedure.is_hold or attempt.arrival_track_true_deg is None or attempt.entry_expected is None:
        return None
    flown = attempt.entry or "not recognised"
    near = (
        " The arrival lies within 5° of a sector's edge, where either entry is right."
        if attempt.entry_near_boundary
        else ""
    )
    arrival = wording.course(procedure.magnetic_deg(attempt.arrival_track_true_deg))
    if attempt.entry == attempt.entry_expected:
        words = (
            f"Arriving on {arrival} the sector rule gives a {attempt.entry_expected} entry, and that was flown.{near}"
        )
    else:
        words = f"Arriving on {arrival} the sector rule gives a {attempt.entry_expected} entry; flown: {flown}.{near}"
    return EntryView(
        procedure.inbound_true_deg,
        procedure.turn_side == "right",
        attempt.arrival_track_true_deg,
        flown,
        attempt.entry_expected,
        words,
    )
