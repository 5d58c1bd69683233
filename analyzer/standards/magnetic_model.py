"""Magnetic variation from the World Magnetic Model at a place and date."""

import importlib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from typing import Any

#: first year, first year after, name and data module of each model; [WMM] each epoch holds for five years
_MODELS = (
    (2010.0, 2015.0, "WMM2010", "wmm_2010", "WMM_2010"),
    (2015.0, 2020.0, "WMM2015v2", "wmm_2015v2", "WMM_2015v2"),
    (2020.0, 2025.0, "WMM2020", "wmm_2020", "WMM_2020"),
    (2025.0, 2030.0, "WMM2025", "wmm_2025", "WMM_2025"),
)
#: beyond the models' years the field is extrapolated this far and no further
_LONGEST_EXTRAPOLATION_YEARS = 10.0
#: horizontal field below which the model's authors call the declination unreliable, nT; [WMM] blackout zone
_BLACKOUT_NT = 2000.0
#: below this they ask for caution, nT; [WMM] caution zone
_CAUTION_NT = 6000.0


@dataclass(frozen=True)
class Declination:
    """Magnetic variation at a place and date.

    Parameters
    ----------
    degrees : float
        East of true north; west is negative.
    sigma_deg : float
        1 sigma as the model's authors state it (global mean of what the model leaves out); grows near the poles.
    model : str
        "WMM2025" and the like.
    note : str
        What limits the value, one sentence; empty within the model's years and away from the magnetic poles.
    """

    degrees: float
    sigma_deg: float
    model: str
    note: str


def decimal_year(moment: datetime | date) -> float:
    """Return the date as a year with its fraction; a moment with a zone is taken to UTC first."""
    if isinstance(moment, datetime):
        if moment.tzinfo is not None:
            moment = moment.astimezone(UTC)
        moment = moment.date()
    first = date(moment.year, 1, 1).toordinal()
    days = 366 if moment.year % 4 == 0 and (moment.year % 100 != 0 or moment.year % 400 == 0) else 365
    return moment.year + (moment.toordinal() - first) / days


def declination(latitude_deg: float, longitude_deg: float, height_m: float, moment: datetime | date) -> Declination:
    """Return the magnetic variation by the model that holds at the date.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        WGS 84.
    height_m : float
        Above mean sea level; a kilometre changes the variation by less than 0.01 deg away from the poles.
    moment : datetime or date
        The flight's; before 2010 and after 2030 the nearest model is extrapolated and the note says so.

    Raises
    ------
    ValueError
        For a date more than ten years outside the models, where no number would be honest.
    """
    year = decimal_year(moment)
    first, last = _MODELS[0][0], _MODELS[-1][1]
    if not first - _LONGEST_EXTRAPOLATION_YEARS <= year <= last + _LONGEST_EXTRAPOLATION_YEARS:
        raise ValueError(f"the magnetic model covers {first:.0f} to {last:.0f} and is not stretched to {year:.0f}")
    model = next((entry for entry in _MODELS if year < entry[1]), _MODELS[-1])
    result = _model(model[3], model[4]).calculate(
        glat=latitude_deg, glon=longitude_deg, alt=height_m / 1000.0, time=year, allow_date_outside_lifespan=True
    )
    notes = []
    if not first <= year < last:
        notes.append(f"The date lies outside the years of the magnetic model ({first:.0f} to {last:.0f}).")
    if result.h < _BLACKOUT_NT:
        notes.append("So near a magnetic pole the variation is unreliable.")
    elif result.h < _CAUTION_NT:
        notes.append("So near a magnetic pole the variation is uncertain.")
    # [WMM] error model: a constant part and one that grows where the horizontal field is weak; the coefficients of
    # the 2025 report serve for all epochs, which differ by under a tenth
    sigma = float((0.26**2 + (5417.0 / result.h) ** 2) ** 0.5)
    return Declination(float(result.d), sigma, model[2], " ".join(notes))


@cache
def _model(module: str, name: str) -> Any:
    from pygeomag import GeoMag  # imported here: only a procedure that asks for the model pays for it

    data = getattr(importlib.import_module(f"pygeomag.wmm.{module}"), name)
    return GeoMag(coefficients_data=data)
