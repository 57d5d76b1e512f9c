"""Templates on paper: every line where the plan has it, sheets that join, squares that measure."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from card_plans import planned
from panelmend.errors import InputError
from panelmend.render.drawing import HIDDEN
from panelmend.render.papers import A3, A4, LETTER_PAPER, SHEETS, Paper, roll
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.strokes import Ink, Label, Loop, Stroke
from panelmend.render.template import Template, drawing_of
from panelmend.render.templates import TemplatePage, _Cutter, _sheets, pages_data, templates_sheets
from panelmend.render.tiles import tile_marks, tiling
from panelmend.shapes import offset, oval, rectangle
from render_pages import HEADING, PT, Line, Point, demo_templates, page_lines, page_words, read, samples

INK, ACCENT = (0x1B, 0x24, 0x30), (0x0A, 0x5F, 0x8C)
EDGE_WIDTH, JOIN_WIDTH = 0.35, 0.18


def _is(line: Line, width: float, colour: tuple[int, ...]) -> bool:
    return abs(line.width - width) < 1e-3 and line.colour == colour


def _rings(lines: list[Line]) -> list[Point]:
    """Centres of the joining crosses of a page, by their rings (4 mm across)."""
    made = []
    for line in lines:
        xs, ys = [p[0] for p in line.points], [p[1] for p in line.points]
        if (
            _is(line, JOIN_WIDTH, ACCENT)
            and abs(max(xs) - min(xs) - 4.0) < 0.01
            and abs(max(ys) - min(ys) - 4.0) < 0.01
        ):
            made.append((0.5 * (max(xs) + min(xs)), 0.5 * (max(ys) + min(ys))))
    return made


def _within(points: tuple[Point, ...], s: TemplatePage) -> list[Point]:
    (left, top), (w, h) = s.paper.corner, s.paper.window
    return [p for p in points if left <= p[0] <= left + w and top <= p[1] <= top + h]


def _joined(sheets: list[TemplatePage], pages: list[list[Line]]) -> dict[str, Point]:
    """Where each sheet lies, found from the printed crosses alone (the first sheet at its place)."""
    by_name = {s.tile: i for i, s in enumerate(sheets)}
    place = {sheets[0].tile: (0.0, 0.0)}
    while len(place) < len(sheets):
        before = len(place)
        for name in list(place):
            for dr, dc in ((0, 1), (1, 0), (0, -1), (-1, 0)):
                other = f"{chr(ord(name[0]) + dr)}{int(name[1:]) + dc}"
                if other in by_name and other not in place:
                    move = _move(sheets[by_name[name]], pages[by_name[name]], pages[by_name[other]], dr, dc)
                    place[other] = (place[name][0] + move[0], place[name][1] + move[1])
        assert len(place) > before, "a printed sheet that joins no other"
    return place


def _move(sheet: TemplatePage, mine: list[Line], theirs: list[Line], dr: int, dc: int) -> Point:
    """How far the neighbour's sheet is moved so that its two crosses lie on mine."""
    (left, top), (w, h) = sheet.paper.corner, sheet.paper.window
    axis, least, most = (0, left + 5, left + w - 5) if dc else (1, top + 5, top + h - 5)
    ahead = (dr + dc) > 0

    def on(lines: list[Line], at: float) -> list[Point]:
        return sorted(p for p in _rings(lines) if abs(p[axis] - at) < 0.5)

    a, b = on(mine, most if ahead else least), on(theirs, least if ahead else most)
    assert len(a) == len(b) == 2
    moves = [(p[0] - q[0], p[1] - q[1]) for p, q in zip(a, b, strict=True)]
    assert math.dist(*moves) < 0.005
    return moves[0]


@pytest.mark.parametrize("paper", SHEETS, ids=lambda p: p.name)
@pytest.mark.parametrize("which", [4, 5, 6])
def test_sheets_put_together_by_their_crosses_are_the_template(paper: Paper, which: int) -> None:
    t = demo_templates()[which]
    sheets = _sheets([t], _Cutter(HEADING, paper))
    reader = read(templates_sheets(HEADING, [t], paper).pdf())
    pages = [page_lines(p) for p in reader.pages[len(reader.pages) - len(sheets) :]]
    if len(sheets) == 1:
        assert paper is A3
        place = {sheets[0].tile: (0.0, 0.0)}
    else:
        place = _joined(sheets, pages)
    first = sheets[0]
    dx, dy = first.box[0] - first.paper.corner[0], first.box[1] - first.paper.corner[1]
    drawn = [
        (p[0] + place[s.tile][0] + dx, p[1] + place[s.tile][1] + dy)
        for s, lines in zip(sheets, pages, strict=True)
        for line in lines
        if _is(line, EDGE_WIDTH, INK)
        for p in _within(line.points, s)
    ]
    off = max(min(1e3 * o.reach(x / 1e3, -y / 1e3)[0] for o in t.outlines) for x, y in drawn)
    assert off < 0.05  # a tenth of a millimetre is asked; chords of the read-back curves included
    windows = [s.box for s in sheets]
    for o in t.outlines:  # no stretch of the cut line is lost between sheets
        for x, y in samples(o):
            assert any(b[0] <= 1e3 * x <= b[2] and b[1] <= -1e3 * y <= b[3] for b in windows)


@pytest.mark.parametrize("paper", [*SHEETS, roll()], ids=lambda p: p.name)
def test_every_page_carries_measures_and_no_page_is_blank(paper: Paper) -> None:
    templates = demo_templates()
    pdf = templates_sheets(HEADING, templates, paper).pdf()
    reader, words = read(pdf), page_words(pdf)
    sheets = _sheets(templates, _Cutter(HEADING, paper))
    cover = len(reader.pages) - len(sheets)
    squares = [_sides(line) for line in page_lines(reader.pages[0]) if len(line.points) in (4, 5)]
    assert any(w == pytest.approx(100, abs=0.002) == h for w, h in squares)
    assert any(w == pytest.approx(101.6, abs=0.002) == h for w, h in squares)
    for page, text, sheet in zip(reader.pages[cover:], words[cover:], sheets, strict=True):
        lines = page_lines(page)
        sides = [_sides(line) for line in lines if len(line.points) == 2]
        for length in (100.0, 101.6):
            assert any(w == pytest.approx(length, abs=0.002) and h < 1e-3 for w, h in sides)
            assert any(h == pytest.approx(length, abs=0.002) and w < 1e-3 for w, h in sides)
        inked = [f for t in templates for f in drawing_of(t, HEADING).flat() if t.id in sheet.ids]
        assert paper.roll or any(f.inks(sheet.box) for f in inked)
        assert f"{paper.named(HEADING.view)} · " in " ".join(text.split())
        assert HEADING.digest in text
        assert HEADING.repair in text
        assert "DRAFT" in text
        assert float(page.mediabox.height) <= 14400
        assert float(page.mediabox.width) * PT == pytest.approx(sheet.paper.width, abs=0.01)
    covers = "".join(words[:cover])
    for t in templates:
        assert t.title in " ".join(covers.split())


def _sides(line: Line) -> tuple[float, float]:
    xs, ys = [p[0] for p in line.points], [p[1] for p in line.points]
    return max(xs) - min(xs), max(ys) - min(ys)


def test_a_sheet_without_ink_is_not_printed_and_the_map_says_so() -> None:
    inner = rectangle((0, 0), 1.0, 1.2)
    ring = replace(demo_templates()[6], outlines=(offset(inner, 0.05)[0], inner))
    (a_map,) = pages_data(HEADING, [ring], A4)["maps"]
    assert "not printed, empty:" in a_map["words"]
    named = {n.strip() for n in a_map["words"].split("empty:")[1].split(",")}
    sheets = _sheets([ring], _Cutter(HEADING, A4))
    assert named
    assert not named & {s.tile for s in sheets}
    rows, columns = (int(n) for n in sheets[0].grid.split(" × "))
    assert len(named) + len(sheets) == rows * columns


def test_words_that_keep_a_template_right_side_up() -> None:
    templates = demo_templates()
    words = page_words(templates_sheets(HEADING, templates, LETTER_PAPER).pdf())
    for t in templates:
        pages = [p for p in words if f"{t.id} {t.title}" in " ".join(p.split())]
        text = " ".join(" ".join(pages).split())
        assert f"This side up, seen from {t.seen_from}" in text
        assert ("Do not mirror" in text) == t.faced
        assert t.material in text
        assert f"Cut {t.quantity}" in text
        if t.arrow is not None:
            assert t.arrow_words() in text
    assert demo_templates()[4].arrow_words() == "warp −45°"


def test_words_of_a_tiled_template_stay_whole_on_one_sheet() -> None:
    for t in demo_templates()[3:]:
        sheets = _sheets([t], _Cutter(HEADING, A4))
        whole = []
        for s in sheets:
            labels = [f for f in s.flats if not isinstance(f, Stroke) and f.words == t.id]
            whole += [f for f in labels if _holds(s.box, f.box())]
        assert whole


def _holds(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return a[0] <= b[0] and a[1] <= b[1] and b[2] <= a[2] and b[3] <= a[3]


def test_the_warp_arrow_on_paper_points_along_the_warp() -> None:
    checked = 0
    for t in demo_templates():
        for page in read(templates_sheets(HEADING, [t], A3).pdf()).pages[1:]:
            for line in page_lines(page):
                if not _is(line, 0.5, ACCENT):
                    continue
                assert t.arrow is not None
                (x0, y0), (x1, y1) = line.points
                assert abs(math.remainder(math.atan2(y0 - y1, x1 - x0) - t.arrow, math.tau)) < 1e-4
                checked += 1
    assert checked >= 5


def test_a_roll_is_split_below_the_longest_page_and_keeps_true_size() -> None:
    big = rectangle((0, 0), 0.85, 2.0, corner_radius=0.1)
    many = [replace(demo_templates()[5], id=f"P{i}", outlines=(big,)) for i in range(5)]
    wide = replace(many[0], id="P9", outlines=(big.turned(math.pi / 2),))
    reader = read(templates_sheets(HEADING, [*many, wide], roll()).pdf())
    assert len(reader.pages) > 2
    found = 0
    for page in reader.pages:
        assert float(page.mediabox.height) <= 14400
        for line in page_lines(page):
            if _is(line, EDGE_WIDTH, INK):
                found += 1
                assert _sides(line) == (pytest.approx(850, abs=0.01), pytest.approx(2000, abs=0.01))
    assert found == 6


def test_same_bytes() -> None:
    templates = demo_templates()
    assert (
        templates_sheets(HEADING, templates, A4).pdf()
        == templates_sheets(HEADING, demo_templates(), A4).pdf()
    )


def test_refusals() -> None:
    t: Template = demo_templates()[0]
    with pytest.raises(InputError, match="same id"):
        templates_sheets(HEADING, [t, t], A4).pdf()
    with pytest.raises(InputError, match="no template"):
        templates_sheets(HEADING, [], A4).pdf()
    with pytest.raises(InputError, match="plotter roll"):
        roll(0.1)


def test_the_arrow_keeps_clear_of_the_centre_and_the_words() -> None:
    cut = demo_templates()[1].outlines[0]
    for degrees in range(-90, 91, 15):
        t = replace(demo_templates()[1], outlines=(cut,), arrow=math.radians(degrees))
        shafts = [
            f
            for f in drawing_of(t, HEADING).flat()
            if isinstance(f, Stroke) and f.ink is not None and f.ink.width == 0.5
        ]
        (shaft,) = shafts
        assert shaft.box()[3] < -8.0  # y runs down: 8 mm above the centre at least
        assert math.dist(*[(x, y) for x, y, _ in shaft.loops[0].rows]) > 8.0


def test_words_rather_shrink_than_lie_over_the_cut_out_shown_on_a_ply() -> None:
    """Its dashed line ran through the plan's digest."""
    cut = oval((0, 0), 0.163, 0.102, math.radians(-5.0))
    note = ("number 1 of Repair plies, on the outside",)
    t = replace(demo_templates()[3], outlines=offset(cut, 0.0254), reference=(cut,), notes=note)
    flats = drawing_of(t, HEADING).flat()
    (line,) = [f for f in flats if isinstance(f, Stroke) and f.ink is not None and f.ink.dash]
    words = [f for f in flats if isinstance(f, Label) and f.words in {w for w, _, _ in t.lines(HEADING)}]
    assert len(words) >= 8
    assert {f.size for f in words[1:]} >= {2.6}
    assert not any(line.inks(f.box()) for f in words if f.turn == 0.0)


@pytest.mark.parametrize("kind", ["root_fairing", "cowling", "flap_rib_bay", "gear_door"])
def test_no_dashed_cut_out_runs_through_words_of_a_ply(kind: str) -> None:
    """It struck through the repair's number on the smallest plies; there it is broken."""
    plan = planned(kind)
    heading, broken = heading_of(plan), 0
    for t in (t for t in templates_of(plan) if t.reference):
        flats = drawing_of(t, heading).flat()
        dashed = [f for f in flats if isinstance(f, Stroke) and f.ink == HIDDEN]
        told = {w for w, _, _ in t.lines(heading)}
        words = [f for f in flats if isinstance(f, Label) and f.level == "top" and f.words in told]
        assert len(words) == len(told)
        assert not any(line.inks(f.box()) for f in words for line in dashed), t.id
        open_line = any(not loop.closed for f in dashed for loop in f.loops)
        broken += open_line
        drawn = sum(
            math.dist(a[:2], b[:2]) for f in dashed for loop in f.loops for a, b in pairwise(loop.rows)
        )
        if open_line:  # of small arcs: broken for the words alone, not left out
            around = 1e3 * sum(o.perimeter for o in t.reference)
            assert 0.4 * around < drawn < around
    assert broken == (2 if kind == "cowling" else 0)


def test_each_sheet_names_the_neighbour_at_its_edge() -> None:
    """Nine sheets in three rows and columns: at the right of B2 stands B3, above it A2, and so on."""
    outer = ((0.0, 0.0, 0.0), (450.0, 0.0, 0.0), (450.0, 700.0, 0.0), (0.0, 700.0, 0.0))
    cross = tuple(Loop(((0.0, y, 0.0), (450.0, y + 1.0, 0.0)), closed=False) for y in (350.0, 340.0))
    tiles = tiling([Stroke((Loop(outer), *cross), Ink(0.3, "ink"))], A4)
    assert (tiles.rows, tiles.columns) == (3, 3)
    around = {"A1": {"right": "A2", "below": "B1"}, "C3": {"left": "C2", "above": "B3"}}
    around["B1"] = {"above": "A1", "below": "C1", "right": "B2"}
    around["B3"] = {"above": "A3", "below": "C3", "left": "B2"}
    for tile in tiles.printed:
        if tile.name not in around:
            continue
        x0, y0, x1, y1 = tile.box
        found = {}
        for mark in tile_marks(tiles, tile):
            if isinstance(mark, Label):
                across, down = (mark.x - x0) / (x1 - x0), (mark.y - y0) / (y1 - y0)
                sides = {"left": across, "right": 1 - across, "above": down, "below": 1 - down}
                found[min(sides, key=lambda side: sides[side])] = mark.words
        wanted = {side: f"joins {name}" for side, name in around[tile.name].items()}
        assert {side: found.get(side) for side in wanted} == wanted
        assert len(found) <= len(wanted) + 1, "the middle one may be without ink"
