"""Laws of the drying stage: what scales how, what bounds what, what is said where nothing is known."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh

from drying_plans import BOND, CONSTANTS, card_text, codes, part, plan, value
from examples_here import case
from panelmend.job.drying import formulas as f
from panelmend.physics import moisture, steam
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

PLAIN = ', moisture_d0 = "7.5 mm2/s", moisture_ea = "40.5 kJ/mol", moisture_saturation = "1.8 %"'
SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=60)

# ---- Closed cells

TEMPERATURES = st.floats(300.0, 500.0)
VACUUMS = st.floats(0.0, 1.0)


@SETTINGS
@given(TEMPERATURES, VACUUMS, VACUUMS, st.floats(60e3, 104e3), st.floats(280.0, 310.0))
def test_more_vacuum_never_lowers_what_lifts(t: float, a: float, b: float, p: float, bay: float) -> None:
    cell = f.wet_cell(temperature=t, sealed_at=bay, sealed_pressure=p)
    less, more = sorted((a, b))
    low = f.lifting_bridged(cell=cell, barometer=p, vacuum=less * p)
    high = f.lifting_bridged(cell=cell, barometer=p, vacuum=more * p)
    assert f.lifting(cell=cell, outside=p) <= low + 1e-6
    assert low <= high + 1e-6
    assert f.lifting_bridged(cell=cell, barometer=p, vacuum=p) == pytest.approx(cell)


@SETTINGS
@given(TEMPERATURES, st.floats(1.0, 60.0), st.floats(60e3, 104e3), st.floats(262.0, 310.0))
def test_a_hotter_cell_presses_harder_and_the_inverse_finds_it(
    t: float, more: float, p: float, bay: float
) -> None:
    one = f.wet_cell(temperature=t, sealed_at=bay, sealed_pressure=p)
    assert f.wet_cell(temperature=t + more, sealed_at=bay, sealed_pressure=p) > one
    back = steam.cell_temperature(one, bay, p, saturated=bay >= steam.LOWEST)
    assert back == pytest.approx(t, abs=1e-6)


def test_a_bond_is_at_its_strength_where_a_wet_cell_reaches_it() -> None:
    """Curing at the temperature that was solved for leaves a reserve of one."""
    made = plan()
    for bond in part(made).bonds:
        assert bond.reached is not None
        assert bond.reached_bridged is not None
        assert float(bond.reached_bridged) < float(bond.reached), "a bridged bag takes the air's help away"
        cell = f.wet_cell(
            temperature=float(bond.reached),
            sealed_at=291.15,
            sealed_pressure=float(made.ledger["bay.barometer"]),
        )
        lift = f.lifting(cell=cell, outside=float(made.ledger["bay.barometer"]))
        assert bond.strength is not None
        assert f.reserve(strength=float(bond.strength), lift=lift) == pytest.approx(1.0, rel=1e-9)


def test_a_bond_nobody_reaches_has_no_temperature() -> None:
    made = plan(('flatwise_hot_wet = "2 MPa"', 'flatwise_hot_wet = "90 MPa"'))
    panel = next(b for b in part(made).bonds if b.id == "panel")
    assert panel.reached is None
    assert panel.strength is not None
    with pytest.raises(Exception, match="at no temperature"):
        steam.cell_temperature(90e6, 291.15, 98500.0)


def test_every_heating_step_is_there_once() -> None:
    def celsius(made: Plan) -> list[tuple[int, int]]:
        return [(h.number, round(float(h.temperature) - 273.15)) for h in part(made).heatings]

    chosen = [(0, 71), (1, 66), (1, 64), (1, 93), (2, 82), (2, 79), (2, 93)]
    assert celsius(plan()) == chosen, "drying, recipes, chosen set points, ceilings"
    top = [(0, 71), (1, 66), (1, 64), (1, 77), (2, 82), (2, 79), (2, 88)]
    assert celsius(plan(('ceiling = "93 C"\n', ""))) == top, "the top of the band stands in for a ceiling"


def test_a_bond_counts_after_the_cure_it_is_made_in() -> None:
    made = part(plan())
    by_number = {h.number: {r.bond: r for r in h.reserves} for h in made.heatings}
    assert set(by_number[0]) == {"panel"}
    assert by_number[1]["floor"].bridged is None
    assert "made in this cure" in by_number[1]["floor"].words
    assert by_number[2]["floor"].bridged is not None


def test_a_heated_step_never_leans_on_the_room_value() -> None:
    no_hot = plan(
        ('flatwise_strength = "5 MPa"\nflatwise_hot_wet = "2 MPa"', 'flatwise_strength = "5 MPa"'),
        ("plastic_strain = 0.5\nhot_wet_factor = 0.5\n", "plastic_strain = 0.5\n"),
    )
    panel = next(b for b in part(no_hot).bonds if b.id == "panel")
    assert panel.strength is None
    assert panel.cool is not None
    assert all(r.bridged is None for h in part(no_hot).heatings for r in h.reserves if r.bond == "panel")
    missing = [x for x in no_hot.findings if x.code == "D003"]
    assert len(missing) == 1
    assert "NOT KNOWN" in missing[0].words
    assert "supplier of Film adhesive" in missing[0].todo
    by_factor = plan(
        ('flatwise_strength = "5 MPa"\nflatwise_hot_wet = "2 MPa"', 'flatwise_strength = "5 MPa"')
    )
    panel = next(b for b in part(by_factor).bonds if b.id == "panel")
    assert panel.strength is not None
    assert float(panel.strength) == pytest.approx(2.5e6)


@pytest.mark.parametrize(
    ("moisture_", "code"), [("found", "D001"), ("not checked", "D001"), ("none found", "D002")]
)
def test_a_bond_too_weak_stops_where_it_may_be_wet(moisture_: str, code: str) -> None:
    made = plan(
        (
            'flatwise_strength = "5 MPa"\nflatwise_hot_wet = "2 MPa"',
            'flatwise_strength = "1 MPa"\nflatwise_hot_wet = "155 kPa"',
        ),
        ('moisture = "found"\nwet_area = "40 cm2"', f'moisture = "{moisture_}"'),
    )
    assert {"D001", "D002"} & codes(made) == {code}
    rows = [x for x in made.findings if x.code == code]
    assert {x.words.split(",")[0] for x in rows} == {"Core and cap", "Repair plies"}, "66 C and drying hold"
    waits = {f.code for f in made.draft_reasons} - {"H602"}  # heat without a prediction waits too
    assert ("D001" in waits) == (code == "D001")
    assert "D002" not in waits


def test_the_adhesive_of_the_panel_is_asked_for() -> None:
    made = plan((BOND, ""))
    asked = [x for x in made.findings if x.code == "D003"]
    assert len(asked) == 1
    assert asked[0].place == "panel.core.bond"
    assert "its maker" in asked[0].todo
    card = card_text(made)
    assert "Skins to core in the panel: NOT KNOWN" in card


# ---- Skins


def test_time_grows_with_the_square_of_the_thickness() -> None:
    """A cloth twice as thick takes four times as long, from one face and from both."""
    once = plan()
    twice = plan(('cured_thickness = "0.25 mm"', 'cured_thickness = "0.5 mm"'))
    for key in ("outside.bag_1", "outside.bag_2", "inside.bay_1", "inside.bay_2"):
        assert value(twice, f"drying.{key}.time") == pytest.approx(
            4 * value(once, f"drying.{key}.time"), rel=1e-9
        )


def test_one_face_takes_four_times_both() -> None:
    made = plan()
    for side in ("outside", "inside"):
        for gas in ("bay", "bag"):
            one, both = (value(made, f"drying.{side}.{gas}_{n}.time") for n in (1, 2))
            assert one == pytest.approx(4 * both, rel=1e-9)


def test_drying_for_the_time_to_a_content_leaves_that_content() -> None:
    made = plan()
    hours = value(made, "drying.outside.bay_1.time") / 3600.0
    again = plan(('duration = { value = "4 h"', f'duration = {{ value = "{hours!r} h"'))
    assert value(again, "drying.outside.bay_1.left") == pytest.approx(0.5, abs=1e-9)
    assert "D005" in codes(made)
    longer = plan(('duration = { value = "4 h"', f'duration = {{ value = "{1.01 * hours!r} h"'))
    assert "D005" not in codes(longer)


@SETTINGS
@given(
    st.floats(0.0, 1e6),
    st.floats(1.0, 1e6),
    st.floats(1e-4, 5e-3),
    st.floats(1e-14, 1e-11),
    st.floats(0.0, 0.9),
)
def test_content_falls_towards_the_air(t: float, more: float, h: float, d: float, outside: float) -> None:
    now, later = (moisture.content_after(s, h, d, open_faces=1, outside=outside) for s in (t, t + more))
    assert outside - 1e-12 <= later <= now + 1e-12 <= 1.0 + 2e-12
    both = moisture.content_after(t, h, d, open_faces=2, outside=outside)
    assert both <= now + 1e-12
    assert both == pytest.approx(
        moisture.content_after(t, h / 2, d, open_faces=1, outside=outside), abs=1e-12
    )


def _layered(thickness: list[float], rates: list[float], time: float, open_faces: int) -> float:
    """Content left in a layered sheet: finite volumes, exact in time; face 0 is closed where one is open."""
    cells = 60
    h = np.repeat([t / cells for t in thickness], cells)
    d = np.repeat(rates, cells)
    between = 1.0 / (0.5 * h[:-1] / d[:-1] + 0.5 * h[1:] / d[1:])
    flows = np.zeros((len(h), len(h)))
    for i, g in enumerate(between):
        flows[i, i] += g
        flows[i + 1, i + 1] += g
        flows[i, i + 1] -= g
        flows[i + 1, i] -= g
    flows[-1, -1] += d[-1] / (0.5 * h[-1])
    if open_faces == 2:
        flows[0, 0] += d[0] / (0.5 * h[0])
    root = np.sqrt(h)
    lam, vec = eigh(flows / root[:, None] / root[None, :])
    start = vec.T @ root
    return float(np.sum(start**2 * np.exp(-lam * time)) / np.sum(h))


def test_the_slowest_cloth_all_through_is_a_bound() -> None:
    """A layered sheet never holds more than one of its slowest cloth; the mean of resistances is no bound."""
    dice = random.Random("layers")
    below_mean = False
    for _ in range(40):
        thickness = [dice.uniform(1e-4, 6e-4) for _ in range(3)]
        rates = [10 ** dice.uniform(-12.5, -11.0) for _ in range(3)]
        whole = sum(thickness)
        series = whole / sum(t / r for t, r in zip(thickness, rates, strict=True))
        time = dice.uniform(0.02, 1.0) * whole**2 / series
        for faces in (1, 2):
            true = _layered(thickness, rates, time, faces)
            bound = moisture.content_after(time, whole, min(rates), open_faces=faces)
            assert true <= bound + 2e-4
            below_mean |= true > moisture.content_after(time, whole, series, open_faces=faces) + 0.02
    assert below_mean
    plain = _layered([3e-4, 3e-4], [1e-12, 1e-12], 2e4, 1)
    assert plain == pytest.approx(moisture.content_after(2e4, 6e-4, 1e-12, open_faces=1), abs=1e-4)


def test_the_mean_of_resistances_can_be_short_by_what_the_page_says() -> None:
    """Slow on the open face, fast behind: the slowest decay is 0.6 of that by the mean (x tan x = 1)."""
    slow, half = 1e-12, 3e-4
    late = [_layered([half, half], [1e-7, slow], t, 1) for t in (4e5, 5e5)]
    decay = math.log(late[0] / late[1]) / 1e5
    mean = math.pi**2 / 4 * (2 * slow) / (2 * half) ** 2
    assert mean / decay == pytest.approx(5 / 3, rel=0.01)


def test_several_cloths_dry_like_the_slowest() -> None:
    slow = CONSTANTS.replace("6.0 mm2/s", "3.0 mm2/s")
    mixed = (
        '{ cloth = "demo-glass-8h", warp = "45 deg" },\n] }',
        '{ cloth = "demo-glass-plain", warp = "45 deg" },\n] }',
    )
    made = plan((CONSTANTS, slow), mixed)
    inner = next(s for s in part(made).skins if s.side == "inside")
    assert set(inner.cloths) == {"demo-glass-8h", "demo-glass-plain"}
    rates = [value(made, f"drying.{c}.diffusivity") for c in inner.cloths]
    assert float(inner.slowest) == min(rates) < max(rates)
    assert made.ledger["drying.inside.slowest"].formula.endswith("slowest")


def test_of_cloths_alike_the_first_lets_the_water_out_whatever_it_is_called() -> None:
    mixed = [
        (
            '{ cloth = "demo-glass-8h", warp = "45 deg" },\n] }',
            '{ cloth = "demo-glass-plain", warp = "45 deg" },\n] }',
        )
    ]
    alike = [(PLAIN, CONSTANTS)]
    skin = next(s for s in part(plan(*alike, *mixed)).skins if s.side == "inside")
    assert skin.core_time is not None
    assert skin.cloths[0] == min(skin.cloths) < max(skin.cloths)
    assert dict(skin.core_time.inputs)["saturation"] == f"drying.{skin.cloths[0]}.saturation"
    wetter = [(PLAIN, CONSTANTS.replace("1.6 %", "1.61 %"))]
    skin = next(s for s in part(plan(*wetter, *mixed)).skins if s.side == "inside")
    assert skin.core_time is not None
    assert dict(skin.core_time.inputs)["saturation"] == f"drying.{skin.cloths[1]}.saturation"


def test_dry_gas_beats_the_bay_and_a_bag_full_of_steam_does_not() -> None:
    made = plan()
    for n in (1, 2):
        assert value(made, f"drying.outside.bag_{n}.left") < value(made, f"drying.outside.bay_{n}.left")
    most = value(made, "drying.bag_content_most")
    assert value(made, "drying.air_content") < most < 1.0
    assert most == pytest.approx(value(made, "drying.bag_absolute") / steam.saturation_pressure(344.15))


def test_humid_air_without_a_reading_is_taken_at_its_wettest() -> None:
    given, unknown = plan(), plan(('humidity = "55 %"\n', ""))
    ratio = value(unknown, "drying.air_content") / value(given, "drying.air_content")
    assert ratio == pytest.approx(1 / 0.55)
    assert not unknown.ledger["drying.humidity_most"].is_default


def test_nothing_is_assumed_for_a_missing_constant() -> None:
    """Without the pair no skin is predicted, whatever else the document says; the card says NOT PREDICTED."""
    bare = plan((CONSTANTS, ""))
    assert part(bare).skins == ()
    assert not [k.key for k in bare.ledger if k.key.startswith(("drying.outside", "drying.inside"))]
    asked = [x for x in bare.findings if x.code == "D004"]
    assert len(asked) == 1
    assert "NOT PREDICTED" in asked[0].words
    assert "how fast water leaves demo-glass-8h [thermal.moisture_d0" in asked[0].words
    assert "NOT PREDICTED" in card_text(bare)
    assert "D005" not in codes(bare)


@pytest.mark.parametrize("name", ["access_door_no_fit", "cowling"])
def test_an_example_without_constants_says_so(name: str) -> None:
    made = make_plan(case(name))
    assert "D004" in codes(made)
    assert "NOT PREDICTED" in card_text(made)


def test_water_in_the_core_outlasts_any_drying() -> None:
    made = plan()
    duration = value(made, "drying.duration")
    for skin in part(made).skins:
        assert skin.core_time is not None
        assert float(skin.core_time) > 100 * duration
    thick = plan(('cured_thickness = "0.25 mm"', 'cured_thickness = "0.5 mm"'))
    assert value(thick, "drying.inside.core_time") > 1.9 * value(made, "drying.inside.core_time")
