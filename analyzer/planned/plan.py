"""What was asked for, in one value: the procedure, the plane about its fix, its protected areas."""

from dataclasses import dataclass

from analyzer.given import Frame, Procedure, frame_of
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.build import protection_areas


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


def plan_of(procedure: Procedure) -> Plan:
    """Return the plan of a procedure."""
    return Plan(procedure, frame_of(procedure), protection_areas(procedure))
