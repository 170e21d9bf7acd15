"""A sharing as its page says it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from ullage.draw import share_later_words as later
from ullage.draw import share_words as words
from ullage.draw.share_chart import share_chart
from ullage.plan.answers import Caution
from ullage.plan.share_answer import Lift, ShareAnswer
from ullage.units import UnitSystem, pressure_text
from ullage.web.views import Fact, Link, Page, StepRow
from ullage.web.whatif import FormView
from ullage.web.wording import Piece, Sentence, moment


@dataclass(frozen=True, slots=True)
class SettingRow:
    """A regulator: what to set it to, its kegs, and between what they stay within."""

    name: str
    setting: str
    kegs: str
    near: str


@dataclass(frozen=True, slots=True)
class BeerRow:
    """A beer: what is wanted, what keeps it, what it gets, and where it ends."""

    keg: str
    beer: str
    wanted: str
    keeps: str
    gets: str
    ends: str
    within: bool


@dataclass(frozen=True, slots=True)
class TapRow:
    """A tap: how its line pours now, and what to do."""

    tap: str
    gauge: str
    now: str
    do: str


@dataclass(frozen=True, slots=True)
class TradeRow:
    """So many regulators: what they are set to, what lies outside, the worst, the cost."""

    count: str
    set_to: str
    outside: str
    worst: str
    cost: str


@dataclass(frozen=True, slots=True)
class LiftView:
    """One way to carbonate a keg while the others serve."""

    title: str
    words: str
    needs: str
    steps: tuple[StepRow, ...]
    seen: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class ShareView:
    """An answer ready to print."""

    lead: Sentence
    anew: str
    drawing: Markup
    settings: tuple[SettingRow, ...]
    beers: tuple[BeerRow, ...]
    taps: tuple[TapRow, ...]
    trade_words: tuple[str, ...]
    trades: tuple[TradeRow, ...]
    priced: bool
    elsewhere: tuple[str, ...]
    drifts: tuple[str, ...]
    lifts: tuple[LiftView, ...]
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class SharePageView:
    """The page of a sharing; `answer` is `None` where the question cannot be answered."""

    page: Page
    chooser: tuple[Link, ...]
    form: FormView
    answer: ShareView | None
    data: str
    title_block: tuple[Fact, ...]


def share_view(answer: ShareAnswer, units: UnitSystem, at: datetime) -> ShareView:
    """Build the view of an answer; `at`: when it is read."""
    rows = (words.beer_row(one, units) for one in answer.beers)
    beers = tuple(BeerRow(*row, one.within) for row, one in zip(rows, answer.beers, strict=True))
    said = {*answer.cautions}
    lifts = []
    for lift in answer.lifts:
        cautions = tuple(one for one in lift.cautions if one not in said)
        lifts.append(_lift(lift, cautions, units, at))
        said |= {*lift.cautions}
    return ShareView(
        lead=tuple(
            Piece(text, "setting" if is_set else "words")
            for text, is_set in words.lead(answer, units)
        ),
        anew=words.moved_words(answer),
        drawing=Markup(share_chart(answer, units)),  # noqa: S704  (we drew it)
        settings=tuple(SettingRow(*words.setting_row(one, units)) for one in answer.settings),
        beers=beers,
        taps=tuple(TapRow(*words.tap_row(one, units)) for one in answer.taps),
        trade_words=tuple(words.trade_words(answer)),
        trades=tuple(
            TradeRow(*words.trade_row(one, len(answer.beers), units)) for one in answer.trade_offs
        ),
        priced=any(one.cost_low is not None for one in answer.trade_offs),
        elsewhere=tuple(later.elsewhere_words(one, units) for one in answer.elsewhere),
        drifts=tuple(later.drift_words(one, units) for one in answer.drifts),
        lifts=tuple(lifts),
        remarks=tuple(words.notes(answer, units)),
        cautions=answer.cautions,
    )


def _lift(lift: Lift, cautions: tuple[Caution, ...], units: UnitSystem, at: datetime) -> LiftView:
    return LiftView(
        title=lift.title,
        words=later.lift_words(lift, units, at),
        needs=f"It wants {' and '.join(lift.needs)}." if lift.needs else "",
        steps=tuple(
            StepRow(
                when=moment(step.at, at),
                iso=step.at.isoformat(),
                do=step.do,
                setting=""
                if step.gauge_pressure_pa is None
                else pressure_text(step.gauge_pressure_pa, units),
            )
            for step in lift.steps
        ),
        seen=tuple(later.seen_words(one, units) for one in lift.seen),
        cautions=cautions,
    )
