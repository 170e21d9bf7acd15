"""Tokens: good from when they are made until they are revoked; never kept as they are."""

from __future__ import annotations

from hashlib import sha256

import pytest
from sqlalchemy import text

from tests.cellar.conftest import NewUrl
from ullage.cellar import tokens
from ullage.cellar.store import Store
from ullage.errors import AccessError, Conflict, EventError, UnknownName


def test_a_token_is_good_until_it_is_revoked(store: Store) -> None:
    secret = tokens.make(store, "K1 scale")
    found = tokens.bearer(store, secret)
    assert found is not None
    assert (found.name, found.scope) == ("K1 scale", "samples")
    assert tokens.every(store) == (found,)
    tokens.revoke(store, "K1 scale")
    assert tokens.bearer(store, secret) is None
    assert tokens.every(store) == ()


def test_only_its_digest_is_kept(store: Store) -> None:
    secret = tokens.make(store, "probe")
    with store.reading() as connection:
        (row,) = connection.execute(text("SELECT * FROM token")).all()
    assert secret not in " ".join(map(str, row))
    # independent: the digest of the standard library over the token's own bytes
    assert sha256(secret.encode()).hexdigest() in row


def test_it_has_256_bits_of_chance(store: Store) -> None:
    secrets = {tokens.make(store, f"t{index}") for index in range(20)}
    assert len(secrets) == 20
    # analytic: 32 bytes are 43 letters of 6 bits in base64 without padding
    assert {len(one.removeprefix(tokens.BEGINS)) for one in secrets} == {43}


@pytest.mark.parametrize("secret", ["", "ullage_", "x" * 500, "🍺", "\ud800"])
def test_anything_else_is_no_token(store: Store, secret: str) -> None:
    tokens.make(store, "probe")
    assert tokens.bearer(store, secret) is None


def test_it_is_of_its_own_cellar(new_url: NewUrl) -> None:
    url = new_url()
    with Store.open(url) as ours, Store.open(url, cellar="club") as theirs:
        secret = tokens.make(ours, "probe")
        assert tokens.bearer(theirs, secret) is None


def test_a_name_is_taken_once(store: Store) -> None:
    tokens.make(store, "probe")
    with pytest.raises(Conflict, match="revoke it first"):
        tokens.make(store, "probe")
    with pytest.raises(EventError, match="is no name"):
        tokens.make(store, "")
    with pytest.raises(UnknownName, match="there are: probe"):
        tokens.revoke(store, "prob")


@pytest.mark.parametrize("scope", tokens.SCOPES)
def test_a_token_is_of_one_scope(store: Store, scope: tokens.Scope) -> None:
    secret = tokens.make(store, "probe", scope)
    found = tokens.known(store, secret)
    assert found is not None
    assert found.scope == scope
    for asked in tokens.SCOPES:
        assert (tokens.bearer(store, secret, asked) is not None) == (asked == scope)
    assert tokens.known(store, f"{secret}x") is None


def test_a_scope_is_read_or_refused() -> None:
    assert tokens.scope_of("record") == "record"
    with pytest.raises(AccessError, match="samples, read, record"):
        tokens.scope_of("everything")
