"""The drying stage from the document to its figures, worked by hand or by series of ours.

- A closed wet cell that was filled at 1 atm and 20 C has 49.1 and 156.6 psia at 250 and 350 F: saturated
  steam by IAPWS-IF97 (29.84 and 134.60 psia, evaluated) and the air in it (Dalton).
- A skin: Crank's series, The Mathematics of Diffusion, equation 4.18, summed: G = 0.50409 and 0.88740 at
  tau = 0.05 and 0.2.
- 22 inHg of vacuum end at 8,266 ft in the US Standard Atmosphere 1976; that number is ours.

What was printed stands in tests/published/test_drying.py.
"""

from __future__ import annotations

import math

import pytest

from drying_plans import plan, value
from examples_here import text
from panelmend.units import FOOT, INHG, PSI

SEA_LEVEL = (
    ('barometer = "985 hPa"', 'barometer = "1 atm"'),
    ('air_temperature = "18 C"', 'air_temperature = "20 C"'),
)


@pytest.mark.parametrize(
    ("fahrenheit", "saturated", "cell", "outward"), [(250, 29.84, 49.1, 34.4), (350, 134.60, 156.6, 141.9)]
)
def test_wet_cell_in_a_cure(fahrenheit: int, saturated: float, cell: float, outward: float) -> None:
    flap = text("flap_rib_bay").replace('barometer = "29.1 inHg"', 'barometer = "1 atm"')
    flap = flap.replace('elevation = "787 ft"\n', "").replace(
        'air_temperature = "65 F"', 'air_temperature = "68 F"'
    )
    flap = flap.replace('to = "250 F", rate', f'to = "{fahrenheit} F", rate')
    flap = flap.replace(
        'to = "250 F", low = "240 F", high = "265 F"',
        f'to = "{fahrenheit} F", low = "{fahrenheit - 10} F", high = "{fahrenheit + 15} F"',
    ).replace('ceiling = "275 F"', f'ceiling = "{fahrenheit + 25} F"')
    made = plan(of=flap)
    assert value(made, "drying.c1s1.cell") / PSI == pytest.approx(cell, abs=0.06)
    assert value(made, "drying.c1s1.lift") / PSI == pytest.approx(outward, abs=0.06)
    assert value(made, "drying.c1s1.lift_deepest") / PSI == pytest.approx(cell, abs=0.06)
    kelvin = (fahrenheit + 459.67) / 1.8
    air = (101325.0 - 2339.3) * kelvin / 293.15  # water at 20 C has 2.3393 kPa (IF97)
    assert (value(made, "drying.c1s1.cell") - air) / PSI == pytest.approx(saturated, abs=0.006)


@pytest.mark.parametrize(("tau", "gone"), [(0.05, 0.50409), (0.2, 0.88740)])
def test_a_skin_dries_by_the_exact_series(tau: float, gone: float) -> None:
    """Two plies of 0.25 mm at 71 C for 4 h with D0 so that D t / h2 = tau; gas under the bag is dry."""
    kelvin, energy = 344.15, 40e3
    diffusivity = tau * 0.5e-3**2 / (4 * 3600.0)
    d0 = diffusivity * math.exp(energy / (8.314462618 * kelvin))
    made = plan(
        (
            'moisture_d0 = "6.0 mm2/s", moisture_ea = "40 kJ/mol"',
            f'moisture_d0 = "{d0!r} m2/s", moisture_ea = "40 kJ/mol"',
        )
    )
    assert value(made, "drying.inside.thickness") == pytest.approx(0.5e-3)
    assert 1.0 - value(made, "drying.inside.bag_2.left") == pytest.approx(gone, abs=6e-6)


def test_the_wet_area_is_not_guessed() -> None:
    made = plan(('wet_area = "40 cm2"\n', ""))
    assert "drying.drain_holes" not in made.ledger
    assert any("not known" in f.words for f in made.findings if f.code == "D011")


def test_where_a_vacuum_ends_and_what_it_leaves() -> None:
    made = plan(*SEA_LEVEL, ('elevation = "240 m"\n', ""))
    assert value(made, "bag.1.highest_elevation") / FOOT == pytest.approx(8266, abs=0.5)
    assert value(made, "bag.1.absolute") / INHG == pytest.approx(29.921 - 22.0, abs=6e-4)
    assert value(made, "bag.1.difference") / INHG == pytest.approx(22.0)


def test_a_reading_reduced_to_sea_level_is_found_out() -> None:
    """29.92 inHg typed at 5,000 ft: the air there has 24.896 inHg."""
    made = plan(
        ('barometer = "985 hPa"', 'barometer = "29.9213 inHg"'),
        ('elevation = "240 m"', 'elevation = "5000 ft"'),
    )
    found = [f for f in made.findings if f.code == "B014"]
    assert len(found) == 1
    assert "843 hPa" in found[0].words
    assert "24.9 inHg at most" in found[0].words
    assert not [f for f in plan().findings if f.code == "B014"]


def test_heating_up_at_the_default_rate_takes_the_difference_over_it() -> None:
    """18 to 71 C at 10 F/min."""
    made = plan(('rate_most = { value = "3 C/min", place = "51-30-01 para 2" }\n', ""))
    assert value(made, "drying.heat_up") == pytest.approx((71 - 18) * 1.8 / 10 * 60)


def test_what_is_left_under_a_bag_of_fifty_hectopascals() -> None:
    made = plan(
        ('barometer = "985 hPa"', 'barometer = "1050 hPa"'),
        ('least_vacuum = { value = "22 inHg"', 'least_vacuum = { value = "50 hPa"'),
        ('leak_drop = { value = "1 inHg"', 'leak_drop = { value = "10 hPa"'),
    )
    assert value(made, "bag.1.absolute") == pytest.approx(100e3)
