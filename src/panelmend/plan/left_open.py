"""What approved data may order and the document does not say: told, because a card cannot miss it."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from panelmend.document.recipe import Cure
from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.case import Case

J391 = finding_code(
    "J391",
    Severity.CAUTION,
    "The document does not say what approved data may order",
    "look each up in the data and type what it has, with its place; where the data has nothing of it, "
    "nothing is due. Until then the card leaves it to the data, takes what its step says, or is silent",
)
J392 = finding_code(
    "J392",
    Severity.NOTE,
    "The document says nothing of what a panel or a bay may have",
    "see the panel with its drawing, and the bay: what is there and not typed is kept clear of, heated and "
    "held by nobody; without a barometer the air pressure is that of a standard day at the bay's height",
)
OF_BAY = ("barometer", "pump")
OF_PANEL = ("edge_band", "insert", "structure", "directions")
# Sections of which every field is an order; of others those that no default and no other finding speaks of.
WHOLE = ("preparation", "inspection", "finishing")
SINGLE = {
    "limits": ("repair_distance", "resolution"),
    "surface": ("solvent",),
    "drying": ("duration",),
}
ALWAYS = ("power", "pump", "leak")  # of interruptions; the other two where such a heater is used
HEATED = ("ceiling", "control", "release_below", "thermocouples_least")
WEIGHED = ("weight_most", "moment_most")  # of a panel with a hinge line
CONDUCTIVE = ("conductive_overlap", "conductive_resistance")  # of a panel with a conductive layer
PLIES = ("extra", "sanding")


def check_left_open(case: Case) -> Iterator[Finding]:
    """One finding for each section of the data, and each cure, of a repair that lays something."""
    data = case.document.data
    unasked = {
        *(() if case.document.panel.hinge is not None else WEIGHED),
        *(() if data.preparation.conductive_layer is not None else CONDUCTIVE),
    }
    for section in WHOLE:
        given: BaseModel = getattr(data, section)
        names = tuple(n for n in type(given).model_fields if n not in unasked)
        yield from _open(f"data.{section}", given, names)
    for section, names in SINGLE.items():
        yield from _open(f"data.{section}", getattr(data, section), names)
    heaters = {c.heated_by for c in data.cure}
    if heaters - {"room temperature"}:
        others = tuple(h for h in ("blanket", "oven") if h in heaters)
        yield from _open("data.interruption", data.interruption, (*ALWAYS, *others))
    coupon = data.inspection.coupon
    if coupon is not None:
        yield from _open("data.inspection.coupon", coupon.value, ("least",))
    panel = case.document.panel
    bare = [n for n in OF_PANEL if not getattr(panel, n) and not (n == "insert" and panel.fastener)]
    if bare:
        yield J392(f"not typed: {', '.join(bare)}", place="panel")
    less = [n for n in OF_BAY if not getattr(case.document.bay, n)]
    if less:
        yield J392(f"not typed: {', '.join(less)}", place="bay")
    if data.category is not None and not data.category.inspect:
        yield J391("not typed: inspect", place="data.category")
    for side in _sides(case):
        laid = getattr(data.plies, side)
        if laid is not None:
            yield from _open(f"data.plies.{side}", laid, PLIES)
    for i, cure in enumerate(data.cure, 1):
        yield from _cure(cure, f"data.cure[{i}]")


def _cure(cure: Cure, place: str) -> Iterator[Finding]:
    if cure.heated_by == "room temperature":
        return
    names = [n for n in HEATED if getattr(cure, n) is None]
    pressed = {"core", "cap", "potting"} & set(cure.lays) and cure.bagged and cure.cured_on == "panel"
    if cure.bagged and {"plies", "fill"} & set(cure.lays) and cure.caul_sheet is None:
        names.append("caul_sheet")
    if pressed and cure.pressure_aid is None and cure.pad is None:
        names.append("pressure_aid")
    for i, s in enumerate(cure.segment, 1):
        asked = {"ramp": ("rate_most", "rate_least"), "dwell": ("low", "high"), "cool": ("rate_most",)}[
            s.kind
        ]
        names += [f"segment[{i}].{n}" for n in asked if getattr(s, n) is None]
    if names:
        yield J391(f"{cure.name}: not typed: {', '.join(names)}", place=place)


def _open(place: str, given: BaseModel, names: tuple[str, ...]) -> Iterator[Finding]:
    left = [n for n in names if getattr(given, n) is None]
    if left:
        yield J391(f"not typed: {', '.join(left)}", place=place)


def _sides(case: Case) -> tuple[str, ...]:
    damage = case.document.damage
    return ("outside", "inside") if damage.depth == "through" else (damage.side,)
