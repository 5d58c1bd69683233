"""Variation: the model that fits the date, its doubt and the notes. The published values stand in tests/against/."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from analyzer.standards.magnetic_model import decimal_year, declination


def test_decimal_years():
    assert decimal_year(date(2026, 1, 1)) == 2026.0
    assert decimal_year(date(2024, 12, 31)) == pytest.approx(2024 + 365 / 366)
    assert decimal_year(date(2025, 12, 31)) == pytest.approx(2025 + 364 / 365)
    # a moment with a zone is taken to UTC: here the day after
    assert decimal_year(datetime(2025, 12, 31, 22, tzinfo=timezone(timedelta(hours=-5)))) == 2026.0


@pytest.mark.parametrize(
    ("year", "model"), [(2011, "WMM2010"), (2017, "WMM2015v2"), (2022, "WMM2020"), (2029, "WMM2025")]
)
def test_the_model_fits_the_date(year, model):
    found = declination(46.2, -101.5, 600.0, date(year, 6, 1))
    assert found.model == model
    assert found.note == ""
    assert 0.26 < found.sigma_deg < 0.6


def test_models_agree_where_they_meet():
    before = declination(46.2, -101.5, 0.0, date(2024, 12, 31))
    after = declination(46.2, -101.5, 0.0, datetime(2025, 1, 1, tzinfo=UTC))
    assert (before.model, after.model) == ("WMM2020", "WMM2025")
    assert before.degrees == pytest.approx(after.degrees, abs=0.2)


@pytest.mark.parametrize("year", [2005, 2033])
def test_outside_its_years_the_note_says_so(year):
    assert (
        "outside the years of the magnetic model (2010 to 2030)"
        in declination(46.2, -101.5, 0.0, date(year, 1, 1)).note
    )


@pytest.mark.parametrize("year", [1995, 2050])
def test_far_outside_there_is_no_number(year):
    with pytest.raises(ValueError, match="not stretched to"):
        declination(46.2, -101.5, 0.0, date(year, 1, 1))


def test_near_the_magnetic_pole_the_note_warns():
    found = declination(86.0, 142.0, 0.0, date(2026, 1, 1))
    assert "unreliable" in found.note
    assert found.sigma_deg > 2.0
