"""Published speed limits: US course reversals and holds, ICAO categories and holds."""

from analyzer.standards.published import Figure, by_key

# --- US ---------------------------------------------------------------------------------------------------------
SPEEDS_US = by_key(
    Figure(
        "us.speed.procedure_turn",
        200.0,
        "kt IAS",
        "AIM",
        "5-4-9 a 3",
        "read",
        "maximum from first overheading the reversal's fix through the turn",
    ),
    Figure("us.speed.hold.low", 200.0, "kt IAS", "AIM", "5-3-8 j", "read", "holding up to 6000 ft"),
    Figure("us.speed.hold.middle", 230.0, "kt IAS", "AIM", "5-3-8 j", "read", "holding from 6001 to 14000 ft"),
    Figure("us.speed.hold.high", 265.0, "kt IAS", "AIM", "5-3-8 j", "read", "holding from 14001 ft"),
    Figure("us.speed.hold.low_top", 6000.0, "ft", "AIM", "5-3-8 j", "read", "top of the lowest holding speed band"),
    Figure("us.speed.hold.middle_top", 14000.0, "ft", "AIM", "5-3-8 j", "read", "top of the middle holding speed band"),
)

# --- ICAO: approach categories -------------------------------------------------------------------------------------
SPEEDS_ICAO = by_key(
    *(
        Figure(
            f"icao.speed.reversal.{category}",
            speed,
            "kt IAS",
            "PANS-OPS II",
            "Table I-4-1-2",
            "second hand" if category in ("A", "B", "C") else "from memory",
            f"maximum for reversal and racetrack procedures, category {category}",
        )
        for category, speed in (("A", 110.0), ("B", 140.0), ("C", 240.0), ("D", 250.0), ("E", 250.0))
    ),
    *(
        Figure(
            f"icao.speed.threshold.{category}",
            speed,
            "kt IAS",
            "PANS-OPS II",
            "Table III-3-6-3",
            "read",
            f"highest speed at the threshold, category {category}",
        )
        for category, speed in (("A", 90.0), ("B", 120.0), ("C", 140.0), ("D", 165.0))
    ),
    Figure(
        "icao.speed.slow_check",
        90.0,
        "kt IAS",
        "PANS-OPS II",
        "Part I, Section 4, Chapter 3, 3.6 (page I-4-3-8)",
        "read",
        "speed at which areas of base and procedure turns are checked as well",
    ),
    # --- ICAO: holding ---------------------------------------------------------------------------------------------
    Figure(
        "icao.speed.hold.small",
        170.0,
        "kt IAS",
        "PANS-OPS II",
        "Table II-4-1-2",
        "second hand",
        "holding up to 14000 ft, limited to categories A and B",
    ),
    Figure(
        "icao.speed.hold.14000",
        230.0,
        "kt IAS",
        "PANS-OPS II",
        "Table II-4-1-2",
        "second hand",
        "holding up to 14000 ft",
    ),
    Figure(
        "icao.speed.hold.20000",
        240.0,
        "kt IAS",
        "PANS-OPS II",
        "Table II-4-1-2",
        "second hand",
        "holding above 14000 to 20000 ft",
    ),
    Figure(
        "icao.speed.hold.34000",
        265.0,
        "kt IAS",
        "PANS-OPS II",
        "Table II-4-1-2",
        "second hand",
        "holding above 20000 to 34000 ft",
    ),
)


def us_holding_speed(altitude_ft: float) -> Figure:
    """Return the highest indicated airspeed of a US hold at an altitude."""
    if altitude_ft <= SPEEDS_US["us.speed.hold.low_top"].value:
        return SPEEDS_US["us.speed.hold.low"]
    if altitude_ft <= SPEEDS_US["us.speed.hold.middle_top"].value:
        return SPEEDS_US["us.speed.hold.middle"]
    return SPEEDS_US["us.speed.hold.high"]


def icao_holding_speed(altitude_ft: float, category: str) -> Figure | None:
    """Return the highest indicated airspeed of an ICAO hold; None above 34000 ft, where a Mach number holds."""
    if altitude_ft <= 14000.0:
        return SPEEDS_ICAO["icao.speed.hold.small" if category in ("A", "B") else "icao.speed.hold.14000"]
    if altitude_ft <= 20000.0:
        return SPEEDS_ICAO["icao.speed.hold.20000"]
    return SPEEDS_ICAO["icao.speed.hold.34000"] if altitude_ft <= 34000.0 else None


def speed_limit(criteria: str, category: str, is_hold: bool, altitude_ft: float) -> Figure | None:
    """Return the speed limit that the criteria give for a reversal, or None where they give none.

    Parameters
    ----------
    criteria : str
        "US" or "ICAO".
    category : str
        Approach category A to E; counts for ICAO only.
    is_hold : bool
        Hold in lieu or holding; otherwise procedure turn or teardrop.
    altitude_ft : float
        Charted altitude of the hold; counts for holds only.
    """
    if criteria == "US":
        return us_holding_speed(altitude_ft) if is_hold else SPEEDS_US["us.speed.procedure_turn"]
    return icao_holding_speed(altitude_ft, category) if is_hold else SPEEDS_ICAO[f"icao.speed.reversal.{category}"]
