"""What the pages say of pieces on a panel that is bent both ways."""

from __future__ import annotations

from typing import Any

from panelmend.job.curved import Bent, percent
from panelmend.plan.plan import Plan
from panelmend.render.workings import Workings
from panelmend.units import show

NOTE = (
    "The panel is bent both ways: these templates are developed as if it were bent one way. Strain is of the "
    "flat template from its centre to its rim; out by is the length it misses along the axis; shear is that "
    "of woven cloth smoothed down from its centre; edge off is how far its edge then comes down from its "
    "line. Try each template dry on the panel and trim there. Left out: radii that change over the panel, "
    "slip and locking of the cloth; bag, blanket, heat and strength are reckoned flat."
)
HEADS = ("Piece", "Strain", "Out by", "Shear", "Edge off", "Darts", "Strain left")
TAPE = "bent both ways: lay the tape along the edge of the last ply, not by this line"


def bent_of(plan: Plan) -> dict[str, Bent]:
    """Every piece on a double bend by its id; nothing for other panels."""
    work = plan.work
    return {} if work is None else {b.id: b for b in (*work.plies.bent, *work.core.bent)}


def darts_permitted(plan: Plan) -> bool:
    """Whether the data lets plies be darted: only then are wedges drawn."""
    given = plan.case.document.data.plies.darts
    return given is not None and given.value


def bent_words(plan: Plan, bent: Bent) -> tuple[str, ...]:
    """Short lines for a template."""
    view = plan.case.view
    lines = [
        f"double bend: strain {percent(float(bent.strain))}, "
        f"out by {_length_words(float(bent.mismatch), view)}"
    ]
    if bent.shear is not None and bent.off is not None:
        lines.append(
            f"cloth shears {show(float(bent.shear), 'angle', view, decimals=1)}, edge off up to "
            f"{_length_words(float(bent.off), view)}"
        )
    if bent.darts:
        count, wide = len(bent.darts), _length_words(max(d.width for d in bent.darts), view)
        left = percent(float(bent.left))
        if darts_permitted(plan):
            lines.append(
                f"{count} darts, up to {wide} wide: slit, try, cut only what overlaps; strain left {left}"
            )
        else:
            lines.append(f"needs {count} darts, NOT permitted by the data as typed")
    return tuple(lines)


def bent_rows(plan: Plan, shown: Workings | None, ids: set[str]) -> list[list[Any]]:
    """Rows under ``HEADS`` of the pieces named, as parts of figures, or as plain words without workings."""
    view = plan.case.view
    rows: list[list[Any]] = []
    for b in bent_of(plan).values():
        if b.id not in ids:
            continue
        darts = "none" if not b.darts else f"{len(b.darts)}"
        if b.darts and not darts_permitted(plan):
            darts += ", not permitted"
        plain = [
            b.id,
            percent(float(b.strain)),
            _length_words(float(b.mismatch), view),
            "" if b.shear is None else show(float(b.shear), "angle", view, decimals=1),
            "" if b.off is None else _length_words(float(b.off), view),
            darts,
            percent(float(b.left)) if b.darts else "",
        ]
        if shown is not None:
            figures = [None, b.strain, b.mismatch, b.shear, b.off, None, b.left if b.darts else None]
            for i, figure in enumerate(figures):
                if figure is not None:
                    plain[i] = {**shown.part(figure), "text": plain[i]}  # type: ignore[call-overload]
        rows.append(plain)
    return rows


def _length_words(value: float, view: str) -> str:
    return show(value, "length", view)
