"""Pack: made in the background, looked at page by page, taken away, and its check squares confirmed."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel, Field

from panelmend.app.prints import PRINTS, PrintBook, Square, SquareMeasured, square_words
from panelmend.errors import InputError, MissingError, OutputError
from panelmend.plan.plan import Plan
from panelmend.render.card import card_sheets
from panelmend.render.cure_plan import cure_plan_sheets
from panelmend.render.files import PAPERS
from panelmend.render.pack import MANIFEST, PackEntry, parsed_manifest, read_manifest
from panelmend.render.pack_held import held_files
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.templates import templates_sheets
from panelmend.render.typesetting import Sheets
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.api_errands import PACK
from panelmend.screen.guard import TOKEN
from panelmend.screen.identity import name_written
from panelmend.screen.page import THEMES, Theme, environment
from panelmend.screen.sheets import errand_runs, errands, leaf, opened

router = APIRouter(include_in_schema=False)
calls = APIRouter(prefix="/api", responses=DOCUMENTED)
PPI = 72.0
PAPER_NAMES = tuple(p.name for p in PAPERS)
KINDS = {
    ".pdf": "application/pdf", ".svg": "image/svg+xml", ".dxf": "application/dxf",
    ".json": "application/json", ".csv": "text/csv", ".toml": "text/plain", ".png": "image/png",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip


@router.get("/repairs/{name}/pack")
def pack(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The pack as it is, its pages, its check squares."""
    repair = opened(request, name)
    plan = repair.made.plan
    about, files = _manifest_there(repair.beside(PACK))
    book = PrintBook(repair.beside(PRINTS))
    same = about.get("plan") == plan.digest
    return leaf(
        request, name, "pack", theme,
        about=about,
        same=same,
        files=files,
        documents=documents(plan) if same else {},
        papers=[(p.name, p.title, _told(book.last(plan.digest, p.name))) for p in PAPERS],
        lays=plan.work is not None,
        holder=request.app.state.holding.person(request.scope[TOKEN])[1],
        unsearched=plan.work is not None and any(c.made_by == "shelves" for c in plan.work.nest.cloths),
        running=errand_runs(errands(request).of(name, "pack")),
    )  # fmt: skip


@router.get("/repairs/{name}/pack/all.zip")
def whole(request: Request, name: str) -> Response:
    """The whole pack as one file, all of it of one manifest. Raises MissingError, NotAsPackedError."""
    files = held_files(opened(request, name).beside(PACK))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as made:
        for file, data in files.items():
            made.writestr(f"{name}/{file}", data)
    return _saved(stream.getvalue(), "application/zip", f"{name}.zip")


@router.get("/repairs/{name}/pack/file")
def one(request: Request, name: str, file: Annotated[str, Query(max_length=200)]) -> Response:
    """One file of the pack, by its name in the manifest. Raises MissingError, NotAsPackedError."""
    folder = opened(request, name).beside(PACK)
    if file == MANIFEST:
        raise MissingError("the pack has no such file")
    data = held_files(folder, (file,))[file]  # nothing but what the manifest names, so no path is followed
    kind = KINDS.get(Path(file).suffix, "application/octet-stream")
    return _saved(data, kind, f"{name}-{Path(file).name}")


@router.get("/repairs/{name}/pack/pages")
def pages_of(request: Request, name: str, document: Annotated[str, Query(max_length=80)]) -> HTMLResponse:
    """The pages of a document of the pack, as a part of the page. Raises MissingError, NotAsPackedError."""
    plan = _packed(request, name, document)
    count = len(_pictures(plan, document))
    html = environment().get_template("pack_pages.html")
    return HTMLResponse(html.render(name=name, document=document, count=count, plan=plan))


@router.get("/repairs/{name}/pack/page.png")
def page_png(
    request: Request,
    name: str,
    document: Annotated[str, Query(max_length=80)],
    number: Annotated[int, Query(ge=1, le=999)],
) -> Response:
    """One page as a picture. Raises MissingError, NotAsPackedError."""
    pictures = _pictures(_packed(request, name, document), document)
    if number > len(pictures):
        raise MissingError("the document has no such page")
    return Response(pictures[number - 1], media_type="image/png")


class SquareSent(Sent):
    """A check square as it was measured on a printed sheet."""

    paper: Literal["a4", "letter", "a3", "roll"]
    square: Square
    along: Annotated[str, Field(min_length=1, max_length=40)]
    across: Annotated[str, Field(min_length=1, max_length=40)]
    by: Annotated[str, Field(max_length=80)] = ""


class SquareTold(BaseModel):
    """How it was judged."""

    within: bool
    words: str
    by: str


@calls.post("/repairs/{name}/pack/square", operation_id="check_square")
def check_square(request: Request, name: Name, sent: SquareSent) -> SquareTold:
    """Write down who measured the check square of this plan's templates, and what was read."""
    repair = opened(request, name)
    plan = _packed(request, name)
    by = name_written(sent.by)
    holder = request.app.state.holding.person(request.scope[TOKEN])[1]
    if holder and by != holder:  # a page that was left open is never written down as another's
        raise InputError(f"{holder} holds this device now", read=sent.by, todo="open the page again")
    book = PrintBook(repair.beside(PRINTS))
    made = book.measure(plan.digest, sent.paper, sent.square, sent.along, sent.across, by)
    return SquareTold(within=made.within, words=square_words(made), by=made.by)


def documents(plan: Plan) -> dict[str, Callable[[], Sheets]]:
    """The documents of a pack that can be looked at here."""
    made: dict[str, Callable[[], Sheets]] = {"job-card.pdf": lambda: card_sheets(plan)}
    if plan.work is not None and plan.work.cure.operations:
        made["cure-plan.pdf"] = lambda: cure_plan_sheets(plan)
    if plan.work is not None:
        dated = plan.case.document.repair.work_date
        for paper in PAPERS[:2]:
            made[f"templates/templates-{paper.name}.pdf"] = lambda paper=paper: templates_sheets(  # type: ignore[misc]
                heading_of(plan), templates_of(plan), paper, dated=dated
            )
    return made


def confirmed(book: PrintBook, plan: Plan) -> list[str]:
    """The papers whose last check square of this plan is within its limit."""
    found = ((p, book.last(plan.digest, p)) for p in PAPER_NAMES)
    return [p for p, row in found if row is not None and row.within]


_KEPT: dict[tuple[str, str], tuple[bytes, ...]] = {}  # pictures by plan and document
MOST_KEPT = 6


def _pictures(plan: Plan, document: str) -> tuple[bytes, ...]:
    make = documents(plan).get(document)
    if make is None:
        raise MissingError("the pack has no such pages to look at")
    key = (plan.digest, document)
    if key not in _KEPT:
        sheets = make()
        while len(_KEPT) >= MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)), None)
        _KEPT[key] = sheets.png(PPI)
    return _KEPT[key]


def _packed(request: Request, name: str, document: str = "") -> Plan:
    """The plan, where the pack is of exactly it, and the document in it the one that was packed.

    A picture shows what the plan says: beside a file that says otherwise it would vouch for it.

    Raises:
        MissingError: there is no such pack, or it has no such document.
        NotAsPackedError: the document was changed after the pack was made.
    """
    repair = opened(request, name)
    plan: Plan = repair.made.plan
    folder = repair.beside(PACK)
    held = held_files(folder, (document,) if document else ())
    about, _ = parsed_manifest(held[MANIFEST], folder)
    if about.get("plan") != plan.digest:
        raise MissingError("there is no pack of this plan: make it first")
    return plan


def _manifest_there(folder: Path) -> tuple[dict[str, str], tuple[PackEntry, ...]]:
    try:
        return read_manifest(folder)
    except OutputError:
        return {}, ()


def _told(row: SquareMeasured | None) -> dict[str, Any] | None:
    if row is None:
        return None
    return {
        "within": row.within,
        "words": square_words(row),
        "by": row.by,
        "when": row.when,
        "square": row.square,
    }


def _saved(data: bytes, kind: str, name: str) -> Response:
    return Response(data, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})
