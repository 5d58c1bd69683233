"""Why it happened: the reversal flown again from what was flown, corrected one thing at a time."""

from analyzer.judged.causes.explain import explain
from analyzer.judged.causes.finding import cause_finding, first_remedy
from analyzer.judged.causes.values import Cause, CauseName, Causes, Effect, EffectName

__all__ = ["Cause", "CauseName", "Causes", "Effect", "EffectName", "cause_finding", "explain", "first_remedy"]
