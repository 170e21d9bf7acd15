"""Served by https for real: which versions and ciphers, which headers, which cookie."""

from __future__ import annotations

import re
import shutil
import ssl
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPResponse, HTTPSConnection
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.console import COMMAND
from ullage.cellar import accounts
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.web.serve import Serving, serve_store

PASSWORD = "barley and a long river"


@dataclass(frozen=True)
class Pair:
    """A certificate for localhost that signs itself, and its key."""

    certificate: Path
    key: Path


@dataclass(frozen=True)
class Served:
    """A server: its port, and the certificate that it is known by."""

    port: int
    certificate: Path

    def ask(self, method: str, path: str, body: str = "", cookie: str = "") -> HTTPResponse:
        context = ssl.create_default_context(cafile=self.certificate)
        connection = HTTPSConnection("localhost", self.port, context=context, timeout=30)
        headers = {"Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html"}
        if cookie:
            headers["Cookie"] = cookie
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        answer.read()
        connection.close()
        return answer

    def shaken(self, version: ssl.TLSVersion) -> tuple[str, str]:
        """The version and the cipher that a client of one version gets. Raises `ssl.SSLError`."""
        context = ssl.create_default_context(cafile=self.certificate)
        context.set_ciphers("ALL:@SECLEVEL=0")
        context.minimum_version = context.maximum_version = version
        connection = HTTPSConnection("localhost", self.port, context=context, timeout=30)
        connection.connect()
        try:
            sock = connection.sock
            assert isinstance(sock, ssl.SSLSocket)
            cipher = sock.cipher()
            assert cipher is not None
            return str(sock.version()), cipher[0]
        finally:
            connection.close()


def openssl(*words: str) -> None:
    found = shutil.which("openssl")
    if found is None:
        pytest.fail("the tests of https make a certificate with openssl: install it")
    subprocess.run([found, *words], check=True, capture_output=True)


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    folder = tmp_path_factory.mktemp("tls")
    made = Pair(folder / "one.pem", folder / "one.key")
    openssl(
        "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
        "-days", "2", "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost",
        "-keyout", str(made.key), "-out", str(made.certificate),
    )  # fmt: skip
    return made


@pytest.fixture(scope="module")
def served(pair: Pair, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    file = tmp_path_factory.mktemp("log") / "cellar.db"
    with Store.open(str(file)) as store:
        accounts.make(store, "Ann", PASSWORD, "keeper")
    words = ("--login", "--certificate", str(pair.certificate), "--key", str(pair.key))
    with subprocess.Popen(
        [str(COMMAND), "serve", "--store", str(file), "--port", "0", *words],
        stdout=subprocess.PIPE,
        text=True,
    ) as running:
        assert running.stdout is not None
        said = running.stdout.readline()
        port = re.search(r"https://127\.0\.0\.1:(\d+)/", said)
        try:
            assert port is not None, said
            yield Served(int(port[1]), pair.certificate)
        finally:
            running.terminate()


def test_the_headers_and_the_cookie_of_https(served: Served) -> None:
    answer = served.ask("GET", "/kegs")
    assert (answer.status, answer.getheader("location")) == (303, "/login?back=%2Fkegs")
    assert answer.getheader("strict-transport-security") == "max-age=31536000"
    assert answer.getheader("server") is None
    form = urlencode({"name": "Ann", "password": PASSWORD})
    done = served.ask("POST", "/login", form)
    assert (done.status, done.getheader("location")) == (303, "/")
    cookie = str(done.getheader("set-cookie"))
    assert cookie.startswith("__Host-ullage_session=")
    assert "Secure" in cookie
    assert served.ask("GET", "/accounts", cookie=cookie.partition(";")[0]).status == 200


def test_tls_1_2_and_1_3_with_sealed_ciphers_and_no_older(served: Served) -> None:
    assert served.shaken(ssl.TLSVersion.TLSv1_3)[0] == "TLSv1.3"
    version, cipher = served.shaken(ssl.TLSVersion.TLSv1_2)
    assert version == "TLSv1.2"
    # published: RFC 9325, 4.2: TLS 1.2 with ECDHE and an AEAD cipher
    assert re.match(r"ECDHE-\w+-(AES\d+-GCM|CHACHA20)", cipher)
    refused = (ssl.SSLError, ConnectionError)
    with pytest.warns(DeprecationWarning, match="TLSv1_1"), pytest.raises(refused):
        served.shaken(ssl.TLSVersion.TLSv1_1)


def test_a_key_of_another_certificate_or_with_a_password_is_told(
    pair: Pair, tmp_path: Path
) -> None:
    other, locked = tmp_path / "other.key", tmp_path / "locked.key"
    openssl("genpkey", "-algorithm", "ed25519", "-out", str(other))
    openssl("pkey", "-in", str(pair.key), "-aes256", "-passout", "pass:x", "-out", str(locked))
    for key in (other, locked):
        with (
            Store.open(str(tmp_path / "cellar.db")) as store,
            pytest.raises(UllageError, match="are no certificate and its key"),
        ):
            serve_store(store, "mine", Serving(port=0, certificate=pair.certificate, key=key))
