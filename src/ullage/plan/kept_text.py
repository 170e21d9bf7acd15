"""A text of one form that the store keeps beside the log: read, and changed by two at once.

Whoever changes it says which version was read; where someone else was quicker, it is read again and
decided anew.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from ullage.cellar.store import Store
from ullage.errors import Conflict, StoreError

TRIES: Final = 50
"""How often a change is made anew because someone else was quicker."""
Form = TypeVar("Form", bound=BaseModel)
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class KeptText(Generic[Form]):
    """The text called `document`, in the form of `empty`, which stands for one never written.

    `called`, `start`: the text and its beginning, as a message names them.
    """

    document: str
    empty: Form
    called: str
    start: str = "its start"

    def read(self, store: Store) -> tuple[Form, int]:
        """What a store keeps and its version, 0 for none. Raises `StoreError` where it is amiss."""
        kept = store.get_document(self.document)
        if kept is None:
            return self.empty, 0
        try:
            return type(self.empty).model_validate_json(kept.text), kept.version
        except ValidationError as wrong:
            first = wrong.errors(include_url=False)[0]
            where = ".".join(str(part) for part in first["loc"])
            raise StoreError(
                f"{self.called} cannot be read at {where or self.start}: {first['msg']}"
            ) from None

    def change(self, store: Store, changed: Callable[[Form], tuple[Form, Made]]) -> Made:
        """Make a change of what is kept, anew while others are quicker, and return what it made.

        Nothing is written where it stays as it was. Raises `Conflict` if others always are.
        """
        for attempt in range(TRIES):
            here, version = self.read(store)
            after, made = changed(here)
            if after == here:
                return made
            try:
                store.put_document(self.document, after.model_dump_json(), version)
            except Conflict:
                if attempt == TRIES - 1:
                    raise
                continue
            return made
        raise AssertionError("unreachable")
