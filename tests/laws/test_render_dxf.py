"""DXF and layouts read back: exact arcs, millimetres, no doubled lines, the same bytes every time."""

from __future__ import annotations

import io
import math
import os
import subprocess
import sys
from itertools import combinations
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from panelmend.errors import MissingError
from panelmend.job.nest.part import Layout, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.shelf import shelf_nest
from panelmend.render.dxf import LAYERS, layout_dxf, templates_dxf
from panelmend.render.nest import lying, nest_drawing
from panelmend.render.strokes import Label, Stroke
from panelmend.render.template import Template
from panelmend.shapes import Arc, Outline, clearance, offset, outline
from render_pages import HEADING, demo_templates, samples


def _read(data: bytes) -> Any:
    doc = ezdxf.read(io.StringIO(data.decode("utf8")))
    assert not doc.audit().errors
    assert not doc.audit().fixes
    return doc


def _outlines(doc: Any, layer: str) -> list[Outline]:
    made = []
    for e in doc.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert e.closed
        made.append(outline([(x / 1e3, y / 1e3, b) for x, y, b in e.get_points("xyb")]))
    return made


def _same(a: Outline, b: Outline) -> float:
    """Greatest distance of b's boundary from a's [m], both brought to the same corner of their boxes."""
    (ax, ay, *_), (bx, by, *_) = a.bounds, b.bounds
    moved = b.moved(ax - bx, ay - by)
    return max(a.reach(*p)[0] for p in samples(moved, 3e-3))


def _layout(kind: str = "plain") -> tuple[Layout, dict[str, Outline]]:
    chosen: list[Template] = [t for t in demo_templates() if t.id in ("P1", "P2", "P3")]
    pieces = tuple(
        Piece(
            t.id,
            tuple(samples(offset(t.outlines[0], 1e-4)[0], 5e-3)),
            t.arrow or 0.0,
            t.both_ways,
            not t.faced,
            2 if t.id == "P1" else 1,
        )
        for t in chosen
    )
    strip = Strip("R-07", 1.0, None if kind == "plain" else 12.0, 0.0127, 0.006)
    (laid,) = shelf_nest(NestProblem("C-PW", pieces, (strip,))).layouts
    return laid, {t.id: t.outlines[0] for t in chosen}


def test_outlines_come_back_exactly_on_their_layers() -> None:
    templates = demo_templates()
    doc = _read(templates_dxf(HEADING, templates))
    assert doc.header["$INSUNITS"] == 4
    assert doc.header["$MEASUREMENT"] == 1
    assert doc.dxfversion >= "AC1024"
    wanted = [o for t in templates if t.operation != "mark" for o in t.outlines]
    found = _outlines(doc, "CUT")
    assert len(found) == len(wanted)
    for a, b in zip(wanted, found, strict=True):
        assert _same(a, b) < 1e-9
        true = sorted(s.radius for s in a.segments() if isinstance(s, Arc))
        back = sorted(s.radius for s in b.segments() if isinstance(s, Arc))
        assert back == pytest.approx(true, rel=1e-9)
        assert b.area == pytest.approx(a.area, rel=1e-12)
    assert len(_outlines(doc, "MARK")) == 2  # the tape's two edges
    assert {e.dxf.layer for e in doc.modelspace()} == set(LAYERS)
    for name, colour in LAYERS.items():
        assert doc.layers.get(name).color == colour
    assert {e.dxftype() for e in doc.modelspace()} == {"LWPOLYLINE", "LINE", "TEXT"}


def test_no_doubled_lines_and_a_reference_line_of_100_mm() -> None:
    for data in (templates_dxf(HEADING, demo_templates()), layout_dxf(HEADING, *_layout())):
        doc = _read(data)
        lines = [
            tuple(sorted((tuple(round(v, 6) for v in e.dxf.start), tuple(round(v, 6) for v in e.dxf.end))))
            for e in doc.modelspace().query("LINE")
        ]
        assert len(set(lines)) == len(lines)
        everything = [o for layer in ("CUT", "MARK", "REFERENCE") for o in _outlines(doc, layer)]
        assert len({o.digest() for o in everything}) == len(everything)
        assert any(
            math.dist(e.dxf.start, e.dxf.end) == pytest.approx(100.0, abs=1e-9)
            for e in doc.modelspace().query('LINE[layer=="REFERENCE"]')
        )
        texts = [e.dxf.text for e in doc.modelspace().query("TEXT")]
        assert any("100 mm" in t and HEADING.digest in t and "DRAFT" in t for t in texts)


def test_templates_are_neither_turned_nor_mirrored_and_lie_apart() -> None:
    lopsided = outline([(0, 0), (0.2, 0, 0.3), (0.2, 0.1), (0, 0.15)])
    t = Template("P1", "t", "cut cloth", (lopsided,), "m", 0.5, "warp", False, "outside", True, 1)
    other = Template("P2", "t", "cut cloth", (lopsided,), "m", 0.5, "warp", False, "outside", True, 1)
    a, b = _outlines(_read(templates_dxf(HEADING, [t, other])), "CUT")
    assert _same(lopsided, a) < 1e-9
    assert clearance(a, b).distance > 0.015


def test_a_layout_is_legal_on_paper_and_in_the_file() -> None:
    layout, shapes = _layout()
    doc = _read(layout_dxf(HEADING, layout, shapes))
    found = _outlines(doc, "CUT")
    assert len(found) == len(layout.placements) == 4
    for a, b in combinations(found, 2):
        assert clearance(a, b).distance > layout.strip.gap - 1e-6
    for piece, o in zip(lying(layout, shapes), found, strict=True):
        assert max(piece.outline.reach(*p)[0] for p in samples(o, 3e-3)) < 1e-9
        x0, y0, x1, y1 = o.bounds
        assert x0 >= layout.strip.edge - 1e-6
        assert y0 >= layout.strip.edge - 1e-6
        assert y1 <= layout.strip.width - layout.strip.edge + 1e-6
        assert x1 <= layout.used_length
    for scale in (1.0, 0.1):
        flats = nest_drawing(layout, shapes, scale=scale, view="in").flat()
        words = {f.words for f in flats if isinstance(f, Label)}
        assert {"P1.1", "P1.2", "P2", "P3", "warp"} <= words
        assert any(w.startswith("cut at") and w.endswith(" in") for w in words)
        drawn = [f for f in flats if isinstance(f, Stroke) and f.fill == "tint"]
        for f, o in zip(drawn, found, strict=True):
            xs = [v[0] for v in f.loops[0].rows]
            assert xs == pytest.approx([1e3 * scale * v.x for v in o.vertices], abs=1e-6)


def test_a_piece_turned_over_is_drawn_and_named_so() -> None:
    shape = outline([(0, 0), (0.2, 0), (0, 0.1)])
    strip = Strip("R-1", 0.5, 3.0, 0.01, 0.006, remnant=True)
    layout = Layout(strip, (Placement("P1", 1, "R-1", 0.05, 0.2, 0.0, mirrored=True),), 0.3, 0.1, 0.25)
    (piece,) = lying(layout, {"P1": shape})
    assert sorted((round(v.x, 9), round(v.y, 9)) for v in piece.outline.vertices) == [
        (0.05, 0.1),
        (0.05, 0.2),
        (0.25, 0.2),
    ]
    words = [f.words for f in nest_drawing(layout, {"P1": shape}).flat() if isinstance(f, Label)]
    assert "P1 (turned over)" in words
    cut = _read(layout_dxf(HEADING, layout, {"P1": shape}))
    assert "P1 (turned over)" in [e.dxf.text for e in cut.modelspace().query("TEXT")], "the cutter's file too"
    with pytest.raises(MissingError, match="P1"):
        lying(layout, {})


def test_same_bytes_in_another_process() -> None:
    program = (
        "import hashlib, sys\n"
        "from render_pages import HEADING, demo_templates\n"
        "from panelmend.render.dxf import templates_dxf\n"
        "print(hashlib.sha256(templates_dxf(HEADING, demo_templates())).hexdigest())\n"
    )
    root = Path(__file__).parents[2]
    path = os.pathsep.join((str(root / "src"), str(root / "tests")))
    said = set()
    for seed in ("1", "2", "3", "4", "5", "77"):  # two alone may agree by chance
        env = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": path}
        done = subprocess.run(
            [sys.executable, "-c", program],
            env=env,
            capture_output=True,
            text=True,
            check=True,
            timeout=300,
        )
        said.add(done.stdout)
    assert len(said) == 1
