"""Files for a knife, a plotter or a browser, read back: size, side, direction, layer, words and unit.

An ellipse is cut through both skins of a flat panel at 20 degrees, so that a mirrored, a turned and a
quarter-turned piece all differ. What is expected follows from the length, width and angle of the opening and
from the margins of the document: an ellipse grown by m reaches sqrt((a cos t)^2 + (b sin t)^2) + m in a
direction t off its long axis. Words are written by hand.
"""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from typing import Any

import ezdxf
import pytest
from ezdxf.path import make_path

from examples_here import case_from, text
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.files import cutter_files
from panelmend.render.pieces import heading_of, templates_of

Point = tuple[float, float]
CARBON = "Carbon, plain weave, 193 g/m2"
SATIN = "E-glass, 8-harness satin, 300 g/m2"
PLAIN = "E-glass, plain weave, 105 g/m2"
CORE = "Aramid paper honeycomb, 3.2 mm cell, 48 kg/m3"
FLAT = (
    ('surface = "single"', 'surface = "flat"'),
    ('curvature = { radius = "600 mm", axis = "0 deg", bulges = "outside", coordinates = "surface" }\n', ""),
    ('length = "70 mm", width = "48 mm"', 'length = "90 mm", width = "34 mm"'),
    ('diameter = "66 mm" } }\ndepth', 'diameter = "30 mm" } }\ndepth'),
)
TURNS = range(0, 180, 15)
# of each piece: material, margin [mm], warp or ribbon as seen [degrees], side, title, words at its foot
PIECES = {
    "CAP-1": (PLAIN, 25.0, 0, "outside", "Cap", "number 1 of Core and cap, on the outside"),
    "OUT-R1": (CARBON, 25.4, 0, "outside", "Repair ply", "number 1 of Outer plies, on the outside"),
    "OUT-R2": (CARBON, 44.45, 45, "outside", "Repair ply", "number 2 of Outer plies, on the outside"),
    "OUT-R3": (SATIN, 63.5, 0, "outside", "Repair ply", "number 3 of Outer plies, on the outside"),
    "OUT-S": (PLAIN, 76.2, 0, "outside", "Sanding ply", "number 4 of Outer plies, on the outside"),
    "IN-R1": (CARBON, 25.4, -45, "inside", "Repair ply", "number 1 of Inner plies, on the inside"),
    "IN-R2": (CARBON, 44.45, 0, "inside", "Repair ply", "number 2 of Inner plies, on the inside"),
    "IN-E1": (SATIN, 63.5, 45, "inside", "Extra ply", "number 3 of Inner plies, on the inside"),
    "PLUG": (CORE, -1.0, 90, "outside", "Core plug", "thickness 12.0 mm"),
}
FILES = {  # of each file for a cutter: its pieces, in the order they lie in it
    "cut/cloth-carbon-plain-weave-193-g-m2.dxf": ("OUT-R1", "OUT-R2", "IN-R1", "IN-R2"),
    "cut/cloth-e-glass-8-harness-satin-300-g-m2.dxf": ("OUT-R3", "IN-E1"),
    "cut/cloth-e-glass-plain-weave-105-g-m2.dxf": ("CAP-1", "OUT-S"),
    "cut/core-core.dxf": ("PLUG",),
}


@pytest.fixture(scope="module")
def plan() -> Plan:
    document = text("cowling")
    for old, new in FLAT:
        assert document.count(old) == 1, old
        document = document.replace(old, new)
    return make_plan(case_from(document))


@pytest.fixture(scope="module")
def files(plan: Plan) -> dict[str, bytes]:
    return cutter_files(plan, heading_of(plan), templates_of(plan))


def wanted(plan: Plan, margin: float, long_axis: float, degrees: float) -> float:
    """How wide [mm] the opening grown by a margin is in a direction, its long axis at so many degrees."""
    assert plan.work is not None
    opening = plan.work.cutout.opening
    t = math.radians(degrees - long_axis)
    half = math.hypot(float(opening.length) * math.cos(t), float(opening.width) * math.sin(t))
    return 1e3 * half + 2.0 * margin


def wide(points: list[Point], degrees: float) -> float:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    along = [c * x + s * y for x, y in points]
    return max(along) - min(along)


def middle(points: list[Point]) -> Point:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return 0.5 * (min(xs) + max(xs)), 0.5 * (min(ys) + max(ys))


def read_dxf(data: bytes) -> Any:
    return ezdxf.filemanagement.read(io.StringIO(data.decode("utf8")))


def shapes_of(doc: Any, layer: str) -> list[list[Point]]:
    """Points of each closed line of a layer, on its arcs to a hundredth of a millimetre."""
    lines = doc.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    assert all(line.closed for line in lines)
    return [[(p.x, p.y) for p in make_path(line).flattening(0.01)] for line in lines]


def lines_of(doc: Any, layer: str) -> list[tuple[Point, Point]]:
    found = doc.modelspace().query(f'LINE[layer=="{layer}"]')
    return [((e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)) for e in found]


def words_of(doc: Any) -> list[tuple[str, Point, float]]:
    """Each text with its place and height; all stand on the layer for words."""
    texts = list(doc.modelspace().query("TEXT"))
    assert {e.dxf.layer for e in texts} <= {"TEXT"}
    return [(e.dxf.text, tuple(e.get_placement()[1])[:2], e.dxf.height) for e in texts]


def long_axis(side: str) -> float:
    """The opening's long axis as seen from a side: from the inside it leans the other way."""
    return 20.0 if side == "outside" else -20.0


@pytest.mark.parametrize("name", FILES)
def test_a_cutters_file_has_each_piece_at_its_size_on_its_layer(
    plan: Plan, files: dict[str, bytes], name: str
) -> None:
    doc = read_dxf(files[name])
    assert doc.header["$INSUNITS"] == 4  # millimetres
    assert doc.header["$MEASUREMENT"] == 1
    cuts, shown, words = shapes_of(doc, "CUT"), shapes_of(doc, "REFERENCE"), words_of(doc)
    assert len(cuts) == len(FILES[name])
    for piece, cut in zip(FILES[name], cuts, strict=True):
        material, margin, _, side, title, foot = PIECES[piece]
        x, y = middle(cut)
        for degrees in TURNS:
            size = wanted(plan, margin, long_axis(side), degrees)
            assert wide(cut, degrees) == pytest.approx(size, abs=0.06), (piece, degrees)
        here = [t for t in words if abs(t[1][0] - x) < 0.01 and t[1][1] < y]
        arrow = f"{'ribbon' if piece == 'PLUG' else 'warp'} {PIECES[piece][2]}%%d"
        face = ["Do not mirror: the cloth has a face"] if material == SATIN else []
        said = [
            piece, title, arrow, f"This side up, seen from {side}", *face, f"{material} Cut 1", foot,
            f"TAS-26-0440 {plan.short_digest}",
        ]  # fmt: skip
        assert [t for t, _, _ in sorted(here, key=lambda t: -t[1][1])] == said
        assert ("0", pytest.approx((x + 28.0, y), abs=0.01), 3.0) in words
        under = [s for s in shown if math.dist(middle(s), (x, y)) < 0.02]
        assert len(under) == (title.endswith("ply") and piece != "CAP-1")
        for opening in under:
            for degrees in TURNS:
                size = wanted(plan, 0.0, long_axis(side), degrees)
                assert wide(opening, degrees) == pytest.approx(size, abs=0.06), (piece, degrees)


@pytest.mark.parametrize("name", FILES)
def test_a_cutters_file_has_its_arrows_on_the_layer_for_marks(files: dict[str, bytes], name: str) -> None:
    """An arrow of 30 mm half way up from the centre, with two heads: these weaves may lie half round."""
    doc = read_dxf(files[name])
    marks = lines_of(doc, "MARK")
    for piece, cut in zip(FILES[name], shapes_of(doc, "CUT"), strict=True):
        x, y = middle(cut)
        high = y + 0.5 * (max(p[1] for p in cut) - y)
        (arrow,) = [
            m for m in marks if math.dist(*m) == pytest.approx(30.0) and abs(m[0][0] + m[1][0] - 2 * x) < 0.02
        ]
        (x0, y0), (x1, y1) = arrow
        assert (0.5 * (y0 + y1)) == pytest.approx(high, abs=0.02)
        turn = math.degrees(math.atan2(y1 - y0, x1 - x0))
        assert turn == pytest.approx(PIECES[piece][2], abs=1e-6)
        heads = [[m for m in marks if m[0] == end and math.dist(*m) == pytest.approx(4.0)] for end in arrow]
        assert [len(h) for h in heads] == [2, 2], piece
        for _, (bx, by) in heads[1]:
            assert math.dist((bx, by), arrow[0]) < 30.0  # barbs point back along the shaft
        assert (
            (pytest.approx(x + 9.0), pytest.approx(y)),
            (pytest.approx(x + 25.0), pytest.approx(y)),
        ) in marks


def test_a_cutters_file_says_its_scale_repair_and_plan(plan: Plan, files: dict[str, bytes]) -> None:
    for name in [*FILES, "cut/skin-skin.dxf", "cut/mark-tape-line.dxf"]:
        doc = read_dxf(files[name])
        assert sum(math.dist(*m) == pytest.approx(100.0) for m in lines_of(doc, "REFERENCE")) == 1
        mark = f" {plan.mark}" if plan.mark else ""
        assert f"100 mm TAS-26-0440 {plan.short_digest}{mark}" in [t for t, _, _ in words_of(doc)]
    assert set(files) >= {*FILES, "cut/skin-skin.dxf", "cut/mark-tape-line.dxf"}


def test_openings_are_cut_and_tape_is_marked_each_as_seen_from_its_side(
    plan: Plan, files: dict[str, bytes]
) -> None:
    doc = read_dxf(files["cut/skin-skin.dxf"])
    for side, shape in zip(("outside", "inside"), shapes_of(doc, "CUT"), strict=True):
        for degrees in TURNS:
            size = wanted(plan, 0.0, long_axis(side), degrees)
            assert wide(shape, degrees) == pytest.approx(size, abs=0.06), (side, degrees)
    doc = read_dxf(files["cut/mark-tape-line.dxf"])
    assert shapes_of(doc, "CUT") == []
    outer_out, inner_out, outer_in, inner_in = shapes_of(doc, "MARK")
    for side, outer, inner, last in (
        ("outside", outer_out, inner_out, 76.2),
        ("inside", outer_in, inner_in, 63.5),
    ):
        for degrees in TURNS:
            size = wanted(plan, last, long_axis(side), degrees)
            assert wide(inner, degrees) == pytest.approx(size, abs=0.06), (side, degrees)
            assert wide(outer, degrees) - wide(inner, degrees) == pytest.approx(2 * 50.8, abs=0.1)


def svg_points(d: str) -> list[Point]:
    """Points along a path of moves, lines and arcs of circles (SVG 1.1, F.6.5), y up."""
    made: list[Point] = []
    for command, rest in re.findall(r"([MLA])([^MLAZ]+)", d):
        v = [float(n) for n in rest.split()]
        x, y = v[-2:]
        if command == "A":
            (x0, y0), radius, clockwise = made[-1], v[0], v[4] > 0.5
            dx, dy = 0.5 * (x0 - x), 0.5 * (y0 - y)
            off = math.sqrt(max(radius**2 - dx**2 - dy**2, 0.0)) / math.hypot(dx, dy)
            off *= -1.0 if (v[3] > 0.5) == clockwise else 1.0
            cx, cy = off * dy + 0.5 * (x0 + x), -off * dx + 0.5 * (y0 + y)
            a, b = math.atan2(y0 - cy, x0 - cx), math.atan2(y - cy, x - cx)
            sweep = (b - a) % math.tau if clockwise else -((a - b) % math.tau)
            made += [
                (cx + radius * math.cos(a + sweep * i / 40), cy + radius * math.sin(a + sweep * i / 40))
                for i in range(1, 40)
            ]
        made.append((x, y))
    return made


def up(points: list[Point]) -> list[Point]:
    return [(x, -y) for x, y in points]


@pytest.mark.parametrize("piece", PIECES)
def test_a_picture_of_a_template_is_at_true_size_and_the_right_way_up(
    plan: Plan, files: dict[str, bytes], piece: str
) -> None:
    material, margin, arrow, side, title, foot = PIECES[piece]
    root = ET.fromstring(files[f"cut/svg/{piece.lower()}.svg"])
    box = [float(v) for v in root.attrib["viewBox"].split()]
    assert root.attrib["width"] == f"{box[2]:g}mm" or float(root.attrib["width"][:-2]) == box[2]
    assert float(root.attrib["height"].removesuffix("mm")) == box[3]
    paths = root.findall("{*}path")
    (edge,) = [p for p in paths if p.get("stroke-width") == "0.35"]
    for degrees in TURNS:
        size = wanted(plan, margin, long_axis(side), degrees)
        assert wide(up(svg_points(edge.attrib["d"])), degrees) == pytest.approx(size, abs=0.06), degrees
    (shaft,) = [up(svg_points(p.attrib["d"])) for p in paths if p.get("stroke-width") == "0.5"]
    (x0, y0), (x1, y1) = shaft
    assert math.degrees(math.atan2(y1 - y0, x1 - x0)) == pytest.approx(arrow, abs=1e-4)
    words = ["".join(t.itertext()) for t in root.findall("{*}text")]
    assert root.findtext("{*}title") == f"{piece}, {title}"
    assert root.findtext("{*}desc") == f"repair TAS-26-0440, plan {plan.short_digest}"
    turn = f"{'ribbon' if piece == 'PLUG' else 'warp'} {arrow}°".replace("-", "−")
    for said in (piece, title, turn, f"This side up, seen from {side}", f"{material}   Cut 1", foot, "0°"):
        assert said in words, said
    assert ("Do not mirror: the cloth has a face" in words) == (material == SATIN)


def test_a_cut_layout_lays_every_piece_with_its_warp_along_the_roll(
    plan: Plan, files: dict[str, bytes]
) -> None:
    """Its warp along the roll, a piece's long axis leans by the rest; turned over it leans the other way."""
    seen = []
    for name in sorted(n for n in files if n.startswith("nest/") and n.endswith(".dxf")):
        doc = read_dxf(files[name])
        words, cuts = words_of(doc), shapes_of(doc, "CUT")
        for cut in cuts:
            (said,) = [t for t, at, _ in words if math.dist(at, middle(cut)) < 1.0]
            piece, over = said.removesuffix(" (turned over)"), said.endswith("(turned over)")
            seen.append(piece)
            _, margin, warp, side, *_ = PIECES[piece]
            lean = (long_axis(side) - warp) * (-1.0 if over else 1.0)
            for degrees in TURNS:
                size = wanted(plan, margin, lean, degrees)
                assert wide(cut, degrees) == pytest.approx(size, abs=0.06), (name, said, degrees)
    assert sorted(seen) == sorted(p for p in PIECES if p != "PLUG")


ROLLS = {"R-118": 965.0, "R-130": 965.0, "R-141": 1000.0, "R-118/a": 480.0}


def test_a_cut_layout_says_its_roll_width_and_length(files: dict[str, bytes]) -> None:
    names = [n.removesuffix(".dxf") for n in files if n.startswith("nest/") and n.endswith(".dxf")]
    assert names
    for name in names:
        doc = read_dxf(files[f"{name}.dxf"])
        said = [t for t, _, _ in words_of(doc)]
        (roll,) = [t.removesuffix(", FACE UP") for t in said if t.endswith(", FACE UP")]
        assert "WARP" in said
        (strip,) = shapes_of(doc, "REFERENCE")
        assert wide(strip, 90.0) == pytest.approx(ROLLS[roll])
        assert (min(x for x, _ in strip), min(y for _, y in strip)) == pytest.approx((0.0, 0.0), abs=1e-9)
        assert ((0.0, pytest.approx(-10.0)), (pytest.approx(100.0), pytest.approx(-10.0))) in lines_of(
            doc, "MARK"
        )
        (used,) = [
            a[0] for a, b in lines_of(doc, "REFERENCE") if a[0] == b[0] and abs(a[1] - b[1]) > 100.0
        ] or [max(x for x, _ in strip)]
        assert used >= max(x for cut in shapes_of(doc, "CUT") for x, _ in cut)
        root = ET.fromstring(files[f"{name}.svg"])
        words = ["".join(t.itertext()) for t in root.findall("{*}text")]
        (length,) = [w for w in words if w.startswith("pieces ")]
        pieces, sheet = re.findall(r"[\d.]+(?= mm)", length)
        assert used - 1e-6 <= float(pieces) < used + 0.1
        asked = used + 2 * 25.4  # the sheet that is wetted, its margin on both ends, no longer than a remnant
        asked = min(asked, 700.0) if "/" in roll else asked
        assert asked - 1e-6 <= float(sheet) < asked + 0.1
        assert not any(w.startswith("cut at") for w in words)
        kind = "remnant" if "/" in roll else "roll"
        for w in ("warp", f"{kind} width {ROLLS[roll]:.1f} mm", f"{roll}, seen from its face"):
            assert w in words
