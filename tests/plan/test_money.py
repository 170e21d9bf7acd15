"""Money: an example worked by hand, three ways, a pint, and kegs against bottles."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.builds import american
from ullage.plan.cylinder_fits import kegs_a_filling
from ullage.plan.money import WAYS, money, way_cost
from ullage.plan.parts_list import parts_list
from ullage.system.price_book import Amount, Price, PriceBook, parse_price_book

BOOK = """
currency = "EUR"
[[price]]
part = "ball-lock-gas-barb-5/16"
new = [8, 12]
used = 5
[[price]]
part = "ball-lock-liquid-barb-1/4"
new = 10
on_hand = 1
[[price]]
part = "flare-nut-barb-5/16"
new = 3
[[price]]
part = "beer-nut-barb-3/16"
new = 4
[[price]]
part = "check-valve-5/16"
new = 9
used = 4
[[price]]
part = "clamp-3/16"
new = 1
[[price]]
part = "clamp-5/16"
new = 1
on_hand = 2
[[price]]
part = "washer-cga-320"
new = 0.5
[[price]]
part = "washer-flare-1/4"
new = 0.5
[[price]]
part = "washer-beer"
new = 0.5
[[price]]
part = "washer-faucet"
new = 0.5
[[price]]
part = "o-ring-ball-lock"
new = 0.75
[[price]]
part = "vinyl gas line 5/16 in"
new = 1.5
per = "1 ft"
[brewing]
batch = "20 L"
drunk = "10 L/week"
batch_cost = 30
years = 4.0
[kegs]
power = "50 W"
kwh = 0.30
upkeep = 20
hours = "1 h"
[bottles]
bottle = "0.5 L"
bottle_cost = 0.8
cap = 0.03
sugar = 0.5
tools = 60
loss = "5 %"
on_hand = 30
hours = "4 h"
"""


@pytest.fixture(scope="module")
def book() -> PriceBook:
    return parse_price_book(BOOK)


def test_three_ways_by_hand(book: PriceBook) -> None:
    least, sensible, comfortable = money(american(), book).ways
    # analytic. Sensible: disconnect used 5, the other at hand, flare nut 3, tailpiece 4, check
    # valve new 9, clamps 2 and 4 less 2 at hand = 4, washers 4 × 0.50, o-rings 2 × 0.75, 5 ft of
    # line at 1.50: 5 + 3 + 4 + 9 + 4 + 2 + 1.50 + 7.50 = 36
    assert [sensible.low, sensible.high] == pytest.approx([36.0, 36.0])
    # analytic: the least takes the check valve used, 4 in place of 9
    assert least.low == pytest.approx(31.0)
    # analytic: all new, 8 to 12 in place of 5, and one more of each seal: 1 + 1 + 4 × 0.50 + 0.75
    assert comfortable.low == pytest.approx(36.0 - 5.0 + 8.0 + 4.75)
    assert comfortable.high == pytest.approx(36.0 - 5.0 + 12.0 + 4.75)
    assert all(one.unpriced == () for one in (least, sensible, comfortable))
    assert "Check valve for a gas line, 5/16 in barbs" in least.bought_used
    assert "Check valve for a gas line, 5/16 in barbs" not in sensible.bought_used
    assert comfortable.bought_used == ()
    assert len(comfortable.spares) == 7


def test_kegs_against_bottles_by_hand(book: PriceBook) -> None:
    answer = money(american(), book)
    kegs, bottles = answer.running
    # analytic: 10 L a week for 365.25 / 7 weeks a year, in batches of 20 L
    batches = 10 * 365.25 / 7 / 20
    assert answer.batches_a_year == pytest.approx(batches)
    # analytic: 0.05 kW × 8,766 h × 0.30 = 131.49, upkeep 20, 30 a batch; no refill is priced
    yearly = 131.49 + 20 + 30 * batches
    assert kegs.yearly_low == pytest.approx(yearly)
    assert kegs.total_low == pytest.approx(36 + 4 * yearly)
    assert kegs.hours == pytest.approx(4 * batches)
    # analytic: 40 bottles a batch, two batches stored less 30 at hand = 50 at 0.80, tools 60
    assert bottles.setup_low == pytest.approx(50 * 0.8 + 60)
    # analytic: caps 40 × 0.03, sugar 0.50, 5 % of 40 lost at 0.80 each, 30 of ingredients
    assert bottles.yearly_low == pytest.approx((1.2 + 0.5 + 1.6 + 30) * batches)
    assert bottles.hours == pytest.approx(16 * batches)
    # analytic: 10 L a week over four years in pints of 0.473176473 L
    pints = 10 * 365.25 / 7 * 4 / 0.473176473
    assert kegs.pint_low == pytest.approx(kegs.total_low / pints)


def test_gas_is_paid_by_the_refill(book: PriceBook) -> None:
    priced = book.model_copy(
        update={"kegs": book.kegs.model_copy(update={"refill": Amount(25, 25)})}
    )
    without, with_gas = (money(american(), one).running[0] for one in (book, priced))
    filling = kegs_a_filling(american(), american().cylinders[0])
    assert filling is not None
    # analytic: 20 L fill 20 / 18.927 kegs of 5 US gal
    refills = 10 * 365.25 / 7 / 18.92706 / filling
    assert with_gas.yearly_low - without.yearly_low == pytest.approx(25 * refills, rel=1e-4)


def test_no_price_is_built_in() -> None:
    answer = money(american(), parse_price_book('currency = "EUR"'))
    for way in answer.ways:
        assert (way.low, way.high) == (0.0, 0.0)
        assert len(way.unpriced) == 13  # analytic: twelve kinds of parts and one of line
    assert answer.running == ()
    assert "no price in the book" in answer.remarks[0]
    assert "give [brewing]" in answer.remarks[1]


def test_one_tap_more(book: PriceBook) -> None:
    extra = money(american(), book).extra_tap
    assert extra is not None
    assert extra.taps == 2
    assert extra.low > 0.0
    assert any("Keg" in one for one in extra.unpriced)


@given(st.floats(1, 1000), st.floats(1, 1000), st.floats(1, 1000))
def test_the_least_is_never_dearer_and_the_comfortable_never_cheaper(
    new: float, used: float, seal: float
) -> None:
    prices = tuple(
        Price(part=one.part, new=Amount(new, new), used=Amount(used, used))
        if one.kind != "seal"
        else Price(part=one.part, new=Amount(seal, seal))
        for one in parts_list(american()).parts
    )
    book = PriceBook(currency="EUR", prices=prices)
    costs = [way_cost(parts_list(american()), book, way) for way in WAYS]
    sums = [one.low for one in costs]
    assert sums == sorted(sums)


def test_ranges_stay_ranges(book: PriceBook) -> None:
    listed = replace(parts_list(american()), tubing=())
    found = way_cost(listed, book, "comfortable")
    assert found.high - found.low == pytest.approx(4.0)  # analytic: 12 less 8
