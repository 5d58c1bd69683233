"""Numbers as a pilot reads them."""

import pytest

from analyzer.units import clock, feet, knots, miles, number, seconds, side_word, span


@pytest.mark.parametrize(
    ("elapsed_s", "words"), [(0.0, "00:00"), (59.6, "01:00"), (3599.0, "59:59"), (3600.0, "1:00:00"), (-4.0, "00:00")]
)
def test_a_clock_has_hours_from_the_first_hour_on(elapsed_s, words):
    assert clock(elapsed_s) == words


def test_si_becomes_what_the_chart_has():
    """1 NM is 1852 m, 1 ft 0.3048 m and 1 kt 1852 m an hour, each exact by definition."""
    assert miles(1852.0) == "1.00 NM"
    assert feet(304.8) == "1,000 ft"
    assert knots(51.4444) == "100 kt"
    assert seconds(59.6) == "60 s"
    assert span(62.0, 130.0) == "from 01:02 to 02:10"
    assert (side_word(0.1), side_word(-0.1)) == ("right", "left")


def test_what_is_below_zero_has_a_minus_sign_and_what_is_not_known_a_dash():
    assert feet(-30.48) == "−100 ft"
    assert feet(30.48, signed=True) == "+100 ft"
    assert feet(-0.01) == "0 ft"
    assert miles(2778.0, 1) == "1.5 NM"
    assert miles(None) == knots(None) == seconds(float("nan")) == number(float("inf")) == "–"
    assert number(-1234.56, 1) == "−1,234.6"
