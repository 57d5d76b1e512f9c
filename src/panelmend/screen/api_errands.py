"""Long work of a repair: begun, looked at, stopped."""

from __future__ import annotations

import time
from typing import Literal

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field

from panelmend.app.errands import Errand, Work
from panelmend.app.heat import VERB_CASES, predict_heat
from panelmend.app.heat_tries import maps_through
from panelmend.app.opened import OpenRepair
from panelmend.app.service import find_layouts, pack
from panelmend.errors import InputError
from panelmend.render.kept_study import kept_study
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.sheets import errands, opened

router = APIRouter(prefix="/api/repairs/{name}/errands", responses=DOCUMENTED)
Kind = Literal["strength", "layouts", "heat", "pack", "moments", "what-if"]
WRITES = ("layouts", "heat")  # what changes the plan, and waits while a job goes by it
SEARCH = 20.0  # [s] for the layouts of all cloths together
PACK = "pack"  # folder beside the document


class BeginSent(Sent):
    """Nothing is asked but that it is made."""


class ErrandNow(BaseModel):
    """How far long work is."""

    kind: Kind
    running: bool
    words: str = Field(description="what is being made now")
    fault: str = Field(description="why it came to nothing; empty where it did not")
    seconds: float = Field(description="wall time since it was begun, or that it took [s]")


@router.get("/{kind}", operation_id="errand")
def errand(request: Request, name: Name, kind: Kind) -> ErrandNow:
    """How far it is."""
    opened(request, name)
    return now_of(kind, errands(request).of(name, kind))


@router.post("/{kind}", operation_id="begin_errand")
def begin(request: Request, name: Name, kind: Kind, sent: BeginSent) -> ErrandNow:
    """Begin it."""
    repair, workshop = opened(request, name), request.app.state.workshop
    with workshop.changing(name):  # no job is begun between the look and the beginning, nor while it runs
        if kind in WRITES:
            workshop.may_change(name)
        return now_of(kind, errands(request).begin(name, kind, _work(repair, kind)))


@router.post("/{kind}/stop", operation_id="stop_errand")
def stop(request: Request, name: Name, kind: Kind, sent: BeginSent) -> ErrandNow:
    """Ask it to stop; what was there before stays as it was."""
    opened(request, name)
    return now_of(kind, errands(request).stop(name, kind))


def _work(repair: OpenRepair, kind: Kind) -> Work:
    plan, path = repair.made.plan, repair.path
    if kind == "strength":
        return lambda tell, stop: kept_study(plan)
    if kind == "layouts":
        return lambda tell, stop: find_layouts(path, plan, SEARCH, tell, stop)
    if kind == "moments":
        return lambda tell, stop: maps_through(plan, tell, stop)
    if kind == "what-if":
        raise InputError("a try begins with what is tried", todo="change a field and try it")
    if kind == "heat":
        return lambda tell, stop: predict_heat(path, plan, tell, stop, cases=VERB_CASES)
    # as the plan stands: nothing is searched or predicted that the screen does not show
    return lambda tell, stop: pack(path, repair.beside(PACK), 0.0, tell, stop, heat=False)


def now_of(kind: Kind, found: Errand | None) -> ErrandNow:
    """An errand as it is sent."""
    if found is None:
        return ErrandNow(kind=kind, running=False, words="", fault="", seconds=0.0)
    seconds = time.monotonic() - found.begun if found.running else found.seconds
    return ErrandNow(
        kind=kind, running=found.running, words=found.words, fault=found.fault, seconds=round(seconds, 1)
    )
