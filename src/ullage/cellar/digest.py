"""What is kept of a secret that only its holder has: its digest, by which it is known again."""

from __future__ import annotations

from hashlib import sha256


def digest(secret: str) -> str:
    """SHA-256 of a long random secret, in hex; a password wants more (`passwords`).

    >>> digest("secret")[:8]
    '2bb80d53'
    """
    return sha256(secret.encode("utf-8", "replace")).hexdigest()
