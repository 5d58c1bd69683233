"""Which part of a flight each word of its clearance is for: one recording may hold several reversals."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analyzer.flown import Attempt
from analyzer.given import Clearance, HoldClearance, Options, Procedure, ReversalExpected


@dataclass(frozen=True)
class PartAsked:
    """What was asked of one attempt.

    Parameters
    ----------
    clearance : Clearance
        Without what concerns other attempts.
    reversal_expected : "required", "not permitted" or None
    keep_from_s, keep_until_s : float or None
        The assigned altitude is looked at from here, and kept until there; None: from the start, and not at all.
    """

    clearance: Clearance
    reversal_expected: ReversalExpected | None = None
    keep_from_s: float | None = None
    keep_until_s: float | None = None


def share_clearance(
    flown: Sequence[tuple[Procedure, Attempt]],
    options: Options,
    straight_s: Sequence[float] = (),
    *,
    alone: bool = True,
) -> dict[int, PartAsked]:
    """Return what was asked of each attempt, by its number.

    Parameters
    ----------
    flown : sequence of (Procedure, Attempt)
        In the order of time.
    options : Options
    straight_s : sequence of float
        When finals that no reversal led to passed the fix: one of them may be the approach that was cleared.
    alone : bool
        Whether all of them are of one procedure.

    Notes
    -----
    The time to leave is for the hold that was left nearest to it; circuits are for all attempts of that procedure.
    The approach that was cleared is the first attempt with a passage of its fix after the clearance, without a moment
    of clearance the first of all, and no hold where an approach follows it: it has the crossing altitude and, of
    several procedures, the word about the reversal. The assigned altitude is kept until the clearance, and on to the
    fix where the flight was not yet past it.
    """
    clearance = options.clearance
    approach = _approach(flown, clearance.cleared_at_s, straight_s)
    hold = _hold(flown, clearance.hold)
    keep_until_s = _keep_until_s(approach, clearance.cleared_at_s)
    asked: dict[int, PartAsked] = {}
    before_s: float | None = None
    for procedure, attempt in flown:
        mine = approach is not None and attempt.number == approach.number
        of_hold = clearance.hold
        if hold is None or attempt.number != hold[1].number:
            of_hold = replace(of_hold, leave_at_s=None)
        if hold is not None and procedure != hold[0]:
            of_hold = HoldClearance()
        named = alone or (procedure.reversal != "holding" and (mine or clearance.cleared_at_s is None))
        kept = keep_until_s is not None and attempt.start_s < keep_until_s
        asked[attempt.number] = PartAsked(
            replace(
                clearance,
                hold=of_hold,
                crossing=clearance.crossing if mine else None,
                assigned_altitude_m=clearance.assigned_altitude_m if kept else None,
            ),
            options.reversal_expected if named else None,
            before_s,
            keep_until_s if kept else None,
        )
        before_s = attempt.end_s
    return asked


def _approach(
    flown: Sequence[tuple[Procedure, Attempt]], cleared_s: float | None, straight_s: Sequence[float]
) -> Attempt | None:
    """Return the first attempt that passed its fix after the clearance; None where a straight-in did before it."""
    # an approach was cleared, where one follows; a hold is what was flown until then
    for _, attempt in sorted(flown, key=lambda one: one[0].reversal == "holding"):
        passed = [one.at_s for one in attempt.passages if cleared_s is None or one.at_s >= cleared_s]
        if passed:
            earlier = any((cleared_s is None or at_s >= cleared_s) and at_s < passed[0] for at_s in straight_s)
            return None if earlier else attempt
    return None


def _keep_until_s(approach: Attempt | None, cleared_s: float | None) -> float | None:
    if approach is None:
        return cleared_s
    first_s = approach.first_passage_s
    return first_s if cleared_s is None else max(first_s, cleared_s)


def _hold(flown: Sequence[tuple[Procedure, Attempt]], asked: HoldClearance) -> tuple[Procedure, Attempt] | None:
    """Return the hold that a clearance is for: left nearest to its time, else the first that is no approach."""
    holds = [(procedure, attempt) for procedure, attempt in flown if procedure.is_hold]
    if not holds or asked == HoldClearance():
        return None
    leave_s = asked.leave_at_s
    if leave_s is None:
        return min(holds, key=lambda one: (one[0].reversal != "holding", one[1].number))
    return min(holds, key=lambda one: abs((one[1].last_inbound_passage_s or one[1].end_s) - leave_s))
