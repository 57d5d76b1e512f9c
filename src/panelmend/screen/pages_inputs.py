"""Inputs: every field of the document with its meaning, what was typed, how it was read, what is found."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, Field

from panelmend.app.inputs import Group, changes_of, document_tables, new_row, section, typed_read
from panelmend.app.opened import OpenRepair, PlanMade
from panelmend.app.rows_away import rows_away
from panelmend.derive.ledger import words_of
from panelmend.errors import InputError, Severity
from panelmend.job.heat_taken import refuse
from panelmend.plan.heat_asked import heat_asked
from panelmend.plan.plan import Plan
from panelmend.screen.alone import alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Name, Sent
from panelmend.screen.beside import FoundItem, found_item
from panelmend.screen.identity import name_written, signed_in
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.sheets import leaf, opened
from panelmend.shelves.folder import Folder, find_shelves

router = APIRouter(include_in_schema=False)
calls = APIRouter(prefix="/api/repairs/{name}/inputs", responses=DOCUMENTED)
FIRST = "repair"
CONFIRMED, BY = "confirm", "by"  # the list of confirmations, and who confirms
DEFAULTS = ("J001", "X110")  # findings that a named person answers by confirming a figure
Typed = Annotated[dict[str, Annotated[str, Field(max_length=4000)]], Field(min_length=1, max_length=60)]


@router.get("/repairs/{name}/inputs")
def inputs(
    request: Request, name: str, table: Annotated[str, Query(max_length=40)] = FIRST, theme: Theme = THEMES[0]
) -> HTMLResponse:
    """The fields of one table of the document."""
    repair = opened(request, name)
    made = repair.made
    root = find_shelves(repair.path)
    group = section(made.plan, made.text, table, None if root is None else Folder(root))
    return leaf(
        request, name, "inputs", theme,
        table=table,
        tables=document_tables(tomllib.loads(made.text)),
        group=group,
        found=_beside(made.plan, group),
        defaults=defaults(made.plan),
        heat=heat(made.plan),
        today=date.today().isoformat(),
        seen=made.plan.case.digest,
        can_go_back=repair.can_go_back,
        in_work=_in_work(request, name),
        away=[r for r in rows_away(repair) if r.path[:1] == (table,)],
        shelved=root is not None and made.plan.case.shelved is not None,
    )  # fmt: skip


class InputSent(Sent):
    """Fields as they were typed; empty takes one out."""

    seen: Digest
    typed: Typed


class RowSent(InputSent):
    """A new row of a list of tables, its fields by their names within the row."""

    table: Annotated[str, Field(min_length=1, max_length=120)]


class InputsTold(BaseModel):
    """What it comes to."""

    seen: str = Field(description="digest of the document as it is kept")
    standing: str
    findings: list[FoundItem] = Field(description="those that are there with the change and not without it")
    gone: int = Field(description="how many findings it takes away")
    read_as: dict[str, str] = Field(description="how each typed field is read, in both systems")


@calls.post("/try", operation_id="try_inputs")
def try_inputs(request: Request, name: Name, sent: InputSent) -> InputsTold:
    """What typed fields would come to; nothing is kept."""
    repair = opened(request, name)
    before = repair.made
    made = repair.tried(changes_of(before.plan, before.text, sent.typed))
    return _told(repair, before, made, sent.typed)


@calls.post("/change", operation_id="change_inputs")
@alone
def change_inputs(request: Request, name: Name, sent: InputSent) -> InputsTold:
    """Write typed fields into the document, on the disk before this answers."""
    repair = opened(request, name)
    request.app.state.workshop.may_change(name)
    before = repair.made
    if signed_in() is not None and any(k.startswith(f"{CONFIRMED}.") for k in sent.typed):
        raise InputError(
            "a confirmation is not changed once it stands",
            where=CONFIRMED,
            todo="confirm anew: it is written as yours",
        )
    made = repair.change(changes_of(before.plan, before.text, sent.typed), sent.seen)
    return _told(repair, before, made, sent.typed)


@calls.post("/row", operation_id="append_row")
@alone
def append_row(request: Request, name: Name, sent: RowSent) -> InputsTold:
    """Write one more row into a list of the document, such as a confirmation by a named person."""
    repair = opened(request, name)
    request.app.state.workshop.may_change(name)
    before = repair.made
    typed = dict(sent.typed)
    if sent.table == CONFIRMED and BY in typed:
        typed[BY] = name_written(typed[BY])
        _may_take_heat_on(before.plan, typed)
    path, row = new_row(before.plan, before.text, sent.table, typed)
    return _told(repair, before, repair.append(path, row, sent.seen), sent.typed)


def defaults(plan: Plan) -> list[dict[str, Any]]:
    """What waits for a named person: each default and unusual value, with its figure."""
    figures = {f.key: f for f in plan.ledger}
    made = []
    for f in plan.findings:
        if f.code not in DEFAULTS:
            continue
        figure = figures.get(f.place)
        made.append(
            {
                "code": f.code,
                "key": f.place,
                "words": f.words,
                "value": words_of(figure, plan.case.view) if figure is not None else "",
                "source": str(figure.source) if figure is not None else "",
                "known": figure is not None,
            }
        )
    return made


def heat(plan: Plan) -> list[dict[str, str]]:
    """Heat that waits for the engineer: each finding with the key under which it is taken on."""
    keys = heat_asked(plan.case, plan.work)
    waits = [(f, keys.get((f.code, f.place))) for f in plan.findings if f.severity is Severity.CONFIRM]
    return [{"code": f.code, "key": key, "words": f.words} for f, key in waits if key is not None]


def _may_take_heat_on(plan: Plan, typed: Mapping[str, str]) -> None:
    if typed.get("figure") not in heat_asked(plan.case, plan.work).values():
        return
    why = refuse(plan.case.document, typed.get(BY, ""), typed.get("reason", ""))
    if why:
        raise InputError(
            "this does not accept the heat",
            where=CONFIRMED,
            read=why,
            expected="the engineer named under people, and the reason",
            todo="have the engineer accept it; a trial of this size or the supplier's answer is a reason",
        )


def _told(repair: OpenRepair, before: PlanMade, made: PlanMade, typed: Mapping[str, str]) -> InputsTold:
    return change_told(repair.made.plan.case.digest, before, made, typed)


def change_told(seen: str, before: PlanMade, made: PlanMade, typed: Mapping[str, str]) -> InputsTold:
    """What a change comes to, beside what was before; ``seen`` is the digest of the document that is kept."""
    old = {(f.code, f.place) for f in before.plan.findings}
    new = {(f.code, f.place) for f in made.plan.findings}
    return InputsTold(
        seen=seen,
        standing=made.plan.standing.value,
        findings=[found_item(f, old) for f in made.plan.findings if (f.code, f.place) not in old],
        gone=len(old - new),
        read_as=typed_read(before.plan, before.text, typed),
    )


def _beside(plan: Plan, group: Group) -> dict[str, list[Any]]:
    """The findings that are about each field, by the field's key; about the whole table under ""."""
    keys: dict[str, str] = {}
    todo = [group]
    while todo:
        at = todo.pop()
        keys |= {".".join(str(p) for p in f.path if isinstance(p, str)): f.key for f in at.inputs}
        todo += at.groups
    made: dict[str, list[Any]] = {}
    for f in plan.findings:
        place = f.place.removesuffix(".value")
        for plain, key in keys.items():
            if place and plain.removesuffix(".value") == place:
                made.setdefault(key, []).append(f)
    return made


def _in_work(request: Request, name: str) -> bool:
    found = request.app.state.workshop.job_of(name)
    return found is not None and not found[1].closed
