"""What each model's section is made of, and how it is written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scripts.models_page.checks import Check, check_table, table
from ullage.physics import constants, fitted
from ullage.physics.constants import Constant


@dataclass(frozen=True, slots=True)
class Section:
    """One model. `constants` are names in the physics; `notes` come after the checks."""

    title: str
    module: str
    says: str
    equation: str
    source: str
    valid: str
    constants: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()
    notes: str = ""


def written(section: Section, pictures: Sequence[str] = ()) -> str:
    """The section as Markdown; `pictures`: as Markdown, to stand below the checks."""
    parts = [
        f"## {section.title}",
        section.says,
        f"```text\n{section.equation.strip()}\n```",
        f"Source: {section.source} Code: `{section.module}`.",
        f"Good for: {section.valid}",
    ]
    if section.constants:
        parts.append(constants_table(section.constants))
    if section.checks:
        parts.append(check_table(section.checks))
    parts += pictures
    return "\n\n".join([*parts, section.notes] if section.notes else parts)


def constants_table(names: tuple[str, ...]) -> str:
    """Name, value, standard deviation, unit and source of each constant."""
    every = all_constants()
    return table(
        ("Constant", "Value", "sd", "Unit", "Source"),
        [_row(name, every[name]) for name in names],
    )


def all_constants() -> dict[str, Constant]:
    """Every constant of the physics by name, the fitted one too."""
    return {
        name: value
        for module in (constants, fitted)
        for name, value in vars(module).items()
        if isinstance(value, Constant)
    }


def _row(name: str, constant: Constant) -> tuple[str, ...]:
    spread = f"{constant.sd:.4g}" if constant.sd else "–"
    value = f"{constant.value:.10g}"
    return (f"`{name}`", value, spread, constant.unit, constant.source)
