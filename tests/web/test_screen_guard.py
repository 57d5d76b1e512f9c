"""What no request gets past: host, origin, session, size, rate, kind; and what every answer carries."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelmend.errors import OutputError
from panelmend.screen import api, pages, server
from panelmend.screen.gate import IDLE, MOST, ONCE, WRONG, Gate
from panelmend.screen.guard import ADDRESS, AT_ONCE, BODY
from panelmend.screen.workshop import DEMO, Workshop
from screen_made import HOST, ORIGIN, PORT, REPAIR, Desk, desk


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk for all of them."""
    with desk() as made:
        yield made


def _change(at: Desk) -> dict[str, object]:
    return {"seen": at.workshop.open(DEMO).made.plan.case.digest, "side": "outside"}


@pytest.mark.parametrize("host", ["localhost:8000", HOST])
def test_its_own_hosts_are_served(at: Desk, host: str) -> None:
    assert at.get("/", host=host).status == 200


@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.0.0.1:8001", "screen.example:8000", "", "0.0.0.0:8000", None]
)
def test_another_host_is_refused_before_anything_else(at: Desk, host: str | None) -> None:
    for path in ("/", "/enter", "/static/tokens.css", f"{REPAIR}/plan?side=outside"):
        assert at.get(path, host=host).status == 421


@pytest.mark.parametrize(
    "origin", ["http://other.example", "null", "http://127.0.0.1:8001", "https://" + HOST, None]
)
def test_a_write_of_another_origin_is_refused(at: Desk, origin: str | None) -> None:
    refused = at.post(f"{REPAIR}/try", _change(at), origin=origin)
    assert (refused.status, refused.json["type"]) == (403, "panelmend:origin")


def test_a_write_of_our_own_pages_is_taken(at: Desk) -> None:
    assert at.post(f"{REPAIR}/try", _change(at), origin=ORIGIN).status == 200


@pytest.mark.parametrize(
    ("site", "status"), [("same-origin", 200), ("none", 200), ("same-site", 403), ("cross-site", 403)]
)
def test_another_site_may_not_even_read(at: Desk, site: str, status: int) -> None:
    assert at.get(f"{REPAIR}/plan?side=outside", sec_fetch_site=site).status == status


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_what_a_form_of_another_page_could_send_is_no_write(at: Desk, kind: str) -> None:
    assert at.post(f"{REPAIR}/try", _change(at), content_type=kind).status == 415


@pytest.mark.parametrize(
    "path", ["/", f"/repairs/{DEMO}", f"{REPAIR}/plan?side=outside", "/api/openapi.json", "/api/repairs"]
)
def test_without_a_session_nothing_is_shown(at: Desk, path: str) -> None:
    for cookie in (None, "panelmend-8000=", "panelmend-8000=guessed", f"panelmend-8001={at.token}"):
        refused = at.get(path, cookie=cookie)
        assert refused.status == 401
        assert DEMO.encode() not in refused.body
    assert at.get(path).status == 200


def test_every_route_but_the_door_and_the_style_wants_a_session(at: Desk) -> None:
    routes = [*pages.router.routes, *api.router.routes]
    paths = {str(getattr(r, "path", "")) for r in routes} - {"/enter"} | {"/api/openapi.json"}
    assert len(paths) > 6
    for path in paths:
        address = path.replace("{name}", DEMO)
        assert at.get(address, cookie=None).status == 401, path
        assert at.post(address, {}, cookie=None).status == 401, path


@pytest.mark.parametrize(("size", "status"), [(BODY, 422), (BODY + 1, 413)])
def test_a_body_has_its_size(at: Desk, size: int, status: int) -> None:
    assert at.post(f"{REPAIR}/try", b" " * size).status == status
    assert at.post(f"{REPAIR}/try", b" " * size, content_length="10").status == status  # whatever it says


@pytest.mark.parametrize("length", ["-1", "ten", str(BODY + 1), "9" * 40])
def test_a_length_that_is_none_is_refused(at: Desk, length: str) -> None:
    assert at.post(f"{REPAIR}/try", b"{}", content_length=length).status == 413


@pytest.mark.parametrize(("more", "status"), [(0, 404), (1, 414)])
def test_an_address_has_its_size(at: Desk, more: int, status: int) -> None:
    assert at.get("/" + "a" * (ADDRESS - 1 + more)).status == status


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "OPTIONS", "ODD"])
def test_other_methods_are_not_served(at: Desk, method: str) -> None:
    assert at.ask(method, "/").status == 405


def test_too_many_at_once_are_put_off_and_served_later() -> None:
    with desk() as made:
        now = [0.0]
        made.app.clock = lambda: now[0]
        made.app._buckets.clear()
        served = [made.get("/static/icon.svg").status for _ in range(int(AT_ONCE) + 1)]
        assert served == [200] * int(AT_ONCE) + [429]
        now[0] += 1.0
        assert made.get("/static/icon.svg").status == 200


@pytest.mark.parametrize(
    "path", ["/", f"/repairs/{DEMO}", f"{REPAIR}/plan?side=inside", "/nothing", "/static/page.js"]
)
def test_every_answer_is_sealed(at: Desk, path: str) -> None:
    for cookie in (f"panelmend-{PORT}={at.token}", None):
        headers = at.get(path, cookie=cookie).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self';" in policy
        assert "style-src 'self';" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert "http" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "server" not in headers
        assert "strict-transport-security" not in headers  # this machine alone: plain http
        assert headers["cache-control"] == ("no-cache" if path.startswith("/static") else "no-store")


@pytest.mark.parametrize("path", ["/", f"/repairs/{DEMO}", "/nothing"])
def test_pages_hold_no_script_style_or_address_of_their_own(at: Desk, path: str) -> None:
    page = at.get(path, accept="text/html").body.decode()
    assert "<style" not in page
    assert " style=" not in page
    assert "<script>" not in page
    assert " onclick=" not in page
    assert "javascript:" not in page
    outside = [part for part in page.split('"') if part.startswith(("http:", "https:", "//"))]
    assert outside == []


def test_refusals_have_one_form(at: Desk) -> None:
    digest = _change(at)["seen"]
    asked = [
        at.get("/api/repairs", cookie=None),
        at.get("/api/nothing"),
        at.get("/api/repairs/none-such/plan?side=outside"),
        at.get(f"{REPAIR}/plan?side=above"),
        at.get(f"{REPAIR}/plan"),
        at.post(f"{REPAIR}/plan", {}),
        at.post(f"{REPAIR}/try", b"{not json"),
        at.post(f"{REPAIR}/try", {"seen": "short", "side": "outside"}),
        at.post(f"{REPAIR}/try", {**_change(at), "more": 1}),
        at.post(f"{REPAIR}/try", {**_change(at), "typed": {"repair.number": "another"}}),
        at.post(f"{REPAIR}/change", {**_change(at), "seen": "0" * 64, "typed": {"bay.humidity": "50 %"}}),
        at.post(f"{REPAIR}/try", {**_change(at), "typed": {"bay.air_temperature": "nine"}}),
        at.post(f"{REPAIR}/back", {"seen": digest, "side": "outside"}),
    ]
    wanted = [401, 404, 404, 422, 422, 405, 422, 422, 422, 422, 409, 422, 422]
    assert [a.status for a in asked] == wanted
    for answer in asked:
        assert answer.headers["content-type"] == "application/problem+json"
        assert set(answer.json) == {"type", "title", "status", "read", "expected", "todo", "faults"}
        assert answer.json["status"] == answer.status
        assert answer.json["title"]


def test_a_fault_of_ours_tells_nothing_of_itself(at: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(name: str) -> None:
        raise RuntimeError("the inner words")

    monkeypatch.setattr(at.workshop, "open", broken)
    answer = at.get(f"{REPAIR}/plan?side=outside")
    assert isinstance(answer.raised, RuntimeError)  # for the terminal
    assert (answer.status, answer.json["type"]) == (500, "panelmend:fault")
    assert b"inner words" not in answer.body


@pytest.mark.parametrize("name", ["..", "%2e%2e", "a/b", "a b", ".hidden", "x" * 81, "%00"])
def test_names_of_repairs_are_no_paths(at: Desk, name: str) -> None:
    assert at.get(f"/api/repairs/{name}/plan?side=outside").status in (404, 422)
    assert at.get(f"/repairs/{name}").status in (404, 422)


# --- keys and sessions


class Clock:
    def __init__(self) -> None:
        self.now = 1e9

    def __call__(self) -> float:
        return self.now


def test_the_key_for_the_browser_is_good_once_and_for_a_minute() -> None:
    clock = Clock()
    gate = Gate(clock=clock)
    key = gate.key_for_the_browser()
    assert gate.enter(key)
    assert gate.enter(key) is None
    late = gate.key_for_the_browser()
    clock.now += ONCE + 1
    assert gate.enter(late) is None
    assert gate.enter(gate.printed)
    assert gate.enter(gate.printed)


def test_guessing_keys_is_stopped_for_a_minute() -> None:
    clock = Clock()
    gate = Gate(clock=clock)
    assert [gate.enter(f"guess {i}") for i in range(WRONG)] == [None] * WRONG
    assert gate.enter(gate.printed) is None
    clock.now += 61
    assert gate.enter(gate.printed)


def test_a_session_ends_when_nobody_uses_it_or_when_it_is_left() -> None:
    clock = Clock()
    gate = Gate(clock=clock)
    used, idle, left = (str(gate.enter(gate.printed)) for _ in range(3))
    gate.leave(left)
    assert not gate.knows(left)
    clock.now += IDLE - 1
    assert gate.knows(used)
    clock.now += 2
    assert gate.knows(used)
    assert not gate.knows(idle)
    clock.now += 8 * 86400
    assert not gate.knows(used)


def test_sessions_outlive_the_server_and_their_file_holds_no_token(tmp_path: Path) -> None:
    file = tmp_path / "sessions.json"
    token = str(Gate(file).enter(Gate(file).printed) or "")
    assert not token  # the key of another start
    gate = Gate(file)
    token = str(gate.enter(gate.printed))
    again = Gate(file)
    assert again.knows(token)
    assert again.printed != gate.printed
    assert token not in file.read_text("utf8")
    assert file.stat().st_mode & 0o077 == 0
    file.write_text("not json")
    assert not Gate(file).knows(token)


def test_there_is_an_end_to_sessions() -> None:
    gate = Gate()
    first = str(gate.enter(gate.printed))
    for _ in range(MOST):
        assert gate.enter(gate.printed)
    assert not gate.knows(first)


def test_the_door_sets_a_cookie_that_only_our_pages_send(at: Desk) -> None:
    came = at.get(f"/enter?key={at.app.gate.printed}", cookie=None)
    assert (came.status, came.headers["location"]) == (303, "/")
    cookie = came.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie
    assert at.app.gate.printed not in cookie
    assert at.get("/enter?key=wrong", cookie=None).status == 401


def test_it_listens_on_this_machine_alone(tmp_path: Path) -> None:
    first = server.ready(Workshop(tmp_path))
    try:
        assert first.listening.getsockname()[0] == "127.0.0.1"
        assert first.listening.proto == socket.IPPROTO_TCP  # else each answer waits 40 ms
        second = server.ready(Workshop(tmp_path))  # the port of the last time is taken
        second.listening.close()
        assert second.port != first.port
        with pytest.raises(OutputError, match="taken"):
            server.ready(Workshop(tmp_path), first.port)
    finally:
        first.listening.close()


@pytest.mark.parametrize("words", [[], ["screen"], ["screen", "--no-browser"]])
def test_panelmend_alone_opens_the_screen(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from click.testing import CliRunner

    from panelmend.app.cli import main

    served: list[int] = []
    opened: list[object] = []
    monkeypatch.setenv("PANELMEND_WORKSHOP", str(tmp_path))

    def serve(running: server.Running) -> None:
        served.append(running.port)
        running.listening.close()

    monkeypatch.setattr(server.Running, "serve", serve)
    monkeypatch.setattr(server, "open_browser", opened.append)
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0
    assert f"http://127.0.0.1:{served[0]}/enter?key=" in done.output
    assert len(opened) == ("--no-browser" not in words)
    assert (tmp_path / "repairs" / DEMO / "repair.toml").is_file()
