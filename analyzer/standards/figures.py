"""Every published figure that the project uses, each with its source and how well it is known.

`figure("us.speed.procedure_turn").value` is the number, `citation("us.speed.procedure_turn")` the source in words.
"""

from collections.abc import Mapping
from types import MappingProxyType

from analyzer.standards.areas import AREAS_ICAO, AREAS_US
from analyzer.standards.atmosphere import ATMOSPHERE
from analyzer.standards.flying import FLYING
from analyzer.standards.guidance import GUIDANCE
from analyzer.standards.published import DOCUMENTS, Figure, by_key
from analyzer.standards.speeds import SPEEDS_ICAO, SPEEDS_US

#: all figures by key; a section that is added goes into this list
FIGURES: Mapping[str, Figure] = MappingProxyType(
    by_key(
        *SPEEDS_US.values(),
        *SPEEDS_ICAO.values(),
        *FLYING.values(),
        *GUIDANCE.values(),
        *ATMOSPHERE.values(),
        *AREAS_US.values(),
        *AREAS_ICAO.values(),
    )
)


def figure(key: str) -> Figure:
    """Return a figure by its key.

    Raises
    ------
    KeyError
        For a key that is not listed: a mistake of the caller.
    """
    return FIGURES[key]


def citation(key: str) -> str:
    """Return the source of a figure in one line: document, paragraph, edition, how well it is known."""
    entry = FIGURES[key]
    document = DOCUMENTS[entry.document]
    place = f", {entry.paragraph}" if entry.paragraph else ""
    return f"{document.title}{place} ({document.edition}; {entry.status})"
