"""What the search for causes says: effects, what each cause contributed, and how well the flight was flown again."""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from analyzer.units import FloatArray

CauseName = Literal[
    "turn at the fix",
    "rate of turn",
    "wind correction",
    "outbound heading",
    "outbound tracking",
    "outbound time",
    "outbound distance",
    "offset heading",
    "offset turn",
    "offset leg time",
    "turn onto the course",
]
EffectName = Literal["overshoot", "rolled out short", "distance limit", "primary area", "roll-out point"]


@dataclass(frozen=True)
class Cause:
    """One thing flown otherwise than asked for, and what the effect would be with it alone put right.

    `flown` and `asked` are the same quantity, `asked` being the plan's where the plan has it. `contribution_m` is its
    share of what goes away with everything put right, `sigma_m` its 1 sigma from wind and readings. `before_m` is the
    effect as it was measured, `after_m` what is left of it with this alone put right: the re-flight gives the change.
    `along_m` and `cross_m`, shape (n,), are the re-flown path from `from_s` on, where it departs from the flown one.
    `remedy` says what to do next time.
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
    remedy: str = ""
    from_s: float = 0.0
    along_m: FloatArray = field(default_factory=lambda: np.zeros(0), compare=False, repr=False)
    cross_m: FloatArray = field(default_factory=lambda: np.zeros(0), compare=False, repr=False)


@dataclass(frozen=True)
class Effect:
    """One thing that went wrong, as measured, with its causes in the order of contribution.

    `together_m` is what is left with all put right.
    """

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

    @property
    def largest(self) -> tuple[Effect, Cause] | None:
        """The first effect and its largest cause, None without one."""
        return (self.effects[0], self.effects[0].causes[0]) if self.effects and self.effects[0].causes else None
