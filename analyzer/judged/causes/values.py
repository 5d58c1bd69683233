"""What the search for causes says: effects, what each cause contributed, and how well the flight was flown again."""

from dataclasses import dataclass
from typing import Literal

CauseName = Literal[
    "turn at the fix",
    "rate of turn",
    "wind correction",
    "outbound heading",
    "outbound tracking",
    "outbound time",
    "offset heading",
    "offset turn",
    "offset leg time",
    "turn onto the course",
]
EffectName = Literal["overshoot", "rolled out short", "distance limit", "primary area", "roll-out point"]


@dataclass(frozen=True)
class Cause:
    """One thing flown otherwise than asked for, and what the effect would be with it alone put right.

    `contribution_m` is its share of what goes away with everything put right, `sigma_m` its 1 sigma from wind and
    readings; `after_m` is what is left of the effect with this alone put right.
    """

    name: CauseName
    flown: float
    asked: float
    unit: str
    before_m: float
    after_m: float
    contribution_m: float
    sigma_m: float
    text: str


@dataclass(frozen=True)
class Effect:
    """One thing that went wrong, with its causes in the order of contribution; `together_m` with all put right."""

    name: EffectName
    size_m: float
    together_m: float
    causes: tuple[Cause, ...]
    text: str


@dataclass(frozen=True)
class Causes:
    """Causes of one circuit. `reproduction_m` is the root mean square distance between flown and re-flown path.

    Where the re-flight does not reproduce the path, or something needed is not known, `effects` is empty and `reason`
    says why. Both are empty where nothing needs a cause.
    """

    lap: int
    reproduction_m: float | None
    worst_m: float | None
    effects: tuple[Effect, ...]
    reason: str = ""
