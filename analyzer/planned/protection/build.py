"""Which protected areas a procedure has: chosen by its criteria and its kind of reversal."""

from functools import lru_cache

from analyzer.given import Procedure
from analyzer.planned.protection.area import Area
from analyzer.planned.protection.design_altitude import distance_limit
from analyzer.planned.protection.icao.areas import computed_areas
from analyzer.planned.protection.us.areas import procedure_turn_areas


@lru_cache(maxsize=16)  # a run of many tracks has one procedure, whose areas may take as long as half of the rest
def protection_areas(procedure: Procedure) -> tuple[Area, ...]:
    """Areas of the procedure: primary, secondary, entry zone and distance limit, those that apply, in that order.

    Shapes are in the frame's axes, metres: x along (positive outbound), y cross (positive right of the inbound
    course).
    """
    if procedure.criteria == "US" and procedure.reversal == "procedure turn":
        areas = list(procedure_turn_areas(procedure))
    else:
        areas = list(computed_areas(procedure))
    limit = distance_limit(procedure)
    if limit is not None:
        areas.append(limit)
    return tuple(areas)
