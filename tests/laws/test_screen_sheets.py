"""The pages that are read, without a browser: every example, nothing softer than the printed reports, every
figure with its way down to what was typed, long work that is told and stopped."""

from __future__ import annotations

import re
import shutil
import threading
import time
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app.errands import Errands
from panelmend.errors import InputError
from panelmend.job.strength.scope import NOT_COVERED
from panelmend.long_work import Tell
from panelmend.plan.study import Study
from panelmend.render.cure_plan import cure_plan_data
from panelmend.render.strength_report import strength_data
from panelmend.screen.drawing.cutting import cutting_list
from panelmend.screen.drawing.printed import printed_svg
from screen_made import Desk, desk

ROOMS = ("nest", "kit", "heat", "strength", "figures?find=cure")
NAMES = ("gear_door", "cowling", "flap_rib_bay", "root_fairing", "access_door_no_fit")


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk at a workshop with every example in it."""
    with desk() as made:
        for name in NAMES:
            shutil.copytree(EXAMPLES / name, made.workshop.repairs_folder / name)
            shutil.copytree(
                EXAMPLES / "shelves", made.workshop.repairs_folder / "shelves", dirs_exist_ok=True
            )
        yield made


def words(html: bytes) -> str:
    """A page's words without its marks."""
    text = re.sub(r"<(svg|script|style)\b.*?</\1>", " ", html.decode(), flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())


def said(page: str, what: str) -> bool:
    """Whether a page says something, however its lines are broken."""
    return " ".join(str(what).split()) in page


def study(at: Desk, name: str) -> Study:
    """The strength study of a repair, made as the page asks for it."""
    assert at.post(f"/api/repairs/{name}/errands/strength", {}).status == 200
    errands: Errands = at.app.app.state.errands  # type: ignore[attr-defined]
    found = errands.of(name, "strength")
    assert found is not None
    while found.running:
        time.sleep(0.02)
    assert found.fault == ""
    assert isinstance(found.made, Study)
    return found.made


@pytest.mark.parametrize("name", NAMES)
def test_every_page_of_every_example_is_there(at: Desk, name: str) -> None:
    for room in ROOMS:
        answer = at.get(f"/repairs/{name}/{room}", accept="text/html")
        assert answer.status == 200, room
        assert "Plan " + at.workshop.open(name).made.plan.short_digest in words(answer.body)


def test_heat_says_all_that_the_cure_plan_prints_of_what_it_does_not_know(at: Desk) -> None:
    plan = at.workshop.open("gear_door").made.plan
    page, data = words(at.get("/repairs/gear_door/heat").body), cure_plan_data(plan)
    for o in data["operations"]:
        assert said(page, o["outcome"])
        assert said(page, o["likelihood"]["not_known"])
        assert said(page, o["likelihood"]["counts"])
        for row in (*o["limits"], *o["sensors"]):
            assert said(page, row.get("what") or row["why"])
        for unknown in o["unknowns"]:
            assert said(page, unknown[0])
        for note in o["notes"]:
            assert said(page, note)


def test_a_cure_that_is_not_predicted_says_so_and_shows_no_map(at: Desk) -> None:
    html = at.get("/repairs/root_fairing/heat").body
    assert "NOT PREDICTED" in words(html)
    assert b"data-through" not in html
    assert b'class="printed plate"' not in html


def test_strength_is_never_softer_than_the_report(at: Desk) -> None:
    before = words(at.get("/repairs/gear_door/strength").body)
    assert "NOT YET COMPARED" in before
    assert "Least of all" not in before
    data = strength_data(study(at, "gear_door"))
    html = at.get("/repairs/gear_door/strength").body
    page = words(html)
    for text in (*NOT_COVERED, *data["not-checked"], *data["assumptions"]):
        assert said(page, text)
    assert page.count("NOT COVERED") == len(NOT_COVERED)
    for row in data["least"]:
        assert said(page, row["value"]["text"])
        assert said(page, row["rests"])
    unresolved = sum(not r["resolved"] for r in data["least"]) + sum(bool(t["unsure"]) for t in data["tips"])
    assert page.count("NOT RESOLVED") >= unresolved
    for row in (*data["bonds"], *data["own"]):
        assert said(page, row["reason"])
    first = html.split(b'class="big', 1)[1][:6]
    assert (first == b' red">') is data["below"]


def test_a_study_is_shown_for_its_own_plan_alone(at: Desk) -> None:
    study(at, "cowling")
    assert "Least of all" in words(at.get("/repairs/cowling/strength").body)
    path = at.workshop.repairs_folder / "cowling" / "repair.toml"
    text = path.read_text("utf8")
    path.write_text(text + "\n# another text, so another plan\n", "utf8")
    try:
        assert "NOT YET COMPARED" in words(at.get("/repairs/cowling/strength").body)
    finally:
        path.write_text(text, "utf8")


def test_every_figure_of_a_page_opens_down_to_what_was_typed(at: Desk) -> None:
    html = at.get("/repairs/gear_door/nest").body + at.get("/repairs/gear_door/heat").body
    links = {unescape(x) for x in re.findall(r'data-why href="([^"]+)"', html.decode())}
    assert len(links) > 60
    ledger = at.workshop.open("gear_door").made.plan.ledger
    for link in sorted(links)[::9]:
        part = words(at.get(f"{link}&part=1").body)
        assert "Ground" in part
        assert "Source" in part
    computed = next(f for f in ledger if len(f.inputs) > 1)
    part = at.get(f"/repairs/gear_door/why?key={computed.key}&part=1").body.decode()
    for _, key in computed.inputs:
        assert key in part
    assert at.get("/repairs/gear_door/why?key=no.such.figure").status == 404


def test_the_cutting_list_has_every_piece_once_with_the_face_that_is_up(at: Desk) -> None:
    plan = at.workshop.open("gear_door").made.plan
    assert plan.work is not None
    rows = cutting_list(plan)
    laid = [p for c in plan.work.nest.cloths for x in c.nest.layouts for p in x.placements]
    assert len(rows) == len(laid) > 3
    assert [r["turned_over"] for r in rows].count(True) == sum(p.mirrored for p in laid)
    page = words(at.get("/repairs/gear_door/nest").body)
    assert all(said(page, r["piece"]) for r in rows)


def test_what_may_not_be_used_is_said_beside_the_lot(at: Desk) -> None:
    path = at.workshop.repairs_folder / "gear_door" / "repair.toml"
    text = path.read_text("utf8")
    plan = at.workshop.open("gear_door").made.plan
    lot = next(x for x in plan.case.document.stores.roll if x.expires is not None)
    assert "EXPIRED" not in words(at.get("/repairs/gear_door/kit").body)
    assert str(lot.expires) in text
    path.write_text(text.replace(str(lot.expires), "2020-01-01"), "utf8")
    try:
        assert "EXPIRED" in words(at.get("/repairs/gear_door/kit").body)
    finally:
        path.write_text(text, "utf8")


def test_a_drawing_names_itself_and_keeps_the_colours_of_a_scale() -> None:
    item = {"path": [[0.0, 0.0, "m"], [1.0, 1.0], []], "pen": [0.3, "#0a5f8c", []], "fill": "#fbf1ca"}
    made = printed_svg({"width": 2.0, "height": 2.0, "items": [item]}, 'a "map" <here>')
    assert 'class="printed plate"' in made
    assert 'fill="#fbf1ca"' in made
    assert 'class="s-accent"' in made
    assert "a &quot;map&quot; &lt;here&gt;" in made
    assert "style=" not in made


def test_long_work_is_told_stopped_and_not_begun_twice() -> None:
    errands, go = Errands(), threading.Event()

    def work(tell: Tell, stop: threading.Event) -> Any:
        tell("half of it")
        go.wait(5)
        if stop.is_set():
            raise InputError("stopped in the middle")
        return 7

    made = errands.begin("A", "pack", work)
    while made.words != "half of it":
        time.sleep(0.01)
    with pytest.raises(InputError, match="already"):
        errands.begin("A", "pack", work)
    waits = errands.begin("B", "pack", work)
    assert waits.words == "waits for its turn"
    errands.stop("B", "pack")
    go.set()
    while made.running or waits.running:
        time.sleep(0.01)
    assert (made.made, made.fault) == (7, "")
    assert waits.made is None
    assert "stopped" in waits.fault
