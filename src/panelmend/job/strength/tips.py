"""Peel at the patch's tip and the pull on the skin-to-core bond beneath it, in every strip."""

from __future__ import annotations

from functools import lru_cache

from panelmend.derive import Figure, Ledger, Source, formula
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.ground import Ground
from panelmend.job.strength.bonds import adhesive_of
from panelmend.job.strength.lay import LAID, Lay
from panelmend.job.strength.part import BondRow, TipRow
from panelmend.job.strength.stacks import BondThing
from panelmend.physics.joint import Bond, peel_on_core, solve_bond
from panelmend.physics.joint.tip import TipAnswer
from panelmend.physics.structure_inputs import NotComputed

JOINT = Source("docs/method/joint.md", "peel on a core")
UNIT = 1e5  # N/m: the answer grows with the load


@lru_cache(maxsize=128)
def _unit(bond: BondThing) -> TipAnswer:
    """The bond's tip under a load of UNIT, elastic, without heat."""
    elastic = Bond(bond.bond.steps, bond.bond.adhesive.elastic(), bond.bond.faces)
    cold = BondThing(elastic, bond.names, bond.through)
    answer = solve_bond(elastic, cold.ends(UNIT)[0])
    assert bond.skin is not None, "asked for by lacks"
    assert bond.core is not None, "asked for by lacks"
    found = peel_on_core(answer, bond.straps, bond.skin, bond.core, symmetric_start=bond.through)
    assert not isinstance(found, NotComputed), "the adhesive has a modulus across"
    return found


@formula("largest peel of patch and skin as beams, elastic adhesive", source=JOINT, kind="stiffness")
def tip_peel(bond: BondThing, load: float) -> float:
    """Largest peel stress along a bond, the load either way.

    bond: the steps and the adhesive [bond]
    load: running load of the whole skin [N/m]
    return: stress [Pa]
    """
    return _unit(bond).most_peel * abs(load) / UNIT


@formula("largest pull of the skin on its core, patch and skin as beams", source=JOINT, kind="stiffness")
def tip_pull(bond: BondThing, load: float) -> float:
    """Largest flatwise stress between skin and core under the bond, the load either way.

    bond: the steps and the adhesive [bond]
    load: running load of the whole skin [N/m]
    return: stress [Pa]
    """
    return _unit(bond).most_pull * abs(load) / UNIT


@formula("strength / stress", source=Source("ratio of the two figures"), kind="ratio")
def strength_over(strength: float, stress: float) -> float:
    """Reserve of a strength on a stress.

    strength: of the bond [Pa]
    stress: in it [Pa]
    return: reserve factor [1]
    """
    return strength / stress


def tip_row(ground: Ground, lay: Lay, side: Side, bond: BondRow, made: BondThing) -> TipRow:
    """Peel and pull of one bond under its load, with their reserves where the strengths are known."""
    blank = TipRow(side, bond.direction, lay.condition, None, None, None, None, "", "")
    if bond.load is None:
        return blank
    if made.core is None or made.skin is None:
        words = "the core has no modulus through the thickness (e_through)"
        return TipRow(side, bond.direction, lay.condition, None, None, None, None, words, words)
    ledger = ground.ledger
    key = f"strength.tip.{side}.{bond.direction}.{lay.condition}"
    thing = ledger[f"strength.bond.{side}.{bond.direction}.{lay.condition}.steps"]
    peel = ledger.derive(f"{key}.peel", tip_peel, bond=thing, load=bond.load)
    pull = ledger.derive(f"{key}.pull", tip_pull, bond=thing, load=bond.load)
    glue = adhesive_of(lay)
    assert not isinstance(glue, NotComputed), "the bond was made"
    peel_reserve, no_peel = _over(ledger, f"{key}.peel", glue.peel, peel, f"{glue.name} has no peel_strength")
    hot = lay.condition != "room"
    data = lay.case.catalogue.adhesive(glue.name)
    flat = data.flatwise_hot_wet if hot else data.flatwise_strength
    field = "flatwise_hot_wet" if hot else "flatwise_strength"
    strength = None if flat is None else flat.value
    pull_reserve, no_pull = _over(ledger, f"{key}.pull", strength, pull, f"{glue.name} has no {field}")
    return TipRow(
        side, bond.direction, lay.condition, peel, pull, peel_reserve, pull_reserve, no_peel, no_pull
    )


def _over(
    ledger: Ledger, key: str, strength: float | None, stress: Figure, lacks: str
) -> tuple[Figure | None, str]:
    if strength is None:
        return None, lacks
    known = ledger.add(Figure(f"{key}.strength", strength, "stiffness", Origin.TABLE, LAID))
    return ledger.derive(f"{key}.reserve", strength_over, strength=known, stress=stress), ""
