"""What a misspelt word was probably meant to be."""

import time

from analyzer.units import did_you_mean, likely_words

KEYS = ["inbound_deg", "outbound_deg", "variation_deg"]


def test_a_misspelt_word_is_answered_with_the_likeliest():
    assert did_you_mean("inbund_deg", KEYS) == ' Did you mean "inbound_deg"?'
    assert likely_words("bound_deg", KEYS, most=2)[0] in ("inbound_deg", "outbound_deg")
    assert len(likely_words("bound_deg", KEYS, most=2)) == 2


def test_where_nothing_is_near_nothing_is_said():
    assert did_you_mean("flaps", KEYS) == ""
    assert likely_words("", KEYS) == []


def test_a_word_of_a_million_letters_costs_no_time():
    began = time.perf_counter()
    did_you_mean("inbound_deg" * 100_000, KEYS)
    assert time.perf_counter() - began < 0.5
