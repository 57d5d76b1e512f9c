"""What is real is not refused: handbook values, published constants of cure, usual blankets and recipes."""

from __future__ import annotations

import pytest

from examples_here import case_from, sound
from panelmend.document import parse
from panelmend.document.bounds import bounded, plainly
from panelmend.document.faults.plausible import fault_outside
from panelmend.document.faults.thermal import material_faults
from panelmend.document.question import PRACTICE, Usual
from panelmend.errors import DocumentError
from panelmend.materials import builtin
from panelmend.plan.make import make_plan

GLASS = (
    'thermal = { k_in_plane = "0.6 W/mK", k_through = "0.3 W/mK", density = "1800 kg/m3", '
    'specific_heat = "1000 J/kgK" }'
)
CORE = 'thermal = { k_in_plane = "0.05 W/mK", k_through = "0.07 W/mK", specific_heat = "1300 J/kgK" }'
LAW = (
    'law = "reference time", reference_time = "90 min", reference_temperature = "82 C", '
    'reference_degree = 0.95, e1 = "62 kJ/mol", heat = "380 kJ/kg"'
)
HB12 = '{ id = "HB-12", length = "305 mm", width = "305 mm", power_density = "7750 W/m2", voltage = "230 V" }'


def _with(old: str, new: str) -> str:
    made = sound()
    assert old in made, old
    return made.replace(old, new, 1)


def test_built_in_tables_are_plausible() -> None:
    assert list(material_faults(builtin())) == []
    strange = [b.path for b in bounded(builtin(), ("materials",)) if b.impossible or b.unusual]
    assert strange == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        # Handbook values, from memory: quartz and aramid laminates, a carbon one, aluminium core.
        (GLASS, GLASS.replace("0.6", "0.35").replace("0.3 W", "0.25 W").replace("1800", "1950")),
        (GLASS, GLASS.replace("1800 kg/m3", "1.38 g/cm3").replace("1000 J/kgK", "1.3 kJ/kgK")),
        (GLASS, GLASS.replace("0.6 W/mK", "350 mW/mK").replace("0.3 W/mK", "0.17 W/mK")),
        ('fibre = "glass"', 'fibre = "carbon"'),
        (CORE, CORE.replace("0.05", "0.035").replace("0.07", "0.055")),
        ('fibre = "aramid"', 'fibre = "foam"'),
        # Lee, Loos and Springer 1982; an autocatalytic epoxy of the usual size; n-th order.
        (
            LAW,
            'law = "two stage", a1 = "2.101e9 1/min", e1 = "80.7 kJ/mol", a2 = "-2.014e9 1/min", '
            'e2 = "77.8 kJ/mol", a3 = "1.96e5 1/min", e3 = "56.6 kJ/mol", b = 0.47, heat = "473.6 kJ/kg"',
        ),
        (
            LAW,
            'law = "autocatalytic", a1 = "2e4 1/s", e1 = "65 kJ/mol", a2 = "3e5 1/s", e2 = "62 kJ/mol", '
            'm = 0.8, n = 1.6, heat = "420 J/g"',
        ),
        (LAW, LAW.replace('"90 min"', '"168 h"').replace('"82 C"', '"25 C"')),
        # Silicone rubber, 1.6 mm, 2 kg/m2; strong and weak blankets; a cure in a warm room.
        (
            HB12,
            HB12.replace(
                "voltage",
                'thickness = "1.6 mm", areal_mass = "2 kg/m2", specific_heat = "1.25 kJ/kgK", '
                'conductivity = "0.25 W/mK", limit = "230 C", border = "12 mm", voltage',
            ),
        ),
        (HB12, HB12.replace("7750 W/m2", "15 W/in2").replace('"230 V"', '"28 V"')),
        (HB12, HB12.replace("7750 W/m2", "1 W/in2").replace('"230 V"', '"480 V"')),
        ('rating = "16 A"', 'rating = "63 A"'),
        ('continuous = "80 %"', "continuous = 1.0"),
        (
            'metal = "aluminium"',
            'metal = "aluminium"\ncontact = "500 W/m2K"\nheight = "80 mm"\nlimit = "120 C"',
        ),
        ('edge_band = "35 mm"', 'edge_band = "35 mm"\nlimit = "105 C"'),
        ('humidity = "55 %"', 'humidity = "55 %"\nfilm_coefficient = "12 W/m2K"'),
        ('high = "88 C", least = "120 min"', 'high = "88 C", least = "24 h"'),
        (
            "[stores]\ngap",
            '[[choice.heat]]\ncure = "Repair plies"\nblanket = "HB-24"\nblanket_behind = "HB-20"\n'
            'set_point = "80 C"\nrate = "1.5 C/min"\ninsulation_behind = "insulation-glass"\n\n[stores]\ngap',
        ),
    ],
)
def test_real_values_are_read(old: str, new: str) -> None:
    assert parse(_with(old, new).encode(), "repair.toml").document.repair.number == "TAS-26-0417"


def test_a_week_at_room_temperature_is_a_dwell() -> None:
    dwell = 'kind = "dwell", to = "82 C", low = "77 C", high = "88 C", least = "120 min"'
    ramp = 'kind = "ramp", to = "82 C"'
    made = _with(dwell, 'kind = "dwell", to = "27 C", low = "21 C", high = "32 C", least = "168 h"')
    cool = made.index('kind = "cool"', made.index("Repair plies"))
    made = made[:cool] + made[cool:].replace('to = "49 C"', 'to = "20 C"', 1)
    made = made.replace(ramp, 'kind = "ramp", to = "27 C"', 1).replace('release_below = "52 C"', "")
    assert parse(made.encode()).document.data.cure[1].segment[1].least == 168 * 3600.0
    with pytest.raises(DocumentError, match="implausible dwell"):
        parse(made.replace('"168 h"', '"168 h"'.replace("168", "1680"), 1).encode())


def test_a_set_point_follows_the_band_and_the_ceiling() -> None:
    heat = '[[choice.heat]]\ncure = "Repair plies"\nset_point = "{}"\n\n[stores]\ngap'
    for good in ("77 C", "88 C", "180 F"):
        parse(_with("[stores]\ngap", heat.format(good)).encode())
    banded = 'low = "77 C", high = "88 C", '
    with pytest.raises(DocumentError, match="no band to choose from"):
        parse(_with("[stores]\ngap", heat.format("84 C")).replace(banded, "").encode())


def test_a_panel_that_may_not_see_the_recipe_stops() -> None:
    plan = make_plan(case_from(_with('edge_band = "35 mm"', 'edge_band = "35 mm"\nlimit = "70 C"')))
    found = [f for f in plan.findings if f.code == "B016"]
    assert [f.place for f in found] == ["bag.2"], "66 C in the first cure, 82 C in the second"
    assert "good to 70 C, the cure cycle asks for 82 C" in found[0].words
    assert found[0].severity == "stop"


@pytest.mark.parametrize(
    ("value", "kind", "words"),
    [
        (3e-4, "conductivity", "0.0003 W/(m K)"),
        (6.2e7, "molar energy", "62,000 kJ/mol"),
        (20.0, "time", "20 s"),
        (1800.0, "time", "30 min"),
        (432000.0, "time", "120 h"),
        (373.15, "temperature", "100 C (212 F)"),
    ],
)
def test_a_value_is_shown_with_the_digits_that_matter(value: float, kind: str, words: str) -> None:
    assert plainly(value, kind) == words


def test_bounds_belong_to_the_range() -> None:
    assert list(fault_outside((), "x", None, "voltage", 10.0, 1000.0)) == []
    assert list(fault_outside((), "x", 10.0, "voltage", 10.0, 1000.0)) == []
    assert list(fault_outside((), "x", 1000.0, "voltage", 10.0, 1000.0)) == []
    [(_, low)] = fault_outside((), "x", 9.9, "voltage", 10.0, 1000.0, low_todo="more", high_todo="less")
    [(_, high)] = fault_outside((), "x", 1001.0, "voltage", 10.0, 1000.0, low_todo="more", high_todo="less")
    assert (low.todo, high.todo) == ("more", "less")
    assert low.expected == "10 V to 1,000 V"


def test_what_has_one_usual_value_is_not_asked_for_between_it_and_itself() -> None:
    """It asked "usual is 240 V to 240 V"."""
    for high, usual in ((240.0, "usual is 240 V"), (250.0, "usual is 240 V to 250 V")):
        (asked,) = Usual(
            "bay.supply.usual", "supply voltage", 115.0, "voltage", 240.0, high, source=PRACTICE
        ).asked("mm")
        assert f"; {usual} (common" in asked.words
