"""What a repair has at hand beside its materials: what the cautions ask one to wear, and what the steps name.

Common practice, no source, but for the clothing: US Army TM 1-1500-204-23-11 table 2-1 (s.032).
"""

from __future__ import annotations

from panelmend.job.bag.part import BagPart
from panelmend.job.basis import Basis
from panelmend.job.core.part import CorePart
from panelmend.job.kit import formulas as f
from panelmend.job.kit.drying import is_dried
from panelmend.job.kit.part import Group, KitLine
from panelmend.job.openings import empty_when_tried, over_the_hole

HEATED = ("blanket", "oven")


def at_hand(basis: Basis, bags: BagPart, core: CorePart, *, wet: bool) -> tuple[KitLine, ...]:
    """Clothing, tools and rescue that cautions and steps ask for, by what this repair does.

    ``wet``: resin or adhesive is mixed.
    """
    document = basis.case.document
    cored = core.action != "none"
    holes = any(
        over_the_hole(b, bags.operations, core)
        or (b.cure.heated_by in HEATED and empty_when_tried(b, bags.operations, core))
        for b in bags.operations
    )
    bagged = any(b.bagged for b in bags.operations)
    hosed = any(b.bagged for b in bags.operations if b.cure.heated_by == "oven")
    ovens = any(b.cure.heated_by == "oven" for b in bags.operations)
    heated = is_dried(basis) or any(b.cure.heated_by in HEATED for b in bags.operations)
    pads = any(x.use in ("pressure pad", "pressure aid") for b in bags.operations for x in b.all_layers)
    meters = any(i.kind == "moisture meter" for i in document.bay.instrument)
    rows: tuple[tuple[bool, Group, str, str, int], ...] = (
        (wet, "protection", "Face shield", "resin and adhesive", 1),
        (wet, "protection", "Apron and sleeves", "resin and adhesive", 1),
        (True, "protection", "Cut-resistant gloves", "cutting", 1),
        (heated, "protection", "Heat-proof gloves", "blanket, panel and tools while hot", 1),
        (True, "protection", "Supplied-air respirator", "paint that holds isocyanate", 1),
        (True, "protection", "Extinguisher and eyewash, within reach", "all work", 1),
        (True, "tools", "Closed metal bin", "wipes with solvent", 1),
        (wet, "tools", "Metal tray", "left-over resin, spread thin", 1),
        (True, "tools", "Router with depth stop, or hand cutter, with extraction", "cutting the skin", 1),
        (cored, "tools", "Core knife, or router with template", "taking out core", 1),
        (True, "tools", "Sanding block, vacuum cleaner with a brush", "high spots, dust", 1),
        (True, "tools", "Shears and wheel cutter", "cutting cloth and films", 1),
        (True, "tools", "Warm-air blower", "once no solvent is wet any more", 1),
        (True, "tools", "Clean film without wax or oil", "covering what is bare and clean", 1),
        (True, "tools", "Grounding lead", "part and metal tools", 1),
        (pads, "tools", "PTFE film", "wrapping pads", 1),
        (
            bagged,
            "bagging",
            "Flash-breaker tape, for the heat of the cure",
            "inside the bags, thermocouples",
            1,
        ),
        (
            holes,
            "equipment",
            "Filling for the hole, in release film",
            "level with the skin, as the data says",
            1,
        ),
        (
            ovens,
            "equipment",
            "Hoses and thermocouple leads for the port" if hosed else "Thermocouple leads for the port",
            "cure in the oven",
            1,
        ),
        (ovens, "equipment", "Support that stands the oven's heat", "cure in the oven", 1),
        (not meters, "instruments", "moisture meter or indicator", "number and due day written down", 1),
        (document.panel.hinge is not None, "instruments", "scales for the part", "weight and moment", 1),
    )
    found = []
    for needed, group, name, purpose, count in rows:
        if needed:
            amount = basis.ledger.typed(f"kit.count.{name}", count, source=f.USUAL)
            found.append(KitLine(group, "", name, purpose, amount, (), None, True, ""))
    return tuple(found)
