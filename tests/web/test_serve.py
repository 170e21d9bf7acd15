"""Serving a store: on loopback only, below a path where a proxy wants it."""

from __future__ import annotations

import socket

import pytest

from ullage.errors import UllageError
from ullage.web.book import Book
from ullage.web.serve import serve_store


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.2", "example.com", "::"])
def test_what_others_can_reach_is_refused(book: Book, host: str) -> None:
    with pytest.raises(UllageError, match=r"no login; serve at 127\.0\.0\.1"):
        serve_store(book.store, "the demo", host, 0)


def test_a_port_that_is_taken_is_told(book: Book) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(UllageError, match="choose another with --port"):
            serve_store(book.store, "the demo", "127.0.0.1", taken.getsockname()[1])
