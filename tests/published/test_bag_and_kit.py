"""Bag and kit against what manuals and the standard atmosphere print."""

from __future__ import annotations

import pytest

from examples_here import case_from, edited, text
from panelmend.job import air, blanket_supply
from panelmend.job.bag import formulas as bag
from panelmend.job.case import Case
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.units import PSI, read, show
from printed_values import Seen, Source, printed

CIRCULAR = Source(
    "FAA AC 43.13-1B, Acceptable Methods, Techniques, and Practices, chapter 3 (1998; as reprinted at "
    "landseaskyspace.com)",
    Seen.READ,
)
RECALLED = Source("FAA AC 43.13-1B, Acceptable Methods, Techniques, and Practices, chapter 3", Seen.MEMORY)
ARMY = Source("US Army TM 1-1500-204-23-11, general aircraft maintenance", Seen.MEMORY)
CODE = Source("NFPA 70, National Electrical Code", Seen.MEMORY)
STANDARD = Source(
    "US Standard Atmosphere 1976 (NOAA/NASA/USAF, Washington 1976), by geopotential height", Seen.MEMORY
)
INCH = 0.0254


def test_force_of_the_air_on_ten_by_ten_inches() -> None:
    force = bag.force_of_bag(pressure=read("14.7 psi", "pressure"), length=10 * INCH, width=10 * INCH)
    place = "para 6-18b, force of 14.7 psi on 10 x 10 in [lb]"
    assert force / (PSI * INCH**2) == printed(1470, source=ARMY, place=place)
    assert show(force, "force", "in", decimals=0) == "1470 lbf"


def test_a_load_of_hours_counts_125_percent() -> None:
    counted = 100.0 / blanket_supply.CONTINUOUS
    assert counted == printed(125, source=CODE, place="210.20(A), share of a continuous load [%]")


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
    assert pressure / 3386.389 == printed(
        inches, source=STANDARD, place=f"pressure at {feet:g} ft [inHg]", within=6e-4
    )


def _plan(*changes: tuple[str, str]) -> Plan:
    made = edited(text("gear_door"), *changes)
    case: Case = case_from(made)
    return make_plan(case)


def test_resin_is_as_heavy_as_the_cloth_where_the_data_says_nothing() -> None:
    plan = _plan(('resin_to_cloth = { value = 1.0, place = "52-10-17 para 5A" }\n', ""))
    figure = plan.ledger["kit.resin_to_cloth"]
    resin = 100.0 * figure.value / (1.0 + figure.value)
    assert resin == printed(50, source=CIRCULAR, place="para 3-3a(2), resin by weight [%]")
    assert (figure.value, figure.origin.value) == (1.0, "default practice")
    assert "3-3a(2)" in figure.source.place
    assert plan.is_draft


def test_defaults_of_the_bag_are_marked_with_their_source() -> None:
    plan = _plan(
        ('peel_ply_margin = { value = "25 mm", place = "51-30-02 fig 3" }\n', ""),
        ('least_vacuum = { value = "22 inHg", place = "51-30-02 para 3" }\n', ""),
    )
    peel, vacuum = plan.ledger["bag.peel_ply_margin"], plan.ledger["bag.least_vacuum"]
    assert float(peel) / INCH == printed(
        1, source=RECALLED, place="para 3-4b, peel ply beyond the patch [in]"
    )
    assert "3-4b" in peel.source.place
    inches = float(vacuum) / 3386.389
    assert inches == printed(22, source=CIRCULAR, place="para 3-4b, minimum vacuum [inHg]")
    assert show(float(vacuum), "vacuum") == "22.0 inHg"
    assert {"bag.peel_ply_margin", "bag.least_vacuum"} <= {f.place for f in plan.findings if f.code == "J001"}
