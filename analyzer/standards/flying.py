"""Published figures of how reversals and holds are flown: timing, entries, bank, handbook manoeuvres."""

from analyzer.standards.published import Figure, by_key

FLYING = by_key(
    # --- timing ------------------------------------------------------------------------------------------------------
    Figure("hold.leg.low", 1.0, "min", "AIM", "5-3-8 j4", "read", "inbound leg of a hold up to 14000 ft"),
    Figure("hold.leg.high", 1.5, "min", "AIM", "5-3-8 j4", "read", "inbound leg of a hold above 14000 ft"),
    Figure("hold.leg.boundary", 14000.0, "ft", "AIM", "5-3-8 j4", "read", "above it a hold's leg is the longer one"),
    Figure(
        "icao.hold.leg.low", 1.0, "min", "PANS-OPS I", "holding", "second hand", "still-air outbound leg to 14000 ft"
    ),
    Figure(
        "icao.hold.leg.high",
        1.5,
        "min",
        "PANS-OPS I",
        "holding",
        "second hand",
        "still-air outbound leg above 14000 ft",
    ),
    Figure(
        "icao.offset_leg.slow",
        1.0,
        "min",
        "PANS-OPS II",
        "I-4-3, 3.5.4.1",
        "second hand",
        "45/180: from the start of the turn, categories A and B",
    ),
    Figure(
        "icao.offset_leg.fast",
        1.25,
        "min",
        "PANS-OPS II",
        "I-4-3, 3.5.4.1",
        "second hand",
        "45/180: from the start of the turn, categories C, D and E",
    ),
    Figure(
        "us.offset_leg.customary",
        1.0,
        "min",
        "practice",
        "",
        "common practice",
        "45/180: from wings level; point and time of the turn are the pilot's choice, AIM 5-4-9 a 1",
    ),
    Figure(
        "us.offset_leg.handbook",
        40.0,
        "s",
        "IFH",
        "chapter 7",
        "read",
        "45/180 in the handbook's exercise: straight after roll-out",
    ),
    Figure(
        "hold.speed_reduction",
        3.0,
        "min",
        "AIM",
        "5-3-8 j8 a",
        "read",
        "slow to holding speed at this time before the fix",
    ),
    Figure("offset_angle.45", 45.0, "deg", "AIM", "5-4-9 a 1", "read", "charted heading off the outbound course"),
    # --- entries -----------------------------------------------------------------------------------------------------
    Figure("entry.line", 70.0, "deg", "AIM", "5-3-8 j", "read", "line through the fix that parts the entry sectors"),
    Figure(
        "entry.flexibility", 5.0, "deg", "AIM", "5-3-8 j8 d", "read", "either entry within this of a sector's boundary"
    ),
    Figure("entry.teardrop", 30.0, "deg", "AIM", "5-3-8 j", "read", "teardrop entry: outbound off the reciprocal"),
    Figure("entry.time", 1.0, "min", "AIM", "5-3-8 j", "read", "teardrop and parallel entry: outbound time"),
    Figure(
        "icao.entry.offset_time",
        1.5,
        "min",
        "PANS-OPS II",
        "I-4-3, 3.4.4.1",
        "read",
        "racetrack, offset entry: longest time on the 30 deg track",
    ),
    Figure(
        "icao.entry.reversal",
        30.0,
        "deg",
        "PANS-OPS II",
        "I-4-3, 3.5.3",
        "read",
        "entry to a reversal from within this of the outbound track",
    ),
    # --- turns -------------------------------------------------------------------------------------------------------
    Figure("turn.standard_rate", 3.0, "deg/s", "IFH", "chapter 7", "read", "standard rate: a circle in two minutes"),
    Figure(
        "hold.bank.most", 30.0, "deg", "AIM", "5-3-8 j8 b", "read", "hold: this, standard rate or 25 deg, the least"
    ),
    Figure("hold.bank.flight_director", 25.0, "deg", "AIM", "5-3-8 j8 b", "read", "hold with a flight director"),
    Figure("icao.bank", 25.0, "deg", "PANS-OPS II", "I-4-3, 3.6.2 f)", "read", "average bank, or 3 deg/s, the smaller"),
    Figure(
        "hold.drift_factor", 3.0, "", "AIM", "5-3-8 j8 c", "read", "outbound correction, as multiple of the inbound one"
    ),
    # --- handbook manoeuvres -----------------------------------------------------------------------------------------
    Figure("ifh.45_180.outbound", 2.0, "min", "IFH", "chapter 7", "read", "45 deg procedure turn: out from the fix"),
    Figure("ifh.80_260.first", 80.0, "deg", "IFH", "chapter 7", "read", "80/260: first turn"),
    Figure("ifh.80_260.second", 260.0, "deg", "IFH", "chapter 7", "read", "80/260: turn the other way at once"),
    # --- descent, per minute ---------------------------------------------------------------------------------------
    Figure(
        "icao.descent.outbound.slow", 804.0, "ft", "PANS-OPS II", "Table I-4-3-1", "read", "most, outbound, A and B"
    ),
    Figure(
        "icao.descent.outbound.fast", 1197.0, "ft", "PANS-OPS II", "Table I-4-3-1", "read", "most, outbound, C to E"
    ),
    Figure("icao.descent.inbound.slow", 655.0, "ft", "PANS-OPS II", "Table I-4-3-1", "read", "most, inbound, A and B"),
    Figure("icao.descent.inbound.fast", 1000.0, "ft", "PANS-OPS II", "Table I-4-3-1", "read", "most, inbound, C to E"),
    Figure(
        "descent.low",
        1000.0,
        "ft/min",
        "IPH",
        "chapter 4",
        "read",
        "about so much is too fast below 1000 ft above ground",
    ),
    Figure("descent.low.height", 1000.0, "ft", "IPH", "chapter 4", "read", "below it above ground a slower descent"),
    Figure("descent.final", 1500.0, "ft/min", "practice", "", "common practice", "most on a final, for 10 s or longer"),
    Figure("final.steepest", 400.0, "ft/NM", "IPH", "chapter 4", "read", "steepest final segment of a straight-in"),
    # --- distances ---------------------------------------------------------------------------------------------------
    Figure("us.remain_within.normal", 10.0, "NM", "AIM", "5-4-9 a 3", "read", "usual distance of a procedure turn"),
    Figure("us.remain_within.least", 5.0, "NM", "AIM", "5-4-9 a 3", "read", "category A or helicopters only"),
    Figure("us.remain_within.most", 15.0, "NM", "AIM", "5-4-9 a 3", "read", "fast aircraft or steep descents"),
)
