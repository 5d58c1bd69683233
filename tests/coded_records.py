"""Builds files of invented coded records: one airport, XXHF, with a procedure turn, two holds and a refusal.

Columns are counted from 1 here, as the specification prints them, so that a slip in the reader's slices shows.
"""

from pathlib import Path

HEADER = (
    "HDR01INVENTED18     001P013203974102604  25-MAR-2026",
    "HDR04                                 CODED INSTRUMENT FLIGHT PROCEDURES VOLUME 2604  EFFECTIVE 16 APR 2026",
)
LATER = {"fix_section": "PC", "fix_region": "X1"}


def record(*fields: tuple[int, str]) -> str:
    line = [" "] * 132
    for column, text in ((1, "SUSA"), (124, "00001"), (129, "2604"), *fields):
        line[column - 1 : column - 1 + len(text)] = text
    return "".join(line)[:132]


def airport(variation: str = "E0070", elevation: str = "01650") -> str:
    return record(
        (5, "P"),
        (7, "XXHF"),
        (11, "X1"),
        (13, "A"),
        (22, "0"),
        (33, "N46170000"),
        (42, "W101400000"),
        (52, variation),
        (57, elevation),
    )


def waypoint(ident: str, latitude: str, longitude: str) -> str:
    return record(
        (5, "P"),
        (7, "XXHF"),
        (11, "X1"),
        (13, "C"),
        (14, ident),
        (20, "X1"),
        (22, "0"),
        (27, "W"),
        (33, latitude),
        (42, longitude),
        (75, "E0070"),
    )


def enroute(ident: str, latitude: str, longitude: str) -> str:
    return record(
        (5, "EA"), (7, "ENRT"), (14, ident), (20, "X1"), (22, "0"), (33, latitude), (42, longitude), (75, "E0070")
    )


def omnirange(ident: str, latitude: str, longitude: str, declination: str = "E0090", elevation: str = "01900") -> str:
    return record(
        (5, "D "),
        (11, "X1"),
        (14, ident),
        (20, "X1"),
        (22, "0"),
        (23, "11300"),
        (28, "VDH"),
        (33, latitude),
        (42, longitude),
        (52, ident),
        (56, latitude),
        (65, longitude),
        (75, declination),
        (80, elevation),
    )


def runway(ident: str, latitude: str, longitude: str, elevation: str) -> str:
    return record(
        (5, "P"),
        (7, "XXHF"),
        (11, "X1"),
        (13, "G"),
        (14, ident),
        (22, "0"),
        (23, "06000"),
        (28, "1180"),
        (33, latitude),
        (42, longitude),
        (67, elevation),
    )


def localizer(ident: str, latitude: str, longitude: str, bearing: str, width: str) -> str:
    return record(
        (5, "P"),
        (7, "XXHF"),
        (11, "X1"),
        (13, "I"),
        (14, ident),
        (18, "1"),
        (22, "0"),
        (23, "10970"),
        (28, "RW12"),
        (33, latitude),
        (42, longitude),
        (52, bearing),
        (84, width),
        (88, "300"),
        (91, "E0080"),
    )


def leg(
    approach: str,
    route_type: str,
    transition: str,
    sequence: str,
    path: str,
    *,
    fix: str = "",
    fix_region: str = "X1",
    fix_section: str = "PC",
    description: str = "    ",
    turn: str = " ",
    navaid: str = "",
    navaid_section: str = "D ",
    course: str = "",
    distance: str = "",
    rule: str = " ",
    first: str = "",
    second: str = "",
    speed: str = "",
    continuation: str = "0",
) -> str:
    fields = [
        (5, "P"),
        (7, "XXHF"),
        (11, "X1"),
        (13, "F"),
        (14, approach),
        (20, route_type),
        (21, transition),
        (27, sequence),
        (39, continuation),
        (40, description),
        (44, turn),
        (48, path),
        (71, course),
        (75, distance),
        (83, rule),
        (85, first),
        (90, second),
        (100, speed),
    ]
    if fix:
        fields += [(30, fix), (35, fix_region), (37, fix_section)]
    if navaid:
        fields += [(51, navaid), (55, "X1"), (79, navaid_section)]
    return record(*fields)


def points() -> list[str]:
    return [
        omnirange("HRF", "N46120000", "W101300000"),
        enroute("TEALE", "N46300000", "W102000000"),
        airport(),
        waypoint("KOBEL", "N46180000", "W101420000"),
        waypoint("VESPA", "N46250000", "W101550000"),
        waypoint("LONLY", "N46000000", "W100000000"),
    ]


def approaches() -> list[str]:
    vor = "S12"
    ils = "I12-Z"
    rnav = "R30"
    hrf = {"fix": "HRF", "fix_section": "D "}
    return [
        # VOR 12: procedure turn at the station, then the leg back to it
        leg(vor, "A", "TEALE", "010", "IF", fix="TEALE", fix_section="EA", description="E  A"),
        leg(vor, "A", "TEALE", "020", "TF", **hrf, description="V   ", rule="+", first="05500"),
        leg(
            vor,
            "A",
            "TEALE",
            "030",
            "PI",
            **hrf,
            description="V  A",
            turn="L",
            navaid="HRF",
            course="3430",
            distance="0100",
            rule="+",
            first="04600",
            speed="180",
        ),
        leg(
            vor,
            "A",
            "TEALE",
            "040",
            "CF",
            **hrf,
            description="VE  ",
            navaid="HRF",
            course="1180",
            distance="0060",
            rule="+",
            first="03800",
        ),
        leg(vor, "S", "", "020", "IF", **hrf, description="V  F", navaid="HRF", rule="+", first="03800"),
        leg(
            vor,
            "S",
            "",
            "030",
            "CF",
            fix="RW12",
            fix_section="PG",
            description="GY M",
            navaid="HRF",
            course="1180",
            distance="0050",
            first="01700",
        ),
        leg(vor, "S", "", "040", "CA", description="  M ", course="1180", rule="+", first="02500"),
        leg(
            vor,
            "S",
            "",
            "050",
            "HM",
            **hrf,
            description="VE  ",
            turn="L",
            course="1180",
            distance="T010",
            rule="+",
            first="04600",
        ),
        # ILS Z 12: the transition ends with the turn; the leg back is in the final route, guided by the localizer
        leg(
            ils,
            "A",
            "KOBEL",
            "010",
            "PI",
            fix="KOBEL",
            description="E  A",
            turn="R",
            navaid="IHFA",
            navaid_section="PI",
            course="2530",
            distance="0100",
            rule="+",
            first="04600",
        ),
        leg(ils, "I", "", "010", "IF", fix="VESPA", description="E  I", navaid="IHFA", navaid_section="PI"),
        leg(
            ils,
            "I",
            "",
            "020",
            "CF",
            fix="KOBEL",
            description="E  F",
            navaid="IHFA",
            navaid_section="PI",
            course="1180",
            distance="0110",
            rule="H",
            first="03800",
            second="03745",
        ),
        leg(ils, "I", "", "020", "  ", fix="KOBEL", continuation="2"),
        leg(
            ils,
            "I",
            "",
            "030",
            "CF",
            fix="RW12",
            fix_section="PG",
            description="GY M",
            navaid="IHFA",
            navaid_section="PI",
            course="1180",
            distance="0050",
        ),
        # RNAV 30: hold in lieu, in miles
        leg(
            rnav,
            "A",
            "VESPA",
            "010",
            "HF",
            fix="VESPA",
            description="E  A",
            turn="R",
            course="2980",
            distance="0040",
            rule=" ",
            first="06000",
        ),
        leg(rnav, "R", "", "010", "IF", fix="VESPA", description="E  I", rule="B", first="07000", second="05000"),
        leg(rnav, "R", "", "020", "TF", fix="KOBEL", description="E  F"),
        leg(rnav, "R", "", "030", "TF", fix="TEALE", fix_section="EA", description="EY M"),
        # VOR-B: the turn is at a fix that no leg comes back over
        leg(
            "VOR-B",
            "A",
            "LONLY",
            "010",
            "PI",
            fix="LONLY",
            description="E  A",
            turn="L",
            navaid="HRF",
            course="3430",
            distance="0100",
            rule="+",
            first="04600",
        ),
        leg("VOR-B", "S", "", "010", "IF", **hrf, description="V  F", navaid="HRF"),
        leg("VOR-B", "S", "", "020", "CF", fix="KOBEL", description="EY M", navaid="HRF", course="2900"),
    ]


def ends() -> list[str]:
    return [
        runway("RW12", "N46160000", "W101385000", "01600"),
        localizer("IHFA", "N46155000", "W101374000", "1180", "0460"),
    ]


def write_coded_file(path: Path, header: tuple[str, ...] = HEADER, line_end: str = "\n") -> Path:
    lines = [*(text.ljust(132) for text in header), *points(), *approaches(), *ends()]
    path.write_bytes((line_end.join(lines) + line_end).encode("latin-1"))
    return path
