"""The order of the steps from a track and a procedure to everything the report shows."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from analyzer.altitude_record import AltitudeRecord as AltitudeRecord
from analyzer.findings import Judgement
from analyzer.frame import Frame
from analyzer.measurements.values import AttemptMeasures
from analyzer.motion import Motion
from analyzer.options import Options as Options  # callers import it from here as well
from analyzer.phases import Attempt
from analyzer.procedure import Procedure
from analyzer.protection.area import Area
from analyzer.scoring import Scores
from analyzer.track import QualityNote, Track
from analyzer.wind import Wind

FloatArray = npt.NDArray[np.float64]


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
