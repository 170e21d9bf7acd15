"""A schedule as bars on a time axis: what each fermenter, keg and tap does when."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ullage.plan.brewing_answer import Bar, Doing, Row, RowKind
from ullage.plan.brewing_case import WORK_D, Schedule
from ullage.plan.brewing_stock import Stock


def rows(stock: Stock) -> tuple[Row, ...]:
    """The rows in their order: fermenters, kegs, taps."""
    case = stock.case
    return (
        *(Row("fermenter", one.name) for one in case.fermenters),
        *(Row("keg", one.name) for one in case.kegs),
        *(Row("tap", one.name) for one in case.taps),
    )


def bars(stock: Stock, known: Schedule) -> tuple[Bar, ...]:
    """All bars within the horizon."""
    return tuple(
        bar
        for bar in (*_fermenters(stock, known), *_kegs(stock, known), *_taps(stock, known))
        if bar.ends > bar.begins
    )


def _fermenters(stock: Stock, known: Schedule) -> Iterator[Bar]:
    for batch in known.batches:
        row = stock.case.fermenters[batch.brew.fermenter].name
        begin, done = batch.brew.day + WORK_D, batch.done_d + WORK_D
        gone = batch.packaged_d + WORK_D
        beer = batch.brew.beer
        yield from _bar(stock, ("fermenter", row, "ferments"), beer, (begin, min(done, gone)))
        yield from _bar(stock, ("fermenter", row, "waits"), beer, (done, gone))


def _kegs(stock: Stock, known: Schedule) -> Iterator[Bar]:
    for one in known.fillings:
        row = stock.case.kegs[one.keg].name
        filled = one.filled_d if one.batch < 0 else one.filled_d + WORK_D
        yield from _bar(stock, ("keg", row, "carbonates"), one.beer, (filled, one.ready_d))
        ready = max(filled, one.ready_d)
        yield from _bar(stock, ("keg", row, "ready"), one.beer, (ready, one.tapped_d))
        yield from _bar(stock, ("keg", row, "pours"), one.beer, (one.tapped_d, one.kicked_d))


def _taps(stock: Stock, known: Schedule) -> Iterator[Bar]:
    for one in known.fillings:
        if one.tap >= 0:
            row = stock.case.taps[one.tap].name
            yield from _bar(stock, ("tap", row, "pours"), one.beer, (one.tapped_d, one.kicked_d))
    for dry in known.dry:
        tap = stock.case.taps[dry.tap]
        yield from _bar(stock, ("tap", tap.name, "dry"), tap.beer, (dry.begin_d, dry.end_d))


def _bar(
    stock: Stock, row: tuple[RowKind, str, Doing], beer: int, time_d: tuple[float, float]
) -> Iterator[Bar]:
    """One bar from now at the earliest to the horizon at the latest, if any of it is left."""
    case = stock.case
    begin, end = max(time_d[0], case.now_d), min(time_d[1], case.horizon_d)
    if not math.isfinite(begin) or end <= begin:
        return
    kind, name, doing = row
    yield Bar(
        row_kind=kind,
        row=name,
        doing=doing,
        beer=case.beers[beer].name,
        begins=stock.days.moment(begin),
        ends=stock.days.moment(end),
        planned=time_d[0] > case.now_d,
    )
