"""Rows of the document's lists taken away and put back, with what it comes to told first."""

from __future__ import annotations

import tomllib
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import Field

from panelmend.app.inputs import list_path
from panelmend.app.opened import PlanMade
from panelmend.app.rows_away import put_row_back, rows_away, take_row_away, tried_without
from panelmend.document.places import Path
from panelmend.document.rows import rows_at
from panelmend.errors import InputError, MissingError
from panelmend.screen.alone import alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Name, Sent
from panelmend.screen.beside import FoundItem, found_item
from panelmend.screen.identity import NotTheirs, signed_in
from panelmend.screen.pages_inputs import CONFIRMED, InputsTold, change_told
from panelmend.screen.sheets import opened

router = APIRouter(prefix="/api/repairs/{name}/inputs", responses=DOCUMENTED)


class RowAwaySent(Sent):
    """Which row of which list."""

    seen: Digest
    table: Annotated[str, Field(min_length=1, max_length=120, description="path of the list")]
    row: Annotated[int, Field(ge=0, le=9999, description="which row, from 0")]


class RowBackSent(Sent):
    """Which row that was taken away."""

    seen: Digest
    id: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]


class RowTold(InputsTold):
    """What it comes to, and what goes."""

    words: str = Field(description="the row as it was typed")
    gone_findings: list[FoundItem] = Field(description="findings that are there with the row alone")
    go: str = Field(description="the repair's name by then")


@router.post("/row-try", operation_id="try_row_away")
def try_row_away(request: Request, name: Name, sent: RowAwaySent) -> RowTold:
    """What the plan would be without a row; nothing is kept."""
    repair = opened(request, name)
    before = repair.made
    path = list_path(before.plan, before.text, sent.table)
    made, words = tried_without(repair, path, sent.row)
    return _told(request, name, before, made, before.plan.case.digest, words)


@router.post("/row-away", operation_id="row_away")
@alone
def row_away(request: Request, name: Name, sent: RowAwaySent) -> RowTold:
    """Take a row away; it is kept beside the document, on the disk before this answers."""
    repair = opened(request, name)
    workshop = request.app.state.workshop
    with workshop.changing(name):
        workshop.may_change(name)
        before = repair.made
        path = list_path(before.plan, before.text, sent.table)
        may_withdraw(before.text, path, sent.row)
        signed = signed_in()
        by = "" if signed is None else signed.name
        made, words = take_row_away(repair, path, sent.row, sent.seen, by)
    return _told(request, name, before, made, made.plan.case.digest, words)


@router.post("/row-back", operation_id="row_back")
@alone
def row_back(request: Request, name: Name, sent: RowBackSent) -> RowTold:
    """Put a row back that was taken away."""
    repair = opened(request, name)
    workshop = request.app.state.workshop
    with workshop.changing(name):
        workshop.may_change(name)
        before = repair.made
        found = next((r for r in rows_away(repair) if r.id == sent.id), None)
        if found is None:
            raise MissingError("no such row was taken away, or it stands again")
        if found.path == (CONFIRMED,) and signed_in() is not None:
            raise InputError("a confirmation is not put back", where=CONFIRMED, todo="confirm anew")
        made = put_row_back(repair, found, sent.seen)
    return _told(request, name, before, made, made.plan.case.digest, found.words)


def may_withdraw(text: str, path: Path, row: int) -> None:
    """A confirmation is withdrawn by whoever made it, where people sign in. Raises NotTheirs."""
    signed = signed_in()
    if signed is None or path != (CONFIRMED,):
        return
    rows = rows_at(tomllib.loads(text), path)
    if row < len(rows) and str(rows[row].get("by", "")).strip() != signed.name:
        raise NotTheirs("a confirmation is withdrawn by who made it")


def _told(request: Request, name: str, before: PlanMade, made: PlanMade, seen: str, words: str) -> RowTold:
    own, now = ({(f.code, f.place): f for f in m.plan.findings} for m in (before, made))
    gone = [found_item(f, set(now)) for key, f in own.items() if key not in now]
    workshop = request.app.state.workshop
    return RowTold(
        **change_told(seen, before, made, {}).model_dump(),
        words=words,
        gone_findings=gone,
        go=workshop.name_by_now(name),
    )
