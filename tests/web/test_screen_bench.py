"""Photographs, files and deviations at a step: whole or not at all, once, by who holds the device, decided by
an engineer alone; and a photograph kept on the tablet until it is acknowledged."""

from __future__ import annotations

import shutil
import zlib
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any
from urllib.parse import urlencode

import pytest
from selenium.webdriver.common.keys import Keys

from panelmend.records.canonical import sha256
from panelmend.records.package.make import make_package, read_package
from panelmend.records.rules.doing import LARGEST_FILE
from panelmend.screen.guard import LARGEST, UPLOAD
from panelmend.screen.papers import MOST
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, Answer, Desk, chromium, desk, served
from screen_walk import STEPS, entries, job, sign, who
from screen_window import RULERS, Window, faults_of_axe


def png(colour: int) -> bytes:
    """A whole picture of one point."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = chunk(b"IHDR", (1).to_bytes(4, "big") * 2 + bytes([8, 0, 0, 0, 0]))
    return (
        b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes([0, colour]))) + chunk(b"IEND", b"")
    )


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk with the demonstration's job begun, and T1 holding."""
    with desk() as made:
        made.post(f"{REPAIR}/demonstration", {})
        assert made.post(f"{REPAIR}/job", who(made, "P1")).status == 200
        made.post("/api/hold", who(made, "T1"))
        yield made


def put(at: Desk, data: bytes, file: str = "opening.png", step: int = 1, **said: str) -> Answer:
    """Send a file as the page does."""
    query = {"file": file, "what": "the opening", "person": "T1", "digest": sha256(data), **said}
    return at.ask("PUT", f"{STEPS}/{step}/file?{urlencode(query)}", data, content_type=UPLOAD)


def first(job: Any) -> Any:
    """The attempt at the first step that counts."""
    return job.now(job.opened.steps[0].key)


def test_a_photograph_is_kept_once_shown_at_the_step_and_in_the_package(at: Desk) -> None:
    data = png(7)
    assert put(at, data).status == 200
    count = entries(at)
    assert put(at, data).status == 200  # its answer was lost: it is the one that is there
    assert entries(at) == count
    kept = first(job(at)).files
    assert [(f.name, f.digest, f.what) for f, _ in kept] == [("opening.png", sha256(data), "the opening")]
    seen = at.get(f"{STEPS}/1/files/{sha256(data)}")
    assert (seen.status, seen.body, seen.headers["content-type"]) == (200, data, "image/png")
    page = at.get(f"/repairs/{DEMO}/card/1").body.decode()
    assert f'<img src="{STEPS}/1/files/{sha256(data)}" alt="the opening"' in page
    assert at.get(f"{STEPS}/2/files/{sha256(data)}").status == 404
    assert at.get(f"{STEPS}/1/files/{'0' * 64}").status == 404
    book = at.workshop.book
    assert book is not None
    assert read_package(make_package(book.log, DEMO)).papers[sha256(data)] == data


def test_what_did_not_come_whole_is_sent_again_and_nothing_of_it_is_kept(at: Desk) -> None:
    data, count = png(1), entries(at)
    cut = put(at, data[:-9], digest=sha256(data))
    assert (cut.status, cut.json["type"]) == (408, "panelmend:not-whole")
    on_the_device = put(at, data[:-9])  # it was cut off before its digest was made
    assert on_the_device.json["type"] == "panelmend:R102" or on_the_device.status == 409
    assert entries(at) == count
    book = at.workshop.book
    assert book is not None
    for digest in (sha256(data), sha256(data[:-9])):
        with pytest.raises(Exception, match=digest[:12]):
            book.log.paper(digest)


def test_a_file_is_of_a_kind_that_is_kept_and_what_its_name_says(at: Desk) -> None:
    text = b"place,reading\n1,2\n"
    good = (
        ("a.csv", text),
        ("b.TXT", text),
        ("c.pdf", b"%PDF-1.7\n1"),
        ("d.JPG", b"\xff\xd8\xff\xe0\0\2\xff\xd9"),
    )
    for file, data in good:
        assert put(at, data, file).status == 200, file
    bad = (
        ("a.csv", b"1\0" + text), ("c.pdf", text), ("d.jpg", png(2)), ("e.png", text), ("f.html", text),
        ("g.svg", b"<svg/>"), ("h", text), ("i.jpg.exe", png(2)),
    )  # fmt: skip
    for file, data in bad:
        assert put(at, data, file).status == 422, file
    assert put(at, b"x" * 511 + b"\0", "j.txt").status == 422  # the last place that is looked at
    assert put(at, b"x" * 512 + b"\0", "k.txt").status == 200
    for file in ("../x.png", "a/b.png", ".png", "a\nb.png", "x" * 77 + ".png"):
        assert put(at, png(3), file).status == 422, file
    assert put(at, png(3), "x" * 76 + ".png").status == 200
    down = at.get(f"{STEPS}/1/files/{sha256(text)}")
    assert down.headers["content-disposition"] == 'attachment; filename="a.csv"'
    assert down.headers["content-type"] == "application/octet-stream"


def test_a_file_has_a_size(at: Desk) -> None:
    assert LARGEST <= LARGEST_FILE
    assert put(at, b"").status == 422
    whole = b"x" * LARGEST
    assert put(at, whole, "most.txt").status == 200
    assert put(at, whole + b"x", "more.txt").status == 413
    names = [f.name for f, _ in first(job(at)).files]
    assert ("most.txt" in names, "more.txt" in names) == (True, False)


def test_nobody_puts_a_file_in_for_another_or_without_holding(at: Desk) -> None:
    assert put(at, png(1), person="I1").json["type"] == "panelmend:another-holder"
    count = entries(at)
    at.post("/api/put-down", {})
    assert put(at, png(8)).json["type"] == "panelmend:holder"
    assert entries(at) == count
    at.post("/api/hold", who(at, "T1"))
    assert Desk(at.app, at.workshop).get(f"{STEPS}/1/files/{'0' * 64}").status == 401


def _outside(at: Desk) -> None:
    """Step 2 with a reading outside its limit, of which the card says 10 at most."""
    _through_first(at)
    for blank, typed in ((1, "yes"), (2, "11"), (3, "VG-03")):
        sent = {"blank": blank, "typed": typed, "person": "T1"}
        assert at.post(f"{STEPS}/2/reading", sent).status == 200


def _through_first(at: Desk) -> None:
    for blank in (1, 2, 3):
        at.post(f"{STEPS}/1/reading", {"blank": blank, "typed": "as read", "person": "T1"})
    assert sign(at, 1, "T1", "did", strokes="M1 1z").status == 422
    written = "M20 150L300 20L580 150"
    assert f'd="{written}"' in sign(at, 1, "T1", "did", strokes=written).json["html"]
    assert sign(at, 1, "P1", "accepted").json["at"] == "COMPLETE"


RAISED = {"deviation": "D-1", "covers": ["b1"], "words": "vapour at 11", "person": "T1"}
DECIDED = {"decision": "may stand", "ground": "51-10-01, note 4", "words": "purged, read again at the start"}


def test_a_deviation_is_raised_once_decided_by_an_engineer_and_stands_on_the_card(at: Desk) -> None:
    _outside(at)
    assert sign(at, 2, "T1", "did").status == 409  # outside its limit and nothing raised
    assert at.post(f"{STEPS}/2/deviation", {**RAISED, "covers": ["b9"]}).status == 404
    assert at.post(f"{STEPS}/2/deviation", {**RAISED, "person": "I1"}).status == 401
    assert at.post(f"{STEPS}/2/deviation", RAISED).status == 200
    count = entries(at)
    assert at.post(f"{STEPS}/2/deviation", RAISED).status == 200
    assert entries(at) == count
    assert at.post(f"{STEPS}/2/deviation", {**RAISED, "words": "other"}).status == 409
    page = at.get(f"/repairs/{DEMO}/card/2").body.decode()
    assert "vapour at 11" in page
    assert 'data-decide="D-1"' in page

    def decide(person: str, **other: Any) -> Answer:
        shown = at.get(f"{REPAIR}/deviations/D-1").json
        covered = {k: shown[k] for k in ("content", "ticket")}
        return at.post(f"{REPAIR}/deviations/D-1/decide", {**who(at, person), **DECIDED, **covered, **other})

    assert any("vapour at 11" in x for x in at.get(f"{REPAIR}/deviations/D-1").json["lines"])
    assert decide("T1").status == 409  # who worked on it
    assert decide("E1", secret="not the secret").status == 401
    assert decide("E1", decision="as it is").status == 422
    assert decide("E1", ground="").status == 422
    assert decide("E1", strokes="M0 0L600 0").status == 422
    assert decide("E1", content="0" * 64).status == 409
    assert decide("E1", decision="do again").status == 409  # from which step?
    done = decide("E1", strokes="M0 0L9 9")
    assert done.status == 200, done.json
    assert "51-10-01, note 4" in done.json["html"]
    assert decide("E1").status == 409
    assert "51-10-01, note 4" in at.get(f"/repairs/{DEMO}/card/2").body.decode()
    assert sign(at, 2, "T1", "did").json["at"] == "COMPLETE"
    assert at.get(f"{REPAIR}/deviations/D-2").status == 404


def test_work_is_done_again_from_the_step_an_engineer_names(at: Desk) -> None:
    raised = {**RAISED, "deviation": "D-3", "covers": [], "words": "a lot not listed"}
    assert at.post(f"{STEPS}/3/deviation", raised).status == 200
    shown = at.get(f"{REPAIR}/deviations/D-3").json
    sent = {**who(at, "E1"), **DECIDED, "decision": "do again", "again_from": 3}
    sent |= {k: shown[k] for k in ("content", "ticket")}
    path = f"{REPAIR}/deviations/D-3/decide"
    assert at.post(path, {**sent, "again_from": 0}).status == 422
    assert at.post(path, {**sent, "again_from": 1999}).status == 404
    assert at.post(path, {**sent, "again_from": 4}).status == 409  # it does not reach the step
    assert at.post(path, sent).status == 200
    page = at.get(f"/repairs/{DEMO}/card/3").body.decode()
    assert "attempt 2" in page
    assert "a lot not listed" in page


def test_a_photograph_outlives_a_page_and_a_server_that_is_away() -> None:
    folder = Path(mkdtemp(prefix="workshop"))
    picture = folder / "hole.png"
    with chromium(1180, 820) as driver:
        with served(folder) as running:
            picture.write_bytes(png(3))
            driver.get(running.for_the_browser)
            window = Window(driver, running)
            window.go("/")
            for path, person in (("demonstration", ""), ("job", "P1")):
                sent = {"person": person, "secret": window.secrets()[person]} if person else {}
                window.post(f"{REPAIR}/{path}", sent)
            window.post("/api/hold", {"person": "T1", "secret": window.secrets()["T1"]})
            window.go(f"/repairs/{DEMO}/card/1")
            window.wait("return document.documentElement.dataset.ready === 'step'")
        window.one("#file-file").send_keys(str(picture))
        window.type("#file-what", "the hole" + Keys.ENTER)
        window.wait("return document.querySelector('[data-kept-files] li') !== null")
        with served(folder) as again:
            window.running = again
            driver.get(f"{window.base}/repairs/{DEMO}/card/1")
            window.wait("return document.documentElement.dataset.ready === 'step'")
            window.wait("return document.querySelector('[data-kept-files] li') !== null")
            window.press("[data-take]")
            window.type("#hold-person", "T1")
            window.type("#hold-secret", window.secrets()["T1"] + Keys.ENTER)
            window.wait("return document.querySelector('.files img')?.complete === true")
            window.wait("return document.querySelector('[data-kept-files] li') === null")
            assert window.js("return document.querySelector('.files img').naturalWidth") == 1
            for theme in ("bright", "dark"):
                window.go(f"/repairs/{DEMO}/card/1", theme)
                window.js("for (const d of document.querySelectorAll('.do details')) d.open = true")
                assert window.js(RULERS + "return rulers();") == []
                assert faults_of_axe(window) == []
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def fresh() -> Iterator[Desk]:
    """A desk of its own, with the demonstration's job begun, and T1 holding."""
    with desk() as made:
        made.post(f"{REPAIR}/demonstration", {})
        assert made.post(f"{REPAIR}/job", who(made, "P1")).status == 200
        made.post("/api/hold", who(made, "T1"))
        yield made


def test_a_decision_keeps_the_paper_it_rests_on(fresh: Desk) -> None:
    """Put in first, kept with the signature, never without; what did not come whole is not kept."""
    _outside(fresh)
    assert fresh.post(f"{STEPS}/2/deviation", RAISED).status == 200
    one, paper = f"{REPAIR}/deviations/D-1", b"%PDF-1.4\nthe engineer's reference\n"
    digest = sha256(paper)

    def sent_in(data: bytes, made: str, deviation: str = "D-1", file: str = "reference.pdf") -> int:
        path = f"{REPAIR}/deviations/{deviation}/paper?file={file}&digest={made}"
        return fresh.ask("PUT", path, data, content_type=UPLOAD).status

    assert sent_in(paper, "0" * 64) == 408
    assert sent_in(b"MZ no paper", sha256(b"MZ no paper")) == 422
    assert sent_in(paper, digest, deviation="D-9") == 404
    shown = fresh.get(one).json
    sent = {**who(fresh, "E1"), **DECIDED, "paper": digest, **{k: shown[k] for k in ("content", "ticket")}}
    assert fresh.post(f"{one}/decide", sent).status == 422  # it was not put in
    assert fresh.get(f"{one}/paper").status == 404
    assert sent_in(paper, digest) == 200
    assert fresh.get(f"{one}/paper").status == 404  # not before it is signed for
    assert fresh.post(f"{one}/decide", {**sent, "secret": "not the secret"}).status == 401
    shown = fresh.get(one).json
    sent |= {k: shown[k] for k in ("content", "ticket")}
    assert fresh.post(f"{one}/decide", sent).status == 200
    kept = fresh.get(f"{one}/paper")
    assert (kept.status, kept.body) == (200, paper)
    assert kept.headers["content-disposition"] == 'attachment; filename="decision-D-1.pdf"'
    assert digest[:12] in fresh.get(f"/repairs/{DEMO}/card/2").body.decode()
    assert not list((fresh.workshop.folder / "papers-waiting").iterdir())
    assert fresh.workshop.book is not None
    assert fresh.workshop.book.log.paper(digest) == paper


def test_papers_that_nobody_signs_for_are_thrown_out_the_oldest_first(fresh: Desk) -> None:
    _outside(fresh)
    assert fresh.post(f"{STEPS}/2/deviation", RAISED).status == 200
    made = []
    for n in range(MOST + 1):
        paper = b"%PDF-1.4 " + str(n).encode()
        made.append(sha256(paper))
        path = f"{REPAIR}/deviations/D-1/paper?file=p.pdf&digest={made[-1]}"
        assert fresh.ask("PUT", path, paper, content_type=UPLOAD).status == 200
        assert len(list((fresh.workshop.folder / "papers-waiting").iterdir())) == min(n + 1, MOST)
    assert not (fresh.workshop.folder / "papers-waiting" / made[0]).exists()
    assert (fresh.workshop.folder / "papers-waiting" / made[1]).exists()
