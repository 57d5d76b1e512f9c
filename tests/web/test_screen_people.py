"""The people of the workshop: seen by everybody who came in, changed by a keeper with a fresh secret."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from panelmend.screen.api_people import SOON, stands
from panelmend.screen.workshop import Workshop
from screen_made import SECRETS, Desk, desk, lan_desk, people_put_in, signed_in_as

NEW = "a secret of one's own"


@pytest.fixture
def at() -> Iterator[Desk]:
    """A desk where nobody is signed in."""
    with lan_desk() as made:
        yield made


def _by(person: str = "K1", **more: object) -> dict[str, object]:
    return {"person": person, "secret": SECRETS[person], **more}


def test_a_person_is_added_sets_their_own_secret_and_comes_in(at: Desk) -> None:
    keeper = signed_in_as(at, "K1")
    told = keeper.post("/api/people/add", _by(number="T2", name="N. Vale", roles=["technician"])).json
    listed = {p["number"]: p for p in keeper.get("/api/people").json["people"]}
    assert listed["T2"] == {
        "number": "T2", "name": "N. Vale", "roles": ["technician"], "authorised": [], "secret": False,
        "code_until": told["until"], "sessions": 0,
    }  # fmt: skip
    assert (listed["K1"]["sessions"], listed["K1"]["secret"]) == (1, True)
    assert told["code"].encode() not in keeper.get("/people").body
    wrong = at.post("/api/enrol", {"person": "T2", "code": "0000", "secret": NEW})
    nobody = at.post("/api/enrol", {"person": "T9", "code": "0000", "secret": NEW})
    assert (wrong.status, wrong.body) == (nobody.status, nobody.body)
    assert wrong.status == 401
    weak = at.post("/api/enrol", {"person": "T2", "code": told["code"], "secret": "too short"})
    assert weak.json["type"] == "panelmend:R115"
    assert at.post("/api/enrol", {"person": "T2", "code": told["code"], "secret": NEW}).status == 200
    assert at.post("/api/enrol", {"person": "T2", "code": told["code"], "secret": NEW}).status == 401
    came = at.post("/api/sign-in", {"person": "T2", "secret": NEW})
    assert came.json == {"person": "T2", "name": "N. Vale"}


def test_what_a_keeper_does_asks_for_the_secret_anew_and_a_wrong_one_changes_nothing(at: Desk) -> None:
    keeper = signed_in_as(at, "K1")
    sent = {"person": "K1", "secret": "not the secret", "number": "T1", "why": "left the shop"}
    assert keeper.post("/api/people/remove", sent).json["type"] == "panelmend:R113"
    assert "T1" in [p["number"] for p in keeper.get("/api/people").json["people"]]
    answer = keeper.post("/api/people/remove", _by(number="T1", why="left the shop")).json
    assert "T1" not in [p["number"] for p in answer["people"]]
    assert answer["gone"] == 1


def test_another_keepers_name_is_not_written_by_who_signed_in(at: Desk) -> None:
    refused = signed_in_as(at, "K1").post("/api/people/remove", _by("K2", number="T1", why="left"))
    assert (refused.status, refused.json["type"]) == (403, "panelmend:another-signed-in")


@pytest.mark.parametrize("path", ["add", "code", "roles", "remove", "authorise", "end-authorisation"])
def test_nobody_but_a_keeper_changes_people(at: Desk, path: str) -> None:
    for person in ("T1", "P1", "I1", "E1", "S1"):
        refused = signed_in_as(at, person).post(f"/api/people/{path}", {})
        assert (refused.status, refused.json["type"]) == (403, "panelmend:role"), person
    assert signed_in_as(at, "K2").post(f"/api/people/{path}", {}).status == 422
    page = signed_in_as(at, "T1").get("/people")
    assert page.status == 200
    assert b"data-act" not in page.body


def test_roles_and_authorisations_change_and_end(at: Desk) -> None:
    keeper = signed_in_as(at, "K1")
    until = (date.today() + timedelta(days=400)).isoformat()

    def of(answer: object, number: str) -> dict[str, object]:
        return next(p for p in answer.json["people"] if p["number"] == number)  # type: ignore[attr-defined]

    sent = _by(number="T1", scope="inspection", until=until, paper="certificate 12")
    there = of(keeper.post("/api/people/authorise", sent), "T1")
    assert {"scope": "inspection", "until": until, "stands": "in_force"} in there["authorised"]  # type: ignore[operator]
    ended = keeper.post(
        "/api/people/end-authorisation", _by(number="T1", scope="inspection", why="test failed")
    )
    assert [a["scope"] for a in of(ended, "T1")["authorised"]] == ["bonding"]  # type: ignore[attr-defined]
    roles = keeper.post("/api/people/roles", _by(number="T1", roles=["technician", "planner"], why="both"))
    assert of(roles, "T1")["roles"] == ["planner", "technician"]
    own = keeper.post(
        "/api/people/roles", _by(number="K1", roles=["keeper of accounts", "planner"], why="me")
    )
    assert own.json["type"] == "panelmend:R118"


def test_a_new_secret_kills_the_old_one_and_the_session(at: Desk) -> None:
    there = signed_in_as(at, "T1")
    told = signed_in_as(at, "K1").post("/api/people/code", _by(number="T1", why="lost it")).json
    assert there.post("/api/sign-out", {}).status == 401
    assert at.post("/api/sign-in", {"person": "T1", "secret": SECRETS["T1"]}).status == 401
    assert at.post("/api/enrol", {"person": "T1", "code": told["code"], "secret": NEW}).status == 200
    assert at.post("/api/sign-in", {"person": "T1", "secret": NEW}).status == 200


@pytest.mark.parametrize(
    ("days", "word"), [(-1, "past"), (0, "soon"), (SOON, "soon"), (SOON + 1, "in_force")]
)
def test_an_authorisation_is_in_force_on_its_last_day_and_says_when_it_ends_soon(
    days: int, word: str
) -> None:
    today = date(2026, 11, 27)
    assert stands((today + timedelta(days=days)).isoformat(), today) == word


def test_on_this_machine_alone_the_form_says_who_the_keeper_is() -> None:
    with desk() as made:
        assert b"records.sqlite begin NUMBER NAME" in made.get("/people").body
        assert made.get("/api/people").status == 404
        assert made.post("/api/enrol", {"person": "T1", "code": "0", "secret": NEW}).status == 404
        assert made.post("/api/sign-in", {"person": "K1", "secret": SECRETS["K1"]}).status == 404
        people_put_in(made.workshop.folder)
        assert isinstance(made.workshop, Workshop)
        assert b'data-act="add"' in made.get("/people").body
        added = made.post("/api/people/add", _by("K2", number="T2", name="N. Vale", roles=["technician"]))
        assert added.status == 200
        assert made.get("/api/people", cookie=None).status == 401
        refused = made.post("/api/people/remove", _by("T1", number="T2", why="not theirs"))
        assert refused.json["type"] == "panelmend:R111"
