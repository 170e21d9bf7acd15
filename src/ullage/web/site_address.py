"""The address that a site is reached at, as one types it: read, made whole, and what it is worth.

It is what the codes on labels begin with, so that a phone finds the page of a keg.
"""

from __future__ import annotations

import ipaddress
import re
from typing import Final
from urllib.parse import SplitResult, quote, urlsplit

from ullage.errors import AddressError
from ullage.units import shown

LONGEST: Final = 200
EXAMPLE: Final = "http://192.168.1.20:8420"
_HOST: Final = re.compile(r"[a-z0-9]([a-z0-9._-]*[a-z0-9])?\.?")


def site_address(text: str) -> str:
    """Give the address whole, without a slash at its end; where no scheme is told, it is http.

    Raises `AddressError`.

    >>> site_address("Garage.local:8420/"), site_address("https://bräu.example/beer")
    ('http://garage.local:8420', 'https://xn--bru-rla.example/beer')
    """
    typed = text.strip()
    if not typed or len(typed) > LONGEST or re.search(r"\s", typed):
        raise AddressError(_wrong(typed, f"one address without blanks, up to {LONGEST} characters"))
    found, port = _split(typed if "://" in typed else f"http://{typed}", typed)
    if found.scheme not in ("http", "https"):
        raise AddressError(_wrong(typed, "http or https at its front"))
    if "@" in found.netloc:
        raise AddressError(_wrong(typed, "no name and no password: everyone can read a label"))
    if found.query or found.fragment:
        raise AddressError(_wrong(typed, "the site alone, without ? or #"))
    path = quote(found.path.rstrip("/"), safe="/%:@!$&'()*+,;=~")
    return f"{found.scheme}://{_host(found.hostname or '', typed)}{port}{path}"


def path_of(address: str) -> str:
    """The path that a site lives below, "" or "/beer"."""
    return urlsplit(address).path


def is_loopback(address: str) -> bool:
    """Whether an address leads back to the very machine that asks for it.

    >>> is_loopback("http://127.0.0.1:8420"), is_loopback("http://192.168.1.20:8420")
    (True, False)
    """
    host = (urlsplit(address).hostname or "").rstrip(".")
    if host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        found = ipaddress.ip_address(host)
    except ValueError:
        return False
    return found.is_loopback or found.is_unspecified


def _split(whole: str, typed: str) -> tuple[SplitResult, str]:
    """The parts of an address, and its port as it stands in one."""
    try:
        found = urlsplit(whole)
        port = found.port
    except ValueError:
        raise AddressError(_wrong(typed, "a host, and a port from 1 to 65535")) from None
    return found, "" if port is None else f":{port}"


def _host(host: str, typed: str) -> str:
    if ":" in host:
        try:
            return f"[{ipaddress.IPv6Address(host)}]"
        except ValueError:
            raise AddressError(_wrong(typed, "an IPv6 address in its brackets")) from None
    try:
        plain = host.encode("idna").decode() if host else ""
    except UnicodeError:
        plain = ""
    if not _HOST.fullmatch(plain):
        raise AddressError(_wrong(typed, "the name or number of a machine"))
    return plain


def _wrong(typed: str, right: str) -> str:
    return f"{shown(typed)} is no address of a site: write {right}, as {EXAMPLE}"
