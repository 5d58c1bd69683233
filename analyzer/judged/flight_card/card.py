"""The card: conditions, what to do line by line, and the solved plan that it says in words."""

from dataclasses import dataclass

from analyzer.given import Procedure
from analyzer.judged.findings.wording import magnetic
from analyzer.judged.flight_card.altitudes import altitude_lines
from analyzer.judged.flight_card.steps import step_lines
from analyzer.planned import NoPlan, SolvedPlan
from analyzer.units import METRES_PER_NM, knots

#: a cockpit rule that rolls out this near to the plan holds (own choice)
RULE_HOLDS_M = 0.2 * METRES_PER_NM
#: a correction by the rule smaller than this is not worth a line (own choice)
LEAST_RULE_DEG = 3.0


@dataclass(frozen=True)
class FlightCard:
    """One card.

    Parameters
    ----------
    title : str
    conditions : str
        Wind and airspeed the card is for; where there is no plan, why.
    lines : tuple of str
        What to do, in order, each a whole sentence; empty where there is no plan.
    plan : SolvedPlan or NoPlan
        What the lines say in words.
    """

    title: str
    conditions: str
    lines: tuple[str, ...]
    plan: SolvedPlan | NoPlan

    @property
    def spoken(self) -> str:
        """The whole card as it is read aloud."""
        return " ".join((self.conditions, *self.lines))


def card_for_plan(
    procedure: Procedure,
    plan: SolvedPlan | NoPlan,
    title: str = "Next time, in the same wind",
    leaving: tuple[str, ...] = (),
) -> FlightCard:
    """Return the card for a plan.

    Parameters
    ----------
    procedure : Procedure
    plan : SolvedPlan or NoPlan
        In the wind that the card is for.
    title : str
    leaving : tuple of str
        What the card ends with: when to turn inbound so as to leave a hold in time.
    """
    air = "Still air"
    if plan.wind is not None:
        air = f"Wind {magnetic(procedure, plan.wind.from_deg_true)} magnetic at {knots(plan.wind.speed_mps)}"
    conditions = f"{air}, true airspeed {knots(plan.tas_mps)}"
    if isinstance(plan, NoPlan):
        return FlightCard(title, f"{conditions}. No plan: {plan.reason}.", (), plan)
    lines = [*step_lines(procedure, plan), *plan.notes, *_rule(plan), *altitude_lines(procedure, plan), *leaving]
    return FlightCard(title, f"{conditions}; {_turns(plan)}.", tuple(lines), plan)


def _turns(plan: SolvedPlan) -> str:
    """Say which of rate and bank governs the turns."""
    if plan.rate_deg_s >= 3.0:
        return f"turns at 3°/s, {plan.bank_deg:.0f}° of bank"
    return f"turns with {plan.bank_deg:.0f}° of bank, {plan.rate_deg_s:.1f}°/s"


def _rule(plan: SolvedPlan) -> list[str]:
    """Say whether the cockpit rule would have done in this wind."""
    thumb = plan.thumb
    if thumb is None or plan.method not in ("hold", "racetrack") or thumb.correction_deg is None:
        return []
    if plan.wind is None or abs(thumb.correction_deg) < LEAST_RULE_DEG:
        return []
    size = f"Three times the drift, {abs(thumb.correction_deg):.0f}°,"
    if abs(thumb.off_m) <= RULE_HOLDS_M:
        return [f"{size} does as a cockpit rule here."]
    return [f"{size} would roll out {abs(thumb.off_m) / METRES_PER_NM:.1f} NM off: not on this leg."]
