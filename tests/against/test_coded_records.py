"""Columns of coded records against other readers' and against a whole public cycle.

Sources
- The PyPI package `arinc424` 0.3.0 decodes records by itself: an independent reading of the same columns. The records
  it is given here are invented. Skipped where the package is not installed.
- A public cycle of coded procedures (a work of the US Government, ARINC 424-18): the package's source archive carries
  some (`pip download arinc424==0.3.0 --no-binary :all: --no-deps`). Name the archive or a cycle's file in the
  environment variable REVERSAL_DEBRIEF_CODED_FILE; skipped without it. No cycle is kept in the project.

In the whole cycle nothing printed is compared: the records are held against each other. The course of a leg, made true
with the variation that this project takes for it, is the bearing between the two fixes by their coordinates.
"""

import os
import shutil
import tarfile
from collections import Counter
from itertools import pairwise
from pathlib import Path

import coded_records
import numpy as np
import pytest
from pyproj import Geod

from analyzer.reading.coded.coded_file import CodedFile, own_stations
from analyzer.reading.coded.interpretation import CodedReversal, reversals_of_airport
from analyzer.reading.coded.legs import approaches_of, final_route
from analyzer.reading.coded.records import Leg, angle_of, is_primary, leg_of, station_of
from analyzer.reading.coded.stored_index import open_coded_file
from analyzer.reading.procedure_file.read import procedure_from_mapping
from analyzer.units.angles import difference_deg, reciprocal_deg


def decoded(line: str) -> dict[str, str]:
    arinc424 = pytest.importorskip("arinc424.record", reason="the package arinc424 0.3.0 is not installed")
    record = arinc424.Record()
    assert record.read(line)
    return {field.name: field.value.strip() for field in record.fields}


@pytest.mark.parametrize("line", [line for line in coded_records.approaches() if is_primary(line, 38)])
def test_legs_are_read_as_the_other_package_reads_them(line):
    other = decoded(line)
    leg = leg_of(line)
    assert leg is not None
    assert leg.approach == other["SID/STAR/Approach Identifier"]
    assert leg.route_type == other["Route Type"]
    assert leg.transition == other["Transition Identifier"]
    assert (leg.fix.ident if leg.fix else "") == other["Fix Identifier"]
    assert (leg.fix.section.strip() if leg.fix else "") == other["Section Code (2)"]
    assert leg.description.strip() == other["Waypoint Description Code"]
    assert leg.turn == other["Turn Direction"]
    assert leg.path == other["Path and Termination"]
    assert (leg.navaid.ident if leg.navaid else "") == other["Recommended Navaid"]
    assert ("" if leg.course_deg is None else f"{10 * leg.course_deg:04.0f}") == other["Magnetic Course"]
    length = f"{10 * leg.distance_nm:04.0f}" if leg.distance_nm else ""
    time = f"T{10 * leg.time_min:03.0f}" if leg.time_min else ""
    assert length + time == other["Route / Holding Distance or Time"]
    altitudes = (leg.altitude.first_ft, leg.altitude.second_ft) if leg.altitude else (None, None)
    assert ["" if value is None else f"{value:05d}" for value in altitudes] == [
        other["Altitude"],
        other["Altitude (2)"],
    ]
    assert ("" if leg.speed_limit_kt is None else f"{leg.speed_limit_kt:03.0f}") == other["Speed Limit"]


@pytest.mark.parametrize(
    ("line", "latitude", "longitude", "variation", "elevation"),
    [
        (coded_records.points()[0], "VOR Latitude", "VOR Longitude", "Station Declination", "DME Elevation"),
        (coded_records.points()[1], "Waypoint Latitude", "Waypoint Longitude", "Dynamic Mag. Variation", None),
        (
            coded_records.airport(),
            "Airport Reference Pt. Latitude",
            "Airport Reference Pt. Longitude",
            "Magnetic Variation",
            "Airport Elevation",
        ),
        (coded_records.ends()[0], "Runway Latitude", "Runway Longitude", None, "Landing Threshold Elevation"),
        (coded_records.ends()[1], "Localizer Latitude", "Localizer Longitude", "Station Declination", None),
    ],
)
def test_points_are_read_as_the_other_package_reads_them(line, latitude, longitude, variation, elevation):
    other = decoded(line)
    station = station_of(line)
    assert station is not None
    assert station.latitude_deg == angle_of(other[latitude])
    assert station.longitude_deg == angle_of(other[longitude])
    if variation is not None:
        assert station.variation_deg == float(other[variation][1:]) / 10.0
        assert other[variation][0] == "E"
    if elevation is not None:
        assert station.elevation_ft == float(other[elevation])
    if "Localizer Width" in other:
        assert station.width_deg == float(other["Localizer Width"]) / 100.0
        assert station.bearing_deg == float(other["Localizer Bearing"]) / 10.0


@pytest.fixture(scope="module")
def cycle(tmp_path_factory) -> CodedFile:
    named = os.environ.get("REVERSAL_DEBRIEF_CODED_FILE")
    if not named:
        pytest.skip("REVERSAL_DEBRIEF_CODED_FILE names no cycle of coded procedures")
    source, target = Path(named), tmp_path_factory.mktemp("cycle") / "cycle"
    if source.name.endswith(".tar.gz"):
        with tarfile.open(source) as archive:
            newest = max(name for name in archive.getnames() if "/data/CIFP/" in name)
            content = archive.extractfile(newest)
            assert content is not None
            with target.open("wb") as stream:
                shutil.copyfileobj(content, stream)
    else:
        shutil.copyfile(source, target)  # the index is made beside it
    return open_coded_file(target)


@pytest.fixture(scope="module")
def reversals(cycle: CodedFile) -> list[tuple[CodedReversal, list[Leg]]]:
    found = []
    for airport in cycle.airports:
        lines = [line for line in cycle.airport_records(airport) if line[4] == "P" and line[12] == "F"]
        legs = approaches_of(leg for leg in map(leg_of, lines) if leg is not None)
        by_approach = {approach[0].approach: approach for approach in legs}
        found += [(entry, by_approach[entry.approach]) for entry in reversals_of_airport(cycle, airport)]
    return found


@pytest.mark.slow
def test_every_reversal_of_a_cycle_becomes_a_procedure_or_a_reason(reversals):
    counts = Counter()
    for reversal, _ in reversals:
        if reversal.mapping is None:
            assert reversal.refusal
            counts[reversal.path, "refused"] += 1
        else:
            procedure = procedure_from_mapping(reversal.mapping, "cycle")
            assert procedure.altitude("final") is None
            counts[reversal.path, "procedure"] += 1
    assert counts["PI", "procedure"] > 500
    assert counts["HF", "procedure"] > 3000
    assert counts["PI", "refused"] <= 0.02 * counts["PI", "procedure"]
    assert counts["HF", "refused"] == 0


@pytest.mark.slow
def test_offset_courses_of_a_cycle_are_45_degrees_in_most_and_not_in_all(reversals):
    """The default offset heading is charted in nearly all procedure turns: measured 98 % within 1 degree."""
    offsets = [
        abs(
            difference_deg(
                reciprocal_deg(entry.mapping["course"]["inbound_deg"]), entry.mapping["course"]["offset_deg"]
            )
        )
        for entry, _ in reversals
        if entry.path == "PI" and entry.mapping is not None
    ]
    within = np.abs(np.array(offsets) - 45.0) <= 1.0
    assert 0.95 <= np.mean(within) < 1.0


@pytest.mark.slow
@pytest.mark.parametrize(("path", "half_deg", "most_deg"), [("PI", 0.2, 0.7), ("HF", 0.1, 0.3)])
def test_the_inbound_course_of_a_cycle_is_the_bearing_to_the_next_fix(cycle, reversals, path, half_deg, most_deg):
    """Half of them within 0.2 (0.1) degrees, 95 in 100 within 0.7 (0.3).

    Courses are coded to 0.1 and declinations to a degree, in which the courses were drawn. The last few in a hundred
    turn at the fix, which is not an error.
    """
    geod = Geod(ellps="WGS84")
    errors = []
    for reversal, approach in reversals:
        if reversal.path != path or reversal.mapping is None:
            continue
        following = _next_in_final_route(reversal.fix, approach)
        own = own_stations(cycle.airport_records(reversal.airport))
        target = cycle.station(following.fix, own) if following is not None and following.fix is not None else None
        fix, course = reversal.mapping["fix"], reversal.mapping["course"]
        if target is None:
            continue
        bearing, _, metres = geod.inv(fix["longitude"], fix["latitude"], target.longitude_deg, target.latitude_deg)
        if metres > 1500.0:
            errors.append(abs(difference_deg(bearing, course["inbound_deg"] + course["variation_deg"])))
    assert len(errors) > 500
    assert np.percentile(errors, 50) <= half_deg
    assert np.percentile(errors, 95) <= most_deg


def _next_in_final_route(fix: str, approach: list[Leg]) -> Leg | None:
    route = final_route(approach)
    for leg, following in pairwise(route):
        if leg.description[2] == "M" or following.description[2] == "M":
            return None
        if leg.fix is not None and leg.fix.ident == fix:
            return following
    return None
