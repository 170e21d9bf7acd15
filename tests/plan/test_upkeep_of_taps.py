"""The status and the page of upkeep say the same of every line, whatever the log and the rules."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.cellar.events import Event
from ullage.cellar.keg_events import KegAcquired, Poured, Tapped
from ullage.cellar.other_events import (
    HouseholdSet,
    LineCleaned,
    LineReplaced,
    Noted,
    Undone,
    UpkeepDone,
)
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.plan.present import present_system, told
from ullage.plan.status import status_of
from ullage.plan.upkeep import upkeep
from ullage.plan.upkeep_changes import NO_CHANGES, Change, Changes, change, rule_of
from ullage.plan.upkeep_now import upkeep_now
from ullage.plan.upkeep_of_taps import lines_to_clean
from ullage.plan.upkeep_progress import tick
from ullage.system.demo import demo_system, demo_text
from ullage.system.file import parse_system
from ullage.system.model import System

BEGIN = datetime(2026, 1, 1, 12, tzinfo=UTC)
SYSTEM = demo_system(BEGIN.date())


def day(number: float) -> datetime:
    return BEGIN + timedelta(days=number)


def describe(store: Store, described: System | None = SYSTEM) -> None:
    store.put_document(SYSTEM_DOCUMENT, demo_text(BEGIN.date()) if described else "")


def both(
    log: list[Event], at: float, changes: Changes = NO_CHANGES, described: System | None = SYSTEM
) -> tuple[Any, Any]:
    """The tasks of cleaning lines by the short log and by the whole one."""
    with Store.open("sqlite://") as store:
        store.append(log)
        describe(store, described)
        stands = standing(store, day(at))
        quick = lines_to_clean(store, stands, changes, lambda: described)
        whole = [one.event for one in store.read()]
    now = present_system(described, stands.now, told(whole))
    tasks = upkeep(now, whole, day(at), changes).tasks
    return quick, tuple(one for one in tasks if one.task == "clean line")


def kegs() -> list[Event]:
    acquired = [
        KegAcquired(at=BEGIN, keg=name, keg_kind="ball-lock-5gal", place="freezer")
        for name in ("K1", "K2", "K3")
    ]
    return [HouseholdSet(at=BEGIN), *acquired]


RULES = st.sampled_from(
    (
        NO_CHANGES,
        Changes(rules={"clean line": Change(days=30)}),
        Changes(rules={"clean line": Change(litres=4.0)}),
        Changes(rules={"clean line": Change(days=40, kegs=2)}),
        Changes(rules={"clean line": Change(kegs=1, litres=9.0)}),
        Changes(rules={"clean line": Change(off=True)}),
    )
)
TAPS = st.sampled_from(("left", "middle", "right"))
KEGS = st.sampled_from(("K1", "K2", "K3"))
DAYS = st.floats(0.01, 50.0)
HAPPENED = st.one_of(
    st.builds(LineCleaned, at=DAYS.map(day), tap=TAPS),
    st.builds(LineCleaned, at=DAYS.map(day), tap=TAPS, planned=st.just(True)),
    st.builds(LineReplaced, at=DAYS.map(day), tap=TAPS),
    st.builds(UpkeepDone, at=DAYS.map(day), task=st.just("clean line"), about=TAPS),
    st.builds(UpkeepDone, at=DAYS.map(day), task=st.just("faucet"), about=TAPS),
    st.builds(Tapped, at=DAYS.map(day), keg=KEGS, tap=TAPS),
    st.builds(Poured, at=DAYS.map(day), keg=KEGS, volume_m3=st.just(0.0015)),
    st.builds(Noted, at=DAYS.map(day), about=st.just("left"), text=st.just("a note")),
)


@settings(max_examples=150, deadline=None)
@given(
    happened=st.lists(HAPPENED, max_size=14),
    undone=st.lists(st.integers(0, 13), max_size=4, unique=True),
    at=st.floats(1.0, 70.0),
    changes=RULES,
    described=st.sampled_from((SYSTEM, None)),
)
def test_they_never_disagree(
    happened: list[Event],
    undone: list[int],
    at: float,
    changes: Changes,
    described: System | None,
) -> None:
    log: list[Event] = [*kegs(), *happened]
    for index in undone:
        if index < len(happened):
            gone = happened[index]
            log.append(Undone(at=day(0.5), event=gone.id, of=gone.stream))
    quick, whole = both(log, at, changes, described)
    assert quick == whole


def test_the_first_keg_on_a_tap_counts_once() -> None:
    changes = Changes(rules={"clean line": Change(days=40, kegs=2)})
    ticked = UpkeepDone(at=day(0.5), task="clean line", about="left")
    tapped = Tapped(at=day(1), keg="K1", tap="left")
    quick, whole = both([*kegs(), ticked, tapped], 1.0, changes)
    assert quick == whole
    (left,) = (one for one in quick if one.about == "left")
    assert "1 kegs since" in left.because


def test_a_line_the_log_never_names_counts_from_its_beginning_however_it_was_written() -> None:
    first = Noted(at=day(-9), about="cellar", text="written late")
    wrong = Noted(at=day(-20), about="cellar", text="taken back")
    log: list[Event] = [
        *(Noted(at=day(n), about="cellar", text="more") for n in range(60)),
        wrong,
        first,
        Undone(at=day(2), event=wrong.id, of=wrong.stream),
    ]
    quick, whole = both(log, 3)
    assert quick == whole
    # published: 14 days (Brewers Association, Draught Beer Quality Manual); -9 + 14 = 5
    assert {one.due_at for one in quick} == {day(5)}


def test_a_changed_interval_moves_the_advice() -> None:
    with Store.open("sqlite://") as store:
        store.append([*kegs(), LineCleaned(at=day(1), tap="left")])

        def advised(at: float) -> list[str]:
            stands = standing(store, day(at))
            answer = status_of(stands, upkeep_now(store, stands, lambda: None))
            return [one.text for one in answer.advice if one.need == "clean line"]

        # published: every 14 days (Brewers Association, Draught Beer Quality Manual); 1 + 14 = 15
        assert advised(14.9) == []
        assert advised(15) == [
            "Clean the line of tap left: last done 2 Jan 2026, due every 14 days "
            "(Brewers Association, Draught Beer Quality Manual)."
        ]
        change(store, "clean line", Change(days=21))
        assert advised(15) == []
        assert advised(22) == [
            "Clean the line of tap left: last done 2 Jan 2026, due every 21 days "
            "(as often as this household has it)."
        ]
        change(store, "clean line", Change(days=5))
        assert len(advised(6)) == 1
        change(store, "clean line", Change(off=True))
        assert advised(40) == []


def test_a_described_line_never_cleaned_is_advised_too() -> None:
    with Store.open("sqlite://") as store:
        store.append(kegs())
        describe(store)
        stands = standing(store, day(15))
        answer = status_of(stands, upkeep_now(store, stands, lambda: SYSTEM))
    lines = [one.name for one in answer.advice if one.need == "clean line"]
    assert lines == ["left", "middle", "right"]


@pytest.mark.parametrize("longer", [1, 40])
def test_a_longer_log_is_read_no_further(longer: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """By days alone, what is read does not grow with the log."""
    log: list[Event] = kegs()
    for number in range(longer):
        log += [LineCleaned(at=day(number), tap=tap) for tap in ("left", "middle", "right")]
        log += [UpkeepDone(at=day(number), task="faucet", about="left")]
    with Store.open("sqlite://") as store:
        store.append(log)
        describe(store)
        stands = standing(store, day(longer + 20))
        found: list[int] = []
        read = Store.read

        def counted(self: Store, *args: Any, **how: Any) -> Any:
            rows = read(self, *args, **how)
            found.append(len(rows))
            return rows

        monkeypatch.setattr(Store, "read", counted)
        assert len(lines_to_clean(store, stands, NO_CHANGES, lambda: SYSTEM)) == 3
    assert sum(found) == 1  # the one faucet that was done since the line was


@pytest.mark.parametrize("text", ["", "no toml [", "tap = 3", "[[tap]]\nkeg = 'K1'"])
def test_a_file_that_names_no_tap_leaves_those_of_the_log(text: str) -> None:
    with Store.open("sqlite://") as store:
        store.append([*kegs(), LineCleaned(at=day(1), tap="cellar tap")])
        store.put_document(SYSTEM_DOCUMENT, text)
        found = lines_to_clean(store, standing(store, day(2)), NO_CHANGES, lambda: None)
    assert [one.about for one in found] == ["cellar tap"]


def test_a_tap_yet_to_buy_is_not_cleaned() -> None:
    bought = "[[tap]]\nname = 'left'\nto_buy = true\n[[tap]]\nname = 'right'\n"
    with Store.open("sqlite://") as store:
        store.append(kegs())
        store.put_document(SYSTEM_DOCUMENT, bought)
        found = lines_to_clean(store, standing(store, day(2)), NO_CHANGES, lambda: None)
    assert [one.about for one in found] == ["right"]


def test_a_used_tap_is_told_alike_by_both_until_its_line_is_cleaned_or_replaced() -> None:
    text = demo_text(BEGIN.date()).replace('name = "left"\n', 'name = "left"\nused = true\n')
    described = parse_system(text)
    for more in ([], [LineReplaced(at=day(2), tap="left")], [LineCleaned(at=day(2), tap="left")]):
        with Store.open("sqlite://") as store:
            store.append([*kegs(), *more])
            store.put_document(SYSTEM_DOCUMENT, text)
            stands = standing(store, day(5))
            quick = lines_to_clean(store, stands, NO_CHANGES, lambda: described)
            log = [one.event for one in store.read()]
        whole = upkeep(present_system(described, stands.now, told(log)), log, day(5)).tasks
        assert quick == tuple(one for one in whole if one.task == "clean line")
        left = next(one for one in quick if one.about == "left")
        assert ("not known when" in left.because) is (not more)
        assert (left.state == "due") is (not more)


def test_a_line_whose_cleaning_is_half_done_is_not_told_as_due_besides() -> None:
    with Store.open("sqlite://") as store:
        store.append([*kegs(), LineCleaned(at=day(0), tap="left")])
        describe(store)
        stands = standing(store, day(20))
        due = status_of(stands, upkeep_now(store, stands, lambda: SYSTEM))
        assert [one.name for one in due.advice if one.need == "clean line"].count("left") == 1
        tick(store, rule_of("clean line"), "left", (1, 2), day(20))
        half = status_of(stands, upkeep_now(store, stands, lambda: SYSTEM))
    assert [one.about for one in half.begun] == ["left"]
    assert "left" not in [one.name for one in half.advice if one.need == "clean line"]
    assert {one.name for one in half.advice if one.need == "clean line"} == {"middle", "right"}
