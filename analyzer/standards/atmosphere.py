"""Published figures of the standard atmosphere and of airspeed."""

from analyzer.standards.published import Figure, by_key

ATMOSPHERE = by_key(
    Figure("isa.temperature", 288.15, "K", "Doc 7488", "Table A", "read", "at mean sea level"),
    Figure("isa.pressure", 1013.25, "hPa", "Doc 7488", "Table A", "read", "at mean sea level"),
    Figure("isa.lapse", 0.0065, "K/m", "Doc 7488", "2.2", "from memory", "temperature falls by this up to 11 km"),
    Figure("isa.tropopause", 11000.0, "m", "Doc 7488", "2.2", "read", "geopotential altitude, -56.5 deg C above"),
    Figure("isa.gas_constant", 287.05287, "J/(kg K)", "Doc 7488", "2.1", "from memory", "dry air"),
    Figure("isa.heat_ratio", 1.4, "", "Doc 7488", "2.1", "from memory", "ratio of the specific heats of air"),
    Figure(
        "icao.k.factor",
        171233.0,
        "",
        "PANS-OPS II",
        "Part I, Section 1, appendix on IAS to TAS",
        "second hand",
        "IAS to TAS: K = 171233 sqrt(288 + VAR - 0.00198 H) / (288 - 0.00198 H)^2.628, H in ft",
    ),
    Figure("icao.k.ground", 288.0, "K", "PANS-OPS II", "same", "second hand", "temperature in the formula for K"),
    Figure("icao.k.lapse", 0.00198, "K/ft", "PANS-OPS II", "same", "second hand", "lapse rate in the formula for K"),
    Figure("icao.k.exponent", 2.628, "", "PANS-OPS II", "same", "second hand", "exponent in the formula for K"),
    Figure(
        "icao.isa_deviation", 15.0, "K", "PANS-OPS II", "Table I-4-3-App C-1", "read", "warmer than standard by design"
    ),
)
