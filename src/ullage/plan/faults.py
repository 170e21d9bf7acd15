"""From what is seen to causes: naive Bayes over the table of faults, and the check that tells most.

A cause's weight is its prior times the chance of each thing seen and of each sign as it stands. A
sign that is only partly sure counts as the mean of its two chances. What is not seen counts
nothing: people report what bothers them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ullage.errors import OutOfRange
from ullage.plan.fault_answer import CauseFound, Check, Evidence, FaultsAnswer, Weighed
from ullage.plan.fault_cautions import cautions_for, cautions_of
from ullage.system.fault_table import Cause, FaultTable, Sign, fault_table, names_in

LEAST_TOLD = 0.003
"""Bits below which a check is not worth the walk."""
NOTED = 1.25
"""Evidence is shown beside a cause from this factor on, or its inverse."""


@dataclass(frozen=True, slots=True)
class FaultCase:
    """What is seen at a tap or keg, what is known of it, and its numbers for the fixes, as text.

    `closed`: signs that nobody can look at there, such as other taps where there is one.
    """

    seen: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    numbers: Mapping[str, str]
    tap: str = ""
    keg: str = ""
    closed: tuple[str, ...] = ()


def faults(case: FaultCase, table: FaultTable | None = None) -> FaultsAnswer:
    """Rank the causes of what is seen.

    Raises `OutOfRange` where nothing is seen, `UnknownName` for a sight or sign there is not.
    """
    known = table or fault_table()
    if not case.seen:
        raise OutOfRange("nothing is wrong yet: say what is seen, such as foam first glass")
    for name in case.seen:
        known.sight(name)
    chances = probabilities(known, case.seen, case.evidence)
    open_signs = _open(known, case)
    ranked = sorted(known.causes, key=lambda one: -chances[one.name])
    return FaultsAnswer(
        seen=case.seen,
        tap=case.tap,
        keg=case.keg,
        causes=tuple(_found(one, chances, case, known, open_signs) for one in ranked),
        evidence=case.evidence,
        next_check=_best(open_signs, known, chances, None),
        cautions=cautions_for(ranked[:3]),
    )


def probabilities(
    table: FaultTable, seen: Sequence[str], evidence: Sequence[Evidence]
) -> dict[str, float]:
    """The probability of each cause, which add up to 1."""
    weights = {cause.name: _weight(cause, table, seen, evidence) for cause in table.causes}
    total = math.fsum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


def told_by(
    sign: Sign, table: FaultTable, chances: Mapping[str, float], cause: str | None
) -> float:
    """Bits that the answer to a sign is expected to tell, of all causes or of whether it is one."""
    groups = _groups(chances, cause)
    yes = {one.name: one.signs.get(sign.name, sign.usual) for one in table.causes}
    before = _entropy([sum(chances[name] for name in group) for group in groups])
    after = 0.0
    for answer in (True, False):
        joint = [
            sum(chances[name] * (yes[name] if answer else 1.0 - yes[name]) for name in group)
            for group in groups
        ]
        share = math.fsum(joint)
        if share > 0.0:
            after += share * _entropy([part / share for part in joint])
    return max(before - after, 0.0)


def _weight(
    cause: Cause, table: FaultTable, seen: Sequence[str], evidence: Sequence[Evidence]
) -> float:
    weight = cause.prior
    for name in dict.fromkeys(seen):
        weight *= cause.seen.get(name, table.rare)
    for one in evidence:
        weight *= _chance(cause, table.sign(one.sign), one.share)
    return weight


def _chance(cause: Cause, sign: Sign, share: float) -> float:
    """The chance of a sign as it stands with this cause."""
    yes = cause.signs.get(sign.name, sign.usual)
    return share * yes + (1.0 - share) * (1.0 - yes)


def _groups(chances: Mapping[str, float], cause: str | None) -> list[list[str]]:
    if cause is None:
        return [[name] for name in chances]
    return [[cause], [name for name in chances if name != cause]]


def _entropy(shares: Sequence[float]) -> float:
    return -math.fsum(share * math.log2(share) for share in shares if share > 0.0)


def _open(table: FaultTable, case: FaultCase) -> list[Sign]:
    """What a hand may look at and has not."""
    looked = {one.sign for one in case.evidence if one.by_hand}
    sure = {one.sign for one in case.evidence if not 0.1 < one.share < 0.9}
    done = looked | sure | set(case.closed)
    return [sign for sign in table.signs if sign.ask and sign.name not in done]


def _best(
    signs: Sequence[Sign], table: FaultTable, chances: Mapping[str, float], cause: str | None
) -> Check | None:
    """The check that tells most; of two that tell the same the quicker."""
    told = [(told_by(sign, table, chances, cause), sign) for sign in signs]
    bits, sign = max(told, key=lambda one: (one[0], -one[1].minutes), default=(0.0, None))
    if sign is None or bits < LEAST_TOLD:
        return None
    return Check(sign.name, sign.ask, sign.how, sign.minutes, bits)


def _found(
    cause: Cause,
    chances: Mapping[str, float],
    case: FaultCase,
    table: FaultTable,
    open_signs: Sequence[Sign],
) -> CauseFound:
    return CauseFound(
        cause=cause.name,
        title=cause.title,
        probability=chances[cause.name],
        why=cause.why,
        evidence=tuple(_weighed(cause, case.evidence, table, chances)),
        check=_best(open_signs, table, chances, cause.name),
        fix=_fix(cause, case.numbers),
        source=cause.source,
        cautions=cautions_of(cause),
    )


def _weighed(
    cause: Cause, evidence: Sequence[Evidence], table: FaultTable, chances: Mapping[str, float]
) -> list[Weighed]:
    """What speaks for or against a cause: its chance over the mean of all others' as they stand."""
    found = []
    for one in evidence:
        sign = table.sign(one.sign)
        others = [each for each in table.causes if each.name != cause.name]
        rest = math.fsum(chances[each.name] for each in others)
        mean = math.fsum(chances[each.name] * _chance(each, sign, one.share) for each in others)
        if rest <= 0.0 or mean <= 0.0:
            continue
        times = _chance(cause, sign, one.share) * rest / mean
        if not 1.0 / NOTED < times < NOTED:
            found.append(Weighed(one.sign, one.share, one.words, times, one.by_hand))
    return sorted(found, key=lambda one: -abs(math.log(one.times)))


def _fix(cause: Cause, numbers: Mapping[str, str]) -> str:
    """The fix with the numbers of this system, or the plain one where one of them is not known."""
    if all(numbers.get(name) for name in names_in(cause.fix)):
        return cause.fix.format_map(numbers)
    return cause.otherwise
