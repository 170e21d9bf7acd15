"""What does not fit: one system that is right, and one change for each thing that can be wrong."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from ullage.system.checks import findings, keg_rating_pa
from ullage.system.demo import demo_system
from ullage.system.file import load_system, parse_system
from ullage.system.model import Keg

TODAY = date(2026, 6, 1)
EXAMPLES = Path(__file__).parents[2] / "examples"
RIGHT = """
name = "right"
[[place]]
name = "fridge"
temperature = "38 degF"
[[cylinder]]
name = "c"
size = "10 lb"
place = "fridge"
requalified = 2023-06-01
[[regulator]]
name = "r"
cylinder = "c"
pressure = "12 psi"
[[beer]]
name = "b"
volumes = "2.5 vol"
[[keg]]
name = "k"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "r"
beer = "b"
[[tap]]
name = "t"
keg = "k"
rise = "1 ft"
line = [{ length = "8 ft", bore = "3/16 in" }]
"""

WRONG = [
    # what is written, what instead, level, where, what, remedy
    ("rise", 'disconnect = "pin-lock"\nrise', "warning", 'tap "t"', "takes ball-lock", "use"),
    ('"12 psi"', '"40 psi"\nmax_pressure = "30 psi"', "danger", 'regulator "r"', "30 psi", "now"),
    ('beer = "b"', 'beer = "b"\nmax_pressure = "10 psi"', "danger", 'keg "k"', "12 psi", "now"),
    ('beer = "b"', 'beer = "b"\nmax_pressure = "40 psi"', "note", 'keg "k"', "60 psi", "relief"),
    ('"12 psi"', '"55 psi"', "danger", 'line of tap "t"', "50 psi", "turn the regulator down"),
    ('"12 psi"', '"12 psi"\nvalve = "W21.8x1/14"', "warning", 'regulator "r"', "CGA 320", "inlet"),
    ('beer = "b"', 'beer = "b"\nvolume = "6 gal"', "warning", 'keg "k"', "brimful 5.1 gal", "kind"),
    ('beer = "b"', 'beer = "b"\nvolume = "5.05 gal"', "note", 'keg "k"', "headspace", "5 gal"),
    ('regulator = "r"', "", "warning", 'keg "k"', "no regulator", "give it"),
    ('beer = "b"', "", "note", 'keg "k"', "no beer", "fill it"),
    ('"38 degF"', '"29 degF"', "warning", 'keg "k"', "begins to freeze", "30 °F"),
    ('"38 degF"', '"85 degF"', "note", 'cylinder "c"', "80 °F", "cooler"),
    ('size = "10 lb"', 'size = "10 lb"\ncontents = "11 lb"', "danger", 'cylinder "c"', "11 lb", ""),
    ("2023-06-01", "2021-06-01", "warning", 'cylinder "c"', "49 CFR 180.209", "swap it"),
    ("2023-06-01", "2026-06-02", "warning", 'cylinder "c"', "a day to come", "correct"),
]  # fmt: skip


def test_nothing_to_say_of_what_is_right() -> None:
    assert findings(parse_system(RIGHT), TODAY) == ()


@pytest.mark.parametrize(("old", "new", "level", "where", "what", "remedy"), WRONG)
def test_each_thing_is_found(
    old: str, new: str, level: str, where: str, what: str, remedy: str
) -> None:
    found = findings(parse_system(RIGHT.replace(old, new, 1)), TODAY)
    matching = [each for each in found if (each.level, each.where) == (level, where)]
    assert len(matching) == 1
    assert what in matching[0].what
    assert remedy in matching[0].remedy


def test_two_taps_on_one_keg() -> None:
    tap = RIGHT[RIGHT.index("[[tap]]") :].replace('"t"', '"u"')
    (found,) = findings(parse_system(RIGHT + tap), TODAY)
    assert (found.level, found.where) == ("note", 'keg "k"')
    assert '"t" and "u"' in found.what


def test_dangers_come_first() -> None:
    text = RIGHT.replace("2023-06-01", "2010-06-01").replace('"12 psi"', '"55 psi"')
    levels = [each.level for each in findings(parse_system(text), TODAY)]
    assert levels == ["danger", "warning"]


@pytest.mark.parametrize(
    ("tested", "today", "due"),
    [
        ("2021-06-02", date(2026, 6, 1), False),
        ("2021-06-01", date(2026, 6, 1), True),
        ("2020-02-29", date(2025, 2, 28), False),
        ("2020-02-29", date(2025, 3, 1), True),
        ("9999-01-01", date(2025, 3, 1), True),
        ("0001-01-01", date(2025, 3, 1), True),
    ],
)
def test_five_years_to_the_day(tested: str, today: date, due: bool) -> None:
    found = findings(parse_system(RIGHT.replace("2023-06-01", tested)), today)
    assert bool(found) is due


def test_valves_are_compared_without_regard_to_spelling() -> None:
    text = RIGHT.replace('"12 psi"', '"12 psi"\nvalve = "cga-320"')
    assert findings(parse_system(text), TODAY) == ()


def test_left_out_valves_are_those_of_the_cylinders_size() -> None:
    metric = RIGHT.replace('"10 lb"', '"2 kg"')
    system = parse_system(metric)
    cylinder, regulator = system.cylinders[0], system.regulators[0]
    # published: DIN 477-1 No. 6 on small European cylinders, as in the catalogue
    assert cylinder.outlet_valve == regulator.inlet_valve(cylinder) == "W21.8x1/14"
    assert findings(system, TODAY) == ()
    told = metric.replace('"12 psi"', '"12 psi"\nvalve = "DIN 477-1 No. 6"')
    assert findings(parse_system(told), TODAY) == ()
    (found,) = findings(parse_system(told.replace("DIN 477-1 No. 6", "CGA 320")), TODAY)
    assert "(CGA 320) does not fit" in found.what
    assert found.what.endswith("(W21.8x1/14)")


def test_a_told_valve_counts_before_the_sizes_own() -> None:
    odd = RIGHT.replace('"10 lb"', '"10 lb"\nvalve = "TR21-4"')
    assert parse_system(odd).cylinders[0].outlet_valve == "TR21-4"
    (found,) = findings(parse_system(odd), TODAY)
    assert "(CGA 320) does not fit" in found.what


def test_a_kegs_own_marking_rules() -> None:
    keg = Keg(name="k", kind="ball-lock-5gal", place="p")
    assert keg_rating_pa(keg) == pytest.approx(896_318, abs=1)  # 130 psi, from memory
    assert keg_rating_pa(keg.model_copy(update={"max_pressure": 5e5})) == 5e5


def test_the_demo_and_examples() -> None:
    (found,) = findings(demo_system(), TODAY)
    assert found.where == 'cylinder "main"'
    for name in ("one-tap", "metric-two-taps"):
        assert findings(load_system(EXAMPLES / f"{name}.toml"), TODAY) == ()


def test_today_is_now_unless_told() -> None:
    assert isinstance(findings(demo_system()), tuple)
