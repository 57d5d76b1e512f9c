"""A job with several damages on the screen: each is opened by itself, the others lie on its drawing, and what
is touched there is opened."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from tempfile import mkdtemp
from types import SimpleNamespace

import pytest
from selenium.webdriver.common.action_chains import ActionChains

from panelmend.errors import MissingError
from panelmend.plan.several import found_beside
from panelmend.screen.workshop import DEMO, InWork, Workshop
from panelmend.units import show
from screen_made import Desk, chromium, desk, served
from screen_window import RULERS, Window, faults_of_axe

SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""
JOB = "DOOR-7"


def two(workshop: Workshop) -> None:
    """A job with two damages in the workshop."""
    folder = workshop.repairs_folder / JOB
    folder.mkdir()
    text = (workshop.repairs_folder / DEMO / "repair.toml").read_text("utf8")
    text = text.replace("[damage]", "[[damage]]").replace("[data]\n", SECOND + "[data]\n", 1)
    (folder / "repair.toml").write_text(text, "utf8")


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk whose workshop has a job with two damages too."""
    with desk() as made:
        two(made.workshop)
        yield made


def test_each_damage_is_a_repair_of_its_own_in_the_shop(at: Desk) -> None:
    assert at.get("/api/repairs").json["names"] == [f"{JOB}.A", f"{JOB}.B", DEMO]
    page = at.get("/").body.decode()
    assert f'href="/repairs/{JOB}.A"' in page
    assert f'href="/repairs/{JOB}.B"' in page
    for name in (f"{JOB}.C", f"{JOB}.", f"{JOB}.A+B", f".{JOB}.A", f"{DEMO}.A"):
        with pytest.raises(MissingError):
            at.workshop.document(name)


def test_the_others_lie_on_the_drawing_and_can_be_opened_from_it(at: Desk) -> None:
    for own, other in (("A", "B"), ("B", "A")):
        page = at.get(f"/repairs/{JOB}.{own}").body.decode()
        assert f'data-held="{other}"' in page
        assert f'data-held="{own}"' not in page
        assert f'href="/repairs/{JOB}.{other}" data-damage="{other}"' in page
        assert f'data-damage="{own}" aria-current="page"' in page
    assert "data-damages" not in at.get(f"/repairs/{DEMO}").body.decode()


def test_all_damages_lie_on_one_drawing_and_what_is_found_together_counts_for_each(at: Desk) -> None:
    answer = at.get(f"/repairs/{JOB}.A/damages")
    page = unescape(answer.body.decode())
    assert answer.status == 200
    assert page.count('<svg class="printed') == 1, "both damages are on the outside"
    drawing = page[page.index('<svg class="printed') :].partition("</svg>")[0]
    assert all(f">{letter}</text>" in drawing for letter in "AB")
    assert all(f'href="/repairs/{JOB}.{letter}" data-damage="{letter}"' in page for letter in "AB")
    plans = tuple(at.workshop.open(f"{JOB}.{x}").made.plan for x in "AB")
    [b] = found_beside(plans).between
    assert show(b.apart, "length", plans[0].case.view, limit="most") in page
    assert "J226 · Damages of this job A, B" in page
    assert all("J226" in {f.code for f in p.findings} for p in plans), "each page of one says so too"
    assert at.get(f"/repairs/{DEMO}/damages").status == 404


def test_damages_that_count_as_one_stand_once_and_do_not_overlap_themselves(at: Desk) -> None:
    path = at.workshop.repairs_folder / JOB / "repair.toml"
    before = path.read_text("utf8")
    try:
        for where, rows in (("410, 400 mm", 1), ("380, 420 mm", 2)):
            path.write_text(before.replace("180, 620 mm", where), "utf8")
            page = unescape(at.get(f"/repairs/{JOB}.B/damages").body.decode())
            assert page.count('<th scope="row"><a class="button"') == rows
            assert ("A+B, A+B" in page, "A, B" in page) == (False, rows == 2)
            assert ("STOP" in page) is (rows == 2)
    finally:
        path.write_text(before, "utf8")


def test_the_page_of_one_is_a_stop_where_another_is(at: Desk) -> None:
    """On its page, in the list of repairs and to whoever begins its job; what it is, is said there."""
    path = at.workshop.repairs_folder / JOB / "repair.toml"
    before = path.read_text("utf8")
    try:
        path.write_text(before.replace("180, 620 mm", "60, 620 mm"), "utf8")
        answer = at.get(f"/api/repairs/{JOB}.A/plan?side=outside").json["answer"]
        assert answer["standing"] == "STOP"
        [found] = [f for f in answer["findings"] if f["code"] == "J229"]
        assert found["words"].startswith("B: ")
        assert "J229" in unescape(at.get(f"/repairs/{JOB}.A").body.decode())
        page = unescape(at.get(f"/repairs/{JOB}.A/damages").body.decode())
        assert "DRAFT by itself; with the others STOP" in page
        assert "J229 · Damages of this job A" in page
    finally:
        path.write_text(before, "utf8")


def test_a_change_to_one_damage_leaves_the_other_as_it_was(at: Desk) -> None:
    path = at.workshop.repairs_folder / JOB / "repair.toml"
    before, api = path.read_text("utf8"), f"/api/repairs/{JOB}.B"
    seen = at.get(f"{api}/plan?side=outside").json["answer"]["seen"]
    first = at.get(f"/api/repairs/{JOB}.A/plan?side=outside").json["answer"]["damage"]
    move = {"seen": seen, "side": "outside", "move": {"what": "damage", "dx": 10.0, "dy": 0.0}}
    assert at.post(f"{api}/change", move).status == 200
    after = path.read_text("utf8")
    assert 'centre = "190.0, 620.0 mm"' in after
    assert after.replace('"190.0, 620.0 mm"', '"180, 620 mm"') == before
    assert at.get(f"/api/repairs/{JOB}.A/plan?side=outside").json["answer"]["damage"] == first
    seen = at.get(f"{api}/plan?side=outside").json["answer"]["seen"]
    by_hand = {"what": "blanket", "dx": 5.0, "dy": 0.0, "operation": 1}
    refused = at.post(f"{api}/change", {"seen": seen, "side": "outside", "move": by_hand})
    assert refused.status == 422
    assert "several" in str(refused.json)
    assert at.post(f"{api}/back", {"seen": seen, "side": "outside"}).status == 200
    assert path.read_text("utf8") == before


def test_no_damage_is_changed_while_a_job_goes_by_another_of_its_document(
    at: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second damage could be moved, and with it the plan that the first one's job was signed by."""

    def held(closed: str, of: str) -> None:
        job = SimpleNamespace(closed=closed, opened=SimpleNamespace(job="J-1"))
        monkeypatch.setattr(at.workshop, "job_of", lambda name: (None, job) if name == of else None)

    held("", f"{JOB}.A")
    for name, by in ((f"{JOB}.A", "this repair"), (f"{JOB}.B", f"{JOB}.A, another damage")):
        with pytest.raises(InWork, match=f"J-1 is in work by {by}"):
            at.workshop.may_change(name)
    at.workshop.may_change(DEMO)
    held("", DEMO)
    at.workshop.may_change(f"{JOB}.B")
    held("released", f"{JOB}.A")
    at.workshop.may_change(f"{JOB}.B")


def test_taps_and_prints_of_one_damage_are_none_of_the_other(at: Desk) -> None:
    places = {at.workshop.open(f"{JOB}.{d}").beside(n) for d in "AB" for n in ("pack", "prints.json")}
    assert len(places) == 4
    assert at.workshop.open(DEMO).beside("pack").name == "pack"
    books = {id(at.workshop.taps(f"{JOB}.{d}")) for d in "AB"}
    assert len(books) == 2
    tap = {"id": "tap-of-one", "side": "outside", "x": 1.0, "y": 2.0, "dull": True}
    assert at.post(f"/api/repairs/{JOB}.A/taps", tap).status == 200
    assert len(at.workshop.taps(f"{JOB}.A").taps("outside")) == 1
    assert not at.workshop.taps(f"{JOB}.B").taps("outside")


def test_the_damage_that_is_touched_is_opened() -> None:
    folder = Path(mkdtemp(prefix="workshop"))
    two(Workshop(folder).with_demo())
    with served(folder) as running, chromium(1180, 820) as driver:
        driver.get(running.for_the_browser)
        window = Window(driver, running)
        for theme in ("dark", "bright"):
            window.go(f"/repairs/{JOB}.A/damages", theme)
            assert window.js(RULERS + "return rulers();") == []
            assert faults_of_axe(window) == []
        window.go(f"/repairs/{JOB}.A")
        window.wait("return document.documentElement.dataset.ready === 'panel'")
        assert window.js(RULERS + "return rulers();") == []
        assert faults_of_axe(window) == []
        window.press("[data-fit=panel]")
        sheet = window.one("[data-drawing]")
        window.js("arguments[0].scrollIntoView({block: 'center'})", sheet)
        dx, dy = window.js(
            "const b = document.querySelector('[data-layer=others] [data-held]').getBoundingClientRect(),"
            "s = document.querySelector('[data-drawing]').getBoundingClientRect();"
            "return [b.x + b.width / 2 - s.x - s.width / 2, b.y + b.height / 2 - s.y - s.height / 2]"
        )
        ActionChains(driver).move_to_element_with_offset(sheet, round(dx), round(dy)).click().perform()
        window.wait(f"return location.pathname === '/repairs/{JOB}.B'")
        window.wait("return document.documentElement.dataset.ready === 'panel'")
        assert window.one("[aria-current=page][data-damage]").text == "Damage B"
    shutil.rmtree(folder, ignore_errors=True)
