"""The household's own intervals: a rule done more or less often, or switched off.

Kept as a text beside the log (`DOCUMENT`), one JSON object with the changed rules by name:
`{"clean line": {"days": 21}, "faucet": {"off": true}}`.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Annotated, Final

from pydantic import BaseModel, ConfigDict, Field, StrictBool

from ullage.cellar.store import Store
from ullage.errors import StoreError
from ullage.plan.kept_text import KeptText
from ullage.system import upkeep_rules
from ullage.system.parts import unknown
from ullage.system.upkeep_rules import Days, Fills, Litres, Rule, Years

DOCUMENT: Final = "upkeep"
"""The name under which the store keeps the changes."""


class Change(BaseModel):
    """How often instead: any of these replaces all of the rule's intervals. Or `off`."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    days: Days | None = None
    years: Years | None = None
    kegs: Fills | None = None
    litres: Litres | None = None
    off: StrictBool = False

    @property
    def intervals(self) -> dict[str, float | int | None]:
        """What it says of how often; all `None` where it says nothing of it."""
        return {"days": self.days, "years": self.years, "kegs": self.kegs, "litres": self.litres}


class Changes(BaseModel):
    """The changed rules by name."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    rules: Annotated[dict[str, Change], Field(max_length=100)] = {}


NO_CHANGES: Final = Changes()
KEPT: Final = KeptText(DOCUMENT, NO_CHANGES, "the kept changes to upkeep", "their start")


def in_force(changes: Changes) -> tuple[Rule, ...]:
    """The catalogue's rules with the household's intervals, without those switched off."""
    found = []
    for rule in upkeep_rules.rules():
        change = changes.rules.get(rule.name, Change())
        if change.off:
            continue
        own = any(change.intervals.values())
        update = {**change.intervals, "changed": True}
        found.append(rule.model_copy(update=update) if own else rule)
    return tuple(found)


def rule_of(name: str, changes: Changes = NO_CHANGES) -> Rule:
    """The rule of that name, with the household's intervals. Raises `UnknownName`."""
    known = MappingProxyType({one.name: one for one in upkeep_rules.rules()})
    if name not in known:
        raise unknown("task of upkeep", name, known)
    return {**known, **{one.name: one for one in in_force(changes)}}[name]


def changes_of(store: Store) -> Changes:
    """The changes that a store keeps. Raises `StoreError` where they cannot be read."""
    return KEPT.read(store)[0]


def change(store: Store, name: str, wanted: Change | None) -> Changes:
    """Keep a change of one rule, `None` for back to the catalogue's. Raises `UnknownName`."""
    rule = rule_of(name)
    counted = wanted is not None and (wanted.kegs or wanted.litres)
    if counted and rule.of not in ("keg", "tap"):
        raise StoreError(f"{rule.title}: kegs and litres can be counted for kegs and taps only")
    kept = {key: one for key, one in changes_of(store).rules.items() if key != name}
    if wanted is not None:
        kept[name] = wanted
    changes = Changes(rules=kept)
    store.put_document(DOCUMENT, changes.model_dump_json(exclude_defaults=True))
    return changes
