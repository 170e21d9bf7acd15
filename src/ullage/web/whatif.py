"""What the what-if pages share: the whole page or its living part, the same as data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import JSONResponse, Response

from ullage import __version__
from ullage.plan.as_json import as_json
from ullage.system import parts
from ullage.units import UnitSystem
from ullage.web.book import Present
from ullage.web.fields import Choice, FieldView
from ullage.web.site import Site, live, shown
from ullage.web.views import Fact, Page
from ullage.web.whatif_fields import Ask, Typed

WRONG: Final = 422
OTHERS: Final = {
    "units": "Units that a bare number is read in: us or metric; default: the household's.",
}


@dataclass(frozen=True, slots=True)
class FormView:
    """The form of a what-if: where it asks, its first fields, and those that are folded away.

    `kept` are hidden fields that belong to the question. `unfold`: show the folded ones.
    """

    action: str
    fields: tuple[FieldView, ...]
    more: tuple[FieldView, ...]
    kept: tuple[tuple[str, str], ...]
    unfold: bool = False


def form_view(
    asked: Typed,
    action: str,
    first: tuple[Ask, ...],
    more: tuple[Ask, ...],
    kept: Iterable[str] = (),
) -> FormView:
    """Build the form of a question, with what was typed in it and what was wrong."""
    return FormView(
        action=action,
        fields=asked.views(first),
        more=asked.views(more),
        kept=tuple((name, asked.text(name)) for name in kept if asked.text(name)),
        unfold=any(ask.name in asked.errors for ask in more),
    )


def page_of(site: Site, request: Request, title: str, units: UnitSystem) -> Page:
    """The frame of the page; a bare one where the script asks for the living part alone."""
    if live(request):
        return Page(title, site.base, "auto", __version__, units_now=units)
    return site.page(request, title, units)


def block_of(
    site: Site, request: Request, sheet: str, present: Present, units: UnitSystem
) -> tuple[Fact, ...]:
    """The title block of the page; none where the script asks for the living part alone."""
    return () if live(request) else site.title_block(sheet, present, units)


def answered(request: Request, whole: str, part: str, view: object, wrong: bool) -> Response:
    """The page, or only its living part where the script asks; 422 where something was wrong."""
    answer = shown(part if live(request) else whole, view, WRONG if wrong else 200)
    answer.headers["Vary"] = "HX-Request"
    return answer


def as_data(asked: Typed, answer: object) -> Response:
    """The answer as JSON in SI, or what is wrong with each field of its question, with 422."""
    headers = {"Cache-Control": "no-cache"}
    if asked.errors:
        wrong = {
            "error": "The question cannot be read.",
            "detail": [f"{field}: {text}" for field, text in asked.errors.items()],
            "fields": asked.errors,
        }
        return JSONResponse(wrong, WRONG, headers)
    return Response(as_json(answer), media_type="application/json", headers=headers)


def documented(asks: Iterable[Ask], others: Mapping[str, str]) -> dict[str, Any]:
    """The parameters of a question for the description of the data (OpenAPI)."""
    told = {ask.name: _told(ask) for ask in asks}
    return {
        "responses": {
            "422": {"description": "A field of the question is wrong; `fields` says what."}
        },
        "parameters": [
            {"name": name, "in": "query", "description": text, "schema": {"type": "string"}}
            for name, text in {**told, **others, **OTHERS}.items()
        ],
    }


def _told(ask: Ask) -> str:
    if ask.measure is None:
        known = ", ".join(choice.value for choice in ask.choices)
        return f"{ask.label}." + (f" One of: {known}." if known else f" {ask.hint}")
    us, metric = ask.measure.us, ask.measure.metric
    bare = us if us == metric else f"{us}, in a metric household {metric}"
    return f"{ask.label}. Any unit; a bare number: {bare}. {ask.hint}".strip()


def query_of(asked: Typed, names: Iterable[str]) -> str:
    """The question as it stands in an address."""
    return urlencode({name: asked.text(name) for name in names if name in asked.query})


def keg_kinds() -> tuple[Choice, ...]:
    """The catalogue's kinds of kegs to choose from."""
    return tuple(Choice(one.name, one.title) for one in parts.keg_kinds().values())
