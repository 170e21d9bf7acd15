"""A real server in a process of its own on loopback, over an invented year of four taps."""

from __future__ import annotations

import re
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit

from benchmarks.commands import ullage
from benchmarks.year import KEGS, KIND, TAPS, year
from ullage.cellar.store import Store
from ullage.plan.begin import SYSTEM_DOCUMENT

PATIENCE_S = 60.0
DAYS = 365
_HEAD = """\
name = "A year of four taps"
altitude = "120 m"

[[place]]
name = "keezer"
temperature = "277 K"

[[place]]
name = "room"
temperature = "293 K"

[[cylinder]]
name = "main"
size = "10 lb"
place = "room"

[[regulator]]
name = "regulator"
cylinder = "main"
pressure = "11 psi"
"""


def system_text() -> str:
    """What the year's household owns, as a system file."""
    kegs = [
        f'[[keg]]\nname = "{keg}"\nkind = "{KIND}"\nplace = "keezer"\nregulator = "regulator"\n'
        for keg in KEGS
    ]
    taps = [
        f'[[tap]]\nname = "{tap}"\nkeg = "{keg}"\nrise = "18 in"\n'
        'line = [{ length = "10 ft", bore = "3/16 in" }]\n'
        for tap, keg in zip(TAPS, KEGS, strict=False)
    ]
    return "\n".join((_HEAD, *kegs, *taps))


def fill(file: Path | str) -> int:
    """Make a store, by its file or its address, of the year up to now; how many events it has."""
    now = datetime.now().astimezone().replace(second=0, microsecond=0)
    with Store.open(str(file)) as store:
        store.put_document(SYSTEM_DOCUMENT, system_text())
        store.append(year(DAYS, until=now.replace(hour=0, minute=0)))
        return store.count()


@contextmanager
def served(file: Path | str, *options: str) -> Iterator[str]:
    """Serve a store, and give the address without a slash at its end."""
    with running(file, *options) as (address, _):
        yield address


@contextmanager
def running(file: Path | str, *options: str) -> Iterator[tuple[str, int]]:
    """As `served`, with the number of the process that was begun."""
    command = ullage("serve", "--port", "0", "--store", str(file), *options)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            said = process.stdout.readline()
            found = re.search(r"http://\S+[^/\s]", said)
            if found is None:
                raise RuntimeError(f"the server did not say where it is, but: {said!r}")
            _wait(found[0])
            yield found[0], process.pid
        finally:
            process.terminate()


def _wait(address: str) -> None:
    """Until it answers: it says where it is a moment before it listens."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            with closing(Reader(address)) as reader:
                reader.get("/healthz")
                return
        except ConnectionError:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)


class Reader:
    """One connection that is kept, as a browser's."""

    def __init__(self, address: str) -> None:
        self._connection = HTTPConnection(urlsplit(address).netloc, timeout=PATIENCE_S)

    def get(self, path: str, live: bool = False) -> bytes:
        """Read a page to its end. Raises `RuntimeError` where it is none."""
        headers = {"HX-Request": "true"} if live else {}
        return self._read("GET", path, None, headers)

    def post(self, path: str, body: str) -> bytes:
        """Send JSON and read the answer to its end."""
        return self._read("POST", path, body, {"Content-Type": "application/json"})

    def close(self) -> None:
        self._connection.close()

    def _read(self, method: str, path: str, body: str | None, headers: dict[str, str]) -> bytes:
        self._connection.request(method, path, body, headers)
        answer = self._connection.getresponse()
        content = answer.read()
        if answer.status not in (200, 201):
            raise RuntimeError(f"{method} {path}: {answer.status} {content[:200]!r}")
        return content
