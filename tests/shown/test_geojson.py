"""GeoJSON export: RFC 7946 rings and order, validity, the antimeridian, the pole, and the way back to the plane."""

import json
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import shape

from analyzer.flown.attempt import Attempt, Phase
from analyzer.flown.motion.motion import Motion
from analyzer.given.plane import Frame, frame_of
from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.planned.paths import nominal_paths
from analyzer.planned.protection.build import protection_areas
from analyzer.shown.result.geojson import feature_collection, flown_features, path_features, protection_features
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

HALF_A_METRE_M = 0.5


def procedure(
    latitude: float = 46.2, longitude: float = -101.5, reversal: str = "procedure turn", **changes: object
) -> Procedure:
    fix = Place(latitude, longitude, "HRF", 579.0)
    base = Procedure(
        title="VOR-A", reversal=reversal, fix=fix, inbound_true_deg=125.0, variation_deg=7.0, variation_source="file",
        turn_side="right", outbound_true_deg=305.0 if reversal != "teardrop" else 330.0, offset_true_deg=350.0,
        guidance=Guidance("VOR", fix, 10.0, None), remain_within_m=10 * METRES_PER_NM, outbound_s=60.0, outbound_m=None,
        timing_from="wings level", max_ias_mps=None,
        altitudes=(AltitudeLimit("reversal", "at or above", 4600 * METRES_PER_FOOT, None),), criteria="US",
        category="A",
    )  # fmt: skip
    return replace(base, **changes)


def features_of(plan: Procedure) -> dict[str, dict]:
    features = protection_features(frame_of(plan), protection_areas(plan))
    return {feature["properties"]["name"]: feature for feature in features}


def ring_area(ring: list[list[float]]) -> float:
    x, y = np.array(ring).T
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2.0)


@pytest.mark.parametrize("reversal", ["procedure turn", "teardrop", "hold in lieu", "holding"])
@pytest.mark.parametrize("criteria", ["US", "ICAO"])
@pytest.mark.parametrize(("latitude", "longitude"), [(46.2, -101.5), (-33.0, 150.0), (0.0, 0.0)])
def test_areas_load_as_valid_polygons_with_rings_the_right_way_round(
    reversal: str, criteria: str, latitude: float, longitude: float
) -> None:
    features = features_of(procedure(latitude, longitude, reversal, criteria=criteria))
    text = json.dumps(feature_collection(features.values()), allow_nan=False)
    assert json.loads(text)["type"] == "FeatureCollection"
    for feature in features.values():
        geometry = feature["geometry"]
        loaded = shape(geometry)
        assert loaded.is_valid
        assert loaded.area > 0.0
        assert geometry["type"] == "Polygon"
        assert ring_area(geometry["coordinates"][0]) > 0.0, "outer rings run counterclockwise"
        assert all(ring_area(hole) < 0.0 for hole in geometry["coordinates"][1:]), "holes run clockwise"
        assert all(ring[0] == ring[-1] for ring in geometry["coordinates"])
        assert set(feature["properties"]) == {"name", "criteria", "reference", "status", "note"}
    assert len(features["secondary"]["geometry"]["coordinates"]) == 2, "a ring has a hole"


def test_places_come_back_to_the_plane() -> None:
    plan = procedure()
    frame = frame_of(plan)
    limit = np.array(features_of(plan)["distance limit"]["geometry"]["coordinates"][0])
    along, cross = frame.along_cross_m(limit[:, 1], limit[:, 0])
    assert np.all(np.abs(np.hypot(along, cross) - 10 * METRES_PER_NM) < HALF_A_METRE_M)


@pytest.mark.parametrize("longitude", [179.95, -179.95, 180.0, -180.0])
def test_an_area_across_the_antimeridian_is_cut_there(longitude: float) -> None:
    plan = procedure(-17.0, longitude)
    here = features_of(procedure(-17.0, 20.0))
    for name, feature in features_of(plan).items():
        assert feature["geometry"]["type"] == "MultiPolygon", name
        loaded = shape(feature["geometry"])
        assert loaded.is_valid
        assert loaded.bounds[0] >= -180.0
        assert loaded.bounds[2] <= 180.0
        assert loaded.area == pytest.approx(shape(here[name]["geometry"]).area, rel=1e-6)


def test_a_path_across_the_antimeridian_is_cut_there() -> None:
    plan = procedure(-17.0, -179.99)
    paths = nominal_paths(plan, 100 * MPS_PER_KNOT, None, "45/180")
    (feature,) = path_features(frame_of(plan), paths)
    assert feature["geometry"]["type"] == "MultiLineString"
    jumps = [abs(np.diff(np.array(part)[:, 0])).max() for part in feature["geometry"]["coordinates"] if len(part) > 1]
    assert max(jumps) < 1.0


@pytest.mark.parametrize("latitude", [90.0, 89.9, -89.99])
@pytest.mark.parametrize("reversal", ["procedure turn", "holding"])
def test_areas_at_a_pole_are_valid(latitude: float, reversal: str) -> None:
    for feature in features_of(procedure(latitude, -172.4, reversal)).values():
        assert shape(feature["geometry"]).is_valid


def test_an_area_around_the_pole_holds_it() -> None:
    features = features_of(procedure(89.98, 10.0))
    loaded = shape(features["distance limit"]["geometry"])
    assert loaded.is_valid
    assert loaded.bounds[3] == 90.0
    assert loaded.bounds[2] - loaded.bounds[0] == 360.0


def test_a_planned_path_has_its_instructions() -> None:
    plan = procedure()
    (feature,) = path_features(frame_of(plan), nominal_paths(plan, 100 * MPS_PER_KNOT, None, "45/180"))
    assert feature["properties"]["name"] == "nominal path"
    legs = feature["properties"]["legs"]
    assert [leg["phase"] for leg in legs[:4]] == ["outbound", "offset turn", "offset leg", "reversal turn"]
    assert legs[2]["timed_s"] == 60.0
    assert legs[2]["heading_deg_true"] == 350.0
    assert legs[3]["turn_deg"] == -180.0
    first = feature["geometry"]["coordinates"][0]
    assert first == pytest.approx([-101.5, 46.2], abs=1e-7)


def test_the_flown_track_is_divided_at_the_phases() -> None:
    frame = Frame(46.2, -101.5, 125.0)
    time = np.arange(0.0, 101.0)
    zeros = np.zeros_like(time)
    motion = Motion(
        time_s=time, along_m=50.0 * time, cross_m=zeros, along_mps=zeros + 50.0, cross_mps=zeros, turn_rate_deg_s=zeros,
        position_sigma_m=zeros, speed_sigma_mps=zeros, track_sigma_deg=zeros, turn_rate_sigma_deg_s=zeros,
        in_gap=zeros.astype(bool), noise_m=1.0, inbound_true_deg=125.0,
    )  # fmt: skip
    phases = (Phase("outbound", 1, 0.0, 40.5), Phase("reversal turn", 1, 40.5, 100.0), Phase("final", 1, 100.0, 100.0))
    attempt = Attempt(
        number=1, start_s=0.0, end_s=100.0, passages=(), flown_as="other", entry=None, entry_expected=None,
        entry_near_boundary=False, arrival_track_true_deg=None, laps=1, phases=phases, turns=(), established_s=(None,),
        complete=False, wrong_side=False, evidence=(),
    )  # fmt: skip
    features = flown_features(frame, motion, [attempt])
    assert [feature["properties"]["phase"] for feature in features] == ["outbound", "reversal turn"]
    end, start = features[0]["geometry"]["coordinates"][-1], features[1]["geometry"]["coordinates"][0]
    assert end == start
    along, _ = frame.along_cross_m(end[1], end[0])
    assert along == pytest.approx(50.0 * 40.5, abs=HALF_A_METRE_M)
