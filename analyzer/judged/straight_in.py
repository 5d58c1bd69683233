"""A final that no reversal led to: straight in, by an arc or vectored; judged from where it joined the course."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analyzer.flown import Attempt, FixPassage, Flight, Phase, StraightIn
from analyzer.given import HoldClearance, Options, Procedure, ReversalExpected
from analyzer.judged.assessment import AssessedAttempt
from analyzer.judged.cleared_parts import PartAsked
from analyzer.judged.findings import Case, Judgement, missing_reversal
from analyzer.judged.findings.judging import judge_finals
from analyzer.judged.lesson_parts import FlownPart
from analyzer.judged.measurements.measure import measure_straight_in
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.judged.scoring import Result, Scores
from analyzer.judged.withheld import measures_without, withheld_parts
from analyzer.planned import Plan
from analyzer.standards import Tolerances


@dataclass(frozen=True)
class AssessedStraightIn:
    """One final without a reversal.

    Parameters
    ----------
    straight : StraightIn
    attempt : Attempt
        Its phases: "arrival", "inbound" and "final" only.
    procedure : Procedure
        With the altitudes of the inbound course and the final alone.
    measures : AttemptMeasures
        Those of altitudes, final, descent, arc and clearance; the others say nothing.
    judgement : Judgement
    result : "to standard", "not to standard" or "not assessed"
    why : str
        Why no reversal was flown, as far as chart and clearance tell.
    """

    straight: StraightIn
    attempt: Attempt
    procedure: Procedure
    measures: AttemptMeasures
    judgement: Judgement
    result: Result
    why: str

    @property
    def as_assessed(self) -> AssessedAttempt:
        """The same in the shape of an assessed attempt, for views that ask for one; nothing of it is scored."""
        scores = Scores(None, None, None, None, None, (), self.result, self.why)
        return AssessedAttempt(self.attempt, self.measures, self.judgement, scores)


def as_attempt(straight: StraightIn, start_s: float, end_s: float) -> Attempt:
    """Return the phases of a straight-in in the shape of an attempt, for measures that ask for one."""
    joined_s = max(start_s, min(straight.joined_s, straight.passed_s))
    spans = (
        Phase("arrival", 1, start_s, joined_s),
        Phase("inbound", 1, joined_s, straight.passed_s),
        Phase("final", 1, straight.passed_s, max(end_s, straight.passed_s)),
    )
    return Attempt(
        number=0,
        start_s=start_s,
        end_s=max(end_s, straight.passed_s),
        passages=(FixPassage(straight.passed_s, 0.0, "inbound"),),
        flown_as="other",
        entry=None,
        entry_expected=None,
        entry_near_boundary=False,
        arrival_track_true_deg=straight.arrival_track_true_deg,
        laps=1,
        phases=tuple(phase for phase in spans if phase.end_s > phase.start_s),
        turns=(),
        established_s=(joined_s,),
        complete=True,
        wrong_side=False,
        evidence=(),
    )


def assess_straight_in(
    straight: StraightIn,
    span: tuple[float, float],
    flight: Flight,
    plan: Plan,
    tolerances: Tolerances,
    asked: tuple[PartAsked, Options],
) -> AssessedStraightIn:
    """Return a straight-in measured and judged; `span` is when it was flown, `asked` what was asked of it."""
    of_clearance, options = asked
    segments = ("inbound", "final") if not straight.inside_fix else ("final",)
    procedure = replace(
        plan.procedure, altitudes=tuple(limit for limit in plan.procedure.altitudes if limit.segment in segments)
    )
    attempt = as_attempt(straight, *span)
    mine = Plan(procedure, plan.frame, plan.areas)
    withheld = withheld_parts((*flight.track.quality, *procedure.doubts, *flight.notes), attempt.number)
    measures = measure_straight_in(attempt, flight, mine, options, of_clearance)
    if "altitudes" in withheld:
        measures = measures_without(measures, {"altitudes": withheld["altitudes"]})
    case = Case(
        attempt,
        measures,
        mine,
        tolerances,
        flight.wind,
        "" if flight.altitude is None else flight.altitude.note,
        "" if flight.altitude is None else flight.altitude.kind,
        of_clearance.reversal_expected,
        withheld,
        of_clearance.clearance,
    )
    judgement = judge_finals(case)
    missing = missing_reversal(plan.procedure, of_clearance.reversal_expected, straight.passed_s)
    if missing is not None:
        judgement = replace(judgement, findings=(missing, *judgement.findings))
    why = _why(straight, plan.procedure, of_clearance.reversal_expected)
    return AssessedStraightIn(straight, attempt, procedure, measures, judgement, _result(judgement), why)


def _result(judgement: Judgement) -> Result:
    if any(finding.severity in ("critical", "major") for finding in judgement.findings):
        return "not to standard"
    judged = [verdict for verdict in judgement.altitudes if verdict != "not assessed"]
    tracked = judgement.intercept != "not assessed"
    return "to standard" if judged or tracked else "not assessed"


def _why(straight: StraightIn, procedure: Procedure, expected: ReversalExpected | None) -> str:
    """Return why no reversal was flown, by AIM 5-4-9 a and 14 CFR 91.175 (j); where neither tells, both are named."""
    arrival = straight.arrival_track_true_deg
    if expected == "required":
        return "The clearance required the reversal."
    if expected == "not permitted":
        return "The clearance permitted no reversal: right."
    if not straight.inside_fix and arrival is not None and procedure.is_no_reversal_course(arrival):
        return 'The chart permits no reversal from there ("NoPT"): right.'
    if straight.inside_fix:
        return "The final course was joined past the fix, as on radar vectors, which go without a reversal."
    return "Whether the reversal was required is not known: it is unless vectored, cleared straight in or charted NoPT."


def asked_of_straight_in(
    one: FlownPart, shared: Sequence[Sequence[Attempt]], finals: Sequence[FlownPart], options: Options
) -> PartAsked:
    """Return what the clearance asked of a straight-in: the approach cleared is the first part after it."""
    clearance, passed_s = options.clearance, one.straight.passed_s
    cleared_s = clearance.cleared_at_s
    earlier = [attempt.passages[-1].at_s for attempts in shared for attempt in attempts]
    earlier += [each.straight.passed_s for each in finals if each is not one]
    first = not any(at_s < passed_s and (cleared_s is None or at_s >= cleared_s) for at_s in earlier)
    mine = first and (cleared_s is None or passed_s >= cleared_s)
    kept = clearance.assigned_altitude_m if mine else None
    return PartAsked(
        replace(
            clearance, hold=HoldClearance(), crossing=clearance.crossing if mine else None, assigned_altitude_m=kept
        ),
        options.reversal_expected if mine or cleared_s is None else None,
        one.start_s,
        None if kept is None else (passed_s if cleared_s is None else max(cleared_s, one.straight.joined_s)),
    )
