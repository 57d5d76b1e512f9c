"""The pages in Debian's Chromium: nothing refused by the page's own policy, both themes, layers, tools, a
change that is tried, kept and taken back, a killed server, and what axe and our own rulers find."""

from __future__ import annotations

import json
import math
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from panelmend.screen.workshop import DEMO
from screen_made import chromium, served
from screen_window import RULERS, Window, demonstration, faults_of_axe

PAGES = ("/", f"/repairs/{DEMO}", f"/repairs/{DEMO}?side=inside", "/repairs/none-such")
TABLETS = ((1180, 820), (820, 1180))


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """One browser and one server for all of them."""
    with demonstration() as made:
        yield made


def test_the_opened_address_leads_to_the_shop_and_is_spent(window: Window) -> None:
    assert window.driver.current_url == f"{window.base}/"
    assert DEMO in window.one("main").text
    assert "INVENTED" in window.one("main").text
    assert "READY" in window.one("main").text


@pytest.mark.parametrize("theme", ["bright", "dark"])
@pytest.mark.parametrize("path", PAGES)
def test_pages_keep_to_contrast_targets_and_names(window: Window, path: str, theme: str) -> None:
    """Text 7:1, targets 44 px and the main ones 56, nothing wider than the page; axe finds no fault."""
    window.said()
    for size in TABLETS:
        window.driver.set_window_size(*size)
        window.go(path, theme)
        found = window.js(RULERS + "return rulers();")
        assert found == [], f"{path} {theme} {size}"
    if path != "/repairs/none-such":
        assert window.said() == []
    assert faults_of_axe(window) == []


def test_the_rulers_see_what_is_wrong(window: Window) -> None:
    window.panel()
    window.js(
        "const p = document.createElement('p'); p.textContent = 'pale'; p.style.color = '#888';"
        "const b = document.createElement('button'); b.textContent = 'small'; b.style.cssText = "
        "'height: 40px; min-height: 0; padding: 0'; const w = document.createElement('div');"
        "w.style.width = '3000px'; w.textContent = 'wide'; document.querySelector('main').append(p, b, w);"
    )
    found = " ".join(window.js(RULERS + "return rulers();"))
    assert "pale" in found
    assert "small" in found
    assert "wider" in found


def test_the_drawing_is_true_to_scale_at_every_zoom_and_turn(window: Window) -> None:
    window.driver.set_window_size(1280, 900)
    window.panel()
    for act in (
        "[data-zoom='1.43']",
        "[data-turn='15']",
        "[data-turn='15']",
        "[data-zoom='0.7']",
        "[data-fit=panel]",
    ):
        window.press(act)
        m = window.js(
            "const m = document.querySelector('[data-layer=edge]').getScreenCTM();return [m.a, m.b, m.c, m.d]"
        )
        k = math.hypot(m[0], m[1])
        assert math.hypot(m[2], m[3]) == pytest.approx(k, rel=1e-6)  # as much across as along
        bar, words = window.js(
            "return [document.querySelector('[data-scale] path').getBBox().width,"
            " document.querySelector('[data-scale-words]').textContent]"
        )
        assert bar / k == pytest.approx(float(words.split()[0]), abs=0.1 / k + 1e-3)


def test_the_far_side_is_mirrored_and_says_so(window: Window) -> None:
    window.panel()
    latch = "return document.querySelector('[data-layer=inserts]').getBBox()"
    rib = "return [...document.querySelectorAll('[data-layer=cutout] path')].map(p => p.getBBox())[0]"
    outside, cut = window.js(latch), window.js(rib)
    window.press("[data-look=inside]")
    window.wait("return document.querySelector('[data-look=inside]').getAttribute('aria-pressed') === 'true'")
    inside, cut_inside = window.js(latch), window.js(rib)
    assert inside["x"] == pytest.approx(outside["x"])
    assert inside["y"] == pytest.approx(-outside["y"] - outside["height"])
    assert cut_inside["y"] == pytest.approx(-cut["y"] - cut["height"])
    assert "mirrored" in window.one("[data-seen-words]").text


def test_a_layer_is_hidden_and_shown_by_its_button_and_keeps_its_state_over_a_change(window: Window) -> None:
    window.panel()
    for key in window.js(
        "return [...document.querySelectorAll('[data-toggle]:not([hidden])')].map(b => b.dataset.toggle)"
    ):
        shown = f"return !document.querySelector('[data-layer={key}]').hasAttribute('hidden')"
        press = f"const b = document.querySelector('[data-toggle={key}]'); b.click(); return b.ariaPressed"
        before = window.js(shown)
        assert window.js(press) == str(not before).lower()
        assert window.js(shown) is not before
        window.js(press)


def test_measuring_between_two_places(window: Window) -> None:
    window.panel()
    window.press("[data-mode=measure]")
    sheet = window.one("[data-drawing]")
    window.js("arguments[0].scrollIntoView({block: 'center'})", sheet)
    for dx in (-100, 100):
        ActionChains(window.driver).move_to_element_with_offset(sheet, dx, 0).click().perform()
    k = window.js("return document.querySelector('[data-layer=edge]').getScreenCTM().a")
    mm, inch = map(float, re.findall(r"[\d.]+", window.one("[data-told]").text))
    assert mm == pytest.approx(200 / k, abs=0.06)
    assert inch == pytest.approx(mm / 25.4, abs=3e-3)


def test_moving_the_cut_out_is_tried_then_left_and_then_kept_and_taken_back(window: Window) -> None:
    window.panel()
    before = window.text
    cut = "return document.querySelector('[data-layer=cutout] path').getBBox().x"
    x = window.js(cut)
    window.press("[data-mode=cutout]")
    for _ in range(3):
        window.press("[data-nudge='1 0 0']")
    window.wait(f"return Math.abs((() => {{ {cut} }})() - {x} - 3) < 0.2")
    assert window.text == before  # tried, not kept
    assert "Tried, not kept" in window.one("[data-beside]").text
    window.press("[data-leave]")
    window.wait(f"return Math.abs((() => {{ {cut} }})() - {x}) < 1e-6")
    window.press("[data-mode=cutout]")
    window.one("[data-drawing]").send_keys(Keys.ARROW_UP)
    window.press("[data-keep]")
    window.wait("return document.querySelector('[data-moving]').hidden")
    assert "cutout = { oval = " in window.text
    assert window.text.startswith(before.rstrip()[:15000])
    window.press("[data-back]")
    window.wait("return document.querySelector('[data-back]').getAttribute('aria-disabled') === 'true'")
    assert window.text == before


def test_a_drag_moves_in_the_panels_own_directions(window: Window) -> None:
    """Up on the screen is up on the panel from outside, and down in standard axes from inside."""
    for side, sign in (("outside", 1.0), ("inside", -1.0)):
        window.go(f"/repairs/{DEMO}?side={side}")
        window.wait("return document.documentElement.dataset.ready === 'panel'")
        window.press("[data-mode=damage]")
        sheet = window.one("[data-drawing]")
        window.js("arguments[0].scrollIntoView({block: 'center'})", sheet)
        k = window.js("return document.querySelector('[data-layer=edge]').getScreenCTM().a")
        ActionChains(window.driver).move_to_element(sheet).click_and_hold().move_by_offset(
            0, -40
        ).release().perform()
        told = window.one("[data-moving-words]").text
        dx, dy = (float(v.replace("−", "-")) for v in re.findall(r"(-?[\d.]+) mm", told))
        assert dx == pytest.approx(0.0, abs=0.1)
        assert dy == pytest.approx(sign * 40 / k, rel=0.3)  # the first pixels tell a drag from a touch
        window.press("[data-leave]")
        window.wait("return document.querySelector('[data-moving]').hidden")


def test_a_field_is_judged_as_it_is_typed_kept_as_typed_and_echoed_in_both_systems(window: Window) -> None:
    window.panel()
    before = window.text
    field = "#f-bay-air_temperature"
    window.type(field, "nine")
    window.wait("return document.querySelector('[data-field=\"bay.air_temperature\"] .fault').textContent")
    assert window.text == before
    assert window.one(field).get_attribute("aria-invalid") == "true"
    window.type(field, "68,0 F" + Keys.ENTER)
    window.wait("return document.querySelector('[data-saved]').textContent.startsWith('Saved')")
    assert 'air_temperature = "68,0 F"' in window.text
    shown = window.one("[data-field='bay.air_temperature'] .note").text
    assert "20 C" in shown
    assert "68 F" in shown
    window.press("[data-back]")
    window.wait("return document.querySelector('[data-back]').getAttribute('aria-disabled') === 'true'")
    assert window.text == before


def _sheet(window: Window) -> Any:
    sheet = window.one("[data-drawing]")
    window.js("arguments[0].scrollIntoView({block: 'center'})", sheet)
    return sheet


def _q(dull: int, sound: int) -> str:
    return f"'{dull} dull, {sound} sound'"


def _count(window: Window) -> str:
    return str(window.one("[data-survey-count]").text)


def test_the_survey_is_tapped_by_touch_with_undo_in_order_and_the_lines_follow(window: Window) -> None:
    window.panel()
    window.press("[data-mode=survey]")
    window.wait("return document.querySelector('[data-survey-count]').textContent.includes('sound')")
    dull, sound = map(int, re.findall(r"\d+", _count(window)))
    assert dull > 5
    assert sound > 30
    outer = "return document.querySelector('[data-layer=outer] path').getAttribute('d')"
    before = window.js(outer)
    ActionChains(window.driver).move_to_element_with_offset(_sheet(window), 130, 100).click().perform()
    window.press("[data-tap=dull]")
    window.wait("return document.querySelector('[data-survey-count]').textContent === " + _q(dull + 1, sound))
    assert "mm" in window.one("[data-tap-place]").text  # the ring went on to the next place asked
    assert window.js(RULERS + "return rulers();") == []
    window.press("[data-tap-next]")
    window.press("[data-tap=sound]")
    window.wait(
        "return document.querySelector('[data-survey-count]').textContent === " + _q(dull + 1, sound + 1)
    )
    lines = (window.folder / "repairs" / DEMO / "taps.jsonl").read_text("utf8").splitlines()
    assert [json.loads(x)["dull"] for x in lines[-2:]] == [True, False]
    for wanted in (_q(dull + 1, sound), _q(dull, sound)):
        window.press("[data-tap-undo]")
        window.wait(f"return document.querySelector('[data-survey-count]').textContent === {wanted}")
    window.wait(f"return (() => {{ {outer} }})() === {json.dumps(before)}")


def test_a_tap_where_one_is_asks_first(window: Window) -> None:
    window.panel()
    window.press("[data-mode=survey]")
    window.wait("return document.querySelectorAll('[data-layer=taps] > g').length > 30")
    dot = window.one("[data-layer=taps] > g:nth-child(28)")
    window.js("arguments[0].scrollIntoView({block: 'center'})", window.one("[data-drawing]"))
    ActionChains(window.driver).move_to_element(dot).click().perform()
    before = _count(window)
    window.press("[data-tap=sound]")
    assert "tap here again" in window.one("[data-told]").text
    assert _count(window) == before
    window.press("[data-mode=survey]")


def test_keys_alone_reach_and_work_the_drawing(window: Window) -> None:
    window.panel()
    body = window.one("body")
    body.send_keys(Keys.TAB)
    assert window.js("return document.activeElement.className") == "skip"
    for _ in range(40):
        if window.js("return document.activeElement.hasAttribute('data-drawing')"):
            break
        window.driver.switch_to.active_element.send_keys(Keys.TAB)
    k = "return document.querySelector('[data-layer=edge]').getScreenCTM().a"
    near = window.js(k)
    window.driver.switch_to.active_element.send_keys("+")
    assert window.js(k) == pytest.approx(1.25 * near)


def test_the_theme_is_one_press_away_and_stays(window: Window) -> None:
    window.go("/")
    window.press("[data-theme-switch]")
    window.driver.get(window.base + "/")
    assert window.js("return document.documentElement.dataset.theme") == "dark"
    window.go("/", "bright")


def test_a_killed_server_comes_back_and_the_page_goes_on() -> None:
    folder = Path(mkdtemp(prefix="workshop"))
    with chromium() as driver:
        with served(folder) as running:
            driver.get(running.for_the_browser)
            first = Window(driver, running)
            first.panel()
        taps = folder / "repairs" / DEMO / "taps.jsonl"
        before = len(taps.read_text("utf8").splitlines())
        first.type("#f-bay-humidity", "50 %" + Keys.ENTER)
        first.wait(
            "return document.querySelector('[data-saved]').textContent.startsWith('Kept on this device: 1')"
        )
        first.press("[data-mode=survey]")
        ActionChains(driver).move_to_element_with_offset(_sheet(first), 120, 110).click().perform()
        first.press("[data-tap=dull]")
        first.wait(
            "return document.querySelector('[data-saved]').textContent.startsWith('Kept on this device: 1')"
        )
        driver.refresh()  # what is kept on the device outlives the page, too
        with served(folder) as again:
            assert again.port == running.port
            driver.get(f"{first.base}/repairs/{DEMO}")
            WebDriverWait(driver, 40, 0.1).until(
                lambda _: len(taps.read_text("utf8").splitlines()) == before + 1
            )
            WebDriverWait(driver, 40, 0.1).until(lambda _: 'humidity = "50 %"' in first.text)
            first.wait("return document.querySelector('[data-saved]').textContent.startsWith('Saved')")
            assert first.one("#f-bay-humidity").get_attribute("value") == "50 %"
    shutil.rmtree(folder, ignore_errors=True)


def _dragged(window: Window, dx: int, dy: int) -> None:
    sheet = _sheet(window)
    ActionChains(window.driver).move_to_element(sheet).click_and_hold().move_by_offset(
        dx // 2, dy // 2
    ).move_by_offset(dx - dx // 2, dy - dy // 2).release().perform()


def test_a_blanket_is_dragged_tried_kept_and_put_back(window: Window) -> None:
    """Findings and fits change while it is dragged; what is kept is a place in the document."""
    window.driver.set_window_size(1180, 820)
    window.panel()
    before = window.text
    window.press("[data-mode=blanket]")
    window.wait("return !document.querySelector('[data-layer=blanket-1]').hasAttribute('hidden')")
    assert window.one("[data-pick][aria-pressed=true]").text == "Core and cap: HB-20"
    assert not window.one("[data-nudge='0 0 1']").is_displayed()  # a blanket is not turned here
    box = "return document.querySelector('[data-layer=blanket-1] path').getBBox().x"
    x = window.js(box)
    _dragged(window, 200, 0)
    window.wait(f"return (() => {{ {box} }})() - {x} > 100")
    window.wait("return document.querySelector('[data-beside]').textContent.includes('B410')")
    assert "heated area past what it must heat" in window.one("[data-part=fits]").text
    assert "Tried, not kept" in window.one("[data-beside]").text
    assert window.text == before
    others = window.driver.find_elements("css selector", "[data-pick][aria-pressed=false]")
    assert all(b.get_attribute("aria-disabled") == "true" for b in others)  # not with a move open
    window.press("[data-leave]")
    window.wait(f"return Math.abs((() => {{ {box} }})() - {x}) < 1e-6")
    window.press("[data-mode=blanket]")
    for _ in range(3):
        window.press("[data-nudge='1 0 0']")
    window.press("[data-keep]")
    window.wait("return document.querySelector('[data-moving]').hidden")
    assert "blanket_centre = " in window.text
    window.press("[data-mode=blanket]")
    window.press("[data-put-back]")
    window.wait("return document.querySelector('[data-moving]').hidden")
    assert window.text == before


def test_a_thermocouple_is_dragged_and_the_others_stay(window: Window) -> None:
    window.panel()
    before = window.text
    window.press("[data-mode=thermocouple]")
    window.wait("return !document.querySelector('[data-layer=tc-1]').hasAttribute('hidden')")
    window.press("[data-pick=T2][data-operation='1']")
    held = "return document.querySelector('[data-layer=tc-1] [data-held={}]').getAttribute('transform')"
    first, second = (window.js(held.format(n)) for n in ("T1", "T2"))
    _dragged(window, -120, 0)
    window.wait(f"return (() => {{ {held.format('T2')} }})() !== {json.dumps(second)}")
    window.wait("return document.querySelector('[data-beside]').textContent.includes('B412')")
    assert window.js(held.format("T1")).split(",")[0][:14] == first.split(",")[0][:14]
    window.press("[data-leave]")
    window.wait(f"return (() => {{ {held.format('T2')} }})() === {json.dumps(second)}")
    window.press("[data-mode=thermocouple]")
    window.one("[data-drawing]").send_keys(Keys.ARROW_LEFT)
    window.press("[data-keep]")
    window.wait("return document.querySelector('[data-moving]').hidden")
    assert "thermocouples = [" in window.text
    window.press("[data-mode=thermocouple]")
    window.press("[data-put-back]")
    window.wait("return document.querySelector('[data-moving]').hidden")
    assert window.text == before


def test_a_page_that_a_browser_prints_says_that_it_is_no_template(window: Window) -> None:
    window.panel()
    note = window.one(".on-paper")
    assert not note.is_displayed()
    window.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        assert note.is_displayed()
        assert "not to scale, not a template" in note.text
    finally:
        window.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
