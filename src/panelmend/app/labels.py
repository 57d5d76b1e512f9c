"""What the code of a label says, and whether it belongs to a plan."""

from __future__ import annotations

from pathlib import Path

from panelmend.app import service
from panelmend.errors import InputError
from panelmend.render.labels import read_label_code
from panelmend.render.pieces import templates_of


def label_words(code: str, document: Path | None = None) -> list[str]:
    """Lines for a scanned label.

    Args:
        code: the text of the code.
        document: the repair document to compare it with, if any.

    Raises:
        ReadingError: no code of a label.
        InputError: the label is from another repair, of an older plan, or of a piece the plan does not have.
    """
    found = read_label_code(code)
    lines = [f"Repair {found.repair}, piece {found.piece}, plan {found.digest}"]
    if document is None:
        return lines
    made = service.plan(document)
    number = made.case.document.repair.number
    if found.repair != number:
        raise InputError(
            "the label is from another repair", where=document.name, read=found.repair, expected=number
        )
    if found.digest != made.short_digest:
        raise InputError(
            "the label is from another plan of this repair",
            where=document.name,
            read=found.digest,
            expected=made.short_digest,
            todo="print the labels again, and check the piece against its new template",
        )
    piece = next((t for t in templates_of(made) if found.piece in (t.id, *_copies(t.id, t.quantity))), None)
    if piece is None:
        raise InputError("the plan has no such piece", where=document.name, read=found.piece)
    lines.append(f"{piece.title}, {piece.material}")
    if piece.lay:
        lines.append(f"{piece.laid_in}: lay number {piece.lay}, {piece.arrow_words()}".rstrip(", "))
    if piece.lot:
        lines.append(f"Lot {piece.lot}")
    return lines


def _copies(ident: str, quantity: int) -> tuple[str, ...]:
    return tuple(f"{ident}.{n}" for n in range(1, quantity + 1))
