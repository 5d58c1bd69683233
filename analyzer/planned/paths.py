"""The path the procedure asks for: in still air, and perfectly corrected in a given wind; both are solved plans."""

from dataclasses import dataclass, replace

from analyzer.given import Entry, FlownAs, Procedure, Wind
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import PathLeg, SolvedPlan

__all__ = ["NominalPath", "default_method", "nominal_path", "nominal_paths"]


@dataclass(frozen=True)
class NominalPath:
    """A planned path: `name` "nominal path" (still air) or "wind-corrected path"."""

    name: str
    method: str
    tas_mps: float
    legs: tuple[PathLeg, ...]


def default_method(procedure: Procedure) -> FlownAs:
    """Return the method a procedure suggests before anybody has flown it."""
    if procedure.is_hold:
        return "hold"
    return "teardrop" if procedure.reversal == "teardrop" else "45/180"


def nominal_path(plan: SolvedPlan) -> NominalPath:
    """Return a solved plan as a path to be drawn."""
    name = "nominal path" if plan.wind is None else "wind-corrected path"
    return NominalPath(name, plan.method, plan.tas_mps, plan.legs)


def nominal_paths(
    procedure: Procedure, tas_mps: float, wind: Wind | None, method: FlownAs, entry: Entry = "direct"
) -> tuple[NominalPath, ...]:
    """Still-air path and, where a wind is given, the path of a perfectly corrected flight.

    Parameters
    ----------
    procedure : Procedure
    tas_mps : float
        True airspeed, greater than zero.
    wind : Wind or None
        None, or a calm, gives the still-air path alone.
    method : str
        "45/180", "80/260", "teardrop", "racetrack" or "hold". "other" has no plan: the result is empty.
    entry : str
        Of a hold: "direct", "teardrop" or "parallel". A direct entry is one circuit; in a holding the others are
        followed by one.

    Returns
    -------
    tuple of NominalPath
        The wind-corrected path is left out where there is no plan for the wind. The still-air path is there even where
        it does not fit into the distance limit.
    """
    if method == "other":
        return ()
    asked = Asked(procedure, tas_mps, wind, method, entry)
    still = solve(asked.calm)
    if not isinstance(still, SolvedPlan):
        still = solve(replace(asked.calm, procedure=replace(procedure, remain_within_m=None)))
    solved = [still] if wind is None or wind.speed_mps == 0.0 else [still, solve(asked)]
    return tuple(nominal_path(plan) for plan in solved if isinstance(plan, SolvedPlan))
