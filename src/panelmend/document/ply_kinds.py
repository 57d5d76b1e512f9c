"""The kinds of ply that the data orders on a skin: one row each, read by all that treat kinds differently."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.document.recipe import CurePart

PlyRole = Literal["fill", "repair", "extra", "sanding"]


@dataclass(frozen=True)
class PlyKind:
    """One kind. ``name`` is its field of ``data.plies.SIDE`` and what the pages call it.

    ``letter`` stands in the names of its pieces (OUT-R1). ``many``: the field holds a list. ``carries``: it
    counts as structure where strength is compared. ``laid``: the cure operation it is laid in. ``asked``:
    what the interview calls it, "" where it does not ask.
    """

    name: PlyRole
    letter: str
    many: bool
    carries: bool
    laid: CurePart
    asked: str = ""


PLY_KINDS = (
    PlyKind("fill", "F", True, True, "fill", "Fill plies"),
    PlyKind("repair", "R", True, True, "plies", "Repair plies"),
    PlyKind("extra", "E", True, True, "plies", "Extra plies"),
    PlyKind("sanding", "S", False, False, "plies"),
)
PLY_KIND: dict[PlyRole, PlyKind] = {k.name: k for k in PLY_KINDS}
CARRIES: tuple[PlyRole, ...] = tuple(k.name for k in PLY_KINDS if k.carries)
