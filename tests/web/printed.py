"""The words of a PDF that the browser printed: enough of the format to read our own sheets."""

from __future__ import annotations

import re
import zlib

_STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
_CHAR = re.compile(rb"<([0-9A-Fa-f]{4})> <([0-9A-Fa-f]{4,8})>\s")
_RANGE = re.compile(rb"<([0-9A-Fa-f]{4})> <([0-9A-Fa-f]{4})> <([0-9A-Fa-f]{4})>")
_SHOWN = re.compile(rb"<([0-9A-Fa-f]+)>")


def words_of(pdf: bytes) -> str:
    """All that is printed, read with each of the fonts' own maps (ISO 32000, ToUnicode)."""
    streams = [_inflated(found[1]) for found in _STREAM.finditer(pdf)]
    maps = [_glyphs(one) for one in streams if b"beginbfchar" in one or b"beginbfrange" in one]
    pages = [one for one in streams if b" Tf" in one and b"BT" in one]
    said = []
    for glyphs in maps:
        for page in pages:
            for block in re.findall(rb"BT(.*?)ET", page, re.DOTALL):
                codes = b"".join(_SHOWN.findall(block))
                said.append(
                    "".join(glyphs.get(codes[i : i + 4], "") for i in range(0, len(codes), 4))
                )
    return "\n".join(said)


def _inflated(content: bytes) -> bytes:
    try:
        return zlib.decompress(content)
    except zlib.error:
        return content


def _glyphs(table: bytes) -> dict[bytes, str]:
    """Glyphs and their letters."""
    found: dict[bytes, str] = {}
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", table, re.DOTALL):
        for glyph, letter in _CHAR.findall(block):
            found[glyph.upper()] = bytes.fromhex(letter.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", table, re.DOTALL):
        for first, last, letter in _RANGE.findall(block):
            start, code = int(first, 16), int(letter, 16)
            for glyph in range(start, int(last, 16) + 1):
                found[f"{glyph:04X}".encode()] = chr(code + glyph - start)
    return found
