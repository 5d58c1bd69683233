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
CHIPS = (
    ("distance limit", ("outbound time", 239.0, 205.0), 0.01, "Outbound 3:25 → inside the limit"),
    ("overshoot", ("offset turn", 0.0, 47.2), 0.36, "47 s level before turning back → 0.36 NM through"),
    ("overshoot", ("offset turn", 20.0, 0.0), 0.0, "Turn back at once → on course"),
    ("rolled out short", ("outbound heading", -16.7, -40.4), 0.23, "Outbound heading 24° more left → 0.23 NM short"),
    ("primary area", ("rate of turn", 1.9, 3.0), 0.0, "Turn at 3.0°/s → inside the area"),
    ("overshoot", ("turn onto the course", 9.0, 0.0), 0.0, "Turn in 9 s sooner → on course"),
    ("roll-out point", ("outbound distance", 4.6, 4.0), 0.04, "Turn back at 4.0 NM → 0.04 NM from there"),
    ("overshoot", ("outbound time", 53.0, 59.0), 0.98, "Outbound 59 seconds, with the rest"),
)


@pytest.mark.parametrize(("effect", "cause", "left_nm", "words"), CHIPS)
def test_a_chip_says_what_to_do_and_what_it_comes_to(
    effect: str, cause: tuple[str, float, float], left_nm: float, words: str
) -> None:
    name, flown, asked = cause
    share = NM if left_nm < 0.9 else 0.1 * NM
    sizes = {"before_m": NM, "after_m": left_nm * NM, "contribution_m": share}
    one = replace(EFFECT.causes[0], name=name, flown=flown, asked=asked, **sizes)
    assert chip_words(replace(EFFECT, name=effect), one) == words
