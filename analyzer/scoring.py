"""Findings to scores; changes no finding."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Deduction:
    """Points taken off, for which finding."""

    score: str
    code: str
    points: float
    text: str


@dataclass(frozen=True)
class Scores:
    """0-100, None where not assessed. The scale is the project's own."""

    containment: float | None
    altitude: float | None
    intercept: float | None
    timing: float | None
    overall: float | None
    deductions: tuple[Deduction, ...]
    result: Literal["to standard", "not to standard", "not assessed"]
