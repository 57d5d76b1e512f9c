"""Peel at the patch's tip and the pull on the skin-to-core bond beneath it, in every strip."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from panelmend.derive import Figure, Ledger, Source, formula
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.strength.as_laid import LAID, AsLaid
from panelmend.job.strength.bonds import across_taken, bond_adhesive
from panelmend.job.strength.levels import SETTLED_ERROR
from panelmend.job.strength.part import BondRow, TipRow
from panelmend.job.strength.solved import solved
from panelmend.job.strength.stacks import BondThing
from panelmend.job.strength.suction import flatwise, with_suction
from panelmend.physics.joint import Bond, TipAnswer, peel_on_core, solve_bond
from panelmend.physics.structure_inputs import NotComputed

JOINT = Source("docs/method/joint.md", "peel on a core")
TIP_LOAD = 1e5  # N/m: the answer grows with the load
STEP_CELLS = (30, 60)  # of every step: a peak that moves between them is not resolved


@lru_cache(maxsize=1024)  # a study asks 150 to 300; the next one of the same bonds asks them again
def _unit(bond: BondThing, lever: bool, cells: int) -> tuple[TipAnswer, ...]:
    """The bond's tip under a load of TIP_LOAD, elastic, without heat; once for each stiffness of the plug."""
    answers: tuple[TipAnswer, ...] = solved(_tip, bond, lever, cells)
    return answers


def _tip(bond: BondThing, lever: bool, cells: int) -> tuple[TipAnswer, ...]:
    assert bond.core is not None, "asked for by lacks"
    answers = []
    for plug in bond.plugs or (None,):
        found = peel_on_core(
            bond.bond, TIP_LOAD, bond.straps, bond.skins, bond.core, plug, lever=lever, cells=cells
        )
        assert not isinstance(found, NotComputed), "the adhesive has a modulus across"
        answers.append(found)
    return tuple(answers)


def _most_peel(bond: BondThing, cells: int) -> float:
    """Largest peel under a load of TIP_LOAD [Pa].

    At the feather edges of a scarf the couple of the layer's thickness acts within about one thickness.
    Inside a scarf the shear at each point therefore comes on top of what the beams pull apart: the safe side.
    """
    answers = _unit(bond, False, cells)
    if not bond.scarf:
        return max(a.most_peel for a in answers)
    elastic = Bond(bond.bond.steps, bond.bond.adhesive.elastic(), bond.bond.faces)
    cold = BondThing(elastic, bond.names, bond.through)
    line = solve_bond(elastic, cold.ends(TIP_LOAD)[0], cells=4 * cells)
    before = elastic.steps[0].length if bond.through else 0.0
    end = before + elastic.steps[1 if bond.through else 0].length
    most = 0.0
    for a in answers:
        inside = (a.x > before - 1e-12) & (a.x < end + 1e-12)
        shear = np.interp(a.x, line.x, np.abs(line.tau))
        most = max(most, float((np.abs(a.peel) + np.where(inside, shear, 0.0)).max()))
    return most


@formula("largest peel of an elastic adhesive, patch and skin as beams", source=JOINT, kind="stiffness")
def tip_peel(bond: BondThing, load: float) -> float:
    """Largest peel stress along a bond, the load either way.

    bond: the steps and the adhesive [bond]
    load: running load of the whole skin [N/m]
    return: stress [Pa]
    """
    return _most_peel(bond, STEP_CELLS[-1]) * abs(load) / TIP_LOAD


@formula("largest pull of the skin on its core, patch and skin as beams", source=JOINT, kind="stiffness")
def tip_pull(bond: BondThing, load: float) -> float:
    """Largest flatwise stress between skin and core under the bond, or between patch and plug.

    bond: the steps and the adhesive [bond]
    load: running load of the whole skin, either way [N/m]
    return: stress [Pa]
    """
    return max(a.most_pull for a in _unit(bond, True, STEP_CELLS[-1])) * abs(load) / TIP_LOAD


@formula("strength / stress", source=Source("ratio of the two figures"), kind="ratio")
def strength_over(strength: float, stress: float) -> float:
    """Reserve of a strength on a stress.

    strength: of the bond [Pa]
    stress: in it [Pa]
    return: reserve factor [1]
    """
    return strength / stress


def tip_reserve(
    basis: Basis, lay: AsLaid, side: Side, bond: BondRow, made: BondThing, suction: float = 0.0
) -> TipRow:
    """Peel and pull of one bond under its load, with their reserves where the strengths are known.

    ``suction`` [Pa] on the skin outside comes on top of both.
    """
    blank = TipRow(side, bond.direction, lay.condition, None, None, None, None, "", "")
    if bond.load is None:
        return blank
    if made.core is None or not (made.through or made.plugs):
        words = "the core or the plug has no modulus through the thickness (e_through)"
        return TipRow(side, bond.direction, lay.condition, None, None, None, None, words, words)
    ledger = basis.ledger
    key = f"strength.tip.{side}.{bond.direction}.{lay.condition}"
    thing = ledger[f"strength.bond.{side}.{bond.direction}.{lay.condition}.steps"]
    peel = ledger.derive(f"{key}.peel", tip_peel, bond=thing, load=bond.load)
    before = _most_peel(made, STEP_CELLS[0]) * abs(float(bond.load)) / TIP_LOAD + suction
    peel = _suction(ledger, f"{key}.peel", peel, suction)
    glue = bond_adhesive(lay)
    assert not isinstance(glue, NotComputed), "the bond was made"
    peel_reserve, no_peel = _reserve(
        ledger, f"{key}.peel", glue.peel, peel, f"{glue.name} has no peel_strength"
    )
    pull = ledger.derive(f"{key}.pull", tip_pull, bond=thing, load=bond.load)
    pull = _suction(ledger, f"{key}.pull", pull, suction)
    strength = flatwise(lay, glue.name)
    known, lacks = (None, strength.reason) if isinstance(strength, NotComputed) else (strength, "")
    pull_reserve, no_pull = _reserve(ledger, f"{key}.pull", known, pull, lacks)
    return TipRow(
        side,
        bond.direction,
        lay.condition,
        peel,
        pull,
        peel_reserve,
        pull_reserve,
        no_peel,
        no_pull,
        across_taken(lay),
        before,
        settled_peel(before, float(peel)),
        suction > 0.0,
    )


def _suction(ledger: Ledger, key: str, stress: Figure, suction: float) -> Figure:
    if not suction:
        return stress
    name = "strength.suction"
    most = (
        ledger[name] if name in ledger else ledger.add(Figure(name, suction, "pressure", Origin.TYPED, LAID))
    )
    return ledger.derive(f"{key}.suction", with_suction, stress=stress, suction=most)


def settled_peel(before: float, peel: float) -> bool:
    """Whether a peak [Pa] has moved little since the mesh before [Pa]."""
    return abs(before / peel - 1.0) <= SETTLED_ERROR if peel else True


def _reserve(
    ledger: Ledger, key: str, strength: float | None, stress: Figure, lacks: str
) -> tuple[Figure | None, str]:
    if strength is None:
        return None, lacks
    known = ledger.add(Figure(f"{key}.strength", strength, "stiffness", Origin.TABLE, LAID))
    return ledger.derive(f"{key}.reserve", strength_over, strength=known, stress=stress), ""
