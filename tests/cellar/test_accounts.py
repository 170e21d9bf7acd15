"""Accounts, sessions and tries, on both databases: what is kept, what ends, what is refused."""

from __future__ import annotations

import re
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from sqlalchemy import select

from ullage.cellar import accounts, attempts, passwords, sessions
from ullage.cellar.accounts import Role
from ullage.cellar.store import Store
from ullage.cellar.tables import ACCOUNT, SESSION
from ullage.errors import AccessError, Conflict, EventError, UnknownName

AT = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
GOOD, OTHER = "barley and a long river", "seven copper kettles"


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """Only one test here is about what a hash costs."""


@pytest.fixture
def ann(store: Store) -> Store:
    accounts.make(store, "Ann", GOOD, "keeper")
    return store


def test_the_right_password_and_no_other(ann: Store) -> None:
    found = accounts.checked(ann, "Ann", GOOD)
    assert found is not None
    assert (found.name, found.role) == ("Ann", "keeper")
    for name, password in (("Ann", OTHER), ("ann", GOOD), ("Bob", GOOD), ("Ann", ""), ("", GOOD)):
        assert accounts.checked(ann, name, password) is None


def test_a_password_is_kept_as_argon2id_with_a_salt_of_its_own(ann: Store) -> None:
    accounts.make(ann, "Bob", GOOD, "guest")
    with ann.reading() as connection:
        kept = connection.execute(select(ACCOUNT.c.password)).scalars().all()
    assert all(one.startswith("$argon2id$") for one in kept)
    assert len({*kept}) == 2
    assert not any(GOOD in one for one in kept)


def test_what_a_hash_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    # published: OWASP Password Storage Cheat Sheet, Argon2id with 19 MiB and two passes at least
    cost = re.match(r"\$argon2id\$v=19\$m=(\d+),t=(\d+),p=\d+\$", passwords.hashed(GOOD))
    assert cost is not None
    assert int(cost[1]) >= 19 * 1024
    assert int(cost[2]) >= 2


# published: OWASP ASVS 5.0, 6.2.1 (eight characters at least), 6.2.4 (none of the 3,000 commonest),
# 6.2.9 (64 characters and more are taken); the commonest ones from the lists that zxcvbn brings
@pytest.mark.parametrize(
    ("password", "told"),
    [
        ("short", "8 characters"),
        ("password", "will not do"),
        ("12345678", "will not do"),
        ("qwertyuiop", "will not do"),
        ("Annabelle", "will not do"),
        ("aaaaaaaaaaaa", "will not do"),
        ("x" * 257, "256 characters at most"),
    ],
)
def test_passwords_that_will_not_do(password: str, told: str) -> None:
    with pytest.raises(AccessError, match=told):
        passwords.check(password, "Annabelle")


@pytest.mark.parametrize("password", [GOOD, "mälzerei am fluß", "z7&Kq " * 20, "  two  blanks  ok"])
def test_passwords_that_do(ann: Store, password: str) -> None:
    accounts.make(ann, "Bob", password, "helper")
    assert accounts.checked(ann, "Bob", password) is not None
    assert accounts.checked(ann, "Bob", password[:-1]) is None


def test_a_password_of_no_length_tells_which_names_exist(
    ann: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As many hashes are worked out for a name that is there as for one that is not."""
    hasher, verified = passwords._hasher(), []

    class Counting:
        def verify(self, password: str, kept: str) -> bool:
            verified.append(len(password))
            return hasher.verify(password, kept)

    passwords.of_nobody()  # made once, and not while it is counted
    monkeypatch.setattr(passwords, "_hasher", Counting)
    for password in ("", "x", GOOD + "!", "x" * 100_000):
        for name in ("Ann", "Eve"):
            assert accounts.checked(ann, name, password) is None
        known, unknown = verified[-2:]
        assert known == unknown
        assert len(verified) % 2 == 0


def test_a_longer_password_than_is_taken_is_never_right(ann: Store) -> None:
    longest = "z7&Kq " * 43  # 258 letters
    accounts.make(ann, "Bob", longest[: passwords.LONGEST], "guest")
    assert accounts.checked(ann, "Bob", longest[: passwords.LONGEST]) is not None
    assert accounts.checked(ann, "Bob", longest) is None


def test_no_more_than_two_hashes_are_worked_out_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each takes 64 MiB: forty at once would not fit into a small machine."""
    places: list[list[bool]] = []

    def look(*_: str) -> bool:
        free = [passwords._AT_ONCE.acquire(blocking=False) for _ in range(2)]
        passwords._AT_ONCE.release(sum(free))
        places.append(free)
        return False

    monkeypatch.setattr(passwords, "_hasher", lambda: SimpleNamespace(verify=look, hash=look))
    passwords.is_right("x", "y")
    passwords.hashed("x")
    assert places == [[True, False]] * 2  # beside the one, one more and not two


def test_a_password_that_is_no_text_is_refused() -> None:
    with pytest.raises(AccessError, match="no text in UTF-8"):
        passwords.check("barley \udc80 river", "Ann")


def test_a_name_is_there_once(ann: Store) -> None:
    with pytest.raises(Conflict, match="choose another name"):
        accounts.make(ann, "Ann", OTHER, "guest")
    with pytest.raises(EventError, match="no name"):
        accounts.make(ann, "  ", OTHER, "guest")


def test_the_first_account_is_made_once(store: Store) -> None:
    assert accounts.make_first(store, "Ann", GOOD).role == "keeper"
    with pytest.raises(Conflict, match="already"):
        accounts.make_first(store, "Eve", OTHER)


def test_of_many_first_accounts_at_once_one_is_made(store: Store) -> None:
    """Who has the code may send it twice, or two people may."""
    start = threading.Barrier(8)

    def make(number: int) -> str | None:
        start.wait()
        try:
            return accounts.make_first(store, f"Ann {number}", GOOD).name
        except Conflict:
            return None

    with ThreadPoolExecutor(8) as pool:
        made = [one for one in pool.map(make, range(8)) if one is not None]
    assert [one.name for one in accounts.every(store)] == made
    assert len(made) == 1


def test_of_two_last_keepers_at_once_one_is_left(ann: Store) -> None:
    accounts.make(ann, "Bob", OTHER, "keeper")
    start = threading.Barrier(2)

    def leave(name: str) -> bool:
        start.wait()
        try:
            accounts.remove(ann, name)
        except AccessError:
            return False
        return True

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(leave, ("Ann", "Bob"))) == [False, True]
    assert len(accounts.every(ann)) == 1


def test_a_new_password_lets_in_who_had_to_wait(ann: Store) -> None:
    for _ in range(attempts.MOST_HERE):
        attempts.begin(ann, "Ann", "here", AT)
    assert attempts.begin(ann, "Ann", "here", AT) is not None
    accounts.set_password(ann, "Ann", OTHER)
    assert attempts.begin(ann, "Ann", "here", AT) is None


def test_a_keeper_is_always_left(ann: Store) -> None:
    accounts.make(ann, "Bob", OTHER, "helper")
    with pytest.raises(AccessError, match="last keeper"):
        accounts.remove(ann, "Ann")
    for role in ("helper", "guest"):
        with pytest.raises(AccessError, match="last keeper"):
            accounts.set_role(ann, "Ann", accounts.role_of(role))
    accounts.set_role(ann, "Bob", "keeper")
    accounts.remove(ann, "Ann")
    assert [one.name for one in accounts.every(ann)] == ["Bob"]


def test_who_is_not_there_is_told(ann: Store) -> None:
    with pytest.raises(UnknownName, match="there are: Ann"):
        accounts.remove(ann, "Bob")
    with pytest.raises(UnknownName, match="there are: Ann"):
        accounts.get(ann, "Bob")
    assert accounts.get(ann, "Ann") == accounts.named(ann, "Ann")
    assert accounts.named(ann, "Bob") is None
    with pytest.raises(AccessError, match="no role"):
        accounts.role_of("king")


def test_cellars_have_accounts_of_their_own(ann: Store) -> None:
    with Store.open(ann.url.render_as_string(hide_password=False), cellar="next door") as other:
        assert accounts.every(other) == ()
        assert accounts.checked(other, "Ann", GOOD) is None
        accounts.make(other, "Ann", OTHER, "guest")
        secret = sessions.begin(other, "Ann", AT)
        assert sessions.account_of(ann, secret, AT) is None
    assert accounts.checked(ann, "Ann", OTHER) is None


def test_a_session_is_that_of_its_account_until_it_ends(ann: Store) -> None:
    secret = sessions.begin(ann, "Ann", AT)
    assert sessions.account_of(ann, secret, AT) == "Ann"
    assert sessions.account_of(ann, secret + "x", AT) is None
    assert sessions.account_of(ann, "", AT) is None
    sessions.end(ann, secret)
    assert sessions.account_of(ann, secret, AT) is None


def test_a_session_is_256_bits_of_chance(ann: Store) -> None:
    made = {sessions.begin(ann, "Ann", AT) for _ in range(20)}
    # analytic: 32 bytes are 43 letters of 6 bits in base64 without padding
    assert {len(one) for one in made} == {43}
    assert len(made) == 20


def test_the_store_keeps_no_secret(ann: Store) -> None:
    secret = sessions.begin(ann, "Ann", AT)
    with ann.reading() as connection:
        rows = connection.execute(select(SESSION)).all()
    assert secret not in str(rows)


def test_a_session_that_is_not_used_ends_and_one_that_is_goes_on(ann: Store) -> None:
    unused, used = sessions.begin(ann, "Ann", AT), sessions.begin(ann, "Ann", AT)
    for days in range(1, 15):
        assert sessions.account_of(ann, used, AT + timedelta(days=days)) == "Ann"
    assert sessions.account_of(ann, unused, AT + timedelta(days=14, seconds=1)) is None
    for days in range(15, 91):
        assert sessions.account_of(ann, used, AT + timedelta(days=days)) == "Ann"
    assert sessions.account_of(ann, used, AT + timedelta(days=90, seconds=1)) is None


def test_what_has_ended_is_swept_out(ann: Store) -> None:
    sessions.begin(ann, "Ann", AT)
    sessions.begin(ann, "Ann", AT + timedelta(days=20))
    with ann.reading() as connection:
        assert len(connection.execute(select(SESSION)).all()) == 1


@pytest.mark.parametrize("how", ["password", "remove"])
def test_a_new_password_or_none_ends_every_session(ann: Store, how: str) -> None:
    accounts.make(ann, "Bob", OTHER, "helper")
    bobs, anns = sessions.begin(ann, "Bob", AT), sessions.begin(ann, "Ann", AT)
    if how == "password":
        accounts.set_password(ann, "Bob", "a third and longer one")
    else:
        accounts.remove(ann, "Bob")
    assert sessions.account_of(ann, bobs, AT) is None
    assert sessions.account_of(ann, anns, AT) == "Ann"


@pytest.mark.parametrize("role", accounts.ROLES)
def test_roles_are_kept(store: Store, role: Role) -> None:
    accounts.make(store, "Ann", GOOD, role)
    found = accounts.checked(store, "Ann", GOOD)
    assert found is not None
    assert found.role == role
