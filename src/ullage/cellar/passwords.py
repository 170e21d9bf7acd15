"""Passwords: how they are kept, and which are too easily guessed to be taken.

Kept as Argon2id (pwdlib's recommended cost). What is taken follows OWASP ASVS 5.0 section 6.2: any
characters, eight at least, no rules of composition, none that stands on the lists of common ones.
"""

from __future__ import annotations

from functools import cache
from secrets import token_urlsafe
from threading import BoundedSemaphore
from typing import Final

from pwdlib import PasswordHash

from ullage.errors import AccessError

SHORTEST: Final = 8
LONGEST: Final = 256
GUESSED: Final = 72
"""Only so many characters are judged: judging takes longer than in proportion to them."""
LEAST_SCORE: Final = 2
"""On zxcvbn's scale of 0 to 4: withstands some 10^6 guesses at the least; each costs a third of a
second here, and five in a quarter of an hour are let through."""
_AT_ONCE: Final = BoundedSemaphore(2)
"""A hash takes 64 MiB while it is worked out: more at a time could use up a small machine."""


@cache
def _hasher() -> PasswordHash:
    return PasswordHash.recommended()


def hashed(password: str) -> str:
    """The text to keep of a password, of a salt of its own."""
    with _AT_ONCE:
        return _hasher().hash(password)


def is_right(password: str, kept: str) -> bool:
    """Whether it is the password that was kept. Takes its time on purpose, as long for any."""
    with _AT_ONCE:
        found = _hasher().verify(password[:LONGEST], kept)
    return found and len(password) <= LONGEST


@cache
def of_nobody() -> str:
    """What is kept of a password that nobody knows, to check against where there is no account."""
    return hashed(token_urlsafe(32))


def check(password: str, name: str) -> str:
    """Return a password that may be taken for an account. Raises `AccessError` with the reason."""
    if len(password) < SHORTEST:
        raise AccessError(f"a password has {SHORTEST} characters at least; a few words do well")
    if len(password) > LONGEST:
        raise AccessError(f"a password has {LONGEST} characters at most")
    if not _is_text(password):
        raise AccessError("that password is no text in UTF-8; type it anew")
    from zxcvbn import zxcvbn  # noqa: PLC0415  (its lists take a moment to load)

    judged = zxcvbn(password[:GUESSED], user_inputs=[name, "ullage", "cellar", "beer", "keg"])
    if judged["score"] < LEAST_SCORE:
        why = judged["feedback"]["warning"] or "it is easily guessed"
        raise AccessError(
            f"that password will not do: {why.rstrip('.').lower()}; take a longer one"
        )
    return password


def _is_text(password: str) -> bool:
    try:
        password.encode()
    except UnicodeEncodeError:
        return False
    return True
