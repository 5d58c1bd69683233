"""The list of published figures: whole, cited, and the bands of the speed limits."""

import pytest

from analyzer.standards.figures import DOCUMENTS, FIGURES, citation, figure
from analyzer.standards.published import Figure, by_key
from analyzer.standards.speeds import icao_holding_speed, speed_limit, us_holding_speed


def test_every_figure_says_what_it_is_and_where_it_stands():
    assert len(FIGURES) > 80
    for key, entry in FIGURES.items():
        assert entry.key == key
        assert entry.document in DOCUMENTS
        assert entry.text
        # what is read or quoted has a place; practice and physics have none to give
        assert entry.paragraph or entry.document in ("practice", "physics"), key


def test_a_citation_is_one_line():
    said = citation("us.speed.procedure_turn")
    assert said == "FAA Aeronautical Information Manual, 5-4-9 a 3 (effective 20 April 2023; read)"


def test_a_key_given_twice_and_a_strange_document_are_refused():
    entry = Figure("x", 1.0, "kt", "AIM", "1", "read", "x")
    with pytest.raises(ValueError, match="listed twice"):
        by_key(entry, entry)
    with pytest.raises(ValueError, match="not a listed document"):
        by_key(Figure("y", 1.0, "kt", "Somewhere", "1", "read", "y"))
    with pytest.raises(KeyError):
        figure("no.such.figure")


@pytest.mark.parametrize(("feet", "knots"), [(6000, 200), (6001, 230), (14000, 230), (14001, 265)])
def test_us_holding_bands(feet, knots):
    assert us_holding_speed(feet).value == knots


@pytest.mark.parametrize(
    ("feet", "category", "knots"),
    [(14000, "A", 170), (14000, "C", 230), (14001, "A", 240), (20000, "D", 240), (20001, "D", 265), (34000, "E", 265)],
)
def test_icao_holding_bands(feet, category, knots):
    found = icao_holding_speed(feet, category)
    assert found is not None
    assert found.value == knots


def test_above_34000_ft_no_indicated_speed_holds():
    assert icao_holding_speed(34001, "D") is None
    assert speed_limit("ICAO", "D", True, 34001) is None


def test_a_procedure_turn_does_not_ask_for_the_altitude():
    low, high = (speed_limit("US", "A", False, feet) for feet in (1000, 16000))
    assert low == high
    assert low is not None
    assert low.value == 200
