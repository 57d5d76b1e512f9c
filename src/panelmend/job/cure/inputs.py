"""The constants a prediction needs, from document and catalogue; what nobody gave is listed, not guessed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from panelmend.document.bay import Blanket
from panelmend.job.cure import bag_inputs, core_inputs, ply_inputs, potting_inputs
from panelmend.job.cure.gathered import Gathered, Laid
from panelmend.job.cure.problem import HeatSource


def gather_stack(laid: Laid, blankets: Sequence[tuple[HeatSource, Blanket]]) -> Gathered:
    """Everything the stack of an operation is made of, from the bag down; the second blanket lies behind."""
    made = Gathered()
    bag_inputs.bag(made, laid)
    for (source, blanket), layer in zip(blankets, ("blanket", "blanket behind"), strict=False):
        bag_inputs.add_blanket(made, blanket, layer, source.outer)
    if len(blankets) > 1:
        over = laid.bag.behind.layers if laid.bag.behind is not None else ()
        own = next((x.outline for x in over if x.use == "breather"), None)
        made.sheets += [
            replace(s, layer="bag behind", outline=own or s.outline) for s in made.sheets if s.layer == "bag"
        ]
    ply_inputs.patch(made, laid)
    ply_inputs.add_skins(made, laid)
    core_inputs.core(made, laid)
    core_inputs.splice(made, laid)
    core_inputs.floor(made, laid)
    potting_inputs.potting(made, laid)
    plugged = laid.core.plug is not None and "core" in laid.bag.lays
    plugged = plugged or any(c.layer == "core" for c in made.curing)
    none = not plugged and not any(s.layer in ("patch", "bond line") for s in made.sheets)
    if none and laid.bag.bonds_cap:
        made.lacks(
            "a model of the heat in a cap bonded by itself, which is not predicted here",
            f"data.cure {laid.cure.name}, lays",
            "the engineer: a trial of this size with thermocouples under the cap, or the heat survey",
        )
    elif none and not made.missing:
        made.lacks(
            "what is bonded: nothing with a heat of its own is laid",
            f"data.cure {laid.cure.name}, lays",
            "name the plies or the core that this operation lays",
        )
    return made
