"""Text from outside on its way into the values: on one line, nothing in it that can't be seen."""

import unicodedata

#: control and format characters (marks of direction among them), halves of characters, private and unknown ones,
#: ends of lines and paragraphs; spaces of all widths stay
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def visible(text: str) -> str:
    """Return the text with a space for each character that can't be seen, could turn others round or be no XML."""
    if text.isprintable():
        return text
    return "".join(" " if unicodedata.category(character) in _UNSEEN else character for character in text)
