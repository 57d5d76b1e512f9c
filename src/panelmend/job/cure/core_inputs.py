"""Constants of the core, of a plug in it and of the adhesive under it."""

from __future__ import annotations

from typing import assert_never

from panelmend.job.cure.gathered import EPOXY, UNFILLED_EPOXY_DENSITY, Gathered, Laid, curing, given, on_face
from panelmend.job.cure.problem import CoreSheet, PlugSheet, Sheet, Splice
from panelmend.job.curvature import outline_on
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Thermal
from panelmend.physics.core_conductivity import conductivity_along_ribbon, warmer
from panelmend.shapes import offset


def core(made: Gathered, laid: Laid) -> None:
    """The core with its ribbon [rad], where it is solid, and a plug of another kind in it."""
    case, g = laid.case, laid.case.geometry
    found = _core_values(made, laid, case.document.panel.core.material)
    if found is None:
        return
    band = case.document.panel.edge_band
    inner = offset(g.outline, -band) if band else []
    edge = on_face(laid, max(inner, key=lambda o: o.area), "outside") if inner else None
    plug = laid.core.plug
    other: PlugSheet | None = None
    if plug is not None and plug.material != case.document.panel.core.material:
        own = _core_values(made, laid, plug.material)
        if own is None:
            return
        other = PlugSheet(on_face(laid, plug.opening, "outside") or plug.opening, *own, float(plug.ribbon))
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
    found = given(
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
        along = conductivity_along_ribbon(across, core.cell_size.value, walls, MEAN_CORE_TEMPERATURE)
    return along, across, through, core.density.value * specific


# emissivity of cell walls by what they are made of, from memory
WALLS = {"aramid": 0.9, "glass": 0.9, "aluminium": 0.1}
MEAN_CORE_TEMPERATURE = 350.0  # K: mean of a core in a cure, where its share of air and radiation is taken


DATA_SHEET = 297.0  # K: mean at which conductivities are usually measured; common practice, no source
CORE_MIDDLE_LAG = 0.25  # of its rise that a core's middle stays below the set point of one blanket; no source


def warmed(laid: Laid, core: CoreSheet | None, air: float, both: bool) -> float:
    """Times what its data sheet says that the core conducts through its thickness at the heat of a cure.

    Args:
        laid: the operation.
        core: its core; None for none.
        air: of the bay [K].
        both: whether a blanket lies on each face.

    Returns:
        [1]; 1 for foam, whose cells are too small for it.
    """
    if core is None:
        return 1.0
    material = laid.case.catalogue.core(laid.case.document.panel.core.material)
    if material.fibre == "foam":
        return 1.0
    hottest = max(s.to for s in laid.cure.segment)
    return warmer(
        core.k_through,
        thickness=core.thickness,
        cell=material.cell_size.value,
        emissivity=WALLS[material.fibre],
        cold=DATA_SHEET,
        warm=max(DATA_SHEET, hottest - (0.0 if both else CORE_MIDDLE_LAG * (hottest - air))),
    )


def splice(made: Gathered, laid: Laid) -> None:
    """Paste round a plug where it is set: a wall of it through the core, which warms itself."""
    plug, name = laid.core.plug, laid.core.adhesive
    if laid.core.action != "replace" or plug is None or "core" not in laid.bag.lays or made.core is None:
        return
    if not name or name not in laid.case.catalogue:
        return
    paste, catalogue = laid.case.catalogue.adhesive(name), laid.case.catalogue
    match paste.form:
        case "paste":
            pass
        case "film":
            return
        case _:
            assert_never(paste.form)
    if float(plug.gap) <= 0.0:
        return
    density = paste.density.value if paste.density is not None else None
    if paste.kinetics is None or paste.kinetics.heat is None or density is None:
        made.notes.append(
            f"no density or heat of cure for {paste.name}: how hot it gets round the plug by itself is not "
            "predicted; a thick bead of it can burn"
        )
        return
    cells = [catalogue.core(m) for m in (plug.material, laid.case.document.panel.core.material)]
    open_cells = [c.cell_size.value for c in cells if c.fibre != "foam"]
    resin = density / (1.0 + (paste.filler.value if paste.filler is not None else 0.0))
    made.splice = Splice(
        paste.name,
        on_face(laid, plug.opening, laid.core.side) or plug.opening,
        float(plug.gap),
        sum(open_cells) / 2.0,
        min(float(laid.cutout.core_depth), made.core.thickness),
        resin * paste.kinetics.heat,
        EPOXY[2] * density / UNFILLED_EPOXY_DENSITY,
        EPOXY[0] * min(1.0, density / UNFILLED_EPOXY_DENSITY),
        law_of(paste.kinetics),
    )


def floor(made: Gathered, laid: Laid) -> None:
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
        made.without_heat(adhesive.name)
        return
    resin = density / (1.0 + (adhesive.filler.value if adhesive.filler is not None else 0.0))
    curing(made, "floor", [(thickness * resin * k.heat, outline, k, adhesive.name)])
