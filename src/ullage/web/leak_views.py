"""What the page of leak tests asks and prints: the guide, both tests, writing them down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from ullage.cellar.other_events import LeakTested
from ullage.draw.faults_lines import leak_remarks, leak_sentence
from ullage.plan.answers import Caution
from ullage.plan.leak_answer import LeakAnswer, Split
from ullage.plan.leak_guide import LeakGuide
from ullage.units import Kind, UnitSystem, to_unit
from ullage.web import whatif_fields as fields
from ullage.web.addresses import record_path
from ullage.web.fields import FieldView, Measure
from ullage.web.views import Fact, Link, Page
from ullage.web.whatif_fields import Ask, Typed, is_number

Test = Literal["hold", "weigh"]
GAUGE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "130 psi")
NEEDLE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0.01 psi", "10 psi")
HOURS: Final = Measure(Kind.DURATION, "h", "h", "1 min", "7 days")
DAYS: Final = Measure(Kind.DURATION, "days", "days", "1 h", "365 days")
WEEKS: Final = Measure(Kind.DURATION, "weeks", "weeks", "1 day", "520 weeks")
SHUT_IN: Final = Measure(Kind.VOLUME, "fl oz", "L", "5 mL", "500 L")
WEIGHT: Final = Measure(Kind.MASS, "lb", "kg", "0.5 kg", "200 kg")
SCALE: Final = Measure(Kind.MASS, "lb", "kg", "1 g", "2 kg")
HOLD: Final = (
    Ask("part", "What was shut in", hint="Such as gas lines, or keg K1."),
    Ask(
        "volume",
        "Gas shut in",
        SHUT_IN,
        "Lines hold half a fl oz a foot (50 mL a metre); an empty keg its size: 5 gal.",
    ),
    Ask("p1", "Gauge at the start", GAUGE, "15 to 30 psi (1 to 2 bar), below every rating."),
    Ask("t1", "Gas at the start", fields.ROOM_TEMPERATURE),
    Ask("p2", "Gauge at the end", GAUGE),
    Ask("t2", "Gas at the end", fields.ROOM_TEMPERATURE, "Half a degree matters."),
    Ask("time", "Time between", HOURS, "A gauge down at 0 tells only the least rate: read sooner."),
    Ask("needle", "Needle read to", NEEDLE, "A quarter of its smallest division."),
    Ask("contents", "CO2 in the cylinder", fields.GAS, "For the days until it is empty."),
)
WEIGH: Final = (
    Ask("w1", "Cylinder at the start", WEIGHT, "As it stands on the scale, regulator and all."),
    Ask("w2", "Cylinder at the end", WEIGHT),
    Ask("days", "Time between", DAYS),
    Ask("used", "CO2 used meanwhile", fields.GAS),
    Ask("scale", "Scale good to", SCALE, "Half its step."),
    Ask("held", "CO2 in the cylinder", fields.GAS, "For the days until it is empty."),
)
GUIDE: Final = (
    Ask("left", "CO2 in the cylinder", fields.GAS),
    Ask("empties", "A leak that empties it in", WEEKS, "How small a leak do you want to find?"),
    Ask("lines", "Gas shut in", SHUT_IN, "Gas lines and regulator, kegs off."),
    Ask("reads", "Needle read to", NEEDLE, "A quarter of its smallest division."),
    Ask("step", "Scale good to", SCALE, "Half its step."),
)
NAMES: Final = ("test", "suspect", "units", *(ask.name for ask in (*HOLD, *WEIGH, *GUIDE)))
MOST_LETTERS: Final = 80


@dataclass(frozen=True, slots=True)
class WriteDown:
    """One tap that writes a test down: where it posts to, with what, and of which cylinder."""

    action: str
    fields: tuple[tuple[str, str], ...]
    cylinder: str


@dataclass(frozen=True, slots=True)
class LeakFormView:
    """One test: its fields, and its answer where it was asked."""

    test: Test
    fields: tuple[FieldView, ...]
    lead: str = ""
    answer: LeakAnswer | None = None
    remarks: tuple[str, ...] = ()
    writes: tuple[WriteDown, ...] = ()


@dataclass(frozen=True, slots=True)
class LeakView:
    """The page of leak tests. `logged`: what the log says of each cylinder's gas."""

    page: Page
    action: str
    faults: str
    logged: tuple[str, ...]
    guide: LeakGuide | None
    asks: tuple[FieldView, ...]
    hold: LeakFormView
    weigh: LeakFormView
    split: Split | None
    halves: tuple[Link, ...]
    again: str
    cautions: tuple[Caution, ...]
    title_block: tuple[Fact, ...]


def form_view(
    test: Test,
    asked: Typed,
    found: LeakAnswer | None,
    cylinders: Sequence[str],
    back: str,
) -> LeakFormView:
    """A test's form, and where it was asked its answer and how to write it down."""
    asks = HOLD if test == "hold" else WEIGH
    views = asked.views(asks)
    if found is None:
        return LeakFormView(test, views)
    units = asked.units
    lead = leak_sentence(found, units)
    write = _hold_written if test == "hold" else _weighing_noted
    return LeakFormView(
        test=test,
        fields=views,
        lead=lead,
        answer=found,
        remarks=leak_remarks(found, units),
        writes=tuple(write(one, asked, lead, back) for one in cylinders),
    )


def _hold_written(cylinder: str, asked: Typed, lead: str, back: str) -> WriteDown:
    """The readings as the event of a leak test has them; what they came to as its remark."""
    event = LeakTested.model_fields
    said = {
        "part": asked.text("part")[:MOST_LETTERS],
        "start_gauge_pa": _typed(asked, "p1", GAUGE),
        "start_k": _typed(asked, "t1", fields.ROOM_TEMPERATURE),
        "end_gauge_pa": _typed(asked, "p2", GAUGE),
        "end_k": _typed(asked, "t2", fields.ROOM_TEMPERATURE),
        "duration_s": _typed(asked, "time", HOURS),
    }
    assert said.keys() <= event.keys()
    pairs = (*said.items(), ("remark", lead), ("back", back))
    return WriteDown(record_path("cylinder", cylinder, "leak-tested"), pairs, cylinder)


def _weighing_noted(cylinder: str, asked: Typed, lead: str, back: str) -> WriteDown:
    """Two weights with the regulator on tell no contents, so the test becomes a note."""
    text = (
        f"Leak test by weighing: {_typed(asked, 'w1', WEIGHT)}, "
        f"{_typed(asked, 'days', DAYS)} later {_typed(asked, 'w2', WEIGHT)}, "
        f"{_typed(asked, 'used', fields.GAS) or '0'} used meanwhile. {lead}"
    )
    pairs = (("text", text), ("back", back))
    return WriteDown(record_path("cylinder", cylinder, "note"), pairs, cylinder)


def _typed(asked: Typed, name: str, measure: Measure) -> str:
    """A field as it was typed, its unit after it where it was left out."""
    text = asked.text(name)
    return f"{text} {measure.unit(asked.units)}" if is_number(text) else text


def usual(contents_kg: float | None, units: UnitSystem, lines_m3: float) -> dict[str, str]:
    """What the fields hold before anybody types."""
    us = units == "us"
    shut_in = f"{to_unit(lines_m3, 'fl_oz' if us else 'L'):.2g}"
    found = {
        "part": "gas lines",
        "t1": "68" if us else "20",
        "t2": "68" if us else "20",
        "time": "15 min",
        "volume": shut_in,
        "needle": "0.3" if us else "0.02",
        "days": "3",
        "used": "0",
        "scale": "0.05" if us else "0.025",
        "left": "5" if us else "2",
        "empties": "6",
        "lines": shut_in,
        "reads": "0.3" if us else "0.02",
        "step": "0.05" if us else "0.025",
    }
    if contents_kg is not None and contents_kg > 0.0:
        held = fields.GAS.write(contents_kg, units)
        found |= {"contents": held, "held": held, "left": held}
    return found
