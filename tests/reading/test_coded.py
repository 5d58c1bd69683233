"""Coded procedures of an invented airport: list, file, procedure, index, and every refusal."""

import json
import os
import subprocess
import sys
from datetime import UTC, date, datetime

import coded_records
import numpy as np
import pytest

from analyzer.errors import CodedProcedureError
from analyzer.given.plane import Frame
from analyzer.given.track import Track
from analyzer.reading.coded.cycle import cycle_of_header
from analyzer.reading.coded.legs import altitude_rule, approach_name
from analyzer.reading.coded.procedures import coded_procedure, coded_reversal, procedure_file_from_coded, procedures
from analyzer.reading.coded.proposals import proposals
from analyzer.reading.coded.records import CodedAltitude, angle_of, leg_of
from analyzer.reading.coded.stored_index import open_coded_file
from analyzer.reading.procedure_file.read import read_procedure

A_TENTH_DEG = 0.1
A_METRE_M = 1.0


@pytest.fixture
def coded(tmp_path):
    return coded_records.write_coded_file(tmp_path / "cycle")


def test_all_reversals_and_holds_are_listed_in_the_order_of_the_file(coded):
    found = procedures(coded, "XXHF")
    assert [(entry.approach, entry.name, entry.transition, entry.path, entry.fix) for entry in found] == [
        ("S12", "VOR 12", "TEALE", "PI", "HRF"),
        ("S12", "VOR 12", "missed approach", "HM", "HRF"),
        ("I12-Z", "ILS Z 12", "KOBEL", "PI", "KOBEL"),
        ("R30", "RNAV (GPS) 30", "VESPA", "HF", "VESPA"),
        ("VOR-B", "VOR-B", "LONLY", "PI", "LONLY"),
    ]


def test_a_procedure_turn_at_a_station(coded):
    keys = coded_reversal(coded, "xxhf", "vor 12").mapping
    assert keys["fix"] == {"ident": "HRF", "latitude": 46.2, "longitude": -101.5, "elevation_ft": 1900.0}
    # the station's own declination, not the airport's variation; the side from the offset course, not the turn letter
    assert keys["course"] == {"inbound_deg": 118.0, "variation_deg": 9.0, "turn_side": "right", "offset_deg": 343.0}
    assert keys["guidance"] == {"kind": "VOR"}
    assert keys["limits"] == {"remain_within_nm": 10.0, "max_ias_kt": 180.0}
    assert keys["altitudes_ft"] == {
        "arrival": {"at_or_above": 5500},
        "reversal": {"at_or_above": 4600},
        "inbound": {"at_or_above": 3800},
    }
    assert keys["runway"] == {"ident": "12", "latitude": 46.2666667, "longitude": -101.6472222, "elevation_ft": 1600.0}


def test_the_inbound_course_of_a_localizer_turn_is_that_of_the_final_route(coded):
    keys = coded_reversal(coded, "XXHF", "I12-Z").mapping
    assert keys["course"] == {"inbound_deg": 118.0, "variation_deg": 8.0, "turn_side": "left", "offset_deg": 253.0}
    assert keys["guidance"]["kind"] == "localizer"
    assert keys["guidance"]["full_scale_deg"] == 2.3
    assert keys["guidance"]["latitude"] == pytest.approx(46 + 15 / 60 + 50 / 3600, abs=1e-7)
    assert keys["altitudes_ft"]["inbound"] == {"at_or_above": 3800}
    assert "arrival" not in keys["altitudes_ft"]


def test_a_hold_in_lieu_in_miles_takes_the_airports_variation(coded):
    reversal = coded_reversal(coded, "XXHF", "R30")
    keys = reversal.mapping
    assert keys["reversal"] == "hold in lieu"
    assert keys["course"] == {"inbound_deg": 298.0, "variation_deg": 7.0, "turn_side": "right"}
    assert keys["guidance"] == {"kind": "RNAV"}
    assert keys["limits"] == {"outbound_nm": 4.0}
    assert keys["altitudes_ft"] == {"reversal": {"at": 6000}, "inbound": {"between": [5000, 7000]}}
    assert "runway" not in keys
    assert "Missed approach point: TEALE at 46.50000, -102.00000." in reversal.remarks


def test_the_hold_of_a_missed_approach_is_found_by_name(coded):
    keys = coded_reversal(coded, "XXHF", "S12", "missed approach").mapping
    assert keys["reversal"] == "holding"
    assert keys["course"] == {"inbound_deg": 118.0, "variation_deg": 9.0, "turn_side": "left"}
    assert keys["limits"] == {"outbound_min": 1.0}


def test_the_written_file_reads_back_as_the_same_procedure(coded, tmp_path):
    text = procedure_file_from_coded(coded, "XXHF", "S12")
    path = tmp_path / "vor_12.toml"
    path.write_text(text, encoding="utf-8")
    written = read_procedure(path)
    direct = coded_procedure(coded, "XXHF", "S12")
    assert written.inbound_true_deg == pytest.approx(127.0, abs=A_TENTH_DEG)
    assert (written.fix, written.altitudes, written.runway) == (direct.fix, direct.altitudes, direct.runway)
    assert written.altitude("final") is None, "a minimum descent altitude is never invented"
    assert "Coded cycle 2604, in force from 2026-04-16 until 2026-05-14." in text
    assert "The minimum descent altitude is not coded" in text
    assert "# final = { at_or_above = ... }" in text


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (datetime(2026, 5, 1, tzinfo=UTC), "until 2026-05-14."),
        (datetime(2026, 5, 14, tzinfo=UTC), "no longer in force on the day of the flight, 2026-05-14"),
        (datetime(2026, 4, 15, tzinfo=UTC), "not yet in force on the day of the flight, 2026-04-15"),
    ],
)
def test_a_cycle_that_was_not_in_force_is_told(coded, day, said):
    notes = coded_procedure(coded, "XXHF", "S12", track_start=day).notes
    assert any(said in note for note in notes)


def test_a_station_that_is_not_aligned_to_the_model_is_told(coded):
    notes = coded_procedure(coded, "XXHF", "S12", track_start=datetime(2026, 5, 1, tzinfo=UTC)).notes
    assert any("9.0° E" in note and "more than 2° apart" in note for note in notes)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("XXHG", "S12"), 'has no airport "XXHG". Did you mean XXHF?'),
        (("XXHF", "S21"), 'has no approach "S21" with a reversal or hold. Did you mean S12?'),
        (("XXHF", "ILS 99"), "It has I12-Z, R30, S12, VOR-B"),
        (("XXHF", "S12", "TEAL"), 'has no transition "TEAL" with a reversal. Did you mean TEALE?'),
        (("XXHF", "VOR-B"), "no leg of the approach comes back over the fix. Write a procedure file from the chart"),
    ],
)
def test_what_can_t_be_had_is_one_line(coded, arguments, said):
    with pytest.raises(CodedProcedureError) as caught:
        coded_reversal(coded, *arguments)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_an_airport_is_found_without_its_country_letter(tmp_path):
    path = coded_records.write_coded_file(tmp_path / "cycle")
    path.write_bytes(path.read_bytes().replace(b"XXHF", b"KHF9"))
    assert procedures(path, "hf9")[0].airport == "KHF9"


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"", "holds no ARINC 424 records"), (b"PK\x03\x04 archive", "unpack it"), (b"x" * 200_000, "holds no ARINC")],
)
def test_a_file_of_something_else_is_one_line(tmp_path, data, said):
    path = tmp_path / "other"
    path.write_bytes(data)
    with pytest.raises(CodedProcedureError, match=said):
        procedures(path, "XXHF")
    with pytest.raises(CodedProcedureError, match="no such file"):
        procedures(tmp_path / "none", "XXHF")
    with pytest.raises(CodedProcedureError, match="is not a file"):
        procedures(tmp_path, "XXHF")


def test_the_index_is_used_and_made_anew_when_the_file_changes(coded):
    first = open_coded_file(coded)
    index = coded.with_name("cycle.index.json")
    stored = json.loads(index.read_bytes())
    stored["airports"] = {}
    index.write_text(json.dumps(stored), encoding="utf-8")
    assert open_coded_file(coded).airports == {}, "the index beside the file is what is read"
    os.utime(coded, ns=(1, 1))
    assert open_coded_file(coded).airports == first.airports


@pytest.mark.parametrize("junk", [b"", b"{", b"[]", b'{"version": 2}', b"[" * 100_000])
def test_a_broken_index_is_made_anew(coded, junk):
    expected = open_coded_file(coded)
    coded.with_name("cycle.index.json").write_bytes(junk)
    assert open_coded_file(coded) == expected


def test_other_line_ends_give_the_same(coded, tmp_path):
    other = coded_records.write_coded_file(tmp_path / "dos", line_end="\r\n")
    assert procedures(other, "XXHF") == procedures(coded, "XXHF")


def test_a_folder_that_can_t_be_written_to_costs_only_time(coded, monkeypatch):
    def refuse(**_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("analyzer.reading.coded.stored_index.tempfile.mkstemp", refuse)
    assert len(procedures(coded, "XXHF")) == 5
    assert not coded.with_name("cycle.index.json").exists()


def test_cycles_without_a_date_are_counted():
    found = cycle_of_header(["HDR01INVENTED18     001P013203974102604  25-MAR-2026"])
    assert found is not None
    assert (found.code, found.first_day, found.next_day) == ("2604", date(2026, 4, 16), date(2026, 5, 14))
    assert cycle_of_header(["HDR01" + " " * 30 + "2615"]) is None
    assert cycle_of_header(["nothing"]) is None


def test_names_as_spoken():
    spoken = {"S07": "VOR 07", "I28-Z": "ILS Z 28", "R09L": "RNAV (GPS) 09L", "L16RY": "LOC Y 16R", "VOR-A": "VOR-A"}
    assert {code: approach_name(code) for code in spoken} == spoken


@pytest.mark.parametrize(
    ("rule", "first", "second", "expected"),
    [
        ("+", 3000, None, {"at_or_above": 3000}),
        ("-", 3000, None, {"at_or_below": 3000}),
        ("", 3000, None, {"at": 3000}),
        ("@", 3000, None, {"at": 3000}),
        ("B", 5000, 3000, {"between": [3000, 5000]}),
        ("J", 1900, 1700, {"at_or_above": 1900}),
        ("C", None, 2500, {"at_or_above": 2500}),
        ("+", None, None, None),
        ("?", 3000, None, None),
    ],
)
def test_altitude_letters(rule, first, second, expected):
    assert altitude_rule(CodedAltitude(rule, first, second)) == expected


def test_angles():
    assert angle_of("S46123456") == pytest.approx(-(46 + 12 / 60 + 34.56 / 3600))
    assert angle_of("E179595999") == pytest.approx(180.0, abs=1e-4)
    for bad in ("", "N4612345", "N46A20000", "N91000000", "N46600000", "W46120000", "E181000000"):
        assert angle_of(bad) is None


def test_true_courses_flight_levels_and_blank_fields():
    line = coded_records.leg("S12", "A", "TEALE", "010", "HF", course="118T", distance="T015", rule="+", first="FL180")
    leg = leg_of(line)
    assert leg is not None
    assert (leg.course_deg, leg.course_is_true, leg.time_min, leg.distance_nm) == (118.0, True, 1.5, None)
    assert leg.altitude == CodedAltitude("+", 18000, None)
    assert (leg.fix, leg.navaid, leg.speed_limit_kt) == (None, None, None)
    assert leg_of(coded_records.leg("S12", "A", "T", "010", "HF", continuation="2")) is None


def a_flight(points_along_cross, inbound_true_deg=127.0):
    """A track through points given in NM along and across the course of the procedure turn at HRF, 120 kt."""
    frame = Frame(46.2, -101.5, inbound_true_deg)
    corners = np.array(points_along_cross, dtype=float) * 1852.0
    lengths = np.hypot(*np.diff(corners, axis=0).T)
    at = np.concatenate(([0.0], np.cumsum(lengths)))
    way = np.arange(0.0, at[-1], 60.0)
    along, cross = (np.interp(way, at, corners[:, axis]) for axis in (0, 1))
    latitude, longitude = frame.latitude_longitude_from_along_cross(along, cross)
    return Track("flight", way / 60.0, latitude, longitude)


def test_a_track_proposes_what_it_flew(coded):
    flown = a_flight([(-6, 0.2), (0, 0.1), (6, 0), (8, -2), (9, -1), (8, 0), (0, 0), (-4, 0)])
    found = proposals(coded, flown)
    assert (found[0].airport, found[0].approach, found[0].path) == ("XXHF", "S12", "PI")
    assert found[0].inbound_passes == 1
    assert found[0].distance_nm < 0.1
    assert abs(found[0].course_error_deg) < 2.0
    assert "passed the fix 2 times" in found[0].evidence


def test_a_track_that_passes_once_or_on_another_course_proposes_nothing(coded):
    assert proposals(coded, a_flight([(8, 0), (-8, 0)])) == ()
    across = a_flight([(0, 8), (0, -8), (-4, -8), (0, 8)], inbound_true_deg=127.0)
    assert all(entry.approach != "S12" for entry in proposals(coded, across))
    assert proposals(coded, Track("empty", np.zeros(0), np.zeros(0), np.zeros(0))) == ()


def command(*arguments):
    code = (
        "import sys; from analyzer.run.commands.procedures import procedures; "
        "procedures(sys.argv[1:], standalone_mode=False)"
    )
    return subprocess.run([sys.executable, "-c", code, *map(str, arguments)], capture_output=True, text=True)


def test_the_command_lists_and_writes(coded, tmp_path):
    listed = command(coded, "--airport", "XXHF").stdout.splitlines()
    assert listed[0].split() == ["approach", "name", "transition", "reversal", "fix", "inbound", "turn", "limit"]
    assert "procedure turn  HRF" in listed[1]
    assert any("not usable: no leg of the approach comes back over the fix" in line for line in listed)
    target = tmp_path / "out.toml"
    done = command(coded, "--airport", "XXHF", "--approach", "S12", "--output", target)
    assert done.returncode == 0
    assert read_procedure(target).title == "VOR 12, XXHF, HRF"


def test_damaged_records_are_refused_or_left_out_but_never_crash(coded, tmp_path):
    """Seeded damage: figures, letters and blanks put into any column of any record."""
    whole = coded.read_bytes()
    random = np.random.default_rng(7)
    usable, refusals = 0, []
    for number in range(120):
        data = bytearray(whole)
        for _ in range(30):
            place = int(random.integers(0, len(data)))
            if data[place] != ord("\n"):
                data[place] = int(random.choice(list(b"0123456789 ABNSEWT+-\xff\x00")))
        path = tmp_path / f"damaged_{number}"
        path.write_bytes(bytes(data))
        try:
            found = procedures(path, "XXHF")
        except CodedProcedureError as error:
            refusals.append(str(error))
            continue
        for entry in found:
            assert (entry.mapping is None) == bool(entry.refusal)
            usable += entry.mapping is not None
    assert not any("\n" in refusal for refusal in refusals)
    assert usable > 200, "most of the records are whole, and those are still read"


def test_an_approach_named_by_its_guidance_alone_gets_those_that_fit(coded):
    with pytest.raises(CodedProcedureError, match=r'no approach "VOR" .*Did you mean S12 \(VOR 12\) or VOR-B\?'):
        coded_reversal(coded, "XXHF", "VOR")


def test_airports_that_begin_alike_are_likelier(coded):
    with pytest.raises(CodedProcedureError, match=r'has no airport "XXHQ"\. Did you mean XXHF'):
        procedures(coded, "XXHQ")


def with_finals() -> list[str]:
    """The VOR approach again, with a step-down fix at KOBEL's place on the final and a transition without a turn."""
    hrf = {"fix": "HRF", "fix_section": "D "}
    lines = [line for line in coded_records.approaches() if "S12" in line[13:19]]
    route = [line for line in lines if line[19] == "S"]
    step = coded_records.leg(
        "S12", "S", "", "025", "CF", fix="STEPA", description="E  S", navaid="HRF", course="1180", rule="+",
        first="03000",
    )  # fmt: skip
    straight = [
        coded_records.leg("S12", "A", "WESTO", "010", "IF", fix="WESTO", description="E  A"),
        coded_records.leg("S12", "A", "WESTO", "020", "TF", **hrf, description="V   ", rule="+", first="05000"),
    ]
    return [*(line for line in lines if line not in route), *straight, route[0], step, *route[1:]]


def test_step_down_fixes_the_missed_approach_and_nopt_courses_are_read(tmp_path):
    """STEPA lies 2 NM from the station on the final course, WESTO 10 NM out on 270 degrees true from it."""
    from pyproj import Geod

    ellipsoid = Geod(ellps="WGS84")

    def degrees(value, width, hemispheres):
        whole, minutes = divmod(abs(value) * 60.0, 60.0)
        seconds = round((minutes - int(minutes)) * 6000.0)
        return f"{hemispheres[value < 0]}{int(whole):0{width}d}{int(minutes):02d}{seconds:04d}"

    points = list(coded_records.points())
    for ident, course, miles in (("STEPA", 127.0, 2.0), ("WESTO", 270.0, 10.0)):
        longitude, latitude, _ = ellipsoid.fwd(-101.5, 46.2, course, miles * 1852.0)
        points.append(coded_records.waypoint(ident, degrees(latitude, 2, "NS"), degrees(longitude, 3, "EW")))
    path = tmp_path / "cycle"
    lines = [*(text.ljust(132) for text in coded_records.HEADER), *points, *with_finals(), *coded_records.ends()]
    path.write_bytes(("\n".join(lines) + "\n").encode("latin-1"))
    procedure = coded_procedure(path, "XXHF", "S12")
    (step,) = procedure.steps
    assert step.ident == "STEPA"
    assert step.distance_m == pytest.approx(2.0 * 1852.0, abs=20.0)  # two decimals of a mile
    assert step.low_m == pytest.approx(3000 * 0.3048)
    assert procedure.missed_approach is not None
    assert procedure.missed_approach.before_runway_m == 0.0
    assert procedure.missed_approach.climb_to_m is not None
    # from the west the course to the station is 090 true
    assert procedure.is_no_reversal_course(90.0)
    assert not procedure.is_no_reversal_course(98.0)
    text = procedure_file_from_coded(path, "XXHF", "S12")
    written = tmp_path / "written.toml"
    written.write_text(text, encoding="utf-8")
    assert read_procedure(written).steps[0].low_m == step.low_m
