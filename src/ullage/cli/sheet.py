"""The whole answer for a system file: in the terminal, or served as a page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from ullage.cli.options import Json, StoreAddress, Units
from ullage.cli.saying import print_json
from ullage.cli.stores import IN_MEMORY, now, opened

if TYPE_CHECKING:
    from ullage.system.model import System

Host = Annotated[str, typer.Option(help="Address to serve at; leave it on loopback.")]
Port = Annotated[int, typer.Option(min=0, max=65535, help="Port to serve at; 0 picks a free one.")]
BasePath = Annotated[str, typer.Option(help='Where a proxy mounts the pages, as "/beer".')]


def plan(
    file: Annotated[Path, typer.Argument(help="A system file (TOML).")],
    start: Annotated[
        str | None, typer.Option(help="When carbonation begins, as 2026-11-25T18:00. Default: now.")
    ] = None,
    units: Units = None,
    json: Json = False,
    svg: Annotated[Path | None, typer.Option(help="Write the charts into this folder.")] = None,
) -> None:
    """Give the whole answer for a system: set, carbonate, pour, gas, what does not fit."""
    from ullage import typed
    from ullage.plan.whole import whole_answer
    from ullage.system.file import load_system

    system = load_system(file)
    answer = whole_answer(system, start=typed.moment(start))
    shown = typed.unit_system(units) or system.units
    if svg is not None:
        _write_charts(answer, shown, svg)
    if json:
        print_json(answer)
        return
    from ullage.draw.terminal import print_plan

    print_plan(answer, shown)


def serve(
    file: Annotated[
        Path | None, typer.Argument(help="A system file to try out; left out: your log.")
    ] = None,
    host: Host = "127.0.0.1",
    port: Port = 8420,
    store: StoreAddress = None,
    base_path: BasePath = "",
) -> None:
    """Serve the pages of your log, on this machine only unless told otherwise.

    With a system file they show that, and forget what is recorded on them.
    """
    from ullage.system.file import load_system

    if file is not None:
        _serve_tried(
            load_system(file), file.read_bytes().decode("utf-8-sig"), At(host, port, base_path)
        )
        return
    from ullage.web.serve import serve_store

    with opened(store, make=True) as there:
        serve_store(there, there.where, host, port, base_path)


def demo(host: Host = "127.0.0.1", port: Port = 8420) -> None:
    """Answer for the demo system in the terminal, then serve its pages."""
    from ullage import typed
    from ullage.draw.terminal import print_plan
    from ullage.plan.whole import whole_answer
    from ullage.system.demo import demo_system, demo_text

    system = demo_system(typed.today())
    print_plan(whole_answer(system), system.units)
    _serve_tried(system, demo_text(typed.today()), At(host, port))


class At(NamedTuple):
    """Where to serve: the address, the port, and the path a proxy mounts it at."""

    host: str
    port: int
    base_path: str = ""


def _serve_tried(system: System, text: str, where: At) -> None:
    """Serve a system in a store in memory, which is gone when it ends."""
    from ullage.plan.begin import begin
    from ullage.web.serve import serve_store

    with opened(IN_MEMORY, make=True) as store:
        begin(store, system, text, now(), now())
        serve_store(store, system.name, where.host, where.port, where.base_path)


def _write_charts(answer: Any, shown: Any, folder: Path) -> None:
    from ullage.draw.files import write_charts

    for path in write_charts(answer, shown, folder):
        typer.echo(f"wrote {path}", err=True)
