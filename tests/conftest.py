"""For every test: the log that commands use unless told is not one's own."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from hypothesis import settings
from pwdlib import PasswordHash
from pwdlib.hashers.argon2 import Argon2Hasher

from ullage.cellar import passwords

settings.register_profile("untimed", deadline=None)  # no test fails because a machine is busy
settings.load_profile("untimed")
if "ULLAGE_FUZZ" in os.environ:  # `make fuzz`: so many cases of each, other ones each time
    settings.register_profile("fuzz", max_examples=int(os.environ["ULLAGE_FUZZ"]), deadline=None)
    settings.load_profile("fuzz")


@pytest.fixture(scope="session", autouse=True)
def _a_log_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep tests, and the processes they start, out of the user's data folder."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ULLAGE_STORE", str(tmp_path_factory.mktemp("log") / "log.db"))
        yield


@pytest.fixture
def quick_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hash passwords at the least cost there is: a third of a second each would add up."""
    cheap = PasswordHash((Argon2Hasher(time_cost=1, memory_cost=8, parallelism=1),))
    monkeypatch.setattr(passwords, "_hasher", lambda: cheap)
