"""What the log teaches of this household's own constants: a proposal, of which nothing counts yet.

Learning begins anew each time from what anybody's constants are and the whole log, so that no
reading is counted twice, whatever was kept before.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.events import Event
from ullage.cellar.household import Household, household
from ullage.cellar.learn_fit import Block, Fitted, fit
from ullage.cellar.learn_log import lessons
from ullage.cellar.learn_terms import Unknown
from ullage.cellar.learnt import LEARNABLE, NOTHING_LEARNT, titled
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import Constant
from ullage.plan.answers import Band, Caution
from ullage.plan.learn_answer import ConstantLearnt, Learning, Lesson
from ullage.plan.learn_next import next_readings
from ullage.plan.learn_taps import effective_bores, tap_terms
from ullage.plan.own import with_learnt
from ullage.plan.present import present_system, told
from ullage.system.model import System

Z_80: Final = 1.2816
"""A normal distribution has 80 % within so many standard deviations."""
LOOKS_WRONG: Final = 0.3
"""A reading of less weight than this lies over three standard deviations off."""
LEAK_KG_S: Final = 2e-3 / 86_400.0
"""A leak that surely loses more than this, 2 g a day, is to be found and mended."""
LEAK: Final = Caution(
    "warning",
    "That much gas lost at all times is a leak to find and mend, not a constant to live with: test "
    "for it before you keep it.",
)
LOST_SHARE: Final = 0.5
"""Of what kegs take; vents, purges and joints lose a tenth or two, and this is more than twice
that. Our choice."""
LOST: Final = Caution(
    "warning",
    "More than half of what the kegs take, lost besides: that is a leak, or gas let off that "
    "nobody wrote down. Do not keep it as your own: test for a leak, and write down what was let "
    "off.",
)


def learning(log: Sequence[Event], at: datetime, described: System | None = None) -> Learning:
    """What the facts of a log up to a moment teach; `described`: the system file's, if any."""
    home = household(log)
    read = lessons(log, at, ambient_pressure(home.altitude_m))
    system = with_learnt(present_system(described, read.now, told(log)), NOTHING_LEARNT)
    taps, left_out = tap_terms(read.pints, system)
    blocks = fit([*read.terms, *taps])
    constants = tuple(_constants(blocks, home, system))
    return Learning(
        at=at,
        units=home.units,
        constants=constants,
        lessons=tuple(sorted(_lessons(blocks), key=lambda one: (one.at, one.subject))),
        next_readings=next_readings(read, blocks, system, at),
        left_out=(*read.left_out, *left_out),
        cautions=tuple(cautions_of(constants)),
    )


def _constants(
    blocks: Iterable[Block], home: Household, system: System
) -> Iterator[ConstantLearnt]:
    """Each constant that any reading touches, and those kept of which none is left."""
    found = [
        (
            one,
            float(block.z[place]),
            math.sqrt(block.covariance[place, place]),
            _touch(block, place),
        )
        for block in blocks
        for place, one in enumerate(block.unknowns)
        if one.constant is not None
    ]
    resists = {one.about: one.at(z) for one, z, _, _ in found if one.constant == "line"}
    bores = dict(effective_bores(system, {k: v for k, v in resists.items() if k is not None}))
    for one, z, sd, touched in sorted(found, key=lambda each: each[2]):
        assert one.constant is not None
        yield ConstantLearnt(
            name=titled(one.constant, one.about),
            constant=one.constant,
            about=one.about,
            unit=LEARNABLE[one.constant].prior.unit,
            before=_band(one, 0.0, 1.0),
            after=_band(one, z, sd),
            narrower=max(1.0 - sd, 0.0),
            readings=touched,
            kept=kept_band(home, one),
            bore_m=bores.get(one.about or "") if one.constant == "line" else None,
        )


def _touch(block: Block, place: int) -> int:
    """How many readings move with an unknown."""
    return sum(bool(abs(one.slope[place]) > 1e-6) for one in block.readings)


def _band(one: Unknown, z: float, sd: float) -> Band:
    return Band(one.at(z), one.at(z - Z_80 * sd), one.at(z + Z_80 * sd))


def kept_band(home: Household, one: Unknown) -> Band | None:
    """The band that answers go by, where the constant was kept."""
    if one.constant is None:
        return None
    known = home.learnt.known(one.constant, one.about)
    if known is None:
        return None
    return _spread(known, one.positive)


def _spread(known: Constant, positive: bool) -> Band:
    if positive:
        wide = math.exp(Z_80 * known.sd / known.value)
        return Band(known.value, known.value / wide, known.value * wide)
    return Band(known.value, known.value - Z_80 * known.sd, known.value + Z_80 * known.sd)


def _lessons(blocks: Sequence[Block]) -> Iterator[Lesson]:
    """Each reading with its share: by how much less would be known without it."""
    told_by = [(block, one, _leverage(block, one)) for block in blocks for one in block.readings]
    total = sum(_information(leverage) for _, _, leverage in told_by)
    for block, one, leverage in told_by:
        yield Lesson(
            at=one.reading.at,
            subject=one.reading.subject,
            quantity=one.reading.quantity,
            read=one.reading.read,
            expected=one.shown,
            off=one.off,
            weight=one.weight,
            share=_information(leverage) / total if total > 0.0 else 0.0,
            teaches=_teaches(block, one),
            looks_wrong=one.weight < LOOKS_WRONG,
        )


def _leverage(block: Block, one: Fitted) -> float:
    """How much of what is known where a reading looks comes from the reading itself, 0 to 1."""
    return min(float(one.pull * one.slope @ block.covariance @ one.slope), 1.0 - 1e-9)


def _information(leverage: float) -> float:
    """By how much the logarithm of the unknowns' joint spread would grow without the reading."""
    return -0.5 * math.log1p(-leverage)


def _teaches(block: Block, one: Fitted) -> str | None:
    """The constant whose spread would grow most without the reading."""
    moves: NDArray[np.float64] = block.covariance @ one.slope
    shares = moves**2 / np.diag(block.covariance)
    named: Mapping[int, str] = {
        place: titled(unknown.constant, unknown.about)
        for place, unknown in enumerate(block.unknowns)
        if unknown.constant is not None and shares[place] > 1e-6
    }
    best = max(named, key=lambda place: shares[place], default=None)
    return None if best is None else named[best]


def cautions_of(constants: Iterable[ConstantLearnt]) -> Iterator[Caution]:
    """What speaks against keeping some of them as one's own: losses that are to be mended."""
    if any(one.constant == "leak" and one.after.low > LEAK_KG_S for one in constants):
        yield LEAK
    if any(one.constant == "handling" and one.after.low > LOST_SHARE for one in constants):
        yield LOST
