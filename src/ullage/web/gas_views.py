"""The gas that is left as its page says it: each cylinder of the cellar, and the what-if of any."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from ullage.cellar.events import Event
from ullage.cellar.other_events import CylinderConnected, CylinderSwapped, CylinderWeighed
from ullage.draw.event_words import told
from ullage.plan.answers import Caution, GasAnswer
from ullage.plan.bands import one_sided
from ullage.plan.forecast import Forecast
from ullage.plan.look_ahead import CylinderAhead
from ullage.plan.spoken import headed
from ullage.plan.status import CylinderStatus, KegStatus
from ullage.system.cylinder import full_kg
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import wording
from ullage.web.views import Fact, GasView, Link, Page
from ullage.web.whatif import FormView
from ullage.web.wording import Piece, Sentence

MOST_ROWS = 15
LEAST_TAKEN_KG = 0.005
FEW = 3.0
Known = CylinderConnected | CylinderWeighed | CylinderSwapped


@dataclass(frozen=True, slots=True)
class LogRow:
    """One thing that happened to a cylinder; `note` says what went since it was last known."""

    when: str
    iso: str
    what: str
    note: str


@dataclass(frozen=True, slots=True)
class CylinderView:
    """One cylinder of the cellar."""

    name: str
    sentence: Sentence
    expected: str
    facts: tuple[Fact, ...]
    kegs: tuple[Fact, ...]
    log: tuple[LogRow, ...]
    record: str
    what_if: str
    gas: GasView | None


@dataclass(frozen=True, slots=True)
class GasPageView:
    """The page of the gas; `answer` is that of the what-if, `None` where it has none.

    `lead` is its sentence; `cautions` those of its own, where the cylinders above say the others.
    """

    page: Page
    cylinders: tuple[CylinderView, ...]
    form: FormView
    answer: GasView | None
    lead: Sentence
    cautions: tuple[Caution, ...]
    chooser: tuple[Link, ...]
    data: str
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class OfCylinder:
    """All that is known of one cylinder: what it holds, what comes, who took from it, its log.

    `at`: the moment at which it is looked at.
    """

    at: datetime
    now: CylinderStatus
    answer: GasAnswer | None
    gas: GasView | None
    ahead: CylinderAhead | None
    kegs: tuple[KegStatus, ...]
    log: tuple[Event, ...]


def cylinder_view(of: OfCylinder, record: str, what_if: str, units: UnitSystem) -> CylinderView:
    """Build the view of one cylinder; `record` and `what_if` are where the links lead."""
    return CylinderView(
        name=headed("cylinder", of.now.cylinder),
        sentence=_sentence(of.now, of.answer, units),
        expected="" if of.ahead is None else _expected(of.ahead.empty),
        facts=_facts(of, units),
        kegs=tuple(
            Fact(keg.keg, format_quantity(keg.drawn_kg, Kind.MASS, units), _since(keg, of.at))
            for keg in of.kegs
            if keg.drawn_kg > LEAST_TAKEN_KG
        ),
        log=log_rows(of.log, of.at, units),
        record=record,
        what_if=what_if,
        gas=of.gas,
    )


def _sentence(now: CylinderStatus, answer: GasAnswer | None, units: UnitSystem) -> Sentence:
    if now.is_dry:
        text = f"{headed('cylinder', now.cylinder)} ({now.size}) is empty: no keg gets gas from it."
        return (Piece(text),)
    held = max(now.contents_kg.value, 0.0)
    pieces = [
        Piece(f"{headed('cylinder', now.cylinder)} ({now.size}) holds "),
        Piece(format_quantity(held, Kind.MASS, units), "number"),
        Piece(f" of {now.what}{_give_or_take(now, units)}"),
    ]
    if answer is not None and answer.uses:
        work = "carbonated, pushed out and purged" if now.co2_share >= 1.0 else "pushed out"
        pieces.append(Piece(f": enough for {_kegs(answer)}, {work}"))
        weeks = answer.weeks_left
        if weeks is not None:
            pieces.append(
                Piece(f", or some {weeks.value:.0f} weeks ({wording.plain_band(weeks, 0)})")
            )
    return (*pieces, Piece("."))


def what_if_sentence(answer: GasAnswer, units: UnitSystem) -> Sentence:
    """What a cylinder that is asked about is good for."""
    gauge = format_quantity(answer.cylinder_gauge_pa, Kind.PRESSURE, units)
    return (
        Piece(f"A {answer.size} cylinder with "),
        Piece(format_quantity(answer.remaining_kg, Kind.MASS, units), "number"),
        Piece(f" of {answer.what} in it is enough for {_kegs(answer)}; its gauge shows "),
        Piece(gauge, "number"),
        Piece("."),
    )


def _kegs(answer: GasAnswer) -> str:
    """How many kegs, to the tenth where they are few."""
    kegs = answer.kegs_left
    places = 0 if kegs.value >= FEW else 1
    if at_best := one_sided(kegs, places):
        return f"{at_best} more kegs"
    return f"about {kegs.value:.{places}f} more kegs ({wording.plain_band(kegs, places)})"


def _give_or_take(now: CylinderStatus, units: UnitSystem) -> str:
    band = now.contents_kg
    if band.high - band.low < LEAST_TAKEN_KG:
        return ""
    return f" (80 % sure: {wording.band_text(band, Kind.MASS, units)})"


def _expected(empty: Forecast) -> str:
    if empty.at is None:
        return f"When it will be empty cannot be told: {empty.words}." if empty.words else ""
    text = f"As things go it is empty about {_month(empty.at)}"
    if empty.early is None:
        return f"{text}."
    late = "later than can be told" if empty.late is None else _month(empty.late)
    return f"{text} (80 % sure: {_month(empty.early)} to {late})."


def _month(when: datetime) -> str:
    local = when.astimezone()
    return f"{local.day} {wording.MONTHS[local.month - 1]} {local.year}"


def _since(keg: KegStatus, at: datetime) -> str:
    beer = f"{keg.batch}, " if keg.batch else ""
    if keg.filled_at is None:
        return f"{beer}since it was first known"
    return f"{beer}since it was filled on {wording.moment(keg.filled_at.astimezone(), at)}"


def _facts(of: OfCylinder, units: UnitSystem) -> tuple[Fact, ...]:
    now, answer = of.now, of.answer
    share = 100.0 * max(now.contents_kg.value, 0.0) / now.rated_kg
    facts = [
        Fact("Rated for", format_quantity(now.rated_kg, Kind.MASS, units), f"{share:.0f} % left"),
        Fact(
            "Last known",
            wording.moment(now.known_at.astimezone(), of.at),
            "by weight, by its gauge where that tells it, or as connected",
        ),
    ]
    if answer is None:
        return tuple(facts)
    warm = format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)
    gauge = format_quantity(answer.cylinder_gauge_pa, Kind.PRESSURE, units)
    shows = Fact("Its gauge should show", gauge, f"at {warm}, {answer.phase}")
    if now.co2_share < 1.0:
        held = f"{100.0 * now.co2_share:.0f} %"
        return (*facts, Fact("CO2 in its gas", held, "the rest nitrogen"), shows)
    if answer.liquid_gone_below_kg is None:
        return (*facts, shows)
    gone = format_quantity(answer.liquid_gone_below_kg, Kind.MASS, units)
    then = "" if answer.phase == "liquid full" else "only then does the gauge fall"
    return (*facts, shows, Fact("Liquid gone below", gone, then))


def log_rows(log: Sequence[Event], at: datetime, units: UnitSystem) -> tuple[LogRow, ...]:
    """What happened to a cylinder, newest first; `log` in its order, `at` now."""
    notes = _taken(log, at, units)
    rows = [
        LogRow(
            wording.moment(event.at.astimezone(), at),
            event.at.isoformat(),
            told(event, units),
            notes.get(event.id, ""),
        )
        for event in reversed(log)
    ]
    return tuple(rows[:MOST_ROWS])


def _taken(log: Sequence[Event], at: datetime, units: UnitSystem) -> dict[str, str]:
    """What went between one weighing and the one before it, by the later one's event."""
    known = [event for event in log if isinstance(event, Known)]
    notes = {}
    for (before, held), after in zip(_contents(known), known[1:], strict=False):
        if isinstance(after, CylinderWeighed) and held is not None and held > after.contents_kg:
            went = format_quantity(held - after.contents_kg, Kind.MASS, units)
            since = wording.moment(before.at.astimezone(), at)
            notes[after.id] = f"{went} less than on {since}"
    return notes


def _contents(known: Sequence[Known]) -> Iterator[tuple[Known, float | None]]:
    """What a cylinder held at each of them; a full one what its size holds of the gas in it then.

    `None`: neither told nor, as no connection of it is in the log, known.
    """
    size: str | None = None
    share = 1.0
    for event in known:
        if isinstance(event, CylinderConnected):
            size, share = event.size, event.co2_share
        elif isinstance(event, CylinderSwapped) and event.co2_share is not None:
            share = event.co2_share
        full = None if size is None else full_kg(size, share)
        yield event, full if event.contents_kg is None else event.contents_kg
