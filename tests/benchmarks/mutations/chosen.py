"""Thirty chosen wrong changes, each against the tests of its subject: `python -m tests.benchmarks.mutations.chosen`.

Thresholds of verdicts moved by a tenth, signs turned, terms of stated doubts dropped: what could drift without anybody
seeing it. The text that is changed has to stand in the file exactly once, so that the list can't rot in silence.
"""

import argparse
import sys

from tests.benchmarks.mutations.run import ROOT, Change, Runner, copied

MOTION, WIND, COLUMNS = "flown/motion/motion.py", "flown/wind/from_turns.py", "flown/wind/from_columns.py"
ESTABLISHED, NEEDLE = "flown/reversals/established.py", "planned/needle.py"
MEASURES, FINDINGS, AREAS = "judged/measurements/", "judged/findings/", "planned/protection/"
MOTION_TESTS = ("tests/flown/test_motion.py", "tests/flown/test_motion_doubts.py")
WIND_TESTS = ("tests/flown/test_wind_exact.py", "tests/flown/test_wind.py", "tests/flown/test_stated_doubts.py")
NEEDLE_TESTS = ("tests/flown/test_established.py", "tests/planned/test_needle.py")
FINDINGS_TESTS = ("tests/judged/test_judged_bounds.py", "tests/judged/test_findings_table.py")
ICAO_TESTS = ("tests/planned/test_protection_icao.py", "tests/against/test_area_templates.py")

#: name, file, text as it is, text as it is changed, tests of the subject
CHOSEN = (
    (
        "rate of turn: sign",
        MOTION,
        "(-along_mps * fit.curvature[:, 1] + cross",
        "(along_mps * fit.curvature[:, 1] - cross",
        MOTION_TESTS,
    ),
    ("smoothing wider by a tenth", MOTION, "BEST_WIDTH_S = 4.85", "BEST_WIDTH_S = 5.335", MOTION_TESTS),
    (
        "noise: leverage dropped",
        MOTION,
        "np.sqrt(np.clip(1.0 - fit.leverage, 0.05, 1.0))",
        "np.ones(len(rest))",
        MOTION_TESTS,
    ),
    (
        "sigma of the speed larger by a tenth",
        MOTION,
        "speed_sigma_mps=noise_m *",
        "speed_sigma_mps=1.1 * noise_m *",
        MOTION_TESTS,
    ),
    ("chords: shortening dropped", WIND, "rest = speed / shortening -", "rest = speed -", WIND_TESTS),
    ("chords: sign of the neighbours' covariance", WIND, "- neighbours * (unit", "+ neighbours * (unit", WIND_TESTS),
    (
        "columns: sign of the heading error",
        COLUMNS,
        "[zero, one, air_north, -air_east]",
        "[zero, one, air_north, air_east]",
        WIND_TESTS,
    ),
    (
        "columns: airspeed without its calibration",
        COLUMNS,
        "tas_sigma**2 + tas**2 * covariance[2, 2]",
        "tas_sigma**2",
        WIND_TESTS,
    ),
    ("established for 11 s", ESTABLISHED, "ESTABLISHED_FOR_S = 10.0", "ESTABLISHED_FOR_S = 11.0", NEEDLE_TESTS),
    (
        "sign of the course through a station",
        NEEDLE,
        "skew = np.arctan(station_cross",
        "skew = -np.arctan(station_cross",
        NEEDLE_TESTS,
    ),
    ("near a station up to 1.1 NM", NEEDLE, "NEAR_STATION_S = 1.0 *", "NEAR_STATION_S = 1.1 *", NEEDLE_TESTS),
    (
        "staying established: doubt dropped",
        ESTABLISHED,
        "(ESTABLISHED_TRACK_DEG + doubt_deg)",
        "ESTABLISHED_TRACK_DEG",
        NEEDLE_TESTS,
    ),
    (
        "containment: doubt of gaps dropped",
        MEASURES + "containment.py",
        "np.hypot(sigma, _gap_doubt_m(time, along, cross, motion))",
        "sigma",
        ("tests/judged/test_measure_containment.py",),
    ),
    (
        "bank: sigma without its curve",
        MEASURES + "turns.py",
        " / (1.0 + lean_of_turn(rate, tas_mps) ** 2)",
        "",
        ("tests/judged/test_judged_bounds.py", "tests/judged/test_measure_timing.py"),
    ),
    (
        "straight line: sigma larger by a tenth",
        MEASURES + "straight.py",
        "np.degrees(sigma_m /",
        "np.degrees(1.1 * sigma_m /",
        ("tests/judged/test_straight.py",),
    ),
    (
        "overshoot: sign",
        MEASURES + "intercept.py",
        "beyond = -side *",
        "beyond = side *",
        ("tests/judged/test_measure_intercept.py",),
    ),
    ("rolling takes 4.4 s", FINDINGS + "turns.py", "ROLLING_S = 4.0", "ROLLING_S = 4.4", FINDINGS_TESTS),
    (
        "verdict: at the limit is outside",
        FINDINGS + "case.py",
        "if margin >= 0.0 else",
        "if margin > 0.0 else",
        FINDINGS_TESTS,
    ),
    (
        "critical from 1.1 NM beyond the limit",
        FINDINGS + "containment.py",
        "CRITICAL_BEYOND_LIMIT_M = 1.0 *",
        "CRITICAL_BEYOND_LIMIT_M = 1.1 *",
        FINDINGS_TESTS,
    ),
    (
        "major from 2.2 tolerances",
        FINDINGS + "timing.py",
        "TOLERANCES_FOR_MAJOR = 2.0",
        "TOLERANCES_FOR_MAJOR = 2.2",
        FINDINGS_TESTS,
    ),
    ("wind spirals: bulge dropped", AREAS + "icao/wind_spirals.py", " + bulge_m).ravel()", ").ravel()", ICAO_TESTS),
    (
        "procedure turn: sign of the heading tolerance",
        AREAS + "icao/procedure_turn.py",
        '("d1", shortest, _HEADING_DEG)',
        '("d1", shortest, -_HEADING_DEG)',
        ICAO_TESTS,
    ),
    (
        "US area: near centre on the other side",
        AREAS + "us/areas.py",
        "Point(0.0, NEAR_CENTRE_OFFSET_NM *",
        "Point(0.0, -NEAR_CENTRE_OFFSET_NM *",
        ("tests/planned/test_protection_us.py",),
    ),
    (
        "plan: spare room larger by a tenth",
        "planned/solver/procedure_turns.py",
        "= 0.5 * METRES_PER_NM, 15.0, 420.0",
        "= 0.55 * METRES_PER_NM, 15.0, 420.0",
        ("tests/planned/test_paths.py", "tests/planned/test_solver.py"),
    ),
    (
        "wrap: half a turn belongs to the right",
        "units/angles.py",
        "return (angle_deg + 180.0) % 360.0 - 180.0",
        "return 180.0 - (180.0 - angle_deg) % 360.0",
        ("tests/units/test_angles.py",),
    ),
    (
        "cap of the score only from a tenth above it",
        "judged/scoring.py",
        "mean > weights.cap[severity]",
        "mean > 1.1 * weights.cap[severity]",
        ("tests/judged/test_scoring.py",),
    ),
    (
        "overall score: what counts for no category added",
        "judged/scoring.py",
        "max(0.0, mean - off_overall)",
        "max(0.0, mean + off_overall)",
        ("tests/judged/test_scoring.py",),
    ),
    (
        "zone: sign",
        "reading/time_text.py",
        '{"+": -1.0, "-": 1.0}',
        '{"+": 1.0, "-": -1.0}',
        ("tests/reading/test_readers_times.py", "tests/reading/test_readers_gpx.py"),
    ),
    (
        "gap from 5.5 intervals",
        "reading/repair.py",
        "GAP_MEDIANS = 5.0",
        "GAP_MEDIANS = 5.5",
        ("tests/reading/test_repair_bounds.py",),
    ),
    (
        "longitude 360 is 0",
        "reading/repair.py",
        "(longitude < 360.0)",
        "(longitude <= 360.0)",
        ("tests/reading/test_repair_bounds.py",),
    ),
)


def changes() -> list[Change]:
    """The list as changes, each checked: its text stands in the file once, its tests are there."""
    found = []
    for name, file, now, then, tests in CHOSEN:
        text = (ROOT / "analyzer" / file).read_text(encoding="utf-8")
        if text.count(now) != 1:
            raise SystemExit(f"{name}: {file} holds {now!r} {text.count(now)} times; write down what stands there now")
        there = tuple(one for one in tests if (ROOT / one).exists())
        if not there:
            raise SystemExit(f"{name}: none of its tests is there: {', '.join(tests)}")
        found.append(Change(name, file, text.replace(now, then), there))
    return found


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutations.chosen")
    parser.add_argument("--only", metavar="WORD", default="", help="those with a word in their name or file")
    arguments = parser.parse_args()
    chosen = [one for one in changes() if arguments.only in one.name or arguments.only in one.file]
    alive = []
    with copied() as folder:
        runner = Runner(folder)
        text = (ROOT / "analyzer" / chosen[0].file).read_text(encoding="utf-8")
        every = list(dict.fromkeys(test for change in chosen for test in change.tests))
        without = runner.answer_to(Change("nothing", chosen[0].file, text), every)
        if not without.alive:  # what fails anyway notices no change
            raise SystemExit(f"tests fail without any change: {without.said}")
        for change in chosen:
            answer = runner.answer_to(change, change.tests)
            if answer.alive is None:
                raise SystemExit(f"{change.name}: {answer.said}; nothing can be told")
            killed = not answer.alive
            alive += [] if killed else [change.name]
            print(f"{'killed' if killed else 'SURVIVES':<8} {change.name}", flush=True)
    print(f"\n{len(chosen) - len(alive)} of {len(chosen)} killed")
    return int(len(alive) > 3)


if __name__ == "__main__":
    sys.exit(main())
