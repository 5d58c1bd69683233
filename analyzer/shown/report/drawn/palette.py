"""The page's colours, light and dark, and the dash of each phase: one list for the style sheet and its tests.

The nine phase colours were searched for so that all keep 3:1 against the ground and stay apart for readers with any
of the three colour vision deficiencies; phases that follow each other are the farthest apart. A dash and a number
say the same without colour.
"""

from typing import NamedTuple

from analyzer.given import PHASE_NAMES, PhaseName


class PhaseLook(NamedTuple):
    """How a phase is drawn: colour on the light and the dark ground, dash in pixels (empty: a solid line)."""

    light: str
    dark: str
    dash: str


PHASE_LOOKS: dict[PhaseName, PhaseLook] = {
    "arrival": PhaseLook("#8b86b1", "#7f8d8d", "1.5 4"),
    "outbound turn": PhaseLook("#b28304", "#e6af21", "8 3 2 3"),
    "outbound": PhaseLook("#2e73e5", "#1f98fb", ""),
    "offset turn": PhaseLook("#6a098f", "#ab74b0", "5 2.5"),
    "offset leg": PhaseLook("#e0207c", "#f7b1dc", "15 4"),
    "reversal turn": PhaseLook("#d46955", "#cc6932", "11 3 2 3 2 3"),
    "intercept": PhaseLook("#318487", "#31b387", "3.5 2.5"),
    "inbound": PhaseLook("#054a0d", "#abe189", ""),
    "final": PhaseLook("#483367", "#cca3ff", "13 3 4 3"),
}

#: ground, ink and signs; each pair of ink and ground that the page uses is in TEXT_PAIRS
LIGHT = {
    "ground": "#f4f0e6",
    "sheet": "#fffdf8",
    "ink": "#1b2530",
    "quiet": "#56616c",
    "rule": "#d8d0c0",
    "grid": "#e7e1d3",
    "good": "#0d6350",
    "bad": "#b0281c",
    "open": "#855600",
    "bad-wash": "#f6d9d2",
    "area": "#9fb7a6",
    "area-line": "#4f7a60",
    "limit": "#8a2a20",
    "plan": "#5d6670",
    "link": "#11548c",
    "halo": "#fffdf8",
}
DARK = {
    "ground": "#0e141b",
    "sheet": "#151d26",
    "ink": "#ebe6da",
    "quiet": "#a5adb5",
    "rule": "#33404c",
    "grid": "#25303b",
    "good": "#6fd3b4",
    "bad": "#ff9a85",
    "open": "#f0c060",
    "bad-wash": "#56271f",
    "area": "#3f5d4c",
    "area-line": "#86b597",
    "limit": "#ff9a85",
    "plan": "#a9b2bb",
    "link": "#8fc3f5",
    "halo": "#151d26",
}
#: the time bar is dark on every ground
DOCK = {"dock": "#16202a", "dock-ink": "#f2eee3", "dock-quiet": "#b0bac4", "dock-rule": "#3a4856", "needle": "#ffd35c"}

TEXT_PAIRS = [
    (ink, ground) for ink in ("ink", "quiet", "good", "bad", "open", "link") for ground in ("ground", "sheet")
]
LINE_PAIRS = [(line, "sheet") for line in ("area-line", "limit", "plan")]


#: letters and numbers on a phase's colour: the darker or the lighter of the two, whichever stands out more
ON_PHASE = ("#000000", "#ffffff")


def relative_luminance(colour: str) -> float:
    """Return the relative luminance of a colour, 0 to 1. Source: WCAG 2.2, "relative luminance", read."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ink_on(colour: str) -> str:
    """Return the one of `ON_PHASE` that stands out more on a colour."""
    light = relative_luminance(colour)
    return ON_PHASE[0] if (light + 0.05) / 0.05 >= 1.05 / (light + 0.05) else ON_PHASE[1]


def phase_key(name: PhaseName) -> str:
    """Name of a phase as a class."""
    return name.replace(" ", "-")


def palette_css() -> str:
    """Style rules that set the colours as custom properties and each phase's look."""
    light, dark = {**LIGHT, **DOCK}, {**DARK}
    for name in PHASE_NAMES:
        key, look = phase_key(name), PHASE_LOOKS[name]
        light |= {f"phase-{key}": look.light, f"on-{key}": ink_on(look.light)}
        dark |= {f"phase-{key}": look.dark, f"on-{key}": ink_on(look.dark)}
    light_rules, dark_rules = _properties(light), _properties(dark)
    rules = [
        f":root{{color-scheme:light;{light_rules}}}",
        f"@media screen and (prefers-color-scheme:dark){{:root{{color-scheme:dark;{dark_rules}}}}}",
    ]
    for name, look in PHASE_LOOKS.items():
        key = phase_key(name)
        dash = f"stroke-dasharray:{look.dash};" if look.dash else ""
        rules.append(f".line.{key}{{stroke:var(--phase-{key});{dash}}}")
        rules.append(f".fill.{key}{{fill:var(--phase-{key})}}")
        rules.append(f"text.on.{key}{{fill:var(--on-{key})}}")
    return "\n".join(rules)


def _properties(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in colours.items())
