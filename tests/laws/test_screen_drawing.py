"""The screen's drawing beside the plan it is made from: true places and angles, mirrored from behind."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app import service
from panelmend.app.tapbook import TapBook
from panelmend.document.panel import Side
from panelmend.plan.plan import Plan
from panelmend.screen.drawing import sheet
from panelmend.screen.drawing.layers import Hatching, layers
from panelmend.screen.words import catalogue
from panelmend.screen.workshop import Workshop

SIDES: tuple[Side, Side] = ("outside", "inside")
ROOT = Path(__file__).parents[2]


@cache
def _plan(name: str) -> Plan:
    return service.plan(EXAMPLES / name / "repair.toml")


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
@pytest.mark.parametrize("side", SIDES)
def test_every_warp_is_hatched_at_its_true_angle(name: str, side: Side) -> None:
    plan = _plan(name)
    assert plan.work is not None
    made = {x.key: svg for x, svg in sheet(plan, side).layers}
    turn = 1.0 if side == "outside" else -1.0
    layup = next((s for s in plan.work.plies.sides if s.side == side), plan.work.plies.sides[0])
    tried = 0
    for ply in layup.plies:
        if not ply.has_warp:
            continue
        key = "ply-" + "".join(c if c.isalnum() else "-" for c in ply.id).lower()
        lines = re.findall(r'class="warp" d="([^"]*)"', made[key])[0]
        for x0, y0, x1, y1 in re.findall(r"M(\S+) (\S+)L(\S+?) (\S+?)(?=M|$)", lines):
            angle = math.atan2(-(float(y1) - float(y0)), float(x1) - float(x0))
            apart = math.remainder(angle - turn * float(ply.warp), math.pi)
            if math.hypot(float(x1) - float(x0), float(y1) - float(y0)) > 5.0:
                assert apart == pytest.approx(0.0, abs=1e-5)
                tried += 1
    assert tried > 50


def test_cut_out_and_edge_lie_where_the_plan_has_them_in_millimetres() -> None:
    plan = _plan("gear_door")
    assert plan.work is not None
    x0, y0, x1, y1 = plan.case.geometry.outline.bounds
    box = sheet(plan, "outside").panel
    room = 0.04 * 1e3 * max(x1 - x0, y1 - y0)
    assert box == pytest.approx(
        (1e3 * x0 - room, -1e3 * y1 - room, 1e3 * (x1 - x0) + 2 * room, 1e3 * (y1 - y0) + 2 * room)
    )


def test_the_far_side_turns_everything_over_about_0_degrees() -> None:
    plan = _plan("gear_door")
    out, inside = ({x.key: x for x in layers(plan, s)} for s in SIDES)
    a, b = (v["inserts"].marks[0] for v in (out, inside))
    (x, y), (u, v) = a.outlines[0].centroid, b.outlines[0].centroid  # type: ignore[union-attr]
    assert (u, v) == pytest.approx((x, -y))


def test_the_ribbon_and_every_thing_of_the_plan_has_its_layer() -> None:
    plan = _plan("gear_door")
    work = plan.work
    assert work is not None
    made = {x.key: x for x in layers(plan, "outside")}
    assert {"edge", "structure", "inserts", "cutout", "damage", "tape", "plug"} <= set(made)
    for bag in work.bag.operations:
        assert {f"seal-{bag.number}", f"blanket-{bag.number}", f"tc-{bag.number}"} <= set(made)
    assert work.core.plug is not None
    ribbon = next(m for m in made["plug"].marks if isinstance(m, Hatching))
    assert ribbon.angle == float(work.core.plug.ribbon)


def test_through_repairs_show_each_skins_own_plies() -> None:
    plan = _plan("cowling")
    assert plan.work is not None
    assert len(plan.work.plies.sides) == 2
    for side in SIDES:
        own = {"ply-" + p.id.lower() for s in plan.work.plies.sides if s.side == side for p in s.plies}
        shown = {x.key for x in layers(plan, side) if x.key.startswith("ply-") and x.group == "repair"}
        assert shown == own


@pytest.mark.parametrize("name", sorted(p.parent.name for p in EXAMPLES.glob("*/repair.toml")))
@pytest.mark.parametrize("side", SIDES)
def test_the_drawing_of_every_example_is_well_formed_and_named(name: str, side: Side) -> None:
    for layer, svg in sheet(_plan(name), side).layers:
        reader = _Balanced()
        reader.feed(svg)
        assert reader.open == []
        assert layer.name
        assert "nan" not in svg
        assert "style=" not in svg
        assert "#" not in re.sub(
            r"&#x?\w+;", "", re.sub(r">[^<]*<", "><", svg)
        )  # no colours: pens are classes


class _Balanced(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: object) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_every_pen_of_the_drawing_has_its_style() -> None:
    styles = (ROOT / "src/panelmend/screen/static/drawing.css").read_text("utf8")
    pens: set[str] = set()
    for name in ("gear_door", "cowling"):
        for side in SIDES:
            for _, svg in sheet(_plan(name), side).layers:
                pens |= {p for group in re.findall(r'class="([^"]+)"', svg) for p in group.split()}
    assert {
        p for p in pens if f".{p} " not in styles and f".{p}," not in styles and f".{p}:" not in styles
    } == set()


def test_the_demonstration_in_the_package_is_the_example() -> None:
    demo = ROOT / "src/panelmend/screen/demo"
    for file in demo.glob("repair.*"):
        assert file.read_bytes() == (EXAMPLES / "gear_door" / file.name).read_bytes(), file.name
    rows = [r.split(";") for r in (EXAMPLES / "gear_door" / "taps.csv").read_text("utf8").splitlines()[2:]]
    taps = TapBook(demo / "taps.jsonl").taps("outside")
    assert [(1e3 * t.at[0], 1e3 * t.at[1]) for t in taps] == [
        pytest.approx((float(x), float(y))) for x, y, _ in rows
    ]
    assert [t.dull for t in taps] == [r[2] == "dull" for r in rows]


def test_every_file_of_the_screen_goes_into_the_wheel() -> None:
    data = tomllib.loads((ROOT / "pyproject.toml").read_text("utf8"))["tool"]["setuptools"]["package-data"]
    endings = {Path(p).suffix for p in data["panelmend"]} | {".py"}
    room = ROOT / "src/panelmend/screen"
    files = [p for p in room.rglob("*") if p.is_file() and "__pycache__" not in p.parts]
    assert {p.suffix for p in files} <= endings
    assert len(files) > 35


def test_the_demonstration_is_put_only_where_there_is_no_repair(tmp_path: Path) -> None:
    shop = Workshop(tmp_path).with_demo()
    assert shop.names() == ("TAS-26-0417",)
    file = shop.repairs_folder / "TAS-26-0417" / "repair.toml"
    file.write_text(file.read_text("utf8") + "\n# mine\n", "utf8")
    assert "# mine" in (
        Workshop(tmp_path).with_demo().repairs_folder / "TAS-26-0417" / "repair.toml"
    ).read_text("utf8")


def test_every_word_that_pages_and_scripts_ask_for_is_in_the_catalogue() -> None:
    screen = ROOT / "src/panelmend/screen"
    words = catalogue()
    for file in [*screen.rglob("*.html"), *screen.rglob("*.py")]:
        for key in re.findall(r"""\bsay\(["']([\w.-]+)["'][,)]""", file.read_text("utf8")):
            assert key in words, f"{file.name}: {key}"
    for file in screen.rglob("*.js"):
        for key in re.findall(r"""\bsay\("([\w.-]+)"[,)]""", file.read_text("utf8")):
            assert f"script.{key}" in words, f"{file.name}: {key}"
