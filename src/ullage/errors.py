"""Every error Ullage raises on purpose: what was wrong, where, and what would be right."""

from typing import Final

LONGEST_LINE: Final = 10_000


def one_line(text: str) -> str:
    """A sentence that bears what somebody sent, fit for a terminal: nothing in it but letters.

    >>> one_line("no such kind: \\x1b[31m\\n")
    'no such kind:  [31m '
    """
    letters = "".join(one if one.isprintable() else " " for one in text[: LONGEST_LINE + 1])
    return letters if len(letters) <= LONGEST_LINE else f"{letters[:LONGEST_LINE]}…"


class UllageError(Exception):
    """The root: catch this to catch all of ours and nothing else. Its message is one line."""

    def __str__(self) -> str:
        """The message, without anything that somebody sent to move a terminal's cursor by."""
        return one_line(super().__str__())


class OutOfRange(UllageError):
    """A number that physics or a rating does not allow."""


class UnitError(UllageError):
    """A text that is not a quantity of the kind that was expected."""


class SystemFileError(UllageError):
    """A system file that cannot be read as one; the message names the key, the value, the line."""


class PriceBookError(UllageError):
    """A price book that cannot be read as one; the message names the key and the value."""


class UnknownName(UllageError):
    """A name that the catalogue or the system does not have; the message offers those it has."""


class EventError(UllageError):
    """An event that cannot be read, or that cannot have happened as told."""


class AddressError(UllageError):
    """A text that is not the address of a site."""


class AccessError(UllageError):
    """An account, a password or a role that is not taken; the message says what would be."""


class StoreError(UllageError):
    """A store that cannot be opened, read or written; the message says what to do."""


class Conflict(StoreError):
    """Someone else wrote to the same stream meanwhile: read it again and decide anew."""
