"""Variation against the test values that the authors of the World Magnetic Model publish with its coefficients.

Source of WMM2025: the official test-value file of the model, read second hand in agreeing transcriptions. It prints
declination to 0.01 degrees, so half a last figure is allowed; heights are kilometres above the WGS 84 ellipsoid.
Dates: 2025.0 is the first of January; 2027.5 is approached by the nearest day (half a day is 0.0007 degrees of the
fastest change here, added to the tolerance).
"""

from datetime import date

import pytest

from analyzer.standards.magnetic_model import declination

HALF_A_LAST_FIGURE_DEG = 0.005
HALF_A_DAY_DEG = 0.001


@pytest.mark.parametrize(
    ("moment", "height_km", "latitude", "longitude", "published"),
    [
        (date(2025, 1, 1), 0, 80, 0, 1.28),
        (date(2025, 1, 1), 0, 0, 120, -0.16),
        (date(2025, 1, 1), 0, -80, 240, 68.78),
        (date(2025, 1, 1), 100, 80, 0, 0.85),
        (date(2025, 1, 1), 100, 0, 120, -0.15),
        (date(2025, 1, 1), 100, -80, 240, 68.21),
        (date(2027, 7, 2), 0, 80, 0, 2.59),
        (date(2027, 7, 2), 0, 0, 120, -0.24),
        (date(2027, 7, 2), 0, -80, 240, 68.49),
        (date(2027, 7, 2), 100, 80, 0, 2.16),
        (date(2027, 7, 2), 100, 0, 120, -0.23),
        (date(2027, 7, 2), 100, -80, 240, 67.93),
    ],
)
def test_the_published_declinations_of_2025(moment, height_km, latitude, longitude, published):
    found = declination(latitude, longitude, 1000.0 * height_km, moment)
    assert found.model == "WMM2025"
    assert found.degrees == pytest.approx(published, abs=HALF_A_LAST_FIGURE_DEG + HALF_A_DAY_DEG)


@pytest.mark.parametrize(("latitude", "longitude", "published"), [(80, 0, -1.28), (0, 120, 0.16), (-80, 240, 69.36)])
def test_the_model_before_is_used_for_its_years(latitude, longitude, published):
    """WMM2020 at its epoch; the three values are from memory, so their agreement is what speaks for them."""
    found = declination(latitude, longitude, 0.0, date(2020, 1, 1))
    assert found.model == "WMM2020"
    assert found.degrees == pytest.approx(published, abs=HALF_A_LAST_FIGURE_DEG)
