"""Prices of parts as typed, and which parts more regulators take."""

from __future__ import annotations

import pytest

from tests.plan.sharers import bar_of
from ullage.errors import UnitError, UnknownName
from ullage.plan.share import share
from ullage.plan.share_prices import part_price, priced_parts, typed_book, unpriced_parts
from ullage.system.price_book import Amount

CHART = (2.10, 2.48, 3.03)


def test_a_part_with_its_price() -> None:
    assert part_price("manifold-2=20-30") == ("manifold-2", Amount(20.0, 30.0))


@pytest.mark.parametrize(("text", "told"), [("45", "no part"), ("regulator=cheap", "no price")])
def test_what_is_no_price_is_refused(text: str, told: str) -> None:
    with pytest.raises(UnitError, match=told):
        part_price(text)


def test_a_part_that_is_not_known_is_named_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match='did you mean "regulator"'):
        part_price("regulatr=45")


def test_without_a_price_there_is_no_book() -> None:
    assert typed_book({}) is None


def test_what_has_no_price_yet_is_named_by_part_until_it_has() -> None:
    one = {"regulator": Amount(45.0, 45.0)}
    found = share(bar_of(CHART), prices=typed_book(one))
    missing = unpriced_parts(found)
    assert missing
    assert "regulator" not in missing
    assert set(missing) <= set(priced_parts())
    every = typed_book({**one, **dict.fromkeys(missing, Amount(1.0, 2.0))})
    assert unpriced_parts(share(bar_of(CHART), prices=every)) == ()
