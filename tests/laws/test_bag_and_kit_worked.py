"""Bag and kit worked by hand: sizes, power, a mix, and vacuums that the air cannot give.

22 inHg of vacuum end at 8,266 ft by the US Standard Atmosphere 1976 (our number); a continuous load counts
125 % (NFPA 70, 210.20(A), from memory), so a 20 A breaker carries 16 A.
"""

from __future__ import annotations

import pytest

from examples_here import case_from, edited, text
from panelmend.derive.ledger import words_of
from panelmend.errors import Finding
from panelmend.job import blanket_supply
from panelmend.job.bag import formulas as bag
from panelmend.job.card.order import Place
from panelmend.job.case import Case
from panelmend.job.kit import formulas as kit
from panelmend.physics.atmosphere import standard_pressure
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.shapes import circle
from panelmend.units import read, show

INCH = 0.0254


def test_blanket_over_a_six_inch_patch() -> None:
    """Adhesive 0.25 in and thermocouples 0.5 in beyond: 7.5 in; the blanket 2 in beyond them: 11.5 in."""
    patch = bag.extent_along(outline=circle((0, 0), 6 * INCH), direction=0.3)
    glued = bag.beyond_both_ends(size=patch, margin=0.25 * INCH)
    sensed = bag.beyond_both_ends(size=glued, margin=0.5 * INCH)
    assert sensed / INCH == pytest.approx(7.5)
    assert bag.beyond_both_ends(size=sensed, margin=2 * INCH) / INCH == pytest.approx(11.5)


def test_power_and_current_of_a_twelve_inch_blanket() -> None:
    """12 x 12 in at 5 W/in2: 720 W, 6.0 A at 120 V; a supply 10 % low leaves 583 W."""
    area = blanket_supply.heated_area(length=12 * INCH, width=12 * INCH, border=0.0)
    rated = blanket_supply.power_on_area(density=read("5 W/in2", "power density"), area=area)
    assert rated == pytest.approx(720.0)
    full = blanket_supply.power_at_supply(rated=rated, voltage=120.0, supply=120.0)
    assert blanket_supply.current_drawn(power=full, supply=120.0) == pytest.approx(6.0)
    low = blanket_supply.power_at_supply(rated=rated, voltage=120.0, supply=108.0)
    assert show(low, "power") == "583 W"


@pytest.mark.parametrize(("load", "breaker"), [(16.0, 20.0), (12.0, 15.0), (24.0, 30.0)])
def test_a_load_of_hours_takes_a_breaker_of_125_percent(load: float, breaker: float) -> None:
    assert 1.25 * load == breaker
    assert blanket_supply.carried_for_hours(rating=breaker, share=blanket_supply.CONTINUOUS) == pytest.approx(
        load
    )


def _at(feet: str) -> list[Finding]:
    sound = text("gear_door").replace('elevation = "240 m"', f'elevation = "{feet} ft"')
    sound = sound.replace('barometer = "985 hPa"\n', "")
    return [f for f in make_plan(case_from(sound)).findings if f.code == "B002"]


def test_twenty_two_inches_cannot_exist_above_8266_ft() -> None:
    assert _at("8260") == []
    found = _at("8270")
    assert len(found) == 2, "one for each cure operation"
    assert all(f.severity == "stop" and "22.0 inHg" in f.words for f in found)


def test_the_panel_is_held_against_all_that_the_air_can_press_with() -> None:
    """27540 N stood there, for the least vacuum of 22 inHg; 36.4 kN at 985 hPa."""
    least, barometer = 22 * 3386.389, 98500.0
    made = _plan()
    assert made.work is not None
    first = made.work.bag.operations[0]
    assert float(first.force) == pytest.approx(27540.0 * barometer / least, rel=1e-4)
    assert float(first.force) == pytest.approx(36412.0, rel=1e-3)
    for gone, pressure in (
        (('barometer = "985 hPa"\n',), standard_pressure(240.0) * 105.0 / 101.325),
        (('barometer = "985 hPa"\n', 'elevation = "240 m"\n'), 105e3),
    ):
        other = _plan(*[(line, "") for line in gone]).work
        assert other is not None
        assert float(other.bag.operations[0].force) == pytest.approx(
            float(first.force) * pressure / barometer
        )


def test_the_vacuum_is_drawn_and_written_down_on_the_dry_stack() -> None:
    """Only the loss was asked there: that the vacuum cannot be reached showed with resin mixed."""
    made = _plan()
    (dry,) = (s for s in made.card.steps if s.place == Place("D6", 1))
    least = {b.what: b.low for b in dry.blanks if "acuum reached" in b.what}
    assert set(least) == {"Vacuum reached dry", "Opposite side: vacuum reached dry"}
    assert [words_of(x) for x in least.values() if x is not None] == ["22.0 inHg"] * 2


def _plan(*changes: tuple[str, str]) -> Plan:
    made = edited(text("gear_door"), *changes)
    case: Case = case_from(made)
    return make_plan(case)


def test_split_of_a_mix() -> None:
    """T a/(a+b) and T b/(a+b): 130 g at 100:30 is 100 g and 30 g."""
    parts = {"total": 0.130, "resin_parts": 100.0, "hardener_parts": 30.0}
    assert kit.resin_share(**parts) == pytest.approx(0.100)
    assert kit.hardener_share(**parts) == pytest.approx(0.030)


def test_the_leak_limit_is_never_scaled() -> None:
    """26.0 to 25.2 inHg in 60 s passes 1 inHg in 1 min: the limit and its time stand together as given."""
    plan = _plan(
        ('leak_drop = { value = "1 inHg"', 'leak_drop = { value = "3 inHg"'),
        ('leak_time = { value = "1 min"', 'leak_time = { value = "5 min"'),
    )
    assert plan.work is not None
    operation = plan.work.bag.operations[0]
    assert float(operation.leak_drop) == pytest.approx(3 * 3386.389)
    assert float(operation.leak_time) == 300.0
    words = " ".join(
        str(w) for s in plan.card.steps if "leak test" in s.title for line in s.words for w in line
    )
    assert "bag.leak_drop" in words
    assert "bag.leak_time" in words
