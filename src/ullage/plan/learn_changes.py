"""Constants kept and dropped: the one way in which anything learnt comes to count.

What is kept is an event of the log, as the household's altitude is: it is exported with the log,
can be taken back, and every answer finds it where it finds the household. The whole list is written
each time; the last one counts, for all times.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final

from ullage.cellar.household import household
from ullage.cellar.learnt import LEARNABLE, KeptConstant, Learnt, constants_kept
from ullage.cellar.recording import Recorded, record
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.learn_answer import ConstantLearnt, Learning
from ullage.system.parts import unknown

ALL: Final = "all"


def keep(store: Store, learned: Learning, names: Sequence[str], now: datetime) -> Recorded:
    """Keep constants as learnt, by their names, or `all` that were taught anything.

    Raises `UnknownName` for one that the readings say nothing of, `EventError` where none is left.
    """
    known = {one.name: one for one in learned.taught}
    wanted = list(known) if ALL in names else list(names)
    for name in wanted:
        if name not in known:
            raise unknown("constant that was learnt", name, known)
    if not wanted:
        raise EventError("no reading says anything of a constant yet: there is nothing to keep")
    new = {name: _kept(known[name]) for name in wanted}
    stay = [one for one in _learnt(store).kept if one.title not in new]
    return _written(store, [*stay, *new.values()], now)


def drop(store: Store, names: Sequence[str], now: datetime) -> Recorded:
    """Go back to anybody's constants: those of these names, or `all`.

    Raises `UnknownName` for one that is not kept, `EventError` where none is.
    """
    kept = {one.title: one for one in _learnt(store).kept}
    if not kept:
        raise EventError("no constant is kept: there is nothing to drop")
    for name in names:
        if name not in kept and name != ALL:
            raise unknown("constant that is kept", name, kept)
    stay = [] if ALL in names else [one for title, one in kept.items() if title not in names]
    return _written(store, stay, now)


def _kept(one: ConstantLearnt) -> KeptConstant:
    known = LEARNABLE[one.constant]
    prior = known.prior.sd if not known.positive else known.log_sd
    z_sd = (1.0 - one.narrower) * prior
    sd = one.after.value * z_sd if known.positive else z_sd
    value = min(max(one.after.value, known.least), known.most)
    return KeptConstant(constant=one.constant, about=one.about, value=value, sd=sd)


def _learnt(store: Store) -> Learnt:
    kinds = ("constants_kept", "undone")
    return household(one.event for one in store.read(kinds=kinds)).learnt


def _written(store: Store, constants: Iterable[KeptConstant], now: datetime) -> Recorded:
    in_order = sorted(constants, key=lambda one: one.title)
    return record(store, [constants_kept(now, in_order)], now)
