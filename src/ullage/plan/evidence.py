"""The signs that the model can answer for one tap or keg: from the system, its log and physics.

Each sign comes with how sure it is and with the numbers that say so. What the model cannot tell is
left out, not guessed; what only the log says is never quite sure, for hands forget to write.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Final, TypeVar

import numpy as np

from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, Measured, Moved, Shaken
from ullage.plan.answers import PourAnswer
from ullage.plan.fault_answer import Evidence
from ullage.plan.fault_scene import FaultScene
from ullage.plan.gas_missing import gas_missing, tested_drop
from ullage.plan.pour_advice import WARM_TOWER_PA
from ullage.plan.spoken import date_text, gauge_counted
from ullage.plan.upkeep_changes import rule_of
from ullage.units import Kind

LATELY: Final = timedelta(days=1)
RECENT: Final = timedelta(days=3)
THIS_MONTH: Final = timedelta(days=30)
FREEZES_K: Final = 271.4
"""Beer of usual strength freezes at about −2 °C; from memory."""
SERVED_K: Final = 279.15
"""Keg beer is kept at 6 °C (43 °F) or colder; warmer than 8 °C or so is warm; common practice, no
source."""
EMPTY_SHARE: Final = 0.04
"""Gas left over the rated fill at which the liquid is long gone; common practice, no source."""
Happened = TypeVar("Happened", bound=Event)


def evidence(scene: FaultScene) -> tuple[Evidence, ...]:
    """Every sign that can be told of this tap or keg now."""
    found: list[Evidence] = []
    for ask in _ASKED:
        found.extend(ask(scene))
    return tuple(found)


def _level(scene: FaultScene) -> Iterator[Evidence]:
    """Too much or too little gas in the beer, by the samples of what is not known."""
    beer, levels = scene.beer, scene.levels
    if beer is None or levels is None:
        return
    low, high = np.quantile(levels, (0.1, 0.9))
    say = scene.said
    words = (
        f"the model has it at {say(float(np.mean(levels)), Kind.CARBONATION)} "
        f"({say(float(low), Kind.CARBONATION)} to {say(float(high), Kind.CARBONATION)}); wanted: "
        f"{say(beer.volumes, Kind.CARBONATION)} ± {say(beer.tolerance, Kind.CARBONATION)}"
    )
    over = float(np.mean(levels > beer.volumes + beer.tolerance))
    under = float(np.mean(levels < beer.volumes - beer.tolerance))
    yield Evidence("too much gas", _hedged(over), words)
    yield Evidence("too little gas", _hedged(under), words)


def _reaches(scene: FaultScene) -> Iterator[Evidence]:
    """Whether the gas as it is set ever brings the beer to its level."""
    beer, comes_to = scene.beer, scene.comes_to
    if beer is None or comes_to is None:
        return
    say = scene.said
    short, past = (
        beer.volumes - comes_to - beer.tolerance,
        comes_to - beer.volumes - beer.tolerance,
    )
    words = (
        f"{say(scene.gauge_pa or 0.0, Kind.PRESSURE)} at {say(scene.place_k, Kind.TEMPERATURE)} "
        f"comes to {say(comes_to, Kind.CARBONATION)}; wanted: {say(beer.volumes, Kind.CARBONATION)}"
        f"{_gauge_counted(scene)}"
    )
    yield Evidence("never gets there", _step(short, 0.0, 0.05), words)
    yield Evidence("goes past it", _step(past, 0.0, 0.05), words)


def _gauge_counted(scene: FaultScene) -> str:
    """That its gauge reads off, where it does, behind a semicolon."""
    said = gauge_counted(scene.offset_pa, scene.units, "its gauge")
    return f"; {said.removesuffix('.')}" if said else ""


def _pour(scene: FaultScene) -> Iterator[Evidence]:
    """How fast the line pours, against what was wanted and against a timed pint."""
    answer = scene.pour
    if answer is None:
        return
    say = scene.said
    pint, wanted = answer.pint_s.value, answer.wanted_pint_s
    words = (
        f"by the model a pint takes {say(pint, Kind.DURATION)} at "
        f"{say(answer.gauge_pressure_pa, Kind.PRESSURE)}; wanted: {say(wanted, Kind.DURATION)}"
        f"{_line_counted(answer)}"
    )
    yield Evidence("pours too fast", _step(0.75 - pint / wanted, 0.0, 0.04), words)
    yield Evidence("pours too slowly", _step(pint / wanted, 1.5, 0.06), words)
    timed = _latest(scene, Measured, THIS_MONTH, lambda one: one.pint_s is not None)
    if timed is not None and timed.pint_s is not None:
        told = (
            f"timed on {date_text(timed.at, scene.at)}: {say(timed.pint_s, Kind.DURATION)}; {words}"
        )
        yield Evidence("slower than computed", _step(timed.pint_s / pint, 1.45, 0.08), told)


def _line_counted(answer: PourAnswer) -> str:
    if answer.resistance is None:
        return ""
    return f"; the line resists {answer.resistance:.2f} times the computed: that is counted"


def _resting(scene: FaultScene) -> Iterator[Evidence]:
    """Gas that comes out of beer at rest: in keg and line, or in the warm end only."""
    needs = scene.needs_pa
    if scene.gauge_pa is None or needs is None:
        return
    say = scene.said
    words = (
        f"the beer as it is needs {say(needs, Kind.PRESSURE)} at "
        f"{say(scene.beer_k, Kind.TEMPERATURE)}; set: {say(scene.gauge_pa, Kind.PRESSURE)}"
    )
    yield Evidence("breakout at rest", _step(needs - scene.gauge_pa, 9e3, 2e3), words)
    if scene.pour is None:
        return
    warmest = _warm_end(scene)
    if warmest is None:
        return
    answer = scene.pour
    part = answer.shut_margin_part
    warm = warmest - scene.place_k > 0.5
    share = _step(-answer.shut_margin_pa, WARM_TOWER_PA, 2e3) if warm else 0.03
    gap = say(abs(answer.shut_margin_pa), Kind.PRESSURE)
    side = "below" if answer.shut_margin_pa < 0 else "above"
    words = (
        f"the warm end is at {say(warmest, Kind.TEMPERATURE)}: with the faucet shut the "
        f"{part} is {gap} {side} what holds the gas in"
    )
    yield Evidence("breakout in the tower", share, words)


def _warm_end(scene: FaultScene) -> float | None:
    """The warmest place on the beer's way that is described; `None`: nobody measured one."""
    if scene.tap is None:
        return None
    told = (scene.tap.tower_temperature, *(piece.temperature for piece in scene.tap.line))
    return max((one for one in told if one is not None), default=None)


def _disturbed(scene: FaultScene) -> Iterator[Evidence]:
    if not scene.log:
        return
    for kind in (Moved, Shaken, Filled):
        one = _latest(scene, kind, LATELY, lambda event: event.at not in _begun(scene))
        if one is not None:
            hours = (scene.at - one.at) / timedelta(hours=1)
            yield Evidence("just disturbed", 0.97, f"{one.kind}, {hours:.0f} h ago by the log")
            return
    yield Evidence("just disturbed", 0.05, "nothing written down within a day")


def _begun(scene: FaultScene) -> set[datetime]:
    """When the log of this keg begins: what it held then was not filled in that moment."""
    return {
        one.at
        for one in scene.log
        if isinstance(one, KegAcquired) and one.subject == scene.keg.name
    }


def _warm(scene: FaultScene) -> Iterator[Evidence]:
    """The beer against its place, by a reading of late if there is one."""
    say = scene.said
    read = _latest(scene, Measured, RECENT, lambda one: one.temperature_k is not None)
    kelvin = scene.beer_k if read is None else read.temperature_k or scene.beer_k
    share = _step(kelvin - min(scene.place_k, SERVED_K), 2.5, 0.5)
    how = "by the model" if read is None else f"read on {date_text(read.at, scene.at)}"
    words = (
        f"beer at {say(kelvin, Kind.TEMPERATURE)} {how}, {scene.keg.place} kept at "
        f"{say(scene.place_k, Kind.TEMPERATURE)}"
    )
    yield Evidence("keg warm", share if read else max(share, 0.12), words)
    coldest = min(kelvin, scene.place_k)
    yield Evidence("below freezing", max(_step(FREEZES_K - coldest, 0.0, 0.25), 0.06), words)


def _line(scene: FaultScene) -> Iterator[Evidence]:
    done = scene.line_cleaned
    if done is None:
        return
    days = (scene.at - done) / timedelta(days=1)
    rule = rule_of("clean line").days or 0
    day = date_text(done, scene.at)
    words = f"last cleaned {day}, {days:.0f} days ago; the manual says every {rule}"
    yield Evidence("line overdue", _step(days, rule + 3.0, 1.0), words)


def _cylinder(scene: FaultScene) -> Iterator[Evidence]:
    """What is left by the log, and whether weighings found less than the kegs took."""
    say = scene.said
    held = scene.held_kg
    if held is not None and scene.cylinder is not None:
        share = _step(EMPTY_SHARE - held / scene.rated_kg, 0.0, 0.01)
        stale = scene.weighed_at is None or scene.at - scene.weighed_at > THIS_MONTH
        words = f"{say(max(held, 0.0), Kind.MASS)} left by the log" + (
            ", long not weighed" if stale else ""
        )
        yield Evidence("cylinder low", max(share, 0.15 if stale else 0.04), words)
    missing = gas_missing(scene)
    if missing is not None:
        yield Evidence("gas unaccounted for", _hedged(missing.probability), missing.sentence)
    drop = tested_drop(scene)
    if drop is not None:
        day = date_text(drop.at, scene.at)
        words = f"the test of {day} lost {say(max(drop.pa, 0.0), Kind.PRESSURE)}"
        yield Evidence("pressure test fell", _step(drop.pa, 7e3, 1.5e3), words)


def _keg(scene: FaultScene) -> Iterator[Evidence]:
    """By the log: is gas on, is beer left, is it still fermenting, what did its gauge read."""
    state = scene.state
    if state is None or not (state.holds_beer or state.batch):
        return
    say = scene.said
    on = state.supply is not None
    told = f"gas on at {say(scene.gauge_pa or 0.0, Kind.PRESSURE)}" if on else "gas off"
    yield Evidence("gas is off", 0.06 if on else 0.95, f"{told} by the log")
    left = float(state.beer_m3)
    share = max(_step(4e-4 - left, 0.0, 1e-4), 0.06)
    yield Evidence("keg nearly empty", share, f"{say(left, Kind.VOLUME)} left by the log")
    more = float(state.to_ferment_vol)
    words = f"{say(more, Kind.CARBONATION)} still to come from yeast by the log"
    yield Evidence("still fermenting", max(_step(more, 0.12, 0.03), 0.05), words)
    yield from _gauge(scene, on)


def _gauge(scene: FaultScene, on: bool) -> Iterator[Evidence]:
    read = _latest(scene, Measured, RECENT, lambda one: one.gauge_pressure_pa is not None)
    if read is None or read.gauge_pressure_pa is None or not on or scene.gauge_pa is None:
        return
    say = scene.said
    above = read.gauge_pressure_pa - scene.gauge_pa - scene.offset_pa
    words = (
        f"read {say(read.gauge_pressure_pa, Kind.PRESSURE)} on {date_text(read.at, scene.at)}; "
        f"set: {say(scene.gauge_pa, Kind.PRESSURE)}{_gauge_counted(scene)}"
    )
    yield Evidence("reads above what is set", _step(above, 9e3, 1.5e3), words)
    yield Evidence("reads below what is set", _step(-above, 12e3, 2e3), words)


_ASKED: Final[tuple[Callable[[FaultScene], Iterator[Evidence]], ...]] = (
    _level, _reaches, _pour, _resting, _disturbed, _warm, _line, _cylinder, _keg,
)  # fmt: skip


def _step(value: float, at: float, width: float) -> float:
    """A soft step from 0 to 1 where `value` passes `at`, never quite sure of either."""
    return _hedged(1.0 / (1.0 + math.exp(-max(min((value - at) / width, 40.0), -40.0))))


def _hedged(share: float) -> float:
    return min(max(share, 0.03), 0.97)


def _latest(
    scene: FaultScene,
    kind: type[Happened],
    within: timedelta,
    fits: Callable[[Happened], bool],
) -> Happened | None:
    """The newest event of a kind about this keg, not older than that."""
    since: datetime = scene.at - within
    return next(
        (
            one
            for one in reversed(scene.log)
            if isinstance(one, kind)
            and one.subject == scene.keg.name
            and since <= one.at <= scene.at
            and fits(one)
        ),
        None,
    )
