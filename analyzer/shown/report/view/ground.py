"""What lies on the ground about a reversal, for a map: areas, fix, station, runway as GeoJSON features."""

from typing import Any

from shapely.geometry import mapping, shape

from analyzer.judged import Assessment
from analyzer.shown.result.geojson import place_features, protection_features

_DECIMALS = 5  # of degrees: about a metre
_THINNED_DEG = 1e-4  # edges keep within 11 m: a page carries them, and no map is looked at more closely


def ground_features(assessment: Assessment) -> tuple[dict[str, Any], ...]:
    """Return the features with their name, kind, procedure and source only, their places to a metre."""
    found = []
    for kind, features in (
        ("area", protection_features(assessment.frame, assessment.protection)),
        ("place", place_features(assessment.frame, assessment.procedure)),
    ):
        for one in features:
            told = {
                name: one["properties"][name] for name in ("name", "reference", "place") if name in one["properties"]
            }
            told = {"kind": kind, "procedure": assessment.procedure.title, **told}
            thinner = mapping(shape(one["geometry"]).simplify(_THINNED_DEG))
            geometry = {"type": thinner["type"], "coordinates": _shorter(thinner["coordinates"])}
            found.append({"type": "Feature", "properties": told, "geometry": geometry})
    return tuple(found)


def _shorter(places: Any) -> Any:
    if isinstance(places, float | int):
        return round(places, _DECIMALS)
    return [_shorter(one) for one in places]
