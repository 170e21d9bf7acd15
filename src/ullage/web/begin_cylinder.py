"""The question of the first run about the cylinder, and what its two weights must be."""

from __future__ import annotations

from ullage.errors import UnitError
from ullage.system import parts
from ullage.system.cylinder import most_kg
from ullage.web import asked
from ullage.web.asked import Asked, AskedChoice, AskedQuantity, among, usually
from ullage.web.beer_questions import AskedDay
from ullage.web.begin_answers import units_of
from ullage.web.fields import Choice, Posted


def cylinder(answers: Posted) -> tuple[Asked, ...]:
    """Its size, its gas, where it stands, what it weighs and when it was tested."""
    place = answers.text("place") or "fridge"
    sizes = among(*(Choice(one.name, one.title) for one in parts.cylinder_sizes().values()))
    where = among(Choice("room", "outside, in the room"), Choice("inside", f"in the {place}"))
    usual = "5 lb" if units_of(answers) == "us" else "2 kg"
    return (
        AskedChoice(
            "size",
            "What does it hold?",
            begin=usually(usual),
            hint="As who sold or filled it says. Stamped on it is what it weighs empty.",
            offer=sizes,
        ),
        AskedQuantity(
            "co2",
            "CO2 in its gas",
            needed=False,
            hint="Of blended gas with nitrogen, as stout gas: 25. Empty: straight CO2.",
            measure=asked.CO2,
        ),
        AskedChoice("stands", "Where does it stand?", begin=usually("room"), offer=where),
        AskedQuantity("room_k", "How warm is the room?", begin=usually(293.15), measure=asked.ROOM),
        AskedQuantity(
            "gross",
            "On the scale",
            needed=False,
            hint="Without the regulator. Leave both empty for a full one.",
            measure=asked.MASS,
        ),
        AskedQuantity(
            "tare",
            "Empty weight",
            needed=False,
            hint="Stamped on the shoulder as TW or TARE.",
            measure=asked.MASS,
        ),
        AskedDay(
            "requalified",
            "Last test date",
            needed=False,
            hint="Stamped there too, month and year: take the first of that month. Empty: not "
            "known, read it before the cylinder is filled.",
        ),
    )


def weights_wrong(answers: Posted) -> dict[str, str]:
    """What is wrong with two weights that can be read, taken together, by field."""
    told = {name: answers.text(name) for name in ("gross", "tare")}
    if not any(told.values()):
        return {}
    missing = [name for name, text in told.items() if not text]
    if missing:
        return {missing[0]: "Say both weights, or leave both empty: one alone tells nothing."}
    try:
        gross, tare = (asked.MASS.read(text, units_of(answers)) for text in told.values())
    except UnitError:
        return {}  # told at its field
    if gross < tare:
        return {"gross": "That is less than the cylinder weighs empty: are the two exchanged?"}
    return _overfull(gross - tare, answers)


def _overfull(held_kg: float, answers: Posted) -> dict[str, str]:
    size = parts.cylinder_sizes().get(answers.text("size"))
    share = _share(answers)
    if size is None or share is None or held_kg <= most_kg(size.name, share):
        return {}
    gas = "CO2" if share >= 1.0 else "blended gas"
    holds = asked.MASS.write(held_kg, units_of(answers))
    unit = asked.MASS.unit(units_of(answers))
    return {
        "gross": f"These weights leave {holds} {unit} of {gas}, more than a {size.title} holds: "
        "check both and the size. If they are right it is overfilled: keep it cold and have the "
        "dealer take gas out before you use it."
    }


def _share(answers: Posted) -> float | None:
    """The CO2 in its gas, straight CO2 where nothing is told; `None` where that cannot be."""
    told = answers.text("co2")
    if not told:
        return 1.0
    try:
        return asked.CO2.read(told, units_of(answers))
    except UnitError:
        return None  # told at its field
