"""The survey by touch: taps sent one by one, and the outline they come to, asked for apart."""

from __future__ import annotations

import tomllib
from typing import Annotated, Any

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field

from panelmend.app.tapbook import Heard, heard
from panelmend.document.panel import Side
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Answered, BackSent, Millimetres, Name, answered
from panelmend.screen.api import Sent as Sent
from panelmend.screen.beside import LayerItem, layer_item
from panelmend.screen.drawing.markup import layer_svg
from panelmend.screen.drawing.taps import survey_layers
from panelmend.screen.words import say
from panelmend.units import show_both

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9-]{8,64}$")]


class TapSent(Sent):
    """A tap, or one that is taken back (``undo`` its id); the id is the device's, so that sending twice
    counts once.

    ``x`` and ``y`` in standard axes (seen from the outside, y up).
    """

    id: Id
    side: Side
    x: Millimetres = 0.0
    y: Millimetres = 0.0
    dull: bool = False
    undo: Id | None = None


class TapKept(BaseModel):
    """What is on the disk now."""

    id: str
    count: int = Field(description="taps of this side that count")


class TapPlace(BaseModel):
    """A place in standard axes [mm]."""

    x: float
    y: float


class SurveyAnswer(BaseModel):
    """What the taps of one side come to."""

    side: Side
    count: int
    dull: int
    sound: int
    ids: list[str] = Field(description="of the taps that count, in their order")
    layers: list[LayerItem]
    next: list[TapPlace]
    title: str
    lines: list[str] = Field(description="what is found and what is in doubt, in words")
    size: str
    box: tuple[float, float, float, float] | None = Field(description="round the taps, as drawn [mm, y down]")
    seconds: float


@router.post("/repairs/{name}/taps", operation_id="tap")
def tap(request: Request, name: Name, sent: TapSent) -> TapKept:
    """Take a tap down, or take the last one back; on the disk before this answers."""
    book = request.app.state.workshop.taps(name)
    if sent.undo is not None:
        book.undo(sent.id, sent.side, sent.undo)
    else:
        book.put(sent.id, (1e-3 * sent.x, 1e-3 * sent.y), sent.side, sent.dull)
    return TapKept(id=sent.id, count=len(book.taps(sent.side)))


@router.get("/repairs/{name}/survey", operation_id="survey")
def survey(request: Request, name: Name, side: Side) -> SurveyAnswer:
    """The outline of a side's taps, its doubts, and where to tap next."""
    workshop = request.app.state.workshop
    case = workshop.open(name).made.plan.case
    made = heard(case, workshop.taps(name).taps(side))
    dull, asked = sum(t.dull for t in made.taps), [*made.next]
    size, title = "", say("survey.none")
    if made.traced is not None and made.traced.areas:
        outer = made.traced.areas[0].outer
        both = ((outer.largest_extent(), "length"), (outer.area, "area"))
        size = ", ".join(show_both(value, kind, case.view) for value, kind in both)
        sure = f"{100 * made.traced.confidence:.0f} %"
        title = say("survey.without") if made.traced.withheld else say("survey.line", sure=sure)
    return SurveyAnswer(
        side=side,
        count=len(made.taps),
        dull=dull,
        sound=len(made.taps) - dull,
        ids=[t.id for t in made.taps],
        layers=[layer_item(x, layer_svg(x)) for x in survey_layers(made, side)],
        next=[TapPlace(x=round(1e3 * p.at[0], 3), y=round(1e3 * p.at[1], 3)) for p in asked],
        title=title,
        lines=made.words.splitlines(),
        size=size,
        box=_box(made, side),
        seconds=round(made.seconds, 3),
    )


def _box(made: Heard, side: Side) -> tuple[float, float, float, float] | None:
    """The box round the taps as they are drawn, with room for a finger beside them."""
    if not made.taps:
        return None
    xs, ys = [t.at[0] for t in made.taps], [(-1.0 if side == "outside" else 1.0) * t.at[1] for t in made.taps]
    room = 0.05
    x0, y0, x1, y1 = min(xs) - room, min(ys) - room, max(xs) + room, max(ys) + room
    return (1e3 * x0, 1e3 * y0, 1e3 * (x1 - x0), 1e3 * (y1 - y0))


@router.post("/repairs/{name}/survey/into", operation_id="survey_into")
def survey_into(request: Request, name: Name, sent: BackSent) -> Answered:
    """Put the taps into the repair and plan on their outer line instead of a typed outline."""
    workshop = request.app.state.workshop
    repair, book = workshop.open(name), workshop.taps(name)
    with workshop.changing(name):
        workshop.may_change(name)
        made = repair.made
        changes: dict[Any, Any] = book.into(made.plan, tomllib.loads(made.text))
        after = repair.change(changes, sent.seen)
        book.was_put(changes[("survey", "sweep")])
    return answered(name, repair, after, sent.side, kept=True)
