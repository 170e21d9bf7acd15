"""Kegs on blended gas, left out of what is shared: their regulators serve no straight CO2."""

from __future__ import annotations

from typing import Final

from ullage.errors import OutOfRange
from ullage.plan.share_answer import LeftOut, ShareQuestion
from ullage.plan.spoken import part
from ullage.system.model import System

ON_A_BLEND: Final = "it hangs on a blend, whose regulator is shared with no straight CO2"


def without_blends(system: System) -> tuple[System, tuple[LeftOut, ...]]:
    """The system without regulators on blended gas and their kegs, and those with beer in words.

    A pressure of a blend keeps another level than one of straight CO2: such regulators are no
    others' to share.
    """
    blends = {one.name for one in system.cylinders if one.is_blend}
    gone = {one.name for one in system.regulators if one.cylinder in blends}
    kegs = {one.name for one in system.kegs if one.regulator in gone}
    if not gone:
        return system, ()
    straight = system.model_copy(
        update={
            "regulators": tuple(one for one in system.regulators if one.name not in gone),
            "kegs": tuple(one for one in system.kegs if one.name not in kegs),
            "taps": tuple(one for one in system.taps if one.keg not in kegs),
        }
    )
    full = [one.name for one in system.kegs if one.name in kegs and one.beer is not None]
    return straight, tuple(LeftOut(name, ON_A_BLEND) for name in full)


def refuse_blends(system: System, question: ShareQuestion) -> None:
    """Raises `OutOfRange` where a wish is about a keg or regulator on a blend, or all beer is on
    one: there is nothing to share then.
    """
    straight, blended = without_blends(system)
    why = {one.keg: one.why for one in blended}
    feeds = {one.name for one in system.regulators} - {one.name for one in straight.regulators}
    for wish in question.keep:
        if wish.keg in why:
            raise OutOfRange(f"{part('keg', wish.keg)} is not shared out: {why[wish.keg]}")
        if wish.regulator in feeds:
            raise OutOfRange(
                f'regulator "{wish.regulator}" is on a blend: it is shared with no straight CO2'
            )
    if why and not any(one.beer is not None for one in straight.kegs):
        told = "; ".join(f"{part('keg', name)}: {said}" for name, said in why.items())
        raise OutOfRange(f"no keg is left to share regulators with: {told}")
