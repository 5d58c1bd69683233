"""Judges whether the reversal was the charted one: allowed at all, entered from its sector, flown by its method."""

from analyzer.given import FlownAs, Procedure
from analyzer.judged.findings.case import Case, ReversalExpected
from analyzer.judged.findings.values import Finding
from analyzer.judged.findings.wording import magnetic
from analyzer.standards import FLYING
from analyzer.units import clock, wrap_180

#: ICAO reversals are entered from within this of the outbound track (Doc 8168 Vol II, I-4-3, 3.5.3, read)
ENTRY_SECTOR_DEG = FLYING["icao.entry.reversal"].value
#: an arrival this much outside the sector still counts as one along its edge: what a track is kept to (own choice)
ENTRY_DOUBT_DEG = 5.0
_ICAO = "ICAO Doc 8168 Vol II, Part I, Section 4, Chapter 3"
#: methods that a charted reversal of the ICAO criteria may be flown by: the 45/180 and the 80/260 stand for each other
_AS_CHARTED: dict[str, tuple[FlownAs, ...]] = {"procedure turn": ("45/180", "80/260"), "teardrop": ("teardrop",)}


def entry_sector(case: Case) -> list[Finding]:
    """Return the finding on an ICAO reversal entered from outside its sector: there the hold is to be joined first."""
    off_deg = outside_sector_deg(case.procedure, case.attempt.arrival_track_true_deg)
    if off_deg is None or off_deg <= ENTRY_DOUBT_DEG:
        return []
    at_s = case.attempt.first_passage_s
    arrival = magnetic(case.procedure, case.attempt.arrival_track_true_deg or 0.0)
    outbound = magnetic(case.procedure, case.procedure.outbound_true_deg)
    return [
        Finding(
            "outside-entry-sector",
            "major",
            "arrival",
            1,
            at_s,
            f"The fix was crossed at {clock(at_s)} on a track of {arrival}, {off_deg:.0f}° outside the entry sector of "
            f"{ENTRY_SECTOR_DEG:.0f}° either side of the {outbound} outbound track.",
            "Join over the hold: enter it, and begin the reversal from its inbound leg when that lies in the sector.",
            f"{_ICAO}, 3.5.3",
            off_deg,
            0.0,
            -off_deg,
            "deg",
        )
    ]


def outside_sector_deg(procedure: Procedure, arrival_true_deg: float | None) -> float | None:
    """Return how far an arrival lies outside the entry sector of a reversal, degrees; 0 inside, None without a sector.

    Where a base turn's sector does not hold the reciprocal of the inbound track, it reaches to it (Doc 8168 Vol I,
    second hand).
    """
    if procedure.criteria != "ICAO" or procedure.is_hold or arrival_true_deg is None:
        return None
    off = float(wrap_180(arrival_true_deg - procedure.outbound_true_deg))
    reciprocal = float(wrap_180(procedure.reciprocal_true_deg - procedure.outbound_true_deg))
    low, high = min(-ENTRY_SECTOR_DEG, reciprocal), max(ENTRY_SECTOR_DEG, reciprocal)
    return max(low - off, off - high, 0.0)


def charted_method(case: Case) -> list[Finding]:
    """Return the finding on an ICAO reversal flown by another method than the charted one, whose area it is.

    US rules leave the type of a procedure turn to the pilot (AIM 5-4-9 a1): none there.
    """
    allowed = _AS_CHARTED.get(case.procedure.reversal, ())
    flown = case.attempt.flown_as
    if case.is_us or not allowed or flown in allowed or flown == "other" or case.attempt.wrong_side:
        return []
    at_s = case.attempt.first_passage_s
    article = "an" if flown == "80/260" else "a"
    return [
        Finding(
            "not-the-charted-method",
            "minor",  # where it left the area that was not drawn for it, that is said as well
            "outbound",
            1,
            at_s,
            f"From {clock(at_s)} on {article} {flown} was flown; charted is a {case.procedure.reversal} "
            f"({' or '.join(allowed)}), and its area protects that alone.",
            f"Fly the charted {case.procedure.reversal}; ask for something else before the fix if you need it.",
            f"{_ICAO}, 3.5.4",
        )
    ]


def not_permitted(case: Case) -> list[Finding]:
    """Return the finding on a reversal where the clearance or the chart allowed none."""
    arrival = case.attempt.arrival_track_true_deg
    charted = arrival is not None and case.procedure.is_no_reversal_course(arrival)
    if case.reversal_expected != "not permitted" and (case.reversal_expected == "required" or not charted):
        return []
    at_s = case.attempt.first_passage_s
    inbound = magnetic(case.procedure, case.procedure.inbound_true_deg)
    return [
        Finding(
            "reversal-not-permitted",
            "major",
            "outbound turn",
            1,
            at_s,
            f"A reversal was begun at {clock(at_s)} although the {inbound} inbound course was to be flown straight in.",
            'Fly straight in where the chart says "NoPT", on vectors to final, in a timed approach or when cleared so.',
            "AIM 5-4-9 a" if case.is_us else "chart: no reversal",
        )
    ]


def missing_reversal(
    procedure: Procedure, expected: ReversalExpected | None, crossed_at_s: float | None
) -> Finding | None:
    """Return the finding of a track without any reversal; None unless one was required.

    Parameters
    ----------
    procedure : Procedure
    expected : "required", "not permitted" or None
        What the user said about this flight.
    crossed_at_s : float or None
        When the fix was passed, if it was.
    """
    if expected != "required":
        return None
    crossed = "" if crossed_at_s is None else f"The fix was crossed at {clock(crossed_at_s)} and "
    text = f"{crossed}the {procedure.reversal} that the chart requires was not flown (0 reversals found)."
    return Finding(
        "reversal-missing",
        "major",
        None,
        None,
        crossed_at_s,
        text[0].upper() + text[1:],
        f"Fly the {procedure.reversal} unless cleared straight in, on vectors to final or on a segment without one.",
        "AIM 5-4-9 a" if procedure.criteria == "US" else "chart",
    )


def rightly_straight_in(
    procedure: Procedure, expected: ReversalExpected | None, arrival_true_deg: float | None
) -> str | None:
    """Return the praise of a flight that went straight in where no reversal was allowed; None where one was.

    By the clearance, or by the chart for arrivals on such a track ("NoPT"); AIM 5-4-9 a, b1 and 14 CFR 91.175 (j).
    """
    charted = arrival_true_deg is not None and procedure.is_no_reversal_course(arrival_true_deg)
    if expected != "not permitted" and (expected == "required" or not charted):
        return None
    by = "the clearance" if expected == "not permitted" else 'the chart ("NoPT")'
    return f"No course reversal was flown, and none was allowed by {by}: right."
