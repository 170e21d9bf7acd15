"""What the fault finder answers with: causes, evidence, the checks that tell most."""

from __future__ import annotations

from dataclasses import dataclass

from ullage.plan.answers import Caution


@dataclass(frozen=True, slots=True)
class Evidence:
    """A sign as it stands. `share`: how sure it is that it is so, 0 (it is not) to 1 (it is).

    `words`: the numbers it comes from, in the household's units. `by_hand`: somebody looked.
    """

    sign: str
    share: float
    words: str
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class Weighed:
    """What one piece of evidence does to one cause: `times` as likely as with the others."""

    sign: str
    share: float
    words: str
    times: float
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class Check:
    """A check by hand. `bits`: what its answer is expected to tell, in bits of information."""

    sign: str
    ask: str
    how: str
    minutes: float
    bits: float


@dataclass(frozen=True, slots=True)
class CauseFound:
    """One cause with its probability, why it is likely or not, its best check and its fix.

    `cautions`: for the hand that sets about the fix.
    """

    cause: str
    title: str
    probability: float
    why: str
    evidence: tuple[Weighed, ...]
    check: Check | None
    fix: str
    source: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class FaultsAnswer:
    """Causes of what is seen at one tap or keg, the likeliest first, and the next check."""

    seen: tuple[str, ...]
    tap: str
    keg: str
    causes: tuple[CauseFound, ...]
    evidence: tuple[Evidence, ...]
    next_check: Check | None
    cautions: tuple[Caution, ...]
