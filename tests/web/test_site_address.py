"""The address of a site as one types it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import AddressError
from ullage.web.site_address import is_loopback, path_of, site_address


@pytest.mark.parametrize(
    ("typed", "whole"),
    [
        ("192.168.1.20:8420", "http://192.168.1.20:8420"),
        (" https://Beer.Example/ ", "https://beer.example"),
        ("http://[fe80::1]:8420/beer/", "http://[fe80::1]:8420/beer"),
        ("http://x/bräu", "http://x/br%C3%A4u"),
        ("http://x/a%20b", "http://x/a%20b"),
        # published: RFC 3492 gives such names for "ü"; here by Python's own codec
        ("bücher.example", "http://xn--bcher-kva.example"),
    ],
)
def test_it_is_made_whole(typed: str, whole: str) -> None:
    assert site_address(typed) == whole
    assert site_address(whole) == whole


@pytest.mark.parametrize(
    "typed",
    [
        *("", "http://", "a b", "ftp://x", "http://x:99999", "http://x:port", "http://u:p@x"),
        *("http://x?q", "http://x#f", "http://[1]", "x" * 201, "http://<x>", "//", "http:///path"),
    ],
)
def test_what_is_none_is_refused(typed: str) -> None:
    with pytest.raises(AddressError, match="is no address of a site: write"):
        site_address(typed)


@given(st.text(max_size=60))
def test_nothing_but_an_address_comes_out(typed: str) -> None:
    try:
        found = site_address(typed)
    except AddressError:
        return
    assert found.isascii()
    assert found.startswith(("http://", "https://"))
    assert not set(found) & set(' "<>\\^`{|}\n')
    assert site_address(found) == found


def test_loopback_is_known() -> None:
    for host in ("127.0.0.1", "127.9.9.9", "localhost", "me.localhost", "[::1]", "0.0.0.0"):
        assert is_loopback(f"http://{host}:8420")
    for host in ("192.168.1.20", "garage.local", "localhost.example", "[fe80::1]"):
        assert not is_loopback(f"http://{host}:8420")
    assert path_of("http://x/beer") == "/beer"
