"""The card's pages as they come out of a grey printer and to eyes that miss one kind of colour.

Simulations: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, IEEE TVCG 15(6), 2009, severity 1.0; matrices
from memory.
Contrast: WCAG 2.1, 1.4.3: 4.5 to 1 for words.
"""

from __future__ import annotations

import io
import re
from itertools import pairwise, product
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from card_plans import planned
from panelmend.render.card import card_sheets
from panelmend.render.labels import LabelCode, labels_sheets
from panelmend.render.papers import A4, LETTER_PAPER
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.templates import templates_sheets

ROOT = Path(__file__).parents[3] / "src" / "panelmend" / "render" / "typst"
GREY = np.tile([0.2126, 0.7152, 0.0722], (3, 1))
EYES = {
    "grey print": GREY,
    "no red": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "no green": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no blue": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
WORDS = ("ink", "grey", "accent", "warn")
GROUNDS = ("paper", "faint", "tint")


def _palette() -> dict[str, np.ndarray]:
    found = re.findall(r'#let (\w+) = rgb\("#(\w{6})"\)', (ROOT / "house.typ").read_text("utf8"))
    made = {name: np.array([int(code[i : i + 2], 16) for i in (0, 2, 4)]) / 255.0 for name, code in found}
    return {**made, "paper": np.ones(3)}


def _luminance(colour: np.ndarray, eyes: np.ndarray) -> float:
    linear = np.where(colour <= 0.04045, colour / 12.92, ((colour + 0.055) / 1.055) ** 2.4)
    return float(np.clip(eyes @ linear, 0.0, 1.0) @ GREY[0])


def _contrast(one: np.ndarray, other: np.ndarray, eyes: np.ndarray) -> float:
    dark, bright = sorted(_luminance(c, eyes) for c in (one, other))
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("name", EYES)
def test_words_of_every_colour_are_read_on_every_ground_they_stand_on(name: str) -> None:
    palette = _palette()
    for word, ground in product(WORDS, GROUNDS):
        if word in ("grey", "warn") and ground != "paper":
            continue  # these stand on paper alone
        assert _contrast(palette[word], palette[ground], EYES[name]) >= 4.5, (word, ground)


def test_the_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21 to 1, and #777777 on white 4.48: the best known pair that just fails."""
    paper = np.ones(3)
    assert _contrast(np.zeros(3), paper, GREY) == pytest.approx(21.0)
    assert _contrast(np.full(3, 0x77 / 255.0), paper, GREY) == pytest.approx(4.48, abs=0.005)


def test_no_page_of_the_card_has_a_colour_that_the_palette_lacks() -> None:
    for name in ("card", "steps", "frame", "labels", "templates", "marks", "view"):
        assert "rgb(" not in (ROOT / f"{name}.typ").read_text("utf8").replace("rgb(p.", ""), name


@pytest.mark.parametrize("kind", ["flap_rib_bay", "root_fairing"])
def test_codes_of_labels_are_read_from_a_grey_page(kind: str) -> None:
    plan = planned(kind)
    pieces = templates_of(plan)
    codes = set()
    for page in labels_sheets(heading_of(plan), pieces, paper=LETTER_PAPER).png(150):
        grey = Image.open(io.BytesIO(page)).convert("L")
        codes |= {code.text for code in zxingcpp.read_barcodes(grey)}
    repair = plan.case.document.repair.number
    wanted = {LabelCode(repair, t.id, plan.short_digest).text() for t in pieces}
    assert codes
    assert codes <= wanted
    laid = [i for b in plan.work.bag.operations for i in b.plies] if plan.work is not None else []
    assert {LabelCode(repair, i, plan.short_digest).text() for i in laid} <= codes


def test_the_check_square_measures_on_the_picture_of_its_page() -> None:
    """Dark rows and columns of the picture itself, not the paths it was made from."""
    plan = planned("flap_rib_bay")
    ppi = 120.0
    (page, *_) = templates_sheets(heading_of(plan), templates_of(plan), A4).png(ppi)
    dark = np.array(Image.open(io.BytesIO(page)).convert("L")) < 128
    mm = 25.4 / ppi
    for lines in (dark, dark.T):
        long = [i * mm for i, row in enumerate(lines) if 99.0 < _longest(row) * mm < 102.6]
        apart = [b - a for a in long for b in long]
        for side in (100.0, 101.6):
            assert any(d == pytest.approx(side, abs=0.3) for d in apart), side


def test_lines_to_write_on_stand_ten_millimetres_apart() -> None:
    """Measured on the pictures of the pages: 9.5 mm stood where 10 are asked."""
    ppi, gaps = 120.0, list[float]()
    mm = 25.4 / ppi
    for page in card_sheets(planned("dent")).png(ppi)[3:]:
        dark = np.array(Image.open(io.BytesIO(page)).convert("L")) < 110
        for at in _lines(dark, 36.0 / mm, 50.0 / mm).values():
            gaps += [(b - a) * mm for a, b in pairwise(at)]
    near = [g for g in gaps if 8.4 < g < 12.0]
    assert len(near) >= 6
    assert min(near) >= 10.0 - mm


def _lines(dark: np.ndarray, least: float, most: float) -> dict[int, list[int]]:
    """Rows of level lines of about one length [pixels], by where they begin in steps of 8 pixels."""
    found: dict[int, list[int]] = {}
    for y, row in enumerate(dark):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            if least < end - start < most:
                found.setdefault(int(start) // 8, []).append(y)
    return found


def _longest(row: np.ndarray) -> int:
    """The longest run of dark in a row [pixels]."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return int(max(edges[1::2] - edges[::2], default=0))
