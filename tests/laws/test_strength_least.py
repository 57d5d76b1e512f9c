"""The strength study is never surer than the panel: whole strips, every row counted, the worst places."""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from examples_here import text
from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import PRACTICE, Origin
from panelmend.job.strength import checks
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.bonds import OVER_THE_CUT, bond_of, reserve_of
from panelmend.job.strength.formulas import first_ply_sense
from panelmend.job.strength.levels import settled_value
from panelmend.job.strength.own import own_rows
from panelmend.job.strength.part import (
    Ability,
    BondRow,
    ModeRow,
    OwnRow,
    Region,
    ReserveKind,
    Sense,
    TipRow,
)
from panelmend.job.strength.reserves import reserves_of
from panelmend.job.strength.stacks import BondThing, Stack
from panelmend.physics.joint import AdhesiveLayer, Bond, BondStep
from panelmend.physics.laminate import Lamina, LaminatePly, Strengths, laminate
from panelmend.physics.sandwich import Sandwich, SandwichCore, check_section
from panelmend.physics.sandwich.field import mode_fields
from panelmend.physics.structure_inputs import NotComputed
from panelmend.plan.strength_study import StrengthStudy
from strength_made import lay_of, rough

PRESSURE = """
[[data.strength.case]]
name = "pressure"
pressure = "6 kPa"
place = "invented"
"""


def flap_cut(plies: int) -> str:
    made = text("flap_rib_bay")
    assert "plies = 2\n" in made
    return made.replace("plies = 2\n", f"plies = {plies}\n")


def reserve(lay: AsLaid, direction: float) -> float:
    room = replace(lay, condition="room")
    skin, bond = room.stack("skin", room.skin("outside")), bond_of(lay, "outside", direction)
    assert isinstance(skin, Stack)
    assert isinstance(bond, BondThing)
    # the figures below stand on the lesser sense
    load = min(float(first_ply_sense(stack=skin, direction=direction, sense=s)) for s in (1.0, -1.0))
    found = reserve_of(bond, load)
    assert not isinstance(found, NotComputed)
    return found.reserve


@pytest.mark.parametrize("plies", [1, 2])
def test_the_patch_tip_lies_on_a_skin_that_carries_everything(plies: int) -> None:
    """Part-depth: the whole skin's load, left plies running on. By the share of the cut plies it was 3.16."""
    assert reserve(lay_of(flap_cut(plies)), 0.0) == pytest.approx(2.50, abs=0.005)
    assert reserve(lay_of(flap_cut(plies), "hot and wet"), 0.0) == pytest.approx(1.71, abs=0.005)


def test_the_tip_peak_stays_while_the_cut_goes_to_nothing() -> None:
    """A patch over next to no cut still draws load at its tip; the peak over the cut dies out."""
    glue = AdhesiveLayer(600e6, 0.13e-3, 35e6, 0.5)
    whole, patch, load = 48e6, 24e6, 3e5
    tips, edges = [], []
    for share in (0.5, 0.1, 0.01, 1e-4):
        steps = (BondStep(0.1, patch, whole * (1.0 - share)), BondStep(0.04, patch, whole))
        found = reserve_of(BondThing(Bond(steps, glue), (OVER_THE_CUT, "tip"), True), load)
        assert not isinstance(found, NotComputed)
        tips.append(dict(found.peaks)["tip"])
        edges.append(dict(found.peaks)[OVER_THE_CUT])
    assert tips[-1] == pytest.approx(tips[1], rel=1e-6)
    # Volkersen's tip of a long overlap: tau = lambda N K1/(K1 + K2)
    decay = np.sqrt(600e6 / 0.13e-3 * (1 / whole + 1 / patch))
    assert tips[-1] == pytest.approx(load * decay * patch / (patch + whole), rel=1e-3)
    assert edges[-1] < 1e-3 * tips[-1]


def test_a_cut_through_skin_is_the_limit_of_a_part_cut() -> None:
    glue = AdhesiveLayer(600e6, 0.13e-3, 35e6, 0.5)
    whole, patch, load = 48e6, 60e6, 3e5
    one = reserve_of(BondThing(Bond((BondStep(0.04, patch, whole),), glue), ("tip",), False), load)
    steps = (BondStep(0.1, patch, 1e-4 * whole), BondStep(0.04, patch, whole))
    two = reserve_of(BondThing(Bond(steps, glue), (OVER_THE_CUT, "tip"), True), load)
    assert not isinstance(one, NotComputed)
    assert not isinstance(two, NotComputed)
    assert two.reserve == pytest.approx(one.reserve, rel=2e-2)


def weaker_repair(name: str, factor: float) -> str:
    """The repair plies in a cloth of their own: as the skin's, its strengths times ``factor``."""
    made = text(name)
    start = made.index('[[materials.cloth]]\nid = "demo-glass-8h"')
    end = made.index("[[", start + 5)
    cloth = made[start:end].replace('"demo-glass-8h"', '"demo-weak"')

    def less(found: re.Match[str]) -> str:
        return f'{found[1]} = "{float(found[2]) * factor:g} MPa"'

    cloth = re.sub(r'\b(xt|xc|yt|yc|s) = "([\d.]+) MPa"', less, cloth)
    at = made.index("[data.plies.outside]")
    stop = made.index("[data.", at + 5)
    plies = made[at:stop].replace('"demo-glass-8h"', '"demo-weak"')
    return made[:at] + plies + made[stop:start] + cloth + made[start:]


def test_weak_repair_plies_are_seen_without_load_cases() -> None:
    """One fifth of the strength: the headline was that of the bond, 1.272."""
    weak = lay_of(weaker_repair("gear_door", 0.2))
    rows = own_rows(Ledger(), weak)
    assert rows
    first = [o for o in rows if o.what is Ability.FIRST_PLY and o.condition == "room"]
    sound = [o for o in own_rows(Ledger(), lay_of(text("gear_door"))) if o.what is Ability.FIRST_PLY]
    assert len(first) == 8
    for row, was in zip(first, sound, strict=False):
        assert row.ratio is not None
        assert was.ratio is not None
        assert float(row.ratio) == pytest.approx(0.2 * float(was.ratio), rel=1e-9)
    found = rough(weaker_repair("gear_door", 0.2), changes=False)
    assert found.part.least is not None
    assert float(found.part.least.value) < 0.25
    assert min(float(r.value) for r in found.part.reserves if r.kind is ReserveKind.OWN) < 0.25
    assert "T102" in {f.code for f in found.findings}


def test_a_repair_equal_to_the_parent_has_ratios_of_one() -> None:
    extra = text("gear_door")
    at = extra.index("extra = {")
    equal = extra[:at] + extra[extra.index("\n", at) + 1 :]
    for condition in ("room", "hot and wet"):
        for row in own_rows(Ledger(), lay_of(equal, condition)):
            if row.ratio is not None and row.what in (Ability.FIRST_PLY, Ability.LAST_PLY, Ability.CRIMPING):
                assert float(row.ratio) == pytest.approx(1.0, abs=1e-9), row


@pytest.mark.parametrize("name", ["xt", "xc", "yt", "yc", "s"])
def test_no_ratio_rises_when_a_strength_of_the_repair_falls(name: str) -> None:
    base = {
        _key(o): float(o.ratio)
        for o in own_rows(Ledger(), lay_of(weaker_repair("gear_door", 1.0)))
        if o.ratio
    }
    made = weaker_repair("gear_door", 1.0)
    start = made.index('id = "demo-weak"')
    head, tail = made[:start], made[start:]
    less = re.sub(
        rf'\b{name} = "([\d.]+) MPa"', lambda m: f'{name} = "{float(m[1]) * 0.5:g} MPa"', tail, count=1
    )
    assert less != tail
    rows = {_key(o): float(o.ratio) for o in own_rows(Ledger(), lay_of(head + less)) if o.ratio}
    assert set(rows) == set(base)
    assert all(rows[k] <= base[k] + 1e-12 for k in base)
    assert any(rows[k] < 0.9 * base[k] for k in base)


def _key(o: OwnRow) -> tuple[object, ...]:
    return (o.what, o.side, o.direction, o.condition, o.sense)


def test_the_headline_is_the_least_of_all_rows() -> None:
    """500 made-up sets of tables, the sound panel among them; findings are taken from the same list."""
    dice = Random(13)
    for _ in range(500):
        number = 0

        def figure() -> Figure | None:
            nonlocal number
            number += 1
            if dice.random() < 0.3:
                return None
            return Figure(f"r{number}", dice.lognormvariate(0.5, 0.7), "ratio", Origin.TYPED, PRACTICE)

        bonds = tuple(
            BondRow("outside", "0°", "room", None, "", figure(), (), 0.0, "")
            for _ in range(dice.randrange(4))
        )
        modes = tuple(
            ModeRow("a", dice.choice(list(Region)), "core shear", "", "core", "room", figure(), "")
            for _ in range(dice.randrange(6))
        )
        own = tuple(
            OwnRow(Ability.CRIMPING, None, "0°", "room", Sense.EITHER, "", None, None, figure(), "")
            for _ in range(dice.randrange(4))
        )
        every = [
            float(v)
            for v in (*(b.reserve for b in bonds), *(m.reserve for m in modes), *(o.ratio for o in own))
            if v
        ]
        tips = tuple(
            TipRow("outside", "0°", "room", None, None, figure(), figure(), "", "")
            for _ in range(dice.randrange(3))
        )
        every += [float(v) for t in tips for v in (t.peel_reserve, t.pull_reserve) if v]
        made = reserves_of(bonds, tips, modes, own)
        assert sorted(float(r.value) for r in made) == sorted(every)
        assert sum(checks.reserve_too_low(r) for r in made) == sum(v < 1.0 for v in every)


@pytest.fixture(scope="module")
def pressed() -> StrengthStudy:
    return rough(text("gear_door") + PRESSURE, (12, 16), changes=False)


def test_core_shear_is_the_worst_of_the_panel_and_not_of_its_middle(pressed: StrengthStudy) -> None:
    """Under pressure it vanishes in the middle, where 632 was printed."""
    rows = [m for m in pressed.part.modes if m.mode == "core shear" and m.condition == "room"]
    found = {m.where: float(m.reserve) for m in rows if m.reserve is not None}
    assert set(found) == set(Region)
    assert min(found.values()) < 20.0
    assert found[Region.PANEL] == min(found[r] for r in Region if r is not Region.SOUND)
    # a strip across the short side of a simply supported panel carries at most p b/2 at its edge
    width, _ = 0.8, 1.2
    sound = pressed.ledger["strength.zone." + _sound_digest(pressed)].value
    d = sound.sandwich().d  # type: ignore[union-attr]
    bound = 0.7e6 * d / (6e3 * width / 2)
    assert bound < found[Region.SOUND] < 2.0 * bound
    least = pressed.part.least
    assert least is not None
    assert float(least.value) == min(float(r.value) for r in pressed.part.reserves)
    assert any(r.where == Region.SOUND for r in pressed.part.reserves)


def _sound_digest(made: StrengthStudy) -> str:
    assert made.plan.work is not None
    w = made.plan.work
    section = AsLaid(made.plan.case, w.cutout, w.plies, w.core).parent()
    assert not isinstance(section, NotComputed)
    return section.digest()[:12]


def test_a_mode_on_a_field_is_the_mode_at_a_point() -> None:
    weave = Lamina(60e9, 50e9, 4e9, 0.05, strengths=Strengths(700e6, 550e6, 600e6, 500e6, 90e6))
    low = laminate(
        [LaminatePly(weave, 0.0, 2e-4), LaminatePly(weave, 0.7, 2e-4), LaminatePly(weave, 0.3, 3e-4)]
    )
    high = laminate([LaminatePly(weave, 0.2, 2e-4), LaminatePly(weave, -0.7, 2e-4)])
    core = SandwichCore(40e6, 25e6, 138e6, 1.2e6, 0.7e6, 2.2e6, None, 3.2e-3, 48)
    made = Sandwich(low, core, 12.7e-3, high, ribbon=0.3)
    dice = np.random.default_rng(0)
    n, m, q = (
        dice.normal(size=(40, 3)) * 1e5,
        dice.normal(size=(40, 3)) * 1e3,
        dice.normal(size=(40, 2)) * 1e4,
    )
    field = mode_fields(made, n, m, q, 6e3)
    for i in range(40):
        for row, at in zip(check_section(made, n[i], m[i], q[i], 6e3), field[:, i], strict=True):
            assert row.reserve == pytest.approx(at, rel=1e-9)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("before", "holds"), [(1.0201, False), (1.0199, True), (0.9801, True), (0.9799, False)]
)
def test_a_figure_is_resolved_just_inside_two_per_cent(before: float, holds: bool) -> None:
    """Cells halved: by first order the finest value is off by as much as it moved."""
    assert settled_value(before, 1.0, 2.0, 1.0).resolved is holds


def test_a_singular_peak_is_not_called_resolved() -> None:
    """A peak that grows as the cells shrink by a power of a tenth."""
    values = [h**-0.1 for h in (1 / 20, 1 / 40)]
    assert not settled_value(values[0], values[1], 1 / 20, 1 / 40).resolved
