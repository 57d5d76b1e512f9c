"""What approved data may order and the document does not say: told, because a card cannot miss it."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from panelmend.document.approved import RepairPly
from panelmend.document.category import is_empty
from panelmend.document.model import HeatChoice
from panelmend.document.recipe import Cure
from panelmend.errors import Finding, caution_code, note_code
from panelmend.job.case import Case
from panelmend.materials.constants import Kinetics
from panelmend.materials.meanings import meaning_of
from panelmend.materials.quantities import Typed
from panelmend.plan.whole_parts import check_absent

J391 = caution_code(
    "J391",
    "The document leaves out points that the approved data may cover",
    "look each one up in the data and type what it says, with its place (docs/words.md explains each name); "
    "where the data says nothing, nothing needs typing. Until then the card refers to the data, goes by "
    "its own wording, or leaves the point out",
)
J392 = note_code(
    "J392",
    "The document leaves out what a panel or a bay may have",
    "type what there is: the plan does not keep clear of, heat or hold what is not typed; without a "
    "barometer it takes the standard air pressure of the elevation",
)
J468 = note_code(
    "J468",
    "The plan chose what the planner left open",
    "check the cut-out, set points and rates; pin under [choice] what must not change",
)
J469 = note_code(
    "J469",
    "Typed materials lack values that their data sheets may give",
    "look each one up: without a working life no clock runs; without constants no cure or bond is predicted "
    "and no filler is weighed; an untyped warp mark is on no page",
)
OF_BAY = ("barometer", "pump", "humidity")
OF_PANEL = ("edge_band", "insert", "structure", "earlier_repair")
OF_BLANKET = ("limit", "thickness", "areal_mass", "specific_heat", "conductivity")
DIRECTIONS = ("at_0", "at_90", "at_180", "at_270")
# Sections of which every field is an order; of others those that no default and no other finding speaks of.
WHOLE = ("preparation", "inspection", "finishing")
SINGLE = {
    "limits": ("repair_distance", "resolution"),
    "surface": ("solvent",),
    "drying": ("temperature", "duration"),
}
HEAT_STOPS = ("power",)  # interruptions of a cure with heat; others where such a heater is used
BAG_STOPS = ("pump", "leak")  # of a cure in a bag, cold ones too
HEATED = ("ceiling", "control", "release_below", "thermocouples_least")
WEIGHED = ("weight_most", "moment_most")  # of a panel with a hinge line
CONDUCTIVE = ("conductive_overlap", "conductive_resistance")  # of a panel with a conductive layer
RATES = ("seal_rate", "primer_rate", "paint_rate", "conductive_rate")  # their kit lines say so, with a blank
PLIES = ("extra", "sanding")


def check_left_open(case: Case) -> Iterator[Finding]:
    """One finding for each section of the data, and each cure, of a repair that lays something."""
    data = case.document.data
    unasked = {
        *RATES,
        *(() if case.document.panel.hinge is not None else WEIGHED),
        *(() if data.preparation.conductive_layer is not None else CONDUCTIVE),
    }
    for section in WHOLE:
        given: BaseModel = getattr(data, section)
        names = tuple(n for n in type(given).model_fields if n not in unasked)
        yield from _part(case, section, given, names)
    for section, names in SINGLE.items():
        yield from _open(f"data.{section}", getattr(data, section), names)
    heaters = {c.heated_by for c in data.cure}
    others = tuple(h for h in ("blanket", "oven") if h in heaters)
    heated = HEAT_STOPS if heaters - {"room temperature"} else ()
    vacuum = BAG_STOPS if any(c.bagged for c in data.cure) else ()
    if heated or vacuum:
        yield from _part(case, "interruption", data.interruption, (*heated, *vacuum, *others))
    coupon = data.inspection.coupon
    if coupon is not None:
        yield from _open("data.inspection.coupon", coupon.value, ("least",))
    if case.document.panel.fastener and data.limits.fastener_distance is None:
        yield J391(f"not typed: {_words(data.limits, 'fastener_distance')}", place="data.limits")
    if case.document.damage.through:
        yield from _open("data.bag", data.bag, ("both_sides",))
    if any(case.catalogue.cloth(p.cloth).prepreg for p in _repair(case)):
        yield from _open("data.plies", data.plies, ("film_adhesive",))
    for place, lacking in (("panel", _of_panel(case)), ("bay", _of_bay(case)), ("stores", _of_stores(case))):
        if lacking:
            yield J392(f"not typed: {'; '.join(lacking)}", place=place)
    chosen = _chosen(case)
    if chosen:
        yield J468("; ".join(chosen), place="choice")
    sheets = _of_materials(case)
    if sheets:
        yield J469("; ".join(sheets), place="materials")
    if data.category is None:
        yield J391(f"nothing of this part is typed: {_words(data, 'category')}", place="data.category")
    elif not data.category.inspect:
        yield J391(f"not typed: {_words(data.category, 'inspect')}", place="data.category")
    for side in _sides(case):
        laid = getattr(data.plies, side)
        if laid is not None:
            yield from _open(f"data.plies.{side}", laid, PLIES)
    for i, cure in enumerate(data.cure, 1):
        yield from _cure(cure, f"data.cure[{i}]", case.document.damage.through)


def _of_panel(case: Case) -> list[str]:
    panel = case.document.panel
    bare = [
        _words(panel, n) for n in OF_PANEL if not getattr(panel, n) and not (n == "insert" and panel.fastener)
    ]
    bare += [_words(panel.directions, n) for n in DIRECTIONS if not getattr(panel.directions, n)]
    box = panel.outline.rectangle
    bare += [_words(box, "corner_radius")] if box is not None and not box.corner_radius else []
    bare += [f"{s.id}: {_words(s, 'height')}" for s in panel.structure if s.height is None]
    return bare + [f"{f.id}: {_words(f, 'keep_out')}" for f in panel.fastener if not f.keep_out]


def _of_bay(case: Case) -> list[str]:
    bay = case.document.bay
    less = [_words(bay, n) for n in OF_BAY if not getattr(bay, n)]
    alike: dict[str, list[str]] = {}  # blankets of one sheet lack the same
    for b in bay.blanket:
        open_ = [_words(b, n) for n in OF_BLANKET if getattr(b, n) is None]
        if open_:
            alike.setdefault(", ".join(open_), []).append(b.id)
    less += [f"{', '.join(ids)}: {words}" for words, ids in alike.items()]
    for i in bay.instrument:
        if i.kind == "thermocouple":
            less += [f"{i.id}: {_words(i, n)}" for n in ("type", "tolerance") if not getattr(i, n)]
    if not any(i.kind == "moisture meter" for i in bay.instrument):
        less.append("a moisture meter")
    heated = any(c.heated_by != "room temperature" for c in case.document.data.cure)
    if heated and not any(i.kind == "logger" for i in bay.instrument):
        less.append("a logger")
    return less


def _of_stores(case: Case) -> list[str]:
    resins = {r.id for r in case.document.materials.resin}
    lots = [x for x in case.document.stores.lot if x.material in resins]
    core = case.document.panel.core.material
    sheets = [x for x in case.document.stores.lot if x.material == core and x.thickness is None]
    bare = [f"{x.id}: {_words(x, 'thickness')}" for x in sheets]
    lacking = [x for x in lots if x.mass is not None and x.hardener_mass is None]
    return bare + [f"{x.id}: {_words(x, 'hardener_mass')}" for x in lacking]


def _chosen(case: Case) -> list[str]:
    choice = case.document.choice
    made = [] if choice.cutout is not None else [_words(choice, "cutout")]
    for cure in case.document.data.cure:
        if cure.heated_by == "room temperature":
            continue
        own = choice.heat_for(cure.name)
        left = ("blanket_behind", "set_point", "rate", "measured")
        names = [_called(HeatChoice, n) for n in left if not getattr(own, n, None)]
        if names:
            made.append(f"{cure.name}: {', '.join(names)}")
    return made


def _of_materials(case: Case) -> list[str]:
    made = []
    typed = case.document.materials
    for m in (*typed.cloth, *typed.resin, *typed.adhesive):
        paste = getattr(m, "form", "") == "paste"
        names = {
            "warp_mark": not getattr(m, "warp_mark", "none"),
            "filler": paste and getattr(m, "filler", None) is None,
            "pot_life": paste and getattr(m, "pot_life", None) is None,
            "flatwise_strength": getattr(m, "flatwise_strength", "") is None,
            "flatwise_hot_wet": getattr(m, "flatwise_hot_wet", "") is None,
            "kinetics": getattr(m, "kinetics", "") is None and getattr(m, "prepreg", True),
            "kinetics.heat": getattr(getattr(m, "kinetics", None), "heat", "") is None,
        }
        open_ = [
            _called(Kinetics, "heat") if n == "kinetics.heat" else _words(m, n)
            for n, is_open in names.items()
            if is_open
        ]
        if open_:
            made.append(f"{m.id}: {', '.join(open_)}")
    return made


def _repair(case: Case) -> Iterator[RepairPly]:
    for side in _sides(case):
        laid = getattr(case.document.data.plies, side)
        if laid is not None and laid.repair is not None:
            yield from laid.repair.value


def _cure(cure: Cure, place: str, through: bool) -> Iterator[Finding]:
    if cure.heated_by == "room temperature":
        return
    names = [_words(cure, n) for n in HEATED if getattr(cure, n) is None]
    if through and {"plies", "fill"} & set(cure.lays) and cure.side is None:
        names.append(_words(cure, "side"))
    pressed = {"core", "cap", "potting"} & set(cure.lays) and cure.bagged and not cure.on_plate
    if cure.bagged and {"plies", "fill"} & set(cure.lays) and cure.caul_sheet is None:
        names.append(_words(cure, "caul_sheet"))
    if pressed and cure.pressure_aid is None and cure.pad is None:
        names.append(_words(cure, "pressure_aid"))
    for i, s in enumerate(cure.segment, 1):
        asked = {
            "ramp": ("rate_most", "rate_least", "rate"),
            "dwell": ("low", "high"),
            "cool": ("rate_most",),
        }[s.kind]
        names += [f"segment {i}: {_words(s, n)}" for n in asked if getattr(s, n) is None]
    if names:
        yield J391(f"{cure.name}: not typed: {'; '.join(names)}", place=place)


def _part(case: Case, section: str, given: BaseModel, names: tuple[str, ...]) -> Iterator[Finding]:
    """A part of the data that is whole chapters of a manual: absent, it waits for somebody."""
    if isinstance(given, Typed) and is_empty(given):
        yield check_absent(case, section, [_words(given, n) for n in names])
    else:
        yield from _open(f"data.{section}", given, names)


def _open(place: str, given: BaseModel, names: tuple[str, ...]) -> Iterator[Finding]:
    left = [_words(given, n) for n in names if getattr(given, n) is None]
    if left:
        # a part that was left out or made a comment whole is another slip than a line of it
        whole = len(left) > 1 and not given.model_fields_set
        said = "nothing of this part is typed" if whole else "not typed"
        yield J391(f"{said}: {'; '.join(left)}", place=place)


def _words(given: BaseModel, name: str) -> str:
    """A field as the form has it, and what it is called where it is typed."""
    return _called(type(given), name)


def _called(model: type[BaseModel], name: str) -> str:
    said = meaning_of(model, name).partition(";")[0].rstrip(".")
    return f"{said[:1].lower()}{said[1:]} [{name}]"


def _sides(case: Case) -> tuple[str, ...]:
    damage = case.document.damage
    return ("outside", "inside") if damage.through else (damage.side,)
