"""What the log teaches of this household's constants: shown, kept, dropped."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar.recording import Recorded
from ullage.errors import EventError, UnknownName
from ullage.plan import learn_changes
from ullage.plan.learn import learning
from ullage.plan.learn_answer import Learning
from ullage.web.book import Present
from ullage.web.fields import Posted, posted
from ullage.web.learn_views import LearnView, learn_view, said_at
from ullage.web.site import Site, shown
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]
HERE: Final = "/learn"


def routes(site: Site) -> APIRouter:
    """`/learn`, and what its buttons send."""
    router = APIRouter(include_in_schema=False)

    @router.get(HERE)
    def page(request: Request) -> Response:
        """What was learnt, what of it is kept, and what to read next."""
        return shown("learn.html", _view(site, request))

    @router.post(f"{HERE}/keep")
    def keep(request: Request, form: Form) -> Response:
        """Go by a constant as learnt, or by all of them."""
        present = site.book.present()
        name = form.text("name")
        try:
            learned = learned_of(present)
            done = learn_changes.keep(site.book.store, learned, [name], site.book.clock())
        except (UnknownName, EventError) as error:
            raise HTTPException(422, sentence(error)) from None
        return _gone(site, request, done)

    @router.post(f"{HERE}/drop")
    def drop(request: Request, form: Form) -> Response:
        """Go by anybody's value of a constant again, or of all of them."""
        try:
            done = learn_changes.drop(site.book.store, [form.text("name")], site.book.clock())
        except (UnknownName, EventError) as error:
            raise HTTPException(422, sentence(error)) from None
        return _gone(site, request, done)

    return router


def learned_of(present: Present) -> Learning:
    """What the log teaches at this moment, worked out once."""
    return present.kept("learning", lambda: learning(present.log, present.at, present.described))


def _gone(site: Site, request: Request, done: Recorded) -> Response:
    return site.go(request, HERE, *(one.id for one in done.events))


def _addresses(site: Site, present: Present) -> tuple[str, ...]:
    """Where each reading that could be taken next is written down, "" where it cannot be."""
    kegs = {tap.name: tap.keg for tap in present.system.taps}
    found = (said_at(one, kegs, HERE) for one in learned_of(present).next_readings)
    return tuple(site.address(path) if path else "" for path in found)


def _view(site: Site, request: Request) -> LearnView:
    present = site.book.present()
    units = site.units(request, present)
    return learn_view(
        site.page(request, "What it learnt", units),
        learned_of(present),
        units,
        _addresses(site, present),
        site.title_block("What it learnt", present, units),
    )
