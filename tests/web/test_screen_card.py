"""The card by its own calls: the whole job, who may do what, nothing signed that was not shown."""

from __future__ import annotations

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest

from panelmend.app.cardwork import step_now
from panelmend.records import events as e
from panelmend.records.book import Who
from panelmend.screen import guard
from panelmend.screen.holding import LAPSE, AnotherHolds, Holding, NobodyHolds
from panelmend.screen.page import environment
from panelmend.screen.workshop import DEMO
from records_made import report_of
from screen_made import REPAIR, Answer, Desk, desk
from screen_walk import typed_in

STEPS = f"{REPAIR}/steps"


class Shop:
    """A desk with the demonstration's records begun."""

    def __init__(self, at: Desk) -> None:
        self.at = at
        made = at.post(f"{REPAIR}/demonstration", {})
        assert made.status == 200, made.body
        self.people = {p["role"]: p for p in made.json["people"]}

    def who(self, role: str) -> dict[str, str]:
        """A person's number and secret."""
        return {k: self.people[role][k] for k in ("person", "secret")}

    def begin(self) -> Answer:
        """The planner begins the job."""
        return self.at.post(f"{REPAIR}/job", self.who("planner"))

    def hold(self, role: str) -> Answer:
        """A person takes the device."""
        return self.at.post("/api/hold", self.who(role))

    def sign(self, number: int, role: str, meaning: str, **more: str) -> Answer:
        """Look, then sign."""
        shown = self.at.get(f"{STEPS}/{number}/shown").json
        sent = {**self.who(role), "meaning": meaning, **{k: shown[k] for k in ("content", "ticket")}, **more}
        return self.at.post(f"{STEPS}/{number}/sign", sent)

    @property
    def job(self) -> Any:
        """The job as the records have it."""
        found = self.at.workshop.job_of(DEMO)
        assert found is not None
        return found[1]


def _now(shop: Shop) -> str:
    book = shop.at.workshop.book
    assert book is not None
    return str(max(book.state.latest, book.log.now().strftime("%Y-%m-%dT%H:%M:%S.000Z")))[:19] + "+00:00"


@pytest.fixture(scope="module")
def shop() -> Iterator[Shop]:
    """The invented shop, its job begun."""
    with desk() as at:
        made = Shop(at)
        begun = made.begin()
        assert begun.json == {"job": DEMO}
        yield made


def test_before_anything_is_written_the_card_says_how_to_begin() -> None:
    with desk() as at:
        page = at.get(f"/repairs/{DEMO}/card")
        assert page.status == 200
        assert b"data-demonstration" in page.body
        assert at.get(f"{STEPS}/1").status == 404
        assert at.post("/api/hold", {"person": "T1", "secret": "x"}).status == 404


def test_a_plan_that_is_not_ready_begins_no_job() -> None:
    with desk() as at:
        shop = Shop(at)
        repair = at.workshop.open(DEMO)
        sent = {
            "seen": repair.made.plan.case.digest,
            "side": "outside",
            "move": {"what": "cutout", "dx": 6.0},
        }
        assert at.post(f"{REPAIR}/change", sent).json["answer"]["standing"] == "STOP"
        refused = shop.begin()
        assert (refused.status, refused.json["type"]) == (409, "panelmend:R121")


def test_the_repair_is_not_changed_while_a_job_goes_by_it(shop: Shop) -> None:
    seen = shop.at.workshop.open(DEMO).made.plan.case.digest
    text = shop.at.workshop.open(DEMO).path.read_bytes()
    sent = {"seen": seen, "side": "outside"}
    for path, body in (
        ("change", {**sent, "typed": {"bay.humidity": "50 %"}}),
        ("back", sent),
        ("survey/into", sent),
    ):
        refused = shop.at.post(f"{REPAIR}/{path}", body)
        assert (refused.status, refused.json["type"]) == (409, "panelmend:in-work"), path
    assert shop.at.workshop.open(DEMO).path.read_bytes() == text


def test_nobody_writes_without_holding_the_device_and_a_wrong_secret_is_entered(shop: Shop) -> None:
    shop.at.post("/api/put-down", {})
    reading = {"blank": 1, "typed": "Rev 11", "person": "T1"}
    refused = shop.at.post(f"{STEPS}/1/reading", reading)
    assert (refused.status, refused.json["type"]) == (401, "panelmend:holder")
    book = shop.at.workshop.book
    assert book is not None
    before = book.state.number
    wrong = shop.at.post("/api/hold", {**shop.who("technician"), "secret": "not the secret"})
    assert (wrong.status, wrong.json["type"]) == (401, "panelmend:R113")
    assert book.state.number == before + 1  # the failure stands in the log
    assert shop.at.post(f"{STEPS}/1/reading", reading).status == 401
    right = shop.hold("technician")
    assert right.json == {"person": "T1", "name": shop.people["technician"]["name"]}
    assert book.state.number == before + 1
    other = Desk(shop.at.app, shop.at.workshop, str(shop.at.app.gate.enter(shop.at.app.gate.printed)))
    assert other.post(f"{STEPS}/1/reading", reading).status == 401  # another browser is not held


def test_a_reading_is_judged_as_typed_and_nothing_is_kept(shop: Shop) -> None:
    job = shop.job
    step, place, blank = next(
        (s, i, b)
        for s in job.opened.steps
        for i, b in enumerate(s.blanks, 1)
        if b.ask == "figures" and b.low and b.high
    )
    book = shop.at.workshop.book
    assert book is not None
    before = book.state.number

    def judged(typed: str) -> tuple[str, str]:
        made = shop.at.post(f"{STEPS}/{step.number}/judge", {"blank": place, "typed": typed}).json
        return made["met"], made["fault"]

    low, high = str(blank.low), str(blank.high)
    assert judged(low) == judged(high) == ("WITHIN LIMIT", "")
    assert judged(high + ("1" if "." in high else ".001")) == ("OUTSIDE LIMIT", "")
    assert judged(str(float(low) - 0.001)) == ("OUTSIDE LIMIT", "")
    assert judged("") == ("NOT YET", "")
    assert judged("some")[0] == "NOT YET"
    assert judged("some")[1]
    assert book.state.number == before


def test_the_whole_job_from_its_first_step_to_the_signed_release(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guard, "EACH_SECOND", 1e6)  # a whole job in seconds is no person's pace
    at, book = shop.at, shop.at.workshop.book
    assert book is not None
    assert shop.hold("technician").status == 200
    for step in shop.job.opened.steps:
        n = step.number
        found = at.get(f"{STEPS}/{n}").json
        assert found.get("at") == "READY", (step.title, found)
        if step.blanks and n % 9 == 1:
            early = shop.sign(n, "technician", "did")
            assert early.json["type"] == "panelmend:R125", step.title  # a blank is open
        if any(b.names == "lots" for b in step.blanks):
            drawn = at.post(
                f"{STEPS}/{n}/draw", {**shop.who("storekeeper"), "lot": "R-118", "amount": "0,25", "drawn": 0}
            )
            assert drawn.status == 200, (step.title, drawn.json)
        for i, blank in enumerate(step.blanks, 1):
            sent = {"blank": i, "person": "T1", **typed_in(blank)}
            if sent["typed"] == "now":
                sent["typed"] = _now(shop)
            made = at.post(f"{STEPS}/{n}/reading", sent)
            assert made.status == 200, (step.title, blank.what, made.json)
            if n < 4:  # sent twice, as after a lost answer: written once
                count = book.state.number
                assert at.post(f"{STEPS}/{n}/reading", sent).status == 200
                assert book.state.number == count
        if step.cure:
            who = Who(*shop.who("technician").values())
            log = f"log {step.key}".encode()
            book.keep_verdict(who, DEMO, step.key, step.cure, e.Judged.CONFORMS, log, report_of(log))
        said = {}
        if step.pieces or step.pots:  # neither labels nor batches were entered on this screen
            bare = shop.sign(n, "technician", "did")
            assert bare.json["type"] == "panelmend:R305", step.title
            said = {"why": "labels read and batch written on the paper card"}
        signed = shop.sign(n, "technician", "did", **said)
        assert signed.status == 200, (step.title, signed.json)
        if step.hold and step.hold_by != "certificate holder":
            assert at.get(f"{STEPS}/{n}").json["at"] == "HOLD"
            assert shop.sign(n, "technician", "accepted").json["status"] == 409
            accepted = shop.sign(n, str(step.hold_by), "accepted")
            assert accepted.json.get("at") == "COMPLETE", (step.title, accepted.json)
    last = shop.job.opened.steps[-1].number
    shown = at.get(f"{STEPS}/{last}/shown?release=true").json
    entry = {
        **shop.who("inspector"),
        **{k: shown[k] for k in ("content", "ticket")},
        "description": "Repair 7 of M3-SRM 52-10-17",
        "completed": _now(shop)[:10],
        "certificate_number": "RS-12",
        "certificate_kind": "repair station",
    }
    done = at.post(f"{STEPS}/{last}/release", entry)
    assert done.status == 200, done.json
    assert shop.job.closed == "released"
    assert book.log.check().holds
    assert at.post(f"{STEPS}/{last}/release", entry).status == 409


def test_a_signature_is_good_for_what_was_shown_and_once() -> None:
    with desk() as at:
        shop = Shop(at)
        shop.begin()
        shop.hold("technician")
        for i, typed in enumerate(("Rev 11", "M3-5201-17-1", "0088"), 1):
            at.post(f"{STEPS}/1/reading", {"blank": i, "typed": typed, "person": "T1"})
        shown = at.get(f"{STEPS}/1/shown").json
        seen = {k: shown[k] for k in ("content", "ticket")}
        sent = {**shop.who("technician"), "meaning": "did", **seen}
        changed = at.post(f"{STEPS}/1/reading", {"blank": 1, "typed": "Rev 12", "person": "T1"})
        assert changed.json["type"] == "panelmend:R134"  # written again wants a reason
        again = {"blank": 1, "typed": "Rev 12", "why": "misread", "person": "T1"}
        assert at.post(f"{STEPS}/1/reading", again).status == 200
        assert at.post(f"{STEPS}/1/sign", sent).json["type"] == "panelmend:R129"
        assert shop.sign(1, "technician", "did").json["at"] == "HOLD"
        page = at.get(f"/repairs/{DEMO}/card/1").body.decode()
        assert "Rev 11" in page  # what stood there before stays to be read
        assert "disabled" in page


def test_a_blocked_step_takes_nothing_and_a_time_ahead_has_no_now() -> None:
    with desk() as at:
        shop = Shop(at)
        shop.begin()
        job = shop.job
        mixed = next(s for s in job.opened.steps if any(b.ahead for b in s.blanks))
        page = at.get(f"/repairs/{DEMO}/card/{mixed.number}").body.decode()
        assert page.count("disabled") >= len(mixed.blanks)
        assert "data-now" not in page
        shop.hold("technician")
        refused = at.post(f"{STEPS}/{mixed.number}/reading", {"blank": 1, "typed": "1", "person": "T1"})
        assert refused.status in (409, 422)
        step = step_now(at.workshop.job_of(DEMO)[0].state, DEMO, mixed.number, None)  # type: ignore[index]
        html = (
            environment()
            .get_template("step_part.html")
            .render(step=replace(step, at="READY", pots=1, pieces=("P1",)), spoken=lambda words: "")
        )
        assert all(f'data-scan="{field}"' in html for field in ("label-code", "batch-lot-1"))
        times = [b for b in step.blanks if b.entry == "time"]
        assert html.count("data-now") == sum(not b.ahead for b in times)
        assert any(b.ahead for b in times)


def test_several_tablets_at_once_lose_and_double_nothing() -> None:
    with desk() as at:
        shop = Shop(at)
        shop.begin()
        assert shop.hold("technician").status == 200

        def tablet(n: int) -> list[int]:
            made = []
            for i in range(6):
                sent = {"blank": 1 + n % 3, "typed": f"{n} {i}", "why": "again", "person": "T1"}
                made.append(at.post(f"{STEPS}/1/reading", sent).status)
                made.append(at.get(f"/repairs/{DEMO}/card").status)
            return made

        with ThreadPoolExecutor(6) as pool:
            answers = [status for made in pool.map(tablet, range(6)) for status in made]
        assert set(answers) == {200}
        attempt = shop.job.now(shop.job.opened.steps[0].key)
        written = [f.reading.typed for f in (*attempt.replaced, *attempt.filled.values())]
        assert sorted(written) == sorted(f"{n} {i}" for n in range(6) for i in range(6))
        book = at.workshop.book
        assert book is not None
        assert book.log.check().holds


def test_a_device_is_put_down_by_itself() -> None:
    now = [0.0]
    holding = Holding(lambda: now[0])
    holding.take("token", Who("T1", "secret"), "R. Osk")
    now[0] += LAPSE
    assert holding.who("token", "T1").person == "T1"
    now[0] += LAPSE
    assert holding.who("token", "T1").person == "T1"  # work keeps it
    with pytest.raises(AnotherHolds):
        holding.who("token", "I1")
    now[0] += LAPSE + 1
    assert holding.person("token") == ("", "")
    with pytest.raises(NobodyHolds):
        holding.who("token", "T1")


def test_people_are_made_up_for_an_invented_repair_alone() -> None:
    with desk() as at:
        path = at.workshop.open(DEMO).path
        path.write_text(path.read_text("utf8").replace("invented = true", "invented = false", 1), "utf8")
        refused = at.post(f"{REPAIR}/demonstration", {})
        assert refused.status == 422
        assert "invented" in refused.json["title"]
        assert at.workshop.book is None


def test_the_steps_that_lay_thermocouples_show_them(shop: Shop) -> None:
    """The heat survey on the dry stack gave their places in a table beside a drawing without them."""
    seen = 0
    for step in shop.job.opened.steps:
        if step.id not in ("D6", "D7", "O19", "O20") or not step.operation:
            continue
        page = shop.at.get(f"/repairs/{DEMO}/card/{step.number}").body.decode()
        for layer in ("tc", "blanket"):
            found = re.search(rf'<g data-layer="{layer}-{step.operation}"[^>]*>', page)
            assert found is not None
            assert "hidden" not in found[0], f"{layer}: step {step.number} ({step.id})"
        seen += 1
    assert seen > 4
