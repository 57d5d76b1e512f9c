"""Choosing the blanket of an operation from those in the bay."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.document.bay import Blanket
from panelmend.job.bag.formulas import heated_size
from panelmend.job.ground import Ground


@dataclass(frozen=True)
class Chosen:
    """The blanket, which way it lies, and its outer size along and across the opening."""

    blanket: Blanket | None
    turned: bool
    length: Figure
    width: Figure
    enough: bool


def choose(ground: Ground, key: str, needed_length: Figure, needed_width: Figure) -> Chosen:
    """The smallest blanket whose heated area covers what is needed, or the planner's own choice."""
    wanted = ground.case.document.choice.blanket
    options = []
    for i, blanket in enumerate(ground.case.document.bay.blanket):
        if wanted and blanket.id != wanted:
            continue
        for turned in (False, True):
            long, wide = (blanket.width, blanket.length) if turned else (blanket.length, blanket.width)
            fits = (
                long - 2 * blanket.border >= float(needed_length) - 1e-9
                and wide - 2 * blanket.border >= float(needed_width) - 1e-9
            )
            options.append((not fits, blanket.length * blanket.width, turned, i, blanket))
    fitting = [o for o in options if not o[0]]
    if not fitting and not wanted:
        return Chosen(None, False, needed_length, needed_width, False)
    if not options:
        return Chosen(None, False, needed_length, needed_width, False)
    best = min(fitting or options, key=lambda o: o[:4])
    _, _, turned, i, blanket = best
    path = f"bay.blanket[{i + 1}]"
    first, second = ("width", "length") if turned else ("length", "width")
    sizes = {
        n: ground.typed(f"blanket.{blanket.id}.{n}", getattr(blanket, n), "length", path=f"{path}.{n}")
        for n in ("length", "width")
    }
    if blanket.border:
        border = ground.typed(f"blanket.{blanket.id}.border", blanket.border, "length", path=f"{path}.border")
        for n in ("length", "width"):
            ground.ledger.derive(f"{key}.heated_{n}", heated_size, size=sizes[n], border=border)
    return Chosen(blanket, turned, sizes[first], sizes[second], bool(fitting))
