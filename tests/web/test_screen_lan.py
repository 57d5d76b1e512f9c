"""A screen that other machines reach: nobody passes without TLS and signing in, and each call asks a role."""

from __future__ import annotations

import re
from collections.abc import Iterator
from time import sleep
from typing import Any

import pytest

from panelmend.records.book import Who
from panelmend.records.rights import RIGHTS
from panelmend.records.secrets import FREE_TRIES
from panelmend.screen import access
from panelmend.screen.accounts import ALL_TRIES, EVERY, IDLE, LONGEST, MOST_EACH, TRIES
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, SECRETS, Desk, Ticks, lan_desk, signed_in_as

OPEN = {"/api/sign-in", "/api/enrol"}


@pytest.fixture(scope="module")
def clock() -> Ticks:
    """The clock of sessions and tries."""
    return Ticks()


@pytest.fixture(scope="module")
def at(clock: Ticks) -> Iterator[Desk]:
    """A desk where nobody is signed in."""
    with lan_desk(clock) as made:
        yield made


@pytest.fixture(autouse=True)
def _later(request: pytest.FixtureRequest) -> None:
    """Tries of the test before no longer count."""
    if "at" in request.fixturenames:
        request.getfixturevalue("clock").now += EVERY + 1


def routes(desk: Desk) -> list[tuple[str, str, Any]]:
    """Every method and path that the application answers to, with the route."""
    inner: Any = desk.app.app
    found = []
    todo = list(inner.routes)
    while todo:
        route = todo.pop()
        todo += getattr(getattr(route, "original_router", None), "routes", [])
        if getattr(route, "methods", None):
            found += [(m, route.path, route) for m in sorted(route.methods - {"HEAD"})]
    return found


def _address(path: str) -> str:
    made = path.replace("{name}", DEMO).replace("{kind}", "strength")
    return re.sub(r"\{[^}]+\}", "1", made)


def test_every_route_of_the_application_is_refused_to_who_is_not_signed_in(at: Desk) -> None:
    described = at.app.app.openapi()["paths"]  # type: ignore[attr-defined]
    walked = {(m, p) for m, p, _ in routes(at)}
    walked |= {(m.upper(), p) for p, operations in described.items() for m in operations}
    walked |= {("GET", "/api/openapi.json"), ("GET", "/enter"), ("GET", "/nothing"), ("POST", "/nothing")}
    assert len(walked) > 60
    for method, path in sorted(walked):
        if path in OPEN:
            continue
        for cookie in (None, f"{at.site.cookie}=guessed"):
            kind = "application/octet-stream" if method == "PUT" else "application/json"
            sent = None if method == "GET" else {}
            refused = at.ask(method, _address(path), sent, cookie=cookie, content_type=kind)
            if refused.status == 429:  # more routes than one sender may ask at once
                sleep(2)
                refused = at.ask(method, _address(path), sent, cookie=cookie, content_type=kind)
            assert refused.status in (401, 415), (method, path)  # 415: a file's own kind is asked first
            assert DEMO.encode() not in refused.body


def test_every_call_stands_in_the_table_of_roles_and_no_other(at: Desk) -> None:
    described = at.app.app.openapi()["paths"]  # type: ignore[attr-defined]
    names = {o["operationId"] for operations in described.values() for o in operations.values()}
    assert names == set(access.CALLS)
    rows = {row for rows in access.CALLS.values() for row in rows} - set(access.SIGNED_IN)
    assert rows <= set(RIGHTS)


def test_a_call_that_stands_in_no_row_is_refused_to_everybody(
    at: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = signed_in_as(at, "P1")
    assert desk.get("/api/repairs").status == 200
    monkeypatch.delitem(access.CALLS, "repairs")
    refused = desk.get("/api/repairs")
    assert (refused.status, refused.json["type"]) == (403, "panelmend:role")


@pytest.mark.parametrize(
    ("path", "may", "may_not"),
    [
        (f"{REPAIR}/change", "P1", "T1 I1 E1 S1 K1"),
        (f"{REPAIR}/inputs/change", "P1", "T1 I1 E1 S1 K1"),
        (f"{REPAIR}/inputs/row", "E1", "T1 I1 S1 K1"),
        (f"{REPAIR}/taps", "T1", "P1 E1 S1 K1"),
        (f"{REPAIR}/errands/heat", "P1", "T1 S1"),
        (f"{REPAIR}/steps/1/reading", "I1", "P1 E1 S1 K1"),
        (f"{REPAIR}/steps/1/release", "I1", "T1 P1 E1 S1 K1"),
        (f"{REPAIR}/steps/1/draw", "S1", "T1 P1 I1 E1 K1"),
        (f"{REPAIR}/demonstration", "", "T1 P1 I1 E1 S1 K1"),
    ],
)
def test_a_call_asks_for_the_role_that_the_records_ask(at: Desk, path: str, may: str, may_not: str) -> None:
    for person in may_not.split():
        at.app.gate._tries.clear()  # type: ignore[union-attr]
        at.app._buckets.clear()  # a quick machine asks more often than one browser may
        refused = signed_in_as(at, person).post(path, {})
        assert (refused.status, refused.json["type"]) == (403, "panelmend:role"), person
    if may:
        assert signed_in_as(at, may).post(path, {"nothing": 1}).status == 422  # let in, and not understood


def test_an_authorisation_that_is_past_its_day_lets_nobody_in() -> None:
    with lan_desk() as desk:
        book = desk.workshop.book
        assert book is not None
        today = book.state.day(book.state.latest)
        keeper = Who("K2", SECRETS["K2"])
        from datetime import timedelta

        from panelmend.records import events as e

        there = signed_in_as(desk, "T1")
        for until, status in ((today, 422), (today - timedelta(days=1), 403)):
            book.authorise(keeper, "T1", e.Scope.BONDING, until.isoformat(), "invented paper")
            assert there.post(f"{REPAIR}/taps", {}).status == status, until


# --- signing in


def test_who_signs_in_gets_a_cookie_that_only_our_pages_send_over_tls(at: Desk) -> None:
    answer = at.post("/api/sign-in", {"person": "T1", "secret": SECRETS["T1"]})
    assert answer.json == {"person": "T1", "name": "R. Osk"}
    name, *flags = [part.strip().lower() for part in answer.headers["set-cookie"].split(";")]
    assert name.startswith("__host-panelmend-8443=")
    assert {"secure", "httponly", "samesite=strict", "path=/"} <= set(flags)
    assert not any(f.startswith("domain") for f in flags)
    assert SECRETS["T1"].encode() not in answer.body


def test_a_wrong_secret_and_nobody_are_answered_alike(at: Desk) -> None:
    wrong = at.post("/api/sign-in", {"person": "T1", "secret": "not the secret"})
    nobody = at.post("/api/sign-in", {"person": "T9", "secret": "not the secret"})
    assert (wrong.status, wrong.body) == (nobody.status, nobody.body)
    assert wrong.status == 401
    assert "set-cookie" not in wrong.headers
    assert signed_in_as(at, "T1").get("/api/repairs").status == 200


def test_wrong_secrets_put_a_person_off_whatever_comes_then() -> None:
    with lan_desk() as desk:
        sent = {"person": "T1", "secret": "not the secret"}
        assert [desk.post("/api/sign-in", sent).status for _ in range(FREE_TRIES)] == [401] * FREE_TRIES
        right = desk.post("/api/sign-in", {"person": "T1", "secret": SECRETS["T1"]})
        assert (right.status, right.json["type"]) == (429, "panelmend:R114")
        assert signed_in_as(desk, "P1").get("/api/repairs").status == 200
        book = desk.workshop.book
        assert book is not None
        assert book.state.people["T1"].failures == FREE_TRIES


def test_tries_from_one_address_are_counted_and_from_all_together(at: Desk, clock: Ticks) -> None:
    sent = {"person": "nobody", "secret": "not the secret"}
    assert [at.post("/api/sign-in", sent).status for _ in range(TRIES + 1)] == [401] * TRIES + [429]
    other = Desk(at.app, at.workshop, site=at.site, address="192.0.2.21")
    assert other.post("/api/sign-in", sent).status == 401
    at.app.gate._tries[:] = [(clock.now, f"192.0.2.{i}") for i in range(ALL_TRIES - 1)]  # type: ignore[union-attr]
    other.address = "192.0.2.200"
    assert [other.post("/api/sign-in", sent).status for _ in range(2)] == [401, 429]
    clock.now += EVERY
    assert at.post("/api/sign-in", sent).status == 401


def test_a_token_that_was_planted_is_not_taken_on_and_signing_in_again_makes_a_new_one(at: Desk) -> None:
    planted = "a-token-of-somebody-else"
    sent = {"person": "T1", "secret": SECRETS["T1"]}
    came = at.post("/api/sign-in", sent, cookie=f"{at.site.cookie}={planted}")
    token = came.headers["set-cookie"].split(";")[0].partition("=")[2]
    assert token != planted
    assert at.get("/api/repairs", cookie=f"{at.site.cookie}={planted}").status == 401
    again = at.post("/api/sign-in", sent, cookie=f"{at.site.cookie}={token}")
    newer = again.headers["set-cookie"].split(";")[0].partition("=")[2]
    assert at.get("/api/repairs", cookie=f"{at.site.cookie}={token}").status == 401
    assert at.get("/api/repairs", cookie=f"{at.site.cookie}={newer}").status == 200


def test_a_session_ends_idle_and_in_any_case(at: Desk, clock: Ticks) -> None:
    desk = signed_in_as(at, "T1")
    clock.now += IDLE
    assert desk.get("/api/repairs").status == 200
    clock.now += IDLE + 1
    assert desk.get("/api/repairs").status == 401
    desk, begun = signed_in_as(at, "T1"), clock.now
    while clock.now + IDLE < begun + LONGEST:
        clock.now += IDLE
        assert desk.get("/api/repairs").status == 200
    clock.now = begun + LONGEST
    assert desk.get("/api/repairs").status == 200
    clock.now += 1
    assert desk.get("/api/repairs").status == 401


def test_what_pages_ask_by_themselves_keeps_nobody_signed_in_and_a_cure_is_watched_on(
    at: Desk, clock: Ticks
) -> None:
    gate = at.app.gate
    token = signed_in_as(at, "T1").token
    pulse, watch = f"{REPAIR}/pulse", f"{REPAIR}/cures/1/watch"
    clock.now += IDLE - 1
    assert gate.still(token, "GET", pulse)  # type: ignore[union-attr]
    clock.now += 2
    assert gate.still(token, "GET", pulse) is None  # type: ignore[union-attr]
    assert gate.still(token, "GET", watch)  # type: ignore[union-attr]
    assert gate.still(token, "POST", watch) is None  # type: ignore[union-attr]
    assert gate.still(token, "GET", "/api/repairs") is None  # type: ignore[union-attr]
    clock.now += LONGEST
    assert gate.still(token, "GET", watch) is None  # type: ignore[union-attr]


def test_who_signs_out_is_out_and_everywhere_where_that_is_asked(at: Desk) -> None:
    one, two = signed_in_as(at, "T1"), signed_in_as(at, "T1")
    left = one.post("/api/sign-out", {})
    assert "max-age=0" in left.headers["set-cookie"].lower()
    assert one.get("/api/repairs").status == 401
    assert two.get("/api/repairs").status == 200
    third = signed_in_as(at, "T1")
    assert third.post("/api/sign-out", {"everywhere": True}).status == 200
    assert two.get("/api/repairs").status == 401


def test_a_person_has_so_many_sessions_at_a_time(at: Desk, clock: Ticks) -> None:
    desks = []
    for _ in range(MOST_EACH + 1):
        clock.now += EVERY + 1
        desks.append(signed_in_as(at, "E1"))
    assert [d.get("/api/repairs").status for d in desks] == [401] + [200] * MOST_EACH


def test_a_person_who_is_removed_or_given_a_new_code_is_out_at_once() -> None:
    with lan_desk() as desk:
        book = desk.workshop.book
        assert book is not None
        keeper = Who("K1", SECRETS["K1"])
        there, other = signed_in_as(desk, "T1"), signed_in_as(desk, "S1")
        book.remove_person(keeper, "T1", "left the shop")
        book.new_code(keeper, "S1", "lost the secret")
        assert there.post(f"{REPAIR}/taps", {}).status == 401
        assert other.post(f"{REPAIR}/taps", {}).status == 401


def test_what_is_refused_is_told_at_the_terminal_and_nothing_of_what_was_sent(
    at: Desk, caplog: pytest.LogCaptureFixture
) -> None:
    them = signed_in_as(at, "T1")
    sent = {"person": "K1", "secret": "a secret that is seen", "number": "T1", "roles": [], "why": "x"}
    assert them.get("/api/nothing").status == 404
    assert not caplog.records  # what is only looked at fills no log
    assert them.post("/api/people/roles", sent).status == 403
    assert at.post("/api/people/roles\nrefused", sent).status == 401
    assert at.post("/api/sign-in", sent, origin="https://another.example").status == 403
    told = [r.getMessage() for r in caplog.records]
    assert told[0] == "refused: POST '/api/people/roles' by 'T1': 403 role"
    assert told[1:] == [
        "refused: POST '/api/people/roles\\nrefused' by '': 401 session",
        "refused: POST '/api/sign-in' by '': 403 origin",
    ]
    assert "seen" not in caplog.text


def test_a_page_asks_who_comes_and_shows_nothing_before(at: Desk) -> None:
    page = at.get(f"/repairs/{DEMO}", accept="text/html")
    assert page.status == 401
    assert b"data-sign-in" in page.body
    assert DEMO.encode() not in page.body
    assert b'href="/shelves"' not in page.body


# --- whose name is written


def test_a_form_that_names_another_than_who_signed_in_is_refused(at: Desk) -> None:
    desk = signed_in_as(at, "P1")
    sent = {"person": "E1", "secret": SECRETS["E1"]}
    refused = desk.post(f"{REPAIR}/job", sent)
    assert (refused.status, refused.json["type"]) == (403, "panelmend:another-signed-in")
    digest = at.workshop.open(DEMO).made.plan.case.digest
    row = {"figure": "plies", "by": "D. Ruiz", "on": "2026-11-27"}
    refused = desk.post(f"{REPAIR}/inputs/row", {"seen": digest, "table": "confirm", "typed": row})
    assert (refused.status, refused.json["type"]) == (403, "panelmend:another-signed-in")
    changed = desk.post(f"{REPAIR}/inputs/change", {"seen": digest, "typed": {"confirm.0.by": "D. Ruiz"}})
    assert changed.status == 422


def test_whoever_takes_the_device_signs_in_and_who_had_it_is_out(at: Desk) -> None:
    desk = signed_in_as(at, "T1")
    taken = desk.post("/api/hold", {"person": "I1", "secret": SECRETS["I1"]})
    assert taken.json == {"person": "I1", "name": "M. Verrin"}
    token = taken.headers["set-cookie"].split(";")[0].partition("=")[2]
    assert desk.get("/api/repairs").status == 401
    assert at.get(f"{REPAIR}/pulse", cookie=f"{at.site.cookie}={token}").json["holder"] == "I1"


def test_secrets_of_invented_people_are_not_shown_to_other_machines(at: Desk) -> None:
    page = signed_in_as(at, "T1").get(f"/repairs/{DEMO}/card", accept="text/html")
    assert page.status == 200
    assert b'class="secret"' not in page.body


# --- the way here


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8443", "192.0.2.10", "192.0.2.10:8444", "other.example:8443", None]
)
def test_another_host_is_refused(at: Desk, host: str | None) -> None:
    assert at.get("/", host=host).status == 421
    assert at.get("/", host="workshop.example:8443").status == 401


@pytest.mark.parametrize(
    "origin", ["http://192.0.2.10:8443", "https://other.example", "https://192.0.2.10", "null", None]
)
def test_a_write_of_another_origin_is_refused(at: Desk, origin: str | None) -> None:
    sent = {"person": "T1", "secret": SECRETS["T1"]}
    assert at.post("/api/sign-in", sent, origin=origin).status == 403
    assert signed_in_as(at, "T1").post(f"{REPAIR}/try", {}, origin=origin).status == 403


def test_without_tls_nothing_is_answered(at: Desk) -> None:
    plain = Desk(at.app, at.workshop, signed_in_as(at, "T1").token, site=at.site, scheme="http")
    for path in ("/", "/static/page.js", "/api/repairs", "/api/sign-in"):
        refused = plain.get(path)
        assert (refused.status, refused.json["type"]) == (403, "panelmend:plain")


def test_browsers_are_told_to_come_by_tls_alone(at: Desk) -> None:
    for path in ("/", "/static/page.js", "/api/repairs"):
        assert at.get(path).headers["strict-transport-security"] == "max-age=31536000"


def test_the_key_of_this_machine_opens_nothing(at: Desk) -> None:
    assert at.get("/enter?key=").status == 401
    refused = signed_in_as(at, "T1").get("/enter?key=")
    assert refused.status == 401


def test_nobody_signs_in_where_there_are_no_people() -> None:
    with lan_desk() as desk:
        desk.app.gate.book = lambda: None  # type: ignore[union-attr]
        assert desk.post("/api/sign-in", {"person": "K1", "secret": SECRETS["K1"]}).status == 401


def test_a_reading_of_another_waits_and_is_not_refused_for_good(at: Desk) -> None:
    asked = {"person": "T1", "blank": 1, "typed": "1"}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            "panelmend.screen.api_card.book_and_job", lambda request, name: (at.workshop.book, None)
        )
        waits = signed_in_as(at, "I1").post(f"{REPAIR}/steps/1/reading", asked)
    assert (waits.status, waits.json["type"]) == (401, "panelmend:another-holder")
