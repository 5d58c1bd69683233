"""What a misspelt word was probably meant to be."""

from collections.abc import Iterable
from difflib import get_close_matches

_LONGEST_COMPARED = 80  # letters: comparing takes their square, and no word of ours is longer


def likely_words(word: str, known: Iterable[str], most: int = 1, alike: float = 0.6) -> list[str]:
    """Return the known words that are most like a word, the likeliest first; none where none is near.

    Parameters
    ----------
    word : str
        As it was typed; only its first 80 characters count.
    known : iterable of str
    most : int
        Longest list.
    alike : float
        Share of the letters that must agree, 0 to 1.
    """
    return get_close_matches(word[:_LONGEST_COMPARED], list(known), most, alike)


def did_you_mean(word: str, known: Iterable[str], alike: float = 0.6) -> str:
    """Return ' Did you mean "..."?' with a space before it, or nothing where no known word is near."""
    likely = likely_words(word, known, 1, alike)
    return f' Did you mean "{likely[0]}"?' if likely else ""
