"""The calendar's text against the rules of RFC 5545, read by hand and by a library."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import icalendar
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.test_look_ahead import on_gas, served_log
from tests.plan.test_upkeep import SYSTEM, day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Vented
from ullage.cellar.other_events import LineCleaned
from ullage.draw.calendar_file import calendar_file
from ullage.plan.calendar import Calendar, Entry, calendar, uid

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
