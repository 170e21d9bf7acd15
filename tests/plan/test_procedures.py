"""Procedures: volumes and weights of this system, added up by hand."""

from __future__ import annotations

import math
import re
from datetime import date
from typing import get_args

import pytest

from ullage.errors import OutOfRange, UnknownName
from ullage.plan.clean_drive import Drive
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
from ullage.system import parts
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
    pumped = next(step for step in rule_of("clean line").steps if "{move}" in step.do)
    assert pumped.caution == "caustic"
    assert "Never mix two cleaners" in cautions()["chemicals"]
    assert "Gloves" in cautions()["chemicals"]


def test_the_demo_line_by_hand() -> None:
    found = procedure(rule_of("clean line"), "left", SYSTEM, "metric")
    # analytic: line π/4 (4.7625 mm)² × 3,048 mm = 17.814 mm² × 3,048 mm = 54.30 mL; shank 1/4 in ×
    # 4 in: π/4 (6.35 mm)² × 101.6 mm = 31.669 mm² × 101.6 mm = 3.22 mL; together 57.5 mL
    assert found.line_m3 == pytest.approx(57.5e-6, rel=1e-3)
    # analytic: ten times 57.5 mL is 0.58 L, below 2 L, so 2 L; at 2 %, 20 g/L × 2 L = 40 g
    assert found.solution_m3 == 2e-3
    said = [step.do for step in found.steps]
    assert "run 2 L of cold water" in said[0]
    assert "The line itself holds 58 mL" in said[0]
    assert said[1].startswith("Make 2 L of cleaner. At 2 %, 20 g in a litre, that takes 40 g.")
    assert "the first 58 mL is only water" in said[2]
    assert "Rinse with at least 2 L" in said[4]
    assert "pour the water out of the line, 58 mL" in said[5]
    # analytic: 40 g / 28.35 g = 1.41 oz; 2 L / 3.785 L = 0.53 gal; 57.5 mL / 29.57 mL = 1.9 fl oz
    us = " ".join(step.do for step in procedure(rule_of("clean line"), "left", SYSTEM, "us").steps)
    for words in ("0.53 gal (2 L)", "40 g (1.4 oz)", "1.9 fl oz (58 mL)"):
        assert words in us


def test_the_demo_keg_by_hand() -> None:
    found = procedure(rule_of("clean keg"), "K1", SYSTEM, "metric")
    held = parts.keg_kind("ball-lock-5gal").capacity_m3
    assert found.keg_m3 == held
    said = found.steps[2].do
    # analytic: percarbonate at 0.5 % is 5 g in a litre, in some 19.3 L 96 to 97 g; a quarter,
    # 4.8 L, takes 24 g
    assert 1e3 * held == pytest.approx(19.3, rel=0.02)
    assert f"with {5e3 * held:.0f} g in it at 0.5 %, 5 g in a litre" in said
    assert "A quarter of that, 4.8 L with 24 g," in said
    # analytic: 1.6 mL of concentrate in a litre: in 4 L 6 mL, in 19.3 L 31 mL
    rinse = next(step.do for step in found.steps if "no-rinse" in step.do)
    assert "6 mL of concentrate for the first" in rinse
    assert f"{1600 * held:.0f} mL for the second" in rinse
    # analytic: strip keg, 2 L at 0.5 % takes 10 g; faucet, 1 L at 2 % takes 20 g
    assert "2 L of cleaner, 10 g at 0.5 %" in text("strip keg", "K1")
    assert "cleaner, 20 g in 1 L at 2 %" in text("faucet", "left")
    assert "cleaner, 20 g in 1 L at 2 %" in text("disconnect", "left")


def test_what_must_last_says_how_long() -> None:
    lasting = {
        rule.name: [
            step.lasts_s / 60
            for step in procedure(rule, about, SYSTEM, "metric").steps
            if step.lasts_s is not None
        ]
        for rule in rules()
        for about in subjects(SYSTEM, rule.of)[:1]
    }
    # published: lines 15 min circulating (Brewers Association manual); common practice, no source:
    # kegs and small parts 15 to 20 min, a sanitiser two, a regulator an hour, leaks a night
    assert lasting == {
        "clean line": [15],
        "acid line": [15],
        "faucet": [15],
        "replace line": [],
        "disconnect": [15],
        "clean keg": [20, 2],
        "strip keg": [20],
        "seals": [],
        "regulator": [60],
        "requalify": [],
        "leak check": [480],
        "gas alarm": [],
        "fridge": [480],
    }


def test_cleaner_that_goes_in_comes_out_again() -> None:
    for rule in rules():
        moves = [step.solution for step in rule.steps if step.solution]
        assert moves in ([], ["in", "out"])
        for step in rule.steps:
            if step.solution == "out":
                assert "pH strip" in step.do
            if step.solution == "in" or step.contact:
                assert step.caution in ("chemicals", "caustic", "splash")


def test_gas_that_pushes_bears_its_own_caution() -> None:
    pushed = procedure(
        rule_of("clean line"), "left", SYSTEM, "metric", None, Drive(means="keg")
    ).steps[2]
    assert pushed.do.startswith("Push it through from a clean keg")
    for words in ("Never push caustic", "lowest rating", "let the pressure out", "windows open"):
        assert words in pushed.caution
    pumped = procedure(rule_of("clean line"), "left", SYSTEM, "metric").steps[2]
    assert "lowest rating" not in pumped.caution


def test_every_rule_has_its_source() -> None:
    for rule in rules():
        assert rule.source.startswith(("Brewers Association", "49 CFR", "common practice"))


def test_what_no_label_asks_is_refused() -> None:
    for strength in (0.0, -0.01, 0.2, math.nan, math.inf):
        with pytest.raises(OutOfRange, match="none that a label asks for"):
            procedure(rule_of("clean line"), "left", SYSTEM, "us", strength)
    with pytest.raises(UnknownName):
        procedure(rule_of("clean line"), "attic", SYSTEM, "us")
