"""What each finding says in numbers: when, in which phase, what was measured, the limit, the margin, the document.

Worked out from the scenes of `test_findings_table`: courses less 7 degrees of variation, clocks from seconds, times of
turns from their degrees, margins from limit and measure.
"""

import re
from typing import NamedTuple

import pytest

from tests.judged.test_findings_table import PAIRS

CLOCK = re.compile(r"\b\d\d:\d\d\b")
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")


class Row(NamedTuple):
    """Measure, limit and margin in the finding's unit; clocks and numbers of the sentence, numbers of the advice."""

    phase: str | None
    lap: int | None
    at_s: float
    measured: tuple[float | None, float | None, float | None]
    unit: str
    clocks: str
    text: tuple[float, ...]
    advice: tuple[float, ...]
    reference: str


ROWS = {
    "left-distance-limit": Row(
        "reversal turn", 1, 335, (10.1, 10, -0.1), "NM", "05:35 05:20 05:50", (10.1, 0.1, 10), (10,), "AIM 5-4-9 a"
    ),
    "left-primary-area": Row(
        "reversal turn",
        1,
        335,
        (0.1, 0, -0.1),
        "NM",
        "05:35 05:20 05:50",
        (0.1,),
        (),
        "FAA Order 8260.3, procedure turn areas",
    ),
    "left-secondary-area": Row(
        "reversal turn",
        1,
        335,
        (0.1, 0, -0.1),
        "NM",
        "05:35 05:20 05:50",
        (0.1,),
        (),
        "FAA Order 8260.3, procedure turn areas",
    ),
    "outside-computed-area": Row(
        "reversal turn", 1, 335, (0.1, 0, -0.1), "NM", "05:35", (0.1,), (), "FAA Order 8260.3, procedure turn areas"
    ),
    "containment-too-close": Row(
        "reversal turn", 1, 335, (0.01, 0, 0.01), "NM", "05:35", (0.01, 10), (), "AIM 5-4-9 a"
    ),
    "turned-on-unprotected-side": Row(
        "offset turn", 1, 230, (None, None, None), "", "03:50", (298,), (), "AIM 5-4-9 a1"
    ),
    "wrong-entry": Row("outbound turn", 1, 100, (None, None, None), "", "01:40", (118, 70), (70,), "AIM 5-3-8 j3 d"),
    "outbound-course-not-tracked": Row(
        "outbound",
        1,
        225,
        (0.85, 0.75, -0.1),
        "full scale",
        "03:45",
        (105, 0.85, 298, 0.75),
        (),
        "FAA-S-ACS-8C IR.V.A.S6",
    ),
    "no-wind-correction": Row(
        "outbound", 1, 160, (0, 3.2, -3.2), "deg", "02:40 03:40", (298, 8), (290,), "AIM 5-3-8 j"
    ),
    "wind-correction-wrong-way": Row(
        "outbound", 1, 160, (-7, -3, -4), "deg", "02:40 03:40", (305, 7, 8), (290,), "AIM 5-3-8 j"
    ),
    "heading-off": Row(
        "offset leg", 1, 250, (14, 10, -4), "deg", "04:10 05:05", (357, 14, 343, 338), (338,), "FAA-S-ACS-8C IR.VI.A.S9"
    ),
    "outside-entry-sector": Row(
        "arrival",
        1,
        100,
        (6, 0, -6),
        "deg",
        "01:40",
        (334, 6, 30, 298),
        (),
        "ICAO Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.3",
    ),
    "not-the-charted-method": Row(
        "outbound",
        1,
        100,
        (None, None, None),
        "",
        "01:40",
        (45, 180, 80, 260),
        (),
        "ICAO Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.4",
    ),
    "reversal-not-permitted": Row("outbound turn", 1, 100, (None, None, None), "", "01:40", (118,), (), "AIM 5-4-9 a"),
    "descended-before-fix": Row(
        "arrival",
        1,
        80,
        (5450, 5500, -50),
        "ft",
        "01:00 01:40 01:20",
        (5500, 5450, 50, 100),
        (5500,),
        "chart; AIM 5-4-9 a2",
    ),
    "descended-before-established": Row(
        "intercept",
        1,
        420,
        (4550, 4600, -50),
        "ft",
        "06:40 07:20 07:00",
        (4600, 4550, 50, 100),
        (4600, 10, 118),
        "chart; AIM 5-4-9 a",
    ),
    "below-minimum-altitude": Row(
        "outbound",
        1,
        220,
        (4550, 4600, -50),
        "ft",
        "03:20 04:00 03:40",
        (4600, 4550, 50, 100),
        (50, 4600),
        "chart; AIM 5-4-9 a",
    ),
    "below-minimum-descent-altitude": Row(
        "final",
        1,
        650,
        (3050, 3100, -50),
        "ft",
        "10:40 11:00 10:50",
        (3100, 3050, 50),
        (3100,),
        "chart; FAA-S-ACS-8C IR.VI.A.S12",
    ),
    "above-maximum-altitude": Row(
        "inbound",
        1,
        450,
        (4650, 4600, -50),
        "ft",
        "07:20 07:40 07:30",
        (4600, 4650, 50),
        (4600,),
        "chart: altitude of the segment",
    ),
    "off-assigned-altitude": Row(
        "reversal turn",
        1,
        220,
        (5145, 5100, -45),
        "ft",
        "03:20 04:00 03:40",
        (5000, 5145, 145),
        (5000, 10),
        "chart; FAA-S-ACS-8C IR.III.B.S4",
    ),
    "altitude-too-close": Row(
        "outbound turn",
        1,
        100,
        (4635, 4600, 35),
        "ft",
        "01:40",
        (35, 4600, 40, 2),
        (),
        "chart: altitude of the segment",
    ),
    "never-established": Row(
        "inbound",
        1,
        600,
        (None, None, None),
        "",
        "10:00",
        (10, 118, 10),
        (30, 45),
        "Pilot/Controller Glossary, established; ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6",
    ),
    "established-inside-fix": Row(
        "final",
        1,
        615,
        (15, 0, -15),
        "s",
        "10:15 10:00",
        (118, 15),
        (),
        "Pilot/Controller Glossary, established; ICAO Doc 8168 Vol I as quoted in FAA-H-8261-1 p. 4-6",
    ),
    "outside-tracking-limit": Row(
        "inbound", 1, 500, (0.8, 0.75, -0.05), "full scale", "08:20", (0.8, 0.2, 0.75), (20,), "FAA-S-ACS-8C IR.VI.A.S9"
    ),
    "intercept-too-close": Row(
        "inbound",
        1,
        500,
        (0.72, 0.75, 0.03),
        "full scale",
        "08:20",
        (0.72, 0.2, 0.04, 2, 0.75),
        (),
        "FAA-S-ACS-8C IR.VI.A.S9",
    ),
    "homed-to-beacon": Row(
        "inbound",
        1,
        450,
        (25, 0, -25),
        "deg",
        "07:30 09:20",
        (25, 118),
        (),
        "FAA-H-8083-15B ch. 9, ADF: homing and tracking",
    ),
    "descent-rate": Row(
        "final",
        1,
        620,
        (1510, 1500, -10),
        "ft/min",
        "10:20 10:30",
        (1510, 1500),
        (5, 3),
        "common practice, no document",
    ),
    "too-high-for-the-runway": Row(
        "final",
        1,
        640,
        (5468.07, 400, -5068.07),
        "ft/NM",
        "10:40 11:30",
        (2, 1640, 0.3, 5468, 400),
        (2, 3),
        "IPH chapter 4; common practice",
    ),
    "overshot-course": Row(
        "intercept",
        1,
        430,
        (0.8, 0.75, -0.05),
        "full scale",
        "07:10",
        (0.7, 118, 0.8, 0.75),
        (3,),
        "FAA-S-ACS-8C IR.V.A.S6",
    ),
    "several-crossings": Row(
        "reversal turn", 1, 308, (2, 1, -1), "crossings", "05:08", (118, 2, 1), (3,), "common practice"
    ),
    "shallow-intercept": Row(
        "intercept",
        1,
        380,
        (17, 20, -3),
        "deg",
        "06:20",
        (118, 17, 20),
        (30, 45),
        "FAA-H-8083-15B ch. 9, VOR interception",
    ),
    "steep-intercept": Row(
        "intercept",
        1,
        380,
        (93, 90, -3),
        "deg",
        "06:20",
        (118, 93, 90),
        (45,),
        "FAA-H-8083-15B ch. 9, VOR interception",
    ),
    "turned-inbound-late": Row("intercept", 1, 420, (8, 5, -3), "s", "07:00 06:52", (118, 8), (8,), "common practice"),
    "turned-inbound-early": Row("intercept", 1, 420, (-8, 5, -3), "s", "07:00 07:08", (118, 8), (), "common practice"),
    "leg-too-long": Row(
        "offset leg", 1, 248, (73, 70, -3), "s", "04:08", (73, 13, 60, 58), (58,), "chart; tolerance: own choice"
    ),
    "leg-too-short": Row(
        "offset leg", 1, 248, (45, 48, -3), "s", "04:08", (45, 13, 58, 60), (58,), "chart; tolerance: own choice"
    ),
    "timing-too-close": Row(
        "offset leg", 1, 248, (69, 70, 1), "s", "04:08", (69, 60, 58, 2, 10), (), "chart; tolerance: own choice"
    ),
    "bank-too-steep": Row(
        "reversal turn",
        1,
        320,
        (31.1, 30, -1.1),
        "deg",
        "05:08 06:11",
        (31, 3, 30),
        (3, 15, 30),
        "FAA-H-8083-15B ch. 7, Procedure Turn",
    ),
    "turn-too-slow": Row(
        "reversal turn",
        1,
        308,
        (1.9, 2.109, -0.209),
        "deg/s",
        "05:08 06:43",
        (1.9, 2.8, 180, 95, 64),
        (3, 30, 90),
        "common practice",
    ),
    "turn-too-fast": Row(
        "reversal turn",
        1,
        308,
        (3.95, 3.741, -0.209),
        "deg/s",
        "05:08 05:54",
        (4, 2.8, 180, 46, 64),
        (3, 30, 90),
        "common practice",
    ),
    "too-fast": Row("outbound", 1, 200, (205, 200, -5), "kt", "03:20", (205, 5, 200), (), "AIM 5-4-9 a3"),
    "speed-not-held": Row(
        "outbound", 1, 115, (15, 10, -5), "kt", "01:55", (90, 120, 10), (10,), "FAA-S-ACS-8C IR.VI.A.S9"
    ),
    "speed-too-close": Row("outbound", 1, 200, (197, 200, 3), "kt", "03:20", (197, 4, 2, 200), (), "AIM 5-4-9 a3"),
    "laps-drift": Row(
        "reversal turn", 3, 700, (0.6, 0.5, -0.1), "NM", "11:40", (1, 3, 0.6, 0.5), (), "common practice"
    ),
    "inbound-leg-long": Row("inbound", 3, 760, (73, 70, -3), "s", "12:40", (3, 73, 62, 13, 60), (62,), "AIM 5-3-8 j4"),
    "inbound-leg-short": Row("inbound", 3, 760, (47, 50, -3), "s", "12:40", (3, 47, 62, 13, 60), (62,), "AIM 5-3-8 j4"),
    "left-late": Row(
        "inbound",
        3,
        820,
        (33, 30, -3),
        "s",
        "13:40 13:07",
        (33, 30, 62, 62, 61),
        (),
        "AIM 5-3-8 k; tolerance: own choice",
    ),
    "left-early": Row(
        "inbound",
        3,
        820,
        (-33, 30, -3),
        "s",
        "13:40 14:13",
        (33, 30, 62, 62, 61),
        (),
        "AIM 5-3-8 k; tolerance: own choice",
    ),
    "left-on-time": Row(
        "inbound",
        3,
        820,
        (25, 30, 5),
        "s",
        "13:40 13:15",
        (25, 30, 62, 62, 61),
        (),
        "AIM 5-3-8 k; tolerance: own choice",
    ),
    "laps-converged": Row("inbound", 3, 820, (None, None, None), "", "13:40", (71, 2, 61, 3), (), "AIM 5-3-8 j4"),
    "circuits-not-as-cleared": Row(None, 3, 820, (None, None, None), "", "13:40", (3, 2), (2,), "clearance"),
    "circuit-not-asked-for": Row(None, 3, 820, (None, None, None), "", "13:40", (3,), (), "AIM 5-4-9 a5"),
    "descended-before-cleared": Row(
        "outbound",
        1,
        100,
        (4889, 4900, -11),
        "ft",
        "01:40 02:30 02:00",
        (50, 5000, 4889),
        (5000,),
        "14 CFR 91.123 (a); AIM 4-4-10 a",
    ),
    "descended-before-segment": Row(
        "outbound", 1, 160, (4889, 4900, -11), "ft", "02:40 03:00", (40, 5000, 4889), (5000,), "14 CFR 91.175 (i)"
    ),
    "climbed-off-assigned-altitude": Row(
        "outbound", 1, 100, (5111, 5100, -11), "ft", "01:40 02:00", (5000, 5111), (), "14 CFR 91.123 (a); AIM 4-4-10 a"
    ),
    "crossing-altitude-missed": Row(
        "outbound turn",
        1,
        100,
        (4989, 5000, -11),
        "ft",
        "01:40",
        (4989, 11, 5000),
        (),
        "clearance; 14 CFR 91.123 (a); AIM 4-4-10 a",
    ),
}


def numbers(text: str) -> list[float]:
    return [float(one.rstrip(",").replace(",", "")) for one in NUMBER.findall(CLOCK.sub("", text))]


def test_the_rows_are_of_findings_that_have_a_pair() -> None:
    assert set(ROWS) <= set(PAIRS)


@pytest.mark.parametrize("code", ROWS)
def test_a_finding_says_when_where_how_much_and_by_which_document(code: str) -> None:
    row = ROWS[code]
    (finding,) = PAIRS[code][0]().judged().findings
    assert (finding.phase, finding.lap, finding.at_s) == (row.phase, row.lap, pytest.approx(row.at_s))
    assert (finding.measured, finding.limit, finding.margin) == tuple(
        one if one is None else pytest.approx(one, abs=6e-4 * max(1.0, abs(one) / 100.0)) for one in row.measured
    )
    assert finding.unit == row.unit
    assert " ".join(CLOCK.findall(finding.text)) == row.clocks
    assert numbers(finding.text) == pytest.approx(row.text)
    assert numbers(finding.advice) == pytest.approx(row.advice)
    assert finding.reference == row.reference
