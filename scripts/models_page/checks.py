"""A published figure beside ours, and whether ours lies as near as it is held to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Check:
    """One row. `met` is `None` where nothing is held to it; the reason stands in `allowed`.

    `off`: how far off ours is, as a share of what is allowed (in a range: from its middle, as a
    share of half its width); not given where nothing is held to it.
    """

    what: str
    published: str
    ours: str
    error: str
    allowed: str
    met: bool | None
    source: str
    off: float | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """A number as published: how it is written (`pattern` as "{:.2f} L") and where it stands."""

    what: str
    value: float
    pattern: str
    source: str


def within_share(figure: Figure, ours: float, share: float) -> Check:
    """Hold ours to a share of the published value."""
    off = ours / figure.value - 1.0
    allowed = f"± {100 * share:g} %"
    return _check(figure, ours, f"{100 * off:+.1f} %", allowed, off / share)


def within(figure: Figure, ours: float, most: float) -> Check:
    """Hold ours to a distance from the published value, in its own unit."""
    off = ours - figure.value
    signed = figure.pattern.replace("{:", "{:+")
    held = figure.pattern.split("}")[1]
    return _check(figure, ours, signed.format(off), f"± {most:g}{held}", off / most)


def within_range(figure: Figure, ours: float, low: float, high: float) -> Check:
    """Hold ours to a published range; `figure.value` is its middle and is not shown."""
    met = low <= ours <= high
    off = 0.0 if met else ours - (low if ours < low else high)
    said = f"{low:g} to {high:g}{figure.pattern.split('}')[1]}"
    error = "within" if met else figure.pattern.replace("{:", "{:+").format(off)
    placed = (2.0 * ours - low - high) / (high - low)
    computed = figure.pattern.format(ours)
    return Check(figure.what, said, computed, error, "the range", met, figure.source, placed)


def beside(figure: Figure, ours: float, why: str) -> Check:
    """Show both without holding ours to it; `why` says the reason."""
    off = ours / figure.value - 1.0
    error = f"{100 * off:+.0f} %"
    said, computed = figure.pattern.format(figure.value), figure.pattern.format(ours)
    return Check(figure.what, said, computed, error, why, None, figure.source)


def _check(figure: Figure, ours: float, error: str, allowed: str, off: float) -> Check:
    """`off`: the error as a share of what is allowed."""
    said, computed = figure.pattern.format(figure.value), figure.pattern.format(ours)
    met = abs(off) <= 1.0
    return Check(figure.what, said, computed, error, allowed, met, figure.source, off)


def check_table(rows: Iterable[Check]) -> str:
    """The rows as a table."""
    marks = {True: "yes", False: "**no**", None: "not held"}
    return table(
        ("What", "Published or said", "Ullage", "Error", "Held to", "Met", "Source"),
        [
            (one.what, one.published, one.ours, one.error, one.allowed, marks[one.met], one.source)
            for one in rows
        ],
    )


def table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table; a bar inside a cell is kept."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(
        "| " + " | ".join(c.replace("|", "\\|") for c in line) + " |" for line in lines
    )
