"""The line sweeps of the heat solver beside whole matrices solved at once, and its control law by hand."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest

from panelmend.physics.heat import INSULATED, Grid, Heater, HeatLayer, HeatModel, compiled
from panelmend.physics.heat.kernel import _control
from panelmend.physics.heat.state import HeatState
from panelmend.physics.heat.sweeps import factor, sweep_x, sweep_y, sweep_z

HALF = 7.0  # [s] half a step


def patched() -> HeatState:
    """Three layers on 9 x 7 cells of uneven size, the upper two over a part of the panel only."""
    dice = np.random.default_rng(5)
    nx, ny = 7, 9
    grid = Grid(
        tuple(np.cumsum(dice.uniform(0.01, 0.03, nx + 1))), tuple(np.cumsum(dice.uniform(0.01, 0.03, ny + 1)))
    )

    def somewhere(rows: slice, columns: slice) -> np.ndarray:
        made = np.zeros((ny, nx))
        made[rows, columns] = dice.uniform(1e-3, 2e-3, made[rows, columns].shape)
        return made

    layers = (
        HeatLayer("top", somewhere(slice(2, 8), slice(1, 6)), 3.0, 1.0, 0.5, 2e6),
        HeatLayer("middle", somewhere(slice(1, 7), slice(2, 7)), 1.0, 4.0, 0.3, 1e6),
        HeatLayer("skin", 1e-3, 2.0, 5.0, 0.7, 1.6e6, cells=2),
    )
    start = dice.uniform(290.0, 400.0, (ny, nx))
    state = HeatState(HeatModel(grid, layers, start, (INSULATED,)), 2 * HALF, 1e3, 1)
    state.T[...] = dice.uniform(290.0, 400.0, state.T.shape)
    return state


def matrix(state: HeatState, axes: tuple[int, ...]) -> np.ndarray:
    """What every cell gains from its neighbours along axes 0 (through), 1 (y) and 2 (x) [W/K]."""
    number = np.arange(state.T.size).reshape(state.T.shape)
    made = np.zeros((state.T.size, state.T.size))
    for axis, g in zip((0, 1, 2), (state.solid.g_z, state.solid.g_y, state.solid.g_x), strict=True):
        if axis not in axes:
            continue
        last = state.T.shape[axis] - 1
        one, two = (np.take(number, np.arange(k, last + k), axis).ravel() for k in (0, 1))
        between = np.take(g, np.arange(last), axis).ravel()
        made[one, two] += between
        made[two, one] += between
        made[one, one] -= between
        made[two, two] -= between
    return made


@pytest.mark.parametrize("width", [1.0, 2.0 * HALF])
def test_a_sweep_through_the_thickness_solves_its_columns(width: float) -> None:
    """(C + h s - h Az) d = w (A T + q - s T)."""
    state = patched()
    dice = np.random.default_rng(9)
    there = state.solid.present
    q, s = (np.where(there, dice.uniform(0.0, high, there.shape), 0.0) for high in (5.0, 0.01))
    flat_T, flat_Gx, flat_Gy = state.padded
    d, u = np.zeros_like(state.T), np.zeros((state.T.shape[0], state.most))
    solid = state.solid
    sweep_z(flat_T, solid.capacity, flat_Gx, flat_Gy, solid.g_z, q, s, width, HALF, state.where[2], d, u)
    right = width * (matrix(state, (0, 1, 2)) @ state.T.ravel() + q.ravel() - s.ravel() * state.T.ravel())
    left = np.diag(solid.capacity.ravel() + HALF * s.ravel()) - HALF * matrix(state, (0,))
    dense = np.linalg.solve(left, right).reshape(d.shape)
    assert d[there] == pytest.approx(dense[there], rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(("axis", "rows"), [(2, 3), (1, 4)])
def test_a_sweep_along_the_panel_solves_its_lines(axis: int, rows: int) -> None:
    """(C - h A) d = C d0 along x and along y, four rows at once or the odd one alone."""
    state = patched()
    there = state.solid.present
    first = np.where(there, np.random.default_rng(3).uniform(-1.0, 1.0, there.shape), 0.0)
    g = state.solid.g_x if axis == 2 else state.solid.g_y
    pivots, d = np.empty_like(state.T), first.copy()
    factor(state.solid.capacity, g, HALF, axis, pivots)
    (sweep_x if axis == 2 else sweep_y)(state.solid.capacity, g, pivots, HALF, state.where[rows], d)
    capacity = state.solid.capacity.ravel()
    left = np.diag(capacity) - HALF * matrix(state, (axis,))
    dense = np.linalg.solve(left, capacity * first.ravel()).reshape(d.shape)
    assert d[there] == pytest.approx(dense[there], rel=1e-9, abs=1e-12)


LEG = (350.0, 0.05, 60.0, 2.0, 0.0)  # target [K], rate [K/s], dwell [s], band [K], cooling
SEEN = (340.0, 352.0, 346.0)  # [K]


def controlled(
    follow: float, leg: tuple[float, ...] = LEG, seen: tuple[float, ...] = SEEN, **more: float
) -> tuple[float, np.ndarray, np.ndarray, bool]:
    """Duty, state and events of one heater after 10 s at 100 s, and whether every recipe has ended."""
    given = {
        "gain": 0.02,
        "reset": 200.0,
        "most": 1.0,
        "ceiling": 400.0,
        "set": 345.0,
        "integral": 0.1,
    } | more
    segments = np.array([[leg, (0.0,) * 5]])
    setting = np.array([[follow, given["gain"], given["reset"], given["most"], given["ceiling"]]])
    state = np.zeros((1, 7))
    state[0, 1], state[0, 4] = given["set"], given["integral"]
    state[0, 2:4] = given.get("holding", 0.0), given.get("clock", 0.0)
    events, duty = np.full((1, 2, 3), -1.0), np.zeros(1)
    count = np.array([len(seen)])
    over = _control(100.0, 10.0, np.array(seen), np.array([0]), count, segments, setting, state, events, duty)
    return float(duty[0]), state[0], events[0, 0], over


@pytest.mark.parametrize(
    ("follow", "value"), [(0.0, 352.0), (1.0, 340.0), (2.0, 346.0)], ids=["leading", "lagging", "average"]
)
def test_a_controller_drives_by_the_sensor_it_follows(follow: float, value: float) -> None:
    """The set point moves by 0.05 K/s x 10 s to 345.5 K; duty = 0.02/K x error + what was summed up."""
    duty, state, _, over = controlled(follow)
    assert not over
    assert state[1] == pytest.approx(345.5)
    assert (state[5], state[6]) == (352.0, 340.0)
    error = 345.5 - value
    summed = max(0.1 + 0.02 * error * 10.0 / 200.0, 0.0) if 0.02 * error + 0.1 >= 0.0 else 0.1
    assert state[4] == pytest.approx(summed)
    assert duty == pytest.approx(max(0.02 * error + summed, 0.0))


def test_what_is_summed_stands_still_while_the_duty_is_at_its_end() -> None:
    assert controlled(1.0, gain=0.2)[:1] == (1.0,)
    assert controlled(1.0, gain=0.2)[1][4] == 0.1
    assert controlled(0.0, gain=0.2)[0] == 0.0
    assert controlled(0.0, gain=0.2)[1][4] == 0.1
    assert controlled(1.0, gain=0.2, most=0.6)[0] == pytest.approx(0.6)


@pytest.mark.parametrize(("ceiling", "driven"), [(352.0, True), (351.9, False)])
def test_power_is_cut_above_the_ceiling(ceiling: float, driven: bool) -> None:
    assert (controlled(1.0, ceiling=ceiling)[0] > 0.0) == driven


@pytest.mark.parametrize(
    ("leg", "seen", "holding"),
    [
        (LEG, (348.0, 360.0), True),  # the coldest has come within the band
        (LEG, (347.9, 360.0), False),
        ((330.0, 0.05, 60.0, 2.0, 1.0), (325.0, 332.0), True),  # the hottest has come down within the band
        ((330.0, 0.05, 60.0, 2.0, 1.0), (325.0, 332.1), False),
    ],
)
def test_the_clock_runs_where_all_are_within_the_band(
    leg: tuple[float, ...], seen: tuple[float, ...], holding: bool
) -> None:
    duty, state, events, _ = controlled(1.0, leg, seen, set=leg[0])
    assert events[0] == 100.0
    assert events[1] == (100.0 if holding else -1.0)
    assert state[3] == (10.0 if holding else 0.0)
    if leg[4]:
        assert duty == 0.0  # nobody heats at the end of the last cool-down


@pytest.mark.parametrize(("clock", "ended"), [(40.0, False), (50.0, True)])
def test_a_leg_ends_when_its_dwell_is_full(clock: float, ended: bool) -> None:
    _, state, events, over = controlled(1.0, LEG, (349.0, 351.0), set=350.0, holding=1.0, clock=clock)
    assert (state[0] == 1.0) == ended
    assert events[2] == (100.0 if ended else -1.0)
    assert not over


def test_a_set_point_stops_at_its_target_from_either_side() -> None:
    assert controlled(1.0, set=349.8)[1][1] == 350.0
    assert controlled(1.0, (330.0, *LEG[1:4], 1.0), set=330.3)[1][1] == pytest.approx(330.0)
    assert controlled(1.0, (330.0, *LEG[1:4], 1.0), set=345.0)[1][1] == pytest.approx(344.5)


def test_a_heater_of_constant_duty_and_one_whose_recipe_is_over() -> None:
    assert controlled(3.0, most=0.3)[0] == 0.3
    assert not controlled(3.0, most=0.3)[3]
    duty, _, _, over = controlled(1.0, (0.0,) * 5)
    assert (duty, over) == (0.0, True)


@pytest.mark.parametrize(("after", "driven"), [((0.0,) * 5, False), (LEG, True)])
def test_only_the_last_cool_down_ends_the_heating(after: tuple[float, ...], driven: bool) -> None:
    """A cool-down that another leg follows goes on holding its coldest place, by 0.02/K x 8 K and what was
    summed up; the last one does not."""
    segments = np.array([[(330.0, 0.05, 60.0, 2.0, 1.0), after]])
    state, events, duty = np.zeros((1, 7)), np.full((1, 2, 3), -1.0), np.zeros(1)
    state[0, 1], state[0, 4] = 330.0, 0.1
    setting = np.array([[1.0, 0.02, 200.0, 1.0, 400.0]])
    seen = np.array([322.0, 331.0])
    _control(100.0, 10.0, seen, np.array([0]), np.array([2]), segments, setting, state, events, duty)
    summed = 0.1 + 0.02 * 8.0 * 10.0 / 200.0
    assert duty[0] == (pytest.approx(0.02 * 8.0 + summed) if driven else 0.0)


@pytest.mark.parametrize("cells", [1, 2, 3])
def test_the_power_of_a_heater_is_that_of_its_area_however_many_cells_its_layer_has(cells: int) -> None:
    """3 kW/m2 on 0.1 x 0.2 m and 0.3 x 0.2 m: 240 W in all, each layer of cells its share."""
    grid = Grid((0.0, 0.1, 0.4), (0.0, 0.2))
    layers = (
        HeatLayer("above", 1e-3, 1.0, 1.0, 1.0, 2e6),
        HeatLayer("sheet", 3e-3, 1.0, 1.0, 1.0, 2e6, cells=cells),
    )
    heater = Heater("b", "sheet", 3000.0)
    made = HeatState(HeatModel(grid, layers, 300.0, (INSULATED,), heaters=(heater,)), 10.0, 1e3, 1)
    where, watts, owner = made.heaters[:3]
    assert where.tolist() == list(range(2, 2 + 2 * cells))
    assert watts == pytest.approx(np.tile([60.0, 180.0], cells) / cells)
    assert owner.tolist() == [0] * (2 * cells)


def test_compiled_code_is_kept_by_the_name_and_text_of_each_source(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A changed text, a changed name, and text that moves from one file to the next are other sources."""

    def digest(files: dict[str, bytes]) -> str:
        for old in tmp_path.glob("*.py"):
            old.unlink()
        for name, text in files.items():
            (tmp_path / name).write_bytes(text)
        return compiled.sources_digest.__wrapped__()

    monkeypatch.setattr(compiled, "KEYED", (tmp_path,))
    every = [
        {"a.py": b"one", "b.py": b"two"},
        {"a.py": b"one", "b.py": b"tow"},
        {"a.py": b"one", "c.py": b"two"},
        {"a.py": b"onet", "b.py": b"wo"},
        {"a.py": b"one"},
    ]
    found = [digest(files) for files in every]
    assert len(set(found)) == len(every)
    assert digest(every[0]) == found[0]
    assert found[0] == hashlib.sha256(b"a.py\0one\0b.py\0two\0").hexdigest()
