"""Cure logs on the screen: put in as they are, read as a person confirmed, judged; what is kept with the job
is judged by the job's own document and taken by the records' rules."""

from __future__ import annotations

import html
import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest

from panelmend.screen.guard import LARGEST, UPLOAD
from panelmend.screen.words import say
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, Answer, Desk, chromium, desk, served
from screen_window import RULERS, Window, faults_of_axe

LOG = Path(__file__).parents[2] / "examples/gear_door/cure-repair-plies.csv"
ASKED = {
    "log": "LOG-2.csv",
    "operation": "Repair plies",
    "leak": "24.6 inHg; 24.4 inHg; 1 min; below ambient; 2026-11-25 08:25",
    "vacuum_on": "2026-11-25 08:10",
    "bag_opened": "2026-11-25 13:30",
    "by": "A. Reyes",
}


def put(at: Desk, name: str, data: bytes, **headers: str) -> Answer:
    """Put a file in as the page does."""
    return at.ask("PUT", f"/api/logs/{name}", data, **{"content_type": UPLOAD, **headers})


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk with one log in it, confirmed."""
    with desk() as made:
        assert put(made, "LOG-2.csv", LOG.read_bytes()).status == 200
        yield made


def test_a_log_is_kept_as_it_is_and_never_written_over(at: Desk) -> None:
    kept = at.workshop.watches.logs / "LOG-2.csv"
    assert kept.read_bytes() == LOG.read_bytes()
    assert put(at, "LOG-2.csv", LOG.read_bytes()).status == 200
    other = put(at, "LOG-2.csv", LOG.read_bytes() + b"1")
    assert (other.status, "another log" in other.json["title"]) == (422, True)
    assert kept.read_bytes() == LOG.read_bytes()
    assert at.get("/api/logs").json["names"] == ["LOG-2.csv"]


def test_what_is_no_log_or_too_large_is_refused(at: Desk) -> None:
    for name in ("x.toml", "x.py", ".csv", "x.csv.read.json", "%2e%2e%2fx.csv", "a%2fb.csv"):
        assert put(at, name, b"1,2\n").status in (404, 405, 415, 422), name
    assert put(at, "x.csv", b"1,2\n", content_type="application/json").status == 415
    assert put(at, "x.csv", b"1,2\n", content_type="text/plain").status == 415
    assert put(at, "x.csv", b"1,2\n", content_length=str(LARGEST + 1)).status == 413
    assert put(at, "x.csv", b"1,2\n", origin="http://elsewhere").status == 403
    assert at.ask("POST", f"{REPAIR}/try", b"{}", content_type=UPLOAD).status == 415
    assert put(at, "x.csv", b"").status == 422
    assert sorted(p.name for p in at.workshop.watches.logs.iterdir() if p.suffix == ".csv") == ["LOG-2.csv"]


def test_nothing_is_read_as_suggested_without_a_person(at: Desk) -> None:
    refused = at.post(f"{REPAIR}/judge", ASKED)
    assert (refused.status, "nobody has confirmed" in refused.json["title"]) == (404, True)
    reading = at.get("/api/logs/LOG-2.csv/reading").json
    assert reading["confirmed_by"] == ""
    keys = [q["key"] for q in reading["questions"]]
    assert keys
    still_open = at.post("/api/logs/LOG-2.csv/reading", {"by": "A. Reyes", "answers": {}})
    assert still_open.status == 422
    assert "does not settle" in still_open.json["title"]
    answers = {
        q["key"]: q["suggested"] or (q["choices"][0][0] if q["choices"] else "local")
        for q in reading["questions"]
    }
    wrong = at.post(
        "/api/logs/LOG-2.csv/reading", {"by": "A. Reyes", "answers": {**answers, keys[0]: "neither"}}
    )
    assert wrong.status == 422
    done = at.post("/api/logs/LOG-2.csv/reading", {"by": "A. Reyes", "answers": answers})
    assert done.json["confirmed_by"] == "A. Reyes"


def test_a_verdict_names_what_stands_against_it_and_what_was_not_said(at: Desk) -> None:
    good = at.post(f"{REPAIR}/judge", ASKED)
    assert good.status == 200, good.json
    assert good.json["outcome"] == "conforms", good.json["against"]
    assert 'data-outcome="conforms"' in good.json["html"]
    leaky = at.post(f"{REPAIR}/judge", {**ASKED, "leak": ASKED["leak"].replace("24.4", "20.4")}).json
    assert leaky["outcome"] == "does not conform"
    assert any("leak" in a.lower() for a in leaky["against"])
    bare = at.post(f"{REPAIR}/judge", {**ASKED, "leak": "", "vacuum_on": ""}).json
    assert bare["outcome"] == "cannot be judged"
    assert any(m.startswith("the leak test") for m in bare["missing"])
    assert at.post(f"{REPAIR}/judge", {**ASKED, "operation": "Another"}).status == 404
    assert at.post(f"{REPAIR}/judge", {**ASKED, "vacuum_on": "yesterday"}).status == 422
    assert at.post(f"{REPAIR}/judge", {**ASKED, "log": "none.csv"}).status == 404


def begun(at: Desk) -> dict[str, dict[str, str]]:
    """The demonstration's people with their secrets, its job begun."""
    if at.workshop.job_of(DEMO) is None:
        at.post(f"{REPAIR}/demonstration", {})
    people = {p.person: {"person": p.person, "secret": p.secret} for p in at.workshop.invented()}
    if at.workshop.job_of(DEMO) is None:
        at.post(f"{REPAIR}/job", people["P1"])
    return people


def test_a_verdict_is_kept_by_the_rules_of_the_records(at: Desk) -> None:
    people = begun(at)
    job: Any = at.workshop.job_of(DEMO)
    step = next(s for s in job[1].opened.steps if s.cure == "Repair plies")
    sent = {k: v for k, v in ASKED.items() if k not in ("operation", "by")} | {"person": "T1"}
    path = f"{REPAIR}/steps/{step.number}/verdict"
    assert at.post(path, sent).json["type"] == "panelmend:holder"
    at.post("/api/hold", people["T1"])
    early = at.post(path, sent)  # the bag is not even made
    assert early.status == 409, early.json
    assert at.post(path, {**sent, "person": "I1"}).json["type"] == "panelmend:another-holder"
    assert at.post(f"{REPAIR}/steps/1/verdict", sent).json["type"] == "panelmend:R124" or early.status == 409
    document = at.workshop.repairs_folder / DEMO / "repair.toml"
    whole = document.read_bytes()
    document.write_bytes(whole + b"\n# touched\n")
    try:
        changed = at.post(path, sent)
        assert "is not the document" in changed.json["title"]
    finally:
        document.write_bytes(whole)
    page = at.get(f"/repairs/{DEMO}/logs?log=LOG-2.csv").body.decode()
    assert f'data-keep-step="{step.number}"' in page


STATED = "Vacuum (inHg); below ambient; certificate 4711; M. Verrin; inspector"


def test_what_a_second_person_states_of_a_gauge_is_asked_shown_and_needs_their_own_secret(at: Desk) -> None:
    """A log that never shows the open bag; the fields are there in both languages."""
    people, rows = begun(at), []
    at.post("/api/hold", people["T1"])
    for row in LOG.read_text("utf8").splitlines():
        cells = row.split(",")
        if len(cells) == 6 and cells[0] != "Time":  # another log than the one judged above
            cells[1:4] = [f"{float(x) + 0.2:.1f}" for x in cells[1:4]]
            cells[5] = "24.6" if float(cells[5]) < 1.0 else cells[5]
        rows.append(",".join(cells))
    rows[99] = rows[99].rpartition(",")[0]  # a cell was dropped
    assert put(at, "LOG-3.csv", "\n".join([*rows, ""]).encode()).status == 200
    asked = at.get("/api/logs/LOG-3.csv/reading").json["questions"]
    answers = {q["key"]: q["suggested"] or (q["choices"][0][0] if q["choices"] else "local") for q in asked}
    at.post("/api/logs/LOG-3.csv/reading", {"by": "A. Reyes", "answers": answers})
    sent = {**ASKED, "log": "LOG-3.csv", "ran": "B. Ito"}
    alone = at.post(f"{REPAIR}/judge", sent).json
    assert [x[:4] for x in alone["against"]] == ["V560"], alone["against"]
    for language, rests in (("en", "Based on"), ("de", "Beruht auf")):
        spoken = {"cookie": f"{at.site.cookie}={at.token}; panelmend-language={language}"}
        stated = at.post(f"{REPAIR}/judge", {**sent, "gauge_seen": STATED}, **spoken).json
        assert stated["outcome"] == "conforms", stated
        assert "line 100<" in stated["html"], "a row that was set aside is named"
        assert f"{rests} M. Verrin" in stated["html"].replace("&#39;", "'")
        page = at.get(f"/repairs/{DEMO}/logs?log=LOG-3.csv", **spoken).body.decode()
        for key in ("gauge_seen", "seen_channel", "seen_paper", "seen_by", "seen_as", "ran", "second_number"):
            assert html.escape(say(f"log.{key}", language)) in page, (language, key)
        assert page.count("data-seen") == 5
    step = next(s for s in at.workshop.job_of(DEMO)[1].opened.steps if s.cure == "Repair plies")  # type: ignore[index]
    kept = {k: v for k, v in sent.items() if k not in ("operation", "by")}
    kept |= {"person": "T1", "gauge_seen": STATED.replace("M. Verrin", inspector(at))}
    path = f"{REPAIR}/steps/{step.number}/verdict"
    assert "their own secret" in at.post(path, kept).json["title"]
    wrong = at.post(path, {**kept, "second": "I1", "second_secret": "not the secret of I1"})
    assert wrong.json["type"] == "panelmend:R113"
    right = at.post(path, {**kept, "second": "I1", "second_secret": people["I1"]["secret"]})
    assert right.status == 409, "the bag is not even made: the step's own rules, after the secret was right"


def inspector(at: Desk) -> str:
    return at.workshop.job_of(DEMO)[0].state.people["I1"].name  # type: ignore[index]


SENT = {
    "log": LOG.name, "operation": "Repair plies", "by": "A. Reyes", "ran": "", "began": "", "set_to": "",
    "leak": "24.6 inHg; 24.4 inHg; 1 min; below ambient; 2026-11-25 08:25", "gauge_seen": "",
    "vacuum_on": "2026-11-25 08:10", "bag_opened": "2026-11-25 13:30", "watch": [],
}  # fmt: skip


@pytest.mark.parametrize("theme", ["bright", "dark"])
def test_a_log_is_put_in_confirmed_and_judged_on_a_tablet(theme: str) -> None:
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium(1180, 820) as driver:
        driver.get(running.for_the_browser)
        window = Window(driver, running)
        window.go(f"/repairs/{DEMO}/logs", theme)
        window.one("[data-file]").send_keys(str(LOG))
        window.wait("return document.querySelector('[data-confirm] button') !== null")
        assert window.js(RULERS + "return rulers();") == []
        assert faults_of_axe(window) == []
        window.type("#confirm-by", "A. Reyes")
        window.js(
            "for (const s of document.querySelectorAll('[data-question]'))"
            "if (s.options) s.selectedIndex = 1; else s.value = 'local';"
        )
        window.press("[data-confirm] button")
        window.wait("return document.querySelector('[data-judge]') !== null")
        window.js("document.querySelector('#j-operation').value = 'Repair plies'")
        for selector, words in (
            ("#j-leak-start", "24.6 inHg"), ("#j-leak-end", "24.4 inHg"), ("#j-leak-time", "1 min"),
            ("#j-leak-at", "2026-11-25 08:25"), ("#j-on", "2026-11-25 08:10"),
            ("#j-opened", "2026-11-25 13:30"), ("#j-by", "A. Reyes"),
        ):  # fmt: skip
            window.type(selector, words)
        window.js("document.querySelector('#j-leak-gauge').value = 'below ambient'")
        window.js(  # a watch on the wall, typed for the other cure before this one was chosen
            "for (const x of document.querySelectorAll('[data-watch] input'))"
            "if (x.closest('[data-watch]').dataset.cure !== 'Repair plies') x.value = '2026-11-25 09:00';"
            "const f = window.fetch; window.sent = [];"
            "window.fetch = (path, o) => {"
            "if (path.endsWith('/judge')) window.sent.push(JSON.parse(o.body)); return f(path, o); };"
        )
        window.press("[data-judge] button")
        window.wait("return document.querySelector('[data-outcome]') !== null")
        assert window.one("[data-outcome]").get_attribute("data-outcome") == "conforms"
        assert window.js("return document.querySelectorAll('[data-watch] input[id^=j-in]').length") > 1
        assert window.js("return window.sent") == [SENT]
        assert window.js(RULERS + "return rulers();") == []
        assert faults_of_axe(window) == []
        assert window.said() == []
        own = window.js(
            "const own = document.querySelector('[data-watch][data-cure=\"Repair plies\"]');"
            "const at = own.querySelectorAll('input');"
            "at[0].value = '10:02'; at[1].value = '12:06'; return own.dataset.watch;"
        )
        window.press("[data-judge] button")
        window.wait("return window.sent.length > 1")
        assert window.js("return window.sent[1].watch") == [f"{own}; 10:02; 12:06"]
        window.wait("return !document.querySelector('[data-judge] button').disabled")
        window.type("#j-on", "2026-11-25 08:11")  # the verdict is no longer of what stands there
        assert window.js("return document.querySelector('[data-outcome]')") is None
    shutil.rmtree(folder, ignore_errors=True)
