"""A table of approved data is put right by one person and held against its paper by another, by keys."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from urllib.parse import quote

import pytest
from selenium.webdriver.common.keys import Keys

from examples_here import FOLDER as EXAMPLES
from panelmend.shelves.folder import Folder
from screen_made import chromium, served
from screen_window import RULERS, Window, faults_of_axe

NAME = "M3-SRM rev 11 / Repair 1"
AT = quote(NAME, safe="")
PAGES = (
    "/shelves",
    f"/shelves/entry?shelf=data&name={AT}",
    f"/shelves/table?name={AT}&table=limits",
    f"/shelves/table?name={AT}&table=plies",
    f"/shelves/table?name={AT}&table=cure",
    f"/shelves/check?shelf=data&name={AT}",
    "/shelves/fields?shelf=bays&name=door%20cell",
    "/shelves/fields?shelf=practice",
)


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser at a workshop with shelves."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium() as driver:
        shutil.copytree(EXAMPLES / "shelves", folder / "repairs" / "shelves")
        driver.get(running.for_the_browser)
        yield Window(driver, running)
    shutil.rmtree(folder, ignore_errors=True)


@pytest.mark.parametrize("path", PAGES)
def test_pages_of_the_shelves_keep_to_contrast_targets_and_names(window: Window, path: str) -> None:
    window.said()
    for theme, size in (("bright", (820, 1180)), ("dark", (1180, 820))):
        window.driver.set_window_size(*size)
        window.go(path, theme)
        window.js("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        assert window.js(RULERS + "return rulers();") == [], f"{path} {theme}"
        assert faults_of_axe(window) == [], f"{path} {theme}"
    assert window.said() == []


def test_one_puts_a_value_right_and_another_signs_it_off(window: Window) -> None:
    table = f"/shelves/table?name={AT}&table=limits"
    window.go(table)
    window.type("#f-allowable", "13 mm")
    window.go(table)  # what was typed outlives the page
    assert window.one("#f-allowable").get_attribute("value") == "13 mm"
    window.type("#by", "P. Ell")
    window.type("#f-repairable", "wide" + Keys.ENTER)
    window.wait("return document.querySelector('#f-repairable-fault').textContent !== ''")
    assert window.driver.switch_to.active_element.get_attribute("id") == "f-repairable"
    window.type("#f-repairable", "75 mm" + Keys.ENTER)
    window.wait("return !document.querySelector('[data-table-would]').hidden")
    assert "data.limits.allowable" in window.one("[data-would-rows]").text
    assert window.js("return document.querySelectorAll('[data-would-rows] tr').length") == 1
    assert window.js(RULERS + "return rulers();") == []
    window.one("[data-table-write]").send_keys(Keys.ENTER)
    window.wait("return location.pathname === '/shelves/entry'")
    assert "DRAFT" in window.one(".top").text
    part = "[data-part='limits']"
    window.go(f"/shelves/check?shelf=data&name={AT}")
    window.one(f"{part} [data-sign-part]").send_keys(Keys.ENTER)
    assert "who" in window.one(f"{part} [data-sign-fault]").text
    window.type("#by", "P. Ell")
    window.type("#against", "M3-SRM rev 11")
    window.one(f"{part} [data-sign-part]").send_keys(Keys.ENTER)
    fault = f"document.querySelector(\"{part} [data-sign-fault]\").textContent.includes('themselves')"
    window.wait(f"return {fault}")
    window.type("#by", "D. Aune")
    window.one(f"{part} [data-sign-part]").send_keys(Keys.ENTER)
    window.wait(f'return document.querySelector("{part} [data-sign-part]") === null')
    assert window.one("#by").get_attribute("value") == "D. Aune", "not typed anew for each table"
    entry = Folder(window.folder / "repairs" / "shelves").read("data", NAME)
    assert [(s.table, s.by) for s in entry.head.signed] == [("limits", "D. Aune")]


def test_a_bay_is_put_right_by_form_by_keys_and_its_typist_cannot_sign(window: Window) -> None:
    form = "/shelves/fields?shelf=bays&name=door%20cell"
    window.go(form)
    window.type("#f-bay-elevation", "250 m")
    window.go(form)  # what was typed outlives the page
    assert window.one("#f-bay-elevation").get_attribute("value") == "250 m"
    window.type("#by", "P. Ell")
    window.type("#place", "bay book, sheet 5")
    window.type("#f-bay-air_temperature", "warm" + Keys.ENTER)
    window.wait("return document.querySelector('#f-bay-air_temperature-fault').textContent !== ''")
    assert window.driver.switch_to.active_element.get_attribute("id") == "f-bay-air_temperature"
    window.type("#f-bay-air_temperature", "64 F" + Keys.ENTER)
    window.wait("return !document.querySelector('[data-table-would]').hidden")
    assert window.js("return document.querySelectorAll('[data-would-rows] tr').length") == 2
    assert "64 F" in window.one("[data-field='bay.air_temperature'] [data-read]").text
    assert window.js(RULERS + "return rulers();") == []
    window.one("[data-table-write]").send_keys(Keys.ENTER)
    window.wait("return location.pathname === '/shelves/entry'")
    assert "DRAFT" in window.one(".top").text
    window.go("/shelves/check?shelf=bays&name=door%20cell")
    window.type("#by", "P. Ell")
    window.type("#against", "bay book, sheet 5")
    window.one("[data-part='bay'] [data-sign-part]").send_keys(Keys.ENTER)
    fault = "document.querySelector(\"[data-part='bay'] [data-sign-fault]\").textContent"
    window.wait(f"return {fault}.includes('themselves')")
    window.type("#by", "R. Osk")
    window.one("[data-part='bay'] [data-sign-part]").send_keys(Keys.ENTER)
    window.wait("return document.querySelector(\"[data-part='bay'] [data-sign-part]\") === null")
    entry = Folder(window.folder / "repairs" / "shelves").read("bays", "door cell")
    assert [(s.table, s.by) for s in entry.head.signed] == [("bay", "R. Osk")]
