"""A beer line as one writes it: `10 ft x 3/16 in`, pieces joined by `+`, the material last."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ullage.errors import UnitError
from ullage.plan.what_if_tap import LineQuestion
from ullage.system import parts
from ullage.units import Kind, UnitSystem, format_quantity, parse, shown

EXAMPLE = 'write it as "10 ft x 3/16 in" or "2 m x 5 mm barrier"'
LONGEST_LENGTH_M, WIDEST_BORE_M = 50.0, 0.025
MOST_PIECES = 20
CLOSE_SHARE = 1e-3


def parse_line(text: str) -> tuple[LineQuestion, ...]:
    """Read the pieces of a line, from the keg on.

    `LENGTH x BORE [MATERIAL]`; without a length (`3/16 in`) it is to be found. The material is
    one of the catalogue's, vinyl unless told. Raises `UnitError`, `UnknownName`.

    >>> [round(piece.bore_m * 1e3, 2) for piece in parse_line("6 ft x 3/16 in + 2 m x 5 mm")]
    [4.76, 5.0]
    """
    pieces = text.split("+")
    if len(pieces) > MOST_PIECES:
        raise UnitError(f"a line of {len(pieces)} pieces is too long; give at most {MOST_PIECES}")
    return tuple(_piece(piece.strip()) for piece in pieces)


def write_line(pieces: Iterable[LineQuestion], system: UnitSystem = "us") -> str:
    """Write a line as `parse_line` reads it, to less than a thousandth of each length and bore.

    >>> write_line(parse_line("10 ft x 3/16 in + 2 ft x 4 mm barrier"))
    '10 ft x 3/16 in + 2 ft x 4 mm barrier'
    """
    return " + ".join(_written(piece, system) for piece in pieces)


def _written(piece: LineQuestion, system: UnitSystem) -> str:
    length = "" if piece.length_m is None else f"{_exact(piece.length_m, system)} x "
    material = "" if piece.material == "vinyl" else f" {piece.material}"
    return f"{length}{_exact(piece.bore_m, system)}{material}"


def _exact(metres: float, system: UnitSystem) -> str:
    """The household's way to write it, or millimetres where that would round too much."""
    text = format_quantity(metres, Kind.LENGTH, system).replace(",", "")
    if abs(parse(text, Kind.LENGTH) / metres - 1.0) < CLOSE_SHARE:
        return text
    return f"{1e3 * metres:.3f}".rstrip("0").rstrip(".") + " mm"


def _piece(text: str) -> LineQuestion:
    parted = re.split(r"\s+[x×]\s+|(?<=[a-z'\"])\s*×\s*", text, maxsplit=1)
    length_text, rest = (None, parted[0]) if len(parted) == 1 else (parted[0], parted[1])
    bore_text, material = _material(rest.strip())
    length = None if length_text is None else parse(length_text, Kind.LENGTH)
    bore = parse(bore_text, Kind.LENGTH)
    if not 0.0 < bore <= WIDEST_BORE_M:
        raise UnitError(f"a bore of {shown(bore_text)} is not that of a beer line; {EXAMPLE}")
    if length is not None and not 0.0 < length <= LONGEST_LENGTH_M:
        raise UnitError(f"a length of {shown(length_text or '')} is not a beer line's; {EXAMPLE}")
    return LineQuestion(length, bore, parts.line_material(material).name)


def _material(text: str) -> tuple[str, str]:
    """The bore's text and the material's name, if the last word is one."""
    words = text.split()
    last = words[-1].lower() if words else ""
    if len(words) > 1 and last.isalpha() and len(last) > 2 and last not in ("inch", "inches"):
        return " ".join(words[:-1]), last
    return text, "vinyl"
