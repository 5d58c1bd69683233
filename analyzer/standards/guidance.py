"""Published figures of the guidance: full scale of the needle, cones over stations, tolerances of the equipment."""

from analyzer.standards.published import Figure, by_key

GUIDANCE = by_key(
    Figure("full_scale.VOR", 10.0, "deg", "IFH", "chapter 9", "read", "VOR: sensitivity check 10 to 12 deg each side"),
    Figure(
        "full_scale.NDB",
        10.0,
        "deg",
        "practice",
        "",
        "common practice",
        "an NDB has no needle with a full scale; the VOR's is used so that half of it is the 5 deg of PANS-OPS I",
    ),
    Figure("full_scale.localizer", 2.5, "deg", "IFH", "chapter 9", "read", "localizer: course width normally 5 deg"),
    Figure("full_scale.RNAV", 1.0, "NM", "AIM", "1-1-17 b", "read", "terminal sensitivity"),
    Figure("full_scale.RNAV.approach", 0.3, "NM", "AIM", "1-1-17 b", "read", "from the final approach fix"),
    Figure(
        "cone.VOR",
        50.0,
        "deg",
        "PANS-OPS II",
        "I-2-2, 2.5.1",
        "read",
        "half-angle of the cone of ambiguity, from the vertical",
    ),
    Figure(
        "cone.NDB",
        40.0,
        "deg",
        "PANS-OPS II",
        "I-2-2, 2.5.2",
        "read",
        "half-angle of the cone of ambiguity, from the vertical",
    ),
    Figure(
        "icao.established.scale",
        0.5,
        "of full scale",
        "PANS-OPS I",
        "quoted in FAA-H-8261-1, page 4-6",
        "second hand",
        "established on a localizer or VOR",
    ),
    Figure("vor.tracking", 5.2, "deg", "PANS-OPS II", "Table I-2-2-1", "second hand", "tracking tolerance of a VOR"),
    Figure("ndb.tracking", 6.9, "deg", "PANS-OPS II", "Table I-2-2-1", "second hand", "tracking tolerance of an NDB"),
    Figure(
        "localizer.tracking", 2.4, "deg", "PANS-OPS II", "Table I-2-2-1", "second hand", "tracking tolerance, localizer"
    ),
)
