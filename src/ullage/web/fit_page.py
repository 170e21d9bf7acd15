"""Does it fit: kegs and cylinder in a fridge, drawn to scale, from what a tape measures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from pydantic import ValidationError

from ullage.draw.fit_drawing import fit_drawing
from ullage.plan.fit import fit, fit_most, kegs_of, question_of
from ullage.plan.fit_answer import BETWEEN_M, FitAnswer, FitQuestion, Wanted
from ullage.system.inside import Inside, StepInside
from ullage.system.model import Place, System
from ullage.units import UnitSystem
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.fit_fields import BY_NAME, FIRST, GAP, INSIDE, MORE, NO_STEP, PART
from ullage.web.fit_views import FitPageView, fit_view, standing_of
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.views import Link
from ullage.web.whatif import (
    answered,
    as_data,
    block_of,
    documented,
    form_view,
    page_of,
    query_of,
)
from ullage.web.whatif_fields import Typed
from ullage.web.wording import sentence

NAMES: Final = ("place", *BY_NAME, "units")

# The same question has the same answer for ever.
_fit = lru_cache(maxsize=128)(fit)
_fit_most = lru_cache(maxsize=128)(fit_most)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was typed, and the system's own question about the place it begins from, if any."""

    typed: Typed
    own: FitQuestion | None


def routes(site: Site) -> APIRouter:
    """The fit at `/build/fit`, its data and its drawing for the printer beside it."""
    router = APIRouter()

    @router.api_route("/build/fit", methods=["GET", "HEAD"], include_in_schema=False)
    def fit_page(request: Request) -> Response:
        """Whether it fits, where everything stands, and where the gas line comes in."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        view = _view(site, request, present, asked, _found(asked))
        return answered(request, "fit.html", "fit_part.html", view, bool(asked.typed.errors))

    @router.get(
        "/build/fit.json",
        response_class=Response,
        responses=answers(FitAnswer),
        openapi_extra=documented(
            (*FIRST, *MORE), {"place": "A place of the system to begin from."}
        ),
    )
    def fit_data(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        return as_data(asked.typed, _found(asked))

    @router.api_route("/build/fit.svg", methods=["GET", "HEAD"], include_in_schema=False)
    def fit_svg(request: Request) -> Response:
        """The drawing alone, at its own scale, with the table of the middles."""
        present = site.book.present()
        units = site.units(request, present)
        asked = _asked(request, present, units)
        found = _found(asked)
        if found is None:
            return as_data(asked.typed, None)
        text = fit_drawing(found, standing_of(found), units, standalone=True)
        return Response(text, media_type="image/svg+xml", headers={"Cache-Control": "no-cache"})

    return router


def _asked(request: Request, present: Present, units: UnitSystem) -> _Asked:
    query, usual, own = request.query_params, _usual(units), None
    place = query.get("place")
    if place is None and not present.empty:
        place = next((one.name for one in present.system.places if one.inside), None)
    if place and not present.empty:
        where = present.system.place(place)
        usual |= _of_place(present.system, where, units)
        own = question_of(present.system, place) if where.inside is not None else None
    return _Asked(Typed(query, usual, units), own)


def _usual(units: UnitSystem) -> dict[str, str]:
    us = units == "us"
    return {
        "width": "22" if us else "56",
        "depth": "20" if us else "50",
        "height": "32" if us else "82",
        "opens": "front",
        "step": "back",
        "step_depth": "6" if us else "15",
        "step_height": "9" if us else "23",
        "kegs": "most",
        "kind": "ball-lock-5gal" if us else "euro-20l",
        "cylinder": "outside",
        "size": "5 lb" if us else "2 kg",
        "bulge": "0",
        "collar": "0",
        "between": GAP.write(BETWEEN_M, units),
    }


def _of_place(system: System, place: Place, units: UnitSystem) -> dict[str, str]:
    """A place of the system, as its owner would type it."""
    found = {"place": place.name}
    kegs = [keg.kind for keg in system.kegs if keg.place == place.name]
    if kegs:
        found |= {"kegs": "there" if place.inside is not None else "most", "kind": kegs[0]}
    stands = [one for one in system.cylinders if one.place == place.name]
    if stands:
        found |= {"cylinder": "inside", "size": stands[0].size}
    inside = place.inside
    if inside is None:
        return found
    own = question_of(system, place.name)
    cylinder = "none" if not own.cylinders else "outside" if own.outside else "inside"
    found |= {"cylinder": cylinder, "opens": inside.opens, "step": NO_STEP}
    if own.cylinders:
        found["size"] = own.cylinders[0].kind
    for name, value in (
        ("width", inside.width),
        ("depth", inside.depth),
        ("height", inside.height),
        ("bulge", inside.door_bulge),
        ("shelf", inside.shelf),
        ("collar", inside.collar),
    ):
        found[name] = INSIDE.write(value, units)
    return found | _of_step(inside.step, units)


def _of_step(step: StepInside | None, units: UnitSystem) -> dict[str, str]:
    if step is None:
        return {"step_depth": "", "step_height": ""}
    return {
        "step": step.where,
        "step_width": INSIDE.write(step.width, units),
        "step_depth": INSIDE.write(step.depth, units),
        "step_height": INSIDE.write(step.height, units),
    }


def _found(asked: _Asked) -> FitAnswer | None:
    """The answer; nothing where the question is wrong."""
    typed = asked.typed
    inside = _inside(asked)
    kegs, kind = typed.one_of(BY_NAME["kegs"]), typed.one_of(BY_NAME["kind"])
    where, size = typed.one_of(BY_NAME["cylinder"]), typed.one_of(BY_NAME["size"])
    between = typed.quantity("between", GAP)
    if kegs == "there" and asked.own is None and "kegs" not in typed.errors:
        typed.errors["kegs"] = "Begin from a place whose inside is measured, or say how many."
    if typed.errors or inside is None:
        return None
    question = FitQuestion(
        place=typed.text("place") or "fridge",
        inside=inside,
        kegs=() if asked.own is None else asked.own.kegs,
        cylinders=() if where == "none" else (Wanted("cylinder", size),),
        outside=where != "inside",
        between_m=BETWEEN_M if between is None else between,
    )
    if kegs == "most":
        return _fit_most(replace(question, kegs=()), kind)
    if kegs == "there":
        return _fit(question)
    return _fit(replace(question, kegs=kegs_of(kind, int(kegs))))


def _inside(asked: _Asked) -> Inside | None:
    """What the tape measured; `None` where something is wrong with it."""
    typed = asked.typed
    where, opens = typed.one_of(BY_NAME["step"]), typed.one_of(BY_NAME["opens"])
    width, depth, height = (typed.needed(name, INSIDE) for name in ("width", "depth", "height"))
    step = None
    if where != NO_STEP:
        step = {
            "where": where,
            "width": typed.quantity("step_width", INSIDE),
            "depth": typed.quantity("step_depth", INSIDE),
            "height": typed.needed("step_height", INSIDE),
        }
    bulge, collar = (typed.quantity(name, PART) or 0.0 for name in ("bulge", "collar"))
    shelf = typed.quantity("shelf", INSIDE)
    if typed.errors:
        return None
    try:
        return Inside.model_validate(
            {
                "width": width,
                "depth": depth,
                "height": height,
                "opens": opens,
                "door_bulge": bulge,
                "shelf": shelf,
                "collar": collar,
                "step": step,
                "hole": () if asked.own is None else asked.own.inside.holes,
            }
        )
    except ValidationError as wrong:
        said = wrong.errors()[0]["msg"]
        typed.errors[_field_of(said)] = sentence(said)
        return None


def _field_of(said: str) -> str:
    """The field that a complaint of the whole belongs to."""
    if said.startswith("step:"):
        return next((f"step_{n}" for n in ("width", "depth") if f"its {n}" in said), "step_height")
    return {"door_bulge": "bulge", "shelf": "shelf"}.get(said.split(maxsplit=1)[0], "collar")


def _view(
    site: Site, request: Request, present: Present, asked: _Asked, found: FitAnswer | None
) -> FitPageView:
    units, here = asked.typed.units, site.address("/build/fit")
    query = query_of(asked.typed, NAMES)
    more = f"?{query}" if query else ""
    return FitPageView(
        page=page_of(site, request, "Does it fit?", units),
        chooser=_chooser(present, asked.typed.text("place"), here),
        form=form_view(asked.typed, here, FIRST, MORE, ("place", "units")),
        answer=None if found is None else fit_view(found, units),
        drawing=f"{site.address('/build/fit.svg')}{more}",
        data=f"{site.address('/build/fit.json')}{more}",
        title_block=block_of(site, request, "Fit", present, units),
    )


def _chooser(present: Present, now: str, here: str) -> tuple[Link, ...]:
    """The places of the system to begin from."""
    if present.empty:
        return ()
    names = [one.name for one in present.system.places]
    links = [Link(n, f"{here}?{fields.address_of(place=n)}", n == now) for n in names]
    return (*links, Link("any other", f"{here}?place=", not now))
