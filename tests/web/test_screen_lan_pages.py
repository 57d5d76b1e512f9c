"""The pages of a screen that other machines reach, in a browser: signing in and out, the people,
and what is kept on a device that passes from hand to hand."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp

import pytest

from panelmend.records import events as e
from panelmend.records.book import Who
from panelmend.screen import server
from panelmend.screen.workshop import Workshop
from screen_made import CHEAP, REPAIR, SECRETS, chromium, people_put_in
from screen_window import RULERS, Window, faults_of_axe

TABLETS = ((1180, 820), (820, 1180))
NEW = "a secret of one's own"
KEEPING = """
const done = arguments[arguments.length - 1], [path, person] = arguments;
import("/static/keep.js").then(({ Kept }) => {
  const kept = new Kept("of this test");
  for (const how of ["waits", "refused", "taken"]) kept.addEventListener(how, e => {
    const told = [how, e.detail.error?.problem?.type ?? "", kept.all().length];
    kept.all().forEach(i => kept.drop(i));
    done(told);
  }, { once: true });
  kept.put(path, { person, blank: 1, typed: "1" });
});
"""


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """One browser and one server for all of them; nobody is signed in."""
    folder = Path(mkdtemp(prefix="workshop"))
    book = people_put_in(folder)
    book.authorise(Who("K2", SECRETS["K2"]), "S1", e.Scope.STORES, "2020-01-01", "invented paper")
    running = server.ready_for_others(Workshop(folder, cost=CHEAP).with_demo(), "127.0.0.1")
    thread = threading.Thread(target=running.serve, daemon=True)
    thread.start()
    with chromium(1180, 820, "--ignore-certificate-errors") as driver:
        driver.get(running.for_the_browser)
        yield Window(driver, running)
    running.stop()
    thread.join(10)
    shutil.rmtree(folder, ignore_errors=True)


def _out(window: Window) -> None:
    window.driver.delete_all_cookies()
    window.driver.get(window.base + "/people")
    window.wait("return document.documentElement.dataset.ready === 'sign-in'")


def _in(window: Window, person: str) -> None:
    _out(window)
    window.type("#in-person", person)
    window.type("#in-secret", SECRETS[person])
    window.press("[data-sign-in] [type=submit]")
    window.wait("return document.documentElement.dataset.ready === 'people'")


def _kept_to(window: Window) -> None:
    """Contrast, targets, widths and names, at both sizes of a tablet."""
    for size in TABLETS:
        window.driver.set_window_size(*size)
        assert window.js(RULERS + "return rulers();") == []
    assert faults_of_axe(window) == []


@pytest.mark.parametrize("theme", ["bright", "dark"])
def test_the_door_and_the_people_keep_to_contrast_targets_and_names(window: Window, theme: str) -> None:
    _out(window)
    window.go("/people", theme)
    window.js("document.querySelector('.enrol').open = true")
    _kept_to(window)
    _in(window, "K1")
    window.go("/people", theme)
    assert "PAST" in window.one("[data-person=S1]").text
    assert "IN FORCE" in window.one("[data-person=T1]").text
    window.js("document.querySelectorAll('[data-person=T1] details').forEach(d => { d.open = true; })")
    _kept_to(window)


def test_a_person_is_added_sets_a_secret_at_the_door_and_signs_out(window: Window) -> None:
    _in(window, "K1")
    window.said()
    window.type("#new-number", "T2")
    window.type("#new-name", "N. Vale")
    window.press("[data-act=add] [value=technician]")
    window.type("#new-secret", SECRETS["K1"])
    window.press("[data-act=add] [type=submit]")
    window.wait("return !document.querySelector('[data-told]').hidden")
    code = window.one("[data-code]").text
    assert "T2" in window.one("[data-code-for]").text
    assert window.one("#new-secret").get_attribute("value") == ""
    assert window.said() == []
    window.press("[data-sign-out]")
    window.wait("return document.documentElement.dataset.ready === 'sign-in'")
    window.js("document.querySelector('.enrol').open = true")
    for field, typed in (("person", "T2"), ("code", code), ("secret", NEW), ("again", NEW + "!")):
        window.type(f"#enrol-{field}", typed)
    window.press("[data-enrol] [type=submit]")
    window.wait("return !document.querySelector('[data-enrol] [data-fault]').hidden")  # not the same
    window.type("#enrol-secret", NEW)
    window.type("#enrol-again", NEW)
    window.press("[data-enrol] [type=submit]")
    window.wait("return !document.querySelector('[data-done]').hidden")
    window.type("#in-person", "T2")
    window.type("#in-secret", NEW)
    window.press("[data-sign-in] [type=submit]")
    window.wait("return document.querySelector('.signed')?.textContent.includes('N. Vale')")


def test_a_wrong_secret_is_said_and_not_left_in_the_field(window: Window) -> None:
    _out(window)
    window.type("#in-person", "T1")
    window.type("#in-secret", "not the secret")
    window.press("[data-sign-in] [type=submit]")
    window.wait("return !document.querySelector('[data-sign-in] [data-fault]').hidden")
    assert "wrong" in window.one("[data-sign-in] [data-fault]").text
    assert window.one("#in-secret").get_attribute("value") == ""


@pytest.mark.parametrize(
    ("signed", "typed_by", "path", "told"),
    [
        ("P1", "T1", f"{REPAIR}/steps/1/judge", "refused"),  # no call that is kept: it is told, and goes
        ("P1", "T1", f"{REPAIR}/taps", "panelmend:role"),
        ("E1", "T1", f"{REPAIR}/job", "panelmend:role"),
        ("", "T1", f"{REPAIR}/taps", "panelmend:session"),
    ],
)
def test_what_is_kept_on_a_device_waits_for_who_typed_it(
    window: Window, signed: str, typed_by: str, path: str, told: str
) -> None:
    if signed:
        _in(window, signed)
    else:
        _out(window)
    how, why, left = window.driver.execute_async_script(KEEPING, path, typed_by)
    if told == "refused":
        assert (how, left) == ("refused", 0)
    else:
        assert (how, why, left) == ("waits", told, 1)
