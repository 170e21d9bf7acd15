"""What a household kept reaches every answer about its system, or is left out for a reason.

Each public function of the plan that takes a system stands in one of two tables: asked with and
without kept constants it must answer differently, or it says why they do not matter to it.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from typing import Any, Final

import pytest

from tests.plan.sharers import PSI, bar_of
from ullage import plan
from ullage.cellar.learnt import NOTHING_LEARNT, KeptConstant, Learnt
from ullage.cellar.track import KegCase
from ullage.plan.answers import PourAnswer
from ullage.plan.brewing_lead import lead_time
from ullage.plan.brewing_question import BrewingQuestion
from ullage.plan.cases import keg_case
from ullage.plan.cylinder_fits import kegs_a_filling
from ullage.plan.evidence import evidence
from ullage.plan.fault_numbers import numbers
from ullage.plan.fault_scene import scene_of
from ullage.plan.grow import grow
from ullage.plan.line_lengths import (
    fitting_length,
    keeping_gauge,
    kept_case,
    line_changes,
    pouring,
)
from ullage.plan.own import (
    OwnSystem,
    gauge_offset,
    household_of,
    learnt_of,
    own_factor,
    own_keg,
    own_spread,
    thermometer_offset,
    with_learnt,
)
from ullage.plan.parts_list import parts_list
from ullage.plan.pours_now import pours_now
from ullage.plan.share import share
from ullage.plan.share_answer import ShareQuestion
from ullage.plan.share_drift import drifts
from ullage.plan.share_elsewhere import elsewhere
from ullage.plan.share_hung import Hung
from ullage.plan.share_lift import lifts
from ullage.plan.share_points import sharing
from ullage.plan.share_replay import begun, gas_on
from ullage.plan.share_taps import tap_lines
from ullage.plan.sharing import shared_pressures
from ullage.plan.spoken import gauge_counted
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_serving import serving
from ullage.plan.what_if_own import own_gas, own_keg_of, own_pour
from ullage.plan.what_if_tap import GasQuestion, LineQuestion, PourQuestion, pour_what_if
from ullage.plan.whole import whole_answer
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.system.model import System

AT: Final = datetime(2026, 5, 1, 12, tzinfo=timezone(timedelta(hours=-5)))
AMBIENT_PA: Final = 101_325.0
SHORT: Final = 0.15


def kept(constant: Any, value: float, sd: float, about: str | None = None) -> KeptConstant:
    return KeptConstant(constant=constant, about=about, value=value, sd=sd)


BARE: Final = bar_of((2.2, 2.5, 3.1), tolerance=0.15)
# the line's factor makes a line that is right by the book 40 % too much of one: 1.8 ** (1 / 1.85)
LEARNT: Final = Learnt(
    (
        kept("gauge", -2.0 * PSI, 700.0, "gas"),
        *(kept("line", 1.8, 0.05, tap.name) for tap in BARE.taps),
        kept("thermometer", 0.8, 0.1, "fridge"),
        kept("chilling", 5.5, 0.2, "fridge"),
        kept("beer factor", 0.975, 0.003),
        kept("handling", 0.6, 0.02),
    )
)
OWN: Final = with_learnt(BARE, LEARNT)
PRESSURES: Final = {"K1": 10.0 * PSI, "K2": 12.0 * PSI, "K3": 18.0 * PSI}


def beer(system: System) -> Any:
    return system.beers[0]


def case(system: System) -> KegCase:
    return keg_case(system, system.kegs[0], beer(system), AMBIENT_PA)


def points(system: System) -> Any:
    return sharing(system, ShareQuestion(), 1).points


def hung(system: System) -> tuple[Hung, ...]:
    return (Hung(system.regulators[0], ("K1", "K2", "K3"), 12.0 * PSI),)


def pour_question(system: System) -> PourQuestion:
    piece = system.taps[0].line[0]
    return PourQuestion(12.0 * PSI, (LineQuestion(piece.length, piece.bore, piece.material),))


def flat(system: System) -> System:
    kegs = tuple(
        one.model_copy(update={"carbonation": 0.8 if one.name == "K1" else 2.5})
        for one in system.kegs
    )
    return system.model_copy(update={"kegs": kegs})


def cellar(system: System) -> list[float]:
    begin = begun(system, PRESSURES, {"K1": 2.0, "K2": 2.0, "K3": 2.0}, AT)
    (later,) = begin.at([AT + timedelta(days=9)], [])
    return [float(keg.level_vol) for keg in later.kegs.values()]


COUNTS: Final[dict[str, Callable[[System], object]]] = {
    "brewing_lead.lead_time": lambda one: lead_time(
        one, beer(one), one.kegs[0], AT, BrewingQuestion()
    ),
    "cases.keg_case": case,
    "cylinder_fits.kegs_a_filling": lambda one: kegs_a_filling(one, one.cylinders[0]),
    "fault_scene.scene_of": lambda one: (
        evidence(scene_of(one, at=AT)),
        numbers(scene_of(one, at=AT)),
    ),
    "grow.grow": lambda one: grow(one, 4),
    "line_lengths.fitting_length": lambda one: fitting_length(one, one.taps[0]),
    "line_lengths.kept_case": lambda one: kept_case(one, one.taps[0]),
    "line_lengths.keeping_gauge": lambda one: keeping_gauge(one, one.kegs[0], beer(one)),
    "line_lengths.line_changes": line_changes,
    "line_lengths.pouring": lambda one: pouring(one, one.taps[0]),
    "own.gauge_offset": lambda one: gauge_offset(one, "K1"),
    "own.household_of": household_of,
    "own.learnt_of": learnt_of,
    "own.own_factor": lambda one: own_factor(one, case(one).beer),
    "own.own_keg": lambda one: own_keg(case(BARE), one, "K1"),
    "own.own_spread": lambda one: own_spread(one, "K1"),
    "own.thermometer_offset": lambda one: thermometer_offset(one, "fridge"),
    "own.with_learnt": lambda one: learnt_of(with_learnt(one, learnt_of(one))),
    "parts_list.parts_list": parts_list,
    "pours_now.pours_now": lambda one: pours_now(one, PRESSURES),
    "share.share": lambda one: share(one, start=AT),
    "share_drift.drifts": lambda one: drifts(one, points(one), PRESSURES),
    "share_elsewhere.elsewhere": lambda one: elsewhere(one, points(one), hung(one)),
    "share_lift.lifts": lambda one: lifts(flat(one), points(flat(one)), hung(one), "K1", AT),
    "share_points.sharing": points,
    "share_replay.begun": cellar,
    "share_replay.gas_on": lambda one: replace_id(gas_on(one, "K1", 12.0 * PSI, AT)),
    "share_taps.tap_lines": lambda one: tap_lines(one, PRESSURES),
    "sharing.shared_pressures": lambda one: shared_pressures(one, "R1"),
    "tap_cases.tap_case": lambda one: tap_case(one, one.taps[0], beer(one), 12.0 * PSI, AMBIENT_PA),
    "tap_serving.serving": lambda one: serving(one, one.taps[0]),
    "what_if_own.own_gas": lambda one: own_gas(GasQuestion("10 lb"), one, "gas"),
    "what_if_own.own_keg_of": lambda one: own_keg_of(one, "K1"),
    "what_if_own.own_pour": lambda one: own_pour(pour_question(one), one, one.taps[0].name),
    "whole.whole_answer": lambda one: whole_answer(one, start=AT, now=AT),
}
"""Those that answer otherwise once constants were kept."""
BY_LOG: Final = "it replays the log, which tells what was kept itself"
BY_OTHERS: Final = "it is put together from answers that count them"
PARTS: Final = "what is owned and how it is joined does not hang on a constant"
UNUSED: Final[dict[str, tuple[str, ...]]] = {
    BY_LOG: (
        "alarms_now.alarms_now adopt.adopt adopt.plan_anew brewing.brewing",
        "brewing_adopt.adopt_brewing calendar.calendar",
        "drinking.drinking followed.followed gas_ahead.gas_ahead keg_now.ways keg_now.keg_question",
        "labels.labelled look_ahead.look_ahead party.party party_kegs.party_keg room.safety",
        "present.present_system wall_card.wall_card",
    ),
    BY_OTHERS: (
        "audit.audit brewing_cures.cures findings.findings grow.grown mismatches.mismatches",
        "money.money one_regulator.at_odds one_regulator.odds_of one_regulator.with_odds",
        "cylinder_fits.enough_for tap_serving.not_yet",
    ),
    PARTS: (
        "begin.begin begin.first_events bill.own_adapters bill.at_hand bill.small_parts",
        "bill.equipment bill.tubing cases.wanted cases.means cases.lowest_rating fit.question_of",
        "halving.sections halving.halve leak_guide.gas_side_m3 leak_guide.hold_gauge_pa",
        "needs.items needs.kegs_on needs.usual_leg needs.usual_trunk own.cylinder_of",
        "share_points.warmed share_blends.without_blends share_blends.refuse_blends",
        "own.share_on share_replay.drunk share_replay.pours tap_cases.way",
        "party_taps.spots party_taps.placed procedures.procedure",
        "upkeep.upkeep upkeep.tasks_of meant.keg_on regulators_now.regulators_now",
        "upkeep.subjects upkeep.hindered upkeep_under_way.all_under_way",
        "upkeep_under_way.under_way grow_tap.with_one_more grow_tap.spare_keg weakest.weakest",
        "weakest.weakest_behind weakest.weakest_of written_pressures.above_notes room.blends",
    ),
    "learning begins anew from what anybody's constants are": (
        "learn.learning learn_next.next_readings learn_taps.tap_terms learn_taps.case_of",
        "learn_taps.effective_bores",
    ),
    "a cleaner is pumped another way than the cold beer that the factor was learnt of": (
        "clean_flow.clean_flows",
    ),
}
"""Those that do not, each under its reason."""


def replace_id(event: Any) -> Any:
    """An event without what is its own alone."""
    return event.model_dump(exclude={"id", "recorded_at"})


def taking_a_system() -> Iterator[str]:
    """Every public function of the plan with a system among what it is given."""
    for module in pkgutil.iter_modules(plan.__path__):
        inside = importlib.import_module(f"ullage.plan.{module.name}")
        for name, found in inspect.getmembers(inside, inspect.isfunction):
            own = found.__module__ == inside.__name__ and not name.startswith("_")
            given = [str(kind) for key, kind in found.__annotations__.items() if key != "return"]
            if own and any(kind in ("System", "System | None") for kind in given):
                yield f"{module.name}.{name}"


def test_every_function_that_takes_a_system_is_in_one_table() -> None:
    unused = {name for rows in UNUSED.values() for row in rows for name in row.split()}
    assert not unused & set(COUNTS)
    there = set(taking_a_system())
    assert len(there) > 60  # the walk finds them at all
    untold, gone = there - unused - set(COUNTS), (unused | set(COUNTS)) - there
    assert not untold, f"say in COUNTS or UNUSED whether these count what was kept: {untold}"
    assert not gone, f"these are no more: {gone}"


@pytest.mark.parametrize("name", COUNTS)
def test_what_was_kept_is_counted(name: str) -> None:
    ask = COUNTS[name]
    assert repr(ask(OWN)) != repr(ask(BARE))
    assert repr(ask(BARE)) == repr(ask(bar_of((2.2, 2.5, 3.1), tolerance=0.15)))


def test_a_system_keeps_them_through_a_change_and_prints_none_of_them() -> None:
    moved = OWN.model_copy(update={"altitude": 1600.0})
    assert isinstance(moved, OwnSystem)
    assert learnt_of(moved) == LEARNT
    assert OWN.model_dump() == BARE.model_dump()
    assert with_learnt(OWN, NOTHING_LEARNT) == BARE
    assert with_learnt(BARE, NOTHING_LEARNT) is BARE


def test_a_pressure_is_told_as_the_gauge_shows_it() -> None:
    """Only the gauge: analytic, what is to be set moves by the offset and nothing else does."""
    high = with_learnt(BARE, Learnt((kept("gauge", -0.8 * PSI, 200.0, "gas"),)))
    usual, own = (whole_answer(one, start=AT, now=AT).carbonation[1] for one in (BARE, high))
    assert own.gauge_pressure_pa.value - usual.gauge_pressure_pa.value == pytest.approx(
        0.8 * PSI, abs=1.0
    )
    assert own.equilibrium_vol.value == pytest.approx(usual.equilibrium_vol.value, abs=1e-4)
    shared, told = (share(one, start=AT) for one in (BARE, high))
    (was,), (now,) = shared.settings, told.settings
    assert was.gauge_pressure_pa is not None
    assert now.gauge_pressure_pa is not None
    # analytic, to the tenth of a psi that a gauge is read to
    assert now.gauge_pressure_pa - was.gauge_pressure_pa == pytest.approx(
        0.8 * PSI, abs=0.051 * PSI
    )
    levels = zip(shared.beers, told.beers, strict=True)
    drifts_of = zip(shared.drifts, told.drifts, strict=True)
    taps = zip(shared.taps, told.taps, strict=True)
    for was_beer, is_beer in levels:
        assert is_beer.comes_to_vol.value == pytest.approx(was_beer.comes_to_vol.value, abs=0.01)
    for was_drift, is_drift in drifts_of:
        assert is_drift.last_vol == pytest.approx(was_drift.last_vol, abs=0.01)
    # the lines pour as before: the beer is pushed as before
    for was_tap, is_tap in taps:
        assert is_tap.present_pint_s == pytest.approx(was_tap.present_pint_s, rel=0.01)


def test_it_is_said_once_and_not_of_what_nobody_can_read() -> None:
    assert gauge_counted(-0.8 * PSI, "us") == "Your gauge reads 0.8 psi high: that is counted."
    assert gauge_counted(0.8 * PSI, "us") == "Your gauge reads 0.8 psi low: that is counted."
    assert gauge_counted(0.04 * PSI, "us") == ""


def test_what_a_line_resists_counts_for_line_of_its_kind_only() -> None:
    def answer(bore_m: float) -> tuple[PourAnswer, PourAnswer]:
        asked = replace(pour_question(BARE), line=(LineQuestion(3.0, bore_m, "vinyl"),))
        name = BARE.taps[0].name
        line = with_learnt(BARE, Learnt((kept("line", 1.8, 0.05, name),)))
        return pour_what_if(asked), pour_what_if(own_pour(asked, line, name))

    usual, own = answer(BARE.taps[0].line[0].bore)
    # analytic, by hand: the flow goes with the 1/1.85 of what the way resists, its fittings too
    assert own.pint_s.value / usual.pint_s.value == pytest.approx(1.8 ** (1 / 1.85), rel=0.03)
    assert own.resistance == pytest.approx(1.8)
    other, same = answer(0.006)
    assert same.pint_s.value == pytest.approx(other.pint_s.value)
    assert same.resistance is None


def test_the_fault_finder_weighs_the_line_and_the_gauge_as_they_are() -> None:
    """A line that is short by the book, and one that by its own timed pints is not."""
    system = parse_system(demo_text(), "demo")
    tap = next(one for one in system.taps if one.name == "left")
    short = tap.model_copy(
        update={
            "line": tuple(one.model_copy(update={"length": SHORT * one.length}) for one in tap.line)
        }
    )
    cut = system.model_copy(
        update={"taps": tuple(short if one.name == tap.name else one for one in system.taps)}
    )

    def share_of(one: System, sign: str) -> float:
        found = evidence(scene_of(one, at=AT, tap=tap.name))
        return next(each.share for each in found if each.sign == sign)

    resists = with_learnt(cut, Learnt((kept("line", 2.2, 0.05, tap.name),)))
    assert share_of(cut, "pours too fast") > 0.9
    assert share_of(resists, "pours too fast") < 0.3
    high = with_learnt(system, Learnt((kept("gauge", 2.9 * PSI, 200.0, "main"),)))
    assert share_of(high, "goes past it") > share_of(system, "goes past it") + 0.3
    words = [one.words for one in evidence(scene_of(high, at=AT, tap=tap.name))]
    assert sum("reads 2.9 psi low: that is counted" in text for text in words) == 2
