"""The first run: describe a system question by question, load a file, or try the demo."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from markupsafe import Markup
from starlette.exceptions import HTTPException

from ullage import typed
from ullage.errors import EventError, SystemFileError
from ullage.plan.begin import begin as begin_log
from ullage.system.demo import demo_text
from ullage.system.file import LARGEST_FILE, parse_system
from ullage.web.asked import About, Asked
from ullage.web.begin_answers import about, units_of
from ullage.web.begin_drawings import drawing
from ullage.web.begin_questions import ENOUGH, QUESTIONS, asked_next, read
from ullage.web.begin_text import question_of, system_text
from ullage.web.fields import FieldView, Posted, body_of, posted
from ullage.web.record_forms import focused
from ullage.web.site import Site, shown
from ullage.web.uploads import uploaded
from ullage.web.views import Fact, Page

SOURCE: Final = "your answers"
MOST_ANSWERS: Final = 100


@dataclass(frozen=True, slots=True)
class QuestionView:
    """One question: its drawing, its fields, and all earlier answers as they travel along."""

    page: Page
    number: int
    answered: str
    count: int
    title: str
    why: str
    drawing: Markup
    fields: tuple[FieldView, ...]
    kept: tuple[tuple[str, str], ...]
    enough: bool
    last: bool
    error: str
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class FileView:
    """Where a system file can be loaded or pasted."""

    page: Page
    text: str
    error: str
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """The first run at `/begin`, `/begin/file` and `/begin/demo`."""
    router = APIRouter(include_in_schema=False)

    @router.get("/begin")
    def ask(request: Request) -> Response:
        """The next question, or the same again where something was wrong."""
        _only_when_empty(site)
        answers = Posted(request.query_params)
        number = _whole(answers.text("at"), -1)
        if answers.text("go") == "back":
            return _page(site, request, asked_next(number - 1, answers, -1), answers)
        if number < 0:
            return _page(site, request, 0, answers)
        wrong = read(number, answers, site.book.present())
        if wrong:
            return _page(site, request, number, answers, wrong)
        return _page(site, request, asked_next(number + 1, answers), _with_answered(answers))

    @router.post("/begin")
    def draw(request: Request, answers: Annotated[Posted, Depends(posted)]) -> Response:
        """Write the system down that the answers describe."""
        _only_when_empty(site)
        answered = _answered(answers)
        answers = _with_answered(answers)
        for number in range(answered):
            wrong = read(number, answers, site.book.present())
            if wrong:
                return _page(site, request, number, answers, wrong)
        text = system_text(answers, answered)
        try:
            _write(site, text, SOURCE)
        except (SystemFileError, EventError) as error:
            slugs = [question.slug for question in QUESTIONS]
            number = slugs.index(question_of(str(error)))
            return _page(site, request, number, answers, {}, _complaint(str(error)))
        return site.go(request, "/")

    @router.post("/begin/demo")
    def demo(request: Request) -> Response:
        """Begin with the demo."""
        _only_when_empty(site)
        _write(site, demo_text(typed.today()), "the demo")
        return site.go(request, "/")

    @router.get("/begin/file")
    def file_form(request: Request) -> Response:
        """Where a system file can be loaded or pasted."""
        _only_when_empty(site)
        return shown("begin_file.html", _file_view(site, request, "", ""))

    @router.post("/begin/file")
    def load(request: Request, text: Annotated[str, Depends(_sent_file)]) -> Response:
        """Begin with the system of a file."""
        _only_when_empty(site)
        try:
            _write(site, text, "the file")
        except (SystemFileError, EventError) as error:
            return shown("begin_file.html", _file_view(site, request, text, str(error)), 422)
        return site.go(request, "/")

    return router


async def _sent_file(request: Request) -> str:
    """The text of a system file, loaded or pasted."""
    return uploaded(
        await body_of(request, 2 * LARGEST_FILE), request.headers.get("content-type", "")
    )


def _only_when_empty(site: Site) -> None:
    if not site.book.present().empty:
        raise HTTPException(
            422, "There is a system here already: change its file at “The system file”."
        )


def _write(site: Site, text: str, source: str) -> None:
    """Put a system into the store. Raises `SystemFileError`, `EventError`."""
    now = site.book.clock()
    begin_log(site.book.store, parse_system(text, source), text, now, now)


def _whole(text: str, otherwise: int, most: int = len(QUESTIONS) - 1) -> int:
    return min(int(text), most) if text.isdecimal() and len(text) < 4 else otherwise


def _answered(answers: Posted) -> int:
    """How many questions were answered, this one among them: going back forgets none."""
    before = _whole(answers.text("answered"), 0, len(QUESTIONS))
    return max(before, _whole(answers.text("at"), 0) + 1)


def _with_answered(answers: Posted) -> Posted:
    """The answers, and how many questions they answer."""
    return Posted({**answers.values, "answered": str(_answered(answers))})


def _complaint(error: str) -> str:
    """What is wrong, without the place in a file that nobody has seen."""
    return re.sub(rf"^{SOURCE}(, line \d+)?: ", "", error)


def _page(
    site: Site,
    request: Request,
    number: int,
    answers: Posted,
    wrong: dict[str, str] | None = None,
    error: str = "",
) -> Response:
    present, question = site.book.present(), QUESTIONS[number]
    asks = question.asks(answers)
    names = {one.name for one in asks} | {"at", "go", "answered"}
    given = [one for one in answers.values.items() if one[0] not in names][:MOST_ANSWERS]
    fields = tuple(_field(one, answers, about(answers, present), wrong or {}) for one in asks)
    view = QuestionView(
        page=site.page(request, question.title, units_of(answers)),
        number=number,
        answered=answers.text("answered"),
        count=len(QUESTIONS),
        title=question.title,
        why=question.why,
        drawing=drawing(question.slug),
        fields=focused(fields),
        kept=tuple(given),
        enough=number + 1 >= ENOUGH,
        last=number + 1 == len(QUESTIONS),
        error=error,
        title_block=site.title_block(question.title, present, units_of(answers)),
    )
    return shown("begin.html", view, 422 if wrong or error else 200)


def _field(asked: Asked, answers: Posted, told: About, wrong: dict[str, str]) -> FieldView:
    typed_text = answers.text(asked.name) if asked.name in answers.values else None
    return asked.view(told, typed_text, wrong.get(asked.name, ""))


def _file_view(site: Site, request: Request, text: str, error: str) -> FileView:
    present = site.book.present()
    page = site.page(request, "Load a system file")
    return FileView(page, text, error, site.title_block("Load a file", present, "us"))
