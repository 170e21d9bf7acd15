"""Procedures: volumes and weights of this system, added up by hand."""

from __future__ import annotations

import math
import re
from datetime import date
from typing import get_args

import pytest

from ullage.errors import OutOfRange, UnknownName
from ullage.plan.procedures import (
    LEAST_SOLUTION_M3,
    STRENGTHS,
    cleaner_kg,
    line_volume,
    made_for,
    procedure,
)
from ullage.plan.upkeep import subjects
from ullage.plan.upkeep_changes import rule_of
from ullage.system.demo import demo_system
from ullage.system.model import LinePiece
from ullage.system.upkeep_rules import Rule, cautions, rules
from ullage.units import UnitSystem

SYSTEM = demo_system(date(2026, 6, 1))
INCH = 0.0254
FOOT = 12 * INCH


def text(task: str, about: str, strength: float | None = None) -> str:
    found = procedure(rule_of(task), about, SYSTEM, "metric", strength)
    return "\n".join(step.do for step in found.steps)


def test_what_a_line_holds() -> None:
    bare = SYSTEM.tap("left").model_copy(update={"shank": None})
    # analytic: π/4 (4.7625 mm)² × 3.048 m = 54.3 mL
    assert line_volume(bare) == pytest.approx(54.3e-6, rel=1e-3)
    # analytic: 10 ft of 3/16 in as above and 2 ft of 4 mm, π/4 (4 mm)² × 0.6096 m = 7.66 mL
    right = SYSTEM.tap("right").model_copy(update={"shank": None})
    assert line_volume(right) == pytest.approx(61.96e-6, rel=1e-3)
    # analytic: the demo's shank is a 4 in tube; with 1/4 in inside it would add 3.2 mL
    assert 1e-6 < line_volume(SYSTEM.tap("left")) - line_volume(bare) < 8e-6


def test_ten_fillings_of_the_line_and_two_litres_at_least() -> None:
    assert made_for(54.3e-6) == LEAST_SOLUTION_M3
    # analytic: 100 ft of 3/8 in: π/4 (9.525 mm)² × 30.48 m = 2.17 L, ten times that
    long = LinePiece(length=100 * FOOT, bore=0.375 * INCH)
    tap = SYSTEM.tap("left").model_copy(update={"line": (long,), "shank": None})
    assert made_for(line_volume(tap)) == pytest.approx(21.7e-3, rel=2e-3)


def test_how_much_cleaner_to_weigh() -> None:
    # analytic: 2 % is 20 g in a litre, in 2 L 40 g; 3 % 60 g
    assert cleaner_kg(2e-3, 0.02) == pytest.approx(0.040)
    assert "that takes 40 g" in text("clean line", "left")
    assert "that takes 60 g" in text("clean line", "left", 0.03)


def test_a_keg_soaked_full_and_its_sanitiser() -> None:
    said = text("clean keg", "K1", 0.01)
    found = procedure(rule_of("clean keg"), "K1", SYSTEM, "metric", 0.01)
    assert found.keg_m3 is not None
    # analytic: 1 % of a keg of some 19.3 L is 193 g, a quarter of it 48 g
    assert found.keg_m3 == pytest.approx(19.3e-3, rel=0.02)
    assert f"with {round(1e4 * found.keg_m3)} g in it" in said
    # analytic: 1 US fl oz in 5 US gal, 29.57 mL in 18.93 L, is 1.56 mL in a litre: 6 mL in 4 L
    assert "commonly want 6 mL" in said


def test_published_strengths_and_times() -> None:
    # published: caustic 2 %, 3 % for problem lines; 15 min moving or 20 min standing; at most
    # 2 US gal a minute; rinse to the pH of tap water (Brewers Association manual)
    assert [one.fraction for one in STRENGTHS[:2]] == [0.02, 0.03]
    said = text("clean line", "left")
    for words in ("15 minutes", "20 minutes", "2 US gal", "pH", "as your tap water"):
        assert words in said


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.name)
def test_every_task_has_its_procedure_on_every_part_in_both_units(rule: Rule) -> None:
    for about in subjects(SYSTEM, rule.of):
        for units in get_args(UnitSystem):
            found = procedure(rule, about, SYSTEM, units)
            words = " ".join(step.do for step in found.steps)
            assert not re.search(r"[{}]", words)
            assert any(step.caution for step in found.steps)
            assert "gal (" not in words or units == "us"


def test_cautions_stand_where_the_hand_acts() -> None:
    for rule in rules():
        for step in rule.steps:
            if re.search(r"\b[Mm]ake \{|soak|Soak", step.do):
                assert step.caution == "chemicals", (rule.name, step.do)
    pumped = next(step for step in rule_of("clean line").steps if "Pump it" in step.do)
    assert pumped.caution == "caustic"
    assert "Never mix two cleaners" in cautions()["chemicals"]
    assert "Gloves" in cautions()["chemicals"]


def test_every_rule_has_its_source() -> None:
    for rule in rules():
        assert rule.source.startswith(("Brewers Association", "49 CFR", "common practice"))


def test_what_no_label_asks_is_refused() -> None:
    for strength in (0.0, -0.01, 0.2, math.nan, math.inf):
        with pytest.raises(OutOfRange, match="none that a label asks for"):
            procedure(rule_of("clean line"), "left", SYSTEM, "us", strength)
    with pytest.raises(UnknownName):
        procedure(rule_of("clean line"), "attic", SYSTEM, "us")
