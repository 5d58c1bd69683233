"""What was asked for, in one value: the procedure, the plane about its fix, its protected areas."""

from dataclasses import dataclass, field

from analyzer.given import Frame, Procedure, frame_of
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.build import protection_areas
from analyzer.planned.solver.solve import Asked, solve
from analyzer.planned.solver.values import NoPlan, SolvedPlan


@dataclass(frozen=True)
class Plan:
    """A procedure with what follows from it alone.

    Parameters
    ----------
    procedure : Procedure
    frame : Frame
        The plane about the fix.
    areas : tuple of Area
        The procedure's protection in the plane's axes; may be empty.
    """

    procedure: Procedure
    frame: Frame
    areas: tuple[Area, ...] = ()
    _solved: dict[Asked, SolvedPlan | NoPlan] = field(default_factory=dict, repr=False, compare=False)

    def solved(self, asked: Asked) -> SolvedPlan | NoPlan:
        """Return the solution for a wind, airspeed, method and entry: everybody who asks alike gets the same one."""
        if asked not in self._solved:
            self._solved[asked] = solve(asked, self.areas)
        return self._solved[asked]


def plan_of(procedure: Procedure) -> Plan:
    """Return the plan of a procedure."""
    return Plan(procedure, frame_of(procedure), protection_areas(procedure))
