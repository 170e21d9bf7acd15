"""Several beers on few regulators: the whole answer, against the chart of the trade."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from tests.plan.sharers import PSI, bar_of, fahrenheit, wish, with_keg, with_regulator
from ullage.errors import OutOfRange, UnknownName
from ullage.plan.share import share
from ullage.plan.share_answer import ShareQuestion
from ullage.system.price_book import parse_price_book

START = datetime(2026, 6, 1, 18, tzinfo=UTC)
CHART = (2.10, 2.48, 3.03)
"""published: Miller 1994, Table I, 38 °F: 7, 11 and 17 psi."""


def settings_of(system: object, **asked: object) -> dict[str, tuple[float, tuple[str, ...]]]:
    answer = share(system, ShareQuestion(**asked), START)  # type: ignore[arg-type]
    return {
        one.regulator: (one.gauge_pressure_pa / PSI, one.kegs)
        for one in answer.settings
        if one.gauge_pressure_pa is not None
    }


def test_a_regulator_for_each_beer_gives_what_the_chart_says() -> None:
    found = settings_of(bar_of(CHART, 3))
    by_keg = {kegs[0]: gauge for gauge, kegs in found.values()}
    # published: Miller 1994, Table I, 38 °F; the chart is in whole psi, the fit within 0.6
    assert by_keg == {
        "K1": pytest.approx(7.0, abs=0.7),
        "K2": pytest.approx(11.0, abs=0.7),
        "K3": pytest.approx(17.0, abs=0.7),
    }


def test_two_regulators_put_neighbours_together() -> None:
    answer = share(bar_of(CHART, 2, tolerance=0.2), start=START)
    groups = sorted(one.kegs for one in answer.settings)
    # on paper: 7 and 11 psi are nearer to each other than 11 and 17
    assert groups == [("K1", "K2"), ("K3",)]
    # on paper: the pair meets in the middle of its levels, (2.10 + 2.48) / 2 = 2.29
    pair = [one for one in answer.beers if one.keg in ("K1", "K2")]
    assert [one.comes_to_vol.value for one in pair] == pytest.approx([2.29, 2.29], abs=0.02)


def test_pressures_are_what_a_gauge_shows() -> None:
    for units, step in (("us", 0.1 * PSI), ("metric", 1000.0)):
        system = bar_of(CHART, 2).model_copy(update={"units": units})
        for one in share(system, start=START).settings:
            assert one.gauge_pressure_pa is not None
            steps = one.gauge_pressure_pa / step
            assert steps == pytest.approx(round(steps), abs=1e-6)


def test_the_lowest_rating_is_never_passed() -> None:
    low = with_regulator(bar_of(CHART, 1), "R1", max_pressure=10 * PSI)
    answer = share(low, start=START)
    assert answer.settings[0].gauge_pressure_pa == pytest.approx(10 * PSI, rel=1e-6)
    assert {one.keg for one in answer.beers if one.limited} == {"K2", "K3"}
    assert any(one.level == "danger" for one in answer.cautions)
    weak = with_keg(bar_of(CHART, 1), "K1", max_pressure=8 * PSI)
    assert settings_of(weak)["R1"][0] <= 8.0 + 1e-9


def test_a_weak_keg_may_hang_alone_where_regulators_allow() -> None:
    weak = with_keg(bar_of(CHART, 2), "K2", max_pressure=8 * PSI)
    (gauge,) = (gauge for gauge, kegs in settings_of(weak).values() if "K2" in kegs)
    assert gauge <= 8.0 + 1e-9


def test_what_stays_where_it_is_told_to() -> None:
    system = bar_of(CHART, 2)
    found = settings_of(system, keep=(wish("K1", "R2"), wish("K3", "R2")))
    assert set(found["R2"][1]) >= {"K1", "K3"}


def test_as_few_kegs_as_can_be_are_hung_anew() -> None:
    system = with_keg(bar_of(CHART, 2), "K3", regulator="R2")
    answer = share(system, start=START)
    stay = [one.keg for one in answer.beers if one.regulator == one.present_regulator]
    assert stay == ["K1", "K2", "K3"]


def test_one_more_is_bought_and_named_apart() -> None:
    answer = share(bar_of(CHART, 1), ShareQuestion(regulators=3), START)
    assert [one.regulator for one in answer.settings] == [
        "R1",
        "new regulator",
        "new regulator 2",
    ]
    assert [one.to_buy for one in answer.settings] == [False, True, True]
    assert answer.outside == 0


def test_the_trade_off_is_what_asking_for_it_gives() -> None:
    system = bar_of(CHART, 2)
    told = {one.regulators: one for one in share(system, start=START).trade_offs}
    assert sorted(told) == [1, 2, 3]
    for count, row in told.items():
        # independent: the same count asked for by itself
        own = share(system, ShareQuestion(regulators=count), START)
        assert row.outside == own.outside
        gauges = sorted(one.gauge_pressure_pa for one in own.settings if one.gauge_pressure_pa)
        assert list(row.gauge_pressures_pa) == pytest.approx(gauges)
    assert told[1].outside >= told[2].outside >= told[3].outside == 0


def test_prices_tell_what_one_more_costs() -> None:
    prices = '[[price]]\npart = "manifold-2"\nnew = 30\n'
    book = parse_price_book(f'currency = "EUR"\n{prices}')
    rows = {one.regulators: one for one in share(bar_of(CHART), prices=book).trade_offs}
    more = rows[2]
    assert more.currency == "EUR"
    assert more.cost_low is not None
    assert more.cost_high is not None
    assert 0.0 <= more.cost_low <= more.cost_high
    assert any("egulator" in title for title in more.unpriced)  # the book has no price for it
    assert rows[1].cost_low == 0.0
    assert share(bar_of(CHART)).trade_offs[0].cost_low is None


def test_a_beer_outside_would_be_kept_in_a_warmer_place() -> None:
    answer = share(bar_of((2.48, 2.48, 2.22), tolerance=0.12), start=START)
    assert [one.keg for one in answer.beers if not one.within] == ["K3"]
    # published: Miller 1994, Table I, 38 °F: 2.38 at 10 psi; the pair is kept at its lower edge,
    # 2.36, as near to the third as it can be
    assert answer.settings[0].gauge_pressure_pa == pytest.approx(9.8 * PSI, abs=0.6 * PSI)
    warmer = {one.moves: one for one in answer.elsewhere}
    assert warmer[True].place == "cellar"
    # published: the same, 44 °F: 2.13 at 10 psi; and 2.22 at 10 psi lies between 40 °F (2.30)
    # and 44 °F
    assert warmer[True].comes_to_vol == pytest.approx(2.12, abs=0.06)
    assert warmer[False].temperature_k == pytest.approx(fahrenheit(42), abs=1.2)
    assert warmer[False].upsets == ("K1", "K2")


def test_kegs_in_two_places_share_exactly_too() -> None:
    # published: Miller 1994, Table I: 2.22 at 44 °F and 2.48 at 38 °F both want 11 psi
    system = with_keg(bar_of((2.48, 2.22)), "K2", place="cellar")
    answer = share(system, start=START)
    assert answer.outside == 0
    assert answer.settings[0].gauge_pressure_pa == pytest.approx(11 * PSI, abs=0.7 * PSI)


def test_a_regulator_is_taken_to_reach_its_places_alone() -> None:
    system = with_keg(bar_of((2.48, 3.03), 2), "K2", place="cellar", regulator="R2")
    # R1 feeds and stands in the fridge only, R2's cylinder stands there too
    answer = share(system, ShareQuestion(regulators=1), START)
    assert [one.regulator for one in answer.settings if one.kegs] == ["R2"]


def test_nothing_to_set_where_a_beer_keeps_more_by_itself() -> None:
    # on paper: at 70 °F beer takes up some 0.8 volumes even without gauge pressure
    system = bar_of((0.5,), tolerance=0.05)
    warm = share(system, ShareQuestion(temperature_k=fahrenheit(38)), START)
    assert warm.settings[0].gauge_pressure_pa == 0.0
    assert warm.beers[0].off_vol > 0.0
    assert any("by itself" in one for one in warm.remarks)


def test_a_beer_far_off_is_better_shut() -> None:
    # on paper: 2.1 and 3.0 volumes, 0.1 near: one is kept, the other lies 8 tolerances off
    far = share(bar_of((2.1, 3.0)), start=START)
    assert far.outside == 1
    assert any("open it only to pour" in one for one in far.remarks)
    near = share(bar_of((2.1, 2.3)), start=START)
    assert not any("open it only to pour" in one for one in near.remarks)


def test_check_valves_are_asked_for_where_kegs_share() -> None:
    shared = share(bar_of(CHART), start=START)
    assert any("check valve" in one.text for one in shared.cautions)
    alone = share(bar_of(CHART, 3), start=START)
    assert not any("check valve" in one.text for one in alone.cautions)


def test_an_empty_keg_is_left_alone_and_an_impossible_beer_is_told() -> None:
    system = with_keg(bar_of((2.48, 2.48)), "K2", beer=None)
    assert [one.keg for one in share(system, start=START).beers] == ["K1"]
    hot = bar_of((2.48, 6.0), tolerance=0.1)
    hot = with_keg(hot, "K2", place="cellar").model_copy(
        update={
            "places": (
                hot.places[0],
                hot.places[1].model_copy(update={"temperature": fahrenheit(104)}),
            )
        }
    )
    answer = share(hot, start=START)
    assert [one.keg for one in answer.left_out] == ["K2"]


@pytest.mark.parametrize(
    ("asked", "error", "told"),
    [
        ({"regulators": 0}, OutOfRange, "1 to 12"),
        ({"regulators": 13}, OutOfRange, "1 to 12"),
        ({"keep": (wish("K9", "R1"),)}, UnknownName, "K9"),
        ({"keep": (wish("K1", "R9"),)}, UnknownName, "R9"),
        ({"keep": (wish("K1", "R1"), wish("K1", "R2"))}, OutOfRange, "name one"),
        (
            {"regulators": 1, "keep": (wish("K1", "R1"), wish("K2", "R2"))},
            OutOfRange,
            "more than the 1",
        ),
        ({"carbonate": "K9"}, UnknownName, "K9"),
    ],
)
def test_what_cannot_be_is_refused(asked: dict[str, object], error: type, told: str) -> None:
    with pytest.raises(error, match=told):
        share(bar_of(CHART, 2), ShareQuestion(**asked), START)  # type: ignore[arg-type]


def test_no_keg_with_beer_is_nothing_to_share() -> None:
    system = with_keg(bar_of((2.48,)), "K1", beer=None)
    with pytest.raises(OutOfRange, match="no keg with beer"):
        share(system, start=START)
