"""What the page of alarms and the head of the Cellar print."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from urllib.parse import quote_plus

from ullage.draw.alarms_lines import alarms_sentence, quiet_words, since_words
from ullage.draw.log_lines import moment
from ullage.plan.alarms_answer import (
    TITLES,
    WORDS,
    Alarm,
    AlarmKind,
    AlarmsAnswer,
    Level,
    Standing,
)
from ullage.plan.alarms_cover import said_by
from ullage.plan.answers import Caution
from ullage.plan.status_answer import Need
from ullage.web.addresses import log_path, record_path
from ullage.web.alarms_limits import LimitsForm
from ullage.web.fields import Choice
from ullage.web.other_verbs import verb_of
from ullage.web.views import Fact, Link, Page

TOLD_SHOWN: Final = 50
QUIETS: Final = (
    Choice("", "as usual"),
    Choice("1", "a day"),
    Choice("7", "a week"),
    Choice("30", "30 days"),
)
"""For how long somebody may ask for quiet."""
_VERBS: Final[dict[AlarmKind, tuple[str, str]]] = {
    "pressure-high": ("vented", "Write down that it was vented"),
    "pressure-low": ("gas-on", "Write down what its gas is set to"),
    "gas-vanishing": ("weighed", "Write down its weight"),
    "gas-rushing": ("weighed", "Write down its weight"),
    "gas-low": ("swapped", "Write down that it was swapped"),
    "beer-low": ("kicked", "Write down that it is empty"),
    "warm": ("temperature", "Write down how warm it is kept"),
    "freezing": ("temperature", "Write down how warm it is kept"),
}
"""What is written down when it was dealt with: at the thing, by which verb."""
_PAGES: Final[dict[AlarmKind, tuple[tuple[str, str], ...]]] = {
    "pressure-high": (("What may be wrong", "/faults?keg={name}&seen=pressure+creeping"),),
    "pressure-low": (("Find a leak", "/faults/leak#guide"),),
    "gas-rushing": (
        ("What CO2 does in this room", "/safety"),
        ("Find a leak", "/faults/leak#where"),
    ),
    "gas-vanishing": (("Find a leak", "/faults/leak#where"),),
    "gas-low": (("When to refill it", "/gas/ahead"),),
    "beer-low": (("What to brew next", "/brew"),),
    "silent": (("Its readings", "/readings"), ("The system file", "/system")),
}
"""The pages that help further; `{name}`: of its keg, place or cylinder."""


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """One alarm, ready to print. `seen`: when it was and until when it is quiet, "" if not."""

    key: str
    level: Level
    word: str
    title: str
    text: str
    do: str
    caution: Caution | None
    since: str
    iso: str
    seen: str
    quiet: bool
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class ToldRow:
    """A notice that was given."""

    when: str
    iso: str
    word: str
    text: str


@dataclass(frozen=True, slots=True)
class ThresholdRow:
    """When alarms of a kind begin and end, and why there."""

    title: str
    begins: str
    ends: str
    why: str


@dataclass(frozen=True, slots=True)
class AlarmsHead:
    """The alarms at the head of the Cellar; `quiet`: how many more were seen, in words."""

    rows: tuple[AlarmRow, ...]
    quiet: str
    href: str
    action: str
    back: str


@dataclass(frozen=True, slots=True)
class AlarmsView:
    """The page of alarms. `trouble`: why the system file cannot be understood."""

    page: Page
    sentence: str
    rows: tuple[AlarmRow, ...]
    told: tuple[ToldRow, ...]
    thresholds: tuple[ThresholdRow, ...]
    limits: LimitsForm
    quiets: tuple[Choice, ...]
    title_block: tuple[Fact, ...]
    trouble: str


Address = Callable[[str], str]


def head_view(answer: AlarmsAnswer, address: Address, back: str) -> AlarmsHead:
    """What the Cellar begins with: all that was not seen, and every danger."""
    shown = [one for one in answer.alarms if not one.quiet or one.alarm.level == "danger"]
    hidden = len(answer.alarms) - len(shown)
    quiet = "" if not hidden else "1 more was seen" if hidden == 1 else f"{hidden} more were seen"
    rows = tuple(_row(one, answer.at, address) for one in shown)
    return AlarmsHead(rows, quiet, address("/alarms"), address("/alarms/seen"), back)


def covered(head: AlarmsAnswer) -> frozenset[tuple[Need, str]]:
    """The advice that says what an alarm at the head of the Cellar says already, with its part."""
    return said_by(one.alarm for one in head.alarms if not one.quiet or one.alarm.level == "danger")


def alarms_view(
    page: Page,
    answer: AlarmsAnswer,
    address: Address,
    title_block: tuple[Fact, ...],
    limits: LimitsForm,
    trouble: str = "",
) -> AlarmsView:
    """The whole page."""
    told = tuple(
        ToldRow(moment(one.at, answer.at), one.at.isoformat(), WORDS[one.level], one.text)
        for one in answer.told[:TOLD_SHOWN]
    )
    thresholds = tuple(
        ThresholdRow(TITLES[one.kind], _upper(one.begins), _upper(one.ends), _upper(one.why))
        for one in answer.thresholds
    )
    rows = tuple(_row(one, answer.at, address) for one in answer.alarms)
    said = alarms_sentence(answer, "see the Cellar")
    return AlarmsView(page, said, rows, told, thresholds, limits, QUIETS, title_block, trouble)


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _row(one: Standing, now: datetime, address: Address) -> AlarmRow:
    alarm = one.alarm
    return AlarmRow(
        key=alarm.key,
        level=alarm.level,
        word=WORDS[alarm.level],
        title=alarm.title,
        text=alarm.text,
        do=alarm.do,
        caution=alarm.caution,
        since=since_words(alarm, now),
        iso=alarm.since.isoformat(),
        seen=quiet_words(one, now),
        quiet=one.quiet,
        links=tuple(_links(alarm, address)),
    )


def _links(alarm: Alarm, address: Address) -> Iterator[Link]:
    """To the page that helps, and to where it is written down."""
    for text, path in _PAGES.get(alarm.kind, ()):
        yield Link(text, address(path.format(name=quote_plus(alarm.subject))))
    if alarm.subject_kind == "sensor":
        return
    slug, text = _VERBS[alarm.kind]
    if verb_of(alarm.subject_kind, slug) is None:  # a keg is kept no warmer than its place
        slug, text = "", "Write down what you did"
    yield Link(text, address(record_path(alarm.subject_kind, alarm.subject, slug)))
    yield Link("Its log", address(log_path(f"{alarm.subject_kind}:{alarm.subject}")))
