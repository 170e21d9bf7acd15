"""A question without a file, asked by a household: with the constants of its own that it kept."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ullage.cellar.draws import spread_of
from ullage.physics.constants import GAS_HANDLING, HEAT_LOSS
from ullage.plan.own import learnt_of, own_spread, share_on, thermometer_offset
from ullage.plan.what_if import OwnKeg
from ullage.plan.what_if_tap import USUAL_GAUGE_PA, GasQuestion, LineQuestion, PourQuestion
from ullage.system.model import System, Tap

BORE: Final = 0.01
"""Bores nearer than this are one: so finely they are written."""


def own_keg_of(system: System, keg: str = "") -> OwnKeg:
    """What the household has of its own for a keg: its gauge, its place and its beer's constants.

    "": for any keg, what goes for all of them. Raises `UnknownName`.
    """
    learnt = learnt_of(system)
    if not keg:
        return OwnKeg(spread_of(learnt))
    place = system.keg(keg).place
    chilling = learnt.known("chilling", place)
    return OwnKeg(
        spread=own_spread(system, keg),
        offset_k=thermometer_offset(system, place),
        chilling=1.0 if chilling is None else chilling.value / HEAT_LOSS.value,
        co2_share=share_on(system, keg),
    )


def own_pour(question: PourQuestion, system: System, tap: str = "") -> PourQuestion:
    """The same of a tap of the household, "" for any other. Raises `UnknownName`.

    What its line resists counts for line of that kind, however long, and for no other.
    """
    if not tap:
        return replace(question, spread=spread_of(learnt_of(system)))
    found = system.tap(tap)
    same = _alike(question.line, found)
    return replace(
        question,
        resistance=learnt_of(system).known("line", tap) if same else None,
        spread=own_spread(system, found.keg),
    )


def _alike(line: Sequence[LineQuestion], tap: Tap) -> bool:
    """Whether a line is made of what the tap's is made of."""
    return len(line) == len(tap.line) and all(
        asked.material == here.material and math.isclose(asked.bore_m, here.bore, rel_tol=BORE)
        for asked, here in zip(line, tap.line, strict=True)
    )


def _blend_gauge(system: System, cylinder: str) -> float | None:
    """What a blend is served at, Pa gauge: nobody's usual pressure, as that of its regulator."""
    if not cylinder or not system.cylinder(cylinder).is_blend:
        return None
    on = (one.pressure for one in system.regulators if one.cylinder == cylinder)
    return next((pressure for pressure in on if pressure is not None), None)


def own_gas(question: GasQuestion, system: System, cylinder: str = "") -> GasQuestion:
    """The same of a cylinder of the household, "" for any other. Raises `UnknownName`."""
    learnt = learnt_of(system)
    gauge = learnt.known("gauge", system.cylinder(cylinder).name) if cylinder else None
    served = _blend_gauge(system, cylinder)
    if served is not None and question.gauge_pa == USUAL_GAUGE_PA:
        question = replace(question, gauge_pa=served)
    return replace(
        question,
        handling=learnt.known("handling") or GAS_HANDLING,
        gauge_offset_pa=0.0 if gauge is None else gauge.value,
        co2_share=system.cylinder(cylinder).co2 if cylinder else 1.0,
    )
