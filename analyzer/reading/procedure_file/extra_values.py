"""Values of the optional tables of a procedure file: limits by distance, steps, missed approach, sectors, arc."""

from collections.abc import Mapping
from typing import Any

from analyzer.given import DistanceLimit, LeadingArc, MissedApproach, Place, StepFix
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT, wrap_360


def extra_values(mapping: Mapping[str, Any], fix: Place, station: Place, variation_deg: float) -> dict[str, Any]:
    """Return the fields of `Procedure` that the optional tables give, by name; those that are left out are absent.

    Parameters
    ----------
    mapping : mapping
        A file in which no problem was found.
    fix, station : Place
        Of the procedure.
    variation_deg : float
        East of true north, degrees.
    """

    def true_deg(magnetic_deg: float) -> float:
        return float(wrap_360(magnetic_deg + variation_deg))

    values: dict[str, Any] = {}
    limit = mapping.get("limits", {}).get("outbound_limit")
    if limit is not None:
        place = _place(limit) if "latitude" in limit else station
        values["outbound_limit"] = DistanceLimit(place, limit["dme_nm"] * METRES_PER_NM)
    sectors = mapping.get("no_reversal_from", mapping.get("course", {}).get("no_reversal_from"))
    if sectors:
        values["no_reversal_from"] = tuple((true_deg(first), true_deg(last)) for first, last in sectors)
    if "step" in mapping:
        values["steps"] = tuple(_step(table, fix) for table in mapping["step"])
    if "final_fix" in mapping:
        values["final_fix"] = _place(mapping["final_fix"])
    if "missed_approach" in mapping:
        values["missed_approach"] = _missed_approach(mapping["missed_approach"])
    if "arc" in mapping:
        arc = mapping["arc"]
        radius_m = arc["radius_nm"] * METRES_PER_NM
        values["arc"] = LeadingArc(_place(arc), radius_m, true_deg(arc["from_deg"]), true_deg(arc["to_deg"]))
    return values


def _place(table: Mapping[str, Any]) -> Place:
    elevation_m = _scaled(table.get("elevation_ft"), METRES_PER_FOOT)
    return Place(float(table["latitude"]), float(table["longitude"]), table.get("ident"), elevation_m)


def _step(table: Mapping[str, Any], fix: Place) -> StepFix:
    origin = table.get("from", "fix")
    if "latitude" in table:
        origin = table
    place = fix if origin == "fix" else Place(float(origin["latitude"]), float(origin["longitude"]))
    low_m = table["at_or_above"] * METRES_PER_FOOT
    return StepFix(table["distance_nm"] * METRES_PER_NM, place, low_m, table.get("ident"))


def _missed_approach(table: Mapping[str, Any]) -> MissedApproach:
    return MissedApproach(
        before_runway_m=_scaled(table.get("at_nm"), METRES_PER_NM),
        after_s=_scaled(table.get("at_min"), 60.0),
        groundspeed_mps=_scaled(table.get("groundspeed_kt"), MPS_PER_KNOT),
        climb_to_m=_scaled(table.get("climb_to_ft"), METRES_PER_FOOT),
    )


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor
