"""The constants a prediction needs, from document and catalogue; what nobody gave is listed, not guessed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from panelmend.document.approved import Cure
from panelmend.document.bay import Blanket
from panelmend.document.panel import Side
from panelmend.errors import MissingError
from panelmend.job.bag.part import BagOperation
from panelmend.job.bend import outline_on
from panelmend.job.case import Case, Layer
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import Missing
from panelmend.job.cure.problem import Bled, CoreSheet, Curing, HeatSource, PlugSheet, Sheet
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.part import PliesPart, Ply
from panelmend.materials.cure_law import glass_of, law_of
from panelmend.materials.model import Bagging, Kinetics, Thermal
from panelmend.physics.core_conductivity import along_ribbon
from panelmend.shapes import Outline, offset

# Layers of a bag that hold heat back; films and peel ply are a tenth of a millimetre and are not counted.
UNDER = ("pressure aid", "pressure pad", "caul sheet", "lower breather", "breather collar", "edge breather")
BLEEDER, OVER = "bleeder", ("breather",)
COUNTED = (*UNDER, BLEEDER, *OVER, "heat blanket")
NO_HEAT = "no constants of cure for {}: its own heat is not counted, its degree of cure not predicted"


@dataclass
class Gathered:
    """Sheets, core and curing resin of one operation, and what is missing for them."""

    sheets: list[Sheet] = field(default_factory=list)
    core: CoreSheet | None = None
    curing: list[Curing] = field(default_factory=list)
    bled: Bled | None = None
    missing: list[Missing] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def lacks(self, what: str, where: str, ask: str) -> None:
        """Note a missing constant once."""
        made = Missing(what, where, ask)
        if made not in self.missing:
            self.missing.append(made)


@dataclass(frozen=True)
class Laid:
    """The operation's place in the repair: its own bag and cure, and what went before."""

    case: Case
    cutout: CutoutPart
    plies: PliesPart
    core: CorePart
    bag: BagOperation
    cure: Cure
    before: tuple[tuple[str, Side], ...]  # parts laid in earlier operations, and on which side

    @property
    def near(self) -> Side:
        """The heated side."""
        return self.bag.heated_from

    def opening(self) -> Outline:
        """The hole in the near skin."""
        return next((s.cutout for s in self.plies.sides if s.side == self.near), self.cutout.opening.outline)

    def own(self) -> list[Ply]:
        """Plies laid in this operation; a cap that was cured on a plate is bonded, not laid."""
        lays = [part for part in self.bag.lays if not (part == "cap" and self.bag.bonds_cap)]
        # fill first: the order of sheets has no meaning, but a digest depends on it
        return sorted((p for p in self._all() if _part_of(p) in lays), key=lambda p: p.role != "fill")

    def earlier(self) -> list[Ply]:
        """Plies that are there already."""
        return [p for p in self._all() if (_part_of(p), self.near) in self.before]

    def _all(self) -> list[Ply]:
        here = [p for s in self.plies.sides if s.side == self.near for p in s.plies]
        return [*(p for p in self.core.cap if p.side == self.near), *here]


def _part_of(ply: Ply) -> str:
    return ply.role if ply.role in ("cap", "fill") else "plies"


def gather(laid: Laid, blankets: Sequence[tuple[HeatSource, Blanket]]) -> Gathered:
    """Everything the stack of an operation is made of, from the bag down; the second blanket lies behind."""
    made = Gathered()
    _bag(made, laid)
    for (source, blanket), layer in zip(blankets, ("blanket", "blanket behind"), strict=False):
        _blanket(made, blanket, layer, source.outer)
    if len(blankets) > 1:
        over = laid.bag.behind.layers if laid.bag.behind is not None else ()
        own = next((x.outline for x in over if x.use == "breather"), None)
        made.sheets += [
            replace(s, layer="bag behind", outline=own or s.outline) for s in made.sheets if s.layer == "bag"
        ]
    _patch(made, laid)
    _skins(made, laid)
    _core(made, laid)
    _floor(made, laid)
    _potting(made, laid)
    plugged = laid.core.plug is not None and "core" in laid.bag.lays
    plugged = plugged or any(c.layer == "core" for c in made.curing)
    if not plugged and not any(s.layer in ("patch", "bond line") for s in made.sheets) and not made.missing:
        made.lacks(
            "what is bonded: nothing with a heat of its own is laid",
            f"data.cure {laid.cure.name}, lays",
            "name the plies or the core that this operation lays",
        )
    return made


def _potting(made: Gathered, laid: Laid) -> None:
    """A potting fills the cells through the whole core: heat of cure all through its depth."""
    hole = laid.core.potting_outline
    if laid.core.action != "pot" or hole is None or made.core is None:
        return
    name, here = laid.core.adhesive, bool(POTTING & set(laid.bag.lays))
    if not here and not any(part in POTTING for part, _ in laid.before):
        return  # not there yet: the cells are open
    where = f"materials.adhesive {name}" if name else "data.core.adhesive"
    stuff = laid.case.catalogue.adhesive(name) if name and name in laid.case.catalogue else None
    if float(laid.cutout.core_depth) < made.core.thickness - 1e-6:
        if here:
            made.lacks(
                "the heat of a potting that ends within the core",
                f"data.cure {laid.cure.name}, lays",
                "ask the compound's supplier how hot a potting of this size and depth gets",
            )
        else:
            made.notes.append("the potting ends within the core: it is taken as core")
        return
    outline = _here(laid, hole, laid.core.side) or hole
    made.core = replace(made.core, plug=PlugSheet(outline, *POTTED, 0.0))
    made.notes.append(
        "the potting conducts and stores heat as plain epoxy does, values from memory; a compound with "
        "hollow filler conducts less and gets hotter"
    )
    if not here:
        return
    found = _given(
        made,
        {
            "density": stuff.density.value if stuff and stuff.density else None,
            "heat of cure": stuff.kinetics.heat if stuff and stuff.kinetics else None,
        },
        f"the potting compound {stuff.name}" if stuff is not None else "the potting compound",
        where,
        "the compound's supplier: density and constants of cure, or how hot a potting of this size gets",
    )
    if found is None or stuff is None or stuff.kinetics is None:
        return
    resin = found[0] / (1.0 + (stuff.filler.value if stuff.filler is not None else 0.0))
    _curing(made, "core", [(made.core.thickness * resin * found[1], outline, stuff.kinetics, stuff.name)])


def _bag(made: Gathered, laid: Laid) -> None:
    for layer in laid.bag.layers:
        if layer.use not in (*UNDER, BLEEDER, *OVER):
            continue
        tag = "bag" if layer.use in OVER else "bleeder" if layer.use == BLEEDER else "under blanket"
        try:
            stuff = laid.case.catalogue.bagging(layer.material)
        except MissingError:
            made.lacks(
                f"what the {layer.use} is made of",
                "materials.bagging",
                f"name a {layer.use} under [[materials.bagging]]",
            )
            continue
        values = _bagging(made, stuff)
        if values is not None:
            thickness, k, heat = values
            where = layer.outlines or (laid.opening(),)
            for outline in where if len(where) == layer.pieces else where * layer.pieces:
                made.sheets.append(
                    Sheet(tag, layer.use, thickness, k, k, heat, outline=outline, without=layer.hole)
                )


def _given(
    made: Gathered, values: dict[str, float | None], of: str, where: str, ask: str
) -> tuple[float, ...] | None:
    """The values, or None with what is missing noted."""
    lacking = [words for words, value in values.items() if not value]
    if lacking:
        made.lacks(f"{', '.join(lacking)} of {of}", where, ask)
        return None
    return tuple(float(v) for v in values.values() if v is not None)


def _bagging(made: Gathered, stuff: Bagging) -> tuple[float, float, float] | None:
    t = stuff.thermal or Thermal()
    found = _given(
        made,
        {
            "thickness under vacuum": stuff.thickness.value if stuff.thickness is not None else None,
            "conductivity through it": t.k_through,
            "density": t.density,
            "specific heat": t.specific_heat,
        },
        stuff.name,
        f"materials.bagging {stuff.id}",
        f"the supplier's data sheet of the {stuff.use}",
    )
    return None if found is None else (found[0], found[1], found[2] * found[3])


def _blanket(made: Gathered, blanket: Blanket, layer: str, outline: Outline) -> None:
    found = _given(
        made,
        {
            "thickness": blanket.thickness,
            "mass on its area": blanket.areal_mass,
            "specific heat": blanket.specific_heat,
            "conductivity": blanket.conductivity,
        },
        f"blanket {blanket.id}",
        f"bay.blanket {blanket.id}",
        "weigh and measure it; the maker's data sheet for the rest",
    )
    if found is None:
        return
    thickness, mass, specific, k = found
    made.sheets.append(Sheet(layer, blanket.id, thickness, k, k, mass * specific / thickness, outline))


def _ply(
    made: Gathered, laid: Laid, cloth_id: str, thickness: float, layer: str, **where: Outline | None
) -> None:
    cloth = laid.case.catalogue.cloth(cloth_id)
    t = cloth.thermal or Thermal()
    found = _given(
        made,
        {
            "conductivity in the plane": t.k_in_plane,
            "conductivity through it": t.k_through,
            "density": t.density,
            "specific heat": t.specific_heat,
        },
        f"the cured ply of {cloth.name}",
        f"materials.cloth {cloth.id}, thermal",
        "the supplier of the cloth or prepreg, or a test report of the laminate",
    )
    if found is not None:
        heat = found[2] * found[3]
        made.sheets.append(Sheet(layer, cloth_id, thickness, found[0], found[1], heat, **where))


def _patch(made: Gathered, laid: Laid) -> None:
    parts: dict[str, list[tuple[float, Outline, Kinetics, str]]] = {}
    for ply in laid.own():
        if ply.role == "film adhesive":
            _film(made, laid, ply, parts)
            continue
        _ply(made, laid, ply.cloth, float(ply.thickness), "patch", outline=ply.outline)
        kinetics, name = _resin_of(laid, ply)
        if kinetics is None or kinetics.heat is None:
            made.notes.append(
                f"no heat of cure for {name}: its own heat is not counted, its degree not predicted"
            )
            continue
        cloth = laid.case.catalogue.cloth(ply.cloth)
        density = cloth.thermal.density if cloth.thermal is not None else None
        if density is None:
            continue
        resin = max(0.0, float(ply.thickness) * density - cloth.areal_mass.value)
        parts.setdefault("patch", []).append((resin * kinetics.heat, ply.outline, kinetics, name))
    bled(made, laid)
    if made.bled is not None and not any(s.layer == "bleeder" for s in made.sheets):
        made.notes.append(
            "no bleeder is laid: resin beyond what the cured plies hold is taken to stay in them"
        )
        own, stays = _resin_of(laid, laid.own()[0])[0], made.bled
        if own is not None and own.heat is not None:
            rows = [(m * own.heat, o, own, stays.name) for m, o in stays.parts]
            parts.setdefault("patch", []).extend(rows)
        made.bled = None
    for layer, rows in parts.items():
        _curing(made, layer, rows)
    for ply in laid.earlier():
        _ply(
            made,
            laid,
            ply.cloth,
            float(ply.thickness),
            "near skin",
            outline=laid.opening() if ply.role == "cap" else ply.outline,
        )


def bled(made: Gathered, laid: Laid) -> None:
    """Resin of a wet lay-up beyond what the cured plies hold: it bleeds, and gives its heat where it lies."""
    data, catalogue = laid.case.document.data.resin, laid.case.catalogue
    if data.system is None or data.system.value not in catalogue:
        return
    resin = catalogue.resin(data.system.value)
    ratio = data.resin_to_cloth.value if data.resin_to_cloth is not None else 1.0
    parts, dry, laid_on = [], [], 0.0
    for ply in laid.own():
        if ply.role == "film adhesive":
            continue
        cloth = catalogue.cloth(ply.cloth)
        density = cloth.thermal.density if cloth.thermal is not None else None
        if cloth.prepreg or density is None:
            continue
        on_it = ratio * cloth.areal_mass.value
        laid_on += on_it * ply.outline.area
        holds = max(0.0, float(ply.thickness) * density - cloth.areal_mass.value)
        if on_it > holds:
            parts.append((on_it - holds, ply.outline))
        elif on_it < 0.95 * holds:
            dry.append(cloth.name)
    if dry:
        names = " and ".join(sorted(set(dry)))
        made.notes.append(f"{names}: the resin laid on is less than the cured ply of the data holds")
    if not parts:
        return
    kinetics = resin.kinetics
    lies = next((x.outline for x in laid.bag.layers if x.use == BLEEDER and x.outline is not None), None)
    made.bled = Bled(
        resin.name,
        tuple(parts),
        resin.density.value,
        kinetics.heat if kinetics is not None and kinetics.heat is not None else 0.0,
        law_of(kinetics) if kinetics is not None and kinetics.heat is not None else None,
        lies if lies is not None else laid.opening(),
        laid_on,
    )


def _curing(made: Gathered, layer: str, rows: list[tuple[float, Outline, Kinetics, str]]) -> None:
    """One law for a layer: that of most heat; the others' heat goes with it."""
    totals: dict[str, float] = {}
    for heat, outline, _, name in rows:
        totals[name] = totals.get(name, 0.0) + heat * outline.area
    first = max(totals, key=lambda n: (totals[n], n))
    kinetics = next(k for _, _, k, n in rows if n == first)
    if len(totals) > 1:
        made.notes.append(f"{' and '.join(sorted(totals))} cure in one layer: both are taken as {first}")
    made.curing.append(
        Curing(layer, first, tuple((heat, o) for heat, o, _, _ in rows), law_of(kinetics), glass_of(kinetics))
    )


def _resin_of(laid: Laid, ply: Ply) -> tuple[Kinetics | None, str]:
    cloth = laid.case.catalogue.cloth(ply.cloth)
    if cloth.prepreg:
        return cloth.kinetics, cloth.name
    system = laid.case.document.data.resin.system
    if system is None or system.value not in laid.case.catalogue:
        return None, "the resin"
    resin = laid.case.catalogue.resin(system.value)
    return resin.kinetics, resin.name


def _film(
    made: Gathered, laid: Laid, ply: Ply, parts: dict[str, list[tuple[float, Outline, Kinetics, str]]]
) -> None:
    """Film adhesive: a layer of its own with the heat constants of a plain epoxy film."""
    adhesive = laid.case.catalogue.adhesive(ply.cloth)
    thickness = adhesive.thickness.value if adhesive.thickness is not None else 1.3e-4
    outline = ply.outline
    made.sheets.append(Sheet("bond line", adhesive.id, thickness, *EPOXY, outline=outline))
    k = adhesive.kinetics
    if k is None or k.heat is None or adhesive.areal_mass is None:
        made.notes.append(
            f"no heat of cure for {adhesive.name}: its own heat is not counted, its degree not predicted"
        )
        return
    parts.setdefault("bond line", []).append((adhesive.areal_mass.value * k.heat, outline, k, adhesive.name))


EPOXY = (
    0.2,
    0.2,
    1.3e6,
)  # W/(m K), W/(m K), J/(m3 K) of unfilled epoxy, from memory; 0.2 mm of it hardly matter


POTTING = {"potting", "core"}  # what an operation may call the part that fills the cells
POTTED = (
    0.2,
    0.2,
    0.2,
    1.3e6,
)  # the same along, across, through, and its heat capacity: unfilled epoxy, from memory


def _skins(made: Gathered, laid: Laid) -> None:
    g = laid.case.geometry
    cut_through = laid.case.document.damage.depth not in ("surface", "plies")
    repaired = {s.side for s in laid.plies.sides}
    sides: tuple[tuple[Side, tuple[Layer, ...]], ...] = (
        ("outside", g.outer),
        ("inside", tuple(reversed(g.inner))),
    )
    for side, layers in sides:
        name = "near skin" if side == laid.near else "far skin"
        cut = len(layers) if cut_through else laid.cutout.plies_cut
        opening = next((s.cutout for s in laid.plies.sides if s.side == side), None)
        tapered = _tapered(laid, cut) if side == laid.near and side in repaired else ()
        for n, layer in enumerate(layers):
            hole = tapered[n] if n < len(tapered) else opening
            gone = _here(laid, hole, side) if side in repaired and n < cut else None
            _ply(made, laid, layer.cloth, layer.thickness, name, without=gone)
        if tapered:
            made.notes.append("the scarf is taken in steps: each skin ply ends where the ply over it does")
        if name == "far skin" and side in repaired:
            _far_patch(made, laid, side, layers)


def _tapered(laid: Laid, cut: int) -> tuple[Outline, ...]:
    """Where the taper of a scarf takes each skin ply away, the outermost first; empty for no scarf.

    A repair ply ends at the outer rim of the band of the skin ply it replaces; with another number of repair
    plies than skin plies the nearest one by depth counts.
    """
    if laid.plies.scheme != "scarf":
        return ()
    own = [p for s in laid.plies.sides if s.side == laid.near for p in s.plies if p.role == "repair"]
    rims = sorted((p.outline for p in own), key=lambda o: -o.area)
    return tuple(rims[min(len(rims) - 1, n * len(rims) // cut)] for n in range(cut)) if rims else ()


def _far_patch(made: Gathered, laid: Laid, side: Side, layers: tuple[Layer, ...]) -> None:
    """The other skin of a repair through both: taken as closed with its own thickness in the opening."""
    opening = _here(laid, next(s.cutout for s in laid.plies.sides if s.side == side), side)
    for layer in layers:
        _ply(made, laid, layer.cloth, layer.thickness, "far skin", outline=opening)
    made.notes.append(f"the {side} skin is taken as closed while this side cures")


def _here(laid: Laid, outline: Outline | None, side: Side) -> Outline | None:
    """An outline of a skin's face as it is developed on the heated one."""
    return None if outline is None else outline_on(laid.case, outline, side, laid.near)


def _core(made: Gathered, laid: Laid) -> None:
    case, g = laid.case, laid.case.geometry
    found = _core_values(made, laid, case.document.panel.core.material)
    if found is None:
        return
    band = case.document.panel.edge_band
    inner = offset(g.outline, -band) if band else []
    edge = _here(laid, max(inner, key=lambda o: o.area), "outside") if inner else None
    plug = laid.core.plug
    other: PlugSheet | None = None
    if plug is not None and plug.material != case.document.panel.core.material:
        own = _core_values(made, laid, plug.material)
        if own is None:
            return
        other = PlugSheet(_here(laid, plug.opening, "outside") or plug.opening, *own, float(plug.ribbon))
    made.core = CoreSheet(
        g.core_thickness,
        *found,
        g.ribbon,
        tuple(outline_on(case, a.outline, "outside", laid.near) for a in g.solid),
        edge,
        other,
    )


def _core_values(made: Gathered, laid: Laid, ident: str) -> tuple[float, float, float, float] | None:
    """Conductivities along and across the ribbon and through, and heat, of a core material."""
    core = laid.case.catalogue.core(ident)
    t = core.thermal or Thermal()
    found = _given(
        made,
        {
            "conductivity across the ribbon": t.k_in_plane,
            "conductivity through it": t.k_through,
            "specific heat": t.specific_heat,
        },
        core.name,
        f"materials.core {core.id}, thermal",
        "the core's supplier or a test report",
    )
    if found is None:
        return None
    across, through, specific = found
    along = across
    if core.fibre != "foam":
        walls = WALLS[core.fibre]
        along = along_ribbon(across, core.cell_size.value, walls, WARM)
    return along, across, through, core.density.value * specific


# emissivity of cell walls by what they are made of, from memory
WALLS = {"aramid": 0.9, "glass": 0.9, "aluminium": 0.1}
WARM = 350.0  # K: mean of a core in a cure, where its share of air and radiation is taken


def _floor(made: Gathered, laid: Laid) -> None:
    """Adhesive between plug and far skin, in the operation that sets the plug."""
    if laid.core.action != "replace" or laid.core.plug is None or "core" not in laid.bag.lays:
        return
    name = laid.core.floor_adhesive
    if not name or name not in laid.case.catalogue:
        return
    adhesive = laid.case.catalogue.adhesive(name)
    if adhesive.thickness is None:
        made.notes.append(f"no bond line thickness for {adhesive.name}: the floor's own heat is not counted")
        return
    outline, thickness = laid.core.plug.opening, adhesive.thickness.value
    made.sheets.append(Sheet("floor", adhesive.id, thickness, *EPOXY, outline=outline))
    k = adhesive.kinetics
    density = adhesive.density.value if adhesive.density is not None else None
    if k is None or k.heat is None or density is None:
        made.notes.append(
            f"no heat of cure for {adhesive.name}: its own heat is not counted, its degree not predicted"
        )
        return
    resin = density / (1.0 + (adhesive.filler.value if adhesive.filler is not None else 0.0))
    _curing(made, "floor", [(thickness * resin * k.heat, outline, k, adhesive.name)])
