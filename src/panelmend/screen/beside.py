"""What stands beside the drawing: state, findings, clearances, fields, as plain data for page and API."""

from __future__ import annotations

from functools import cache

from pydantic import BaseModel, Field

from panelmend.app.changing import ShownField, entries
from panelmend.app.changing_heat import sensors_now
from panelmend.app.opened import OpenRepair, PlanMade
from panelmend.derive.ledger import words_of
from panelmend.document.panel import Side
from panelmend.document.rows import dotted_key
from panelmend.errors import Finding, Severity, all_codes
from panelmend.plan.plan import Plan
from panelmend.screen.drawing import DrawnSheet, sheet
from panelmend.screen.drawing.layers import DrawnLayer, seen_words, size_words
from panelmend.screen.words import say


class FoundItem(BaseModel):
    """One finding."""

    code: str
    severity: str
    word: str = Field(description="the severity as it is shown")
    title: str = Field(description="what the code stands for")
    place: str = Field(description="where, as a path in the document or plan")
    words: str
    todo: str
    new: bool = Field(False, description="not there before the change that is tried")


class FitItem(BaseModel):
    """One clearance: what is between, how much there is, how much is asked, whether it holds."""

    what: str
    clear: str
    asked: str
    holds: bool
    word: str
    clear_key: str = Field("", description="the figure, to see how it was reached")
    asked_key: str = ""


class FieldItem(BaseModel):
    """One field that can be changed."""

    key: str
    label: str
    typed: str
    kind: str
    read_as: str
    meaning: str
    choices: list[str]
    needed: bool
    findings: list[str] = Field(description="codes of findings that are about this field")


class FieldGroup(BaseModel):
    """Fields that stand together."""

    title: str
    fields: list[FieldItem]


class LayerItem(BaseModel):
    """One layer of the drawing as SVG, in millimetres of the panel, y down."""

    key: str
    group: str
    name: str
    shown: bool
    sample: str
    svg: str


class PlacedItem(BaseModel):
    """Blanket and thermocouples of a cure on the panel that can be moved, and whether they are by hand."""

    operation: int
    name: str
    blanket: str
    blanket_by_hand: bool
    sensors: list[str]
    sensors_by_hand: bool


class DrawingItem(BaseModel):
    """The drawing seen from one side; boxes are x, y, width, height [mm]."""

    side: Side
    seen: str
    layers: list[LayerItem]
    panel: tuple[float, float, float, float]
    repair: tuple[float, float, float, float]
    placed: list[PlacedItem] = Field([], description="blankets and thermocouples that can be moved")


class PlanAnswer(BaseModel):
    """A plan as the screen shows it."""

    seen: str = Field(description="digest of the document; a change names the one it was made on")
    plan: str = Field(description="digest of the plan")
    standing: str
    means: str
    kept: bool = Field(description="false for a plan that was only tried")
    seconds: float = Field(description="wall time the plan took [s]")
    can_go_back: bool
    pinned: bool
    disposition: str
    damage: str
    damage_key: str = Field("", description="the figure, to see how it was reached")
    cutout: str
    cutout_keys: list[tuple[str, str]] = Field([], description="its sizes in words with their figures")
    findings: list[FoundItem]
    fits: list[FitItem]
    groups: list[FieldGroup]
    drawing: DrawingItem


def plan_answer(repair: OpenRepair, made: PlanMade, side: Side, *, kept: bool) -> PlanAnswer:
    """All of it for a plan seen from a side."""
    plan = made.plan
    before = {(f.code, f.place) for f in repair.last.plan.findings} if not kept else None
    standing = plan.standing.value
    return PlanAnswer(
        seen=plan.case.digest if kept else repair.last.plan.case.digest,
        plan=plan.digest,
        standing=standing,
        means=say(f"standing.{standing}_means"),
        kept=kept,
        seconds=round(made.seconds, 3),
        can_go_back=repair.can_go_back,
        pinned=plan.case.document.choice.cutout is not None,
        disposition=plan.limits.disposition,
        damage=words_of(plan.limits.largest, plan.case.view),
        damage_key=plan.limits.largest.key,
        cutout=size_words(plan),
        cutout_keys=_cutout(plan),
        findings=[found_item(f, before) for f in in_order(plan)],
        fits=list(clearance_items(plan)),
        groups=groups(plan, made.text),
        drawing=drawing(plan, side),
    )


def _cutout(plan: Plan) -> list[tuple[str, str]]:
    """The sizes of the cut-out in words, each with the key of its figure."""
    if plan.work is None:
        return []
    o = plan.work.cutout.opening
    found = [o.length, o.width] if o.form != "circle" else [o.length]
    return [(words_of(f, plan.case.view), f.key) for f in found]


def drawing(plan: Plan, side: Side) -> DrawingItem:
    """The drawing of a plan seen from a side."""
    made: DrawnSheet = sheet(plan, side)
    return DrawingItem(
        side=side,
        seen=seen_words(plan, side),
        layers=[layer_item(x, svg) for x, svg in made.layers],
        panel=made.panel,
        repair=made.repair,
        placed=placed_items(plan),
    )


def placed_items(plan: Plan) -> list[PlacedItem]:
    """What of each cure on the panel can be moved on the drawing."""
    if plan.work is None or plan.case.geometry_of_surface() is not None:
        return []
    return [
        PlacedItem(
            operation=bag.number,
            name=bag.name,
            blanket=bag.blanket,
            blanket_by_hand=bag.hand.blanket is not None,
            sensors=list(sensors_now(plan, bag)),
            sensors_by_hand=bag.hand.sensors,
        )
        for bag in plan.work.bag.operations
        if bag.on_panel
    ]


def layer_item(layer: DrawnLayer, svg: str) -> LayerItem:
    """One layer with its markup."""
    return LayerItem(
        key=layer.key, group=layer.group, name=layer.name, shown=layer.shown, sample=layer.sample, svg=svg
    )  # fmt: skip


_WEIGHT = {s: i for i, s in enumerate((Severity.STOP, Severity.CONFIRM, Severity.CAUTION, Severity.NOTE))}


def in_order(plan: Plan) -> list[Finding]:
    """The findings, the heaviest first."""
    return sorted(plan.findings, key=lambda f: _WEIGHT[f.severity])


def found_item(f: Finding, before: set[tuple[str, str]] | None) -> FoundItem:
    """One finding; new where ``before`` is given and has it not."""
    return FoundItem(
        code=f.code,
        severity=f.severity.value,
        word=say(f"severity.{f.severity.value}"),
        title=_titles().get(f.code, ""),
        place=f.place,
        words=f.words,
        todo=f.todo,
        new=before is not None and (f.code, f.place) not in before,
    )


@cache
def _titles() -> dict[str, str]:
    return {c.code: c.title for c in all_codes()}


def clearance_items(plan: Plan) -> list[FitItem]:
    """The clearances, what does not hold first."""
    if plan.work is None:
        return []
    view = plan.case.view
    by_hand = [
        FitItem(
            what=f"{bag.name}: {f.what}",
            clear=words_of(f.clear, view),
            asked=words_of(f.asked, view),
            holds=f.holds,
            word=say("met.within" if f.holds else "met.outside"),
            clear_key=f.clear.key,
            asked_key=f.asked.key,
        )
        for bag in plan.work.bag.operations
        for f in bag.hand.fits
    ]
    made = by_hand + [
        FitItem(
            what=f.what,
            clear=words_of(f.clear, view),
            asked=words_of(f.asked, view),
            holds=f.holds,
            word=say("met.within" if f.holds else "met.outside"),
            clear_key=f.clear.key,
            asked_key=f.asked.key,
        )
        for f in plan.work.plies.fits
    ]
    return sorted(made, key=lambda f: f.holds)


def groups(plan: Plan, text: str) -> list[FieldGroup]:
    """The fields in their groups."""
    made: dict[str, list[FieldItem]] = {}
    for e in entries(plan, text):
        made.setdefault(e.group, []).append(_field(e, plan))
    return [FieldGroup(title=_title(g), fields=f) for g, f in made.items()]


def _title(group: str) -> str:
    first, _, name = group.partition(" ")
    return say(f"field.group_{first}", name=name) if name else say(f"field.group_{first}")


def _field(e: ShownField, plan: Plan) -> FieldItem:
    place = ".".join(str(p) for p in e.path if isinstance(p, str))
    return FieldItem(
        key=dotted_key(e.path),
        label=say(f"field.{e.key}", name=e.name) if e.name else say(f"field.{e.key}"),
        typed=e.typed,
        kind=e.kind,
        read_as=e.read_as,
        meaning=e.meaning,
        choices=list(e.choices),
        needed=e.needed,
        findings=[f.code for f in plan.findings if about(f.place, place)],
    )


def about(place: str, field: str) -> bool:
    """Whether a finding at this place is about this field: at it or at a table it stands in."""
    return field == place or field.startswith(f"{place}.")
