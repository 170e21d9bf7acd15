"""How a quantity is spelled: from a text to signed numbers with the units as written.

Knows no unit by name: it finds numbers, fractions, marks and signs, and gives each number the
letters that follow it. `ullage.units` says what the letters mean.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_DECIMAL = r"(?:[1-9]\d{0,2}(?:,\d{3})+(?!\d)(?:\.\d*)?|\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?"
_TERM = re.compile(
    rf"\s*(?P<number>(?:\d+[ -]+)?\d+/\d+|{_DECIMAL})\s*"
    r"(?P<unit>(?:[A-Za-z](?:[A-Za-z_/. ]|(?<=m)3(?!\d))*)?)",
    re.ASCII,
)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?!\d)", re.ASCII)
_SIGNS = str.maketrans({"−": "-", "–": "-", "“": '"', "”": '"', "″": '"', "’": "'", "′": "'"})
_VULGAR = re.compile(r"([¼-¾⅐-⅞])")
_SPELLINGS = (
    (re.compile(r"°\s*"), " deg"),
    (re.compile(r"''|\""), " in "),
    (re.compile(r"'"), " ft "),
    (re.compile(r"%"), " percent "),
    (re.compile(r"\s+(?:per|an?|each)\s+"), "/"),
    (re.compile(r"\s*[/⁄]\s*"), "/"),
)


@dataclass(frozen=True, slots=True)
class Term:
    """A number and the unit written behind it; `unit` is empty when there was none."""

    number: float
    unit: str


def tidied(text: str) -> str:
    """Return the text with one spelling for each sign, mark and blank.

    >>> tidied("1½″"), tidied("38 °F"), tidied("6 pints a week")
    ('1 1/2 in', '38 degF', '6 pints/week')
    """
    text = _VULGAR.sub(r" \1", text.translate(_SIGNS).replace("º", "°"))
    text = unicodedata.normalize("NFKC", text)
    for pattern, replacement in _SPELLINGS:
        text = pattern.sub(replacement, text)
    return " ".join(text.split())


def terms(text: str) -> tuple[Term, ...]:
    """Return the numbers of a quantity with their units; empty when the text is no quantity.

    A sign before the first number holds for all of them.

    >>> terms("5' 6\\"")
    (Term(number=5.0, unit='ft'), Term(number=6.0, unit='in'))
    """
    text = tidied(text)
    sign = -1.0 if text.startswith("-") else 1.0
    at = 1 if text[:1] in ("+", "-") else 0
    found: list[Term] = []
    while at < len(text):
        match = _TERM.match(text, at)
        number = _number(match["number"]) if match else None
        if match is None or number is None:
            return ()
        found.append(Term(sign * number, match["unit"].strip()))
        at = match.end()
    return tuple(found)


def unit_key(unit: str) -> str:
    """Return a unit as one word: blanks become `_`, full stops go.

    >>> unit_key("fl. oz."), unit_key("US gal")
    ('fl_oz', 'US_gal')
    """
    return "_".join(unit.replace(".", " ").split())


def _number(text: str) -> float | None:
    if "/" in text:
        whole, _, part = text.replace("-", " ").rpartition(" ")
        above, _, below = part.partition("/")
        return float(whole or 0) + float(above) / float(below) if float(below) else None
    if _THOUSANDS.match(text):
        return float(text.replace(",", ""))
    return float(text.replace(",", "."))
