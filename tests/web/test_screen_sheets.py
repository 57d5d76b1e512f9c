"""The pages that are read, in Debian's Chromium: both themes, targets, names; figures that open; a slider;
long work that is begun on the page."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest
from selenium.webdriver.common.keys import Keys

from panelmend.render.axes import clock
from panelmend.screen.workshop import DEMO
from screen_window import RULERS, Window, demonstration, faults_of_axe

ROOMS = (
    "nest",
    "kit",
    "stack",
    "heat",
    "strength",
    "pack",
    "figures?find=cure",
    "inputs?table=bay",
    "compare",
    "history",
)
TABLETS = ((1180, 820), (820, 1180))


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """One browser and one server for all of them."""
    with demonstration() as made:
        yield made


def room(window: Window, name: str, theme: str = "bright") -> None:
    """Open a page of the demonstration."""
    window.go(f"/repairs/{DEMO}/{name}", theme)


@pytest.mark.parametrize("name", ROOMS)
def test_pages_keep_to_contrast_targets_and_names(window: Window, name: str) -> None:
    window.said()
    for theme, size in zip(("bright", "dark"), TABLETS, strict=True):
        window.driver.set_window_size(*size)
        room(window, name, theme)
        if name == "strength":  # the study is made at the first look
            window.wait("return document.querySelector('.big') !== null")
        assert window.js(RULERS + "return rulers();") == [], f"{name} {theme} {size}"
        assert faults_of_axe(window) == [], f"{name} {theme}"
    assert window.said() == []


def test_a_figure_opens_how_it_was_reached_and_goes_on_down(window: Window) -> None:
    room(window, "nest")
    link = window.one("a[data-why]")
    window.js("arguments[0].scrollIntoView({block: 'center'})", link)
    link.send_keys(Keys.ENTER)
    window.wait("return document.querySelector('dialog[open] .why-part') !== null")
    first = window.one("dialog h2").text
    assert "Source" in window.one("dialog").text
    window.press("dialog .from a[data-why]")
    window.wait(f"return document.querySelector('dialog h2').textContent !== {first!r}")
    window.one("dialog").send_keys(Keys.ESCAPE)
    window.wait("return document.querySelector('dialog[open]') === null")
    assert window.driver.current_url.endswith("/nest")


def test_the_slider_reads_the_prediction_at_each_of_its_times(window: Window) -> None:
    room(window, "heat")
    read = "return [...document.querySelectorAll('[data-through] [data-value]')].map(c => c.textContent)"
    cold = window.js(read)
    for _ in range(12):
        window.press("[data-through] [data-step='5']")
    warm = window.js(read)
    assert len(cold) == len(warm) > 5
    made = window.js("return JSON.parse(document.querySelector('[data-through]').dataset.readings)")
    assert window.one("[data-through] [data-clock]").text == clock(made["times"][60])
    assert [f"{c['values'][60]:.1f} {made['unit']}" for c in made["curves"]] == warm[: len(made["curves"])]
    assert float(warm[0].split()[0]) > float(cold[0].split()[0]) + 20.0


def test_maps_through_the_cure_come_from_the_same_run_as_the_kept_ones(window: Window) -> None:
    room(window, "heat")
    window.press("[data-errand=moments] [data-start]")
    window.wait("return document.querySelector('[data-map] svg') !== null")
    scale = (
        "return [...document.querySelector(arguments[0]).querySelectorAll('path[fill]')]"
        ".map(p => p.getAttribute('fill'))"
    )
    kept = set(window.js(scale, "section[data-cure] .pair .printed.plate"))
    for _ in range(14):
        window.press("[data-through] [data-step='5']")
    window.wait("return document.querySelector('[data-map-clock]').textContent.includes('1 h')")
    assert set(window.js(scale, "[data-map] svg")) <= kept | {"#ffffff"}  # one colour, one temperature


def test_the_stack_from_straight_above_is_true_to_scale_and_turns_by_keys(window: Window) -> None:
    room(window, "stack")
    window.wait("return document.querySelector('[data-stack] [data-level]') !== null")
    window.press("[data-stack] [data-plan]")
    window.wait("return document.querySelector('[data-stack] [data-drawing]').dataset.scale !== undefined")
    box = (
        "const b = document.querySelector('[data-stack]'), s = b.querySelector('[data-drawing]');"
        "const g = s.querySelector(`[data-level='${arguments[0]}'] path`).getBBox();"
        "const r = JSON.parse(b.dataset.levels).find(l => l.key === arguments[0]).rings.flat();"
        "const span = i => Math.max(...r.map(p => p[i])) - Math.min(...r.map(p => p[i]));"
        "return [g.width / s.dataset.scale, span(0), g.height / s.dataset.scale, span(1)]"
    )
    keys = window.js(
        "return JSON.parse(document.querySelector('[data-stack]').dataset.levels).map(l => l.key)"
    )
    for key in keys:
        wide, true_wide, high, true_high = window.js(box, key)
        assert wide == pytest.approx(true_wide, abs=0.1)
        assert high == pytest.approx(true_high, abs=0.1)
    drawn = "return document.querySelector('[data-stack] [data-level] path').getAttribute('d')"
    before = window.js(drawn)
    window.one("[data-stack] [data-drawing]").send_keys(Keys.ARROW_LEFT)
    assert window.js(drawn) != before
    names = "return [...document.querySelector('[data-stack]').querySelectorAll('line + text')]"
    read = window.js(f"{names}.map(t => [Number(t.getAttribute('y')), t.textContent])")
    drawn_order = window.js(
        "return JSON.parse(document.querySelector('[data-stack]').dataset.levels).map(l => l.name)"
    )
    assert [t for _, t in sorted(read)] == drawn_order[::-1]  # names read down in the order of the stack
    window.press("[data-stack] [data-show]")
    count = "return document.querySelectorAll('[data-stack]')[0].querySelectorAll('[data-level]').length"
    assert window.js(count) == len(keys) - 1


def test_an_input_is_kept_as_typed_and_a_fault_stands_beside_it_until_it_is_mended(window: Window) -> None:
    room(window, "inputs?table=bay")
    field = "#i-bay-humidity"
    window.type(field, "48 %" + Keys.TAB)
    window.wait("return document.querySelector('[data-saved]').textContent.startsWith('Saved')")
    assert 'humidity = "48 %"' in window.text
    window.type("#i-bay-air_temperature", "hot" + Keys.TAB)
    fault = "return document.querySelector('#i-bay-air_temperature-fault').textContent"
    window.wait(f"{fault} !== ''")
    assert "hot" in window.js(fault)
    assert '"hot"' not in window.text
    room(window, "inputs?table=bay")  # what was typed outlives the page
    assert window.one("#i-bay-air_temperature").get_attribute("value") == "hot"
    window.type("#i-bay-air_temperature", "66 F" + Keys.TAB)
    window.wait("return document.querySelector('[data-saved]').textContent.startsWith('Saved')")
    assert 'air_temperature = "66 F"' in window.text
    assert "19 C" in window.one("[data-field='bay.air_temperature'] [data-read]").text


def test_a_row_is_taken_away_by_keys_after_it_was_shown_and_is_put_back(window: Window) -> None:
    room(window, "inputs?table=panel")
    before = window.text
    row = "[data-row-of='panel.insert'][data-row-at='0']"
    window.one(f"{row} [data-row-try]").send_keys(Keys.ENTER)
    window.wait(f'return !document.querySelector("{row} [data-row-asked]").hidden')
    assert "[[panel.insert]]" in window.one(f"{row} [data-row-words]").text
    assert window.one(f"{row} [data-row-would]").text.startswith("It would be")
    assert window.js(RULERS + "return rulers();") == []
    assert faults_of_axe(window) == []
    window.one(f"{row} [data-row-leave]").send_keys(Keys.ENTER)
    assert window.text == before
    window.one(f"{row} [data-row-try]").send_keys(Keys.ENTER)
    window.wait(f'return !document.querySelector("{row} [data-row-asked]").hidden')
    window.one(f"{row} [data-row-away]").send_keys(Keys.ENTER)
    window.wait("return document.querySelector('[data-away]') !== null")
    assert window.text != before
    assert window.js(RULERS + "return rulers();") == []
    assert faults_of_axe(window) == []
    window.one("[data-away] [data-row-back]").send_keys(Keys.ENTER)
    window.wait("return document.querySelector('[data-away]') === null")
    assert tomllib.loads(window.text) == tomllib.loads(before)


def test_a_page_whose_repair_was_changed_meanwhile_says_so(window: Window) -> None:
    room(window, "kit")
    path = window.folder / "repairs" / DEMO / "repair.toml"
    text = path.read_text("utf8")
    path.write_text(text + "\n# changed by another program\n", "utf8")
    try:
        window.wait("return document.documentElement.classList.contains('behind')")
        assert "changed" in window.one("[data-stale]").text
    finally:
        path.write_text(text, "utf8")


def test_figures_open_on_the_panel_and_the_page_stays(window: Window) -> None:
    window.panel()
    window.press("[data-part=fits] a[data-why]")
    window.wait("return document.querySelector('dialog[open] .why-part') !== null")
    window.press("dialog [data-why-close]")
    window.wait("return document.querySelector('dialog[open]') === null")
    assert faults_of_axe(window) == []


def test_the_other_language_is_one_press_away_and_fits_a_tablet(window: Window) -> None:
    window.driver.set_window_size(820, 1180)
    room(window, "nest")
    window.press("[data-language-switch]")
    window.wait("return document.documentElement.lang === 'de'")
    try:
        for name in ("nest", "kit", "heat", "pack"):
            room(window, name)
            assert window.js(RULERS + "return rulers();") == [], name
            assert faults_of_axe(window) == [], name
        window.panel()
        assert window.js(RULERS + "return rulers();") == []
    finally:
        window.press("[data-language-switch]")
        window.wait("return document.documentElement.lang === 'en'")
