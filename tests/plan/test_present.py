"""Which keg a tap hangs on now: as replay has it, and not the last that was ever tapped."""

from __future__ import annotations

from datetime import datetime, timedelta

from tests.plan.stouts import AT, PSI, stout_text, stouts
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegCleaned, Poured, Tapped
from ullage.cellar.replay import at_moment, replay
from ullage.plan.begin import first_events
from ullage.plan.present import present_system, told
from ullage.plan.tap_serving import not_yet
from ullage.plan.weakest import weakest
from ullage.plan.whole import whole_answer
from ullage.system.file import parse_system
from ullage.system.model import System


def hour(hours: float) -> datetime:
    return AT + timedelta(hours=hours)


def now(log: list[Event], described: System | None = None) -> System:
    state = at_moment(replay(log), hour(100.0))
    return present_system(described or stouts(), state, told(log))


def begun() -> list[Event]:
    return list(first_events(stouts(), AT))


def filled(keg: str, at: datetime) -> Event:
    return Filled(
        at=at,
        keg=keg,
        batch="Coal Stout",
        volume_m3=0.018,
        temperature_k=277.0,
        start_vol=1.2,
        air_purged=True,
    )


def test_taps_hang_where_the_file_begins() -> None:
    here = now(begun())
    assert {tap.name: (tap.keg, tap.hangs) for tap in here.taps} == {
        "ale": ("K1", True),
        "stout": ("K2", True),
    }
    assert [one.name for one in here.taps_of("K2")] == ["stout"]


def test_a_keg_that_is_cleaned_and_filled_is_off_its_tap() -> None:
    log = [*begun(), KegCleaned(at=hour(1), keg="K2"), filled("K2", hour(2))]
    assert replay(log).kegs["K2"].tap is None
    here = now(log)
    free = here.tap("stout")
    assert (free.keg, free.hangs) == ("K2", False)
    assert here.taps_of("K2") == ()
    # what is computed of it is there as before, but it does not pour: no keg is on it
    assert free.line == stouts().tap("stout").line
    assert [one.tap for one in whole_answer(here, AT, AT).pours] == ["ale"]
    told_of = not_yet(here, free, "us")
    assert told_of is not None
    assert "Keg K2 was taken off this tap" in told_of.text


def test_its_line_may_still_hang_on_it_and_is_spared_by_every_pressure() -> None:
    log = [*begun(), KegCleaned(at=hour(1), keg="K2"), filled("K2", hour(2))]
    here = now(log)
    lowest = weakest(here, here.keg("K2"))
    # pin: vinyl in the catalogue is marked for 50 psi, any regulator here for more
    assert (round(lowest.gauge_pa / PSI), lowest.what) == (50, "the beer line")
    # another keg on that tap took the line with it
    taken = now([*log, Tapped(at=hour(3), keg="K1", tap="stout")])
    assert weakest(taken, taken.keg("K2")).what != "the beer line"


def test_it_is_on_there_again_once_it_is_tapped_or_poured_from() -> None:
    off = [*begun(), KegCleaned(at=hour(1), keg="K2"), filled("K2", hour(2))]
    for again in (
        Tapped(at=hour(3), keg="K2", tap="stout"),
        Poured(at=hour(3), keg="K2", volume_m3=0.3e-3),
    ):
        log = [*off, again]
        assert replay(log).kegs["K2"].tap == "stout"
        assert now(log).tap("stout").hangs


def test_another_keg_on_the_tap_takes_it() -> None:
    log = [*begun(), Tapped(at=hour(1), keg="K1", tap="stout")]
    here = now(log)
    assert replay(log).kegs["K2"].tap is None
    assert (here.tap("stout").keg, here.tap("stout").hangs) == ("K1", True)
    # and the tap that K1 was on is free: it moved on from that line
    assert replay(log).kegs["K1"].tap == "stout"
    assert not here.tap("ale").hangs
    assert [one.name for one in here.taps_of("K1")] == ["stout"]


def test_a_keg_moved_to_another_tap_leaves_its_own_free() -> None:
    log = [
        *begun(),
        Tapped(at=hour(1), keg="K2", tap="ale"),
        Tapped(at=hour(2), keg="K2", tap="stout"),
    ]
    here = now(log)
    assert (here.tap("stout").keg, here.tap("stout").hangs) == ("K2", True)
    # the keg that replay has on tap ale is none: K2, which was on it last, hangs on stout
    assert not here.tap("ale").hangs


def test_two_taps_that_a_file_puts_on_one_keg_hang_there_both() -> None:
    described = parse_system(
        stout_text().replace('name = "stout"\nkeg = "K2"', 'name = "stout"\nkeg = "K1"')
    )
    log = list(first_events(described, AT))
    here = now(log, described)
    assert [(tap.name, tap.hangs) for tap in here.taps_of("K1")] == [("ale", True), ("stout", True)]
