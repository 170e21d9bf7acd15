"""Layouts of up to nine kegs and a cylinder, each a question that was not asked before."""

from __future__ import annotations

from functools import partial

from benchmarks.report import Row
from benchmarks.timing import Task, interleaved
from ullage.plan.fit import kegs_of
from ullage.plan.fit_answer import FitQuestion, Wanted
from ullage.plan.fit_case import Case
from ullage.system.inside import Inside, StepInside

INCH = 0.0254
COLLAR = 6 * INCH


def _room(width: float, depth: float, step: StepInside | None) -> Inside:
    return Inside(
        width=width * INCH,
        depth=depth * INCH,
        height=33 * INCH,
        opens="top",
        collar=COLLAR,
        step=step,
    )


RIGHT = StepInside(where="right", width=10 * INCH, height=9 * INCH)
CORNER = StepInside(where="back-right", width=13 * INCH, depth=9 * INCH, height=9 * INCH)
BACK = StepInside(where="back", depth=9.5 * INCH, height=9 * INCH)
ROOMS = (
    (_room(22.0, 20.0, None), 3, "5 lb"),
    (_room(28.0, 20.0, BACK), 3, "5 lb"),
    (_room(36.0, 20.0, RIGHT), 4, "10 lb"),
    (_room(40.0, 20.0, RIGHT), 6, "5 lb"),
    (_room(45.0, 20.0, RIGHT), 8, "10 lb"),
    (_room(36.0, 29.0, CORNER), 9, "5 lb"),
    (_room(41.0, 28.0, None), 9, "20 lb"),
)
"""Insides, how many ball-lock kegs, and the cylinder that stands with them."""


def fit_rows(repeats: int) -> list[Row]:
    """The slowest of the layouts, by its median, and whether each was found."""
    tasks = [
        Task(f"{kegs} kegs and a {size} cylinder, room {at + 1}", partial(one, at))
        for at, (_, kegs, size) in enumerate(ROOMS)
    ]
    timed = interleaved(tuple(tasks), repeats)
    slowest = max(timed, key=lambda each: each.middle)
    missed = sum(not one(at) for at in range(len(ROOMS)))
    return [
        Row("the slowest layout found", slowest.middle, "at most", 0.5, "s", timed),
        Row("layouts not found", missed, "at most", 0.0, ""),
    ]


def one(at: int) -> bool:
    """Search one layout afresh; whether it was found."""
    return _case(*ROOMS[at]).searched() is not None


def _case(inside: Inside, kegs: int, size: str) -> Case:
    question = FitQuestion(
        place="chest",
        inside=inside,
        kegs=kegs_of("ball-lock-5gal", kegs),
        cylinders=(Wanted("gas", size),),
        outside=False,
    )
    return Case.of(question)
