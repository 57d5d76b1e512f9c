"""Faults that need more than one field to see: ids used twice, unknown materials, depth against plies."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from panelmend.document.fault import Fault
from panelmend.document.faults import (
    after,
    bay,
    contrary,
    cures,
    curvature,
    damage,
    drying,
    heating,
    laid,
    loads,
    names,
    plausible,
    plies,
    shapes,
    stores,
    stuff,
    thermal,
    ways,
)
from panelmend.document.model import Document

Check = Callable[[Document], Iterator[Fault]]

# Each check with the sections it reads: it runs when all of them are well formed by themselves.
CHECKS: tuple[tuple[Check, tuple[str, ...]], ...] = (
    *plausible.CHECKS,
    *names.CHECKS,
    *shapes.CHECKS,
    *curvature.CHECKS,
    *damage.CHECKS,
    *plies.CHECKS,
    *laid.CHECKS,
    *cures.CHECKS,
    *ways.CHECKS,
    *loads.CHECKS,
    *drying.CHECKS,
    *bay.CHECKS,
    *thermal.CHECKS,
    *heating.CHECKS,
    *stores.CHECKS,
    *stuff.CHECKS,
    *after.CHECKS,
    *contrary.CHECKS,
)


def faults_of(document: Document, sound: Iterable[str] | None = None) -> list[Fault]:
    """Every fault of a document whose single fields are well formed, with its path.

    Args:
        document: the document, or as much of it as could be read.
        sound: names of its well-formed sections ("panel", "data.plies", ...); None for all of them.
    """
    good = None if sound is None else set(sound)
    return [
        found
        for check, needs in CHECKS
        if good is None or good.issuperset(needs)
        for found in check(document)
    ]
