"""Published figures of protected areas: US procedure turn, ICAO reversal and racetrack areas."""

from analyzer.standards.published import Figure, by_key

_TURN_PARAMETERS = "Part I, Section 4, Chapter 3, 3.6.2"
_TEMPLATE_TABLE = "Table I-4-3-App C-1"

#: number, total length and total width in NM of the US holding patterns; which one a hold has is not known here
_HOLDING_PATTERNS = (
    (4, 14.4, 8.8),
    (5, 15.5, 9.5),
    (6, 16.9, 10.6),
    (7, 20.8, 11.8),
    (8, 22.6, 12.6),
    (9, 23.7, 13.6),
    (10, 25.3, 14.6),
)

# --- US ---------------------------------------------------------------------------------------------------------
AREAS_US = by_key(
    Figure("us.area.near_offset", 1.0, "NM", "TERPS", "paragraph 234", "second hand", "first centre abeam the fix"),
    Figure("us.area.secondary", 2.0, "NM", "TERPS", "paragraph 234", "second hand", "width of the secondary area"),
    Figure("us.area.radius.10nm.near", 5.0, "NM", "TERPS", "paragraph 234", "second hand", "10 NM, up to 6000 ft"),
    Figure("us.area.radius.10nm.far", 6.0, "NM", "TERPS", "paragraph 234", "second hand", "10 NM, up to 6000 ft"),
    Figure("us.area.far_offset.10nm", 2.0, "NM", "TERPS", "paragraph 234", "second hand", "second centre, 10 NM"),
    Figure("us.area.radius.5nm.near", 4.0, "NM", "TERPS", "paragraph 234, table", "from memory", "5 NM, any altitude"),
    Figure("us.area.radius.5nm.far", 5.0, "NM", "TERPS", "paragraph 234, table", "from memory", "5 NM, any altitude"),
    Figure("us.area.band.step", 1.0, "NM", "TERPS", "paragraph 234, table", "from memory", "wider per altitude band"),
    Figure("us.area.beyond.slope", 0.1, "NM/NM", "TERPS", "paragraph 234, table", "from memory", "beyond 10 NM"),
    Figure("us.area.band.low_top", 6000.0, "ft", "TERPS", "paragraph 234", "second hand", "top of the lowest band"),
    Figure("us.area.band.middle_top", 10000.0, "ft", "TERPS", "paragraph 234", "second hand", "top of the middle band"),
    *(
        Figure(f"us.hold.{what}.{number}", value, "NM", "TERPS", "edition C, holding patterns", "second hand", text)
        for number, length, width in _HOLDING_PATTERNS
        for what, value, text in (
            ("length", length, f"total length of holding pattern {number}"),
            ("width", width, f"total width of holding pattern {number}"),
        )
    ),
)

# --- ICAO -------------------------------------------------------------------------------------------------------
AREAS_ICAO = by_key(
    Figure("icao.area.wind.slope", 2.0, "kt/1000 ft", "PANS-OPS II", _TURN_PARAMETERS, "read", "w = 2h + 47"),
    Figure("icao.area.wind.slope_si", 12.0, "km/h/km", "PANS-OPS II", _TURN_PARAMETERS, "read", "w = 12h + 87"),
    Figure("icao.area.wind.ground_si", 87.0, "km/h", "PANS-OPS II", _TURN_PARAMETERS, "read", "w = 12h + 87"),
    Figure("icao.area.wind.ground", 47.0, "kt", "PANS-OPS II", _TURN_PARAMETERS, "read", "w = 2h + 47"),
    Figure("icao.area.rate.constant", 509.26, "deg kt/s", "PANS-OPS II", _TEMPLATE_TABLE, "read", "R = 509.26 / V"),
    Figure(
        "icao.area.rate.constant_si", 943.27, "deg km/h/s", "PANS-OPS II", _TEMPLATE_TABLE, "read", "R = 943.27 / V"
    ),
    Figure("icao.area.rate.ceiling", 3.0, "deg/s", "PANS-OPS II", "Table I-2-3-1, note 2", "read", "whatever the bank"),
    Figure("icao.area.radius.divisor", 62.83, "", "PANS-OPS II", _TEMPLATE_TABLE, "read", "r = V / (62.83 R)"),
    Figure("icao.area.timing", 10.0, "s", "PANS-OPS II", _TURN_PARAMETERS, "read", "outbound timing tolerance"),
    Figure("icao.area.reaction", 6.0, "s", "PANS-OPS II", _TURN_PARAMETERS, "read", "pilot reaction, 0 to 6 s"),
    Figure("icao.area.bank_time", 5.0, "s", "PANS-OPS II", _TURN_PARAMETERS, "read", "establishing bank"),
    Figure("icao.area.heading", 5.0, "deg", "PANS-OPS II", "Table I-2-3-1", "read", "heading tolerance"),
    Figure("icao.area.secondary", 2.5, "NM", "PANS-OPS II", "I-4-3, 3.6.6", "from memory", "outside the primary area"),
    Figure("icao.area.hold.buffer", 5.0, "NM", "PANS-OPS II", "II-4-1", "second hand", "outside a holding area"),
    Figure(
        "icao.area.hold.far_wind",
        14.0,
        "s",
        "PANS-OPS II",
        "Table I-4-3-App C-4, line 26",
        "second hand",
        "wind at the outbound leg's far end beyond that at its near end: Wi2 = Wi1 + 14 w'",
    ),
    Figure("icao.area.dme.fixed", 0.25, "NM", "PANS-OPS I", "2.4.2", "read", "DME tolerance, fixed part"),
    Figure("icao.area.dme.share", 0.0125, "", "PANS-OPS I", "2.4.2", "read", "DME tolerance, share of the distance"),
    Figure("icao.area.height.NM", 0.164, "NM/1000 ft", "PANS-OPS II", _TEMPLATE_TABLE, "read", "height in the cone"),
    Figure("icao.base_turn.fast_si", 0.116, "deg min/(km/h)", "PANS-OPS II", _TEMPLATE_TABLE, "read", "above 315 km/h"),
    Figure("icao.base_turn.fast_from_si", 315.0, "km/h", "PANS-OPS II", _TEMPLATE_TABLE, "read", "same, SI"),
    Figure("icao.base_turn.slow", 36.0, "deg min", "PANS-OPS II", _TEMPLATE_TABLE, "read", "divergence up to 170 kt"),
    Figure(
        "icao.base_turn.fast", 0.215, "deg min/kt", "PANS-OPS II", _TEMPLATE_TABLE, "read", "divergence above 170 kt"
    ),
    Figure(
        "icao.base_turn.fast_from", 170.0, "kt", "PANS-OPS II", _TEMPLATE_TABLE, "read", "where the formula changes"
    ),
    Figure("rnav.lateral", 1.0, "NM", "PANS-OPS II", "RNAV 1 terminal", "from memory", "cross-track tolerance"),
    Figure("rnav.along", 0.8, "NM", "PANS-OPS II", "RNAV 1 terminal", "from memory", "along-track tolerance"),
)
