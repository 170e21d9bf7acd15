"""The kegs in a real browser: from filling to a plan, with a script and without; no barriers."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.web.looks import LOOKS, SIZES, no_barriers, show, sticking_out
from tests.web.made_up import with_demo
from tests.web.serving import served
from ullage.cellar.keg_events import KegAcquired, Kicked, Measured, Poured
from ullage.plan.adopt import adopt
from ullage.plan.to_come import waiting
from ullage.web.app import create_app
from ullage.web.book import Book

PHONE = SIZES[0]
PAGES = (
    "/kegs",
    "/kegs/K1",
    "/kegs/K3?by=soon",
    "/kegs/K4/fill",
    "/batches/Harvest%20Wheat",
    "/new-keg",
)
WIDTHS = (320, 390, 800, 1400)


@pytest.fixture(scope="module")
def lived_in(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A cellar with a plan, readings, a kicked keg and a long name."""
    book = with_demo(tmp_path_factory.mktemp("kegs"))
    at = book.clock()
    book.record(
        Measured(at=at, keg="K1", level_vol=2.3, temperature_k=277.0),
        *(Poured(at=at, keg="K1", volume_m3=4e-4) for _ in range(3)),
        Kicked(at=at, keg="K2"),
        KegAcquired(at=at, keg="K4", keg_kind="ball-lock-5gal", place="freezer"),
        KegAcquired(at=at, keg="W" * 60, keg_kind="half-barrel", place="freezer"),
    )
    adopt(book.store, "K3", "burst", None, at, book.present().system)
    with served(create_app(book)) as address:
        yield address


def fill(page: Page, address: str) -> None:
    """Fill keg K3 anew, as on a phone."""
    page.goto(f"{address}/kegs/K3/fill")
    page.get_by_label("Its name").fill("Ale 5/6 ünd")
    page.get_by_label("CO2 wanted in it").fill("2.5")
    page.get_by_label("Cleaned since the last beer").check()
    page.get_by_label("Sanitised").select_option("pushed")
    page.get_by_label("How warm is the beer?").fill("66")
    page.get_by_role("button", name="Write the filling down").click()
    expect(page.locator("#answer")).to_contain_text("Ale 5/6 ünd holds")


def adopt_and_do(page: Page, book: Book) -> None:
    """Adopt a way, and do the first step of it."""
    page.locator("summary").filter(has_text="Burst").click()
    page.get_by_role("button", name="Adopt: Burst").click()
    done = page.get_by_role("button", name="Done:")
    expect(done).to_have_count(2)
    before = len(waiting(book.present().log, book.clock()))
    done.first.click()
    expect(done).to_have_count(1)
    expect(page.locator(".notice")).to_contain_text("Written down:")
    assert len(waiting(book.present().log, book.clock())) == before - 1


def test_from_a_filling_to_a_plan_with_a_script(page: Page, own_address: str, book: Book) -> None:
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    fill(page, own_address)
    page.evaluate("window.stays = true")
    adopt_and_do(page, book)
    assert page.evaluate("window.stays") is True  # the sheet was swapped, the page not loaded anew
    assert page.evaluate("document.body.classList.contains('working')") is False
    no_barriers(page)
    page.get_by_role("button", name="Take the plan back").click()
    expect(page.locator("#plan")).to_contain_text("No plan waits.")
    page.locator("#ways > details > summary").click()
    page.get_by_label("Wanted by").fill("2026-12-20")
    page.get_by_role("button", name="Work out for that day").click()
    expect(page.get_by_role("button", name="Adopt: ").first).to_be_visible()
    expect(page.get_by_label("Wanted by")).to_have_value("2026-12-20")
    assert page.evaluate("window.stays") is True
    assert complaints == []


def test_from_a_filling_to_a_plan_without_a_script(
    scriptless: Page, own_address: str, book: Book
) -> None:
    fill(scriptless, own_address)
    adopt_and_do(scriptless, book)
    scriptless.get_by_role("button", name="Plan anew").click()
    expect(scriptless.locator("#plan")).to_be_visible()
    scriptless.get_by_role("button", name="Take the plan back").click()
    expect(scriptless.locator("#plan")).to_contain_text("No plan waits.")


def test_a_wrong_entry_is_said_at_its_field_without_loading(page: Page, own_address: str) -> None:
    show(page, f"{own_address}/kegs/K3", PHONE)
    page.evaluate("window.stays = true")
    page.get_by_role("button", name="Adopt: ").first.click()
    page.locator("summary").filter(has_text="Done otherwise").first.click()
    page.get_by_label("What the gauge shows").first.fill("5 gal")
    page.get_by_role("button", name="Write it down").first.click()
    wrong = page.locator("[aria-invalid=true]")
    expect(wrong).to_be_visible()
    expect(wrong).to_have_value("5 gal")
    assert page.evaluate("window.stays") is True
    no_barriers(page)


@pytest.mark.parametrize("path", PAGES)
def test_no_barriers_and_nothing_sticks_out(page: Page, lived_in: str, path: str) -> None:
    page.goto(lived_in + path)
    for fold in page.locator("main details").all():
        fold.evaluate("one => one.open = true")
    for size, scheme in LOOKS:
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        page.set_viewport_size({"width": size[0], "height": size[1]})
        no_barriers(page)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        assert sticking_out(page)[0] == 0, width


@pytest.mark.parametrize("path", PAGES)
def test_a_thumb_hits_every_target(page: Page, lived_in: str, path: str) -> None:
    show(page, lived_in + path, PHONE)
    small = page.evaluate(
        """() => [...document.querySelectorAll("main a, main button, main input, main select")]
          .filter((one) => one.checkVisibility() && one.type !== "hidden")
          .filter((one) => (one.closest("label") ?? one).getBoundingClientRect().height < 43.5)
          .map((one) => one.outerHTML.slice(0, 90))"""
    )
    assert small == []


def test_only_what_is_needed_of_a_filling_is_shown(page: Page, lived_in: str) -> None:
    show(page, f"{lived_in}/kegs/K4/fill", PHONE)
    expect(page.get_by_label("How many times?")).to_be_hidden()
    page.get_by_label("Purged: charged").select_option("after")
    expect(page.get_by_label("How many times?")).to_be_visible()
    page.get_by_label("Which beer?").select_option("Cellar Stout")
    expect(page.get_by_label("Its name")).to_be_hidden()


def test_the_timeline_is_readable_on_a_phone(page: Page, lived_in: str) -> None:
    show(page, f"{lived_in}/kegs/K1", PHONE)
    smallest = page.evaluate(
        """() => { const svg = document.querySelector("figure svg");
          return 11 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width; }"""
    )
    assert smallest > 9.5  # pixels, as for the other charts
