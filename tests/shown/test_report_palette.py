"""Colours: contrast on their ground, and distance for readers with a colour vision deficiency."""

import itertools

import numpy as np
import pytest

from analyzer.given.reversal_names import PHASE_NAMES
from analyzer.shown.report.drawn.palette import DARK, DOCK, LIGHT, LINE_PAIRS, PHASE_LOOKS, TEXT_PAIRS

# WCAG 2.2: success criterion 1.4.3 (text) and 1.4.11 (graphics), https://www.w3.org/TR/WCAG22/, read
TEXT_CONTRAST = 4.5
GRAPHIC_CONTRAST = 3.0
# Machado, Oliveira, Fernandes 2009, "A physiologically-based model for simulation of color vision deficiency",
# severity 1.0, for linear sRGB (from memory)
DEFICIENCIES = {
    "none": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
# CIE 1976 colour difference: 2.3 can just be told apart side by side; on thin lines far more is needed
ANY_TWO_PHASES = 9.0
NEIGHBOURS = 20.0
FOLLOW = [
    ("arrival", "outbound turn"),
    ("arrival", "outbound"),
    ("outbound turn", "outbound"),
    ("outbound", "offset turn"),
    ("offset turn", "offset leg"),
    ("offset turn", "reversal turn"),
    ("offset leg", "reversal turn"),
    ("outbound", "reversal turn"),
    ("reversal turn", "intercept"),
    ("reversal turn", "inbound"),
    ("intercept", "inbound"),
    ("inbound", "final"),
    ("inbound", "outbound turn"),
]


def linear(colour: str) -> np.ndarray:
    channels = np.array([int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def contrast(first: str, second: str) -> float:
    light = sorted(float(linear(colour) @ [0.2126, 0.7152, 0.0722]) for colour in (first, second))
    return (light[1] + 0.05) / (light[0] + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    to_xyz = np.array(
        [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
    )
    share = np.clip(rgb, 0.0, 1.0) @ to_xyz.T / np.array([0.95047, 1.0, 1.08883])
    root = np.where(share > 0.008856, np.cbrt(share), 7.787 * share + 16 / 116)
    return np.array([116 * root[1] - 16, 500 * (root[0] - root[1]), 200 * (root[1] - root[2])])


def difference(first: str, second: str, deficiency: str) -> float:
    seen = DEFICIENCIES[deficiency]
    return float(np.linalg.norm(lab(seen @ linear(first)) - lab(seen @ linear(second))))


def test_contrast_formula_on_the_known_extremes() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_words_can_be_read_on_every_ground(colours: dict[str, str]) -> None:
    low = {pair: contrast(colours[pair[0]], colours[pair[1]]) for pair in TEXT_PAIRS}
    assert min(low.values()) >= TEXT_CONTRAST, low


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_lines_stand_out_from_the_ground(colours: dict[str, str]) -> None:
    low = {pair: contrast(colours[pair[0]], colours[pair[1]]) for pair in LINE_PAIRS}
    assert min(low.values()) >= GRAPHIC_CONTRAST, low


def test_time_bar_can_be_read() -> None:
    assert contrast(DOCK["dock-ink"], DOCK["dock"]) >= TEXT_CONTRAST
    assert contrast(DOCK["dock-quiet"], DOCK["dock"]) >= TEXT_CONTRAST
    assert contrast(DOCK["needle"], DOCK["dock"]) >= TEXT_CONTRAST


@pytest.mark.parametrize("ground", ["light", "dark"])
def test_phases_stand_out_from_the_ground(ground: str) -> None:
    sheet = (LIGHT if ground == "light" else DARK)["sheet"]
    low = {name: contrast(getattr(PHASE_LOOKS[name], ground), sheet) for name in PHASE_NAMES}
    assert min(low.values()) >= GRAPHIC_CONTRAST, low


@pytest.mark.parametrize("ground", ["light", "dark"])
@pytest.mark.parametrize("deficiency", list(DEFICIENCIES))
def test_phases_stay_apart_for_every_reader(ground: str, deficiency: str) -> None:
    colour = {name: getattr(PHASE_LOOKS[name], ground) for name in PHASE_NAMES}
    apart = {
        pair: difference(colour[pair[0]], colour[pair[1]], deficiency)
        for pair in itertools.combinations(PHASE_NAMES, 2)
    }
    assert min(apart.values()) >= ANY_TWO_PHASES, min(apart.items(), key=lambda item: item[1])
    following = {pair: difference(colour[pair[0]], colour[pair[1]], deficiency) for pair in FOLLOW}
    assert min(following.values()) >= NEIGHBOURS, min(following.items(), key=lambda item: item[1])


def test_phases_differ_without_colour() -> None:
    dashes = [PHASE_LOOKS[name].dash for name in PHASE_NAMES]
    for first, second in FOLLOW:
        assert PHASE_LOOKS[first].dash != PHASE_LOOKS[second].dash
    assert len(set(dashes)) == len(dashes) - 1  # outbound and inbound are both solid; their numbers tell them apart
