"""Words for small places: call-outs of at most six words, chips that say what to do and what it comes to."""

from dataclasses import replace

import pytest
from report_fixture import CAUSES

from analyzer.judged import CODES, Finding
from analyzer.shown.report.view.callouts import MOST_WORDS, short_words
from analyzer.shown.report.view.chips import chip_words

NM = 1852.0


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize(("amount", "unit"), [(12.0, "ft"), (None, ""), (1.2, "full scale")])
def test_a_call_out_is_whole_and_short(code: str, amount: float | None, unit: str) -> None:
    words = short_words(Finding(code, "major", None, None, 10.0, "", "", "", amount, 10.0, amount, unit))
    assert 0 < len(words.split()) <= MOST_WORDS
    assert "…" not in words
    assert "{" not in words
    assert not words.startswith(("None", ","))


EFFECT = CAUSES.effects[0]
CHIPS = [
    ("distance limit", {"name": "outbound time", "flown": 239.0, "asked": 205.0, "after_m": 10.0}, "Outbound 3:25 → inside the limit"),
    ("overshoot", {"name": "offset turn", "flown": 0.0, "asked": 47.2, "after_m": 0.36 * NM}, "47 s level before turning back → 0.36 NM through"),
    ("overshoot", {"name": "offset turn", "flown": 20.0, "asked": 0.0, "after_m": 0.0}, "Turn back at once → on course"),
    ("rolled out short", {"name": "outbound heading", "flown": -16.7, "asked": -40.4, "after_m": 0.23 * NM}, "Outbound heading 24° more left → 0.23 NM short"),
    ("primary area", {"name": "rate of turn", "flown": 1.9, "asked": 3.0, "after_m": 0.0}, "Turn at 3.0°/s → inside the area"),
    ("overshoot", {"name": "turn onto the course", "flown": 9.0, "asked": 0.0, "after_m": 0.0}, "Turn in 9 s sooner → on course"),
    ("overshoot", {"name": "outbound time", "flown": 53.0, "asked": 59.0, "after_m": 1.0 * NM, "contribution_m": 70.0}, "Outbound 59 seconds, with the rest"),
]  # fmt: skip


@pytest.mark.parametrize(("effect", "cause", "words"), CHIPS)
def test_a_chip_says_what_to_do_and_what_it_comes_to(effect: str, cause: dict, words: str) -> None:
    one = replace(EFFECT.causes[0], **{"before_m": NM, "contribution_m": NM, **cause})
    assert chip_words(replace(EFFECT, name=effect), one) == words
