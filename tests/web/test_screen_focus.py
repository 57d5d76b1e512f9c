"""Keys alone: Tab reaches all that can be worked, where it is can be seen, and nothing moves by itself."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import resources

import pytest
from selenium.webdriver.common.keys import Keys

from screen_window import Window, demonstration

MOST = 40  # presses on a page
WORKED = """return [...document.querySelectorAll('a[href], button, input, select, textarea, summary')]
  .filter(e => e.checkVisibility() && !e.disabled && !e.matches('[type=file]')).length;"""
HERE = """const e = document.activeElement;
if (!e || e === document.body) return null;
const style = getComputedStyle(e), box = e.getBoundingClientRect();
const ring = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
return {what: e.outerHTML.slice(0, 120), ring,
  seen: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth};"""


@pytest.fixture(scope="module")
def window() -> Iterator[Window]:
    """A browser at a workshop with the demonstration."""
    with demonstration() as made:
        yield made


@pytest.mark.parametrize("path", ["/", "{}", "{}/inputs?table=damage", "{}/pack", "{}/history", "/shelves"])
def test_tab_reaches_what_can_be_worked_and_where_it_is_can_be_seen(window: Window, path: str) -> None:
    window.driver.set_window_size(820, 1180)
    window.go(path.format("/repairs/TAS-26-0417"))
    count, walked = window.js(WORKED), []
    for _ in range(min(count, MOST)):
        window.driver.switch_to.active_element.send_keys(Keys.TAB)
        now = window.js(HERE)
        if now is None:
            break
        walked.append(now)
    assert [w["what"] for w in walked if not (w["ring"] and w["seen"])] == []
    assert len(walked) >= min(count - 3, MOST), "parts of a menu that is shut are left out"


@pytest.mark.parametrize("size", [(820, 1180), (1440, 900)])
def test_the_rooms_under_more_stand_in_one_line(window: Window, size: tuple[int, int]) -> None:
    window.driver.set_window_size(*size)
    window.go("/repairs/TAS-26-0417/history")
    rooms = "[...document.querySelectorAll('.more summary, .more a')]"
    found = window.js(f"return {rooms}.map(e => e.getBoundingClientRect().top)")
    assert len(found) == 4
    assert max(found) - min(found) < 8.0


def test_nothing_moves_by_itself() -> None:
    """Whoever asks for less motion has none to be spared: nothing slides, fades or scrolls smoothly."""
    files = list(resources.files("panelmend.screen").joinpath("static").iterdir())
    styles = {f.name: f.read_text("utf8") for f in files if f.name.endswith((".css", ".js"))}
    assert len(styles) > 20
    moving = re.compile(
        r"(^|[;{\s])(animation|transition)(-[a-z]+)?\s*:|@keyframes|smooth|requestAnimationFrame|\.animate\("
    )
    assert [name for name, text in styles.items() if moving.search(text)] == []
