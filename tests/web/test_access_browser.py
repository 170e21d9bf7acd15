"""Coming in and going out in a real browser: the first account, each role, a session that ended."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.web.looks import SIZES, Scheme, every_scheme, every_size, no_barriers, show, sticking_out
from tests.web.people import PASSWORD, PEOPLE, with_people
from tests.web.serving import served
from ullage.cellar import accounts, sessions
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.gate import COOKIE, Gate, new_code

NAME = "beer.test"
"""A name that is turned to loopback for one browser: by it a page is no secure context, as by a
home network's address."""


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@pytest.fixture
def gate(book: Book) -> Gate:
    return with_people(book)


@pytest.fixture
def guarded(book: Book, gate: Gate) -> Iterator[str]:
    with served(create_app(book, gate=gate)) as address:
        yield address


@pytest.fixture
def new_address(book: Book) -> Iterator[tuple[str, str]]:
    """Pages that nobody has an account for yet, and the code in the terminal."""
    code = new_code()
    with served(create_app(book, gate=Gate(book, code=code))) as address:
        yield address, code


def come_in(context: BrowserContext, address: str, book: Book, name: str) -> None:
    """Log in without the form."""
    secret = sessions.begin(book.store, name, book.clock())
    context.add_cookies([{"name": COOKIE, "value": secret, "url": address}])


def log_in(page: Page, name: str, password: str = PASSWORD) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Log in").click()


def test_the_first_account_then_out_and_in_again(
    page: Page, new_address: tuple[str, str], book: Book
) -> None:
    address, code = new_address
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    show(page, f"{address}/kegs", SIZES[0])
    expect(page.get_by_role("heading", level=1)).to_have_text("The first account")
    page.get_by_label("Code").fill(code.upper())
    page.get_by_label("Your name here").fill("Ann")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("The same again").fill(PASSWORD)
    page.get_by_role("button", name="Make it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Three taps in the garage")
    assert [one.role for one in accounts.every(book.store)] == ["keeper"]
    page.get_by_role("link", name="Accounts").click()
    expect(page.locator(".lead")).to_have_text("1 person may log in here.")
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")  # kept by nobody
    log_in(page, "Ann")
    expect(page.get_by_role("link", name="Ann: your password")).to_be_visible()
    assert len(complaints) == 1  # what the logout had it forget
    assert "Cleared data types" in complaints[0]


def test_after_a_login_one_is_where_one_wanted_to_be(page: Page, guarded: str) -> None:
    show(page, f"{guarded}/kegs/K1?units=metric")
    log_in(page, "Ann", "wrong")
    expect(page.locator(".error")).to_have_text("That name and password do not go together.")
    log_in(page, "Ann")
    expect(page).to_have_url(f"{guarded}/kegs/K1?units=metric")


def test_a_helper_writes_down_a_pour_and_is_offered_no_plans(
    page: Page, guarded: str, book: Book
) -> None:
    come_in(page.context, guarded, book, "Hal")
    show(page, f"{guarded}/kegs/K1")
    page.get_by_role("link", name="Say what happened").click()
    page.get_by_role("button", name="Poured a pint").click()
    expect(page.get_by_role("status")).to_contain_text("keg K1 poured")
    for path in ("/kegs/K1", "/", "/system", "/upkeep", "/log", "/brew", "/readings"):
        show(page, f"{guarded}{path}")
        expect(
            page.get_by_role("button", name=re.compile("Adopt|Plan anew|Save it|token"))
        ).to_have_count(0)
        expect(page.get_by_role("link", name=re.compile("Accounts|Take it along"))).to_have_count(0)
    show(page, f"{guarded}/data")
    expect(page.get_by_role("heading", level=1)).to_have_text("Not yours to do")
    expect(page.locator(".message")).to_contain_text("Hal is a helper here")
    expect(page.get_by_role("navigation", name="Sheets")).to_be_visible()


def test_a_guest_looks_on(page: Page, guarded: str, book: Book) -> None:
    come_in(page.context, guarded, book, "Gus")
    show(page, guarded, SIZES[0])
    expect(page.get_by_role("button", name=re.compile("Done|Undo|Seen"))).to_have_count(0)
    page.get_by_role("navigation", name="Parts").get_by_role("link", name="K1").click()
    expect(page.get_by_role("dialog")).to_contain_text("What is known of it now")
    expect(page.get_by_role("dialog").get_by_role("button")).to_have_count(1)  # Close


def test_who_was_logged_out_elsewhere_is_led_to_the_login(
    page: Page, guarded: str, book: Book
) -> None:
    """Not into a part of the page that asked by script."""
    come_in(page.context, guarded, book, "Ann")
    show(page, f"{guarded}/?units=us")
    accounts.set_password(book.store, "Ann", "nine more wooden casks")
    page.get_by_role("navigation", name="Parts").get_by_role("link", name="K1").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    log_in(page, "Ann", "nine more wooden casks")
    expect(page).to_have_url(f"{guarded}/?units=us")


def test_a_form_that_was_sent_too_late_is_sent_again_by_reloading(
    page: Page, guarded: str, book: Book
) -> None:
    come_in(page.context, guarded, book, "Ann")
    show(page, f"{guarded}/upkeep")
    accounts.set_password(book.store, "Ann", "nine more wooden casks")
    page.get_by_role("button", name="Done: Have the cylinder tested").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("You are logged out")
    other = page.context.new_page()
    other.goto(guarded)
    log_in(other, "Ann", "nine more wooden casks")
    page.reload()
    expect(page.get_by_role("status")).to_contain_text("upkeep done: requalify")


@pytest.fixture
def by_name(
    launch_browser: Callable[..., Browser], browser_type_launch_args: dict[str, Any]
) -> Iterator[Browser]:
    """A browser to which `NAME` is this machine."""
    args = [*browser_type_launch_args["args"], f"--host-resolver-rules=MAP {NAME} 127.0.0.1"]
    browser = launch_browser(args=args)
    yield browser
    browser.close()


def test_at_home_without_a_certificate_forms_are_taken(by_name: Browser, guarded: str) -> None:
    """There a browser says by `Origin` alone whose page a form is of, and by its referrer policy
    whether it says that at all."""
    page = by_name.new_page()
    page.goto(guarded.replace("127.0.0.1", NAME))
    assert page.evaluate("isSecureContext") is False
    log_in(page, "Ann")
    expect(page.get_by_role("heading", level=1)).to_have_text("Three taps in the garage")
    page.get_by_role("navigation", name="Parts").get_by_role("link", name="K1").click()
    page.get_by_role("button", name="Poured a pint").click()
    expect(page.get_by_role("status")).to_contain_text("keg K1 poured")
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")


def test_another_sites_page_logs_nobody_out(by_name: Browser, guarded: str, book: Book) -> None:
    context = by_name.new_context()
    come_in(context, guarded.replace("127.0.0.1", NAME), book, "Ann")
    page = context.new_page()
    page.route(
        "http://evil.example/",
        lambda route: route.fulfill(
            content_type="text/html",
            body=f'<form method="post" action="{guarded.replace("127.0.0.1", NAME)}/logout">'
            "<button>Win</button></form>",
        ),
    )
    page.goto("http://evil.example/")
    page.get_by_role("button", name="Win").click()
    expect(page.locator("body")).to_have_text(
        "This came from another site's page; nothing was done."
    )
    page.goto(guarded.replace("127.0.0.1", NAME))
    expect(page.get_by_role("button", name="Log out")).to_be_visible()


@pytest.mark.parametrize("path", ["/login", "/own-password", "/accounts", "/", "/readings"])
@every_size
@every_scheme
def test_no_barriers(
    page: Page, guarded: str, book: Book, path: str, size: tuple[int, int], scheme: Scheme
) -> None:
    if path != "/login":
        come_in(page.context, guarded, book, "Ann")
    page.emulate_media(color_scheme=scheme)
    show(page, guarded + path, size)
    for one in page.locator("details").all():
        one.evaluate("one => { one.open = true; }")
    no_barriers(page)
    assert sticking_out(page) == [0, []]


@every_size
@every_scheme
def test_no_barriers_at_the_first_account_and_where_one_may_not(
    page: Page,
    new_address: tuple[str, str],
    book: Book,
    size: tuple[int, int],
    scheme: Scheme,
) -> None:
    page.emulate_media(color_scheme=scheme)
    show(page, f"{new_address[0]}/first-account", size)
    page.get_by_role("button", name="Make it").click()
    expect(page.locator(".error")).to_be_visible()
    for path, name in (("/first-account", ""), ("/data", "Gus"), ("/kegs/K1", "Gus")):
        if name and not accounts.every(book.store):
            for each, role in PEOPLE.items():
                accounts.make(book.store, each, PASSWORD, role)
            come_in(page.context, new_address[0], book, name)
        if name:
            show(page, new_address[0] + path, size)
        no_barriers(page)
        assert sticking_out(page) == [0, []]


def test_the_way_out_is_not_printed(page: Page, guarded: str, book: Book) -> None:
    come_in(page.context, guarded, book, "Ann")
    show(page, guarded)
    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Log out")).to_be_hidden()


def test_without_scripts_one_comes_in_and_goes_out(browser: Browser, guarded: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{guarded}/kegs")
    log_in(page, "Hal")
    expect(page).to_have_url(f"{guarded}/kegs")
    page.get_by_role("button", name="Log out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log in")
    context.close()
