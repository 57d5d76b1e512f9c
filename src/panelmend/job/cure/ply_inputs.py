"""Constants of the plies that are laid, of film adhesive and of both skins; the resin that bleeds."""

from __future__ import annotations

from panelmend.document.panel import Side
from panelmend.job.case import Layer
from panelmend.job.cure.gathered import BLEEDER, EPOXY, Gathered, Laid, curing, given, on_face
from panelmend.job.cure.problem import Bled, Sheet
from panelmend.job.defaults import FILM_THICKNESS
from panelmend.job.openings import rim_of
from panelmend.job.plies.part import Ply
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Kinetics, Thermal
from panelmend.shapes import Outline


def ply_sheet(
    made: Gathered, laid: Laid, cloth_id: str, thickness: float, layer: str, **where: Outline | None
) -> None:
    """A cured ply as a sheet of its thickness [m]; what the cloth lacks is noted."""
    cloth = laid.case.catalogue.cloth(cloth_id)
    t = cloth.thermal or Thermal()
    found = given(
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


def patch(made: Gathered, laid: Laid) -> None:
    """Plies that are laid now with the heat of their resin [J/m2], and those that lie there already."""
    parts: dict[str, list[tuple[float, Outline, Kinetics, str]]] = {}
    for ply in laid.own():
        if ply.role == "film adhesive":
            _film(made, laid, ply, parts)
            continue
        ply_sheet(made, laid, ply.cloth, float(ply.thickness), "patch", outline=ply.outline)
        kinetics, name = _resin_of(laid, ply)
        if kinetics is None or kinetics.heat is None:
            made.without_heat(name)
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
        curing(made, layer, rows)
    for ply in laid.earlier():
        ply_sheet(
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
    brushed = _brushed(laid)
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
    if brushed is not None:
        parts.append(brushed)
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


def _brushed(laid: Laid) -> tuple[float, Outline] | None:
    """Resin brushed on before the first ply [kg/m2], under the largest: it comes on top of what the plies are
    laid with. Under a cap whose rim lies on tape it ends at the opening, as the card and the kit have it."""
    own = [p for p in laid.own() if p.role != "film adhesive"]
    own = [p for p in own if p.role != "cap"] or own
    if laid.coat <= 0.0 or not own:
        return None
    if rim_of(laid.bag, laid.core) is not None:
        return laid.coat, laid.cutout.opening.outline
    return laid.coat, max((p.outline for p in own), key=lambda o: o.area)


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
    thickness = adhesive.thickness.value if adhesive.thickness is not None else FILM_THICKNESS
    outline = ply.outline
    made.sheets.append(Sheet("bond line", adhesive.id, thickness, *EPOXY, outline=outline))
    k = adhesive.kinetics
    if k is None or k.heat is None or adhesive.areal_mass is None:
        made.without_heat(adhesive.name)
        return
    parts.setdefault("bond line", []).append((adhesive.areal_mass.value * k.heat, outline, k, adhesive.name))


def add_skins(made: Gathered, laid: Laid) -> None:
    """Both skins ply by ply, each with the hole that is cut in it."""
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
            gone = on_face(laid, hole, side) if side in repaired and n < cut else None
            ply_sheet(made, laid, layer.cloth, layer.thickness, name, without=gone)
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
    opening = on_face(laid, next(s.cutout for s in laid.plies.sides if s.side == side), side)
    for layer in layers:
        ply_sheet(made, laid, layer.cloth, layer.thickness, "far skin", outline=opening)
    made.notes.append(f"the {side} skin is taken as closed while this side cures")
