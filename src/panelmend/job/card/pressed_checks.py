"""Findings on cures that no bag holds: what presses, how hard, and whether the core stands it."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.errors import Finding, caution_code, stop_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.pressed import is_weighted, pressed_by
from panelmend.job.case import Case
from panelmend.job.work import Work
from panelmend.units import show

J596 = caution_code(
    "J596",
    "Nothing typed says what presses on a cure without a bag",
    "look it up in the approved data and type data.cure.pressed with its place: weights, clamps, contact or "
    "nothing; until then the step asks for it before anyone lays anything",
)
J597 = caution_code(
    "J597",
    "Weights or clamps press on a cure, but how hard is not typed",
    "look it up in the approved data and type data.cure.pressed.least; if the data gives none, the step has "
    "a line to write down what was used",
)
J598 = caution_code(
    "J598",
    "Nothing presses plies or a bond together while they cure",
    "check that the approved data intends this here: without pressure air stays in the lay-up, and bonds "
    "come out as thick as they happen to be",
)
J599 = stop_code(
    "J599",
    "What presses without a bag would crush the core",
    "check the unit of data.cure.pressed.least; ask the engineer: hot and wet, a core carries less than its "
    "sheet says",
)


def check_pressed(case: Case, work: Work) -> Iterator[Finding]:
    """What presses where no bag does."""
    for bag in work.bag.operations:
        if bag.bagged:
            continue
        place = f"data.cure[{case.document.data.cure.index(bag.cure) + 1}].pressed"
        pressed = bag.cure.pressed
        if pressed is None:
            if not (bag.cure.heated_by == "oven" and bag.on_panel):  # B017 stops that one
                yield J596(f"{bag.name}: not typed", place=place)
            continue
        if not is_weighted(bag):
            yield J598(f"{bag.name}: {', '.join(bag.lays)} {pressed_by(bag)} ({pressed.place})", place=place)
        elif pressed.least is None:
            yield J597(f"{bag.name}: {pressed_by(bag)} ({pressed.place})", place=place)
        else:
            yield from _crushed(case, bag, pressed.least, place)


def _crushed(case: Case, bag: BagOperation, least: float, place: str) -> Iterator[Finding]:
    """More than the panel's core holds flatwise [Pa], where its sheet gives that; a plate has no core."""
    core = case.catalogue.core(case.document.panel.core.material)
    if core.crush_strength is None or not bag.on_panel:
        return
    strength, factor = core.crush_strength.value, core.hot_wet_factor
    heated = bag.cure.heated_by != "room temperature" and factor is not None
    holds = strength * (factor.value if heated and factor is not None else 1.0)
    if least > holds * (1 + 1e-9):
        asked = show(least, "pressure", case.view, limit="least")
        most = show(holds, "pressure", case.view, limit="most")
        hot = ", hot and wet" if heated else ""
        yield J599(f"{bag.name}: {asked}, the core holds {most}{hot}", place=place)
