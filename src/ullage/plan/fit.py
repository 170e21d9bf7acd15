"""Does it fit: a layout of kegs and cylinder in a fridge, or a proof that there is none.

Three answers: it fits, with a layout held to exact geometry; it does not, and that is proved; none
was found. Where it does not fit, the most that stand are found too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from ullage.errors import OutOfRange
from ullage.plan.answers import Caution
from ullage.plan.cautions import COILS, CYLINDER, DEFER
from ullage.plan.fit_answer import FitAnswer, FitQuestion, Most, Verdict, Wanted
from ullage.plan.fit_case import MOST_THINGS, Case, Layout
from ullage.plan.fit_gas_line import gas_line
from ullage.plan.fit_things import room_of
from ullage.plan.lifting import full_kg, weighs
from ullage.system import parts
from ullage.system.model import System

LIFTING: Final = Caution(
    "warning",
    f"Full, a 5 gal keg weighs some {weighs(full_kg(parts.keg_kind('ball-lock-5gal')))}, a half "
    f"barrel {weighs(full_kg(parts.keg_kind('half-barrel')))}: slide it, or lift it with "
    "a second pair of hands; never one-handed over a rim or onto a step.",
)


def fit(question: FitQuestion) -> FitAnswer:
    """Find out whether everything stands inside; where it does not, how many kegs do.

    Raises `UnknownName` for a kind or size that the catalogue does not have.
    """
    case = Case.of(question)
    outcome = case.outcome()
    found, refused = outcome.layout, outcome.refused
    verdict: Verdict = "does not fit" if refused is not None else "not found"
    if found is not None:
        verdict = "fits"
    return FitAnswer(
        place=question.place,
        verdict=verdict,
        wanted=tuple(thing.name for thing in case.things),
        kegs=len(question.kegs),
        room=room_of(question.inside),
        standing=() if found is None else found.standing,
        between_m=question.between_m,
        spare_m=0.0 if found is None else found.spare_m,
        proof=None if refused is None else case.proof(refused),
        most=() if found is not None else _mosts(question),
        gas_line=gas_line(question),
        remarks=tuple(_remarks(question)),
        cautions=_cautions(question),
    )


def fit_most(question: FitQuestion, kind: str) -> FitAnswer:
    """Find the most kegs of a kind that stand beside what else is asked for, and how.

    Where not one does, the answer is that of one keg: it says why.
    """
    found = most(question, kind)
    answer = fit(replace(question, kegs=kegs_of(kind, max(found.count, 1))))
    return replace(answer, most=(found,))


def most(question: FitQuestion, kind: str) -> Most:
    """Find the most kegs of a kind that stand; the question's own kegs do not count.

    The cylinders stay as they are asked for. Counting goes up until nothing is found.
    """
    count, proved, best = 0, False, Layout((), 0.0)
    while count < MOST_THINGS:
        outcome = Case.of(replace(question, kegs=kegs_of(kind, count + 1))).outcome()
        proved = outcome.refused is not None
        if outcome.layout is None:
            break
        count, best = count + 1, outcome.layout
    return Most(
        kind=kind,
        title=parts.keg_kind(kind).title,
        count=count,
        proved=proved,
        outside=question.outside or not question.cylinders,
        standing=best.standing,
        spare_m=best.spare_m,
    )


def kegs_of(kind: str, count: int) -> tuple[Wanted, ...]:
    """So many kegs of a kind, named K1, K2, …"""
    return tuple(Wanted(f"K{at + 1}", kind) for at in range(count))


def question_of(system: System, place: str, outside: bool | None = None) -> FitQuestion:
    """Ask whether what stands in a place of a system fits there.

    `outside` `None`: the cylinders stand where the system says. Asked for inside, those of the
    regulators that feed the place's kegs are brought in; asked for outside, all are put out.
    Raises `UnknownName`: no such place; `OutOfRange`: its inside was never measured.
    """
    where = system.place(place)
    if where.inside is None:
        raise OutOfRange(
            f'the inside of "{place}" is not described: give its width, depth and height as '
            "[place.inside] in the system file"
        )
    kegs = [keg for keg in system.kegs if keg.place == place]
    fed_by = {system.regulator(keg.regulator).cylinder for keg in kegs if keg.regulator}
    own = [one for one in system.cylinders if one.place == place]
    others = [one for one in system.cylinders if one.name in fed_by and one not in own]
    out = not own if outside is None else outside
    cylinders = own if outside is None and own else own + others
    return FitQuestion(
        place=place,
        inside=where.inside,
        kegs=tuple(Wanted(keg.name, keg.kind) for keg in kegs),
        cylinders=tuple(Wanted(one.name, one.size) for one in cylinders),
        outside=out,
    )


def _mosts(question: FitQuestion) -> tuple[Most, ...]:
    """The most of the commonest kind, with the cylinder as asked and with it outside."""
    if not question.kegs:
        return ()
    kind = Counter(one.kind for one in question.kegs).most_common(1)[0][0]
    asked = most(question, kind)
    if question.outside or not question.cylinders:
        return (asked,)
    return asked, most(replace(question, outside=True), kind)


def _remarks(question: FitQuestion) -> Iterator[str]:
    yield (
        "Kegs of one kind differ: measure yours over rims and rubber, and the inside at its "
        "narrowest, with the door shut on a strip of clay or folded paper to see how far it "
        "reaches in."
    )
    if question.inside.opens == "top":
        yield "A hand reaches in from above, so only what stands on a keg counts under the lid."


def _cautions(question: FitQuestion) -> tuple[Caution, ...]:
    found = [COILS, LIFTING]
    if question.cylinders:
        found.append(CYLINDER)
    return (*found, Caution("note", DEFER))
