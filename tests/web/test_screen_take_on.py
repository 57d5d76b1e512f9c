"""The button that takes on heat nobody predicted, pressed in a browser: by whom, why, and on what day."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp

import pytest

from panelmend.screen.workshop import DEMO
from screen_made import chromium, served
from screen_window import Window

PAGE = f"/repairs/{DEMO}/inputs"
FIRST = "[data-take-on]"
TOLD = "return document.querySelector('[data-heat-told]').textContent"


@pytest.fixture
def window() -> Iterator[Window]:
    """A browser at the inputs of the demonstration, in a colder bay than its heat was predicted for."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium(1180, 820) as driver:
        driver.get(running.for_the_browser)
        made = Window(driver, running)
        path = folder / "repairs" / DEMO / "repair.toml"
        assert 'air_temperature = "18 C"' in made.text
        path.write_text(made.text.replace('air_temperature = "18 C"', 'air_temperature = "16 C"'), "utf8")
        made.go(PAGE)
        made.wait(f"return document.querySelector('{FIRST}') !== null")
        yield made
    shutil.rmtree(folder, ignore_errors=True)


def _today(window: Window, day: int) -> None:
    """Turn the browser's clock to a day of the month of the work, which is planned for the 25th."""
    window.js(
        "Date.prototype.getFullYear = () => 2026; Date.prototype.getMonth = () => 10;"
        f"Date.prototype.getDate = () => {day};"
    )


def _waits(window: Window) -> list[str]:
    return list(window.js("return [...document.querySelectorAll('[data-heat]')].map(x => x.dataset.heat)"))


def test_heat_is_taken_on_by_the_engineer_with_a_reason_and_by_nobody_else(window: Window) -> None:
    before, keys = window.text, _waits(window)
    assert len(keys) == 3
    assert keys[0].startswith("drying.undried_")
    window.press(FIRST)  # no name yet: nothing is sent
    window.wait(f"{TOLD} !== ''")
    asked = window.js(TOLD)
    assert window.js("return document.activeElement.matches('[data-heat-by]')")
    window.type("[data-heat-by]", "R. Osk")
    window.press(FIRST)  # and no reason
    window.wait(f"{TOLD} !== {asked!r}")
    assert window.js("return document.activeElement.matches('[data-heat-reason]')")
    assert window.text == before
    asked = window.js(TOLD)
    window.type("[data-heat-reason]", "dried at this heat before")
    window.press(FIRST)  # a technician may not
    window.wait(f"{TOLD} !== {asked!r}")
    assert "engineer named under people" in window.js(TOLD)
    assert window.text == before
    asked = window.js(TOLD)
    window.type("[data-heat-by]", "D. Aune")
    _today(window, 26)
    window.press(FIRST)  # nor the engineer after the day of the work: it is said why
    window.wait(f"{TOLD} !== {asked!r}")
    assert "dated after the day of the work" in window.js(TOLD)
    assert window.text == before
    _today(window, 25)
    window.press(FIRST)
    window.wait(f"return document.querySelectorAll('{FIRST}').length === 2")
    assert _waits(window) == keys[1:], "the cures wait still"
    (kept,) = re.findall(r"\[\[confirm\]\]\n((?:(?!\[).*\n?)*)", window.text[len(before.rstrip()) :])
    assert f'figure = "{keys[0]}"' in kept
    assert 'by = "D. Aune"' in kept
    assert 'reason = "dried at this heat before"' in kept
    assert re.search(r'^on = "?2026-11-25', kept, re.MULTILINE)
