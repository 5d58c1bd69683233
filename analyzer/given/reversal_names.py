"""The names of phases, methods and entries, as the result file says them."""

from typing import Literal

PhaseName = Literal[
    "arrival",
    "outbound turn",
    "outbound",
    "offset turn",
    "offset leg",
    "reversal turn",
    "intercept",
    "inbound",
    "final",
]


PHASE_NAMES: tuple[PhaseName, ...] = (
    "arrival",
    "outbound turn",
    "outbound",
    "offset turn",
    "offset leg",
    "reversal turn",
    "intercept",
    "inbound",
    "final",
)


FlownAs = Literal["45/180", "80/260", "teardrop", "racetrack", "hold", "other"]


Entry = Literal["direct", "teardrop", "parallel"]
