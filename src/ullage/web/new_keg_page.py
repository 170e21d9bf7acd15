"""A keg that came into the cellar: its name, its kind, where it stands."""

from __future__ import annotations

from collections import Counter
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from ullage.cellar.events import Event, from_fields
from ullage.errors import EventError
from ullage.system import parts
from ullage.web import asked
from ullage.web.asked import About, Asked, AskedChoice, AskedQuantity, AskedText, AskedTick
from ullage.web.beer_questions import read_fields, views
from ullage.web.fields import Choice, Posted, posted
from ullage.web.keg_addresses import keg_path
from ullage.web.keg_views import KegFormView, PartOfForm
from ullage.web.record_forms import Wrong, focused
from ullage.web.site import Site, shown
from ullage.web.wording import sentence

TITLE: Final = "A new keg"


def _places(about: About) -> tuple[Choice, ...]:
    return tuple(Choice(place, place) for place in about.present.state.places_k)


def _usual_place(about: About) -> str:
    """Where most of the kegs stand; "" where there is none."""
    places = Counter(keg.place for keg in about.present.state.kegs.values())
    return places.most_common(1)[0][0] if places else ""


def _kinds(about: About) -> tuple[Choice, ...]:
    del about
    return tuple(Choice(kind.name, kind.title) for kind in parts.keg_kinds().values())


ASKED: Final[tuple[Asked, ...]] = (
    AskedText("keg", "Its name", hint="As you call it, or as it is marked: such as K4."),
    AskedChoice("keg_kind", "What kind is it?", offer=_kinds),
    AskedText(
        "place",
        "Where does it stand?",
        begin=_usual_place,
        offer=_places,
        hint="A new place will do.",
    ),
    AskedQuantity(
        "place_k",
        "How warm is it there?",
        needed=False,
        hint="For a new place.",
        measure=asked.ROOM,
    ),
    AskedTick(
        "used",
        "It came used",
        hint="Then Upkeep wants its seals, its cleaning and its test before the first filling.",
    ),
)


def routes(site: Site) -> APIRouter:
    """`GET` and `POST /new-keg`."""
    router = APIRouter(include_in_schema=False)

    @router.api_route("/new-keg", methods=["GET", "HEAD"])
    def ask(request: Request) -> Response:
        """The form."""
        return shown("keg_form.html", _view(site, request, None, Wrong()))

    @router.post("/new-keg")
    def acquire(request: Request, form: Annotated[Posted, Depends(posted)]) -> Response:
        """Write the keg down and go to it."""
        about = _about(site, request)
        wrong: dict[str, str] = {}
        values = read_fields(ASKED, form, about, wrong)
        is_new = values.get("place") not in {None, *about.present.state.places_k}
        if is_new and "place_k" not in values:
            wrong.setdefault("place_k", "Say how warm it is there: this place is new.")
        whole = ""
        if not wrong:
            try:
                recorded = site.book.record(*_events(site, about, values))
            except EventError as error:
                whole = str(error)
            else:
                path = keg_path(str(values["keg"]))
                return site.go(request, path, *(one.id for one in recorded.events))
        if "in the cellar already" in whole:
            wrong, whole = {"keg": sentence(whole)}, ""
        trial = Wrong(wrong, sentence(whole) if whole else "")
        return shown("keg_form.html", _view(site, request, form, trial), 422)

    return router


def _events(site: Site, about: About, values: dict[str, Any]) -> list[Event]:
    at, found = site.book.clock(), []
    if values["place"] not in about.present.state.places_k:
        place = {"place": values["place"], "temperature_k": values["place_k"]}
        found.append(from_fields({"kind": "place_set", "at": at, **place}))
    keg = {name: values[name] for name in ("keg", "keg_kind", "place")}
    used = {"used": True} if values.get("used") else {}
    return [*found, from_fields({"kind": "keg_acquired", "at": at, **keg, **used})]


def _about(site: Site, request: Request) -> About:
    present = site.book.present()
    return About("keg", "", present, site.units(request, present))


def _view(site: Site, request: Request, form: Posted | None, wrong: Wrong) -> KegFormView:
    about = _about(site, request)
    fields = focused(views(ASKED, about, form, wrong.fields))
    return KegFormView(
        page=site.page(request, TITLE, about.units),
        heading=TITLE,
        lead="",
        action=site.address("/new-keg"),
        leave=site.address("/kegs"),
        parts=(
            PartOfForm(
                "",
                "keg",
                fields,
                "A used keg: vent it before you open it, and fit new seals. Never above the "
                "pressure that is marked on it.",
            ),
        ),
        button="Write it down",
        error=wrong.whole,
        warning="",
        guide=(),
        title_block=site.title_block(TITLE, about.present, about.units),
    )
