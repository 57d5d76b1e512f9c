"""Reads vector paths back from PDF pages, and templates to print, for the tests of the pack."""

from __future__ import annotations

import io
import math
import re
from dataclasses import dataclass

import pypdf
import pypdfium2

from panelmend.render.template import Heading, Template
from panelmend.shapes import Outline, ellipse, offset, rectangle

PT = 25.4 / 72.0
Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """A stroked path: points in mm from the page's upper left, y down; pen width [mm] and colour."""

    points: tuple[Point, ...]
    width: float
    colour: tuple[int, ...]


def page_lines(page: pypdf.PageObject) -> list[Line]:
    """Every stroked path of a page, curves as sixteen points each."""
    height = float(page.mediabox.height) * PT
    content = page.get_contents()
    assert content is not None
    found: list[Line] = []
    now: list[Point] = []
    before: list[list[Point]] = []
    state = ((1.0, 0.0, 0.0, 1.0, 0.0, 0.0), 1.0, (0,))
    saved = []

    def at(x: float, y: float) -> Point:
        a, b, c, d, e, f = state[0]
        return (a * x + c * y + e) * PT, height - (b * x + d * y + f) * PT

    for operands, operator in pypdf.generic.ContentStream(content, None).operations:
        v = [float(o) for o in operands] if operator in (b"m", b"l", b"c", b"cm", b"w", b"re") else []
        if operator == b"q":
            saved.append(state)
        elif operator == b"Q":
            state = saved.pop()
        elif operator == b"cm":
            state = (_times(v, state[0]), *state[1:])
        elif operator == b"w":
            state = (state[0], v[0] * PT, state[2])
        elif operator == b"SCN":
            rgb = tuple(
                round(255 * float(o)) for o in operands if not isinstance(o, pypdf.generic.NameObject)
            )
            state = (*state[:2], rgb)
        elif operator in (b"m", b"l"):
            if operator == b"m" and now:
                before.append(now)
                now = []
            now.append(at(v[0], v[1]))
        elif operator == b"c":
            ends = [now[-1], *(at(v[i], v[i + 1]) for i in (0, 2, 4))]
            now += [bezier(ends, t / 16) for t in range(1, 17)]
        elif operator == b"re":
            x, y, w, h = v
            now += [at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)]
        elif operator in (b"S", b"s", b"f", b"f*", b"B", b"B*", b"n"):
            if operator in (b"S", b"s", b"B", b"B*"):
                found += [Line(tuple(run), state[1], state[2]) for run in [*before, now] if run]
            now, before = [], []
    return found


def _times(m: list[float], n: tuple[float, ...]) -> tuple[float, ...]:
    a, b, c, d, e, f = m
    p, q, r, s, t, u = n
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def bezier(ends: list[Point], t: float) -> Point:
    """A point of a cubic."""
    u = 1 - t
    w = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
    return sum(k * p[0] for k, p in zip(w, ends, strict=True)), sum(
        k * p[1] for k, p in zip(w, ends, strict=True)
    )


def read(pdf: bytes) -> pypdf.PdfReader:
    """The PDF, read strictly."""
    return pypdf.PdfReader(io.BytesIO(pdf), strict=True)


def page_words(pdf: bytes) -> list[str]:
    """What stands on each page, line after line."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [page.get_textpage().get_text_bounded().replace("\r\n", "\n") for page in document]
    finally:
        document.close()


def flat(*cells: str) -> str:
    """Cells in the order they are set, without the spaces and breaks that a page makes as it likes."""
    return re.sub(r"[\s\u00ad]", "", "".join(cells)).replace("’", "'").replace("\u2212", "-")


def samples(o: Outline, step: float = 1e-3) -> list[Point]:
    """Points along an outline, at most ``step`` [m] apart."""
    made = []
    for s in o.segments():
        n = max(1, math.ceil(s.length / step))
        made += [s.at(i / n) for i in range(n)]
    return made


HEADING = Heading("TAS-0147", "Gear door, left", "a1b2c3d4e5f6", mark="DRAFT")


def demo_templates() -> list[Template]:
    """Invented templates: cut-out, plug, three oval plies, a large ply seen from inside, tape."""
    cut = ellipse((0, 0), 0.1524, 0.1016)
    big = rectangle((0, 0), 0.62, 0.44, corner_radius=0.04)
    plain, satin = "Carbon plain weave 0.20 mm", "Glass 8-harness satin 0.25 mm"

    def ply(n: int, margin: float, warp: float, faced: bool) -> Template:
        return Template(
            f"P{n}",
            f"Repair ply {n}",
            "cut cloth",
            offset(cut, margin),
            satin if faced else plain,
            math.radians(warp),
            "warp",
            not faced,
            "outside",
            faced,
            1,
            reference=(cut,),
        )

    return [
        Template("S1", "Cut-out", "cut skin", (cut,), "Outer skin", None, "", False, "outside", False, 1),
        Template(
            "C1",
            "Core plug",
            "cut core",
            offset(cut, -0.0005),
            "Aramid honeycomb",
            0.0,
            "ribbon",
            True,
            "outside",
            False,
            1,
            ("Thickness 12.7 mm",),
        ),
        ply(1, 0.0254, 0.0, False),
        ply(2, 0.04445, 45.0, True),
        ply(3, 0.0635, -45.0, False),
        Template(
            "P4", "Sanding ply", "cut cloth", (big,), satin, math.pi / 2, "warp", False, "inside", True, 1
        ),
        Template(
            "T1",
            "PTFE tape",
            "mark",
            (offset(big, 0.0508)[0], big),
            "PTFE tape 50.8 mm",
            None,
            "",
            False,
            "outside",
            False,
            1,
        ),
    ]
