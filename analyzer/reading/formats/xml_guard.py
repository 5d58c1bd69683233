"""What an XML file may hold before anything else reads it: no document type, no entities, and limits on everything.

The guard is a bare expat parser (standard library) over the raw bytes. The direct readers are guarded parsers
themselves; `check_xml` is for libraries that build a tree, which a deep or huge file would otherwise bring down.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from xml.parsers import expat

from analyzer.errors import TrackFileError

# expat reports these when the document simply stops
_STOPS_EARLY = frozenset(
    expat.errors.codes[text]
    for text in (
        expat.errors.XML_ERROR_NO_ELEMENTS,
        expat.errors.XML_ERROR_UNCLOSED_TOKEN,
        expat.errors.XML_ERROR_PARTIAL_CHAR,
        expat.errors.XML_ERROR_UNCLOSED_CDATA_SECTION,
    )
)
_DECLARED_ENCODING = re.compile(rb"""^\s*<\?xml[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']""")


@dataclass(frozen=True)
class XmlLimits:
    """The largest document that is read; generous for any recorder, far below what harms the machine.

    `points` is 48 hours at 20 a second and more; the other limits are several times what track formats use.
    """

    depth: int = 64
    attributes: int = 64
    attribute_characters: int = 8_192
    text_characters: int = 1_000_000
    points: int = 4_000_000
    elements: int = 100_000_000


DEFAULT_LIMITS = XmlLimits()


class UnknownEncodingError(Exception):
    """The document names an encoding that expat does not read."""


def guarded_parser(source: str, encoding: str | None = None) -> Any:
    """Return an expat parser that refuses document types, entities and processing of anything outside the file.

    Parameters
    ----------
    source : str
        The file as errors name it.
    encoding : str, optional
        Overrides what the document declares.
    """
    parser = expat.ParserCreate(encoding)
    parser.buffer_text = True
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)

    def refuse_document_type(*_: Any) -> Any:
        raise TrackFileError(
            f"{source}, line {parser.CurrentLineNumber}: holds a document type or entity declaration, which track "
            "files never need and which can be used to harm; delete everything from <!DOCTYPE to its closing >"
        )

    parser.StartDoctypeDeclHandler = refuse_document_type
    parser.EntityDeclHandler = refuse_document_type
    parser.ExternalEntityRefHandler = refuse_document_type
    parser.SkippedEntityHandler = refuse_document_type
    return parser


def too_much(source: str, parser: Any, what: str, limit: int) -> TrackFileError:
    """Return the refusal of a document beyond one of the limits."""
    return TrackFileError(
        f"{source}, line {parser.CurrentLineNumber}: {what}, the limit is {limit:,}; no recorder writes such a track"
    )


def run_parser(make: Callable[[str | None], Any], data: bytes, source: str) -> bool:
    """Feed a whole document to a parser and say whether it was complete.

    Parameters
    ----------
    make : callable
        Given an encoding or None, returns a fresh parser with its handlers; called a second time where the bytes are
        not in the encoding that the document claims.
    data : bytes
        The document.
    source : str
        The file as errors name it.

    Returns
    -------
    bool
        False where the document stops early, as after a power failure: what stood before the end was handed over.

    Raises
    ------
    TrackFileError
        Where the document is not well-formed XML, with its line and column.
    UnknownEncodingError
        Where it declares an encoding that expat does not know.
    """
    parser = make(None)
    try:
        _parse(parser, data)
    except expat.ExpatError as error:
        if error.code in _STOPS_EARLY:
            return False
        if error.code == expat.errors.codes[expat.errors.XML_ERROR_INVALID_TOKEN] and not _is_utf8(data):
            parser = make("iso-8859-1")  # a Latin-1 name in a document that says or implies UTF-8 is common
            try:
                _parse(parser, data)
            except expat.ExpatError as second:
                if second.code in _STOPS_EARLY:
                    return False
                raise _not_well_formed(source, second) from second
        else:
            raise _not_well_formed(source, error) from error
    return True


def check_xml(data: bytes, source: str, limits: XmlLimits = DEFAULT_LIMITS, point_names: tuple[str, ...] = ()) -> None:
    """Raise TrackFileError where the document is not well-formed, or holds more than the limits allow.

    Parameters
    ----------
    data : bytes
        The document.
    source : str
        The file as errors name it.
    limits : XmlLimits
    point_names : tuple of str
        Local names of the elements counted as points.
    """

    def make(encoding: str | None) -> Any:
        parser = guarded_parser(source, encoding)
        counts = {"depth": 0, "elements": 0, "points": 0, "text": 0}

        def start(name: str, attributes: dict[str, str]) -> None:
            counts["depth"] += 1
            counts["elements"] += 1
            counts["text"] = 0
            check_element(source, parser, limits, counts["depth"], attributes)
            if counts["elements"] > limits.elements:
                raise too_much(source, parser, "holds too many elements", limits.elements)
            if name.rpartition(":")[2] in point_names:
                counts["points"] += 1
                if counts["points"] > limits.points:
                    raise too_much(source, parser, "holds too many points", limits.points)

        def end(_: str) -> None:
            counts["depth"] -= 1
            counts["text"] = 0

        def text(characters: str) -> None:
            counts["text"] += len(characters)
            if counts["text"] > limits.text_characters:
                raise too_much(source, parser, "holds a text that is too long", limits.text_characters)

        parser.StartElementHandler = start
        parser.EndElementHandler = end
        parser.CharacterDataHandler = text
        return parser

    if not run_parser(make, data, source):
        raise TrackFileError(f"{source}: the file stops before its end; copy it from the recorder again")


def check_element(source: str, parser: Any, limits: XmlLimits, depth: int, attributes: dict[str, str]) -> None:
    """Raise TrackFileError where an element lies too deep or has too many or too long attributes."""
    if depth > limits.depth:
        raise too_much(source, parser, "elements are nested too deeply", limits.depth)
    if len(attributes) > limits.attributes:
        raise too_much(source, parser, "an element has too many attributes", limits.attributes)
    for value in attributes.values():
        if len(value) > limits.attribute_characters:
            raise too_much(source, parser, "an attribute is too long", limits.attribute_characters)


def declared_encoding(data: bytes) -> str | None:
    """Return the encoding that an XML declaration names, None for none."""
    found = _DECLARED_ENCODING.match(data[:300])
    return found.group(1).decode("ascii") if found else None


def _parse(parser: Any, data: bytes) -> None:
    try:
        parser.Parse(data, True)
    except (LookupError, ValueError) as error:  # from the codec machinery, for an encoding expat does not know
        raise UnknownEncodingError(str(error)) from error


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return data[:2] in (b"\xff\xfe", b"\xfe\xff")
    return True


def _not_well_formed(source: str, error: expat.ExpatError) -> TrackFileError:
    reason = expat.ErrorString(error.code) or "not well-formed"
    return TrackFileError(
        f"{source}, line {error.lineno}, column {error.offset + 1}: XML error: {reason}; "
        "export the track again or correct that place"
    )
