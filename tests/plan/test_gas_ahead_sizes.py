"""Which size is cheapest, by made-up prices, and whether it can be carried and stand there."""

from __future__ import annotations

import pytest

from tests.plan.builds import american
from ullage.errors import UllageError
from ullage.plan.gas_ahead_prices import amount_of, refill_price
from ullage.plan.gas_ahead_sizes import (
    GasPrices,
    SizesAsked,
    common_sizes,
    prices_of,
    sizes_of,
)
from ullage.system.inside import Inside
from ullage.system.model import Place
from ullage.system.parts import cylinder_size
from ullage.system.price_book import Amount, parse_price_book

FIVE = cylinder_size("5 lb")
POUND, INCH = 0.45359237, 0.0254
PRICES = GasPrices(
    "EUR",
    refill={"5 lb": Amount(20, 20), "10 lb": Amount(25, 30)},
    requalification=Amount(40, 40),
)


def test_a_year_costs_its_fillings_and_a_fifth_of_the_test() -> None:
    found = sizes_of(SizesAsked("c", FIVE, 10 * POUND, PRICES, None))
    rows = {row.size: row for row in found.rows}
    # analytic: 10 lb a year are two fillings of 5 lb and one of 10 lb; the test is 40 in five years
    assert (rows["5 lb"].cost_low, rows["5 lb"].cost_high) == pytest.approx((48.0, 48.0))
    assert (rows["10 lb"].cost_low, rows["10 lb"].cost_high) == pytest.approx((33.0, 38.0))
    assert rows["5 lb"].lasts_s == pytest.approx(365.25 * 86_400 / 2)
    assert found.cheapest == "10 lb"
    assert "10 lb would be the cheapest" in found.words
    # analytic: no price is made up
    assert rows["20 lb"].cost_low is None
    assert rows["20 lb"].missing == ("refill 20 lb",)


def test_without_two_prices_nothing_is_compared() -> None:
    bare = sizes_of(SizesAsked("c", FIVE, 4.0, GasPrices(), None))
    assert bare.cheapest is None
    assert bare.words.startswith("Give the prices of at least two sizes")
    assert all(row.cost_low is None and "requalification" in row.missing for row in bare.rows)
    unknown = sizes_of(SizesAsked("c", FIVE, None, PRICES, None))
    assert unknown.words.startswith("How much a year takes is not known")


def test_only_sizes_with_the_same_valve_that_a_home_has_room_for() -> None:
    names = [one.name for one in common_sizes(FIVE)]
    assert names == ["2.5 lb", "5 lb", "10 lb", "15 lb", "20 lb"]
    assert "50 lb" in [one.name for one in common_sizes(cylinder_size("50 lb"))]


def test_what_a_hand_carries() -> None:
    rows = {row.size: row for row in sizes_of(SizesAsked("c", FIVE, 4.0, PRICES, None)).rows}
    # analytic: tare and rated mass: 17.5 lb, 25 lb, 45 lb
    assert rows["5 lb"].full_kg == pytest.approx(17.5 * POUND)
    assert [rows[size].carry for size in ("5 lb", "10 lb", "20 lb")] == [
        "one hand",
        "one hand",
        "two hands",
    ]


def test_what_stands_in_the_fridge() -> None:
    def told(height: float, width: float = 20.0) -> dict[str, str]:
        inside = Inside(width=width * INCH, depth=0.9 * width * INCH, height=height * INCH)
        fridge = Place(name="fridge", temperature=276.5, inside=inside)
        places = {"places": (fridge,)}
        system = american().model_copy(update=places)
        return {
            row.size: row.stands
            for row in sizes_of(SizesAsked("c", FIVE, 4.0, PRICES, system)).rows
        }

    # analytic: a cylinder needs 3 in more than its height for its regulator: 20 lb with 27 in do
    # not stand in 29.5 in, 10 lb with 20 in do, beside a keg of 25 in that needs 4 in above it
    assert told(33.0) == dict.fromkeys(("2.5 lb", "5 lb", "10 lb", "15 lb", "20 lb"), "may fit")
    low = told(29.5)
    assert (low["10 lb"], low["20 lb"]) == ("may fit", "does not fit")
    # analytic: a keg of 8.5 in and a cylinder of 4.4 do not stand on 10.5 in by 9.5
    assert set(told(33.0, width=10.5).values()) == {"does not fit"}
    bare = sizes_of(SizesAsked("c", FIVE, 4.0, PRICES, american()))
    assert {row.stands for row in bare.rows} == {"not known"}


BOOK = """
currency = "EUR"
[[price]]
part = "refill 10 lb"
new = [25, 30]
[[price]]
part = "requalification"
new = 40
[[price]]
part = "cylinder 10 lb"
new = 95
[kegs]
refill = 20
"""


def test_prices_come_from_the_book() -> None:
    prices = prices_of(parse_price_book(BOOK))
    rows = {row.size: row for row in sizes_of(SizesAsked("c", FIVE, 10 * POUND, prices, None)).rows}
    # analytic: as above; [kegs] tells the refill of the size in use
    assert rows["5 lb"].cost_low == pytest.approx(48.0)
    assert rows["10 lb"].cost_high == pytest.approx(38.0)
    assert rows["10 lb"].price_low == 95.0


def test_prices_are_typed() -> None:
    assert amount_of("22,50") == Amount(22.5, 22.5)
    assert amount_of("18-25") == amount_of("18 to 25") == Amount(18.0, 25.0)
    assert refill_price("10 lb=25-30") == ("10 lb", Amount(25.0, 30.0))
    for wrong in ("cheap", "25-18", "-3", "1e3", ""):
        with pytest.raises(UllageError, match="is no price"):
            amount_of(wrong)
    with pytest.raises(UllageError, match="no size of cylinder"):
        refill_price("9 lb=3")
    with pytest.raises(UllageError, match="5 lb=22"):
        refill_price("5 lb")
