"""How wide a text is at most, so that what is set beside it never touches it.

Each letter counts as the wider of our own face and the usual face that stands in until ours is
there; figures are set in a face whose letters are all alike. A letter unknown here counts as wide
as it is high.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

_BY_WIDTH: Final = (
    (0.35, "ijlI'|"),
    (0.45, ' frt.,:;()-!"J[]'),
    (0.56, "csz/\\_`*?F·–k"),
    (0.63, "abdeghnopquvxyPTYELS°äöüéèåøß{}"),
    (0.70, "0123456789ABCDGKRVXZ$>"),
    (0.80, "HNOQU&"),
    (0.86, "+=<>^~#w±≈×½−@"),
    (1.00, "mMW%…"),
)
_WORDS: Final = {letter: width for width, letters in _BY_WIDTH for letter in letters}
_FIGURES: Final = {" ": 0.6, ".": 0.6, ",": 0.6, ":": 0.6, "≈": 0.85, "…": 0.76, "№": 1.05}
_FIGURE: Final = 0.66
_WIDEST: Final = 1.05
_LAST_FIGURE: Final = "\u2212"


@lru_cache(maxsize=4096)
def width_of(text: str, size: float, numbers: bool = False) -> float:
    """Give the most that a text of a type size takes, in the same pixels as the size.

    >>> width_of("ill", 10.0) < width_of("WWW", 10.0)
    True
    """
    if numbers:
        return size * sum(_FIGURES.get(one, _figure(one)) for one in text)
    return size * sum(_WORDS.get(one, _WIDEST) for one in text)


def _figure(letter: str) -> float:
    return _FIGURE if letter <= _LAST_FIGURE else _WIDEST


@lru_cache(maxsize=4096)
def fitted(text: str, width: float, size: float, numbers: bool = False) -> str:
    """Cut a text that is wider than its place, with an ellipsis; at least one letter stays.

    >>> fitted("Backyard Pale", 60.0, 12.0)
    'Backya…'
    """
    if width_of(text, size, numbers) <= width:
        return text
    kept = text[:-1]
    while len(kept) > 1 and width_of(kept.rstrip() + "…", size, numbers) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"
