"""The path the procedure asks for: in still air, and perfectly corrected in a given wind."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from analyzer.phases import PhaseName

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True)
class PathLeg:
    """One leg of a planned path, metres in the frame's axes, with the phase it belongs to and its instructions."""

    phase: PhaseName
    along_m: FloatArray
    cross_m: FloatArray
    time_s: FloatArray
    heading_true_deg: float | None


@dataclass(frozen=True)
class NominalPath:
    """A planned path: `name` "nominal path" (still air) or "wind-corrected path"."""

    name: str
    method: str
    tas_mps: float
    legs: tuple[PathLeg, ...]
