"""Pot lives: what is counted, what is printed, and the finding just inside and just outside."""

from __future__ import annotations

import math

import pytest

from card_plans import DOOR, changed, door, said, steps
from panelmend.errors import Severity
from panelmend.job.card.part import WarmAir
from panelmend.plan.plan import Plan
from panelmend.records.doing.sheet import clocks_of
from panelmend.render.bench import bench_data
from panelmend.render.workings import workings_of

MINUTES = {"mix": 4, "wet_out": 3, "lay": 2, "plug": 5, "bag": 6, "hold": 3}
PACE = "pace = { " + ", ".join(f'{k} = "{v} min"' for k, v in MINUTES.items()) + " }"


def _codes(plan: Plan) -> set[str]:
    return {f.code for f in plan.findings}


def _last(plan: Plan) -> tuple[float, float]:
    """Needed and pot life of the last batch [min]."""
    clock = plan.card.clocks[-1]
    assert clock.needed is not None
    return float(clock.needed) / 60.0, float(clock.life) / 60.0


def test_needed_is_the_sum_of_every_minute_with_the_holds() -> None:
    # repair plies: one batch 4, three sheets wetted 3 x 3, five plies 5 x 2, hold on the lay-up 3,
    # bag 6, leak test 1, hold on the bag 3
    needed, life = _last(door())
    assert needed == pytest.approx(4 + 9 + 10 + 3 + 6 + 1 + 3)
    assert life == pytest.approx(40)
    clock = door().card.clocks[-1]
    assert clock.lay is not None
    assert float(clock.lay) / 60 == pytest.approx(40 - 6 - 1 - 3)


@pytest.mark.parametrize(("lay", "stops"), [(2.79, False), (2.81, True)])
def test_the_finding_fires_just_outside_and_not_just_inside(lay: float, stops: bool) -> None:
    plan = door((PACE, PACE.replace('lay = "2 min"', f'lay = "{lay} min"')))
    needed, life = _last(plan)
    assert (needed > life) is stops
    assert ("J020" in _codes(plan)) is stops
    if stops:
        assert next(f for f in plan.findings if f.code == "J020").severity is Severity.STOP


def test_an_inspector_who_comes_late_is_counted() -> None:
    assert "J020" not in _codes(door((PACE, PACE.replace('hold = "3 min"', 'hold = "5 min"'))))
    assert "J020" in _codes(door((PACE, PACE.replace('hold = "3 min"', 'hold = "6 min"'))))


def _without_kinetics(air: str, more: str = "") -> Plan:
    """The door in warm air, with a laminating resin of which no constants of cure are typed."""
    line = next(x for x in DOOR.splitlines() if x.startswith("kinetics =") and '"62 kJ/mol"' in x)
    warm = ('air_temperature = "18 C"', f'air_temperature = "{air}"')
    return changed("gear_door", (line + "\n", ""), warm, more=more)


@pytest.mark.parametrize(
    ("air", "warm", "life"),
    [
        ("25 C", WarmAir.NOT, 40),
        ("25.1 C", WarmAir.UNTOLD, 40),
        ("32.1 C", WarmAir.UNTOLD, 40),
        ("32.3 C", WarmAir.HALVED, 20),
    ],
)
def test_hot_air_halves_the_pot_life(air: str, warm: WarmAir, life: int) -> None:
    """Above 90 F (32.2 C) the pot life is half: US Army TM 1-1500-204-23-11, scan page 169."""
    plan = _without_kinetics(air)
    clock = plan.card.clocks[-1]
    assert clock.warm is warm
    assert float(clock.life) == pytest.approx(60.0 * life)
    assert clock.lay is not None  # less 6 min for the bag, 1 for its leak test, 3 for the hold
    assert float(clock.lay) == pytest.approx(60.0 * (life - 10))
    bench = bench_data(plan, workings_of(plan))
    assert bench is not None
    told = [[x if isinstance(x, str) else x["text"] for x in bench["mixes"][-1][n]] for n in ("life", "lay")]
    by_maker = warm is WarmAir.UNTOLD
    assert told == (
        [["ask the maker"], ["pot life − closing"]] if by_maker else [[f"{life} min"], [f"{life - 10} min"]]
    )
    assert ("J642" in _codes(plan)) is by_maker
    (mixed,) = steps(plan, "O11", clock.operation)
    by = {b.what: b for b in mixed.blanks}
    assert ("Pot life in this air, told by the maker" in by) is by_maker
    assert by["vacuum on by"].said == ("mixed at + pot life" if by_maker else f"mixed at + {life} min")
    assert by["lay by"].said == (
        "mixed at + pot life − closing" if by_maker else f"mixed at + {life - 10} min"
    )
    (rehearsed,) = steps(plan, "D7", clock.operation)
    assert (rehearsed.blanks[-1].high is None) is by_maker
    assert (rehearsed.tables[0].rows[-1][1] == ("ask the maker",)) is by_maker
    held = {c.name for c in clocks_of(plan) if "Repair plies: laminating resin" in c.name and c.most}
    assert bool(held) is not by_maker, "nothing is counted by a time that is too long"
    late = [f.place for f in plan.findings if f.code == "J020"]
    assert (f"kit.{clock.batch}" in late) is (life < 36)  # the paste has constants
    mixing = said(plan, steps(plan, "O11", clock.operation)[-1])
    assert ("Pot life here NOT KNOWN: shorter than the 40 min of its sheet" in mixing) is by_maker
    assert ("in air above 25 C: planner first" in mixing) is (warm is WarmAir.NOT)


@pytest.mark.parametrize(
    ("told", "life"), [("22 min", 22), ("39.9 min", 39.9), ("40 min", None), ("0 min", None), ("soon", None)]
)
def test_the_maker_tells_how_long_it_lasts_in_this_air(told: str, life: float | None) -> None:
    """A time as long as the sheet's is none for warmer air."""
    key = "materials.demo-laminating-resin.pot_life_in_29.0_C"
    confirm = f'\n[[confirm]]\nfigure = "{key}"\nvalue = "{told}"\nby = "D. Aune"\non = 2026-11-24\n'
    plan = _without_kinetics("29 C", f'{confirm}reason = "letter of the maker"\n')
    clock = plan.card.clocks[-1]
    assert clock.warm is (WarmAir.UNTOLD if life is None else WarmAir.TOLD)
    assert float(clock.life) / 60 == pytest.approx(life or 40)
    assert ("J642" in _codes(plan), "J643" in _codes(plan)) == (life is None, life is not None)
    assert "J003" not in _codes(plan), "it was asked about"
    if life == 22:
        assert "J020" in _codes(plan), "36 min do not fit"
        assert "letter of the maker" in next(f.words for f in plan.findings if f.code == "J643")
        mixing = said(plan, steps(plan, "O11", clock.operation)[-1])
        assert "Pot life 22 min in this warm air, as the maker told it" in mixing


def test_what_is_told_for_other_air_does_not_count() -> None:
    key = "materials.demo-laminating-resin.pot_life_in_29.0_C"
    more = f'\n[[confirm]]\nfigure = "{key}"\nvalue = "22 min"\nby = "D. Aune"\non = 2026-11-24\n'
    for air, codes in (("29.2 C", {"J642", "J003"}), ("24 C", {"J003"})):
        assert _codes(_without_kinetics(air, more)) & {"J642", "J643", "J003"} == codes


def test_in_warm_air_the_constants_of_cure_shorten_the_pot_life() -> None:
    """40 min were printed whole at 31 C: exp(62000 / 8.314 x (1/304.15 - 1/296.15)) leaves 20.6 of them."""
    plan = door(('air_temperature = "18 C"', 'air_temperature = "31 C"'))
    clock = plan.card.clocks[-1]
    assert clock.warm is WarmAir.RECKONED
    assert float(clock.life) / 60 == pytest.approx(20.6, abs=0.05)
    assert "J020" in _codes(plan)
    mixing = said(plan, steps(plan, "O11", clock.operation)[-1])
    assert "20 min in this warm air by the typed cure constants (40 min at 23 C)" in mixing
    hotter = door(('air_temperature = "18 C"', 'air_temperature = "32.3 C"')).card.clocks[-1]
    assert hotter.warm is WarmAir.RECKONED, "less than half by its own constants"
    assert float(hotter.life) < 1200.0


def test_without_a_pace_nothing_is_promised() -> None:
    plan = door((PACE + "\n", ""))
    assert all(c.needed is None and c.fits is None for c in plan.card.clocks)
    assert "J021" in _codes(plan)
    assert "J020" not in _codes(plan)


def test_every_clock_can_be_computed_again() -> None:
    plan = door()
    assert plan.ledger.replay() == []
    for clock in plan.card.clocks:
        assert clock.needed is not None
        assert math.isfinite(float(clock.needed))
        assert "source:" in plan.ledger.explain(clock.needed.key)
