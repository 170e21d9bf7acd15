"""`ullage fit`: from a tape or a file, in words, as data, as a drawing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, ullage
from tests.plan.test_fit import SYSTEM

ROOM = ("--inside", "25 in x 20 in x 32 in")


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "system.toml"
    path.write_text(SYSTEM, encoding="utf-8")
    return str(path)


def test_a_tape_is_enough() -> None:
    ran = ullage("fit", *ROOM, "--kegs", "4")
    assert ran.code == 0
    assert ran.out.startswith("It fits: four kegs stand with ")
    assert "Middles, from the front left corner of the floor:" in ran.out
    assert "never drill" in ran.out


def test_without_a_number_it_finds_the_most() -> None:
    ran = ullage("fit", *ROOM, "--json")
    told = ran.json
    assert told["verdict"] == "fits"
    assert told["most"][0]["count"] == len(told["standing"]) >= 5


def test_metric_in_metric_out() -> None:
    ran = ullage("fit", "--inside", "64 cm x 51 cm x 82 cm", "--kegs", "2")
    assert " mm or more between" in ran.out


def test_a_file_is_asked_about_its_place(file: str, tmp_path: Path) -> None:
    ran = ullage("fit", file)
    assert ran.out.startswith("It fits: one keg stands")
    assert "Use the hole that is there, in the left wall." in ran.out
    drawing = tmp_path / "fit.svg"
    ran = ullage("fit", file, "--cylinder", "inside", "--svg", str(drawing))
    assert ran.out.startswith("It fits: one keg and the cylinder stand")
    assert f"wrote {drawing}" in ran.err
    assert drawing.read_text(encoding="utf-8").startswith("<svg")


def test_what_does_not_fit_is_said_with_its_proof() -> None:
    ran = ullage("fit", "--inside", "15 in x 15 in x 32 in", "--kegs", "2")
    assert ran.code == 0
    assert "and that is proved" in ran.out
    assert "Why: The middles of K1 and K2 must be 8 3/4 in apart" in ran.out
    assert "One keg of the kind" in ran.out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), ("--inside",)),
        (("--inside", "25 in x 20 in"), ("width x depth x height",)),
        ((*ROOM, "--kegs", "many"), ("--kegs is a number",)),
        ((*ROOM, "--kegs", "99"), ("--kegs is a number",)),
        ((*ROOM, "--cylinder", "beside"), ("inside or outside",)),
        ((*ROOM, "--keg-kind", "ball-lock-5gall"), ("did you mean", "ball-lock-5gal")),
        ((*ROOM, "--size", "11 lb"), ("10 lb",)),
        ((*ROOM, "--between", "3 m"), ("no distance to keep",)),
        ((*ROOM, "--step", "9 in back"), ("width x depth x height",)),
    ],
)
def test_slips_are_refused_in_one_line(arguments: tuple[str, ...], words: tuple[str, ...]) -> None:
    assert_refused(ullage("fit", *arguments), *words)


def test_a_place_without_an_inside_is_refused(file: str) -> None:
    assert_refused(ullage("fit", file, "--place", "garage"), "garage", "not described")
    assert_refused(ullage("fit", file, "--place", "shed"), "shed", "fridge")
    assert_refused(ullage("fit", file, *ROOM), "one of them")
