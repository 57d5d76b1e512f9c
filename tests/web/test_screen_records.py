"""What else the records take, by the service: papers, re-tests, coupons, revisions, clocks, copies."""

from __future__ import annotations

import hashlib
import io
import zipfile
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from panelmend.records.canonical import sha256
from panelmend.records.doing.standing import At, standing
from panelmend.screen import api_records
from panelmend.screen.guard import UPLOAD
from records_made import A1, A3, JOB, KEYS, O11, O20, ON_POSTGRESQL, Shop, secret_of, shop, steps, who
from records_web import Web
from screen_made import Answer, Desk

PDF = b"%PDF-1.7 a scan"


class Office:
    """The service with the invented shop's records; each person by their own session."""

    def __init__(self) -> None:
        self.shop: Shop = shop()
        self.web = Web(self.shop.book, lambda n: 0)

    def post(self, by: str, path: str, *, secret: str = "", **sent: object) -> Answer:
        """Send with a fresh secret."""
        sent |= {"person": by, "secret": secret or secret_of(by)}
        return self.web._as(self.web._token(who(by)), "POST", path, sent)

    def plain(self, by: str, path: str, **sent: object) -> Answer:
        """Send what asks no secret."""
        return self.web._as(self.web._token(who(by)), "POST", path, sent)

    def get(self, by: str, path: str) -> Answer:
        """Read."""
        return self.web._as(self.web._token(who(by)), "GET", path)

    def put(self, by: str, data: bytes = PDF, digest: str = "", file: str = "scan.pdf") -> Answer:
        """Put a paper in."""
        made = Desk(
            self.web.desk.app, self.web.desk.workshop, self.web._token(who(by)), site=self.web.desk.site,
            address=self.web.desk.address,
        )  # fmt: skip
        named = digest or hashlib.sha256(data).hexdigest()
        path = f"/api/records/papers?file={file}&digest={named}"
        return made.ask("PUT", path, data, content_type=UPLOAD)

    def step(self, key: str) -> str:
        """The address of a step."""
        return f"/api/repairs/{JOB}/steps/{self.shop.state.jobs[JOB].steps[key].number}"


@pytest.fixture
def office() -> Office:
    return Office()


def _kind(answer: Answer) -> tuple[int, str]:
    return answer.status, str(answer.json["type"])


def _on_paper(office: Office, **over: object) -> dict[str, Any]:
    """What a step on paper of the day before says."""
    made = office.shop
    made.begin_job()
    made.do(A1, A3, O11)
    made.time.go(days=1)
    done = made.time.at - timedelta(days=1)
    return {
        "scan": sha256(PDF),
        "readings": [f"1={done:%Y-%m-%d %H:%M}Z", "2=22"],
        "did": "T1",
        "did_at": f"{done:%Y-%m-%d %H:%M}Z",
        "accepted": "I1",
        "accepted_at": f"{done + timedelta(minutes=5):%Y-%m-%d %H:%M}Z",
        "why": "no machine at the panel",
        **over,
    }


def test_a_step_on_paper_is_typed_by_one_and_checked_by_another(office: Office) -> None:
    sent = _on_paper(office)
    path = office.step(O20)
    before = office.shop.state.number
    assert office.post("T2", f"{path}/transcribe", **sent).status in (400, 409, 422), "no scan was put in"
    assert office.shop.state.number == before
    assert office.put("T2").status == 200
    typed = office.post("T2", f"{path}/transcribe", **sent)
    assert typed.status == 200, typed.body
    assert standing(office.shop.state.jobs[JOB], O20).at is At.READY, "typed alone it does not count"
    seen = office.get("I2", f"{path}/paper").json
    assert any("22" in x for x in seen["lines"])
    assert office.get("I2", f"{path}/scan").body == PDF
    signed = {k: seen[k] for k in ("entry", "content", "ticket")}
    assert _kind(office.post("T2", f"{path}/paper-checked", **signed)) == (403, "panelmend:role")
    assert _kind(office.post("I1", f"{path}/paper-checked", **signed)) == (409, "panelmend:R146")
    assert office.post("I2", f"{path}/paper-checked", **signed).status == 200
    assert standing(office.shop.state.jobs[JOB], O20).at is At.COMPLETE
    assert office.post("I2", f"{path}/paper-checked", **signed).status == 409, "good once"
    assert office.shop.book.log.check().holds


def test_a_paper_that_did_not_come_whole_or_is_of_no_kind_is_not_kept(office: Office) -> None:
    before = office.shop.state.number
    assert office.put("T2", digest="0" * 64).status >= 400
    assert office.put("T2", b"MZ not a paper", file="scan.pdf").status >= 400
    assert office.put("T2", PDF, file="scan.exe").status >= 400
    assert office.put("T2", PDF, file="..%2Fscan.pdf").status >= 400
    assert office.put("K1").status == 403, "no row of theirs takes a paper"
    assert office.shop.state.number == before


def test_a_re_test_is_reported_with_its_paper_and_taken_on_by_another(office: Office) -> None:
    office.shop.receive("L1", expires="2026-11-27")
    sent = {"lot": "L1", "until": "2027-01-31", "ground": "51-30-04", "paper": sha256(PDF)}
    assert office.put("S1").status == 200
    told = office.post("S1", "/api/records/re-test", **sent)
    assert told.status == 200, told.body
    taken = {"kind": "re-test taken on", "lot": "L1", "report": told.json["number"], "until": "2027-01-31"}
    assert office.post("S1", "/api/stores/entries", what=taken).status in (403, 409)
    assert office.shop.state.lots["L1"].expires == "2026-11-27"
    assert office.post("E1", "/api/stores/entries", what=taken).status == 200
    assert office.shop.state.lots["L1"].expires == "2027-01-31"
    assert office.post("T1", "/api/records/re-test", **sent).status == 403


def test_a_coupon_gets_its_result_with_its_report(office: Office) -> None:
    made = office.shop
    made.begin_job()
    made.do(A1, A3)
    made.receive("L1")
    made.book.issue(who("S1"), "L1", JOB, O11, "1")
    made.book.know_instrument(who("I1"), "TM-1", "tensile machine", "C-7", "2027-01-31")
    made.book.make_coupon(who("T1"), JOB, O11, "W-1", "lap shear", ("L1",))
    sent = {
        "job": JOB, "coupon": "W-1", "value": "21.5", "unit": "MPa", "least": "20", "ground": "51-30-04",
        "instrument": "TM-1", "broke": "in the adhesive", "paper": sha256(PDF),
    }  # fmt: skip
    before = made.state.number
    assert office.post("I1", "/api/records/coupon-result", **sent).status >= 400, "no report was put in"
    assert made.state.number == before
    assert office.put("I1").status == 200
    assert office.post("I1", "/api/records/coupon-result", **{**sent, "value": "much"}).status >= 400
    answer = office.post("I1", "/api/records/coupon-result", **sent)
    assert answer.status == 200, answer.body
    assert made.state.coupons["W-1"].results[0][0].value == "21.5"


def test_a_job_is_revised_and_stopped(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    made = office.shop
    made.begin_job()
    made.do(A1, A3)
    fields = {
        "job": JOB, "document": b"the document, revised", "plan": sha256("another plan"), "standing": "READY",
        "pages": {"job-card.pdf": b"pages"}, "panel": "M3-5201-17-1", "serial": "0088", "steps": steps(),
    }  # fmt: skip
    monkeypatch.setattr(api_records, "plan_for_records", lambda path, head: fields)
    monkeypatch.setattr(office.web.desk.workshop, "open", lambda name: SimpleNamespace(path=Path("job.toml")))
    path = f"/api/repairs/{JOB}/revise"
    assert office.post("T1", path, why="more damage").status == 403
    assert office.post("P1", path, secret="another long secret", why="more damage").status >= 400
    assert made.state.jobs[JOB].revisions == []
    answer = office.post("P1", path, why="more damage")
    assert answer.status == 200, answer.body
    assert made.state.jobs[JOB].opened.plan == sha256("another plan")
    assert office.post("T1", f"/api/records/jobs/{JOB}/stop", why="the owner scrapped it").status == 403
    assert office.post("P1", "/api/records/jobs/none/stop", why="it").status == 404
    assert office.post("P1", f"/api/records/jobs/{JOB}/stop", why="the owner scrapped it").status == 200
    assert made.state.jobs[JOB].closed == "stopped"
    assert office.post("P1", path, why="again").status >= 400
    assert made.book.log.check().holds


def test_a_clock_that_was_wrong_waits_for_two_persons(office: Office) -> None:
    made = office.shop
    made.time.go(days=100)
    number = made.receive("L1", expires="2027-06-01")
    made.time.go(days=-100)
    sent = {"first": number, "last": number, "why": "the clock was set wrong"}
    assert office.post("T1", "/api/records/clock-was-wrong", **sent).status == 403
    first = office.post("K1", "/api/records/clock-was-wrong", **sent)
    assert first.status == 200, first.body
    assert number not in made.state.wrong
    assert office.post("K2", "/api/records/clock-was-wrong", **sent).status == 200
    assert number in made.state.wrong


@pytest.mark.skipif(ON_POSTGRESQL, reason="records on a server are one copy")
def test_copies_are_handed_over_and_taken_back(office: Office) -> None:
    assert office.post("T1", "/api/records/hand-over", why="to the panel").status == 403
    told = office.post("K1", "/api/records/hand-over", why="to the panel")
    assert told.status == 200, told.body
    before = office.shop.state.number
    assert _kind(office.post("K1", "/api/records/hand-over", why="again")) == (409, "panelmend:R236")
    assert office.plain("K1", "/api/records/take-over", token="0" * 32).status == 409
    assert office.plain("T1", "/api/records/take-over", token=told.json["token"]).status == 403
    assert office.shop.state.number == before
    assert office.plain("K1", "/api/records/take-over", token=told.json["token"]).status == 200
    assert office.post("K1", "/api/records/other-is-lost", why="it fell").status == 409, "this one governs"
    office.shop.receive("L1")


@pytest.mark.skipif(ON_POSTGRESQL, reason="of a file and copies of it")
def test_checks_backups_drills_and_packages(office: Office) -> None:
    made = office.shop
    made.begin_job()
    made.do(*KEYS)
    links = office.plain("T1", "/api/records/check").json
    assert (links["faults"], links["rules"], links["number"]) == ([], False, made.state.number)
    whole = office.plain("T1", "/api/records/check", links=False, head=links["head"]).json
    assert (whole["faults"], whole["rules"]) == ([], True)
    assert office.plain("T1", "/api/records/check", head=f"{10**6}-{'0' * 16}").json["faults"]
    assert office.plain("T1", "/api/records/check", head="no head").status >= 400
    assert office.plain("T1", "/api/records/backup").status == 403
    backup = office.plain("K1", "/api/records/backup").json
    assert backup["head"] == whole["head"]
    assert office.plain("K1", "/api/records/drill", backup=backup["backup"]).json["faults"] == []
    assert office.plain("K1", "/api/records/drill", backup="records-20260101T000000Z.sqlite").status == 404
    assert office.plain("K1", "/api/records/drill", backup="../records-2026.sqlite").status == 422
    package = office.get("T1", f"/api/records/jobs/{JOB}/package")
    assert package.status == 200
    assert "check_package.py" in zipfile.ZipFile(io.BytesIO(package.body)).namelist()
    assert office.get("T1", "/api/records/jobs/none/package").status == 404
    assert "lines" in office.get("T1", "/api/records/refused").json
