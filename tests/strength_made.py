"""Made repairs for the strength report: the examples with strengths, loads and missing values drawn."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from random import Random
from typing import Any
from unittest.mock import patch

from examples_here import case_from, names, text
from panelmend import keeping
from panelmend.job.strength import levels, opened, tips
from panelmend.job.strength.as_laid import AsLaid
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import StrengthStudy, study_strength
from panelmend.render.strength_report import strength_data

STRENGTH = re.compile(
    r"\b(xt|xc|yt|yc|s|peel_strength|flatwise_strength|flatwise_hot_wet|s_ribbon|s_across|crush_strength)"
    r' = "([0-9.]+) (MPa|kPa)"'
)
LOADED = """
[[data.strength.case]]
name = "gust"
nx = "30 N/mm"
nxy = "-12 N/mm"
pressure = "4 kPa"
place = "made"
"""
DROPPED = ("peel_strength", "flatwise_hot_wet", "plastic_strain", "crush_strength", "s_across")


def lay_of(document: str, condition: str = "room") -> AsLaid:
    """The repair of a document as it was laid."""
    plan = make_plan(case_from(document))
    assert plan.work is not None
    return AsLaid(plan.case, plan.work.cutout, plan.work.plies, plan.work.core, condition)


@contextmanager
def coarse(fine: tuple[int, int] = (6, 8)) -> Iterator[None]:
    """Plate and beams on grids that take no time: figures are rough, what is done with them is the same."""
    with (
        patch.object(levels, "REPAIR_CELLS", fine),
        patch.object(sys.modules["panelmend.job.strength.make"], "REPAIR_CELLS", fine),
        patch.object(levels, "REPAIR_CELLS_ONCE_MORE", fine[1] + 2),
        patch.object(levels, "SOUND_PANEL_CELLS", 8),
        patch.object(opened, "EDGE_CELLS", (2, 3)),
        patch.object(opened, "FURTHER", ()),
        patch.object(tips, "STEP_CELLS", (8, 12)),
        patch.dict(os.environ, {keeping.FOLDER: ""}),  # rough figures are kept for nobody
    ):
        yield


def rough(document: str, fine: tuple[int, int] = (6, 8), *, changes: bool = True) -> StrengthStudy:
    """A study on coarse grids; ``changes`` false leaves out what would change it, half of the work."""
    with coarse(fine), ExitStack() as stack:
        if not changes:
            stack.enter_context(changes_left_out())
        return study_strength(make_plan(case_from(document)))


@contextmanager
def changes_left_out() -> Iterator[None]:
    """Studies without what would change them, half of their work."""
    with patch.object(sys.modules["panelmend.job.strength.make"], "bond_changes", _none):
        yield


def _none(*_: object) -> tuple[()]:
    return ()


def drawn(seed: int) -> str:
    """A document, the same for the same seed."""
    dice = Random(seed)
    made = text(dice.choice([n for n in names() if text(n).count("peel_strength")]))
    made = STRENGTH.sub(
        lambda m: f'{m[1]} = "{float(m[2]) * dice.lognormvariate(0.0, 0.8):.4g} {m[3]}"', made
    )
    for field in DROPPED:
        if dice.random() < 0.2:
            made = re.sub(rf"^{field} = .*\n", "", made, flags=re.MULTILINE)
    if dice.random() < 0.4:
        shear = 'shear_modulus = "600 MPa"\n'
        made = made.replace(shear, f'{shear}peel_modulus = "2.5 GPa"\n')
    if "[[data.strength.case]]" not in made and dice.random() < 0.6:
        for number in range(dice.randrange(1, 3)):
            loads = {k: dice.uniform(-60.0, 60.0) for k in ("nx", "ny", "nxy")}
            lines = "".join(f'{k} = "{v:.1f} N/mm"\n' for k, v in loads.items())
            press = f'pressure = "{dice.uniform(0.5, 8.0):.2f} kPa"\n' if dice.random() < 0.5 else ""
            made += f'\n[[data.strength.case]]\nname = "case {number}"\n{lines}{press}place = "made"\n'
    return made


def printed(data: dict[str, Any]) -> list[float]:
    """Every figure compared with 1 that the report's tables print, read back from what is printed."""
    parts = [b["reserve"] for b in data["bonds"]]
    parts += [t[k][1] for t in data["tips"] for k in ("peel", "pull")]
    parts += [m[k]["value"] for m in data["modes"] for k in ("repaired", "sound")]
    parts += [o["ratio"] for o in data["own"]]
    return [float(p["text"]) for p in parts if p]


def headline(made: StrengthStudy) -> tuple[float, list[float]]:
    """The figure at the top of the report and every one in its tables."""
    data = strength_data(made)
    return float(data["least"][0]["value"]["text"]), printed(data)
