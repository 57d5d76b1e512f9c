"""What the panel's page is told of the photographs under its drawing."""

from __future__ import annotations

from pathlib import Path

from fastapi import Request
from pydantic import BaseModel, Field

from panelmend.app.laid_photograph import LaidPhotograph, laying_told, photographs
from panelmend.app.loading import damage_named
from panelmend.document.panel import Side


class MatchItem(BaseModel):
    """A point of the photograph [picture elements] and where it is on the panel [mm], standard axes."""

    u: float
    v: float
    x: float
    y: float


class PhotographItem(BaseModel):
    """A photograph of a side; ``matrix`` from its elements to the drawing's mm (y down), null until laid."""

    side: Side
    digest: str
    width: int
    height: int
    matrix: tuple[float, float, float, float, float, float] | None
    points: list[MatchItem]
    opacity: float
    words: str = Field(description="scale and turn")
    by: str


class Photographs(BaseModel):
    """The photographs of a repair, at most one of a side."""

    photographs: list[PhotographItem]


def photographs_of(folder: Path) -> Photographs:
    """What the page is told of the photographs in a repair's folder."""
    return Photographs(photographs=[_item(p) for p in photographs(folder).values()])


def repair_folder(request: Request, name: str) -> Path:
    """The folder of a repair, one for all damages of a job. Raises MissingError."""
    found: Path = damage_named(request.app.state.workshop.document(name))[0].parent
    return found


def _item(p: LaidPhotograph) -> PhotographItem:
    points = []
    if p.picture is not None and p.places is not None:
        points = [
            MatchItem(u=u, v=v, x=1e3 * x, y=1e3 * y)
            for (u, v), (x, y) in zip(p.picture, p.places, strict=True)
        ]
    return PhotographItem(
        side=p.side,
        digest=p.digest,
        width=p.width,
        height=p.height,
        matrix=p.matrix() if points else None,
        points=points,
        opacity=p.opacity,
        words=laying_told(p) if points else "",
        by=p.by,
    )
