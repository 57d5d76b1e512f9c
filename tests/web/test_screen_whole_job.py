"""The whole job on a tablet in Debian's Chromium: from taps of the survey to the release entry, through a
reload, a lost connection, lost answers and a killed server. The steps of the bad hours are typed by hand; the
others go by the same calls from the page, so that 94 steps take no quarter of an hour."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from examples_here import heat_taken_on
from panelmend.records import events as e
from panelmend.records.book import Book, Who
from panelmend.screen.workshop import DEMO, RECORDS_FILE
from records_made import report_of
from screen_made import CHEAP, REPAIR, chromium
from screen_process import ServedProcess
from screen_walk import HOLDERS, typed_in
from screen_window import Window

WALK = """
const [api, steps, people] = arguments, done = arguments[arguments.length - 1];
async function ask(path, body) {
  for (;;) {
    const headers = {'Content-Type': 'application/json'};
    const sent = body ? {method: 'POST', headers, body: JSON.stringify(body)} : {};
    const answer = await fetch(api + path, sent);
    if (answer.status === 429) { await new Promise(go => setTimeout(go, 300)); continue; }
    const read = await answer.json();
    if (!answer.ok) throw new Error(path + ' ' + JSON.stringify(body) + ' ' + JSON.stringify(read));
    return read;
  }
}
(async () => {
  for (const s of steps) {
    const at = `/steps/${s.number}`;
    for (const lot of s.draw) await ask(`${at}/draw`, {...people.S1, lot, amount: '0.25', drawn: 0});
    for (const r of s.readings) {
      const typed = r.typed === 'now' ? (await ask('/pulse')).now.slice(0, 19) + '+00:00' : r.typed;
      await ask(`${at}/reading`, {...r, typed, person: 'T1'});
    }
    for (const [person, meaning, why] of s.signs) {
      const shown = await ask(`${at}/shown`);
      const seen = {content: shown.content, ticket: shown.ticket};
      await ask(`${at}/sign`, {...people[person], meaning, why, ...seen});
    }
  }
})().then(() => done(''), error => done(String(error)));
"""
LOST = "const real = window.fetch; window.fetch = async (...a) => { if (a[1]?.method === 'POST') {"
LOST += " await real(...a); throw new TypeError('the answer was lost'); } return real(...a); };"


class Tablet(Window):
    """The tablet at the panel, and the records beside it."""

    def __init__(self, driver: Any, served: ServedProcess) -> None:
        self.driver, self.served = driver, served

    @property
    def base(self) -> str:
        """The screen's address."""
        return f"http://127.0.0.1:{self.served.port}"

    @property
    def folder(self) -> Path:
        """The workshop's folder."""
        return self.served.folder

    def wait(self, code: str) -> None:
        """Until a script says yes, on a machine that does other work besides."""
        WebDriverWait(self.driver, 120, 0.05).until(lambda d: d.execute_script(code), code)

    def step(self, number: int) -> None:
        """Open a step."""
        self.go(f"/repairs/{DEMO}/card/{number}")
        self.ready()

    def ready(self) -> None:
        """Until a step's page is there."""
        self.wait("return document.documentElement.dataset.ready === 'step'")

    def hold(self, person: str) -> None:
        """Take the device."""
        self.press("[data-take]")
        self.type("#hold-person", person)
        self.type("#hold-secret", self.secrets()[person] + Keys.ENTER)
        self.wait(f"return document.querySelector('[data-holder]')?.dataset.holder === '{person}'")
        self.ready()

    def fill(self, blank: int, typed: str) -> None:
        """Type in a blank and leave it."""
        if self.one(f"#b-{blank}").tag_name == "select":
            self.js(
                "arguments[0].value = arguments[1];"
                "for (const k of ['input', 'change'])"
                "  arguments[0].dispatchEvent(new Event(k, {bubbles: true}))",
                self.one(f"#b-{blank}"), typed,
            )  # fmt: skip
        else:
            self.type(f"#b-{blank}", typed + Keys.ENTER)

    def written(self, blank: int, typed: str) -> None:
        """Until a blank is on the disk."""
        self.wait(f"return document.querySelector('[data-blank=\"{blank}\"]')?.dataset.written === '{typed}'")

    def sign(self, person: str, meaning: str = "did", at: str = "COMPLETE") -> None:
        """Sign at the step that shows, until it stands where it should."""
        self.press(f"[data-sign={meaning}]")
        self.wait("return document.querySelector('[data-sign-dialog]').open")
        self.submit(person)
        self.wait(f"return document.querySelector('[data-step-part]')?.dataset.at === '{at}'")
        self.ready()

    def submit(self, person: str) -> None:
        """Person and secret into the dialog of a signature, and sign."""
        self.type("#sign-person", person)
        self.type("#sign-secret", self.secrets()[person] + Keys.ENTER)

    def saved(self, words: str) -> None:
        """Until the line of what is saved begins so."""
        self.wait(f"return document.querySelector('[data-saved]').textContent.startsWith('{words}')")

    def offline(self, off: bool) -> None:
        """Take the network away from the browser, or give it back."""
        self.driver.execute_cdp_cmd("Network.enable", {})
        self.driver.execute_cdp_cmd(
            "Network.emulateNetworkConditions",
            {"offline": off, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1},
        )

    def book(self) -> Book:
        """The records, opened beside the screen."""
        return Book.open(str(self.folder / RECORDS_FILE), cost=CHEAP)


@pytest.fixture
def tablet() -> Iterator[Tablet]:
    """A tablet at a screen served by a process of its own."""
    folder = Path(mkdtemp(prefix="workshop"))
    served = ServedProcess(folder)
    try:
        with chromium(1180, 820) as driver:
            driver.get(served.first)
            yield Tablet(driver, served)
    finally:
        served.stop()
        shutil.rmtree(folder, ignore_errors=True)


def test_the_whole_job_on_a_tablet_through_its_worst_hours(tablet: Tablet) -> None:
    _survey(tablet)
    _begin(tablet)
    _first_steps_by_hand(tablet)
    steps = _opened(tablet).steps
    people = {p: {"person": p, "secret": s} for p, s in tablet.secrets().items()}
    cures = [s.number for s in steps if s.cure]
    begin = 7
    for end in (*cures, steps[-1].number):
        rows = [_row(s) for s in steps if begin <= s.number < end]
        said = tablet.driver.execute_async_script(WALK, REPAIR, rows, people)
        assert said == ""
        if end in cures:
            _cured(tablet, steps[end - 1])
        begin = end
    _release(tablet, steps[-1].number)
    _kept_once(tablet, by_hand=range(1, 7))


def _survey(tablet: Tablet) -> None:
    """Taps by touch, one of them while nobody answers; then the repair is planned on them."""
    tablet.panel()
    tablet.press("[data-mode=survey]")
    tablet.wait("return document.querySelector('[data-survey-count]').textContent.includes('sound')")
    taps = tablet.folder / "repairs" / DEMO / "taps.jsonl"
    before = len(taps.read_text("utf8").splitlines())
    sheet = tablet.one("[data-drawing]")
    tablet.js("arguments[0].scrollIntoView({block: 'center'})", sheet)
    ActionChains(tablet.driver).move_to_element_with_offset(sheet, 130, 100).click().perform()
    tablet.press("[data-tap=sound]")
    tablet.saved("Saved")
    tablet.served.kill()
    tablet.press("[data-tap-next]")
    tablet.press("[data-tap=sound]")
    tablet.saved("Kept on this device: 1")
    tablet.served.start()
    tablet.saved("Saved")
    assert len(taps.read_text("utf8").splitlines()) == before + 2
    tablet.press("[data-survey-into]")
    WebDriverWait(tablet.driver, 120, 0.05).until(lambda _: "tapped on the screen" in tablet.text)
    _heat_taken_on(tablet)


def _heat_taken_on(tablet: Tablet) -> None:
    """Another cut-out has no prediction: here the engineer answers for it, and the job begins."""
    document = tablet.folder / "repairs" / DEMO / "repair.toml"
    tablet.served.kill()
    before = document.read_text("utf8")
    after = heat_taken_on(before)
    assert after.count("unpredicted_") == 2, "both cures wait for a name"
    document.write_text(after, "utf8")
    tablet.served.start()


def _begin(tablet: Tablet) -> None:
    tablet.go(f"/repairs/{DEMO}/card")
    tablet.press("[data-demonstration]")
    tablet.wait("return document.querySelector('[data-begin]') !== null")
    tablet.type("#begin-person", "P1")
    tablet.type("#begin-secret", tablet.secrets()["P1"])
    tablet.press("[data-begin] button")
    tablet.wait("return document.querySelector('.steps') !== null")


def _first_steps_by_hand(tablet: Tablet) -> None:
    tablet.step(1)
    tablet.hold("T1")
    tablet.fill(1, "Rev 11")
    tablet.fill(2, "M3-5201-17-1")
    tablet.type("#b-3", "00")  # the page is loaded again in the middle of a word
    tablet.driver.refresh()
    tablet.ready()
    assert tablet.one("#b-3").get_attribute("value") == "00"
    tablet.one("#b-3").send_keys(Keys.END + "88" + Keys.ENTER)
    tablet.written(3, "0088")
    tablet.sign("T1", at="HOLD")
    tablet.sign("P1", "accepted")

    tablet.step(2)
    tablet.offline(True)
    tablet.fill(1, "yes")
    tablet.fill(2, "0")
    tablet.fill(3, "VG-03")
    tablet.saved("Kept on this device: 3")
    tablet.press("[data-sign=did]")  # nothing is signed that is not written
    assert not tablet.js("return document.querySelector('[data-sign-dialog]').open")
    tablet.offline(False)
    tablet.saved("Saved")
    tablet.written(3, "VG-03")
    tablet.sign("T1")

    tablet.step(3)
    tablet.js(LOST)  # what is written is not acknowledged, and sent again
    tablet.fill(1, "yes")
    tablet.fill(2, "nothing")
    tablet.saved("Kept on this device: 2")
    tablet.driver.refresh()
    tablet.ready()
    tablet.written(2, "nothing")
    tablet.fill(3, "21")
    tablet.fill(4, "1013")
    tablet.fill(5, "none")
    tablet.saved("Saved")
    tablet.written(4, "1013")
    tablet.written(5, "none")
    tablet.js(LOST)
    tablet.press("[data-sign=did]")
    tablet.wait("return document.querySelector('[data-sign-dialog]').open")
    tablet.submit("T1")
    tablet.wait("return document.querySelector('[data-sign-fault]').textContent !== ''")
    tablet.driver.refresh()
    tablet.ready()
    assert tablet.one("[data-step-part]").get_attribute("data-at") == "COMPLETE"

    tablet.step(4)
    tablet.served.kill()
    tablet.fill(1, "wipes, W-7")
    tablet.fill(2, "yes")
    tablet.saved("Kept on this device: 2")
    tablet.served.start()
    tablet.step(4)
    tablet.hold("T1")  # the secret was in memory alone
    tablet.written(1, "wipes, W-7")
    tablet.written(2, "yes")
    tablet.sign("T1")

    tablet.step(5)
    for blank, typed in ((1, "tap test"), (2, "yes"), (3, "none")):
        tablet.fill(blank, typed)
    tablet.written(3, "none")
    tablet.press("[data-sign=did]")
    tablet.wait("return document.querySelector('[data-sign-dialog]').open")
    tablet.served.kill()  # between what was shown and the signature
    tablet.submit("T1")
    tablet.wait("return document.querySelector('[data-sign-fault]').textContent !== ''")
    tablet.served.start()
    tablet.step(5)
    tablet.sign("T1")

    tablet.step(6)
    tablet.hold("T1")
    for blank, typed in ((1, "80"), (2, "60"), (3, "50")):
        tablet.fill(blank, typed)
    tablet.written(3, "50")
    tablet.sign("T1")


def _opened(tablet: Tablet) -> e.JobOpened:
    return tablet.book().state.jobs[DEMO].opened


def _row(step: e.CardStep) -> dict[str, Any]:
    """What a step is given, as people would type it."""
    signs = [
        ("T1", "did", "labels read and batch written on the paper card" if step.pieces or step.pots else "")
    ]
    if step.hold:
        signs.append((HOLDERS[str(step.hold_by)], "accepted", ""))
    lots = ["R-118"] if any(b.names == "lots" for b in step.blanks) else []
    readings = [{"blank": i, **typed_in(b)} for i, b in enumerate(step.blanks, 1)]
    return {"number": step.number, "draw": lots, "readings": readings, "signs": signs}


def _cured(tablet: Tablet, step: e.CardStep) -> None:
    """The verdict of a cure, kept beside the screen: two hours of heat are tried elsewhere."""
    log = f"log {step.key}".encode()
    who = Who("T1", tablet.secrets()["T1"])
    tablet.book().keep_verdict(who, DEMO, step.key, str(step.cure), e.Judged.CONFORMS, log, report_of(log))


def _release(tablet: Tablet, number: int) -> None:
    tablet.step(number)
    tablet.sign("T1", at="HOLD")
    tablet.press("[data-release]")
    tablet.wait("return document.querySelector('[data-release-dialog]').open")
    day = tablet.js("return document.body.dataset.machineTime.slice(0, 10)")
    for field, words in (
        ("description", "Repair 7 of M3-SRM 52-10-17"), ("completed", day), ("certificate_number", "RS-12"),
        ("certificate_kind", "repair station"), ("person", "I1"),
    ):  # fmt: skip
        tablet.type(f"#release-{field}", words)
    tablet.type("#release-secret", tablet.secrets()["I1"] + Keys.ENTER)
    tablet.wait("return document.querySelector('[data-step-part]')?.dataset.at === 'COMPLETE'")


def _kept_once(tablet: Tablet, by_hand: range) -> None:
    """Every blank and signature once, and a package that the command line finds whole."""
    job = tablet.book().state.jobs[DEMO]
    assert job.closed == "released"
    for step in job.opened.steps:
        attempt = job.now(step.key)
        assert len(attempt.filled) == len(step.blanks), step.title
        assert not attempt.replaced, step.title
        did = [s for s, _, _ in attempt.signed if s.signature.meaning is e.Meaning.DID]
        assert len(did) == 1, step.title
    typed = [
        [f.reading.typed for _, f in sorted(job.now(job.opened.steps[n - 1].key).filled.items())]
        for n in by_hand
    ]
    assert typed == [
        ["Rev 11", "M3-5201-17-1", "0088"], ["yes", "0", "VG-03"], ["yes", "nothing", "21", "1013", "none"],
        ["wipes, W-7", "yes"], ["tap test", "yes", "none"], ["80", "60", "50"],
    ]  # fmt: skip
    file = tablet.folder / "package.zip"
    command = [sys.executable, "-m", "panelmend", "records", "--in", str(tablet.folder / RECORDS_FILE)]
    for verb in (["check"], ["package", DEMO, str(file)], ["check-package", str(file), "--compare"]):
        made = subprocess.run([*command, *verb], capture_output=True, text=True, timeout=60)
        assert made.returncode == 0, (verb, made.stdout, made.stderr)
