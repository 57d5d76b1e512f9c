"""A photograph under the drawing: put in whole, laid by two points, each side its own, kept with it."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from urllib.parse import urlencode

import pytest
from selenium.webdriver.common.action_chains import ActionChains

from panelmend.app.laid_photograph import (
    APART_IN_PICTURE,
    APART_ON_PANEL,
    COARSEST_ELEMENT,
    FINEST_ELEMENT,
    KEPT,
    LEAST_SIDE,
    MOST_ELEMENTS,
    PALEST,
    LaidPhotograph,
    keep_photograph,
    lay,
    photographs,
)
from panelmend.errors import InputError, MissingError, ReadingError
from panelmend.records.canonical import sha256
from panelmend.screen.guard import UPLOAD
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, Answer, Desk, chromium, desk, picture, served
from screen_window import RULERS, Window, faults_of_axe

SMALL = picture(400, 300)
POINTS = {
    "first": {"u": 50, "v": 60, "x": 100.0, "y": 200.0},
    "second": {"u": 350, "v": 260, "x": 400.0, "y": 0.0},
}


@pytest.fixture
def at() -> Iterator[Desk]:
    """A desk with the demonstration."""
    with desk() as made:
        yield made


def put(at: Desk, data: bytes, side: str = "outside", **said: str) -> Answer:
    """Send a photograph as the page does."""
    query = urlencode({"side": side, "digest": sha256(data), **said})
    return at.ask("PUT", f"{REPAIR}/photograph?{query}", data, content_type=UPLOAD)


def test_it_is_put_in_laid_shown_on_the_page_and_taken_away(at: Desk) -> None:
    [new] = put(at, SMALL).json["photographs"]
    assert (new["width"], new["height"], new["matrix"]) == (400, 300, None)
    sent = {"side": "outside", "digest": new["digest"], **POINTS, "opacity": 0.4}
    [laid] = at.post(f"{REPAIR}/photograph/lay", sent).json["photographs"]
    assert (laid["opacity"], laid["words"].split(",")[0]) == (0.4, "1 mm (0.039 in)")
    shown = at.get(f"{REPAIR}/photographs/{new['digest']}")
    assert (shown.body, shown.headers["content-type"]) == (SMALL, "image/png")
    page = at.get(f"/repairs/{DEMO}").body.decode()
    assert new["digest"] in page
    assert new["digest"] in at.get(f"{REPAIR}/photographs").body.decode()
    assert at.post(f"{REPAIR}/photograph/away", {"side": "outside"}).json == {"photographs": []}
    assert at.get(f"{REPAIR}/photographs/{new['digest']}").status == 404
    assert not [*(at.workshop.repairs_folder / DEMO).glob("photograph-*")]


def test_each_side_has_its_own_and_the_last_one_put_in_counts(at: Desk) -> None:
    put(at, SMALL)
    put(at, SMALL, "inside")
    again = picture(500, 300)
    rows = put(at, again).json["photographs"]
    assert {r["side"]: r["width"] for r in rows} == {"outside": 500, "inside": 400}
    kept = sorted(p.name for p in (at.workshop.repairs_folder / DEMO).glob("photograph-*"))
    assert kept == sorted(f"photograph-{sha256(d)[:16]}.png" for d in (SMALL, again))
    stale = at.post(f"{REPAIR}/photograph/lay", {"side": "outside", "digest": sha256(SMALL), **POINTS})
    assert stale.status == 404, "points touched in another photograph lay nothing"


def test_what_did_not_come_whole_or_is_no_picture_is_refused(at: Desk) -> None:
    assert put(at, SMALL, digest="0" * 64).status >= 400
    assert put(at, SMALL[:-20]).status == 422
    assert put(at, b"%PDF-1.7 nothing").status == 422
    assert at.get(f"{REPAIR}/photographs").json == {"photographs": []}


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_both_points_come_to_lie_where_they_were_said_to_be(side: str) -> None:
    """By the matrix as SVG reads it, the drawing's y down: from the inside it is the panel's own y."""
    points, places = ((120.0, 40.0), (900.0, 700.0)), ((0.31, -0.12), (0.05, 0.44))
    made = LaidPhotograph(side, "a", ".jpg", 1000, 800, points, places)  # type: ignore[arg-type]
    a, b, c, d, e, f = made.matrix()
    over = -1 if side == "outside" else 1
    for (u, v), (x, y) in zip(points, places, strict=True):
        assert (a * u + c * v + e, b * u + d * v + f) == pytest.approx((1e3 * x, over * 1e3 * y))
    assert a * d - b * c > 0, "a photograph is never turned over"
    assert math.sqrt(a * d - b * c) == pytest.approx(1e3 * made.scale())


@pytest.mark.parametrize(
    ("width", "height", "taken"),
    [(LEAST_SIDE, 300, True), (LEAST_SIDE - 1, 300, False), (8000, 5000, True), (8000, 5001, False)],
)
def test_sizes_of_a_photograph(tmp_path: Path, width: int, height: int, taken: bool) -> None:
    assert MOST_ELEMENTS == 8000 * 5000
    if taken:
        assert keep_photograph(tmp_path, "outside", picture(width, height)).width == width
    else:
        with pytest.raises(InputError, match="of this size"):
            keep_photograph(tmp_path, "outside", picture(width, height))


@pytest.mark.parametrize(
    ("apart", "metres", "taken"),
    [
        (APART_IN_PICTURE, 0.1, True),
        (APART_IN_PICTURE - 0.1, 0.1, False),
        (100.0, APART_ON_PANEL, True),
        (100.0, APART_ON_PANEL - 1e-4, False),
        (350.0, 350 * COARSEST_ELEMENT * 0.999, True),
        (350.0, 350 * COARSEST_ELEMENT * 1.001, False),
    ],
)
def test_limits_of_two_points(tmp_path: Path, apart: float, metres: float, taken: bool) -> None:
    made = keep_photograph(tmp_path, "outside", SMALL)
    points, places = ((0.0, 0.0), (apart, 0.0)), ((0.0, 0.0), (metres, 0.0))
    if taken:
        lay(tmp_path, "outside", made.digest, points, places, 1.0)
        assert photographs(tmp_path)["outside"].picture == points
    else:
        with pytest.raises(InputError):
            lay(tmp_path, "outside", made.digest, points, places, 1.0)


@pytest.mark.parametrize(("share", "taken"), [(0.999, False), (1.001, True)])
def test_the_finest_scale(tmp_path: Path, share: float, taken: bool) -> None:
    made = keep_photograph(tmp_path, "outside", picture(4000, 100))
    points, places = ((0.0, 0.0), (4000.0, 0.0)), ((0.0, 0.0), (4000 * FINEST_ELEMENT * share, 0.0))
    if taken:
        lay(tmp_path, "outside", made.digest, points, places, 1.0)
    else:
        with pytest.raises(InputError, match="this scale"):
            lay(tmp_path, "outside", made.digest, points, places, 1.0)


@pytest.mark.parametrize(("u", "taken"), [(400.0, True), (400.1, False)])
def test_a_point_lies_in_the_photograph(tmp_path: Path, u: float, taken: bool) -> None:
    made = keep_photograph(tmp_path, "outside", SMALL)
    points, places = ((0.0, 0.0), (u, 300.0)), ((0.0, 0.0), (0.4, 0.3))
    if taken:
        lay(tmp_path, "outside", made.digest, points, places, 1.0)
    else:
        with pytest.raises(InputError, match="outside the photograph"):
            lay(tmp_path, "outside", made.digest, points, places, 1.0)


@pytest.mark.parametrize(("opacity", "status"), [(PALEST, 200), (PALEST - 0.01, 422), (1.01, 422)])
def test_how_much_of_it_is_seen(at: Desk, opacity: float, status: int) -> None:
    put(at, SMALL)
    sent = {"side": "outside", "digest": sha256(SMALL), **POINTS, "opacity": opacity}
    assert at.post(f"{REPAIR}/photograph/lay", sent).status == status


def test_a_list_that_is_none_of_ours_is_named(tmp_path: Path) -> None:
    (tmp_path / KEPT).write_text(
        json.dumps({"version": 1, "photographs": {"outside": {"side": "up"}}}), "utf8"
    )
    with pytest.raises(ReadingError, match="no list of photographs"):
        photographs(tmp_path)
    (tmp_path / KEPT).unlink()
    with pytest.raises(MissingError):
        lay(tmp_path, "outside", "a", ((0, 0), (90, 0)), ((0, 0), (1, 0)), 1.0)


@pytest.fixture
def window() -> Iterator[Window]:
    """A browser at a served screen."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running, chromium(1180, 820) as driver:
        driver.get(running.for_the_browser)
        yield Window(driver, running)
    shutil.rmtree(folder, ignore_errors=True)


def test_a_photograph_is_laid_under_the_drawing_by_two_points_and_stays(
    window: Window, tmp_path: Path
) -> None:
    """Touched in the photograph, typed or touched on the drawing; both points lie where they were said."""
    chosen = tmp_path / "panel.png"
    chosen.write_bytes(picture(900, 600))
    window.panel()
    window.press("[data-mode=photo]")
    window.one("[data-photo-file]").send_keys(str(chosen))
    window.wait("return Boolean(document.querySelector('[data-layer=photograph] image'))")
    assert faults_of_axe(window) == []
    assert window.js(RULERS + "return rulers();") == []
    sheet = window.one("[data-drawing]")
    window.js("arguments[0].scrollIntoView({block: 'center'})", sheet)
    for n, (dx, dy) in enumerate(((-60, -40), (70, 50))):
        if n:
            window.press("[data-point='1'] [data-touch=picture]")
        ActionChains(window.driver).move_to_element_with_offset(sheet, dx, dy).click().perform()
        words = f"[data-point='{n}'] [data-picture-words]"
        window.wait(f'return /[0-9]/.test(document.querySelector("{words}").textContent)')
    window.type("#photo-x-0", "300")
    window.type("#photo-y-0", "400")
    window.press("[data-point='1'] [data-touch=panel]")
    ActionChains(window.driver).move_to_element_with_offset(sheet, 30, 60).click().perform()
    said = [float(window.one(f"#photo-{a}-1").get_attribute("value")) for a in "xy"]
    window.press("[data-photo-lay]")
    window.wait("return document.querySelector('[data-photo-words]').textContent !== ''")
    made = window.js(
        "return (await (await fetch(arguments[0])).json()).photographs[0];", f"{REPAIR}/photographs"
    )
    a, b, c, d, e, f = made["matrix"]
    for point, (x, y) in zip(made["points"], ((300, 400), said), strict=True):
        u, v = point["u"], point["v"]
        assert (a * u + c * v + e, b * u + d * v + f) == pytest.approx((x, -y), abs=1e-6)
    window.press("[data-mode=photo]")
    window.panel()
    there = "[data-layer=photograph] image"
    assert made["digest"] in window.one(there).get_attribute("href")
    window.wait(f"return document.querySelector('{there}').getBBox().width === 900")
    window.press("[data-toggle=photograph]")
    assert not window.one(there).is_displayed()
    window.press("[data-toggle=photograph]")
    window.press("[data-look=inside]")
    window.wait(f"return !document.querySelector('{there}')")
    window.press("[data-look=outside]")
    window.wait(f"return document.querySelector('{there}')")
    window.post(f"{REPAIR}/photograph/away", {"side": "outside"})
    assert window.said() == []
