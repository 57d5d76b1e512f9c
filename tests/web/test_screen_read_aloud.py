"""What a screen reader is told, and what is seen in the few colours of the system's own or at 200 %."""

from __future__ import annotations

import time
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest

from screen_window import Window, demonstration

D = "/repairs/TAS-26-0417"
ROOMS = ("inputs?table=bay", "nest", "kit", "stack", "heat", "pack", "cure", "logs", "compare", "history")
PAGES = ("/", "/people", "/stores", D, *(f"{D}/{room}" for room in ROOMS))
NAMED = {"button", "link", "textbox", "combobox", "checkbox", "slider", "image", "application", "region"}
BESIDE = """return [...document.querySelectorAll('main *')].filter(e => {
  const box = e.getBoundingClientRect();
  if (!box.width || box.right <= innerWidth + 1) return false;
  for (let p = e.parentElement; p; p = p.parentElement)
    if (p.tagName === 'svg' || getComputedStyle(p).overflowX !== 'visible') return false;
  return true;
}).slice(0, 3).map(e => e.outerHTML.slice(0, 80));"""


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser at a workshop with the demonstration."""
    with demonstration() as made:
        yield made


def told(window: Window) -> list[tuple[str, str, dict[str, Any], str]]:
    """Role, name, properties and group of everything that is told, in its order."""
    nodes = _settled(window)
    by = {n["nodeId"]: n for n in nodes}
    made = []
    for n in nodes:
        if n.get("ignored"):
            continue
        above, at = [], by.get(n.get("parentId", ""))
        while at is not None:
            above.append(
                _word(at, "name") if _word(at, "role") in ("group", "region", "row", "listitem") else ""
            )
            at = by.get(at.get("parentId", ""))
        given = {p["name"]: p["value"].get("value") for p in n.get("properties", [])}
        made.append((_word(n, "role"), _word(n, "name"), given, " / ".join(filter(None, above))))
    return made


def _settled(window: Window) -> list[dict[str, Any]]:
    """What is told of a page, once asking again tells no more: the browser builds it behind the page."""
    nodes: list[dict[str, Any]] = []
    for _ in range(50):
        before = len(nodes)
        nodes = window.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        if len(nodes) == before and any(_word(n, "role") == "heading" for n in nodes):
            break
        time.sleep(0.1)
    return nodes


def _word(node: dict[str, Any], key: str) -> str:
    return str(node.get(key, {}).get("value", "")).strip()


@pytest.mark.parametrize("path", PAGES)
def test_everything_has_a_name_headings_leave_out_no_level_and_news_is_told(
    window: Window, path: str
) -> None:
    window.go(path)
    found = told(window)
    assert [role for role, name, _, _ in found if role in NAMED and not name] == []
    levels = [given["level"] for role, _, given, _ in found if role == "heading"]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels)), levels
    assert any(role == "status" for role, _, _, _ in found), "what is kept is told"


def test_fields_of_one_name_are_told_apart_by_their_row(window: Window) -> None:
    window.go(f"{D}/inputs?table=bay")
    fields = [(name, group) for role, name, _, group in told(window) if role == "textbox"]
    lengths = [group for name, group in fields if name.startswith("length")]
    assert len(lengths) > 1
    assert len(set(lengths)) == len(lengths), lengths


def test_what_is_current_or_pressed_is_seen_in_the_systems_own_colours(window: Window) -> None:
    media = [{"name": "forced-colors", "value": "active"}]
    window.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": media})
    try:
        window.go(D)
        line = "getComputedStyle(document.querySelector('.head nav a{}')).borderBottomColor"
        now, other = (
            window.js(f"return {line.format(which)}") for which in ("[aria-current]", ":not([aria-current])")
        )
        assert now != other
        button = "document.querySelector('.choice .button[aria-pressed={}]')"
        width = f"parseFloat(getComputedStyle({button}).borderTopWidth)"
        pressed, not_pressed = (window.js(f"return {width.format(w)}") for w in ("true", "false"))
        assert pressed > not_pressed
    finally:
        window.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})


@pytest.mark.parametrize("path", PAGES)
def test_at_200_percent_nothing_of_a_page_lies_beside_it(window: Window, path: str) -> None:
    size = {"width": 640, "height": 512, "deviceScaleFactor": 2, "mobile": False}  # half of 1280 by 1024
    window.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        window.go(path)
        assert window.js("return document.documentElement.scrollWidth <= innerWidth")
        assert window.js(BESIDE) == []
    finally:
        window.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


@pytest.mark.parametrize("path", ["/", f"{D}/logs", f"{D}/why?key=plies.OUT-R1.outline"])
def test_in_a_window_of_420_pixels_nothing_of_a_page_lies_beside_it(window: Window, path: str) -> None:
    """The badge of an invented repair, words about logs and long values were cut off at the right."""
    size = {"width": 420, "height": 900, "deviceScaleFactor": 1, "mobile": False}
    window.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    try:
        window.go(path)
        assert window.js("return document.documentElement.scrollWidth <= innerWidth")
        assert window.js(BESIDE) == []
    finally:
        window.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


@pytest.mark.parametrize("theme", ["bright", "dark"])
def test_a_page_that_is_not_served_keeps_the_theme(window: Window, theme: str) -> None:
    window.go("/", theme)
    window.driver.get(window.driver.current_url.rstrip("/") + f"{D}/card/1")
    assert window.js("return document.documentElement.dataset.theme") == theme
