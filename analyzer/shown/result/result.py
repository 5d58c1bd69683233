"""The result file's content, made from an assessment: the one place where its numbers get their units and rounding."""

import math
from pathlib import PurePath
from typing import Any

import numpy as np

from analyzer.given import Place, Procedure, QualityNote, Wind
from analyzer.judged import Assessment
from analyzer.shown.result import types as shape
from analyzer.shown.result.attempt import attempt_result
from analyzer.shown.result.charted import charted_result
from analyzer.shown.result.rounding import (
    DEGREES,
    FEET,
    KNOTS,
    NAUTICAL_MILES,
    PLACES,
    SECONDS,
    course,
    limit_ft,
    number,
    rounded,
)
from analyzer.units import METRES_PER_FOOT, METRES_PER_NM, MPS_PER_KNOT
from analyzer.version import __version__

CAUTION = (
    "Training debrief only, not for navigation or flight planning. The chart in force, the rules of the place and a "
    "licensed instructor decide."
)


def result_dict(assessment: Assessment) -> dict[str, Any]:
    """Return the result file's content, plain values only: dict, list, str, int, float, bool, None.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    dict
        Keys and units as `result_types.Result` names them; what is not known is None, never nan.
    """
    from analyzer.shown.result.geojson import protection_geojson

    track = assessment.track
    altitude = assessment.altitude
    made_at = assessment.options.made_at
    result: shape.Result = {
        "schema": shape.SCHEMA,
        "caution": CAUTION,
        "program": {
            "name": "reversal-debrief",
            "version": __version__,
            "made_at_utc": made_at.isoformat() if made_at is not None else None,
        },
        "track": {
            "name": track.name,
            "points": len(track),
            "duration_s": rounded(track.duration_s, SECONDS),
            "median_interval_s": number(track.median_interval_s, 1.0, SECONDS),
            "columns_used": list(track.columns_used),
            "quality": quality_result(track.quality + assessment.notes),
            "start_utc": track.start.isoformat() if track.start is not None else None,
            "position_noise_m": number(assessment.motion.scatter_m, 1.0, 2),
            "source_sha256": track.source_sha256,
        },
        "procedure": procedure_result(assessment.procedure),
        "wind": _wind(assessment.wind),
        "wind_reason": assessment.wind_reason,
        "altitude_record": None
        if altitude is None
        else {
            "kind": altitude.kind,
            "note": altitude.note,
            "median_sigma_ft": number(_median(altitude.sigma_m), METRES_PER_FOOT, FEET),
        },
        "tolerances": _file_name(assessment.options.tolerances),
        "protection": protection_geojson(assessment),
        "room": None
        if assessment.room is None
        else {
            "outbound_nm": number(assessment.room.outbound_m, METRES_PER_NM, NAUTICAL_MILES),
            "manoeuvre_nm": number(assessment.room.manoeuvre_m, METRES_PER_NM, NAUTICAL_MILES),
            "other_nm": number(assessment.room.other_m, METRES_PER_NM, NAUTICAL_MILES),
        },
        "attempts": [attempt_result(assessed, assessment.procedure) for assessed in assessment.attempts],
    }
    return dict(result)


def procedure_result(procedure: Procedure) -> shape.ProcedureResult:
    """Return a procedure as the result file holds it: as understood, with its defaults."""
    guidance = procedure.guidance

    def magnetic(true_deg: float) -> float:
        return course(procedure.magnetic_deg(true_deg))

    return {
        "title": procedure.title,
        "reversal": procedure.reversal,
        "fix": _place(procedure.fix),
        "course": {
            "inbound_deg": magnetic(procedure.inbound_true_deg),
            "inbound_deg_true": course(procedure.inbound_true_deg),
            "outbound_deg": magnetic(procedure.outbound_true_deg),
            "outbound_deg_true": course(procedure.outbound_true_deg),
            "offset_deg": magnetic(procedure.offset_true_deg),
            "offset_deg_true": course(procedure.offset_true_deg),
            "variation_deg": rounded(procedure.variation_deg, DEGREES),
            "variation_source": procedure.variation_source,
            "turn_side": procedure.turn_side,
        },
        "guidance": {
            "kind": guidance.kind,
            "full_scale_deg": number(guidance.full_scale_deg, 1.0, DEGREES),
            "full_scale_nm": number(guidance.full_scale_m, METRES_PER_NM, NAUTICAL_MILES),
            "latitude": rounded(guidance.station.latitude_deg, PLACES),
            "longitude": rounded(guidance.station.longitude_deg, PLACES),
            "ident": guidance.station.ident,
        },
        "limits": {
            "remain_within_nm": number(procedure.remain_within_m, METRES_PER_NM, NAUTICAL_MILES),
            "outbound_min": number(procedure.outbound_s, 60.0, 3),
            "outbound_nm": number(procedure.outbound_m, METRES_PER_NM, NAUTICAL_MILES),
            "timing_from": procedure.timing_from,
            "max_ias_kt": number(procedure.max_ias_mps, MPS_PER_KNOT, KNOTS),
        },
        "altitudes": [
            {"segment": limit.segment, "rule": limit.rule, "limit_ft": limit_ft(limit)} for limit in procedure.altitudes
        ],
        "protection": {"criteria": procedure.criteria, "category": procedure.category},
        "runway": _place(procedure.runway) if procedure.runway is not None else None,
        "charted": charted_result(procedure, _place),
        "defaults": sorted(procedure.defaults),
        "source": _file_name(procedure.source),
        "notes": list(procedure.notes),
    }


def _place(place: Place) -> shape.PlaceResult:
    return {
        "ident": place.ident,
        "latitude": rounded(place.latitude_deg, PLACES),
        "longitude": rounded(place.longitude_deg, PLACES),
        "elevation_ft": number(place.elevation_m, METRES_PER_FOOT, FEET),
    }


def _wind(wind: Wind | None) -> shape.WindResult | None:
    if wind is None:
        return None
    speed_sigma_mps, from_sigma_deg, tas_sigma_mps = wind_sigmas(wind)
    return {
        "from_deg_true": course(wind.from_deg_true),
        "speed_kt": rounded(wind.speed_mps / MPS_PER_KNOT, KNOTS),
        "tas_kt": number(wind.tas_mps, MPS_PER_KNOT, KNOTS),
        "from_sigma_deg": number(from_sigma_deg, 1.0, DEGREES),
        "speed_sigma_kt": number(speed_sigma_mps, MPS_PER_KNOT, KNOTS),
        "tas_sigma_kt": number(tas_sigma_mps, MPS_PER_KNOT, KNOTS),
        "method": wind.method,
    }


def wind_sigmas(wind: Wind) -> tuple[float | None, float | None, float | None]:
    """1 sigma of a wind's speed (m/s), of the direction it blows from (degrees) and of the true airspeed (m/s).

    First order: the covariance along the wind and across it, the latter over the speed. A direction is never known
    worse than 180 degrees; in a calm it is not known at all.

    Returns
    -------
    tuple of float or None
        None for a wind that came without covariance; the last one None where no airspeed is known.
    """
    if wind.covariance is None:
        return None, None, None
    east_east, east_north, _, north_north, _, tas_tas = wind.covariance
    covariance = np.array([[east_east, east_north], [east_north, north_north]])
    if wind.speed_mps == 0.0:
        return math.sqrt(max(float(np.linalg.eigvalsh(covariance)[-1]), 0.0)), 180.0, math.sqrt(max(tas_tas, 0.0))
    along = np.array([wind.east_mps, wind.north_mps]) / wind.speed_mps
    across = np.array([-along[1], along[0]])
    speed_sigma_mps = math.sqrt(max(float(along @ covariance @ along), 0.0))
    from_sigma_deg = math.degrees(math.sqrt(max(float(across @ covariance @ across), 0.0)) / wind.speed_mps)
    tas_sigma_mps = None if wind.tas_mps is None else math.sqrt(max(tas_tas, 0.0))
    return speed_sigma_mps, min(from_sigma_deg, 180.0), tas_sigma_mps


def _file_name(path: str | None) -> str | None:
    """Return a path without its folders, which may name a person."""
    return None if path is None else PurePath(path).name


def quality_result(notes: tuple[QualityNote, ...]) -> list[shape.QualityResult]:
    """Return the notes in order, each once: a later step may hand on what the reader saw."""
    return [
        {"code": note.code, "text": note.text, "on_first_screen": note.on_first_screen} for note in dict.fromkeys(notes)
    ]


def _median(values: Any) -> float | None:
    finite = values[np.isfinite(values)]
    return float(np.median(finite)) if len(finite) else None
