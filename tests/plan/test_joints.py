"""Chains of small parts against cases made by hand, in both worlds of standards."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.plan.joints import Chain, Need, chain_for, close_all, parts_used
from ullage.system import ports
from ullage.system.ports import Adapter, Medium

PSI = 6894.757293168


def closed(
    start: str | tuple[str, ...],
    end: str | tuple[str, ...],
    medium: Medium = "any",
    gauge_pa: float = 12 * PSI,
    **at_hand: int,
) -> Chain | None:
    starts, ends = ((one,) if isinstance(one, str) else one for one in (start, end))
    return chain_for(Need("here", "a joint", starts, ends, medium, gauge_pa), at_hand)


@pytest.mark.parametrize(
    ("start", "end", "medium", "parts"),
    [
        # analytic: each the fewest or cheapest parts that mate, found by hand in the catalogue
        ("CGA 320 valve", "CGA 320 nut", "gas", ()),
        ("1/4 in flare", "5/16 in hose", "gas", ("flare-nut-barb-5/16",)),
        ("5/16 in hose", "ball-lock gas post", "gas", ("ball-lock-gas-barb-5/16",)),
        ("5/16 in hose", "pin-lock gas post", "gas", ("pin-lock-gas-barb-5/16",)),
        ("ball-lock liquid post", "3/16 in hose", "beer", ("ball-lock-liquid-barb-1/4",)),
        ("3/16 in hose", "7/8-14 beer thread", "beer", ("beer-nut-barb-3/16",)),
        ("1 1/8-18 shank collar", "1 1/8-18 faucet thread", "beer", ()),
        ("1/4 in NPT female", "5/16 in hose", "gas", ("npt-1/4-barb-5/16",)),
        ("W21.8x1/14 valve", "W21.8x1/14 nut", "gas", ()),
        ("G 3/8 male", "5/16 in hose", "gas", ("g-3/8-nut-barb-5/16",)),
        ("5/16 in hose", "G 3/4 male", "gas", ("g-3/4-nut-barb-5/16",)),
        ("G 5/8 male", "8 mm tube", "beer", ("g-5/8-nut-push-8mm",)),
        ("8 mm tube", "7/8-14 beer thread", "beer", ("beer-nut-push-8mm",)),
        ("8 mm tube", "3/16 in hose", "beer", ("push-8mm-barb-3/16",)),
        (
            "ball-lock liquid post",
            "8 mm tube",
            "beer",
            ("ball-lock-liquid-flare", "flare-nut-push-8mm"),
        ),
        ("5/16 in hose", "1/4 in barb", "gas", ("splice-1/4-5/16", "joiner-1/4")),
    ],
)
def test_chains_by_hand(start: str, end: str, medium: Medium, parts: tuple[str, ...]) -> None:
    found = closed(start, end, medium)
    assert found is not None
    assert found.parts == parts


def test_a_chain_mates_at_every_step() -> None:
    found = closed("ball-lock liquid post", "8 mm tube", "beer")
    assert found is not None
    end = "ball-lock liquid post"
    for name, met in zip(found.parts, found.mating, strict=False):
        assert met == end
        one, other = ports.adapters()[name].ends
        end = other if one == ports.opposite(end) else one
    assert ports.opposite(end) == "8 mm tube"


def test_a_narrow_hose_is_stretched_over_the_next_barb() -> None:
    found = closed("1/4 in barb", "3/16 in hose")
    assert found is not None
    assert found.parts == ()
    assert [one.hose for one in found.stretched] == ["3/16 in hose"]
    assert found.seals == ("clamp-3/16",)


@pytest.mark.parametrize(
    ("valve", "nut", "parts"),
    [
        ("CGA 320 valve", "W21.8x1/14 nut", ("cga-320-to-w21.8",)),
        ("W21.8x1/14 valve", "CGA 320 nut", ("w21.8-to-cga-320",)),
        ("TR21-4 valve", "CGA 320 nut", ("tr21-4-to-cga-320",)),
    ],
)
def test_another_countrys_valve_takes_one_adapter(
    valve: str, nut: str, parts: tuple[str, ...]
) -> None:
    found = closed(valve, nut, "gas", ports.CYLINDER_PA)
    assert found is not None
    assert found.parts == parts


def test_nothing_is_stacked_on_a_cylinders_valve() -> None:
    # analytic: TR21-4 to BS 341 No. 8 would take two adapters
    assert closed("TR21-4 valve", "BS 341 No. 8 nut", "gas", ports.CYLINDER_PA) is None


def test_what_is_rated_lower_is_not_used() -> None:
    # analytic: barbs here stand 100 psi, so nothing joins them at 200 psi
    assert closed("1/4 in flare", "5/16 in hose", "gas", 200 * PSI) is None


def test_a_gas_part_is_no_beer_part() -> None:
    assert closed("5/16 in hose", "ball-lock gas post", "beer") is None


def test_a_keg_valve_and_a_post_have_nothing_between_them() -> None:
    assert closed("keg valve S", "ball-lock gas socket", "gas") is None


def test_parts_at_hand_come_first() -> None:
    bought = closed("ball-lock liquid post", "3/16 in hose", "beer")
    found = closed(
        "ball-lock liquid post",
        "3/16 in hose",
        "beer",
        **{"ball-lock-liquid-flare": 1, "flare-nut-barb-3/16": 1},
    )
    assert bought is not None
    assert found is not None
    assert bought.parts == ("ball-lock-liquid-barb-1/4",)
    assert found.parts == ("ball-lock-liquid-flare", "flare-nut-barb-3/16")


def test_a_part_of_ones_own_closes_what_the_catalogue_cannot() -> None:
    own = Adapter(
        "odd", "odd", ("coupler foot S", "ball-lock gas post"), "gas", 4e5, 1, "", True, "own"
    )
    need = Need("here", "a joint", ("keg valve S",), ("ball-lock gas socket",), "gas", 1e5)
    found = chain_for(need, {}, (own,))
    assert found is not None
    assert found.parts == ("odd",)


def test_what_is_at_hand_goes_where_nothing_has_to_be_bought() -> None:
    """The first hose could take either; the second only the barb, which the first must leave it."""
    needs = [
        Need("here", "a joint", ("ball-lock liquid post",), (hose,), "beer", 12 * PSI)
        for hose in ("3/16 in hose", "1/4 in hose")
    ]
    hand = {
        "ball-lock-liquid-barb-1/4": 1,
        "ball-lock-liquid-flare": 1,
        "flare-nut-barb-3/16": 1,
    }
    narrow, wide = close_all(needs, hand)
    assert narrow.chain is not None
    assert wide.chain is not None
    assert narrow.chain.parts == ("ball-lock-liquid-flare", "flare-nut-barb-3/16")
    assert wide.chain.parts == ("ball-lock-liquid-barb-1/4",)


SPOTS = (
    ("ball-lock liquid post", "3/16 in hose"),
    ("pin-lock liquid post", "8 mm tube"),
    ("7/8-14 beer thread", "1/4 in hose"),
    ("G 5/8 male", "3/16 in hose"),
    ("3/16 in hose", "1/4 in hose"),
    ("1/4 in flare", "3/8 in tube"),
)


@given(
    st.lists(st.sampled_from(SPOTS), min_size=1, max_size=6),
    st.dictionaries(
        st.sampled_from(sorted(ports.adapters())), st.integers(1, 3), min_size=0, max_size=8
    ),
)
def test_with_what_was_bought_nothing_more_is_bought(
    spots: list[tuple[str, str]], at_hand: dict[str, int]
) -> None:
    needs = [Need("here", "a joint", (a,), (b,), "beer", 12 * PSI) for a, b in spots]
    first = close_all(needs, at_hand)
    bought = parts_used(first) - Counter(at_hand)
    again = close_all(needs, Counter(at_hand) + bought)
    assert all(one.chain is not None for one in again)
    assert parts_used(again) - (Counter(at_hand) + bought) == Counter()


@given(st.sampled_from(sorted(ports.ends())), st.sampled_from(sorted(ports.ends())))
def test_a_chain_turned_round_costs_the_same(start: str, end: str) -> None:
    there, back = closed(start, end), closed(end, start)
    assert (there is None) == (back is None)
    if there is not None and back is not None:
        ranks = [
            sum(ports.adapters()[part].rank for part in one.parts) + len(one.stretched)
            for one in (there, back)
        ]
        assert ranks[0] == ranks[1]
