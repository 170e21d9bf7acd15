"""How would this tap pour: the what-if of a line, its whole question in the address."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.errors import UllageError
from ullage.plan.answers import Caution, PourAnswer
from ullage.plan.line_text import parse_line
from ullage.plan.tap_serving import not_yet
from ullage.plan.what_if_own import own_pour
from ullage.plan.what_if_tap import (
    LineQuestion,
    PourQuestion,
    pour_what_if,
)
from ullage.system import parts
from ullage.units import UnitSystem
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.fields import Choice
from ullage.web.pour_usual import NO_SHANK, glass_size, of_tap
from ullage.web.pour_usual import usual as begin_with
from ullage.web.pour_views import Poured, PourPageView, difference, pour_columns
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.views import Link
from ullage.web.whatif import (
    answered,
    as_data,
    block_of,
    documented,
    form_view,
    keg_kinds,
    page_of,
    query_of,
)
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

_LINE_HINT: Final = "From the keg on; join pieces with +. Leave the length out to have it found."
FIRST: Final = (
    Ask("pressure", "Pressure on the keg", fields.PRESSURE),
    Ask("line", "Line", hint=_LINE_HINT),
    Ask("line_b", "A second line to compare", hint="Leave it empty for one answer."),
    Ask("pint", "Fill the glass in", fields.PINT_TIME),
    Ask("temperature", "Beer’s temperature", fields.BEER_TEMPERATURE),
    Ask("volumes", "CO2 in the beer", fields.LEVEL, "Empty: in balance with the pressure."),
)
NO_LINE: Final[tuple[LineQuestion, ...]] = ()
MORE: Final = (
    Ask("rise", "Faucet above the keg’s middle", fields.RISE, "Negative if it is lower."),
    Ask("tower", "Shank and faucet at", fields.BEER_TEMPERATURE, "Empty: as cold as the keg."),
    Ask("left", "Beer left in the keg", fields.BEER, "Empty: a full keg."),
    Ask("kind", "Kind of keg", choices=keg_kinds(), kind="select"),
    Ask(
        "shank",
        "Shank",
        choices=(
            *(Choice(one.name, one.title) for one in parts.shanks().values()),
            Choice(NO_SHANK, "No shank"),
        ),
        kind="select",
    ),
    Ask(
        "faucet",
        "Faucet",
        choices=tuple(Choice(one.name, one.title) for one in parts.faucets().values()),
        kind="select",
    ),
    Ask("altitude", "Altitude", fields.ALTITUDE),
    Ask("abv", "Alcohol by volume", fields.ALCOHOL, "Empty: the trade’s standard beer."),
)
NAMES: Final = ("tap", *(ask.name for ask in (*FIRST, *MORE)), "units")
AT_FIELD: Final = {
    "rise": "rise",
    "abv": "abv",
    "pint in": "pint",
    "altitude": "altitude",
    "tower temperature": "tower",
    "temperature": "temperature",
    "volume": "left",
    "the pressure": "pressure",
    "a flow": "pint",
    "that pour is all": "pint",
}
"""How the sentence of an error begins, and the field that it belongs to; others are the line's."""

# The same question has the same answer for ever.
_answer = lru_cache(maxsize=256)(pour_what_if)


@dataclass(frozen=True, slots=True)
class PourData:
    """The answer as data: of the line, and of the second one where it was given."""

    line: PourAnswer | None
    line_b: PourAnswer | None


def routes(site: Site) -> APIRouter:
    """The what-if at `/pour` and its data at `/pour.json`."""
    router = APIRouter()

    @router.api_route("/pour", methods=["GET", "HEAD"], include_in_schema=False)
    def pour_page(request: Request) -> Response:
        """A tap asked about; prefilled from `?tap=NAME` of the system, or with what is usual."""
        present = site.book.present()
        units = site.units(request, present)
        asked = _asked(request, present, units)
        poured = _poured(asked, present)
        view = _view(site, request, present, asked, poured)
        return answered(request, "pour.html", "pour_part.html", view, bool(asked.errors))

    @router.get(
        "/pour.json",
        response_class=Response,
        responses=answers(PourData),
        openapi_extra=documented((*FIRST, *MORE), {"tap": "A tap of the system to begin from."}),
    )
    def pour(request: Request) -> Response:
        """The answer of the same question as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        meanwhile = _not_yet(present, asked)
        first = () if meanwhile is None else (meanwhile,)
        found = [
            replace(one.answer, cautions=(*first, *one.answer.cautions))
            for one in _poured(asked, present)
        ]
        line, line_b = (*found, None, None)[:2]
        return as_data(asked, PourData(line, line_b))

    return router


def _asked(request: Request, present: Present, units: UnitSystem) -> Typed:
    query = request.query_params
    usual = begin_with(units)
    if not present.empty:
        system = present.system
        usual |= {"altitude": fields.ALTITUDE.write(system.altitude, units)}
        if query.get("tap"):
            usual |= of_tap(system, system.tap(query["tap"]), units)
        elif system.taps and "pressure" not in query and "tap" not in query:
            usual |= of_tap(system, system.taps[0], units)
    return Typed(query, usual, units)


def _not_yet(present: Present, asked: Typed) -> Caution | None:
    """That the tap which is asked about does not pour at what is set on its keg just now."""
    name = asked.text("tap")
    if present.empty or not name:
        return None
    system = present.system
    return not_yet(system, system.tap(name), asked.units)


def _poured(asked: Typed, present: Present) -> tuple[Poured, ...]:
    """The answers, one for each line given; none where the question is wrong."""
    question = _question(asked)
    lines = [name for name in ("line", "line_b") if asked.text(name) or name == "line"]
    pieces = [asked.read(name, lambda said: _line(said, asked), NO_LINE) for name in lines]
    if not asked.text("line"):
        asked.errors["line"] = 'This is needed: write it as "10 ft x 3/16 in".'
    if asked.errors:
        return ()
    found = [
        _one(asked, _own(replace(question, line=line), asked, present), name)
        for name, line in zip(lines, pieces, strict=True)
    ]
    return () if asked.errors else tuple(one for one in found if one is not None)


def _question(asked: Typed) -> PourQuestion:
    cold = asked.needed("temperature", fields.BEER_TEMPERATURE)
    alcohol = asked.quantity("abv", fields.ALCOHOL)
    pint = asked.quantity("pint", fields.PINT_TIME)
    choices = {ask.name: asked.one_of(ask) for ask in MORE if ask.choices}
    return PourQuestion(
        gauge_pa=asked.needed("pressure", fields.PRESSURE),
        line=(),
        temperature_k=cold,
        rise_m=asked.quantity("rise", fields.RISE) or 0.0,
        carbonation_vol=asked.quantity("volumes", fields.LEVEL),
        tower_k=asked.quantity("tower", fields.BEER_TEMPERATURE),
        altitude_m=asked.quantity("altitude", fields.ALTITUDE) or 0.0,
        abv_percent=None if alcohol is None else 100.0 * alcohol,
        keg_kind=choices["kind"],
        wanted_s=None if pint is None else pint / glass_size(asked.units),
        shank=None if choices["shank"] == NO_SHANK else choices["shank"],
        faucet=choices["faucet"],
        beer_m3=asked.quantity("left", fields.BEER),
    )


def _own(question: PourQuestion, asked: Typed, present: Present) -> PourQuestion:
    """The question with what the household has of its own for the tap that is asked about."""
    return question if present.empty else own_pour(question, present.system, asked.text("tap"))


def _line(said: str, asked: Typed) -> tuple[LineQuestion, ...]:
    return parse_line(_with_units(said, asked))


def _with_units(line: str, asked: Typed) -> str:
    """A line with the household's units put to bare numbers: `10 x 3/16` is feet and inches."""
    long, bore = ("ft", "in") if asked.units == "us" else ("m", "mm")
    pieces = []
    for piece in line.split("+"):
        length, cross, rest = piece.replace("×", " x ").partition(" x ")
        words = (rest if cross else length).split()
        if words and fields.is_number(words[-1]):
            words.append(bore)
        elif len(words) > 1 and fields.is_number(words[-2]) and words[-1] in parts.line_materials():
            words.insert(-1, bore)
        tube = " ".join(words)
        unit = f" {long}" if cross and fields.is_number(length) else ""
        pieces.append(f"{length.strip()}{unit} x {tube}" if cross else tube)
    return " + ".join(pieces)


def _one(asked: Typed, question: PourQuestion, name: str) -> Poured | None:
    """The answer for one line, or what is wrong with it at its field."""
    cut = any(piece.length_m is None for piece in question.line)
    if cut:
        question = replace(question, pint_s=question.wanted_s)
    try:
        return Poured(_answer(question), asked.text(name), cut)
    except UllageError as wrong:
        said = str(wrong)
        at = next((field for start, field in AT_FIELD.items() if said.startswith(start)), name)
        asked.errors[at] = sentence(said)
        return None


def _view(
    site: Site, request: Request, present: Present, asked: Typed, poured: tuple[Poured, ...]
) -> PourPageView:
    units = asked.units
    now = asked.text("tap")
    system = None if present.empty else present.system
    taps = [] if system is None else [tap.name for tap in system.taps]
    query = query_of(asked, NAMES)
    both = len(poured) == 2
    here = site.address("/pour")
    chooser = [
        Link(tap, f"{here}?{fields.address_of(tap=tap)}", tap == now and bool(now)) for tap in taps
    ]
    return PourPageView(
        page=page_of(site, request, "Pour", units),
        taps=(*chooser, Link("another tap", f"{here}?tap=", not now)) if chooser else (),
        not_yet=_not_yet(present, asked),
        form=form_view(asked, here, FIRST, MORE, ("tap", "units")),
        columns=pour_columns(poured, units),
        difference=difference(poured[0].answer, poured[1].answer, units) if both else (),
        data=f"{site.address('/pour.json')}{'?' if query else ''}{query}",
        title_block=block_of(site, request, "Pour: what if", present, units),
    )
