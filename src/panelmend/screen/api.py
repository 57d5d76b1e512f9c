"""What scripts ask and send, as JSON; described in /api/openapi.json."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, ConfigDict, Field

from panelmend.app.changing import Move, changes_moved, changes_typed
from panelmend.app.changing_heat import placed_as_planned
from panelmend.app.opened import OpenRepair, PlanMade
from panelmend.app.rows_away import note_standing
from panelmend.document.panel import Side
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.beside import PlanAnswer, plan_answer
from panelmend.screen.pages import beside_html
from panelmend.screen.sheets import opened

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Name = Annotated[str, Path(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,79}$")]
Millimetres = Annotated[float, Field(ge=-1e5, le=1e5, allow_inf_nan=False)]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Sent(BaseModel):
    """What is sent: an unknown field is refused."""

    model_config = ConfigDict(extra="forbid")


class MoveSent(Sent):
    """A move in standard axes (seen from the outside, y up)."""

    what: Literal["damage", "cutout", "blanket", "thermocouple"]
    operation: Annotated[int, Field(ge=0, le=99, description="number of the cure of blanket and sensor")] = 0
    sensor: Annotated[str, Field(pattern=r"^(T\d{1,2})?$", description="which thermocouple")] = ""
    dx: Millimetres = 0.0
    dy: Millimetres = 0.0
    turn: Annotated[float, Field(ge=-360.0, le=360.0, allow_inf_nan=False, description="degrees")] = 0.0


class NoLongerByHand(Sent):
    """A blanket or thermocouples of a cure that are no longer placed by hand."""

    what: Literal["blanket", "thermocouple"]
    operation: Annotated[int, Field(ge=1, le=99)]


class ChangeSent(Sent):
    """A change: typed fields (empty takes one out), a move, a cut-out that is no longer pinned, or what is no
    longer placed by hand."""

    seen: Digest
    side: Side
    typed: Annotated[dict[str, Annotated[str, Field(max_length=400)]], Field(max_length=40)] = {}
    move: MoveSent | None = None
    unpin: bool = False
    put_back: NoLongerByHand | None = None


class BackSent(Sent):
    """Take back the last change."""

    seen: Digest
    side: Side


class Answered(BaseModel):
    """A plan, and the part of the page beside the drawing made anew."""

    answer: PlanAnswer
    beside: str = Field(description="HTML")


class Repairs(BaseModel):
    """The repairs of the workshop."""

    names: list[str]


@router.get("/repairs", operation_id="repairs")
def repairs(request: Request) -> Repairs:
    """Names of the repairs."""
    return Repairs(names=list(request.app.state.workshop.names()))


@router.get("/repairs/{name}/plan", operation_id="plan")
def plan(request: Request, name: Name, side: Side) -> Answered:
    """The plan of a repair as it is kept."""
    repair = opened(request, name)
    return answered(name, repair, repair.made, side, kept=True)


@router.post("/repairs/{name}/try", operation_id="try_change")
def try_change(request: Request, name: Name, sent: ChangeSent) -> Answered:
    """What a change would come to; nothing is kept."""
    repair = opened(request, name)
    return answered(name, repair, repair.tried(_changes(repair, sent)), sent.side, kept=False)


@router.post("/repairs/{name}/change", operation_id="change")
def change(request: Request, name: Name, sent: ChangeSent) -> Answered:
    """Change a repair, on the disk before this answers."""
    workshop, repair = request.app.state.workshop, opened(request, name)
    with workshop.changing(name):
        workshop.may_change(name)
        made = repair.change(_changes(repair, sent), sent.seen)
    return answered(name, repair, made, sent.side, kept=True)


@router.post("/repairs/{name}/back", operation_id="take_back")
def take_back(request: Request, name: Name, sent: BackSent) -> Answered:
    """Take back the last change."""
    workshop, repair = request.app.state.workshop, opened(request, name)
    with workshop.changing(name):
        workshop.may_change(name)
        made = repair.back(sent.seen)
        note_standing(repair)
    return answered(name, repair, made, sent.side, kept=True)


def answered(name: str, repair: OpenRepair, made: PlanMade, side: Side, *, kept: bool) -> Answered:
    """A plan with the part of the page beside the drawing."""
    answer = plan_answer(repair, made, side, kept=kept)
    return Answered(answer=answer, beside=beside_html(name, answer))


def _changes(repair: OpenRepair, sent: ChangeSent) -> dict[Any, Any]:
    made = repair.made
    changes: dict[Any, Any] = changes_typed(made.plan, made.text, dict(sent.typed))
    if sent.unpin:
        changes[("choice", "cutout")] = None
    if sent.put_back is not None:
        changes |= placed_as_planned(made.plan, sent.put_back.operation, sent.put_back.what)
    if sent.move is not None:
        m = sent.move
        by = (1e-3 * m.dx, 1e-3 * m.dy, math.radians(m.turn))
        changes |= changes_moved(made.plan, made.text, Move(m.what, *by, m.operation, m.sensor))
    return changes
