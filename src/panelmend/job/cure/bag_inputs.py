"""Constants of what lies in the bag and of the blankets."""

from __future__ import annotations

from panelmend.document.bay import Blanket
from panelmend.document.model import HeatChoice
from panelmend.errors import MissingError
from panelmend.job.case import Case
from panelmend.job.cure.gathered import BLEEDER, Gathered, Laid, given
from panelmend.job.cure.problem import Sheet
from panelmend.materials.model import Bagging, Thermal
from panelmend.shapes import Outline

# Layers of a bag that hold heat back; films and peel ply are a tenth of a millimetre and are not counted.
UNDER = ("pressure aid", "pressure pad", "caul sheet", "lower breather", "breather collar", "edge breather")
OVER = ("breather",)
COUNTED = (*UNDER, BLEEDER, *OVER, "heat blanket")


def bag(made: Gathered, laid: Laid) -> None:
    """Layers of the bag that hold heat back, each a sheet of its thickness [m] and constants."""
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


def _bagging(made: Gathered, stuff: Bagging) -> tuple[float, float, float] | None:
    t = stuff.thermal or Thermal()
    found = given(
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


def add_blanket(made: Gathered, blanket: Blanket, layer: str, outline: Outline) -> None:
    """A heat blanket as a sheet: thickness [m], mass on its area [kg/m2] over it, conductivity [W/(m K)]."""
    found = given(
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


Insulation = tuple[float, float | None]  # its resistance [m2 K/W], and what it may see [K]


def insulations(case: Case, made: Gathered, chosen: HeatChoice | None) -> tuple[Insulation, Insulation]:
    """Chosen insulation over the bag and behind: resistance [m2 K/W] and what it may see [K]."""
    found, none = list[Insulation](), (0.0, None)
    for name in (chosen.insulation_over, chosen.insulation_behind) if chosen is not None else ():
        if not name:
            found.append(none)
            continue
        try:
            stuff = case.catalogue.bagging(name)
        except MissingError:
            made.lacks(f"insulation {name}", "materials.bagging", "name it under [[materials.bagging]]")
            found.append(none)
            continue
        if stuff.thickness is None or stuff.thermal is None or not stuff.thermal.k_through:
            made.lacks(
                f"thickness and conductivity of {stuff.name}",
                f"materials.bagging {name}",
                "its supplier's data sheet",
            )
            found.append(none)
        else:
            limit = stuff.limit_temperature
            found.append(
                (stuff.thickness.value / stuff.thermal.k_through, limit.value if limit is not None else None)
            )
    return (found[0], found[1]) if found else (none, none)
