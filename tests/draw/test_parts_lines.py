"""The parts list and the build's answers as text: the answer first, and nothing too wide."""

from __future__ import annotations

import pytest

from tests.plan.bought import applied
from tests.plan.builds import FOOT, INCH, american, european, with_tap
from ullage.draw.build_lines import (
    amount,
    audit_lines,
    blank_price_book,
    grow_lines,
    money_lines,
)
from ullage.draw.lines import WIDTH
from ullage.draw.parts_lines import parts_lines, parts_sentence
from ullage.plan.audit import audit
from ullage.plan.grow import grow
from ullage.plan.money import money
from ullage.plan.parts_list import parts_list
from ullage.system.demo import demo_system
from ullage.system.model import Have, LinePiece, System
from ullage.system.price_book import parse_price_book

SHORT = with_tap(american(), line=(LinePiece(length=2 * FOOT, bore=3 / 16 * INCH),))


@pytest.mark.parametrize("system", [american(), european(), demo_system(), SHORT])
def test_nothing_is_wider_than_the_terminal(system: System) -> None:
    lines = [
        *parts_lines(parts_list(system), system.units),
        *audit_lines(audit(system)),
        *grow_lines(grow(system, len(system.taps) + 1), system.units),
        *money_lines(money(system, parse_price_book('currency = "EUR"'))),
    ]
    assert max(len(line) for line in lines) <= WIDTH


def test_the_answer_comes_first() -> None:
    lines = parts_lines(parts_list(SHORT), "us")
    # analytic: of eight joints three mate: valve and nut, hose and check valve, shank and faucet;
    # the hose on the check valve's other end is the fourth
    assert "1 thing does not match. 4 of 8 joints mate as they are, 4 are closed" in lines[0]
    text = "\n".join(lines)
    titles = ["Does not mate", "To buy, unless", "Joints", "Check", "Assumed", "Before you start"]
    found = [text.index(f"\n\n{title}") for title in titles]
    assert found == sorted(found)


def test_what_is_at_hand_decides_the_words() -> None:
    listed = parts_list(american())
    assert parts_sentence(listed).endswith("things to buy or to have.")
    told = parts_list(american(have=(Have(part="clamp-5/16"),)))
    assert parts_sentence(told).endswith("things to buy.")
    done = parts_list(applied(american(), listed))
    assert parts_sentence(done).endswith("nothing to buy.")
    assert "To buy" not in parts_lines(done, "us")


def test_lengths_to_cut_are_told() -> None:
    text = " ".join(" ".join(parts_lines(parts_list(american()), "us")).split())
    assert "5 ft Vinyl (PVC), gas line, 5/16 in bore (cut 4 ft, 1 ft)" in text
    metric = " ".join(" ".join(parts_lines(parts_list(european()), "metric")).split())
    assert "1.5 m Vinyl (PVC), gas line, 8 mm bore (cut 1.2 m, 30 cm)" in metric


def test_a_price_book_to_fill_in_is_a_price_book() -> None:
    text = "\n".join(blank_price_book(parts_list(american())))
    book = parse_price_book(text)
    assert len(book.prices) == 13  # analytic: twelve kinds of parts and one of line
    assert all(one.new is None and one.used is None for one in book.prices)
    filled = text.replace("# new = ", "new = 2").replace("# [brewing]", "[brewing]")
    filled = filled.replace('# batch = "19', 'batch = "19').replace("# drunk", "drunk")
    assert money(american(), parse_price_book(filled)).running != ()


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.0, 0.0, "0.00"),
        (0.61, 0.84, "0.61 to 0.84"),
        (36.0, 36.0, "36"),
        (1200.0, 1500.4, "1,200 to 1,500"),
    ],
)
def test_a_cost_is_one_number_or_a_range(low: float, high: float, said: str) -> None:
    assert amount(low, high) == said


def test_what_has_no_price_is_named_once() -> None:
    text = "\n".join(money_lines(money(american(), parse_price_book('currency = "EUR"'))))
    assert text.count("Tailpiece with beer nut") == 1
    assert "No price given, so not counted" in text
