"""What nobody measures before a cure, and the range a prediction looks at: common practice, no source."""

from __future__ import annotations

from panelmend.document.bay import Bay
from panelmend.job.cure.problem import Rib, Unknown

_SHOP = "assumed for a closed shop; common practice, no source"


def unknowns_of(bay: Bay, ribs: tuple[Rib, ...]) -> tuple[Unknown, ...]:
    """The unknowns of a cure with their likely values and ranges."""
    film = bay.film_coefficient
    moving = f"{0.3:.0%} of the film coefficient that was measured" if film is not None else _SHOP
    over = (0.0, 0.0, 0.3 * film) if film is not None else (2.0, 0.0, 8.0)
    behind = (0.0, 0.0, 0.3 * film) if film is not None else (1.0, 0.0, 4.0)
    made = [
        Unknown("draught over", "moving air over the bag", *over, "W/(m2 K)", moving),
        Unknown("draught behind", "moving air on the far face", *behind, "W/(m2 K)", moving),
        Unknown("air", "bay air against its reading", 0.0, -3.0, 3.0, "K", _SHOP),
    ]
    if ribs:
        known = all(r.contact is not None for r in ribs)
        low, high = (0.7, 1.4) if known else (0.3, 3.0)
        ground = (
            "about the value given" if known else "riveted or bonded flange, 150 to 1,500 W/(m2 K); " + _SHOP
        )
        made.append(Unknown("rib contact", "contact to ribs and fittings", 1.0, low, high, "1", ground))
    made += [
        Unknown("core", "conductivity of the core", 1.0, 0.8, 1.25, "1", "scatter of data sheets; " + _SHOP),
        Unknown("bag stack", "conductance of bleeder and breather", 1.0, 0.7, 1.4, "1", _SHOP),
        Unknown("blanket output", "power of the blanket", 1.0, 0.92, 1.03, "1", "supply and wear; " + _SHOP),
        Unknown("blanket rim", "power missing along its rim of 1 in", 0.1, 0.0, 0.2, "1", _SHOP),
        Unknown("emissivity", "emissivity of bag and panel", 0.9, 0.8, 0.95, "1", "non-metals, from memory"),
    ]
    return tuple(made)
