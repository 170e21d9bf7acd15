"""The Cellar in a real browser: two taps for a pint, with a script and without; no barriers."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.web.looks import LOOKS, SCHEMES, SIZES, look, no_barriers, sticking_out
from tests.web.made_up import fresh
from tests.web.printed import words_of
from tests.web.serving import served
from ullage.cellar.keg_events import Filled, KegWeighed, Poured
from ullage.web.app import create_app
from ullage.web.book import Book

PAGES = (
    "/",
    "/record/keg/K1",
    "/record/keg/K3/filled",
    "/record/tap/left",
    "/record/cylinder/main/leak-tested",
    "/log",
    "/system",
)
EMPTY_PAGES = (
    "/",
    "/begin",
    "/begin?at=3&go=back",
    "/begin?at=5&go=back",
    "/begin?at=7&go=back",
    "/begin?at=10&go=next&batch=5+gal&kegs=3",
    "/begin?at=0&go=next&altitude=high",
    "/begin/file",
)


@pytest.fixture(scope="module")
def empty_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(create_app(fresh(tmp_path_factory.mktemp("empty")))) as address:
        yield address


def keg_on_drawing(page: Page, name: str) -> Locator:
    return page.locator(f'.diagram a[href="/record/keg/{name}"] >> visible=true').first


@pytest.mark.parametrize("path", PAGES)
def test_no_barriers_and_nothing_sticks_out(page: Page, address: str, path: str) -> None:
    page.goto(address + path)
    for size, scheme in LOOKS:
        look(page, size, scheme)
        no_barriers(page)
        assert sticking_out(page) == [0, []]


@pytest.mark.parametrize("path", EMPTY_PAGES)
def test_no_barriers_at_the_beginning(page: Page, empty_address: str, path: str) -> None:
    page.goto(empty_address + path)
    for size, scheme in LOOKS:
        look(page, size, scheme)
        no_barriers(page)
        assert sticking_out(page) == [0, []]


@pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
def test_no_barriers_over_the_drawing(page: Page, address: str, size: tuple[int, int]) -> None:
    look(page, size, "light")
    page.goto(address)
    keg_on_drawing(page, "K1").click()
    dialog = page.locator("dialog#over")
    expect(dialog).to_be_visible()
    expect(dialog).to_have_accessible_name("Keg K1")
    no_barriers(page)
    dialog.get_by_role("link", name="Weighed").click()
    field = dialog.get_by_label("Keg and beer together")
    field.fill("heavy")
    dialog.get_by_role("button", name="Write it down").click()
    expect(dialog.locator(".error")).to_contain_text('"heavy"')
    expect(field).to_be_focused()
    expect(field).to_have_value("heavy")
    for scheme in SCHEMES:
        look(page, size, scheme)
        no_barriers(page)
    page.keyboard.press("Escape")
    expect(dialog).to_be_hidden()


@pytest.mark.parametrize("size", SIZES, ids=["phone", "desk"])
def test_a_pint_takes_two_taps_and_one_takes_it_back(
    page: Page, own_address: str, book: Book, size: tuple[int, int]
) -> None:
    look(page, size, "light")
    page.goto(own_address)
    keg_on_drawing(page, "K1").click()
    page.get_by_role("button", name="Poured a pint").click()
    notice = page.locator(".notice")
    expect(notice).to_contain_text("Written down: keg K1 poured 16 fl oz")
    assert isinstance(book.present().log[-1], Poured)
    no_barriers(page)
    notice.get_by_role("button", name="Undo").click()
    expect(page.locator(".notice")).to_contain_text("Taken back")


def test_a_weighing_and_a_fill_from_the_drawing(page: Page, own_address: str, book: Book) -> None:
    page.goto(own_address)
    dialog = page.locator("dialog#over")
    keg_on_drawing(page, "K2").click()
    dialog.get_by_role("link", name="Weighed").click()
    dialog.get_by_label("Keg and beer together").fill("28 lb")
    dialog.get_by_role("button", name="Write it down").click()
    expect(page.locator(".notice")).to_contain_text("weighed 28 lb")
    assert isinstance(book.present().log[-1], KegWeighed)
    keg_on_drawing(page, "K2").click()
    dialog.get_by_role("button", name="Kicked").click()
    expect(page.locator(".notice")).to_contain_text("kicked")
    keg_on_drawing(page, "K2").click()
    dialog.get_by_role("link", name="Filled").click()
    dialog.get_by_label("With which beer?").fill("Cellar Stout")
    dialog.get_by_role("button", name="Write it down").click()
    expect(page.locator(".notice")).to_contain_text("filled with 5 gal of Cellar Stout")
    assert isinstance(book.present().log[-1], Filled)


def test_the_same_without_a_script(scriptless: Page, own_address: str, book: Book) -> None:
    page = scriptless
    page.goto(own_address)
    keg_on_drawing(page, "K1").click()
    page.get_by_role("button", name="Poured a pint").click()
    expect(page.locator(".notice")).to_contain_text("poured 16 fl oz")
    page.get_by_role("button", name="Undo", exact=True).first.click()
    expect(page.locator(".notice")).to_contain_text("Taken back")
    page.goto(f"{own_address}/record/keg/K1/weighed")
    page.get_by_label("Keg and beer together").fill("heavy")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".error")).to_contain_text('"heavy"')
    page.get_by_label("Keg and beer together").fill("35")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".notice")).to_contain_text("weighed 35 lb")
    page.get_by_role("button", name="Blueprint").click()
    expect(page.locator("html")).to_have_attribute("data-theme", "blueprint")
    assert isinstance(book.present().log[-1], KegWeighed)


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_from_nothing_to_a_described_system(
    browser: Browser, empty_book: Book, script: bool
) -> None:
    context = browser.new_context(
        java_script_enabled=script, viewport={"width": 390, "height": 844}
    )
    page = context.new_page()
    with served(create_app(empty_book)) as address:
        page.goto(address)
        page.get_by_role("link", name="Describe mine").click()
        page.get_by_label("How high do you live?").fill("600 ft")
        page.get_by_role("button", name="Next").click()
        page.get_by_label("How cold is it kept?").fill("icy")
        page.get_by_role("button", name="Next").click()
        expect(page.locator(".error")).to_contain_text('"icy"')
        page.get_by_label("How cold is it kept?").fill("38")
        page.get_by_role("button", name="Next").click()
        page.get_by_label("How many kegs?").fill("3")
        page.get_by_role("button", name="Next").click()
        page.get_by_label("In keg K1").fill("Fence Ale")
        count = int(page.locator(".note").inner_text().split("of ")[1].split(";")[0])
        for number in range(5, count + 1):
            page.get_by_role("button", name="Next").click()
            expect(page.locator(".note")).to_have_text(f"Question {number} of {count}")
        page.get_by_role("button", name="Draw my system").click()
        expect(page.locator("h1")).to_have_text("My taps")
        expect(page.locator(".diagram .narrow")).to_contain_text("Fence Ale")
        expect(page.get_by_role("link", name="keg K3", exact=True)).to_be_visible()
    context.close()


def test_nothing_calls_home_and_nothing_is_blocked(page: Page, own_address: str) -> None:
    asked: list[str] = []
    complaints: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(own_address)
    keg_on_drawing(page, "K1").click()
    page.locator("dialog").get_by_role("link", name="Measured").click()
    page.get_by_label("Beer's temperature").fill("40")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".notice")).to_contain_text("measured")
    assert [url for url in asked if not url.startswith(own_address)] == []
    assert complaints == []


def test_it_lives_below_a_path_in_a_browser(page: Page, book: Book) -> None:
    with served(create_app(book, "/beer")) as address:
        page.goto(f"{address}/beer/")
        page.locator('.diagram a[href="/beer/record/keg/K1"] >> visible=true').first.click()
        page.get_by_role("button", name="Vented").click()
        expect(page.locator(".notice")).to_contain_text("vented")
        assert re.match(rf"{address}/beer/\?wrote=", page.url)


def test_targets_are_big_enough_for_a_thumb(page: Page, address: str) -> None:
    look(page, SIZES[0], "light")
    for path in ("/", "/record/keg/K1", "/record/keg/K3/filled", "/log"):
        page.goto(address + path)
        small = page.evaluate(
            """() => [...document.querySelectorAll("button, .button, a.tag, summary, "
                + "input:not([type=hidden]):not([type=checkbox]), select, nav a")]
              .filter((one) => one.checkVisibility())
              .filter((one) => one.getBoundingClientRect().height < 44)
              .map((one) => one.outerHTML.slice(0, 90))"""
        )
        assert small == []


def test_the_printed_sheet_bears_its_title_block(page: Page, address: str) -> None:
    page.goto(address)
    page.emulate_media(media="print")
    block = page.locator(".title-block")
    for words in ("Three taps in the garage", "Cellar", "Revision", "Date", "Units"):
        expect(block).to_contain_text(words)
    expect(page.locator(".look")).to_be_hidden()
    expect(page.locator("dialog")).to_be_hidden()
    page.set_viewport_size({"width": 720, "height": 1000})  # A4 less its margins, at 96 dpi
    assert sticking_out(page) == [0, []]
    printed = words_of(page.pdf(format="A4"))
    for words in ("Three taps in the garage", "Revision", "Units", "Cellar"):
        assert words in printed


def test_over_another_page_one_stays_there(page: Page, own_address: str) -> None:
    page.goto(f"{own_address}/log?of=keg%3AK1")
    page.evaluate(
        """() => {
          const link = document.createElement("a");
          link.href = "/record/keg/K1";
          link.dataset.over = "";
          link.textContent = "K1";
          document.querySelector("main").append(link);
        }"""
    )
    page.get_by_role("link", name="K1", exact=True).click()
    page.get_by_role("button", name="Poured a pint").click()
    expect(page.locator(".notice")).to_contain_text("poured 16 fl oz")
    assert page.url.startswith(f"{own_address}/log?of=keg%3AK1&wrote=")


def test_a_double_tap_writes_once(page: Page, own_address: str, book: Book) -> None:
    before = len(book.present().log)
    page.goto(f"{own_address}/record/keg/K1")
    page.get_by_role("button", name="Poured a pint").dblclick()
    expect(page.locator(".notice")).to_contain_text("poured 16 fl oz")
    assert len(book.present().log) == before + 1
