"""What happens to a keg and its beer: cleaned, filled, moved, tapped, poured, kicked."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.record.writing import Desk, Keg


def cleaned(
    desk: Desk,
    keg: Keg = None,
    stripped: Annotated[bool, typer.Option("--stripped", help="Taken apart.")] = False,
) -> None:
    """Cleaned: it is open, empty and full of air then."""
    from ullage.cellar.keg_events import KegCleaned

    desk.write(KegCleaned(keg=desk.keg(keg, False), stripped=stripped, **desk.when))


def sanitised(
    desk: Desk,
    keg: Keg = None,
    pushed: Annotated[
        bool, typer.Option("--pushed", help="Filled with sanitiser and pushed empty with CO2.")
    ] = False,
) -> None:
    """Sanitised, and perhaps pushed empty with gas."""
    from ullage.cellar.keg_events import KegSanitised

    desk.write(KegSanitised(keg=desk.keg(keg, False), pushed=pushed, **desk.when))


def filled(
    desk: Desk,
    batch: Annotated[str, typer.Argument(help='With which batch, as "Amber Ale".')],
    keg: Keg = None,
    volume: Annotated[
        str | None, typer.Option(help='How much, as "5 gal"; left out: its usual fill.')
    ] = None,
    net: Annotated[str | None, typer.Option(help='Or by weight of the beer, as "19 kg".')] = None,
    temperature: Annotated[
        str | None, typer.Option(help="Of the beer; left out: that of the keg's place.")
    ] = None,
    volumes: Annotated[str | None, typer.Option(help='Carbonation it came with, as "0.9".')] = None,
    warmest: Annotated[
        str | None, typer.Option(help='Or: the warmest since it fermented, as "68 degF".')
    ] = None,
    gravity: Annotated[
        float | None, typer.Option(help="If it still ferments: its gravity now, as 1.016.")
    ] = None,
    closed: Annotated[
        bool, typer.Option("--closed", help="Filled closed, into a keg purged of air.")
    ] = False,
    fermenter: Annotated[
        str | None, typer.Option(help="Drawn from which fermenter, where it was brewed here.")
    ] = None,
) -> None:
    """Filled with beer."""
    from ullage import typed
    from ullage.cellar.keg_events import Filled
    from ullage.plan import meant

    amount = None if volume is None else typed.beer_volume(volume)
    by_weight = None if net is None else typed.weight(net)
    warm = None if temperature is None else typed.temperature(temperature)
    level = None if volumes is None else typed.volumes(volumes)
    fermented = None if warmest is None else typed.temperature(warmest)
    name = desk.keg(keg, False)
    known = meant.keg_facts(desk.log, desk.asked.at, name)
    desk.write(
        Filled(
            keg=name,
            batch=batch,
            volume_m3=known.usual_fill_m3 if amount is None and by_weight is None else amount,
            net_kg=by_weight,
            temperature_k=known.place_k if warm is None else warm,
            start_vol=level,
            fermentation_k=fermented,
            gravity=gravity,
            air_purged=closed,
            fermenter=fermenter,
            **desk.when,
        )
    )


def moved(
    desk: Desk,
    place: Annotated[str, typer.Argument(help="Where to, as fridge.")],
    keg: Keg = None,
) -> None:
    """Taken to another place."""
    from ullage.cellar.keg_events import Moved

    desk.write(Moved(keg=desk.keg(keg, True), place=place, **desk.when))


def tapped(
    desk: Desk, tap: Annotated[str, typer.Argument(help="Which tap, as left.")], keg: Keg = None
) -> None:
    """Its beer line connected to a tap."""
    from ullage.cellar.keg_events import Tapped

    desk.write(Tapped(keg=desk.keg(keg, True), tap=tap, **desk.when))


def poured(
    desk: Desk,
    volume: Annotated[str, typer.Argument(help='How much, as "1 pint" or "0.4 L".')],
    keg: Keg = None,
    tap: Annotated[
        str | None, typer.Option(help="Or from which tap: the keg that is on it.")
    ] = None,
) -> None:
    """Beer drawn."""
    from ullage import typed
    from ullage.cellar.keg_events import Poured
    from ullage.errors import EventError

    amount = typed.beer_volume(volume)
    if keg is not None and tap is not None:
        raise EventError("give --keg or --tap, not both")
    drawn_from = desk.keg(keg, True) if tap is None else desk.keg_on(tap)
    desk.write(Poured(keg=drawn_from, volume_m3=amount, **desk.when))


def kicked(desk: Desk, keg: Keg = None) -> None:
    """Empty: gas came instead of beer."""
    from ullage.cellar.keg_events import Kicked

    desk.write(Kicked(keg=desk.keg(keg, True), **desk.when))
