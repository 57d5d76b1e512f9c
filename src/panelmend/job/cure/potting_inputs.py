"""Constants of a potting that fills the cells through the core."""

from __future__ import annotations

from dataclasses import replace

from panelmend.job.cure.gathered import EPOXY, UNFILLED_EPOXY_DENSITY, Gathered, Laid, curing, given, on_face
from panelmend.job.cure.problem import PlugSheet

LEAST_CORE_UNDER_POTTING = 5e-4  # m of core under a potting; less is none
POTTING = {"potting", "core"}  # what an operation may call the part that fills the cells


def potting(made: Gathered, laid: Laid) -> None:
    """A potting fills the cells through the core, or to its depth from the heated face: heat of cure all
    through it."""
    hole = laid.core.potting_outline
    if laid.core.action != "pot" or hole is None or made.core is None:
        return
    name, here = laid.core.adhesive, bool(POTTING & set(laid.bag.lays))
    if not here and not any(part in POTTING for part, _ in laid.before):
        return  # not there yet: the cells are open
    where = f"materials.adhesive {name}" if name else "data.core.adhesive"
    stuff = laid.case.catalogue.adhesive(name) if name and name in laid.case.catalogue else None
    deep = min(float(laid.cutout.core_depth), made.core.thickness)
    within = deep < made.core.thickness - LEAST_CORE_UNDER_POTTING
    if within and laid.core.side != laid.near:
        if here:
            made.lacks(
                "the heat of a potting that ends within the core and is heated from its other face",
                f"data.cure {laid.cure.name}, lays",
                "ask the compound's supplier how hot a potting of this size and depth gets",
            )
        else:
            made.notes.append("the potting ends within the core, on its other face: it is taken as core")
        return
    deep = deep if within else made.core.thickness
    outline = on_face(laid, hole, laid.core.side) or hole
    density = (
        stuff.density.value if stuff is not None and stuff.density is not None else UNFILLED_EPOXY_DENSITY
    )
    # hollow filler takes from both alike; mineral filler conducts better, which is not counted on
    k, heat = (
        EPOXY[0] * min(1.0, density / UNFILLED_EPOXY_DENSITY),
        EPOXY[2] * density / UNFILLED_EPOXY_DENSITY,
    )
    made.core = replace(made.core, plug=PlugSheet(outline, k, k, k, heat, 0.0, deep if within else None))
    if not here:
        return
    made.notes.append(
        "no constants of heat are given for the potting: by its density beside that of plain epoxy it "
        "conducts less and stores less; values from memory, its conductivity is among the unknowns"
    )
    found = given(
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
    curing(made, "core", [(deep * resin * found[1], outline, stuff.kinetics, stuff.name)])
