"""The calendar's text against the rules of RFC 5545, read by hand and by a library."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import icalendar
import vobject
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.test_look_ahead import on_gas, served_log
from tests.plan.test_upkeep import SYSTEM, day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Vented
from ullage.cellar.other_events import LineCleaned
from ullage.cellar.store import Store
from ullage.draw.calendar_file import calendar_file
from ullage.plan.calendar import Calendar, Entry, calendar, uid
from ullage.plan.calendar_origin import Origin, origin
from ullage.plan.upkeep_changes import NO_CHANGES, Change, change, changes_of

AT = datetime(2026, 11, 26, 18, tzinfo=UTC)
Properties = dict[str, str]


def lines_of(text: bytes) -> list[str]:
    """Content lines, unfolded (RFC 5545, 3.1)."""
    assert text.endswith(b"\r\n")
    folded = text.split(b"\r\n")[:-1]
    assert all(len(line) <= 75 for line in folded)
    assert b"\n" not in b"".join(folded)
    unfolded = text.replace(b"\r\n ", b"").replace(b"\r\n\t", b"")
    return unfolded.decode().split("\r\n")[:-1]


def read(text: bytes) -> tuple[Properties, list[Properties]]:
    """The calendar's own properties and those of its events; every rule of form is checked."""
    own: Properties = {}
    events: list[Properties] = []
    inside: list[str] = []
    for line in lines_of(text):
        name, value = line.split(":", 1) if '"' not in line.split(":", 1)[0] else (line, "")
        assert re.fullmatch(r"[A-Z0-9-]+(;[A-Z0-9-]+=[^;:,\"]*)*", name), line
        if name == "BEGIN":
            inside.append(value)
            if value == "VEVENT":
                events.append({})
        elif name == "END":
            assert inside.pop() == value
        else:
            to = own if inside == ["VCALENDAR"] else events[-1]
            key = name.split(";")[0]
            assert key not in to, f"{key} twice"
            to[key] = value if "VALUE=DATE" not in name else f"day {value}"
    assert inside == []
    return own, events


def text_of(value: str) -> str:
    """A TEXT value without its escapes (RFC 5545, 3.3.11)."""
    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", value)
    said = {"n": "\n", "N": "\n"}
    return re.sub(r"\\(.)", lambda found: said.get(found[1], found[1]), value)


def log() -> list[Event]:
    plan = "a" * 32
    return [
        *served_log(days=5),
        on_gas(14.0, 6.0, planned=True, plan=plan),
        Vented(at=day(0) + timedelta(days=400), keg="K1", planned=True, plan=plan),
    ]


def test_what_the_rules_ask_for_is_there() -> None:
    at = served_log(days=5)[-1].at
    own, events = read(calendar_file(calendar(SYSTEM, log(), at)))
    # published: RFC 5545, 3.6 and 3.6.1
    assert own["VERSION"] == "2.0"
    assert own["PRODID"]
    assert own["CALSCALE"] == "GREGORIAN"
    assert events
    uids = [event["UID"] for event in events]
    assert len(set(uids)) == len(uids)
    for event in events:
        assert re.fullmatch(r"\d{8}T\d{6}Z", event["DTSTAMP"])
        begin, end = event["DTSTART"], event["DTEND"]
        whole = re.fullmatch(r"day \d{8}", begin)
        assert bool(whole) == bool(re.fullmatch(r"day \d{8}", end))
        assert whole or re.fullmatch(r"\d{8}T\d{6}Z", begin)
        assert begin < end
        assert event["SUMMARY"]


def test_a_library_reads_the_same() -> None:
    at = served_log(days=5)[-1].at
    made = calendar(SYSTEM, log(), at)
    found = icalendar.Calendar.from_ical(calendar_file(made))
    events = list(found.walk("VEVENT"))
    assert [str(one["SUMMARY"]) for one in events] == [one.title for one in made.entries]
    assert [one.decoded("DTSTART") for one in events] == [
        one.start.astimezone(UTC) if isinstance(one.start, datetime) else one.start
        for one in made.entries
    ]
    assert {one.kind for one in made.entries} >= {"upkeep", "carbonation", "brew"}


def test_ids_stay_while_days_move() -> None:
    before = calendar(SYSTEM, [LineCleaned(at=day(0), tap="left")], day(1))
    after = calendar(SYSTEM, [LineCleaned(at=day(d), tap="left") for d in (0, 9)], day(10))
    left = uid("upkeep", "clean line", "tap", "left")
    starts = [
        next(one.start for one in made.entries if one.uid == left) for made in (before, after)
    ]
    assert starts == [day(14).astimezone().date(), day(23).astimezone().date()]
    assert {one.uid for one in before.entries} == {one.uid for one in after.entries}


def test_what_is_overdue_stands_on_today() -> None:
    made = calendar(SYSTEM, [], AT)
    tested = uid("upkeep", "requalify", "cylinder", "main")
    (entry,) = [one for one in made.entries if one.uid == tested]
    assert entry.start == AT.astimezone().date()
    assert "Due since 01 Apr 2024." in entry.text


def by_vobject(text: bytes) -> dict[str, Any]:
    """The events by their id as another library reads them."""
    read_back = vobject.readOne(text.decode())
    return {one.uid.value: one for one in read_back.vevent_list}


def test_a_second_library_reads_the_same() -> None:
    at = served_log(days=5)[-1].at
    made = calendar(SYSTEM, log(), at)
    events = by_vobject(calendar_file(made))
    assert len(events) == len(made.entries)
    for entry in made.entries:
        event = events[entry.uid]
        assert event.summary.value == entry.title
        assert event.description.value == entry.text
        assert event.dtstamp.value == event.last_modified.value
        if isinstance(entry.start, datetime):
            assert event.dtstart.value == entry.start.astimezone(UTC).replace(microsecond=0)
            assert event.dtend.value - event.dtstart.value == timedelta(minutes=15)
        else:
            # RFC 5545, 3.6.1: an event of one whole day ends, exclusively, with the next
            assert event.dtstart.value == entry.start
            assert event.dtend.value - event.dtstart.value == timedelta(days=1)


def imported(into: dict[str, tuple[int, str]], text: bytes) -> None:
    """What a calendar does that reads a feed again: by id, and never to an older revision."""
    for name, event in by_vobject(text).items():
        number = int(event.sequence.value)
        if name not in into or number >= into[name][0]:
            into[name] = (number, event.serialize())


def test_read_again_nothing_doubles_and_what_says_the_same_is_the_same(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "log.db")) as store:
        store.append(served_log(days=5))
        begun = served_log(days=5)[-1].at

        def made(at: datetime) -> bytes:
            told = [one.event for one in store.read()]
            return calendar_file(calendar(SYSTEM, told, at, changes_of(store), origin(store)))

        first, second = made(begun), made(begun)
        assert first == second
        kept: dict[str, tuple[int, str]] = {}
        imported(kept, first)
        count, before = len(kept), dict(kept)
        later = made(begun + timedelta(hours=1))
        imported(kept, later)
        assert len(kept) == count
        # upkeep says the same an hour later, to the byte; a forecast is worked out anew
        kinds = {name: name.partition("-")[0] for name in kept}
        moved = {kinds[name] for name in kept if kept[name] != before[name]}
        assert "upkeep" not in moved
        left = uid("upkeep", "clean line", "tap", "left", home=store.read()[0].event.id)
        assert left in kept
        store.append([LineCleaned(at=begun, tap="left")])
        imported(kept, made(begun + timedelta(hours=2)))
        assert len(kept) == count
        assert kept[left][0] >= before[left][0]
        assert kept[left][1] != before[left][1]
        change(store, "clean line", Change(days=30))
        imported(kept, made(begun + timedelta(hours=3)))
        assert len(kept) == count
        day_of = vobject.readOne(kept[left][1]).dtstart.value
        assert day_of == (begun + timedelta(days=30)).astimezone().date()


def test_the_revision_is_that_of_what_it_is_made_from() -> None:
    written = datetime(2026, 6, 1, 8, tzinfo=UTC)
    made = Origin("a" * 32, written)
    cleaned: list[Event] = [LineCleaned(at=day(0), tap="left")]
    at = datetime(2026, 6, 2, 9, 30, tzinfo=UTC)
    events = by_vobject(calendar_file(calendar(SYSTEM, cleaned, at, NO_CHANGES, made)))
    named = {
        task: events[uid("upkeep", task, of, about, home=made.home)]
        for task, of, about in (
            ("clean line", "tap", "left"),
            ("regulator", "regulator", "regulator"),
        )
    }
    # the line is overdue and so stands on today: revised as the day began; the other is ahead
    midnight = at.astimezone().replace(hour=0, minute=0)
    assert named["clean line"].dtstart.value == at.astimezone().date()
    assert named["clean line"].last_modified.value == max(midnight.astimezone(UTC), written)
    assert named["regulator"].last_modified.value == written
    # analytic: seconds from 1 January 2020 to 1 June 2026, 08:00: 2,343 days and 8 h
    assert int(named["regulator"].sequence.value) == 2343 * 86_400 + 8 * 3600


def test_two_households_with_taps_of_one_name_do_not_meet() -> None:
    one, other = (
        {entry.uid for entry in calendar(SYSTEM, [], AT, NO_CHANGES, Origin(home)).entries}
        for home in ("a" * 32, "b" * 32)
    )
    assert one
    assert not one & other


def test_names_with_commas_semicolons_and_umlauts_come_through_both_ways() -> None:
    names = ("Löwenbräu, hell; Faß \\ 3", "„Weißbier“; 5,2 %, süß" + " äöü" * 30, "ビール, 生")
    entries = tuple(
        Entry(uid("step", name), "ready", name, f"{name}\nzweite Zeile; ende, {name}", AT.date())
        for name in names
    )
    text = calendar_file(Calendar(AT, names[0], entries))
    lines_of(text)  # folded at 75 bytes, none in the middle of a sign
    for entry, event in zip(entries, by_vobject(text).values(), strict=True):
        assert event.summary.value == entry.title
        assert event.description.value == entry.text
    _, plainly = read(text)
    assert [text_of(one["SUMMARY"]) for one in plainly] == list(names)
    # published: RFC 5545, 3.3.11: backslash, semicolon and comma are escaped
    assert plainly[0]["SUMMARY"] == "Löwenbräu\\, hell\\; Faß \\\\ 3"


@given(
    title=st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=120),
    text=st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=300),
)
def test_any_words_come_through(title: str, text: str) -> None:
    entry = Entry(uid("step", title), "upkeep", title, text, date(2026, 12, 1))
    _, (event,) = read(calendar_file(Calendar(AT, title, (entry,))))
    assert text_of(event["SUMMARY"]) == title
    assert text_of(event["DESCRIPTION"]) == text
    assert event["UID"].isascii()
