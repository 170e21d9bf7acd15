"""A fit as its page says it."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from ullage.draw.fit_drawing import fit_drawing, scale_of
from ullage.draw.fit_words import lead, most_words, proof_words, spot_rows, tape
from ullage.plan.answers import Caution
from ullage.plan.fit_answer import FitAnswer, Standing
from ullage.units import UnitSystem
from ullage.web.views import Fact, Link, Page
from ullage.web.whatif import FormView


@dataclass(frozen=True, slots=True)
class SpotRow:
    """Where one thing stands, as a tape shows it."""

    name: str
    left: str
    front: str
    across: str
    on: str
    needs: str
    note: str


@dataclass(frozen=True, slots=True)
class FitView:
    """An answer ready to print. `shown`: what the drawing shows, where it is not all that was
    asked for.
    """

    verdict: str
    lead: str
    why: tuple[str, ...]
    shown: str
    drawing: Markup
    scale: str
    spots: tuple[SpotRow, ...]
    gas_line: str
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class FitPageView:
    """The page of a fit; `answer` is `None` where the question cannot be answered."""

    page: Page
    chooser: tuple[Link, ...]
    form: FormView
    answer: FitView | None
    drawing: str
    data: str
    title_block: tuple[Fact, ...]


def standing_of(answer: FitAnswer) -> tuple[Standing, ...]:
    """What the drawing shows: what was asked for, or the most that stand."""
    if answer.standing:
        return answer.standing
    return next((one.standing for one in answer.most if one.standing), ())


def fit_view(answer: FitAnswer, units: UnitSystem) -> FitView:
    """Build the view of an answer."""
    standing = standing_of(answer)
    cylinder = answer.gas_line.needed or answer.kegs < len(answer.wanted)
    why = [] if answer.proof is None else [proof_words(answer.proof, units)]
    most = [most_words(one, cylinder) for one in answer.most]
    instead = answer.verdict != "fits" and bool(standing)
    return FitView(
        verdict=answer.verdict,
        lead=lead(answer, units),
        why=(*why, *most),
        shown="Drawn: the most that stand, not what was asked for." if instead else "",
        drawing=Markup(fit_drawing(answer, standing, units)),  # noqa: S704  (we drew it)
        scale=f"1:{scale_of(answer.room)}",
        spots=tuple(_row(one, units) for one in standing),
        gas_line=answer.gas_line.advice,
        remarks=answer.remarks,
        cautions=answer.cautions,
    )


def _row(one: Standing, units: UnitSystem) -> SpotRow:
    name, left, front, across, on, needs = next(iter(spot_rows((one,), units)))
    note = ""
    if one.head is not None:
        x, y = tape(one.head.x_m, units), tape(one.head.y_m, units)
        note = f"regulator turned so that its middle is {x} from the left, {y} from the front"
    return SpotRow(name, left, front, across, on, needs, note)
