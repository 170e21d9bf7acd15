"""The whole answer for a system file: in the terminal, or served as a page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ullage.cli.options import Json, StoreAddress, Units
from ullage.cli.saying import print_json, refuse
from ullage.cli.stores import IN_MEMORY, cellar_asked, cellar_name, now, opened

if TYPE_CHECKING:
    from ullage.system.model import System
    from ullage.web.serve import Serving

Host = Annotated[str, typer.Option(help="Address to serve at; others than loopback need a login.")]
Port = Annotated[int, typer.Option(min=0, max=65535, help="Port to serve at; 0 picks a free one.")]
HostNames = Annotated[
    list[str] | None,
    typer.Option(help="A name besides those of this machine that browsers may ask for it by."),
]
BasePath = Annotated[str, typer.Option(help='Where a proxy mounts the pages, as "/beer".')]
Login = Annotated[bool, typer.Option("--login", help="Ask for a login on loopback, too.")]
FirstAccount = Annotated[
    bool,
    typer.Option("--first-account", help="Let the first account be made in a browser, by a code."),
]
Anyone = Annotated[
    bool,
    typer.Option(
        "--let-anyone-in", help="No login: whoever reaches it may read and change everything."
    ),
]
Certificate = Annotated[Path | None, typer.Option(help="Certificate (PEM) to serve https with.")]
Key = Annotated[Path | None, typer.Option(help="Its private key (PEM).")]
Club = Annotated[
    bool,
    typer.Option("--club", help="Every household of the store, each at /c/NAME/ with its login."),
]
Cellars = Annotated[
    str | None, typer.Option("--cellars", help="The same of these alone, with commas between.")
]
Workers = Annotated[
    int, typer.Option("--workers", min=1, max=64, help="How many processes serve the pages.")
]
Https = Annotated[bool, typer.Option("--https", help="A proxy before it speaks https.")]


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
    host_name: HostNames = None,
    login: Login = False,
    first_account: FirstAccount = False,
    let_anyone_in: Anyone = False,
    certificate: Certificate = None,
    key: Key = None,
    https: Https = False,
    club: Club = False,
    cellars: Cellars = None,
    workers: Workers = 1,
) -> None:
    """Serve the pages of your log, on this machine only unless told otherwise.

    With a system file they show that, and forget what is recorded on them.
    """
    from ullage.system.file import load_system
    from ullage.web.serve import Serving, serve_club, serve_store

    how = Serving(
        host=host,
        port=port,
        base_path=base_path,
        host_names=tuple(host_name or ()),
        login=login,
        first_account=first_account,
        anyone=let_anyone_in,
        certificate=certificate,
        key=key,
        https=https,
        workers=workers,
    )
    if club or cellars is not None:
        names = _names_of(file, cellars)
        with opened(store, make=True) as there:
            serve_club(there, names, how)
        return
    if file is not None:
        _serve_tried(load_system(file), file.read_bytes().decode("utf-8-sig"), how)
        return
    with opened(store, make=True) as there:
        serve_store(there, there.where, how)


def _names_of(file: Path | None, cellars: str | None) -> tuple[str, ...]:
    """The cellars of a club that were named; none: all."""
    if file is not None or cellar_asked() is not None:
        refuse("a club serves the cellars of a store: leave out the system file and --cellar")
    if cellars is None:
        return ()
    return tuple(cellar_name(one.strip()) for one in cellars.split(","))


def demo(
    host: Host = "127.0.0.1",
    port: Port = 8420,
    host_name: HostNames = None,
    let_anyone_in: Anyone = False,
) -> None:
    """Answer for the demo system in the terminal, then serve its pages."""
    from ullage import typed
    from ullage.draw.terminal import print_plan
    from ullage.plan.whole import whole_answer
    from ullage.system.demo import demo_system, demo_text
    from ullage.web.serve import Serving

    system = demo_system(typed.today())
    how = Serving(host=host, port=port, host_names=tuple(host_name or ()), anyone=let_anyone_in)
    _serve_tried(
        system,
        demo_text(typed.today()),
        how,
        lambda: print_plan(whole_answer(system), system.units),
    )


def _serve_tried(
    system: System, text: str, how: Serving, first: Callable[[], None] = lambda: None
) -> None:
    """Serve a system in a store in memory, which is gone when it ends.

    `first`: what is done before, unless it cannot be served so.
    """
    from ullage.plan.begin import begin
    from ullage.web.book import Book
    from ullage.web.serve import gate_of, serve_store

    with opened(IN_MEMORY, make=True) as store:
        begin(store, system, text, now(), now())
        gate_of(Book(store), how)  # refused before anything is told
        first()
        serve_store(store, system.name, how)


def _write_charts(answer: Any, shown: Any, folder: Path) -> None:
    from ullage.draw.files import write_charts

    for path in write_charts(answer, shown, folder):
        typer.echo(f"wrote {path}", err=True)
