"""Due dates from the log, against dates counted by hand; the household's own intervals."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.cellar.events import Event
from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import Filled, KegAcquired, KegCleaned, Kicked, Poured, Tapped
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderSwapped,
    LineCleaned,
    LineReplaced,
    Undone,
    UpkeepDone,
)
from ullage.cellar.store import Store
from ullage.draw.upkeep_lines import sentence, upkeep_lines
from ullage.errors import StoreError, UnknownName
from ullage.plan.calendar import calendar_of
from ullage.plan.look_ahead import look_ahead
from ullage.plan.upkeep import Task, done, every, subjects, upkeep, years_after
from ullage.plan.upkeep_changes import (
    DOCUMENT,
    NO_CHANGES,
    Change,
    Changes,
    change,
    changes_of,
    rule_of,
)
from ullage.plan.upkeep_history import tells
from ullage.system.demo import demo_system
from ullage.system.model import System
from ullage.system.upkeep_rules import rules

BEGIN = datetime(2026, 1, 1, 12, tzinfo=UTC)
SYSTEM = demo_system(BEGIN.date())
EMPTY = SYSTEM.model_copy(
    update={"kegs": tuple(keg.model_copy(update={"beer": None}) for keg in SYSTEM.kegs)}
)


def day(number: float) -> datetime:
    return BEGIN + timedelta(days=number)


def acquired(keg: str = "K1") -> KegAcquired:
    return KegAcquired(at=BEGIN, keg=keg, keg_kind="ball-lock-5gal", place="freezer")


def filled(number: float, keg: str = "K1") -> Filled:
    return Filled(
        at=day(number), keg=keg, batch="Pale", volume_m3=0.019, temperature_k=277.0, start_vol=1.0
    )


def found(
    task: str,
    about: str,
    log: list[Event],
    at: float,
    *,
    system: System = SYSTEM,
    changes: Changes = NO_CHANGES,
) -> Task:
    answer = upkeep(system, log, day(at), changes)
    (one,) = [each for each in answer.tasks if (each.task, each.about) == (task, about)]
    return one


def test_a_line_is_due_two_weeks_after_it_was_cleaned() -> None:
    log: list[Event] = [LineCleaned(at=day(3), tap="left")]
    # published: every 14 days (Brewers Association, Draught Beer Quality Manual); 3 + 14 = 17
    assert found("clean line", "left", log, 9).due_at == day(17)
    states = [found("clean line", "left", log, at).state for at in (9, 10, 16.9, 17, 30)]
    assert states == ["ahead", "soon", "soon", "due", "due"]


def test_a_task_never_written_down_counts_from_the_first_word_about_its_part() -> None:
    log: list[Event] = [acquired(), Tapped(at=day(5), keg="K1", tap="left")]
    # analytic: the log begins at day 0, that tap is first spoken of at day 5: 14 days from there
    assert found("clean line", "left", log, 6).due_at == day(19)
    assert found("clean line", "left", log[:1], 6).due_at == day(14)
    log.append(LineReplaced(at=day(6), tap="left"))
    task = found("clean line", "left", log, 6)
    assert task.due_at == day(20)
    assert task.because == "never written down; counted from 7 Jan 2026"
    assert task.last_at is None


def test_what_was_taken_back_or_is_only_planned_counts_not() -> None:
    cleaned = LineCleaned(at=day(3), tap="left")
    planned = LineCleaned(at=day(4), tap="left", planned=True)
    ahead = LineCleaned(at=day(9), tap="left")
    log: list[Event] = [acquired(), cleaned, planned, ahead]
    assert found("clean line", "left", log, 5).due_at == day(17)
    log.append(Undone(at=day(4), event=cleaned.id, of=cleaned.stream))
    assert found("clean line", "left", log, 5).last_at is None


def test_acid_is_another_task_than_cleaning_and_counts_as_cleaning_too() -> None:
    log: list[Event] = [
        LineCleaned(at=day(3), tap="left", cleaner="caustic"),
        LineCleaned(at=day(4), tap="left", cleaner="Acid line cleaner"),
    ]
    assert found("acid line", "left", log, 5).due_at == day(4 + 91)
    assert found("clean line", "left", log, 5).due_at == day(4 + 14)


def test_a_keg_is_cleaned_when_it_is_empty_and_stripped_every_second_fill() -> None:
    log: list[Event] = [acquired(), KegCleaned(at=day(0.1), keg="K1", stripped=True), filled(1)]
    full = found("clean keg", "K1", log, 2)
    assert (full.state, full.due_at) == ("waits", None)
    log.append(Kicked(at=day(20), keg="K1"))
    assert found("clean keg", "K1", log, 21).due_at == day(20)
    assert found("strip keg", "K1", log, 21).state == "waits"  # one fill of two
    log += [KegCleaned(at=day(22), keg="K1"), filled(23)]
    assert found("clean keg", "K1", log, 24).state == "waits"
    assert found("strip keg", "K1", log, 24).because.endswith("due when it is next empty")
    log.append(Kicked(at=day(40), keg="K1"))
    assert found("strip keg", "K1", log, 41).due_at == day(40)
    log.append(KegCleaned(at=day(42), keg="K1", stripped=True))
    assert found("strip keg", "K1", log, 43).due_at is None
    assert found("clean keg", "K1", log, 43).due_at is None


def test_a_keg_that_replay_finds_empty_needs_no_word_that_it_is_kicked() -> None:
    log: list[Event] = [acquired(), filled(1), Poured(at=day(9), keg="K1", volume_m3=0.019)]
    assert found("clean keg", "K1", log, 10).due_at is None
    assert found("clean keg", "K1", log, 10, system=EMPTY).due_at == day(9)


def test_a_keg_that_just_came_is_cleaned_before_its_first_fill() -> None:
    task = found("clean keg", "K1", [acquired()], 1, system=EMPTY)
    assert (task.state, task.due_at) == ("due", BEGIN)


USED = EMPTY.model_copy(
    update={
        kind: tuple(
            part.model_copy(update={"used": True, **({"requalified": None} if date_of else {})})
            for part in getattr(EMPTY, kind)
        )
        for kind, date_of in (
            ("kegs", False), ("regulators", False), ("taps", False), ("cylinders", True),
        )
    }
)  # fmt: skip


@pytest.mark.parametrize(
    ("task", "about", "said"),
    [
        ("seals", "K1", "not known when: do it before the first filling"),
        ("strip keg", "K1", "not known when: do it before the first filling"),
        ("clean line", "left", "not known when: do it before the next glass"),
        ("replace line", "left", "not known when: do it before the next glass"),
        ("regulator", "regulator", "not known when: do it before the first filling"),
        (
            "requalify",
            "main",
            "not known when: read the test date off the shoulder, put it in the system file before "
            "the first filling",
        ),
        ("leak check", "main", "not known when: do it before the first filling"),
    ],
)
def test_of_a_used_part_nobody_knows_when_so_it_is_due_and_says_so(
    task: str, about: str, said: str
) -> None:
    log: list[Event] = [acquired()]
    # of a new part it counts from the day the log began
    new = found(task, about, log, 1, system=EMPTY)
    assert "not known when" not in new.because
    one = found(task, about, log, 1, system=USED)
    assert (one.state, one.due_at, one.because) == ("due", None, said)
    # and once it is done, from then on, as with any other
    log.append(done(rule_of(task), about, day(2)))
    after = found(task, about, log, 3, system=USED)
    assert "not known when" not in after.because
    assert after.state != "due"


def test_a_used_keg_with_beer_in_it_waits_until_it_is_empty() -> None:
    full = USED.model_copy(
        update={"kegs": tuple(keg.model_copy(update={"beer": "Pale"}) for keg in USED.kegs)}
    )
    one = found("seals", "K1", [acquired(), filled(1)], 2, system=full)
    assert (one.state, one.due_at) == ("waits", None)
    assert one.because.endswith("do it when it is next empty, before it is filled again")
    again: list[Event] = [acquired(), filled(1), Kicked(at=day(20), keg="K1")]
    assert found("seals", "K1", again, 21, system=USED).because.endswith("the next filling")


def test_a_new_line_on_a_used_tap_counts_from_the_day_it_was_put_in() -> None:
    log: list[Event] = [LineReplaced(at=day(1), tap="left")]
    line = found("clean line", "left", log, 2, system=USED)
    # published: every 14 days (Brewers Association)
    assert line.due_at == day(15)
    assert found("faucet", "left", log, 2, system=USED).due_at is None


def test_a_date_that_is_stamped_is_known_though_the_cylinder_came_used() -> None:
    stamped = USED.model_copy(
        update={
            "cylinders": tuple(
                one.model_copy(update={"requalified": date(2024, 3, 1)}) for one in USED.cylinders
            )
        }
    )
    one = found("requalify", "main", [], 1, system=stamped)
    assert one.because == "stamped 2024-03-01"


def test_what_is_due_and_not_known_stands_first_and_in_the_calendar_of_today() -> None:
    answer = upkeep(USED, [acquired()], day(1))
    assert answer.tasks[0].due_at is None
    # the order of the catalogue: the line is cleaned before acid goes through it
    undated = [one.task for one in answer.tasks if one.about == "left" and one.state == "due"]
    assert undated[:2] == ["clean line", "acid line"]
    assert sentence(answer).startswith("Do now: Clean the beer line: tap left, last done nobody")
    text = "\n".join(upkeep_lines(answer, everything=False))
    assert "not known when: do it before the first filling" in " ".join(text.split())
    assert "no day" not in text
    made = calendar_of("Bar", look_ahead([acquired()], day(1)), answer)
    seals = next(one for one in made.entries if "seals: keg K1" in one.title)
    assert seals.start == day(1).astimezone().date()
    assert "not known when" in seals.text
    assert "Due since" not in seals.text


def test_a_cylinder_is_tested_five_years_after_the_date_stamped_on_it() -> None:
    # published: 49 CFR 180.209, every 5 years; the demo's is stamped April 2019
    task = found("requalify", "main", [], 0)
    assert task.due_at is not None
    assert task.due_at.date() == date(2024, 4, 1)
    log: list[Event] = [UpkeepDone(at=day(10), task="requalify", about="main")]
    tested = found("requalify", "main", log, 11).due_at
    assert tested is not None
    assert tested.date() == date(2031, 1, 11)
    (bottle,) = SYSTEM.cylinders
    undated = bottle.model_copy(update={"requalified": None})
    system = SYSTEM.model_copy(update={"cylinders": (undated,)})
    unknown = found("requalify", "main", [], 0, system=system)
    assert (unknown.state, unknown.due_at) == ("unknown", None)
    assert "shoulder" in unknown.because


def test_joints_are_checked_at_once_after_a_swap() -> None:
    log: list[Event] = [CylinderConnected(at=BEGIN, cylinder="main", size="10 lb")]
    assert found("leak check", "main", log, 1).due_at == day(91)
    log.append(CylinderSwapped(at=day(30), cylinder="main"))
    assert found("leak check", "main", log, 31).due_at == day(30)
    log.append(UpkeepDone(at=day(31), task="leak check", about="main"))
    assert found("leak check", "main", log, 32).due_at == day(31 + 91)


def test_litres_count_what_went_through_the_line() -> None:
    changes = Changes(rules={"clean line": Change(litres=10.0)})
    log: list[Event] = [
        LineCleaned(at=day(0), tap="left"),
        Poured(at=day(1), keg="K2", volume_m3=0.009),  # through another tap
        Poured(at=day(2), keg="K1", volume_m3=0.002),
    ]
    # analytic: 2 L in 4 days, 10 L in 20
    assert found("clean line", "left", log, 4, changes=changes).due_at == day(20)
    log += [
        Tapped(at=day(4), keg="K2", tap="left"),
        Poured(at=day(5), keg="K2", volume_m3=0.0085),
    ]
    assert found("clean line", "left", log, 6, changes=changes).state == "due"


def test_kegs_count_those_that_came_on_the_tap() -> None:
    changes = Changes(rules={"clean line": Change(kegs=2, days=60)})
    log: list[Event] = [
        LineCleaned(at=day(0), tap="left"),
        *(Tapped(at=day(number), keg="K1", tap="left") for number in (3, 9)),
    ]
    assert found("clean line", "left", log[:2], 4, changes=changes).due_at == day(60)
    assert found("clean line", "left", log, 10, changes=changes).due_at == day(9)


def test_a_rule_that_is_switched_off_is_told_and_leaves_no_task() -> None:
    answer = upkeep(SYSTEM, [], BEGIN, Changes(rules={"faucet": Change(off=True)}))
    assert answer.switched_off == ("faucet",)
    assert not [one for one in answer.tasks if one.task == "faucet"]


def test_changes_are_kept_beside_the_log(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "log.db")) as store:
        assert changes_of(store) == NO_CHANGES
        change(store, "clean line", Change(days=21))
        change(store, "faucet", Change(off=True))
        assert rule_of("clean line", changes_of(store)).days == 21
        assert change(store, "faucet", None).rules == {"clean line": Change(days=21)}
        with pytest.raises(UnknownName, match='did you mean "faucet"'):
            change(store, "faucets", Change(days=1))
        with pytest.raises(StoreError, match="kegs and taps only"):
            change(store, "gas alarm", Change(kegs=2))
        store.put_document(DOCUMENT, '{"rules": {"faucet": {"days": 0}}}')
        with pytest.raises(StoreError, match=r"rules\.faucet\.days"):
            changes_of(store)


def test_doing_any_task_moves_its_date_into_the_future() -> None:
    for rule in rules():
        for about in subjects(EMPTY, rule.of):
            event = done(rule, about, day(0.5))
            assert tells(event, rule)
            log: list[Event] = [acquired(), event]
            due_at = found(rule.name, about, log, 1, system=EMPTY).due_at
            assert due_at is None or due_at > day(1)


def test_parts_yet_to_buy_need_no_upkeep() -> None:
    tap = SYSTEM.taps[0].model_copy(update={"to_buy": True})
    system = SYSTEM.model_copy(update={"taps": (tap, *SYSTEM.taps[1:])})
    assert subjects(system, "tap") == ("middle", "right")
    assert subjects(SYSTEM, "place") == ("freezer",)  # the garage holds no keg


def test_the_most_pressing_stands_first() -> None:
    tasks = upkeep(SYSTEM, [acquired()], day(20)).tasks
    due = [one.due_at for one in tasks if one.state == "due" and one.due_at]
    assert due == sorted(due)
    order = ["due", "soon", "unknown", "waits", "ahead"]
    ranks = [order.index(one.state) for one in tasks]
    assert ranks == sorted(ranks)


def test_intervals_in_words() -> None:
    assert every(rule_of("clean line")) == "every 14 days"
    assert every(rule_of("clean keg")) == "every fill"
    assert every(rule_of("strip keg")) == "every 2 fills"
    assert every(rule_of("leak check")) == "every 91 days, and after each swap"


@given(day_of=st.dates(date(1990, 1, 1), date(2100, 1, 1)), years=st.integers(1, 20))
def test_years_keep_the_day(day_of: date, years: int) -> None:
    moment = datetime(day_of.year, day_of.month, day_of.day, 12, tzinfo=UTC)
    later = years_after(moment, years)
    assert later.year == moment.year + years
    assert (later.month, later.day) in {(moment.month, moment.day), (2, 28)}


@given(at=st.floats(0.0, 400.0), last=st.floats(0.0, 400.0))
def test_a_date_does_not_depend_on_when_it_is_asked(at: float, last: float) -> None:
    log: list[Event] = [acquired(), LineCleaned(at=day(min(at, last)), tap="left")]
    assert found("clean line", "left", log, at).due_at == day(min(at, last)) + timedelta(days=14)


def test_upkeep_done_is_a_happening_that_replay_ignores() -> None:
    from ullage.cellar.replay import replay  # noqa: PLC0415

    event = UpkeepDone(at=day(1), task="seals", about="K1")
    assert isinstance(event, Happening)
    assert event.stream == "cellar:K1"
    with_it, without = replay([acquired(), event]), replay([acquired()])
    assert with_it.kegs == without.kegs
