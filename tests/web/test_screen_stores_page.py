"""The page of stores and work in a browser: what is blocked, what falls due; entries with a fresh secret."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import mkdtemp

import pytest

from panelmend.records import events as e
from panelmend.records.book import Who
from panelmend.screen import server
from panelmend.screen.api_stores import Stored
from panelmend.screen.pages_stores import FORMS
from panelmend.screen.workshop import Workshop
from screen_made import CHEAP, SECRETS, chromium, people_put_in
from screen_window import RULERS, Window, faults_of_axe

TABLETS = ((1180, 820), (820, 1180))
SHOTS = os.environ.get("SHOTS", "")


def _day(days: int) -> str:
    return (datetime.now(UTC) + timedelta(days=days)).date().isoformat()


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A server for other machines with lots in its records; the storekeeper is signed in."""
    folder = Path(mkdtemp(prefix="workshop"))
    book = people_put_in(folder)
    by = Who("S1", SECRETS["S1"])
    for lot, last in (("F-1", 400), ("F-2", -1), ("F-3", 10)):
        book.act(
            by,
            lambda state, lot=lot, last=last: e.LotReceived(
                lot=lot, material="film adhesive", batch=f"B {lot}", certificate=f"C {lot}", amount="10",
                unit="m2", expires=_day(last), out_life=36000, out_time=3600, frozen=True,
            ),
        )  # fmt: skip
    book.act(by, lambda state: e.StockLeast(material="film adhesive", amount="100", unit="m2"))
    running = server.ready_for_others(Workshop(folder, cost=CHEAP).with_demo(), "127.0.0.1")
    thread = threading.Thread(target=running.serve, daemon=True)
    thread.start()
    with chromium(1180, 820, "--ignore-certificate-errors") as driver:
        driver.get(running.for_the_browser)
        made = Window(driver, running)
        made.wait("return document.documentElement.dataset.ready === 'sign-in'")
        made.type("#in-person", "S1")
        made.type("#in-secret", SECRETS["S1"])
        made.press("[data-sign-in] [type=submit]")
        made.wait("return document.querySelector('.signed')?.textContent.includes('P. Kern')")
        yield made
    running.stop()
    thread.join(10)
    shutil.rmtree(folder, ignore_errors=True)


def _opened(window: Window, theme: str = "bright") -> None:
    window.go("/stores", theme)
    window.wait("return document.documentElement.dataset.ready === 'stores'")


def _sent(window: Window, form: str, **typed: str) -> None:
    window.js(f"document.querySelector('[data-stored=\"{form}\"]').closest('details').open = true")
    here = form.replace(" ", "-")
    for name, words in typed.items():
        if words.count("-") == 2 and words[:2] == "20":  # a day: typed as its parts in any language
            window.js(f"document.querySelector('#{here}-{name}').value = arguments[0]", words)
        else:
            window.type(f"#{here}-{name}", words)
    window.press(f"[data-stored='{form}'] [type=submit]")


def test_a_lot_past_its_day_is_blocked_and_what_falls_due_or_short_is_said(window: Window) -> None:
    _opened(window)
    assert "BLOCKED" in window.one("[data-lot='F-2']").text
    assert "USABLE" in window.one("[data-lot='F-1']").text
    assert "1.0 of 10.0 h" in window.one("[data-lot='F-1']").text
    page = " ".join(window.one("main").text.split())
    assert f"PASSED lot F-2, film adhesive, last day {_day(-1)}" in page
    assert f"SOON lot F-3, film adhesive, last day {_day(10)}" in page
    assert "lot F-1, film adhesive, last day" not in page
    assert "film adhesive, 80 m2 at least (20 m2 usable, 100 m2 wanted)" in page
    rows = [x.get_attribute("data-lot") for x in window.driver.find_elements("css selector", "[data-lot]")]
    assert rows == ["F-2", "F-3", "F-1"]


@pytest.mark.parametrize("theme", ["bright", "dark"])
def test_the_page_keeps_to_contrast_targets_and_names(window: Window, theme: str) -> None:
    _opened(window, theme)
    window.js("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    for size in TABLETS:
        window.driver.set_window_size(*size)
        if SHOTS:
            window.driver.save_screenshot(f"{SHOTS}/stores-{theme}-{size[0]}.png")
        assert window.js(RULERS + "return rulers();") == []
    assert faults_of_axe(window) == []


def test_a_lot_is_received_with_its_hours_and_a_wrong_secret_changes_nothing(window: Window) -> None:
    _opened(window)
    typed = {
        "lot": "R-7", "material": "laminating resin", "batch": "B 9", "certificate": "C 9", "amount": "4,5",
        "unit": "kg", "expires": _day(90), "out_life": "240", "out_time": "1,5", "opened_life": "720",
    }  # fmt: skip
    _sent(window, "lot received", **typed, secret="not the secret")
    window.wait("return !document.querySelector('[data-stored=\"lot received\"] [data-fault]').hidden")
    assert window.one("#lot-received-secret").get_attribute("value") == ""
    assert window.one("#lot-received-lot").get_attribute("value") == "R-7", "nothing typed is lost"
    window.said()
    _sent(window, "lot received", secret=SECRETS["S1"])
    window.wait("return document.querySelector('[data-lot=\"R-7\"]') !== null")
    window.wait("return !document.querySelector('[data-entered]').hidden")
    assert "4.5 kg" in window.one("[data-lot='R-7']").text
    book = window.running.workshop.book
    assert book is not None
    kept = book.state.lots["R-7"].received
    assert (kept.out_life, kept.out_time, kept.opened_life) == (864_000, 5_400, 2_592_000), (
        "hours, kept in seconds"
    )
    _sent(window, "lot scrapped", lot="R-7", amount="9", why="spilt", secret=SECRETS["S1"])
    window.wait("return !document.querySelector('[data-stored=\"lot scrapped\"] [data-fault]').hidden")
    assert "4.5 kg" in window.one("[data-lot='R-7']").text, "more than there is cannot go"


def test_each_form_asks_what_its_entry_needs() -> None:
    """No field that the records demand is missing, and none is there that they do not know."""
    kinds = {x.model_fields["kind"].default: x for x in Stored.__args__}
    for form, fields in FORMS.items():
        known = kinds[form].model_fields
        asked = {f.name for f in fields}
        assert asked <= set(known), form
        needed = {n for n, f in known.items() if f.is_required()}
        assert needed <= asked, form
        assert {f.name for f in fields if f.needed and f.entry != "tick"} <= needed, form
