"""For every test: the log that commands use unless told is not one's own."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def _a_log_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep tests, and the processes they start, out of the user's data folder."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ULLAGE_STORE", str(tmp_path_factory.mktemp("log") / "log.db"))
        yield
