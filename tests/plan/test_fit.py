"""Fits: three answers, each held to hand-made cases."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from ullage.errors import OutOfRange, UnitError
from ullage.plan.as_json import plain
from ullage.plan.fit import fit, fit_most, kegs_of, most, question_of
from ullage.plan.fit_answer import FitAnswer, FitQuestion, Wanted
from ullage.plan.fit_text import distance, inside_of
from ullage.system.file import parse_system
from ullage.system.inside import Hole, Inside, StepInside
from ullage.units import Kind, parse

INCH = 0.0254
CYLINDER = (Wanted("gas", "5 lb"),)


def inside(width: float, depth: float, height: float, **more: Any) -> Inside:
    """An inside by its inches."""
    return Inside(width=width * INCH, depth=depth * INCH, height=height * INCH, **more)


def asked(room: Inside, count: int, **more: Any) -> FitQuestion:
    """So many ball-lock kegs of 8.5 in by 25 in."""
    return FitQuestion("fridge", room, kegs_of("ball-lock-5gal", count), **more)


def apart(answer: FitAnswer) -> float:
    """The least distance between two things, or between one and a wall or the step's side."""
    room, found = answer.room, math.inf
    for one in answer.standing:
        r = 0.5 * one.diameter_m
        walls = (one.x_m, room.width_m - one.x_m, one.y_m - room.front_m, room.depth_m - one.y_m)
        found = min(found, *(wall - r for wall in walls))
    for one, other in combinations(answer.standing, 2):
        between = math.hypot(one.x_m - other.x_m, one.y_m - other.y_m)
        found = min(found, between - 0.5 * (one.diameter_m + other.diameter_m))
    return found


def test_four_kegs_stand_in_two_rows() -> None:
    # analytic, by hand: two by two want 2 × 8.5 + 3 × 1/4 = 17.75 in each way
    answer = fit(asked(inside(18, 18, 32), 4))
    assert answer.verdict == "fits"
    assert apart(answer) >= answer.between_m
    assert all(one.foot_m == 0.0 for one in answer.standing)


def test_the_spare_room_is_there() -> None:
    answer = fit(asked(inside(25, 20, 32), 4))
    assert answer.spare_m > 0.01
    assert apart(answer) >= answer.between_m + answer.spare_m - 1e-9


def test_two_in_a_narrow_box_are_proved_impossible() -> None:
    # analytic, by hand: with 1/4 in around, middles 8.75 in apart in a box of 6.25 in square whose
    # diagonal is 8.84 in: fits; in one of 6.0 in square the diagonal is 8.49 in: impossible
    assert fit(asked(inside(15.25, 15.25, 32), 2)).verdict == "fits"
    answer = fit(asked(inside(15.0, 15.0, 32), 2))
    assert answer.verdict == "does not fit"
    assert answer.proof is not None
    assert answer.proof.rule == "pair"
    assert [one.count for one in answer.most] == [1]
    assert answer.most[0].proved


def test_a_ceiling_too_low_is_proved() -> None:
    # analytic: 25 in of keg, 2 in of disconnect, 2 in for the hand
    answer = fit(asked(inside(40, 40, 28.9), 1))
    assert answer.proof is not None
    assert answer.proof.rule == "height"
    assert answer.proof.needed == pytest.approx(29 * INCH)
    assert fit(asked(inside(40, 40, 29.1), 1)).verdict == "fits"
    # under a lid no hand is needed
    assert fit(asked(inside(40, 40, 27.1, opens="top"), 1)).verdict == "fits"


def test_a_shelf_and_a_collar_count() -> None:
    assert fit(asked(inside(40, 40, 40, shelf=28 * INCH), 1)).verdict == "does not fit"
    raised = inside(40, 40, 25, opens="top", collar=6 * INCH)
    assert fit(asked(raised, 1)).verdict == "fits"


def test_a_door_that_reaches_in_takes_from_the_depth() -> None:
    room = inside(20, 10, 32)
    assert fit(asked(room, 1)).verdict == "fits"
    answer = fit(asked(inside(20, 10, 32, door_bulge=1.5 * INCH), 1))
    assert answer.verdict == "does not fit"
    assert answer.room.front_m == pytest.approx(1.5 * INCH)


def test_what_is_too_high_for_the_step_stands_on_the_floor() -> None:
    step = StepInside(where="back", depth=10 * INCH, height=9 * INCH)
    answer = fit(asked(inside(20, 20, 32, step=step), 2))
    assert answer.verdict == "fits"
    assert all(one.y_m + 4.25 * INCH <= 10 * INCH for one in answer.standing)
    assert fit(asked(inside(20, 20, 32, step=step), 3)).verdict == "does not fit"


def test_with_height_enough_the_step_is_used() -> None:
    step = StepInside(where="back", depth=10 * INCH, height=9 * INCH)
    answer = fit(asked(inside(20, 20, 40, step=step), 4))
    assert answer.verdict == "fits"
    assert sorted(one.foot_m for one in answer.standing) == pytest.approx(
        [0, 0, 9 * INCH, 9 * INCH]
    )
    assert all(one.y_m - 4.25 * INCH >= 10 * INCH for one in answer.standing if one.foot_m)


def test_a_cylinder_inside_stands_with_its_regulator() -> None:
    room = inside(24, 24, 33, opens="top", collar=6 * INCH)
    answer = fit(asked(room, 4, cylinders=CYLINDER, outside=False))
    assert answer.verdict == "fits"
    gas = answer.standing[-1]
    assert gas.head is not None
    assert math.hypot(gas.head.x_m - gas.x_m, gas.head.y_m - gas.y_m) == pytest.approx(3.5 * INCH)
    for keg in answer.standing[:-1]:
        gap = math.hypot(keg.x_m - gas.head.x_m, keg.y_m - gas.head.y_m)
        assert gap >= keg.diameter_m / 2 + gas.head.radius_m + answer.between_m
    assert not answer.gas_line.needed


def test_outside_it_takes_no_room_but_a_hole() -> None:
    room = inside(18, 18, 32)
    answer = fit(asked(room, 4, cylinders=CYLINDER, outside=True))
    assert answer.verdict == "fits"
    assert answer.wanted == ("K1", "K2", "K3", "K4")
    assert answer.gas_line.needed
    assert "find the lines first" in answer.gas_line.advice
    assert any("never drill" in one.text for one in answer.cautions)
    inside_too = fit(asked(room, 4, cylinders=CYLINDER, outside=False))
    assert inside_too.verdict != "fits"
    assert [one.count for one in inside_too.most if one.outside] == [4]


def test_the_gas_line_takes_the_hole_that_is_there() -> None:
    narrow, wide = (
        Hole(wall=wall, diameter=size) for wall, size in (("back", 0.01), ("left", 0.02))
    )
    with_holes = inside(30, 30, 32, hole=(narrow, wide))
    line = fit(asked(with_holes, 1, cylinders=CYLINDER)).gas_line
    assert line.hole == "left"
    chest = inside(30, 30, 32, opens="top")
    assert "Do not drill the walls" in fit(asked(chest, 1, cylinders=CYLINDER)).gas_line.advice
    collar = inside(30, 30, 25, opens="top", collar=0.15)
    assert "collar" in fit(asked(collar, 1, cylinders=CYLINDER)).gas_line.advice


def test_the_most_that_stand() -> None:
    # analytic, by hand: in a strip 9.25 in deep kegs stand in a row, 8.75 in each and 1/4 in: 3 in
    # 26.5 in; one more wants 35.25 in, less what zigzag saves in 1/4 in of play: next to nothing
    answer = fit_most(asked(inside(27, 9.25, 32), 0), "ball-lock-5gal")
    assert answer.verdict == "fits"
    assert len(answer.standing) == 3
    assert answer.most[0].count == 3
    assert answer.most[0].proved


def test_none_at_all_is_an_answer_with_its_reason() -> None:
    question = asked(inside(27, 20, 20), 0)
    found = most(question, "ball-lock-5gal")
    assert (found.count, found.proved, found.standing) == (0, True, ())
    answer = fit_most(question, "ball-lock-5gal")
    assert answer.verdict == "does not fit"
    assert answer.proof is not None
    assert answer.proof.rule == "height"
    assert answer.most == (found,)


def test_nothing_at_all_fits() -> None:
    assert fit(asked(inside(27, 20, 20), 0)).verdict == "fits"


@pytest.mark.parametrize("between", [0.0, 0.3, 0.5])
@pytest.mark.parametrize("deep", [1.0, 6.0, 19.0])
def test_odd_clearances_and_steps_are_answered(between: float, deep: float) -> None:
    step = StepInside(where="back", depth=deep * INCH, height=9 * INCH)
    answer = fit(asked(inside(40, 20, 40, step=step), 2, between_m=between))
    assert answer.verdict != "fits" or apart(answer) >= between


def test_nine_kegs_and_a_cylinder_in_a_large_chest() -> None:
    step = StepInside(where="back-right", width=13 * INCH, depth=9 * INCH, height=9 * INCH)
    room = inside(36, 29, 33, opens="top", collar=6 * INCH, step=step)
    answer = fit(asked(room, 9, cylinders=CYLINDER, outside=False))
    assert answer.verdict == "fits"
    assert apart(answer) >= answer.between_m


def test_mixed_kinds_stand_together() -> None:
    kegs = (Wanted("big", "half-barrel"), *kegs_of("ball-lock-5gal", 2))
    answer = fit(FitQuestion("fridge", inside(28, 22, 34), kegs))
    assert answer.verdict == "fits"
    assert answer.standing[0].title == "Half barrel, 15.5 US gal"
    assert apart(answer) >= answer.between_m


def test_it_can_be_written_as_data() -> None:
    told = plain(fit(asked(inside(18, 18, 32), 2)))
    assert told["verdict"] == "fits"
    assert set(told["standing"][0]) >= {"x_m", "y_m", "diameter_m", "top_m"}


SYSTEM = """
name = "one"
[[place]]
name = "fridge"
temperature = "38 degF"
[place.inside]
width = "25 in"
depth = "20 in"
height = "32 in"
step = { where = "back", depth = "6 in", height = "9 in" }
[[place.inside.hole]]
wall = "left"
diameter = "3/4 in"
[[place]]
name = "garage"
temperature = "68 degF"
[[cylinder]]
name = "gas"
size = "5 lb"
place = "garage"
[[regulator]]
name = "r"
cylinder = "gas"
[[keg]]
name = "K7"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "r"
"""


def test_a_system_asks_for_what_stands_there() -> None:
    system = parse_system(SYSTEM)
    question = question_of(system, "fridge")
    assert question.kegs == (Wanted("K7", "ball-lock-5gal"),)
    assert question.outside
    assert question.cylinders == (Wanted("gas", "5 lb"),)
    assert not question_of(system, "fridge", outside=False).outside
    answer = fit(replace(question, outside=False))
    assert [one.name for one in answer.standing] == ["K7", "gas"]
    with pytest.raises(OutOfRange, match="not described"):
        question_of(system, "garage")


@pytest.mark.parametrize(
    ("written", "instead", "told"),
    [
        ('depth = "6 in", height', "height", "along the back or front its depth is needed"),
        ('height = "9 in" }', 'height = "40 in" }', "its height is as much"),
        ('height = "32 in"', 'height = "32 in"\nshelf = "33 in"', "shelf is above height"),
        ('height = "32 in"', 'height = "32 in"\ncollar = "6 in"', "under a lid"),
        ('height = "32 in"', 'height = "32 in"\ndoor_bulge = "20 in"', "touch the back wall"),
        ('wall = "left"', 'wall = "top"', "is not possible here"),
    ],
)
def test_an_inside_that_cannot_be_is_refused(written: str, instead: str, told: str) -> None:
    with pytest.raises(Exception, match=told) as wrong:
        parse_system(SYSTEM.replace(written, instead, 1))
    assert '[[place]] "fridge", inside' in str(wrong.value)


def test_a_typed_inside_is_read() -> None:
    room = inside_of("25 in x 50cm × 1 m", "25 in x 8 in x 9 in back-left", lid=True, collar="6 in")
    assert (room.width, room.depth, room.height) == pytest.approx((0.635, 0.5, 1.0))
    assert room.step is not None
    assert room.step.where == "back-left"
    assert room.collar == pytest.approx(parse("6 in", Kind.LENGTH))
    assert distance("6 mm") == pytest.approx(0.006)


@pytest.mark.parametrize(
    ("text", "step", "told"),
    [
        ("25 in x 20 in", None, "width x depth x height"),
        ("25 in x 20 in x 3 gal", None, "not a length"),
        ("25 in x 20 in x 30 in", "25 in x 8 in back", "width x depth x height"),
        ("25 in x 20 in x 30 in", "25 in x 8 in x 31 in back", "as much as the inside"),
        ("25 in x 20 in x 300 m", None, "out of bounds"),
    ],
)
def test_a_slip_of_the_hand_is_told(text: str, step: str | None, told: str) -> None:
    with pytest.raises(UnitError, match=told):
        inside_of(text, step)
