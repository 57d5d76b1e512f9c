"""Labels for the pieces, each with a square code that says repair, piece and plan digest."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import quote, unquote

from panelmend.errors import InputError, ReadingError
from panelmend.render.papers import A4, Paper
from panelmend.render.strokes import Loop, Stroke, page_data
from panelmend.render.template import Heading, Template
from panelmend.render.typesetting import Sheets

_SCHEME = "panelmend"
_DIGEST = re.compile(r"[0-9a-fA-F]{8,64}")
_CODE = 27.0  # [mm] side of the code with its quiet zone
_QUIET = 4  # modules kept clear round the code (ISO/IEC 18004)


@dataclass(frozen=True)
class LabelCode:
    """What the code on a label says."""

    repair: str
    piece: str
    digest: str

    def text(self) -> str:
        """As it stands in the code; read back by :func:`read_label_code`."""
        return f"{_SCHEME}:" + "/".join(quote(v, safe="") for v in (self.repair, self.piece, self.digest))


def read_label_code(text: str) -> LabelCode:
    """What a scanned label says. In capitals it is the same scheme (RFC 3986, 3.1) and digest; repair and
    piece are as they are printed.

    Raises:
        ReadingError: not a code from a panelmend label.
    """
    scheme, _, rest = text.strip().partition(":")
    parts = rest.split("/")
    if scheme.lower() != _SCHEME or len(parts) != 3 or not all(parts) or not _DIGEST.fullmatch(parts[2]):
        raise ReadingError(
            "not the code of a piece",
            read=repr(text)[:60],
            expected="a code printed by panelmend",
            todo="scan the code on the piece's label",
        )
    return LabelCode(unquote(parts[0]), unquote(parts[1]), parts[2].lower())


def labels_sheets(
    heading: Heading, templates: Sequence[Template], *, paper: Paper = A4, dated: date | None = None
) -> Sheets:
    """A sheet of labels, one for every piece that is cut, ready to be set.

    Args:
        heading: repair number, digest, mark.
        templates: the pieces; one with quantity n gets n labels.
        paper: A4 or Letter.
        dated: the date in the file's metadata, if any.

    Raises:
        InputError: nothing to label, or an id too long for the code.
    """
    return Sheets("labels", labels_data(heading, templates, paper), dated)


def labels_data(heading: Heading, templates: Sequence[Template], paper: Paper) -> dict[str, Any]:
    """Plain data for the page template."""
    if not templates:
        raise InputError("there is no piece to label")
    return {
        "repair": heading.repair,
        "panel": heading.panel,
        "digest": heading.digest,
        "mark": heading.mark,
        "width": paper.width,
        "height": paper.height,
        "labels": [_label(heading, t, n) for t in templates for n in range(1, t.quantity + 1)],
    }


def _label(heading: Heading, t: Template, n: int) -> dict[str, Any]:
    piece = t.id if t.quantity == 1 else f"{t.id}.{n}"
    return {
        "id": piece,
        "title": t.title,
        "material": t.material,
        "arrow": t.arrow_words(),
        "side": f"{t.seen_from} up",
        "faced": t.faced,
        "laid": f"{t.laid_in}: lay {t.lay}" if t.lay else t.laid_in,
        "lot": f"lot {t.lot}" if t.lot else "lot ________",
        "out": f"out-time at planning {t.out_time}; at cutting ________ h" if t.out_time else "",
        "count": f"{n} of {t.quantity}" if t.quantity > 1 else "",
        "code": page_data(
            [code_stroke(LabelCode(heading.repair, piece, heading.digest).text(), _CODE)],
            (0.0, 0.0, _CODE, _CODE),
        ),
    }


def code_stroke(text: str, side: float) -> Stroke:
    """A square code (QR, ISO/IEC 18004, error level M) as one filled path.

    Args:
        text: what it says.
        side: of the code with its quiet zone [mm].

    Raises:
        InputError: more text than a readable label code holds.
    """
    import segno

    if len(text.encode("utf8")) > 180:
        raise InputError(
            "too long for the code of a label",
            read=text[:60] + "...",
            expected="180 characters at most",
            todo="shorten the repair number or the piece's id",
        )
    rows = [list(row) for row in segno.make(text, error="m", micro=False).matrix]
    k = side / (len(rows) + 2 * _QUIET)
    loops = []
    for j, row in enumerate(rows):
        i = 0
        while i < len(row):
            start = i
            while i < len(row) and row[i]:
                i += 1
            if i > start:
                x0, x1, y0, y1 = (k * (v + _QUIET) for v in (start, i, j, j + 1))
                loops.append(Loop(((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))))
            i += 1
    return Stroke(tuple(loops), None, "ink")
