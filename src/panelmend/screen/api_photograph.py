"""A photograph under the panel drawing: put in, laid, shown, taken away. Nothing is measured in it."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi import Path as InPath
from fastapi.responses import Response
from pydantic import Field

from panelmend.app.laid_photograph import PALEST, keep_photograph, lay, photographs, take_photograph_away
from panelmend.document.panel import Side
from panelmend.errors import MissingError
from panelmend.records.canonical import sha256
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Millimetres, Name, Sent
from panelmend.screen.api_bench import Bytes
from panelmend.screen.identity import signed_in
from panelmend.screen.photographs_shown import Photographs, photographs_of, repair_folder
from panelmend.screen.uploads import NotWhole, picture_kind

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Element = Annotated[float, Field(ge=0, le=1e5, allow_inf_nan=False)]


class MatchSent(Sent):
    """A point of the photograph and where it is on the panel."""

    u: Annotated[Element, Field(description="picture elements from the left")]
    v: Annotated[Element, Field(description="picture elements from the top")]
    x: Annotated[Millimetres, Field(description="mm, standard axes")]
    y: Annotated[Millimetres, Field(description="mm, standard axes (seen from the outside, y up)")]


class LaySent(Sent):
    """The photograph of a side and the two points it is laid by."""

    side: Side
    digest: Digest
    first: MatchSent
    second: MatchSent
    opacity: Annotated[float, Field(ge=PALEST, le=1.0, allow_inf_nan=False)] = 1.0


class AwaySent(Sent):
    """The side whose photograph is taken away."""

    side: Side


@router.put("/repairs/{name}/photograph", operation_id="put_photograph")
def put_photograph(
    request: Request,
    name: Name,
    side: Annotated[Side, Query()],
    digest: Annotated[Digest, Query(description="SHA-256 of the file, made on the device")],
    data: Bytes,
) -> Photographs:
    """Put in a photograph of a side, a JPEG or PNG file that stands upright; it takes the place of the one
    before and is laid afterwards."""
    if sha256(data) != digest:
        raise NotWhole(f"{len(data)} bytes came, and not as they were sent; nothing of it was kept")
    folder, held = _folder(request, name)
    with held:
        keep_photograph(folder, side, data)
        return photographs_of(folder)


@router.post("/repairs/{name}/photograph/lay", operation_id="lay_photograph")
def lay_photograph(request: Request, name: Name, sent: LaySent) -> Photographs:
    """Lay the photograph of a side under the drawing by two points."""
    folder, held = _folder(request, name)
    a, b = sent.first, sent.second
    signed = signed_in()
    with held:
        lay(
            folder,
            sent.side,
            sent.digest,
            ((a.u, a.v), (b.u, b.v)),
            ((1e-3 * a.x, 1e-3 * a.y), (1e-3 * b.x, 1e-3 * b.y)),
            sent.opacity,
            signed.name if signed is not None else "",
        )
        return photographs_of(folder)


@router.post("/repairs/{name}/photograph/away", operation_id="photograph_away")
def photograph_away(request: Request, name: Name, sent: AwaySent) -> Photographs:
    """Take the photograph of a side away."""
    folder, held = _folder(request, name)
    with held:
        take_photograph_away(folder, sent.side)
        return photographs_of(folder)


@router.get("/repairs/{name}/photographs", operation_id="photographs")
def kept_photographs(request: Request, name: Name) -> Photographs:
    """The photographs of a repair and how they lie."""
    folder, held = _folder(request, name)
    with held:
        return photographs_of(folder)


@router.get("/repairs/{name}/photographs/{digest}", operation_id="photograph", response_class=Response)
def photograph(
    request: Request, name: Name, digest: Annotated[str, InPath(pattern=r"^[0-9a-f]{64}$")]
) -> Response:
    """A photograph itself."""
    folder, held = _folder(request, name)
    with held:
        found = next((p for p in photographs(folder).values() if p.digest == digest), None)
        path = folder / found.file if found is not None else None
        data = path.read_bytes() if path is not None and path.is_file() else b""
    if found is None or sha256(data) != digest:
        raise MissingError(f"no photograph {digest[:12]} of this repair")
    return Response(data, media_type=picture_kind(found.file))


def _folder(request: Request, name: str) -> tuple[Path, threading.RLock]:
    """Where a repair's photographs are, and what is held while they are used: they are the panel's, so that
    all damages of a job have the same."""
    folder = repair_folder(request, name)
    held: threading.RLock = request.app.state.workshop.changing(f"{folder.name} photographs")
    return folder, held
