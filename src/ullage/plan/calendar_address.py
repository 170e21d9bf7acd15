"""The secret part of the calendar's address: whoever has it can read the calendar, no one else.

Kept beside the log. Taking it back leaves the old address leading nowhere; a new one is another.
"""

from __future__ import annotations

from hmac import compare_digest
from secrets import token_urlsafe
from typing import Final

from ullage.cellar.store import Store

DOCUMENT: Final = "calendar address"
"""The name under which the store keeps the secret; an empty text: there is none."""
SECRET_BYTES: Final = 24


def secret(store: Store) -> str:
    """The secret that holds now, "" where none was made or it was taken back."""
    kept = store.get_document(DOCUMENT)
    return kept.text if kept else ""


def make_secret(store: Store) -> str:
    """Make a new secret of 192 random bits; an earlier one leads nowhere from now on."""
    made = token_urlsafe(SECRET_BYTES)
    store.put_document(DOCUMENT, made)
    return made


def take_back(store: Store) -> None:
    """Let no secret hold any more."""
    if secret(store):
        store.put_document(DOCUMENT, "")


def opens(store: Store, told: str) -> bool:
    """Whether what an address tells is the secret; takes as long for any wrong one."""
    kept = secret(store)
    return bool(kept) and compare_digest(kept.encode(), told.encode())
