"""Ullage: one physical model of a home brewer's keg system.

The same answers as the command line gives, as typed objects; see `ullage.plan.answers`. Everything
is loaded when it is first asked for, so that `import ullage` costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from ullage._version import __version__

if TYPE_CHECKING:
    from ullage.plan.as_json import as_json
    from ullage.plan.share import share
    from ullage.plan.share_answer import ShareQuestion
    from ullage.plan.what_if import CarbonateQuestion, carbonate
    from ullage.plan.what_if_tap import (
        GasQuestion,
        LineQuestion,
        PourQuestion,
        gas_what_if,
        pour_what_if,
    )
    from ullage.plan.whole import whole_answer
    from ullage.system.file import load_system, parse_system
    from ullage.system.model import System

_HOMES = {
    "as_json": "ullage.plan.as_json",
    "carbonate": "ullage.plan.what_if",
    "CarbonateQuestion": "ullage.plan.what_if",
    "gas_what_if": "ullage.plan.what_if_tap",
    "GasQuestion": "ullage.plan.what_if_tap",
    "LineQuestion": "ullage.plan.what_if_tap",
    "pour_what_if": "ullage.plan.what_if_tap",
    "PourQuestion": "ullage.plan.what_if_tap",
    "share": "ullage.plan.share",
    "ShareQuestion": "ullage.plan.share_answer",
    "whole_answer": "ullage.plan.whole",
    "load_system": "ullage.system.file",
    "parse_system": "ullage.system.file",
    "System": "ullage.system.model",
}

__all__ = [
    "CarbonateQuestion",
    "GasQuestion",
    "LineQuestion",
    "PourQuestion",
    "ShareQuestion",
    "System",
    "__version__",
    "as_json",
    "carbonate",
    "gas_what_if",
    "load_system",
    "parse_system",
    "pour_what_if",
    "share",
    "whole_answer",
]


def __getattr__(name: str) -> Any:
    """Load what is asked for from the module that owns it."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'ullage' has no attribute {name!r}")
    return getattr(import_module(home), name)
