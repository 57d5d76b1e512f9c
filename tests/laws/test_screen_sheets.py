"""The pages that are read, without a browser: every example, nothing softer than the printed reports, every
figure with its way down to what was typed, long work that is told and stopped."""

from __future__ import annotations

import io
import math
import re
import shutil
import threading
import time
import zipfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app.errands import Errands
from panelmend.app.prints import PrintBook, Square, side_is_near
from panelmend.errors import InputError
from panelmend.job.strength.scope import NOT_COVERED
from panelmend.long_work import Tell
from panelmend.plan.strength_study import StrengthStudy
from panelmend.render.cure_plan import cure_plan_data
from panelmend.render.pack import write_pack
from panelmend.render.papers import PRINT_OFF
from panelmend.render.strength_report import strength_data
from panelmend.screen.drawing.cutting import cutting_list
from panelmend.screen.drawing.printed import on_screen, printed_svg
from panelmend.screen.drawing.stack import stacks
from screen_made import Desk, desk
from strength_made import coarse

ROOMS = ("nest", "kit", "stack", "heat", "strength", "pack", "figures?find=cure")
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


def study(at: Desk, name: str) -> StrengthStudy:
    """The strength study of a repair, made as the page asks for it."""
    assert at.post(f"/api/repairs/{name}/errands/strength", {}).status == 200
    errands: Errands = at.app.app.state.errands  # type: ignore[attr-defined]
    found = errands.of(name, "strength")
    assert found is not None
    while found.running:
        time.sleep(0.02)
    assert found.fault == ""
    assert isinstance(found.made, StrengthStudy)
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
    with coarse():
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
    with coarse():
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
        assert "Where it comes from" in part
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


def test_no_pot_life_of_a_sheet_stands_on_the_kit_page_in_warmer_air(at: Desk) -> None:
    path = at.workshop.repairs_folder / "gear_door" / "repair.toml"
    text = path.read_text("utf8")
    line = next(x for x in text.splitlines() if x.startswith("kinetics =") and '"62 kJ/mol"' in x)
    bare = text.replace(line + "\n", "")
    cool, warm = 'air_temperature = "18 C"', 'air_temperature = "29 C"'
    try:
        for made, asked in (
            (bare, False),
            (bare.replace(cool, warm), True),
            (text.replace(cool, warm), False),
        ):
            path.write_text(made, "utf8")
            page = words(at.get("/repairs/gear_door/kit").body)
            assert ("shorter in this warm air: ask the maker" in page) is asked
            assert ("40 min" in page) is (made is bare), "by the constants it is less"
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


def test_no_drawing_on_the_screen_claims_the_scale_of_a_print(at: Desk) -> None:
    assert (
        on_screen("seen from the outside; blanket bold; scale 1:4") == "seen from the outside; blanket bold"
    )
    for room in ("nest", "heat", "stack", "strength"):
        assert not re.search(r"scale \d+:\d+", at.get(f"/repairs/gear_door/{room}").body.decode()), room


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


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
def test_the_exploded_stack_has_every_layer_once_at_its_true_size_and_angle(at: Desk, name: str) -> None:
    plan = at.workshop.open(name).made.plan
    assert plan.work is not None
    made, tried = stacks(plan), 0
    plies = {p.id: p for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    fronts = [s for s in made if any(x.group == "plies" for x in s.levels)]
    assert [x.name for s in fronts for x in s.levels if x.group == "plies"] == [
        i for b in plan.work.bag.operations for i in b.plies
    ]
    for bag, stack in zip(plan.work.bag.operations, fronts, strict=True):
        uses = [x.name.split(". ", 1)[0] for x in stack.levels if x.group == "bag"]
        assert uses == [str(x.order) for x in sorted(bag.layers, key=lambda x: not x.below)]
        for level in stack.levels:
            if level.group != "plies":
                continue
            ply = plies[level.name]
            xs, ys = zip(*level.rings[0], strict=True)
            x0, y0, x1, y1 = ply.template.bounds  # the piece as it is laid, seen from the working side
            assert max(xs) - min(xs) == pytest.approx(1e3 * (x1 - x0), abs=1.0)
            assert max(ys) - min(ys) == pytest.approx(1e3 * (y1 - y0), abs=1.0)
            for a, b, c, d in level.hatch:
                if math.hypot(c - a, d - b) > 40.0:
                    off = math.remainder(math.atan2(d - b, c - a) - float(ply.warp_seen), math.pi)
                    assert off == pytest.approx(0.0, abs=0.01)
                    tried += 1
    assert tried > 20
    page = words(at.get(f"/repairs/{name}/stack").body)
    assert all(said(page, i) for i in plies)


@pytest.mark.parametrize(
    ("square", "along", "across", "holds"),
    [
        ("100 mm", "100.5", "99.5 mm", True),
        ("100 mm", "100.51", "100", False),
        ("100 mm", "100", "99.49", False),
        ("4 in", "4.02", "3,98 in", True),
        ("4 in", "4.021", "4", False),
        ("4 in", "102.1 mm", "4", True),
        ("100 mm", "4 in", "4 in", False),
    ],
)
def test_a_check_square_holds_within_half_a_per_cent_both_ways(
    tmp_path: Path, square: Square, along: str, across: str, holds: bool
) -> None:
    book = PrintBook(tmp_path / "prints.jsonl")
    made = book.measure("p1", "a4", square, along, across, "A. Tester")
    assert made.within is holds
    assert (made.typed_along, made.typed_across) == (along, across)
    assert book.last("p1", "a4") == made
    assert book.last("p2", "a4") is None  # another plan's print says nothing
    assert book.last("p1", "a3") is None


def test_a_check_square_needs_lengths_and_a_name(tmp_path: Path) -> None:
    book = PrintBook(tmp_path / "prints.jsonl")
    for along, across, by in (("about 100", "100", "A. T."), ("100", "", "A. T."), ("100", "100", " ")):
        with pytest.raises(InputError):
            book.measure("p", "a4", "100 mm", along, across, by)
    assert book.rows() == ()
    assert not side_is_near(0.1, 0.1 * (1 + PRINT_OFF) + 1e-6)


def test_a_pack_of_another_plan_says_so_and_its_files_are_no_paths(at: Desk) -> None:
    repair = at.workshop.open("gear_door")
    digest = repair.made.plan.digest
    where = "/repairs/gear_door/pack"
    square = {"paper": "a4", "square": "100 mm", "along": "100", "across": "100", "by": "A. Tester"}
    assert "NO PACK YET" in words(at.get(where).body)
    assert at.post("/api/repairs/gear_door/pack/square", square).status == 404
    about = {"repair": repair.made.plan.case.document.repair.number, "plan": "0" * 64}
    write_pack(repair.path.with_name("pack"), {"kit/list.csv": b"a,b"}, about)
    page = words(at.get(where).body)
    assert "PACK OF ANOTHER PLAN" in page
    assert "Do not work by it" in page
    assert at.post("/api/repairs/gear_door/pack/square", square).status == 404
    write_pack(repair.path.with_name("pack"), {"kit/list.csv": b"a,b"}, about | {"plan": digest})
    assert words(at.get(where).body).count("NOT YET: DO NOT CUT") == 4
    assert at.post("/api/repairs/gear_door/pack/square", square | {"by": ""}).status == 422
    assert at.post("/api/repairs/gear_door/pack/square", square).json["within"] is True
    assert words(at.get(where).body).count("NOT YET: DO NOT CUT") == 3
    assert at.post("/api/repairs/gear_door/pack/square", square | {"across": "101"}).json["within"] is False
    assert "OUTSIDE LIMIT: DO NOT CUT" in words(at.get(where).body)
    saved = at.get(f"{where}/file?file=kit/list.csv")
    assert (saved.status, saved.body) == (200, b"a,b")
    assert saved.headers["content-disposition"].startswith("attachment")
    for name in ("../repair.toml", "manifest.json", "/etc/passwd", "kit/../kit/list.csv", ""):
        assert at.get(f"{where}/file?file={name}").status == 404, name
    with zipfile.ZipFile(io.BytesIO(at.get(f"{where}/all.zip").body)) as whole:
        assert sorted(whole.namelist()) == ["gear_door/kit/list.csv", "gear_door/manifest.json"]


def test_a_page_of_the_pack_is_looked_at_before_it_is_printed(at: Desk) -> None:
    repair = at.workshop.open("cowling")
    plan = repair.made.plan
    assert at.get("/repairs/cowling/pack/page.png?document=job-card.pdf&number=1").status == 404
    about = {"repair": plan.case.document.repair.number, "plan": plan.digest}
    name = "templates/templates-a4.pdf"
    folder = write_pack(repair.path.with_name("pack"), {name: b"as set", "job-card.pdf": b"as set"}, about)
    page = f"/repairs/cowling/pack/page.png?document={name}&number="
    assert at.get(f"{page}1").body.startswith(b"\x89PNG")
    assert at.get(f"{page}999").status == 404
    assert at.get("/repairs/cowling/pack/pages?document=plan.json").status == 404
    (folder / name).write_bytes(b"changed")
    for asked in (f"{page}1", f"/repairs/cowling/pack/pages?document={name}"):
        assert at.get(asked).status == 409, "a picture of the plan would vouch for a file that says otherwise"


def test_what_was_changed_in_a_pack_is_not_handed_out(at: Desk) -> None:
    repair = at.workshop.open("flap_rib_bay")
    where = "/repairs/flap_rib_bay/pack"
    folder = write_pack(repair.path.with_name("pack"), {"a.csv": b"a", "b.csv": b"b"}, {"repair": "R"})
    assert at.get(f"{where}/all.zip").status == 200
    (folder / "a.csv").write_bytes(b"x")
    for asked in ("file?file=a.csv", "all.zip"):
        refused = at.get(f"{where}/{asked}")
        assert refused.status == 409, asked
        assert b"a.csv is not the file that was packed" in refused.body
        page = at.get(f"{where}/{asked}", accept="text/html")
        assert page.status == 409
        assert "a.csv is not the file that was packed" in words(page.body)
    assert at.get(f"{where}/file?file=b.csv").body == b"b"
    (folder / "a.csv").unlink()
    assert at.get(f"{where}/all.zip").status == 409
