"""Texts of moments in each layout that recorders write, and those that can't be told apart."""

import os
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st

from analyzer.reading.time_text import AmbiguousDateError, read_moments

MOMENT_S = datetime(2024, 1, 13, 9, 5, 7, tzinfo=UTC).timestamp()
ONE_MICROSECOND_S = 1e-6


@pytest.mark.parametrize(
    "text",
    [
        "2024-01-13T09:05:07Z",
        "2024-01-13T09:05:07",
        "2024-01-13 09:05:07",
        "2024-01-13 09:05:07 UTC",
        "2024-01-13T09:05:07+00:00",
        "2024-01-13T02:05:07-07:00",
        "2024-01-13T02:05:07-0700",
        "2024-01-13T14:35:07+05:30",
        "2024-01-13T10:05:07+01",
        "2024-01-14T00:05:07+15:00",
        "20240113T090507Z",
        "20240113090507",
        "2024-1-13 9:05:07",
        "2024/01/13 09:05:07",
        "2024.01.13 09:05:07",
        "13/01/2024 09:05:07",
        "13.01.2024 09:05:07",
        "13-01-2024 9:05:07",
        "01/13/2024 9:05:07 AM",
        "1/13/2024 09:05:07",
        "13-Jan-2024 09:05:07",
        "13 January 2024 09:05:07",
        " 2024-01-13T09:05:07Z ",
    ],
)
def test_one_moment_in_many_layouts(text: str) -> None:
    moments = read_moments([text])
    assert moments.readable.all()
    assert moments.seconds.tolist() == [MOMENT_S]


@pytest.mark.parametrize(
    ("text", "clock_s"),
    [
        ("00:00:00", 0.0),
        ("9:05", 32_700.0),
        ("09:05:07.25", 32_707.25),
        ("09:05:07,250", 32_707.25),
        ("12:00:01 AM", 1.0),
        ("12:00:01 pm", 43_201.0),
        ("11:59:59 PM", 86_399.0),
        ("24:00:00", 86_400.0),
        ("23:59:60", 86_400.0),
    ],
)
def test_times_of_day(text: str, clock_s: float) -> None:
    moments = read_moments([text])
    assert moments.clock_s.tolist() == [clock_s]
    assert np.isnan(moments.date_s).all()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "noon",
        "2024-13-01T09:00:00Z",
        "2024-02-30T09:00:00Z",
        "2023-02-29T09:00:00Z",
        "2024-01-13T25:00:00Z",
        "2024-01-13T09:60:00Z",
        "2024-01-13T09:00:61Z",
        "13:00:00 PM",
        "0000-00-00T00:00:00Z",
        "13-Foo-2024",
        "2024-01-13T09:00:00Zulu time",
        "٢٠٢٤-٠١-١٣T٠٩:٠٠:٠٠Z",
    ],
)
def test_what_is_no_moment(text: str) -> None:
    moments = read_moments([text])
    assert np.isnan(moments.seconds).all()


def test_29_february_of_a_leap_year_is_a_date() -> None:
    assert np.isfinite(read_moments(["2024-02-29T00:00:00Z", "2000-02-29T00:00:00Z"]).seconds).all()
    assert np.isnan(read_moments(["1900-02-29T00:00:00Z"]).seconds).all()


@pytest.mark.parametrize("texts", [["03/04/2024 10:00:00"], ["3/4/2024", "3/5/2024"], ["24/03/04 10:00"]])
def test_day_and_month_that_can_not_be_told_apart_are_asked_for(texts: list[str]) -> None:
    with pytest.raises(AmbiguousDateError, match=texts[0]):
        read_moments(texts)
    day_first = read_moments(["03/04/2024 10:00:00"], date_order="dmy").seconds[0]
    month_first = read_moments(["03/04/2024 10:00:00"], date_order="mdy").seconds[0]
    assert datetime.fromtimestamp(day_first, UTC) == datetime(2024, 4, 3, 10, tzinfo=UTC)
    assert datetime.fromtimestamp(month_first, UTC) == datetime(2024, 3, 4, 10, tzinfo=UTC)


def test_rows_that_contradict_each_other_are_asked_for() -> None:
    with pytest.raises(AmbiguousDateError):
        read_moments(["13/01/2024", "01/13/2024"])


def test_a_few_damaged_rows_among_plain_ones_are_no_question() -> None:
    seconds = read_moments(["2024-01-13T09:05:07Z"] * 5 + ["24-01-13T09:05:07Z"]).seconds
    assert np.isfinite(seconds).tolist() == [True] * 5 + [False]


def test_one_row_decides_for_all() -> None:
    seconds = read_moments(["12/01/2024 23:59:59", "13/01/2024 00:00:00"]).seconds
    assert seconds[1] - seconds[0] == 1.0


def test_day_equal_to_month_needs_no_answer() -> None:
    assert datetime.fromtimestamp(read_moments(["04/04/2024 10:00"]).seconds[0], UTC).month == 4


def test_dates_with_points_are_written_day_first() -> None:
    assert datetime.fromtimestamp(read_moments(["03.04.2024 10:00"]).seconds[0], UTC).month == 4


def test_layouts_may_be_mixed_in_a_column() -> None:
    texts = ["2024-01-13T09:05:07Z", "", "2024-01-13T09:05:07.5Z", "x" * 500, "2024-01-13T11:05:07+02:00"] * 50
    seconds = read_moments(texts).seconds
    assert seconds[:5].tolist()[::2] == [MOMENT_S, MOMENT_S + 0.5, MOMENT_S]
    assert np.isnan(seconds[1::5]).all()
    assert np.isnan(seconds[3::5]).all()


def test_columns_longer_than_a_chunk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("analyzer.reading.time_text._CHUNK", 7)
    texts = [f"2024-01-13T09:00:{second:02d}Z" for second in range(60)]
    assert np.diff(read_moments(texts).seconds).tolist() == [1.0] * 59


def test_thousands_of_layouts_end_quickly() -> None:
    texts = ["".join(chr(97 + (i >> shift) % 26) for shift in range(12)) + "x" * (i % 25) for i in range(20_000)]
    assert np.isnan(read_moments(texts).seconds).all()


def test_no_rows() -> None:
    assert len(read_moments([]).seconds) == 0


@given(
    st.datetimes(datetime(1950, 1, 1), datetime(2150, 1, 1)),
    st.integers(-14 * 60, 14 * 60),
    st.sampled_from(["T", " "]),
    st.integers(0, 6),
)
@settings(max_examples=int(os.environ.get("READER_EXAMPLES", "100")), deadline=None)
def test_iso_texts_against_the_standard_library(moment: datetime, offset_min: int, between: str, digits: int) -> None:
    """`datetime.fromisoformat` reads the same moment."""
    zone = timezone(timedelta(minutes=offset_min))
    text = moment.replace(microsecond=0).isoformat(between)
    fraction = f"{moment.microsecond:06d}"[:digits]
    text += (f".{fraction}" if fraction else "") + moment.replace(tzinfo=zone).strftime("%z")
    padded = text.replace(f".{fraction}", f".{fraction.ljust(6, '0')}") if fraction else text
    expected = (datetime.fromisoformat(padded) - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()
    assert read_moments([text]).seconds[0] == pytest.approx(expected, abs=ONE_MICROSECOND_S)
