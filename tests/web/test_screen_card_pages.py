"""The card in Chromium: contrast and targets, a step read, written and signed, a label by the camera,
a reading that outlives a lost server, and no secret left on the disk."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp

import pytest
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, chromium, served
from screen_window import RULERS, Window, faults_of_axe


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser at a screen with the job begun, and nobody holding."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium(1180, 820) as driver:
        driver.get(running.for_the_browser)
        made = Window(driver, running)
        made.go(f"/repairs/{DEMO}/card")
        made.press("[data-demonstration]")
        made.wait("return document.querySelector('[data-begin]') !== null")
        secret = made.secrets()["P1"]
        made.type("#begin-person", "P1")
        made.type("#begin-secret", secret)
        made.press("[data-begin] button")
        made.wait("return document.querySelector('.steps') !== null")
        yield made
    shutil.rmtree(folder, ignore_errors=True)


@pytest.mark.parametrize("theme", ["bright", "dark"])
@pytest.mark.parametrize(
    "path", [f"/repairs/{DEMO}/card", *(f"/repairs/{DEMO}/card/{n}" for n in (2, 6, 28, 39))]
)
def test_the_card_keeps_to_contrast_targets_and_names(window: Window, path: str, theme: str) -> None:
    window.said()
    for size in ((1180, 820), (820, 1180)):
        window.driver.set_window_size(*size)
        window.go(path, theme)
        assert window.js(RULERS + "return rulers();") == [], f"{path} {theme} {size}"
    assert window.said() == []
    assert faults_of_axe(window) == []


def test_a_step_is_read_written_signed_and_handed_over_on_a_tablet(window: Window) -> None:
    window.driver.set_window_size(1180, 820)
    window.go(f"/repairs/{DEMO}/card/1")
    window.type("#b-1", "Rev 11" + Keys.ENTER)
    window.wait("return document.querySelector('[data-told]').textContent.includes('Nobody holds')")
    window.press("[data-take]")
    window.type("#hold-person", "T1")
    window.type("#hold-secret", window.secrets()["T1"] + Keys.ENTER)
    window.wait("return document.querySelector('[data-holder]')?.dataset.holder === 'T1'")
    assert window.one("[data-blank='1'] [data-draft]").text.startswith("Typed on this device, not written")
    window.press("[data-blank='1'] [data-write]")  # nobody's until somebody says it is theirs
    window.wait("return document.querySelector('[data-blank=\"1\"]').dataset.written === 'Rev 11'")
    window.type("#b-2", "M3-5201-17-1" + Keys.ENTER)
    window.wait("return document.querySelector('[data-blank=\"2\"]').dataset.written !== ''")
    window.type("#b-3", "0088" + Keys.ENTER)
    window.wait("return document.querySelector('[data-blank=\"3\"]').dataset.written === '0088'")
    window.press("[data-sign=did]")
    window.wait("return document.querySelector('[data-sign-dialog]').open")
    covers = window.one("[data-covers]").text
    assert "Rev 11" in covers
    assert "0088" in covers
    assert window.js(RULERS + "return rulers();") == []
    field = window.one("[data-sign-dialog] [data-strokes]")
    window.js("arguments[0].scrollIntoView({block: 'center'})", field)
    for dx, dy in ((-90, -30), (-40, 30)):  # two strokes, the first wiped out
        drag = ActionChains(window.driver).move_to_element_with_offset(field, dx, dy).click_and_hold()
        drag.move_by_offset(60, 15).move_by_offset(30, -40).release().perform()
        window.wait("return document.querySelector('[data-sign-form] [name=strokes]').value.startsWith('M')")
        if dy < 0:
            window.press("[data-sign-dialog] [data-strokes-clear]")
    written = window.one("[data-sign-form] [name=strokes]").get_attribute("value")
    assert re.fullmatch(r"M\d+ \d+(L\d+ \d+){2,}", written)
    window.type("#sign-person", "T1")
    window.type("#sign-secret", window.secrets()["T1"] + Keys.ENTER)
    window.wait("return document.querySelector('[data-step-part]')?.dataset.at === 'HOLD'")
    assert window.one(".strokes.kept path").get_attribute("d") == written
    assert faults_of_axe(window) == []
    window.press("[data-sign=accepted]")
    window.wait("return document.querySelector('[data-sign-dialog]').open")
    window.type("#sign-person", "P1")
    window.type("#sign-secret", window.secrets()["P1"] + Keys.ENTER)
    window.wait("return document.querySelector('[data-step-part]')?.dataset.at === 'COMPLETE'")


SEES = """
class Sees {
  static async getSupportedFormats() { return ['qr_code']; }
  async detect(picture) {
    window.looked = picture.videoWidth;
    return window.sees.map(rawValue => ({ rawValue }));
  }
}
Object.assign(window, { BarcodeDetector: Sees, sees: [] });
navigator.mediaDevices.getUserMedia = async () => {
  const canvas = document.createElement('canvas');
  canvas.getContext('2d').fillRect(0, 0, 9, 9);
  return (window.stream = canvas.captureStream(9));
};"""  # a detector and a camera, as a tablet's browser has them
FIELD = """document.querySelector('main').insertAdjacentHTML('beforeend', `<div class="draw">
<label for="code">code</label><input id="code">
<p class="scan"><button class="button" data-scan="code">scan</button></p></div>
<p class="no-camera">type</p>`);"""


def test_a_label_is_read_by_the_camera_where_the_browser_can_and_typed_where_not(window: Window) -> None:
    step = f"/repairs/{DEMO}/card/1"
    window.go(step)
    window.wait("return document.documentElement.dataset.camera === 'none'")  # Chromium on Linux has none
    window.js(FIELD)
    assert not window.one("[data-scan=code]").is_displayed()
    assert window.one("main > .no-camera").is_displayed()
    script = window.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": SEES})
    try:
        window.go(step)
        window.wait("return document.documentElement.dataset.camera === 'reads'")
        window.js(FIELD)
        assert not window.one("main > .no-camera").is_displayed()
        window.press("[data-scan=code]")
        window.wait("return window.looked > 0")
        assert faults_of_axe(window) == []
        assert window.js(RULERS + "return rulers();") == []
        window.js("window.sees = ['one', 'other']")  # of two nobody knows which is meant
        window.wait(
            "return document.querySelector('[data-scan-words]').textContent.includes('more than one')"
        )
        window.js("window.sees = ['pm1 A 3']")
        window.wait("return document.getElementById('code').value === 'pm1 A 3'")
        assert not window.one("[data-scan-dialog]").is_displayed()
        assert window.js("return window.stream.getTracks()[0].readyState") == "ended"
        window.js("window.sees = []")
        window.press("[data-scan=code]")
        window.press("[data-scan-leave]")
        window.wait("return window.stream.getTracks()[0].readyState === 'ended'")
    finally:
        window.driver.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", script)


def test_what_is_typed_outlives_the_page_and_a_killed_server() -> None:
    folder = Path(mkdtemp(prefix="workshop"))
    with chromium(1180, 820) as driver:
        with served(folder) as running:
            driver.get(running.for_the_browser)
            window = Window(driver, running)
            window.go("/")
            for path, who in (("demonstration", ""), ("job", "P1")):
                sent = {"person": who, "secret": window.secrets()[who]} if who else {}
                window.post(f"{REPAIR}/{path}", sent)
            window.post("/api/hold", {"person": "T1", "secret": window.secrets()["T1"]})
            window.go(f"/repairs/{DEMO}/card/1")
            window.wait("return document.documentElement.dataset.ready === 'step'")
        window.type("#b-1", "Rev 11" + Keys.ENTER)
        window.type("#b-2", "M3-52")  # not left: a draft
        window.wait(
            "return document.querySelector('[data-saved]').textContent.startsWith('Kept on this device: 1')"
        )
        with served(folder) as again:
            window.running = again
            driver.get(f"{window.base}/repairs/{DEMO}/card/1")
            window.wait("return document.documentElement.dataset.ready === 'step'")
            assert window.one("#b-2").get_attribute("value").startswith("M3-52")
            window.press("[data-take]")  # the secret was in memory alone
            window.type("#hold-person", "T1")
            window.type("#hold-secret", window.secrets()["T1"] + Keys.ENTER)
            window.wait("return document.querySelector('[data-blank=\"1\"]')?.dataset.written === 'Rev 11'")
    shutil.rmtree(folder, ignore_errors=True)


def test_nothing_of_a_secret_is_left_on_the_disk_but_of_invented_people(window: Window) -> None:
    secrets = window.secrets().values()
    for file in window.folder.rglob("*"):
        if file.is_file() and file.name != "invented-people.json":
            data = file.read_bytes()
            assert not any(s.encode() in data for s in secrets), file.name
    assert (window.folder / "invented-people.json").stat().st_mode & 0o077 == 0
    assert json.loads((window.folder / "invented-people.json").read_text("utf8"))
