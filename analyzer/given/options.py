"""What the user may add to a track and a procedure."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from analyzer.given.clearance import Clearance
from analyzer.given.wind import Wind

ReversalExpected = Literal["required", "not permitted"]


@dataclass(frozen=True)
class Options:
    """What the user may add to a track and a procedure; SI inside.

    `tolerances` is the name of a set that comes with the package or the path of the user's own file;
    `self_assessment` the path of a sheet; `forecast_wind` is for the card of the next flight, `brief_wind` what this
    one was briefed for; `reversal_expected` says what the clearance asked for and `clearance` the rest of it;
    `made_at` the moment that the report says it was made, None for none.
    """

    altimeter_setting_hpa: float | None = None
    temperature_k: float | None = None
    station_elevation_m: float | None = None
    position_sigma_m: float | None = None
    altitude_sigma_m: float | None = None
    wind: Wind | None = None
    forecast_wind: Wind | None = None
    brief_wind: Wind | None = None
    tolerances: str = "US practical test"
    title: str | None = None
    self_assessment: str | None = None
    anonymous: bool = False
    reversal_expected: ReversalExpected | None = None
    made_at: datetime | None = None
    clearance: Clearance = field(default_factory=Clearance)
