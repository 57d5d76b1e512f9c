"""Bag and kit against published values.

FAA AC 43.13-1B para 3-3a(2): resin weight equal to cloth weight; para 3-4b: bag margins and 22 inHg.
TM 1-1500-204-23-11 para 6-18b: 14.7 psi on 10 x 10 in is 1,470 lb; no more than 1 inHg lost in 1 min.
Blanket of 12 x 12 in: 720 W and 6.0 A at 120 V at the usual 5 W/in2.
US Standard Atmosphere 1976: 22.225 inHg at 8,000 ft, so 22 inHg of vacuum can't exist above about 8,266 ft.
"""

from __future__ import annotations

import pytest

from examples_here import case_from, text
from panelmend.errors import Finding
from panelmend.job import air, blanket_supply
from panelmend.job.bag import formulas as bag
from panelmend.job.case import Case
from panelmend.job.kit import formulas as kit
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.shapes import circle
from panelmend.units import read, show

INCH = 0.0254


def test_force_of_the_air_on_ten_by_ten_inches() -> None:
    force = bag.force_of_bag(pressure=read("14.7 psi", "pressure"), length=10 * INCH, width=10 * INCH)
    assert show(force, "force", "in", decimals=0) == "1470 lbf"


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
    """NFPA 70 (NEC) 210.20(A), from memory: a continuous load counts 125 %; a 20 A breaker carries 16 A."""
    assert 1.25 * load == breaker
    assert blanket_supply.carried_for_hours(rating=breaker, share=blanket_supply.CONTINUOUS) == pytest.approx(
        load
    )


@pytest.mark.parametrize(
    ("feet", "inches"),
    [
        (0, 29.921),
        (2000, 27.821),
        (4000, 25.842),
        (5000, 24.896),
        (8000, 22.225),
        (10000, 20.577),
        (14000, 17.577),
    ],
)
def test_deepest_vacuum_by_elevation(feet: float, inches: float) -> None:
    pressure = air.air_pressure_at(elevation=feet * 0.3048)
    assert pressure / 3386.389 == pytest.approx(inches, abs=6e-4)


def _at(feet: str) -> list[Finding]:
    sound = text("gear_door").replace('elevation = "240 m"', f'elevation = "{feet} ft"')
    sound = sound.replace('barometer = "985 hPa"\n', "")
    return [f for f in make_plan(case_from(sound)).findings if f.code == "B002"]


def test_twenty_two_inches_cannot_exist_above_8266_ft() -> None:
    assert _at("8260") == []
    found = _at("8270")
    assert len(found) == 2, "one for each cure operation"
    assert all(f.severity == "stop" and "22.0 inHg" in f.words for f in found)


def _plan(*changes: tuple[str, str]) -> Plan:
    made = text("gear_door")
    for old, new in changes:
        assert old in made, old
        made = made.replace(old, new)
    case: Case = case_from(made)
    return make_plan(case)


def test_resin_is_as_heavy_as_the_cloth_where_the_data_says_nothing() -> None:
    plan = _plan(('resin_to_cloth = { value = 1.0, place = "52-10-17 para 5A" }\n', ""))
    figure = plan.ledger["kit.resin_to_cloth"]
    assert (figure.value, figure.origin.value) == (1.0, "default practice")
    assert "3-3a(2)" in figure.source.place
    assert plan.is_draft


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


def test_defaults_of_the_bag_are_marked_with_their_source() -> None:
    plan = _plan(
        ('peel_ply_margin = { value = "25 mm", place = "51-30-02 fig 3" }\n', ""),
        ('least_vacuum = { value = "22 inHg", place = "51-30-02 para 3" }\n', ""),
    )
    peel, vacuum = plan.ledger["bag.peel_ply_margin"], plan.ledger["bag.least_vacuum"]
    assert float(peel) == pytest.approx(INCH)
    assert "3-4b" in peel.source.place
    assert show(float(vacuum), "vacuum") == "22.0 inHg"
    assert {"bag.peel_ply_margin", "bag.least_vacuum"} <= {f.place for f in plan.findings if f.code == "J001"}
