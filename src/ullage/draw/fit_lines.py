"""A fit as lines of text for a terminal: the answer, where each thing stands, what to mind."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from ullage.draw.fit_words import lead, most_words, proof_words, spot_rows, tape
from ullage.draw.lines import noted, wrapped
from ullage.plan.fit_answer import FitAnswer, Standing
from ullage.units import UnitSystem

HEADS = ("", "from left", "from front", "across", "on", "needs up to")

_wrapped = partial(wrapped, hang=0)


def fit_lines(answer: FitAnswer, units: UnitSystem) -> list[str]:
    """The answer in words, a table of middles, the gas line, remarks and cautions."""
    lines = _wrapped(lead(answer, units))
    if answer.proof is not None:
        lines += _wrapped(f"Why: {proof_words(answer.proof, units)}")
    cylinder = bool(answer.gas_line.needed) or answer.kegs < len(answer.wanted)
    for one in answer.most:
        lines += _wrapped(most_words(one, cylinder))
    standing = answer.standing or next((one.standing for one in answer.most if one.standing), ())
    lines += _table(standing, units)
    lines += _wrapped(f"Gas line: {answer.gas_line.advice}")
    return lines + noted(answer.remarks, answer.cautions, hang=0)


def _table(standing: Sequence[Standing], units: UnitSystem) -> list[str]:
    """Where the middles are."""
    if not standing:
        return []
    rows = [HEADS, *spot_rows(tuple(standing), units)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(HEADS))]
    table = ["  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)) for row in rows]
    heads = [
        f"  {one.name}: turn the regulator so that its middle is {tape(one.head.x_m, units)} from "
        f"the left, {tape(one.head.y_m, units)} from the front"
        for one in standing
        if one.head is not None
    ]
    title = "Middles, from the front left corner of the floor:"
    return ["", title, *(f"  {line.rstrip()}" for line in table), *heads, ""]
