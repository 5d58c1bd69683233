"""What the judging modules share: the case in hand, one module's part of the judgement, and the rule of doubt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from analyzer.flown import Attempt
from analyzer.given import Clearance, JudgedPart, PhaseName, Procedure, Wind
from analyzer.judged.findings.values import Finding, Verdict
from analyzer.judged.measurements.values import AttemptMeasures
from analyzer.planned import Area, Plan
from analyzer.standards import Tolerances

ReversalExpected = Literal["required", "not permitted"]
SIGMAS_OF_DOUBT = 2.0  # a margin smaller than this many standard deviations decides nothing


@dataclass(frozen=True)
class Case:
    """One attempt with all that it is judged by.

    Parameters
    ----------
    attempt, measures, plan, tolerances
        What was flown, what was measured of it, what was asked for, and how much is allowed.
    wind : Wind or None
        As estimated or given; None where it is not known.
    altitude_note : str
        How the altitudes were made comparable with the limits, from the altitude record.
    altitude_kind : str
        Kind of the altitude record ("indicated", "geometric" ...): decides what would settle a doubt.
    reversal_expected : "required", "not permitted" or None
        What the user said about the clearance.
    withheld : mapping of JudgedPart to str
        What the record leaves in too much doubt to be judged, and why; see `withheld_parts`.
    clearance : Clearance
        What was asked of this flight and no chart says.
    """

    attempt: Attempt
    measures: AttemptMeasures
    plan: Plan
    tolerances: Tolerances
    wind: Wind | None = None
    altitude_note: str = ""
    altitude_kind: str = ""
    reversal_expected: ReversalExpected | None = None
    withheld: Mapping[JudgedPart, str] = field(default_factory=dict)
    clearance: Clearance = field(default_factory=Clearance)

    @property
    def procedure(self) -> Procedure:
        """The procedure that was asked for."""
        return self.plan.procedure

    @property
    def protection(self) -> tuple[Area, ...]:
        """The drawn areas, whose references the findings name."""
        return self.plan.areas

    @property
    def task(self) -> str:
        """The tolerance set's section for this kind of reversal."""
        return "holding" if self.procedure.is_hold else "before_final"

    @property
    def is_us(self) -> bool:
        """Whether US criteria apply."""
        return self.procedure.criteria == "US"

    def phase_at(self, at_s: float | None) -> tuple[PhaseName | None, int | None]:
        """Return name and lap of the phase at a moment; None twice outside the attempt."""
        if at_s is not None:
            for phase in self.attempt.phases:
                if phase.start_s <= at_s < phase.end_s:
                    return phase.name, phase.lap
            if self.attempt.phases and at_s == self.attempt.phases[-1].end_s:
                return self.attempt.phases[-1].name, self.attempt.phases[-1].lap
        return None, None

    @property
    def before_final_fix(self) -> bool:
        """Whether a hold in lieu lies over a fix before the final one: there is room for another circuit after it."""
        final_fix = self.procedure.final_fix
        return self.procedure.reversal == "hold in lieu" and final_fix is not None and final_fix != self.procedure.fix

    @property
    def left_s(self) -> float | None:
        """When the flight left the hold over the fix, None where it did not or no hold was flown."""
        return self.attempt.last_inbound_passage_s if self.procedure.is_hold else None

    def left_on_time(self, lap: int) -> bool:
        """Whether a lap was the last one before leaving at the time that the clearance gave, within its tolerance."""
        asked_s, left_s = self.clearance.hold.leave_at_s, self.left_s
        if asked_s is None or left_s is None or lap != self.attempt.laps:
            return False
        return abs(left_s - asked_s) <= self.tolerances.value("timing.leave_s")

    @property
    def reached_inbound(self) -> bool:
        """Whether the track lasts long enough to tell if the inbound course was taken up."""
        if self.attempt.last_inbound_passage_s is not None:
            return True
        last = self.attempt.phases[-1] if self.attempt.phases else None
        if last is None or self.measures.intercept.established:
            return last is not None
        long_enough_s = 120.0  # two minutes on an intercept that never ended: more than any leg inbound needs
        return last.name == "intercept" and last.end_s - last.start_s > long_enough_s


@dataclass(frozen=True)
class Part:
    """What one subject adds to the judgement."""

    verdict: Verdict
    findings: tuple[Finding, ...] = ()
    not_assessed: tuple[str, ...] = ()


def verdict_of(margin: float | None, sigma: float | None) -> Verdict:
    """Return the verdict on a margin (positive inside) with its standard deviation, in the same unit.

    "too close to call" where the margin is smaller than twice the standard deviation, on either side; "not assessed"
    where there is no margin.
    """
    if margin is None:
        return "not assessed"
    if abs(margin) < SIGMAS_OF_DOUBT * (sigma or 0.0):
        return "too close to call"
    return "to standard" if margin >= 0.0 else "not to standard"


def worst_verdict(verdicts: Sequence[Verdict]) -> Verdict:
    """Return the verdict of several together: one failure fails, one doubt leaves doubt."""
    for word in ("not to standard", "too close to call", "to standard"):
        if word in verdicts:
            return word
    return "not assessed"
