"""The log as lines: no wider than a terminal, ids first, what is odd marked."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from tests.events_of_each_kind import AT, EVENTS, K1
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Poured
from ullage.cellar.other_events import Undone
from ullage.cellar.recording import Recorded
from ullage.draw.log_lines import (
    WIDTH,
    cautioned,
    indented,
    log_lines,
    moment,
    recorded_lines,
)
from ullage.plan.answers import Caution

PINT = 4.73176473e-4


def poured(hours: float, **more: object) -> Poured:
    fields = {"at": AT + timedelta(hours=hours), "keg": "K1", "volume_m3": PINT, **more}
    return Poured.model_validate(fields)


def written(*events: Event, warnings: tuple[str, ...] = ()) -> Recorded:
    return Recorded(events, (), warnings)


def test_the_year_is_said_unless_it_is_the_same() -> None:
    at = datetime(2025, 3, 1, 12, tzinfo=UTC).astimezone()
    assert moment(at) == f"{at:%a %d %b} 2025 {at:%H:%M}"
    assert moment(at, at + timedelta(days=30)) == f"{at:%a %d %b %H:%M}"
    assert "2025" in moment(at, at + timedelta(days=400))


def test_one_event_with_its_way_back_its_caution_and_its_note() -> None:
    event = poured(0)
    lines = recorded_lines(written(event, warnings=("odd",)), ("hot",), [event], "us")
    assert lines[0].startswith("Keg K1: poured 16 fl oz, ")
    assert lines[1] == f"  To take it back: ullage record undo {event.id[:8]}"
    assert lines[2:] == ["Caution: hot", "Note: odd"]


def test_several_events_tell_their_moment_once() -> None:
    lines = recorded_lines(written(*EVENTS[:3]), (), EVENTS, "us")
    assert len(lines) == 4
    assert "3 events, " in lines[-1]
    assert not any(str(AT.year) in line for line in lines[:-1])


def test_what_the_log_had_already_is_said() -> None:
    lines = recorded_lines(Recorded((), ("a" * 32,), ()), (), [], "us")
    assert lines == ["Events that the log had already: 1."]


def test_taking_back_says_what() -> None:
    wrong = poured(0)
    undone = Undone(at=AT + timedelta(hours=1), event=wrong.id, of=wrong.stream)
    lines = recorded_lines(written(undone), (), [wrong, undone], "us")
    assert lines == [f"Taken back: keg K1, poured 16 fl oz, {moment(wrong.at)}."]


def test_the_log_sorts_itself_and_marks_what_does_not_count() -> None:
    late, early = poured(5), poured(1, remark="a guest")
    planned = poured(9, planned=True)
    undone = Undone(at=AT, event=late.id, of=late.stream)
    lines = log_lines([late, early, planned, undone], 10, "us")
    assert [line[28:] for line in lines] == [
        "keg K1: poured 16 fl oz (a guest)",
        "keg K1: poured 16 fl oz [taken back]",
        "keg K1: poured 16 fl oz [planned]",
    ]
    assert log_lines([late, early, planned, undone], 1, "us")[0].startswith("… 2 earlier")


def test_no_line_is_wider_than_a_terminal() -> None:
    events = (*EVENTS[:-1], Poured(**K1, volume_m3=PINT, remark="very " * 60))
    lines = [
        *log_lines(events, 100, "us"),
        *recorded_lines(written(*events, warnings=("long " * 40,)), (), events, "us"),
    ]
    assert max(map(len, lines)) <= WIDTH
    assert sum(bool(re.match(r"[0-9a-f]{8}  ", line)) for line in lines) == len(events)


def test_an_empty_log_says_so() -> None:
    assert log_lines([], 10, "us") == ["Nothing is written down yet."]


def test_set_in_lines_and_cautions_stand_alike_for_every_answer_from_the_log() -> None:
    words = " ".join(["word"] * 30)
    for hang in (0, 2):
        first, *rest = indented(words, hang)
        assert first.startswith("  word")
        assert rest
        assert all(re.match(rf" {{{2 + hang}}}\S", line) for line in rest)
        assert all(len(line) <= WIDTH for line in (first, *rest))
    assert cautioned((Caution("danger", "hot"), Caution("note", "mind"))) == [
        "Danger: hot",
        "Note: mind",
    ]
