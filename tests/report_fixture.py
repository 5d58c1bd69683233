"""A flight made by hand for the report's tests: an invented 45/180 with known faults, and variants of it."""

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import numpy as np

from analyzer.flown.altitude.altimeter_record import AltitudeRecord
from analyzer.flown.attempt import Attempt, FixPassage, FlownTurn, Phase
from analyzer.flown.motion.motion import estimate_motion
from analyzer.given.plane import Frame
from analyzer.given.procedure import AltitudeLimit, Guidance, Place, Procedure
from analyzer.given.track import QualityNote, Track
from analyzer.given.wind import Wind
from analyzer.judged.assessment import AssessedAttempt, Assessment
from analyzer.judged.causes.values import Cause, Causes, Effect
from analyzer.judged.findings.values import Finding, Judgement
from analyzer.judged.flight_card import FlightCard
from analyzer.judged.measurements.values import (
    AltitudeMeasure,
    AltitudeViolation,
    AttemptMeasures,
    Containment,
    Excursion,
    Intercept,
    LapMeasure,
    Speed,
    Timing,
    TurnMeasure,
)
from analyzer.judged.scoring import Deduction, Scores
from analyzer.planned.paths import nominal_paths
from analyzer.planned.protection.build import protection_areas
from analyzer.planned.solver.values import NoPlan
from analyzer.units.factors import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT

INBOUND_TRUE_DEG = 125.0
CARD = FlightCard(
    "Next time, in the same wind",
    "Wind 062° magnetic at 21 kt, true airspeed 100 kt.",
    ("Outbound heading 304° (6° right for the wind), 2:00.", "Turn right to 343°, 54 seconds from wings level."),
    NoPlan("45/180", None, 51.4, None, "made by hand"),
)
CAUSES = Causes(
    1,
    95.0,
    140.0,
    (
        Effect(
            "distance limit",
            1005.0,
            0.0,
            (
                Cause(
                    "outbound time",
                    239.0,
                    205.0,
                    "s",
                    1005.0,
                    60.0,
                    945.0,
                    80.0,
                    "With 205 s instead of 239 s outbound the distance beyond the limit is 0.03 instead of 0.54 NM.",
                ),
                Cause(
                    "wind correction",
                    0.0,
                    6.0,
                    "deg",
                    1005.0,
                    800.0,
                    205.0,
                    90.0,
                    "With 6° right of drift correction the distance beyond the limit is 0.43 instead of 0.54 NM.",
                ),
            ),
            "Flown again as it was, the distance beyond the limit is 0.54 NM.",
        ),
    ),
)
FOOT = METRES_PER_FOOT


def procedure() -> Procedure:
    fix = Place(46.2, -101.5, "HRF", 1900 * FOOT)
    return Procedure(
        title="VOR-A, Harrow Flats",
        reversal="procedure turn",
        fix=fix,
        inbound_true_deg=INBOUND_TRUE_DEG,
        variation_deg=7.0,
        variation_source="file",
        turn_side="right",
        outbound_true_deg=305.0,
        offset_true_deg=350.0,
        guidance=Guidance("VOR", fix, 10.0, None),
        remain_within_m=10 * METRES_PER_NM,
        outbound_s=60.0,
        outbound_m=None,
        timing_from="wings level",
        max_ias_mps=200 * MPS_PER_KNOT,
        altitudes=(
            AltitudeLimit("arrival", "at or above", 5500 * FOOT, None),
            AltitudeLimit("reversal", "at or above", 4600 * FOOT, None),
            AltitudeLimit("inbound", "at or above", 4600 * FOOT, None),
            AltitudeLimit("final", "at or above", 3100 * FOOT, None),
        ),
        criteria="US",
        category="A",
        runway=Place(46.155, -101.402, "12", 1850 * FOOT),
        defaults=frozenset({"limits.timing_from", "limits.max_ias_kt", "guidance.full_scale_deg"}),
        source="harrow_flats.toml",
    )


@cache
def _flown() -> tuple[np.ndarray, dict[str, float]]:
    """Rows of (time, along, cross, altitude) at 1 Hz, and the moments at which the phases begin."""
    tas, wind_along, wind_cross = 100 * MPS_PER_KNOT, 6.0, 9.0  # blown away from the fix and to the right of the course
    along, cross, heading = -9500.0, -1500.0, -171.0 + 0.0  # heading relative to the inbound course
    rows, marks = [], {}
    stage, since, altitude = "arrival", 0.0, 5620 * FOOT
    wander = np.random.default_rng(7).normal(0.0, 1.0, 4000).cumsum()
    wander = np.convolve(wander - np.convolve(wander, np.ones(240) / 240, "same"), np.ones(12) / 12, "same")
    turned = 0.0
    for second in range(2200):
        rows.append((float(second), along, cross, altitude + wander[second] * 1.6))
        distance = np.hypot(along, cross)
        wanted, rate = heading, 3.0
        drift = np.degrees(np.arcsin(wind_cross / tas))
        if stage == "arrival":
            wanted = np.degrees(np.arctan2(-cross, along)) - 10
            if distance < 180:
                stage, since = "outbound", 0.0
                marks["passage"] = float(second)
        elif stage == "outbound":
            off = np.clip((cross - 0.0) * 0.02, -25, 25)
            wanted = 180.0 + drift * 0.6 + off
            if since > 250:
                stage, since, turned = "offset turn", 0.0, 0.0
                marks[stage] = float(second)
        elif stage == "offset turn":
            wanted, rate = heading + 20, 3.0
            turned += rate
            if turned >= 45:
                stage, since = "offset leg", 0.0
                marks[stage] = float(second)
        elif stage == "offset leg":
            if since > 66:
                stage, since, turned = "reversal turn", 0.0, 0.0
                marks[stage] = float(second)
        elif stage == "reversal turn":
            wanted, rate = heading - 20, 2.7
            turned += rate
            if turned >= 180:
                stage, since = "intercept", 0.0
                marks[stage] = float(second)
        elif stage in ("intercept", "inbound"):
            off = np.clip(-cross * 0.030, -45, 45)
            wanted = off - drift
            if (
                stage == "intercept"
                and abs(cross) < 0.5 * np.tan(np.radians(10)) * along
                and since > 40
                and abs(off) < 8
            ):
                stage, since = "inbound", 0.0
                marks[stage] = float(second)
            if along < 60:
                stage, since = "final", 0.0
                marks[stage] = float(second)
        elif stage == "final":
            wanted = np.clip(-cross * 0.02, -20, 20) - drift
            if along < -8200:
                break
        climb = 0.0
        if stage == "outbound" and altitude > 4640 * FOOT:
            climb = -500
        elif stage == "reversal turn":
            climb = -110 if since < 50 else 160
        elif stage in ("intercept", "inbound") and altitude < 4625 * FOOT:
            climb = 150
        elif stage == "final" and altitude > 3140 * FOOT:
            climb = -700
        altitude += climb * FOOT / 60
        error = (wanted - heading + 180) % 360 - 180
        heading += float(np.clip(error, -rate, rate))
        angle = np.radians(heading)
        along += -np.cos(angle) * tas + wind_along
        cross += np.sin(angle) * tas + wind_cross
        since += 1.0
    return np.array(rows), marks


def assessment() -> Assessment:
    """The flight with its faults: past the distance limit, low in the turn, an overshoot."""
    plan = procedure()
    frame = Frame(plan.fix.latitude_deg, plan.fix.longitude_deg, INBOUND_TRUE_DEG)
    rows, marks = _flown()
    time, along, cross, altitude = rows.T
    latitude, longitude = frame.latitude_longitude_from_along_cross(along, cross)
    track = Track(
        name="lesson_14",
        time_s=time,
        latitude_deg=latitude,
        longitude_deg=longitude,
        altitude_m=altitude,
        altitude_kind="indicated",
        start=datetime(2026, 5, 17, 14, 3, 20, tzinfo=UTC),
        columns_used=("time", "latitude", "longitude", "altitude_ft"),
        quality=(QualityNote("gap", "No positions for 14 s after 00:21:10; the path is bridged there."),),
    )
    motion, _ = estimate_motion(track, frame)
    end = float(time[-1])
    names = ["offset turn", "offset leg", "reversal turn", "intercept", "inbound", "final"]
    first = marks["passage"]
    starts = [("arrival", 0.0), ("outbound turn", first), ("outbound", first + 12)] + [(n, marks[n]) for n in names]
    ends = [start for _, start in starts[1:]] + [end]
    phases = tuple(Phase(name, 1, start, stop) for (name, start), stop in zip(starts, ends, strict=True))
    turns = (
        ("outbound turn", 1, FlownTurn(first, first + 12, 21.0, 1.9, 2.6, 51.4, "air heading")),
        ("offset turn", 1, FlownTurn(marks["offset turn"], marks["offset leg"], 45.0, 2.9, 3.2, 51.4, "air heading")),
        (
            "reversal turn",
            1,
            FlownTurn(marks["reversal turn"], marks["intercept"], -181.0, -2.7, -3.3, 51.4, "air heading"),
        ),
    )
    attempt = Attempt(
        number=1,
        start_s=0.0,
        end_s=end,
        passages=(FixPassage(first, 150.0, "outbound"), FixPassage(marks["final"], 60.0, "inbound")),
        flown_as="45/180",
        entry=None,
        entry_expected=None,
        entry_near_boundary=False,
        arrival_track_true_deg=296.0,
        laps=1,
        phases=phases,
        turns=turns,
        established_s=(marks["inbound"],),
        complete=True,
        wrong_side=False,
        evidence=(
            "Turned 45° right off the outbound course, flew straight for 67 s, then turned 181° left.",
            "The two turns go opposite ways: that is a 45/180, not a racetrack or a teardrop.",
        ),
    )
    areas = protection_areas(plan)
    distance = np.hypot(along, cross)
    within = (time >= first) & (time <= marks["final"])
    farthest = int(np.argmax(np.where(within, distance, 0)))
    beyond = np.flatnonzero(within & (distance > 10 * METRES_PER_NM))
    excursions = ()
    if len(beyond):
        excursions = (
            Excursion(
                "distance limit",
                float(time[beyond[0]]),
                float(time[beyond[-1]]),
                float(distance[farthest] - 10 * METRES_PER_NM),
                float(time[farthest]),
                "reversal turn",
                1,
            ),
        )
    containment = Containment(
        margin_m=float(10 * METRES_PER_NM - distance[farthest]),
        sigma_m=10.0,
        margin_area="distance limit",
        margin_at_s=float(time[farthest]),
        max_distance_m=float(distance[farthest]),
        max_distance_at_s=float(time[farthest]),
        excursions=excursions,
    )
    altitudes = _altitudes(plan, time, altitude, marks, end)
    low = altitudes[1]
    crossed = (time >= marks["intercept"]) & (time <= marks["inbound"])
    overshoot = int(np.argmax(np.where(crossed, cross, -1e9)))
    measures = AttemptMeasures(
        containment=containment,
        altitudes=altitudes,
        intercept=Intercept(
            45.0,
            max(0.0, float(cross[overshoot])),
            float(time[overshoot]),
            1,
            True,
            marks["inbound"],
            float(np.interp(marks["inbound"], time, distance)),
            0.11,
            0.36,
            marks["inbound"] + 30,
            10.0,
        ),
        timing=Timing("offset leg", 1, marks["offset leg"], 67.0, 60.0, 54.0, 1.0),
        turns=tuple(TurnMeasure(phase, lap, turn, 15.2, 1720.0) for phase, lap, turn in turns),
        speed=Speed("tas", 104 * MPS_PER_KNOT, first + 70, 200 * MPS_PER_KNOT, 1.5),
        laps=(LapMeasure(1, 186.0, marks["final"] - marks["inbound"], marks["inbound"]),),
    )
    judgement = _judgement(measures, low, marks)
    scores = Scores(
        42.0,
        71.0,
        88.0,
        76.0,
        61.0,
        (
            Deduction("containment", "distance-limit", 58.0, "Beyond the distance limit"),
            Deduction("altitude", "below-minimum", 29.0, "Below the minimum in the reversal"),
        ),
        "not to standard",
    )
    wind = Wind(*frame.east_north_from_along_cross(6.0, 9.0), 51.4, (0.4, 0.1, 0.0, 0.5, 0.0, 0.6), "turns and legs")
    return Assessment(
        track=track,
        procedure=plan,
        frame=frame,
        motion=motion,
        wind=wind,
        wind_reason="",
        altitude=AltitudeRecord(time, altitude, np.full_like(time, 20 * FOOT), "indicated", "As the altimeter showed."),
        protection=areas,
        nominal=nominal_paths(plan, 51.4, wind, "45/180"),
        attempts=(AssessedAttempt(attempt, measures, judgement, scores, cards=(CARD,), causes=CAUSES),),
        notes=track.quality,
    )


def straight_in() -> Assessment:
    """A flight that never reverses: no attempts, a note that says why."""
    full = assessment()
    note = QualityNote("no-reversal", "No course reversal: the flight passed the fix once, inbound, and went on.")
    return replace(full, attempts=(), notes=(note,), wind=None, wind_reason="No turn of 90° or more to find it from.")


def hostile() -> Assessment:
    """Every text from outside carries markup, quotes and line separators."""
    full = assessment()
    bad = "</script><img src=x onerror=alert(1)>\u2028\"'&]]>"
    fix = replace(full.procedure.fix, ident=bad)
    plan = replace(full.procedure, title=bad, fix=fix, runway=replace(full.procedure.runway, ident=bad), source=bad)
    note = QualityNote("note", bad)
    one = full.attempts[0]
    findings = tuple(replace(f, text=bad, advice=bad, reference=bad) for f in one.judgement.findings)
    changed = replace(
        one,
        attempt=replace(one.attempt, evidence=(bad,)),
        judgement=replace(one.judgement, findings=findings, not_assessed=(bad,)),
    )
    return replace(
        full,
        track=replace(full.track, name=bad, columns_used=(bad,), quality=(note,)),
        procedure=plan,
        attempts=(changed,),
        notes=(note,),
        wind_reason=bad,
    )


def two_attempts() -> Assessment:
    """The same reversal counted twice, as a second section."""
    full = assessment()
    one = full.attempts[0]
    return replace(full, attempts=(one, replace(one, attempt=replace(one.attempt, number=2))))


def _altitudes(
    plan: Procedure, time: np.ndarray, altitude: np.ndarray, marks: dict[str, float], end: float
) -> tuple[AltitudeMeasure, ...]:
    spans = {
        "arrival": (0.0, marks["passage"]),
        "reversal": (marks["passage"], marks["inbound"]),
        "inbound": (marks["inbound"], marks["final"]),
        "final": (marks["final"], end),
    }
    measures = []
    for limit in plan.altitudes:
        start, stop = spans[limit.segment]
        inside = np.flatnonzero((time >= start) & (time < stop))
        worst = int(inside[np.argmin(altitude[inside])])
        below = inside[altitude[inside] < limit.low_m]
        violations: tuple[AltitudeViolation, ...] = ()
        if len(below):
            runs = np.split(below, np.flatnonzero(np.diff(below) > 1) + 1)
            violations = tuple(
                AltitudeViolation(
                    float(time[run[0]]),
                    float(time[run[-1]]),
                    float(altitude[run].min()),
                    float(time[run[np.argmin(altitude[run])]]),
                )
                for run in runs
            )
        measures.append(
            AltitudeMeasure(
                limit,
                float(altitude[worst]),
                float(time[worst]),
                float(altitude[worst] - limit.low_m),
                20 * FOOT,
                violations,
            )
        )
    return tuple(measures)


def _judgement(measures: AttemptMeasures, low: AltitudeMeasure, marks: dict[str, float]) -> Judgement:
    past_nm = -measures.containment.margin_m / METRES_PER_NM
    low_ft = -low.margin_m / FOOT
    findings = (
        Finding(
            "distance-limit",
            "critical",
            "reversal turn",
            1,
            measures.containment.margin_at_s,
            f"Flew {past_nm:.2f} NM beyond the 10 NM distance limit in the reversal turn.",
            "Start the turn off the outbound course about 25 s earlier: the wind carried you outbound at 12 kt.",
            "Procedure: remain within 10 NM; AIM 5-4-9 a",
            10 + past_nm,
            10.0,
            -past_nm,
            "NM",
        ),
        Finding(
            "below-minimum",
            "major",
            "reversal turn",
            1,
            low.worst_at_s,
            f"Descended {low_ft:.0f} ft below the 4,600 ft minimum while turning inbound.",
            "Hold a little back pressure in the turn and scan the altimeter every 30° of turn.",
            "Procedure: 4,600 ft until established; AIM 5-4-9 a",
            4600 - low_ft,
            4600.0,
            -low_ft,
            "ft",
        ),
        Finding(
            "leg-long",
            "minor",
            "offset leg",
            1,
            marks["offset leg"] + 54,
            "The offset leg lasted 67 s; the wind asked for 54 s.",
            "With a tailwind on the leg take about a second off for each knot.",
            "Common practice",
            67.0,
            60.0,
            -7.0,
            "s",
        ),
        Finding(
            "overshoot",
            "note",
            "intercept",
            1,
            marks["inbound"] - 20,
            "Crossed the course once by 0.05 NM before settling on it.",
            "Lead the turn onto the course by half the bank angle.",
            "IFH chapter 7",
            0.05,
            0.2,
            0.15,
            "NM",
        ),
    )
    verdicts = tuple("not to standard" if measure.violations else "to standard" for measure in measures.altitudes)
    return Judgement(
        "outside" if past_nm > 0 else "inside",
        verdicts,
        "to standard",
        "not to standard",
        "to standard",
        findings,
        ("Bank angle in turns: the track has no bank column; the mean bank is worked out from rate and airspeed.",),
    )
