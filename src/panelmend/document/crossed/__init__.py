"""Fields held against each other: sizes against the panel, limits against limits, strength against modulus.

What does not go together may be right, and is then confirmed by a named person; most of it is a unit, a
decimal point, two digits or two lines that were mistaken for another. Where no source is printed, none
is known.
"""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.crossed import (
    bay,
    bonds,
    cloths,
    data,
    fill,
    grounds,
    panel,
    ranges,
    stock,
    whole,
    work,
)
from panelmend.document.model import Document
from panelmend.document.question import Asked

CHECKS = (
    *panel.CHECKS,
    *data.CHECKS,
    *work.CHECKS,
    *bay.CHECKS,
    *cloths.CHECKS,
    *bonds.CHECKS,
    *fill.CHECKS,
    *ranges.CHECKS,
    *stock.CHECKS,
    *whole.CHECKS,
    *grounds.CHECKS,
)


def crossed(document: Document, view: str) -> Iterator[Asked]:
    """Every question that needs more than one field of a sound document to see."""
    for check in CHECKS:
        for row in check(document):
            if isinstance(row, Asked):
                yield row
            else:
                yield from row.asked(view)
