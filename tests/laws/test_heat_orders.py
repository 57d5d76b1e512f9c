"""More laws of the heat solver: order in the grid, turned panels, reciprocity, extremes, what draws heat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.physics.cure_chemistry import autocatalytic, n_order
from panelmend.physics.fin import fin_conductance
from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResin,
    HeatResult,
    Watch,
    Water,
    held,
    lines,
    run,
)

AIR = 293.15
SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=25)


def _end(model: HeatModel, longest: float, step: float) -> HeatResult:
    return run(model, step=step, sample=longest, longest=longest)


# ---- order in the grid


def _wave(n: int, stretch: float = 0.0) -> float:
    """Worst error of a cosine that dies away along x between insulated ends, relative."""
    length, k, rho_c, time = 0.1, 10.0, 2e6, 400.0
    even = np.linspace(0.0, 1.0, n + 1)
    x = length * (even + stretch * np.sin(2 * math.pi * even) / (2 * math.pi))
    grid = Grid(tuple(float(v) for v in x), (0.0, 0.05))
    start = AIR + 50.0 * np.cos(math.pi * grid.cx / length)[None, :]
    model = HeatModel(grid, (HeatLayer("bar", 1e-3, k, 0.0, k, rho_c),), start, (INSULATED,))
    found = _end(model, time, 0.5).temperature[0, 0] - AIR
    exact = 50.0 * np.cos(math.pi * grid.cx / length) * math.exp(-k / rho_c * (math.pi / length) ** 2 * time)
    return float(np.abs(found - exact).max() / np.abs(exact).max())


@pytest.mark.parametrize("stretch", [0.0, 0.5])
def test_halving_the_cells_quarters_the_error_in_the_plane(stretch: float) -> None:
    coarse, middle, fine = (_wave(n, stretch) for n in (8, 16, 32))
    assert coarse > 3.2 * middle > 3.2 * 3.2 * fine
    assert fine < 6e-3


def test_halving_the_cells_quarters_the_error_through_the_thickness() -> None:
    """A slab with heat of its own between held faces: q L^2/8k over the faces in the middle once steady."""
    k, thick, density = 0.4, 0.02, 20e3

    def middle(n: int) -> float:
        slab = HeatLayer("slab", thick, 0.0, 0.0, k, 1e4, cells=n)
        heater = Heater("h", "slab", density)
        places = (HeatPlace("p", "slab", 0, 0, cell=n // 2),)
        model = HeatModel(
            Grid((0, 0.1), (0, 0.1)), (slab,), AIR, (held(AIR),), heaters=(heater,), probes=places
        )
        return float(_end(model, 600.0, 1.0).probes["p"][-1]) - AIR

    exact = density * thick / (8.0 * k)
    errors = [abs(middle(n) - exact) for n in (5, 11, 23)]  # odd: a cell lies in the middle
    assert errors[0] > 3.2 * errors[1] > 3.2 * 3.2 * errors[2]
    assert errors[2] < 0.005 * exact


def test_a_stretched_grid_gives_what_an_even_one_gives() -> None:
    def plate(x: tuple[float, ...]) -> float:
        grid = Grid(x, x)
        patch = grid.rectangle(-0.05, 0.05, -0.05, 0.05)
        model = HeatModel(
            grid,
            (HeatLayer("s", 1e-3, 5.0, 5.0, 0.5, 1.6e6),),
            AIR,
            (FaceCover(AIR, film=15.0), INSULATED),
            bottom=1,
            heaters=(Heater("h", "s", 2000.0 * patch),),
            probes=(HeatPlace("p", "s", 0.04, 0.0),),
        )
        return float(_end(model, 1800.0, 10.0).probes["p"][-1])

    even = plate(tuple(np.linspace(-0.3, 0.3, 241)))
    stretched = plate(lines((-0.05, 0.05), -0.3, 0.3, 0.005))
    assert stretched == pytest.approx(even, abs=0.1)


def test_order_in_time_with_heat_of_cure() -> None:
    """The rate is taken at the temperature carried forward: the error falls at least threefold by halving."""
    law = autocatalytic(2e4, 6.5e4, 3e5, 6.2e4, 0.8, 1.6)
    layers = (HeatLayer("patch", 2e-3, 0.0, 0.0, 0.4, 1.8e6, cells=2, resin=HeatResin(law, 4e5)),)
    model = HeatModel(
        Grid((0, 0.1), (0, 0.1)),
        layers,
        360.0,
        (FaceCover(380.0, film=25.0), INSULATED),
        bottom=1,
        probes=(HeatPlace("p", "patch", 0, 0),),
    )
    ends = {dt: float(_end(model, 1200.0, dt).probes["p"][-1]) for dt in (60.0, 30.0, 15.0, 1.0)}
    coarse, middle, fine = (abs(ends[dt] - ends[1.0]) for dt in (60.0, 30.0, 15.0))
    assert coarse > 3.0 * middle > 3.0 * 3.0 * fine > 0.0


def test_a_run_whose_step_is_split_is_that_of_short_steps() -> None:
    """Resin that runs up under changing air: the long step is cut where it must be, no heat is lost."""
    law = autocatalytic(2e4, 6.5e4, 3e6, 6.2e4, 0.8, 1.6)
    air = ((0.0, 300.0), (1800.0, 370.0), (5000.0, 310.0))
    model = HeatModel(
        Grid((0, 0.1), (0, 0.1)),
        (HeatLayer("pot", 20e-3, 0.3, 0.3, 0.3, 1.6e6, cells=20, resin=HeatResin(law, 5e6)),),
        330.0,
        (FaceCover(350.0, film=15.0, history=air), INSULATED),
        bottom=1,
        probes=(HeatPlace("p", "pot", 0, 0),),
    )
    told: list[str] = []
    whole, short = (
        run(model, longest=7200.0, step=step, sample=60.0, report=lambda p: told.append(p.words))
        for step in (60.0, 2.0)
    )
    assert any("steps of" in words for words in told), "no step was split"
    a, b = (np.asarray(r.probes["p"]) for r in (whole, short))
    assert a.max() == pytest.approx(b.max(), abs=0.1)
    assert a.max() > 440.0
    assert a == pytest.approx(b, abs=1.5)  # 60 s beside 2 s on the steep flank
    assert a[-1] == pytest.approx(b[-1], abs=0.05)
    assert abs(whole.energy.unbalanced) < 1e-9


# ---- turned and mirrored


def _stack(order: int = 1, *, resin: bool = False) -> HeatModel:
    """An uneven stack; with order -1 the same seen from the other face."""
    x = tuple(np.linspace(-0.1, 0.1, 11))
    grid = Grid(x, tuple(np.linspace(-0.06, 0.08, 8)))
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    rib = np.where((cx > 0.02) & (cx < 0.06), 6e-3, 0.0)
    cure = HeatResin(n_order(2e5, 6.5e4, 1.4), 2e5) if resin else None
    layers = [
        HeatLayer("blanket", 2e-3, 0.2, 0.2, 0.2, 2e6),
        HeatLayer("skin", 1e-3, 3.0, 2.0, 0.5, 1.6e6, resin=cure),
        HeatLayer("core", 0.015, 0.05, 0.04, 0.07, 6e4, cells=3),
        HeatLayer("back", 1e-3, 3.0, 2.0, 0.5, 1.6e6),
        HeatLayer("rib", rib, 100.0, 100.0, 100.0, 2.4e6),
    ]
    joints = [0.0, 1e-3, 5e-4, 2e-3, 0.0]  # under each layer
    if order < 0:
        layers = layers[::-1]
        joints = [*joints[:-1][::-1], 0.0]
    model = HeatModel(
        grid,
        tuple(replace(layer, contact=joint) for layer, joint in zip(layers, joints, strict=True)),
        AIR,
        (FaceCover(AIR, film=12.0, emissivity=0.8), FaceCover(AIR - 4.0, film=6.0)),
        top=0 if order > 0 else 1,
        bottom=1 if order > 0 else 0,
        heaters=(Heater("h", "blanket", np.where((cx < 0.04) & (cy < 0.05), 3000.0, 0.0)),),
    )
    return model


@pytest.mark.parametrize("resin", [False, True])
def test_a_panel_turned_over_gives_the_answer_turned_over(resin: bool) -> None:
    one, two = (_end(_stack(way, resin=resin), 1800.0, 10.0) for way in (1, -1))
    assert np.array_equal(one.present, two.present[::-1])
    there = one.present
    assert np.abs(one.temperature - two.temperature[::-1])[there].max() < 1e-6
    assert one.temperature[there].max() > AIR + 50.0


def test_a_panel_mirrored_in_y_gives_the_mirrored_answer() -> None:
    one = _stack()
    y = tuple(-v for v in reversed(one.grid.y))
    heat = np.asarray(one.heaters[0].power)[::-1]
    two = replace(one, grid=Grid(one.grid.x, y), heaters=(replace(one.heaters[0], power=heat),))
    a, b = _end(one, 1800.0, 10.0), _end(two, 1800.0, 10.0)
    assert np.allclose(a.temperature, b.temperature[:, ::-1, :], atol=1e-7)


# ---- linear laws, where films are given


def _plate(power: np.ndarray, probes: tuple[HeatPlace, ...]) -> HeatModel:
    x = tuple(np.linspace(0.0, 0.2, 21))
    rib = np.zeros((20, 20))
    rib[:, 12:14] = 5e-3
    layers = (
        HeatLayer("skin", 1e-3, 2.0, 4.0, 0.5, 1.6e6),
        HeatLayer("core", 0.01, 0.05, 0.05, 0.07, 6e4),
        HeatLayer("back", 1e-3, 2.0, 4.0, 0.5, 1.6e6),
        HeatLayer("rib", rib, 120.0, 120.0, 120.0, 2.4e6),
    )
    return HeatModel(
        Grid(x, x),
        layers,
        AIR,
        (FaceCover(AIR, film=12.0), FaceCover(AIR, film=7.0)),
        bottom=1,
        heaters=(Heater("h", "skin", power),),
        probes=probes,
    )


def test_two_heats_add_up_and_twice_the_heat_is_twice_the_rise() -> None:
    a, b = np.zeros((20, 20)), np.zeros((20, 20))
    a[3:8, 3:8], b[10:18, 9:15] = 2500.0, 1000.0
    rises = [_end(_plate(p, ()), 1200.0, 10.0).temperature - AIR for p in (a, b, a + b, 2.0 * a)]
    assert np.allclose(rises[0] + rises[1], rises[2], atol=1e-8)
    assert np.allclose(2.0 * rises[0], rises[3], atol=1e-8)


def _there(source: tuple[int, int], seen: tuple[int, int], time: float, step: float) -> float:
    power = np.zeros((20, 20))
    power[source] = 1e5
    place = HeatPlace("p", "skin", 0.005 + 0.01 * seen[1], 0.005 + 0.01 * seen[0])
    return float(_end(_plate(power, (place,)), time, step).probes["p"][-1]) - AIR


def test_heat_here_warms_there_as_much_as_heat_there_warms_here() -> None:
    """Reciprocity of the conduction equation, across the rib.

    Sweeping x before y breaks it early on by 0.03 % at 10 s, a quarter of that at 5 s; steady it is exact.
    """
    here, there = (4, 5), (15, 16)

    def gap(time: float, step: float) -> float:
        one, two = _there(here, there, time, step), _there(there, here, time, step)
        assert one > 1e-3
        return abs(one / two - 1.0)

    assert gap(600.0, 10.0) < 5e-4
    assert gap(600.0, 5.0) < 0.3 * gap(600.0, 10.0)
    assert gap(6000.0, 10.0) < 1e-6


def test_once_steady_all_power_is_lost() -> None:
    power = np.zeros((20, 20))
    power[5:15, 5:15] = 1500.0
    result = _end(_plate(power, ()), 36000.0, 20.0)
    t, area = result.temperature, 1e-4
    film = 1.0 / (1.0 / 12.0 + 0.5e-3 / 0.5)  # from the middle of the skin to the air
    lost = (film * area * (t[0] - AIR)).sum()
    bare = np.asarray(_plate(power, ()).layers[3].thickness) == 0.0
    lower = np.where(bare, t[2], t[3])
    series = np.where(bare, 0.5e-3 / 0.5, 2.5e-3 / 120.0)
    lost += (area * (lower - AIR) / (1.0 / 7.0 + series)).sum()
    assert lost == pytest.approx(1500.0 * 100 * area, rel=1e-6)


# ---- extremes


@SETTINGS
@given(st.data())
def test_nothing_leaves_the_range_it_may_have(data: st.DataObject) -> None:
    """Without heat: between the coldest and hottest of start and air. With heat: never below the coldest."""
    number = st.floats(0.0, 1.0)
    start = np.array([[280.0 + 120.0 * data.draw(number) for _ in range(4)] for _ in range(3)])
    air = 280.0 + 40.0 * data.draw(number)
    layers = (
        HeatLayer("a", 1e-3, 10.0 ** data.draw(st.floats(-1.0, 2.0)), 1.0, 0.5, 1.6e6),
        HeatLayer("b", 0.01, 0.05, 0.05, 10.0 ** data.draw(st.floats(-1.5, 0.5)), 1e5, cells=2),
        HeatLayer("c", 2e-3, 2.0, 2.0, 0.5, 1.6e6, contact=data.draw(st.floats(0.0, 1e-2))),
    )
    grid = Grid((0.0, 0.02, 0.05, 0.06, 0.10), (0.0, 0.03, 0.05, 0.09))
    model = HeatModel(grid, layers, start, (FaceCover(air, film=20.0, emissivity=0.9),))
    low, high = min(air, float(start.min())), max(air, float(start.max()))
    cold = _end(model, 300.0, 2.0)
    assert cold.temperature.min() >= low - 1e-6
    assert cold.temperature.max() <= high + 1e-6
    warm = _end(
        replace(model, heaters=(Heater("h", "a", 2000.0 * data.draw(st.floats(0.01, 1.0))),)), 300.0, 2.0
    )
    assert warm.temperature.min() >= low - 1e-6
    assert (warm.temperature >= cold.temperature - 1e-6).all(), "heat makes nothing colder"


# ---- heat of cure and of water


def test_adiabatic_cure_rises_by_its_heat() -> None:
    """Nothing lost: the rise is heat of cure times its degree over the heat capacity, to 0.01 %."""
    law = n_order(2e5, 6.5e4, 1.4)
    layer = HeatLayer("patch", 2e-3, 0.0, 0.0, 0.4, 1.8e6, resin=HeatResin(law, 2.5e5))
    everywhere = np.ones((1, 1), dtype=bool)
    model = HeatModel(
        Grid((0, 0.1), (0, 0.1)), (layer,), 360.0, (INSULATED,), watches=(Watch("all", "patch", everywhere),)
    )
    result = run(model, step=2.0, sample=60.0, longest=7200.0)
    region = result.region("all")
    rise, degree = region.temperature[:, 0] - 360.0, region.degree[:, 0]
    assert degree[-1] > 0.9
    assert rise == pytest.approx(2.5e5 * degree / (1.8e6 * 2e-3), rel=1e-4, abs=1e-6)
    assert abs(result.energy.unbalanced) < 1e-3


def test_only_the_lively_part_of_a_run_is_taken_in_small_steps() -> None:
    """A layer that runs 150 K up within minutes: as from small steps all through, in a fifth of them."""
    law = n_order(4e8, 8.5e4, 1.2)
    layer = HeatLayer("patch", 4e-3, 0.0, 0.0, 0.4, 1.8e6, resin=HeatResin(law, 1.1e6))
    everywhere = np.ones((1, 1), dtype=bool)
    air = FaceCover(370.0, film=6.0, history=((0.0, 300.0), (1800.0, 370.0)))
    model = HeatModel(
        Grid((0, 0.1), (0, 0.1)), (layer,), 300.0, (INSULATED, air), bottom=1,
        watches=(Watch("all", "patch", everywhere),),
    )  # fmt: skip
    coarse = run(model, step=20.0, sample=60.0, longest=4 * 3600.0)
    fine = run(model, step=0.3125, sample=60.0, longest=4 * 3600.0)
    one, other = (r.region("all").temperature[:, 0] for r in (coarse, fine))
    assert other.max() > 480.0, "it runs up"
    assert one.max() == pytest.approx(other.max(), abs=1.0)
    assert np.array_equal(coarse.times, fine.times)
    assert one[-1] == pytest.approx(other[-1], abs=0.3)
    assert coarse.steps < 0.2 * fine.steps
    assert coarse.step == 20.0
    assert abs(coarse.energy.unbalanced) < 1e-3


def test_energy_adds_up_with_everything_at_once() -> None:
    """Cure, boiling water, a rib, insulation, radiation and a joint: 0.1 % of the largest term."""
    model = _stack(resin=True)
    layers = [
        replace(layer, water=Water(3.0, sealed=False, boiling=345.0)) if layer.name == "core" else layer
        for layer in model.layers
    ]
    insulated = FaceCover(AIR, emissivity=0.9, insulation=0.08, facing="down")
    made = replace(model, layers=tuple(layers), covers=(model.covers[0], insulated))
    energy = _end(made, 7200.0, 10.0).energy
    assert abs(energy.unbalanced) < 1e-3
    assert min(energy.heaters, energy.cure, energy.latent, energy.stored, *energy.lost) > 0.0


# ---- what draws heat


def _over_rib(contact: float, *, rib: float = 5e-3, insulation: float = 0.0) -> tuple[float, float]:
    """Skin over the rib and far from it, in the heated middle of a panel."""
    x = tuple(np.linspace(-0.1, 0.1, 41))
    grid = Grid(x, (0.0, 0.05))
    under = (np.abs(grid.cx) < 0.02)[None, :]
    layers = (
        HeatLayer("skin", 2e-3, 2.0, 2.0, 0.5, 1.6e6, contact=np.where(under, contact, 0.0)),
        HeatLayer("rib", np.where(under, rib, 0.0), 120.0, 120.0, 120.0, 2.4e6),
    )
    model = HeatModel(
        grid,
        layers,
        AIR,
        (
            FaceCover(AIR, film=10.0),
            FaceCover(AIR, film=80.0, insulation=insulation),
            FaceCover(AIR, film=10.0),
        ),
        bottom=np.where(under, 1, 2),
        heaters=(Heater("h", "skin", 2000.0),),
        probes=(HeatPlace("over", "skin", 0.0, 0.02), HeatPlace("far", "skin", 0.095, 0.02)),
    )
    result = _end(model, 7200.0, 10.0)
    return float(result.probes["over"][-1]), float(result.probes["far"][-1])


def test_a_rib_cools_what_lies_over_it_the_more_the_better_it_touches() -> None:
    over = [_over_rib(c)[0] for c in (1.0, 1e-2, 1e-3, 1e-5)]
    assert over == sorted(over, reverse=True)
    cold, far = _over_rib(1e-3)
    assert cold < far - 20.0
    assert _over_rib(1e-3, insulation=0.2)[0] > cold + 15.0, "insulation on the rib brings it back"


def test_a_web_as_a_film_draws_what_a_fin_draws() -> None:
    """The web of a rib, put as the film that its fin makes, draws by the fin's own formula."""
    film, k, web, height, width = 9.0, 150.0, 2e-3, 0.06, 0.02
    per_metre = fin_conductance(film, k, web, height)
    grid = Grid((0.0, width), (0.0, 1.0))
    flange = HeatLayer("flange", 2e-3, k, k, k, 2.4e6)
    covers = (INSULATED, FaceCover(AIR, film=per_metre / width))
    model = HeatModel(grid, (flange,), AIR, covers, bottom=1, heaters=(Heater("h", "flange", 500.0),))
    found = float(_end(model, 3e5, 100.0).temperature[0, 0, 0]) - AIR
    inside = 500.0 * 0.5 * 2e-3 / k  # half the flange lies between its middle and the web's foot
    assert found - inside == pytest.approx(500.0 * width / per_metre, rel=1e-5)
