"""What is typed of a sharing: kegs that stay, beers by their levels."""

from __future__ import annotations

import pytest

from ullage.errors import UnitError
from ullage.plan.share_answer import Wish
from ullage.plan.share_text import beers_of, system_of, wishes_of


def test_wishes_in_one_text_or_several() -> None:
    told = (Wish("K1", "left one"), Wish("K2", "right"))
    assert wishes_of(["K1=left one, K2 = right"]) == told
    assert wishes_of(["K1=left one", " K2=right ;"]) == told
    assert wishes_of([""]) == ()


@pytest.mark.parametrize("text", ["K1", "=left", "K1=", "K1 left"])
def test_a_wish_says_which_keg_stays_where(text: str) -> None:
    with pytest.raises(UnitError, match="which keg stays where"):
        wishes_of([text])


def test_beers_with_levels_tolerances_and_temperatures() -> None:
    pale, stout, nameless = beers_of("Pale 2.5 ± 0.1; Dry Stout 2,1 vol @ 44 degF; 5 g/L")
    assert (pale.name, pale.volumes, pale.tolerance) == ("Pale", 2.5, 0.1)
    assert (stout.name, stout.volumes, stout.tolerance) == ("Dry Stout", 2.1, 0.2)
    assert stout.temperature_k == pytest.approx(279.817, abs=0.01)
    assert nameless.name == "beer 3"
    # analytic: one volume is 1.9768 g/L
    assert nameless.volumes == pytest.approx(5.0 / 1.9768, abs=0.01)
    assert [one.volumes for one in beers_of("2.5, 2.1, 3")] == [2.5, 2.1, 3.0]
    assert beers_of("Batch 12 2.5")[0].name == "Batch 12"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "1 to 24 beers"),
        ("; ".join(["2.5"] * 25), "1 to 24 beers"),
        ("Pale", "not a beer with its level"),
        ("Pale 25", "not a level"),
        ("Pale 2.5 ± 3", "a tolerance is"),
        ("Pale 2.5 @ cold", "temperature"),
        ("A 2.5; A 2.1", "a name of its own"),
        ("x" * 60 + " 2.5", "not a level"),
    ],
)
def test_what_is_no_beer_is_refused(text: str, told: str) -> None:
    with pytest.raises(UnitError, match=told):
        beers_of(text)


def test_a_little_system_has_a_place_for_each_temperature() -> None:
    system = system_of(beers_of("2.5; 2.1 @ 44 degF; 3.0"), 2, 276.483, 100.0, "us")
    assert [keg.place for keg in system.kegs] == [
        "a place at 38 °F",
        "a place at 44 °F",
        "a place at 38 °F",
    ]
    assert len(system.places) == 2
    assert [one.name for one in system.regulators] == ["regulator 1", "regulator 2"]
