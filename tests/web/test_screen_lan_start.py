"""Starting a screen that other machines reach: accounts and a certificate first, and nothing but TLS then."""

from __future__ import annotations

import http.client
import re
import shutil
import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import mkdtemp

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.errors import InputError, OutputError
from panelmend.screen import certificate, server
from panelmend.screen.certificate import LIFE, OWN_CERTIFICATE, OWN_KEY, RENEWED, looked_at, own
from panelmend.screen.workshop import Workshop
from screen_made import CHEAP, SECRETS, people_put_in

NOW = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)
NAMES = ("127.0.0.1", "workshop.example")


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    """A workshop's folder with people in its records."""
    made = Path(mkdtemp(prefix="workshop"))
    people_put_in(made)
    yield made
    shutil.rmtree(made, ignore_errors=True)


@contextmanager
def served(folder: Path) -> Iterator[server.Running]:
    """A screen for others, served from a thread on the loopback."""
    running = server.ready_for_others(Workshop(folder, cost=CHEAP), "127.0.0.1")
    thread = threading.Thread(target=running.serve, daemon=True)
    thread.start()
    try:
        yield running
    finally:
        running.stop()
        thread.join(10)


def test_without_accounts_it_does_not_start(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no records with accounts"):
        server.ready_for_others(Workshop(tmp_path, cost=CHEAP), "127.0.0.1")
    done = CliRunner().invoke(
        main, ["screen", "--folder", str(tmp_path), "--lan", "127.0.0.1", "--no-browser"]
    )
    assert done.exit_code == 3
    said = re.search(r"panelmend (records --in \S+ begin) NUMBER NAME", " ".join(done.output.split()))
    assert said is not None
    secret = tmp_path / "secret.txt"
    secret.write_text(SECRETS["K1"])
    records, *where = said[1].split()
    begun = CliRunner().invoke(main, [records, "--secret-file", str(secret), *where, "K1", "Ada Keeps"])
    assert begun.exit_code == 0, begun.output
    server.ready_for_others(Workshop(tmp_path, cost=CHEAP), "127.0.0.1").listening.close()


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "224.0.0.1", "workshop.example", "", "192.0.2.999"])
def test_it_opens_on_no_network_that_was_not_named(folder: Path, address: str) -> None:
    with pytest.raises(InputError):
        server.ready_for_others(Workshop(folder, cost=CHEAP), address)


def test_an_address_that_this_machine_has_not_is_said(folder: Path) -> None:
    with pytest.raises(InputError, match="no such address"):
        server.ready_for_others(Workshop(folder, cost=CHEAP), "192.0.2.10")


@pytest.mark.parametrize("words", [["--certificate", "c.pem"], ["--key", "k.pem"]])
def test_a_certificate_comes_with_its_key(words: list[str], tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["screen", "--folder", str(tmp_path), "--lan", "127.0.0.1", *words])
    assert done.exit_code == 3
    assert "go together" in done.output
    done = CliRunner().invoke(main, ["screen", "--folder", str(tmp_path), "--name", "workshop.example"])
    assert done.exit_code == 3


def test_the_fingerprint_is_printed_and_no_key_in_the_address(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(server.Running, "serve", lambda running: running.listening.close())
    words = ["screen", "--folder", str(folder), "--lan", "127.0.0.1", "--no-browser"]
    said = [CliRunner().invoke(main, words).output for _ in range(2)]
    marks = [next(line.strip() for line in s.splitlines() if line.count(":") == 31) for s in said]
    assert marks[0] == marks[1] == looked_at(folder / OWN_CERTIFICATE, folder / OWN_KEY, ("127.0.0.1",))
    assert all("https://127.0.0.1:" in s and "key=" not in s for s in said)


# --- certificates


def test_a_self_made_one_is_kept_for_this_user_alone_and_made_anew_when_it_no_longer_serves(
    tmp_path: Path,
) -> None:
    first = looked_at(*own(tmp_path, NAMES, NOW), NAMES, NOW)
    assert (tmp_path / OWN_KEY).stat().st_mode & 0o077 == 0
    assert looked_at(*own(tmp_path, NAMES[:1], NOW), NAMES, NOW) == first
    late = NOW + LIFE - RENEWED
    assert looked_at(*own(tmp_path, NAMES, late), NAMES, NOW) == first
    assert looked_at(*own(tmp_path, NAMES, late + timedelta(seconds=1)), NAMES, late) != first
    other = own(tmp_path, (*NAMES, "192.0.2.10"), late)
    assert looked_at(*other, (*NAMES, "192.0.2.10"), late)


def test_a_certificate_counts_while_it_is_in_force(tmp_path: Path) -> None:
    pair = own(tmp_path, NAMES, NOW)
    assert looked_at(*pair, NAMES, NOW + LIFE)
    for at in (NOW + LIFE + timedelta(seconds=1), NOW - timedelta(hours=1, seconds=1)):
        with pytest.raises(InputError, match="not in force"):
            looked_at(*pair, NAMES, at)


def test_a_certificate_is_for_the_addresses_it_names(tmp_path: Path) -> None:
    pair = own(tmp_path, ("127.0.0.1", "*.shop.example"), NOW)
    assert looked_at(*pair, ("127.0.0.1", "a.shop.example"), NOW)
    for name in ("127.0.0.2", "shop.example", "a.b.shop.example", "ashop.example"):
        with pytest.raises(InputError, match="not for this address"):
            looked_at(*pair, (name,), NOW)


def test_a_key_of_another_certificate_is_refused(tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "two").mkdir()
    one, two = own(tmp_path / "one", NAMES, NOW), own(tmp_path / "two", NAMES, NOW)
    assert looked_at(*one, NAMES, NOW)
    with pytest.raises(InputError, match="do not belong together"):
        looked_at(one[0], two[1], NAMES, NOW)
    for bad in (tmp_path / "none.pem", one[1]):
        with pytest.raises(InputError, match="no certificate"):
            looked_at(bad, one[1], NAMES, NOW)


def test_a_folder_that_takes_no_certificate_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "no space")

    monkeypatch.setattr(certificate, "_write", full)
    with pytest.raises(OutputError, match="could not be kept"):
        own(tmp_path, NAMES, NOW)


# --- served


def test_it_speaks_tls_alone_and_no_old_one(folder: Path) -> None:
    with served(folder) as running:
        trusting = ssl.create_default_context(cafile=str(folder / OWN_CERTIFICATE))
        there = http.client.HTTPSConnection("127.0.0.1", running.port, context=trusting, timeout=20)
        there.request("GET", "/", headers={"Accept": "text/html"})
        answer = there.getresponse()
        assert answer.status == 401
        assert b"data-sign-in" in answer.read()
        assert answer.headers["strict-transport-security"]
        body = f'{{"person": "T1", "secret": "{SECRETS["T1"]}"}}'
        origin = f"https://127.0.0.1:{running.port}"
        there.request("POST", "/api/sign-in", body, {"Content-Type": "application/json", "Origin": origin})
        came = there.getresponse()
        came.read()
        assert came.status == 200
        cookie = came.headers["set-cookie"].split(";")[0]
        there.request("GET", "/api/repairs", headers={"Cookie": cookie})
        assert there.getresponse().status == 200
        there.close()

        with socket.create_connection(("127.0.0.1", running.port), timeout=20) as plain:
            plain.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
            try:
                said = plain.recv(200)
            except ConnectionError:
                said = b""
        assert not said.startswith(b"HTTP/")
        with (
            socket.create_connection(("127.0.0.1", running.port), timeout=20) as raw,
            trusting.wrap_socket(raw, server_hostname="127.0.0.1") as secured,
        ):
            assert secured.version() == "TLSv1.3"
        assert running.server.config.ssl is not None
        assert running.server.config.ssl.minimum_version == ssl.TLSVersion.TLSv1_2
