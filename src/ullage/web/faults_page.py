"""What is wrong: what is seen, at which tap, what somebody looked up; causes with their fixes.

The whole question stands in the address, so it can be kept and sent.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.draw.faults_lines import evidence_words, faults_sentence, percent
from ullage.plan.answers import Caution
from ullage.plan.as_json import as_json
from ullage.plan.cautions import DEFER
from ullage.plan.fault_answer import CauseFound, Check, FaultsAnswer
from ullage.plan.fault_finder import answers_from, find_faults, seen_from
from ullage.plan.fault_scene import FaultScene, Replayed, scene_of
from ullage.system.fault_table import fault_table
from ullage.units import UnitSystem
from ullage.web.book import Present
from ullage.web.fields import Choice
from ullage.web.shapes import answers
from ullage.web.site import Site, live
from ullage.web.views import Fact, Page
from ullage.web.whatif import answered, block_of, page_of

NAMES: Final = ("seen", "tap", "keg", "yes", "no", "skip")
IN_FULL: Final = 3
LEAST: Final = 0.01
TOLD: Final = 4
OTHERS: Final = {
    "seen": "What is seen, as foam always; several parted by commas.",
    "tap": "At which tap; left out: the first with beer.",
    "keg": "Or at which keg.",
    "yes": "Checks answered yes, by their names, parted by commas.",
    "no": "Checks answered no.",
    "skip": "Checks that nobody can do now.",
}


@dataclass(frozen=True, slots=True)
class Question:
    """What the address asks."""

    seen: tuple[str, ...]
    tap: str
    looked: tuple[tuple[str, bool], ...]
    skipped: tuple[str, ...] = ()
    keg: str = ""

    def answered(self, sign: str, found: bool | None) -> Question:
        """The same with one more answer to a check, or with one taken back (`None`)."""
        looked = tuple(one for one in self.looked if one[0] != sign)
        skipped = tuple(one for one in self.skipped if one != sign)
        more = () if found is None else ((sign, found),)
        return replace(self, looked=(*looked, *more), skipped=skipped)

    def without(self, sign: str) -> Question:
        """The same with a check left out that nobody can do."""
        return replace(self, skipped=(*self.skipped, sign))

    def address(self, here: str) -> str:
        """The page that asks this."""
        pairs = [(name, one) for name, one in (("tap", self.tap), ("keg", self.keg)) if one]
        pairs += [("seen", one) for one in self.seen]
        pairs += [("yes" if found else "no", sign) for sign, found in self.looked]
        pairs += [("skip", one) for one in self.skipped]
        return f"{here}?{urlencode(pairs)}"


@dataclass(frozen=True, slots=True)
class SightView:
    """A thing to see, and whether it is ticked."""

    name: str
    title: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class CheckView:
    """A check with where its answers lead."""

    ask: str
    how: str
    minutes: str
    yes: str
    no: str
    skip: str


@dataclass(frozen=True, slots=True)
class CauseView:
    """A cause ready to print. `share`: its probability in hundredths, for its bar."""

    title: str
    percent: str
    share: int
    why: str
    fix: str
    source: str
    cautions: tuple[Caution, ...]
    evidence: tuple[Fact, ...]
    check: CheckView | None


@dataclass(frozen=True, slots=True)
class AnswerView:
    """The answer of the question."""

    lead: str
    next_check: CheckView | None
    causes: tuple[CauseView, ...]
    others: tuple[Fact, ...]
    looked: tuple[tuple[str, str, str], ...]
    known: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    data: str


@dataclass(frozen=True, slots=True)
class FaultsView:
    """The page of faults."""

    page: Page
    action: str
    leak: str
    sights: tuple[SightView, ...]
    taps: tuple[Choice, ...]
    tap: str
    kept: tuple[tuple[str, str], ...]
    answer: AnswerView | None
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """The faults at `/faults` and their data at `/faults.json`."""
    router = APIRouter()

    @router.api_route("/faults", methods=["GET", "HEAD"], include_in_schema=False)
    def faults_page(request: Request) -> Response:
        """What may be wrong with a glass, a keg or its gas."""
        present = site.book.present()
        units = site.units(request, present)
        view = _view(site, request, present, units)
        return answered(request, "faults.html", "faults_part.html", view, wrong=False)

    @router.get(
        "/faults.json",
        response_class=Response,
        responses=answers(FaultsAnswer),
        openapi_extra={
            "parameters": [
                {"name": name, "in": "query", "description": text, "schema": {"type": "string"}}
                for name, text in OTHERS.items()
            ]
        },
    )
    def faults_data(request: Request) -> Response:
        """The causes as data, in SI; every key ends in its unit."""
        present = site.book.present()
        found = _found(present, _asked(request, present))
        headers = {"Cache-Control": "no-cache"}
        return Response(as_json(found), media_type="application/json", headers=headers)

    return router


def _asked(request: Request, present: Present) -> Question:
    query = request.query_params
    seen = seen_from(",".join(query.getlist("seen"))[:1000])
    looked = answers_from(_names(query.getlist("yes")), _names(query.getlist("no")))
    tap = query.get("tap", "").strip()
    keg = "" if tap else query.get("keg", "").strip()
    if not tap and not present.empty:
        scene = _scene(present, "", keg)
        tap = "" if scene is None or scene.tap is None else scene.tap.name
    skipped = tuple(dict.fromkeys(_names(query.getlist("skip"))))
    return Question(
        tuple(dict.fromkeys(seen)), tap, tuple(looked.items()), skipped, "" if tap else keg
    )


def _names(values: Sequence[str]) -> list[str]:
    parts = [part for value in values for part in value[:1000].split(",")]
    return [" ".join(part.lower().split()) for part in parts if part]


def _scene(present: Present, tap: str, keg: str = "") -> FaultScene | None:
    if present.empty or not present.system.kegs:
        return None
    past = Replayed(present.log, present.replayed, present.standing.spread)
    return scene_of(present.system, at=present.at, tap=tap, keg=keg, replayed=past)


def _found(present: Present, asked: Question) -> FaultsAnswer:
    key = ("faults", asked)
    return present.kept(
        key,
        lambda: find_faults(
            _scene(present, asked.tap, asked.keg), asked.seen, dict(asked.looked), asked.skipped
        ),
    )


def _view(site: Site, request: Request, present: Present, units: UnitSystem) -> FaultsView:
    asked = _asked(request, present)
    here = site.address("/faults")
    taps = () if present.empty else tuple(_tap(one.name, one.keg) for one in present.system.taps)
    return FaultsView(
        page=page_of(site, request, "Faults", units),
        action=here,
        leak=site.address("/faults/leak"),
        sights=tuple(
            SightView(one.name, one.title, one.name in asked.seen) for one in fault_table().sights
        ),
        taps=taps,
        tap=asked.tap,
        kept=(
            *((("keg", asked.keg),) if asked.keg else ()),
            *(("yes" if found else "no", sign) for sign, found in asked.looked),
            *(("skip", sign) for sign in asked.skipped),
        ),
        answer=_answer(_found(present, asked), asked, site) if asked.seen else None,
        title_block=() if live(request) else block_of(site, request, "Faults", present, units),
    )


def _tap(name: str, keg: str) -> Choice:
    return Choice(name, f"{name} (keg {keg})")


def _answer(found: FaultsAnswer, asked: Question, site: Site) -> AnswerView:
    here = site.address("/faults")
    return AnswerView(
        lead=faults_sentence(found),
        next_check=_check(found.next_check, asked, here),
        causes=tuple(_cause(one, asked, here) for one in found.causes[:IN_FULL]),
        others=tuple(
            Fact(one.title, percent(one), one.fix)
            for one in found.causes[IN_FULL:]
            if one.probability >= LEAST
        ),
        looked=tuple(
            (
                fault_table().sign(sign).ask,
                "yes" if found_so else "no",
                asked.answered(sign, None).address(here),
            )
            for sign, found_so in asked.looked
        ),
        known=tuple(
            Fact(*_parted(evidence_words(one.sign, one.share, one.by_hand)), one.words)
            for one in found.evidence
            if not one.by_hand
        ),
        cautions=(Caution("note", DEFER),),
        data=asked.address(site.address("/faults.json")),
    )


def _parted(text: str) -> tuple[str, str]:
    name, _, value = text.rpartition(": ")
    return name, value


def _check(one: Check | None, asked: Question, here: str) -> CheckView | None:
    if one is None:
        return None
    return CheckView(
        ask=one.ask,
        how=one.how,
        minutes=f"{one.minutes:.0f} min",
        yes=asked.answered(one.sign, True).address(here),
        no=asked.answered(one.sign, False).address(here),
        skip=asked.without(one.sign).address(here),
    )


def _cause(one: CauseFound, asked: Question, here: str) -> CauseView:
    return CauseView(
        title=one.title,
        percent=percent(one),
        share=round(100.0 * one.probability),
        why=one.why,
        fix=one.fix,
        source=one.source,
        cautions=one.cautions,
        evidence=tuple(
            Fact(
                evidence_words(each.sign, each.share, each.by_hand),
                "for it" if each.times > 1.0 else "against it",
                each.words,
            )
            for each in one.evidence[:TOLD]
        ),
        check=_check(one.check, asked, here),
    )
