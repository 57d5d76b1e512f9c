"""What a bag is built over, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.document.approved import Cure
from panelmend.job.bag.blanket import ChosenBlanket
from panelmend.job.bag.part import BagLayer, Frame, Point
from panelmend.shapes import Outline


@dataclass(frozen=True)
class Build:
    """What a bag is built over.

    ``key`` is what its figures begin with; ``patch`` what is cured or bonded under it, ``opening`` the hole
    in that skin; ``chosen`` the blanket, None where none lies here. ``plate``: built on a plate.
    ``moved``: how far the blanket's middle lies off that of the patch, along and across (None: it does not).
    """

    key: str
    cure: Cure
    frame: Frame
    patch: Outline
    opening: Outline
    chosen: ChosenBlanket | None
    plate: bool
    moved: tuple[Figure, Figure] | None = None


@dataclass(frozen=True)
class Built:
    """The layers in the order they go down, the sealing line, and where the vacuum bases stand."""

    layers: tuple[BagLayer, ...]
    seal: Outline
    fittings: tuple[Point, ...]
