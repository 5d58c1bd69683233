"""What a published figure is: its value, its unit, where it stands and how well it is known."""

from dataclasses import dataclass
from typing import Literal

#: read: in the document's own text · second hand: in a text that quotes it · from memory: known, but the page was not
#: at hand · calculated: by the formula named · common practice: in general use, without a document that binds
Status = Literal["read", "second hand", "from memory", "calculated", "common practice"]


@dataclass(frozen=True)
class Document:
    """A source of figures, with the edition that the paragraph numbers belong to."""

    key: str
    title: str
    edition: str


@dataclass(frozen=True)
class Figure:
    """One published figure.

    Parameters
    ----------
    key : str
        Short name by which it is looked up and cited, such as "us.speed.procedure_turn".
    value : float
    unit : str
        "kt", "ft", "min", "deg" ... "" for a pure number.
    document : str
        Key of a `Document`.
    paragraph : str
        Place in the document; "" where not known.
    status : str
        See `Status`.
    text : str
        What the figure is, in one line.
    """

    key: str
    value: float
    unit: str
    document: str
    paragraph: str
    status: Status
    text: str


DOCUMENTS: dict[str, Document] = {
    entry.key: entry
    for entry in (
        Document("AIM", "FAA Aeronautical Information Manual", "effective 20 April 2023"),
        Document("IFH", "FAA-H-8083-15B Instrument Flying Handbook", "2012"),
        Document("IPH", "FAA-H-8083-16B Instrument Procedures Handbook", "2017"),
        Document("PHAK", "FAA-H-8083-25 Pilot's Handbook of Aeronautical Knowledge", "edition B, 2016"),
        Document(
            "TERPS", "FAA Order 8260.3 United States Standard for Terminal Instrument Procedures", "edition B ff."
        ),
        Document("PANS-OPS I", "ICAO Doc 8168 Volume I Flight Procedures", "5th edition, 2006"),
        Document(
            "PANS-OPS II",
            "ICAO Doc 8168 Volume II Construction of Visual and Instrument Flight Procedures",
            "5th edition, 2006, Corrigendum 1 of 2007",
        ),
        Document("Doc 7488", "ICAO Doc 7488 Manual of the ICAO Standard Atmosphere", "3rd edition, 1993"),
        Document("WMM", "World Magnetic Model, NOAA NCEI and British Geological Survey", "2010 to 2025"),
        Document("ARINC 424", "ARINC Specification 424 Navigation System Data Base", "supplement 18"),
        Document("P/CG", "FAA Pilot/Controller Glossary", "5 September 2024"),
        Document("practice", "General flying practice", "no document"),
        Document("physics", "Derived from the mechanics of the turn", "no document"),
    )
}


def by_key(*figures: Figure) -> dict[str, Figure]:
    """Return the figures under their keys.

    Raises
    ------
    ValueError
        For a key given twice or a document that is not listed: a mistake in this package.
    """
    found: dict[str, Figure] = {}
    for figure in figures:
        if figure.key in found:
            raise ValueError(f"the figure {figure.key} is listed twice")
        if figure.document not in DOCUMENTS:
            raise ValueError(f"the figure {figure.key} cites {figure.document}, which is not a listed document")
        found[figure.key] = figure
    return found
