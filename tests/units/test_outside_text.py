"""Text from outside without what can't be seen."""

import pytest

from analyzer.units import visible


@pytest.mark.parametrize("unseen", ["\n", "\x1b", "\u202e", "\u200b", "\ud800", "\ue000", "\u2028"])
def test_what_can_not_be_seen_becomes_a_space(unseen):
    assert visible(f"a{unseen}b") == "a b"


@pytest.mark.parametrize("text", ["Harrow Flats", "Öland ÅÄ", "航空", ""])
def test_letters_of_all_scripts_stay(text):
    assert visible(text) == text
