"""The order of the steps from a track and a procedure to everything the report shows."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.findings import Judgement
from analyzer.frame import Frame
from analyzer.measurements.values import AttemptMeasures
from analyzer.motion import Motion
from analyzer.phases import Attempt
from analyzer.procedure import Procedure
from analyzer.protection.area import Area
from analyzer.scoring import Scores
from analyzer.track import QualityNote, Track
from analyzer.wind import Wind

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Options:
    """What the user may add to a track and a procedure; SI inside.

    `tolerances` is the name of a set that comes with the package or the path of the user's own file; `self_assessment`
    the path of a sheet; `forecast_wind` is for the card of the next flight; `made_at` the moment that the report says it was made, None for none.
    """

    altimeter_setting_hpa: float | None = None
    temperature_k: float | None = None
    station_elevation_m: float | None = None
    position_sigma_m: float | None = None
    altitude_sigma_m: float | None = None
    wind: Wind | None = None
    forecast_wind: Wind | None = None
    tolerances: str = "US practical test"
    title: str | None = None
    self_assessment: str | None = None
    anonymous: bool = False
    made_at: datetime | None = None


@dataclass(frozen=True)
class AltitudeRecord:
    """The altitude that is compared with the limits: altimeter altitude with its 1 sigma, at the track's moments."""

    time_s: FloatArray
    altitude_m: FloatArray
    sigma_m: FloatArray
    kind: str
    note: str


@dataclass(frozen=True)
class AssessedAttempt:
    """One reversal: what was flown, measured, judged, weighed."""

    attempt: Attempt
    measures: AttemptMeasures
    judgement: Judgement
    scores: Scores


@dataclass(frozen=True)
class Assessment:
    """Everything that is known after all steps; the result file and the report are made from it."""

    track: Track
    procedure: Procedure
    frame: Frame
    motion: Motion
    wind: Wind | None
    wind_reason: str
    altitude: AltitudeRecord | None
    protection: tuple[Area, ...]
    nominal: tuple[Any, ...]
    attempts: tuple[AssessedAttempt, ...]
    notes: tuple[QualityNote, ...]
    options: Options = field(default_factory=Options)
