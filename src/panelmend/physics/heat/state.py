"""The arrays a heat run works on, and what is made of them at its end."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from panelmend.errors import InputError
from panelmend.physics import steam
from panelmend.physics.heat import assemble
from panelmend.physics.heat.grid import Array
from panelmend.physics.heat.model import Follow, HeatModel, HeatPlace
from panelmend.physics.heat.places import weights
from panelmend.physics.heat.result import Energy, HeatResult, LegTimes, WatchedRegion
from panelmend.units.fundamental import ZERO_CELSIUS

_NEAR = 0.03  # m2 K/W: heat capacity within this resistance of a heater answers to its controller
_LOOP = 60.0  # s: closed-loop time of a controller; the same for any step up to half of it
_MODES = {Follow.LEADING: 0.0, Follow.LAGGING: 1.0, Follow.AVERAGE: 2.0, Follow.CONSTANT: 3.0}


class HeatState:
    """The arrays a run works on."""

    def __init__(self, model: HeatModel, step: float, longest: float, every: int) -> None:
        self.model, self.step = model, step
        self.solid = assemble.solid(model)
        self.where = assemble.where(self.solid)
        self.most = int((self.where[2][:, :, 1] - self.where[2][:, :, 2]).max())
        made = assemble.faces(model, self.solid)
        shape = self.solid.capacity.shape
        start = assemble.full(model.start, model.grid.shape, "start temperature")
        if start.min() < 200.0:
            raise InputError("no start temperature in kelvin", read=f"{start.min():g} K")
        self.padded = tuple(_padded(a, shape) for a in (start, self.solid.g_x, self.solid.g_y))
        self.T = self.padded[0][shape[2] : -shape[2]].reshape(shape)
        self.first_T = self.T.copy()
        self.old = self.T.copy()
        steps = math.ceil(longest / step - 1e-9)
        self.clock = np.array([0.0, step, 0.0, 2.0, 0.0, float(every), 0.0, 1.0])
        self.air = _air(model, step, steps, made.start_air)
        self.lost = np.zeros(len(model.covers))
        U = np.full(len(made.cell), 5.0)
        grid = np.array([assemble.TABLE[0], assemble.TABLE[1]])
        self.faces = (made.size, made.cell, made.cover, made.table, grid, self.air, U, self.lost)
        self._resin()
        self._heaters()
        self._water()
        self._outputs(steps // every + 3)

    parts = 1  # into which a step is split at present, while the resin heats up fast

    @property
    def done(self) -> float:
        """Steps taken [1]; a share of one where it is split."""
        return float(self.clock[2]) / self.parts

    def split(self, factor: int) -> None:
        """Halve the step (2) or double it again (1). The next one is damped: nothing is carried forward from
        a step of another length."""
        to = 2.0 if factor == 2 else 0.5
        self.parts = round(self.parts * to)
        self.clock[1] /= to
        self.clock[2] *= to
        self.clock[5] *= to
        self.clock[7] = self.parts
        self.clock[3] = max(self.clock[3], 1.0)

    def rise(self) -> float:
        """The most the resin heated its own layer within a step since this was asked last [K]."""
        most, self.totals[4] = float(self.totals[4]), 0.0
        return most

    def snapshot(self) -> tuple[Array, ...]:
        """Copies of all that a block of steps changes, but for what it writes anew: temperatures [K],
        heat [J], degree of cure [1], water [kg/kg], each in its own shape."""
        return tuple(a.copy() for a in self._changed())

    def restore(self, kept: tuple[Array, ...]) -> None:
        """Back to a snapshot: temperatures [K], heat [J], degree of cure [1], water [kg/kg]."""
        for now, before in zip(self._changed(), kept, strict=True):
            now[...] = before

    def _changed(self) -> tuple[Array, ...]:
        U, lost = self.faces[6], self.lost
        duty, seen = self.heaters[9], self.heaters[10]
        return (
            self.clock, self.T, self.old, U, lost, self.alpha, self.pace, self.state, self.events, duty, seen,
            self.water, self.vapour, self.totals,
        )  # fmt: skip

    def _resin(self) -> None:
        ny, nx = self.model.grid.shape
        cells, owner, joules, alpha = [], [], [], []
        laws: list[Any] = []
        for first, layer in assemble.bond_layers(self.model):
            assert layer.resin is not None
            heat = assemble.full(layer.resin.heat, (ny, nx), f"{layer.name} heat of cure", zero=True)
            start = assemble.full(layer.resin.start, (ny, nx), f"{layer.name} degree of cure", zero=True)
            if start.max() > 1.0:
                raise InputError(
                    f"{layer.name}: a degree of cure lies between 0 and 1", read=f"{start.max():g}"
                )
            for k in range(first, first + layer.cells):
                where = np.flatnonzero(self.solid.present[k])
                cells.append(k * ny * nx + where)
                owner.append(np.full(len(where), len(laws)))
                joules.append((heat * self.model.grid.area).ravel()[where] / layer.cells)
                alpha.append(start.ravel()[where])
            laws.append(layer.resin.law.packed)
        self.alpha = np.concatenate(alpha) if alpha else np.zeros(0)
        self.pace = np.full(len(self.alpha), -1.0)
        self.cure_cell = np.concatenate(cells).astype(np.int64) if cells else np.zeros(0, dtype=np.int64)
        self.resin = (
            self.cure_cell,
            np.concatenate(owner).astype(np.int64) if owner else np.zeros(0, dtype=np.int64),
            np.concatenate(joules) if joules else np.zeros(0),
            np.array(laws) if laws else np.zeros((1, 14)),
            self.alpha,
            self.pace,
        )

    def _heaters(self) -> None:
        heaters, (ny, nx) = self.model.heaters, self.model.grid.shape
        cells, watts, owner = [], [], []
        count = max(1, max((len(h.recipe) for h in heaters), default=0))
        segments = np.zeros((len(heaters), count + 1, 5))
        setting = np.zeros((len(heaters), 5))
        state = np.zeros((len(heaters), 7))
        sensors: list[HeatPlace] = []
        first, number = [], []
        for n, h in enumerate(heaters):
            power = assemble.full(h.power, (ny, nx), f"heater {h.name} power", zero=True)
            if not power.any():
                raise InputError(f"heater {h.name} has no power anywhere")
            k = self.model.first_cell(h.layer, 0)
            cells_here = self.model.layers[self.model.layer_index(h.layer)].cells
            for kk in range(k, k + cells_here):
                where = np.flatnonzero((power > 0.0) & self.solid.present[kk])
                cells.append(kk * ny * nx + where)
                watts.append((power * self.model.grid.area).ravel()[where] / cells_here)
                owner.append(np.full(len(where), n))
            if np.any((power > 0.0) & ~self.solid.present[k]):
                raise InputError(f"heater {h.name} has power where its layer {h.layer} is absent")
            first.append(len(sensors))
            number.append(len(h.sensors))
            sensors += h.sensors
            gain, reset = self._tuning(n, power)
            setting[n] = (_MODES[h.follow], gain, reset, h.most, min(h.ceiling, 1e6))
            from_ = float(self.T.mean())
            for s, leg in enumerate(h.recipe):
                before = h.recipe[s - 1].target if s else from_
                segments[n, s] = (leg.target, leg.rate, leg.dwell, leg.band, float(leg.target < before))
        s_index, s_weight = weights(self.model, tuple(sensors), self.solid.present)
        s_error = np.array([p.error for p in sensors], dtype=float)
        flat = self.T.ravel()
        for n in range(len(heaters)):
            if number[n]:
                seen = [
                    float((s_weight[p] * flat[s_index[p]]).sum()) + float(s_error[p])
                    for p in range(first[n], first[n] + number[n])
                ]
                state[n, 1] = min(seen)
        self.state, self.events = state, np.full((len(heaters), count + 1, 3), -1.0)
        self.heaters = (
            np.concatenate(cells).astype(np.int64) if cells else np.zeros(0, dtype=np.int64),
            np.concatenate(watts) if watts else np.zeros(0),
            np.concatenate(owner).astype(np.int64) if owner else np.zeros(0, dtype=np.int64),
            np.array(first, dtype=np.int64),
            np.array(number, dtype=np.int64),
            segments,
            setting,
            state,
            self.events,
            np.zeros(len(heaters)),
            np.zeros(len(sensors)),
            s_index,
            s_weight,
            s_error,
        )

    def _tuning(self, n: int, power: Array) -> tuple[float, float]:
        """Gain [1/K] and reset time [s] of a controller, by the heat capacity it has to move.

        Source: S. Skogestad, J. Process Control 13 (2003) 291, for an integrating process.
        """
        h = self.model.heaters[n]
        loop = max(_LOOP, 2.0 * self.step)
        j, i = np.unravel_index(int(power.argmax()), power.shape)
        column = self.solid.capacity[:, j, i] / self.model.grid.area[j, i]
        k0 = self.model.first_cell(h.layer, 0)
        total = column[k0]
        for direction in (1, -1):
            k, path = k0, 0.0
            while 0 <= k + direction < len(column):
                g = self.solid.g_z[k if direction > 0 else k - 1, j, i] / self.model.grid.area[j, i]
                path += 1.0 / g if g > 0.0 else math.inf
                k += direction
                if path > _NEAR:
                    break
                total += column[k]
        gain = h.gain if h.gain is not None else float(total) / (float(power.max()) * loop)
        return gain, h.reset if h.reset is not None else 4.0 * loop

    def _water(self) -> None:
        ny, nx = self.model.grid.shape
        cells, volume, water, sealed, boiling = [], [], [], [], {373.15}
        layers = assemble.wet_layers(self.model)
        if layers:
            boiling = {x.water.boiling for _, x in layers if x.water is not None and not x.water.sealed} or {
                373.15
            }
            if len(boiling) > 1:
                raise InputError(
                    "open wet layers must share one boiling temperature", read=f"{sorted(boiling)}"
                )
        for first, layer in layers:
            assert layer.water is not None
            mass = assemble.full(layer.water.mass, (ny, nx), f"{layer.name} water", zero=True)
            for k in range(first, first + layer.cells):
                where = np.flatnonzero((mass > 0.0) & self.solid.present[k])
                v = (self.solid.thickness[k] * self.model.grid.area).ravel()[where]
                cells.append(k * ny * nx + where)
                volume.append(v)
                water.append(mass.ravel()[where] * v)
                sealed.append(np.full(len(where), layer.water.sealed))
        self.wet_cell = np.concatenate(cells).astype(np.int64) if cells else np.zeros(0, dtype=np.int64)
        self.volume = np.concatenate(volume) if volume else np.zeros(0)
        self.water = np.concatenate(water) if water else np.zeros(0)
        self.sealed = np.concatenate(sealed) if sealed else np.zeros(0, dtype=bool)
        self.counted = self.water.copy()
        t0, dt, count = ZERO_CELSIUS, 1.0, 230
        table = np.zeros((2, count))
        if len(self.water):
            for n in range(count):
                table[0, n] = steam.vapour_density(t0 + n * dt)
                table[1, n] = steam.latent_heat(t0 + n * dt)
        start = np.interp(self.T.ravel()[self.wet_cell], t0 + dt * np.arange(count), table[0])
        self.vapour = np.minimum(start * self.volume, self.water)
        grid = np.array([t0, dt])
        self.wet = (
            self.wet_cell,
            self.volume,
            self.water,
            self.vapour,
            table,
            grid,
            self.sealed,
            float(min(boiling)),
        )

    def dried(self) -> bool:
        """Whether water left open cells since the capacities were last counted; counts them anew."""
        if not len(self.water):
            return False
        gone = np.where(self.sealed, 0.0, self.counted - self.water)
        if gone.max() <= 0.0:
            return False
        flat = self.solid.capacity.reshape(-1)
        flat[self.wet_cell] -= gone * assemble.WATER_HEAT
        self.carried += float(
            (gone * assemble.WATER_HEAT * (self.T.ravel() - self.first_T.ravel())[self.wet_cell]).sum()
        )
        self.counted = np.where(self.sealed, self.counted, self.water)
        return True

    carried = 0.0  # J, left with the water that boiled off

    def _outputs(self, samples: int) -> None:
        m, (ny, nx) = self.model, self.model.grid.shape
        index, weight = weights(m, m.probes, self.solid.present)
        cells = []
        for w in m.watches:
            k = m.first_cell(w.layer, w.cell)
            if w.where.shape != (ny, nx):
                raise InputError(
                    f"watch {w.name}: region of another shape than the grid", read=f"{w.where.shape}"
                )
            cells.append(k * ny * nx + np.flatnonzero(w.where & self.solid.present[k]))
            if not len(cells[-1]):
                raise InputError(f"watch {w.name}: layer {w.layer} is absent everywhere in the region")
        watched = np.concatenate(cells).astype(np.int64) if cells else np.zeros(0, dtype=np.int64)
        self.watch_parts = [len(c) for c in cells]
        place = np.full(self.T.size, -1, dtype=np.int64)
        place[self.cure_cell] = np.arange(len(self.cure_cell))
        n, h = len(watched), len(m.heaters)
        self.energy, self.totals = np.zeros((samples, 4)), np.zeros(5)
        self.out = (
            np.zeros(samples),
            index,
            weight,
            np.array([p.error for p in m.probes], dtype=float),
            np.zeros((samples, len(m.probes))),
            watched,
            np.zeros((samples, n)),
            place[watched],
            np.zeros((samples, n)),
            np.zeros((samples, h)),
            np.zeros((samples, h)),
            self.energy,
            self.totals,
        )

    def ended(self) -> bool:
        """Whether every recipe has run through."""
        heaters = self.model.heaters
        return bool(heaters) and all(
            int(self.state[n, 0]) >= max(1, len(h.recipe)) for n, h in enumerate(heaters)
        )

    def result(self, steps: int, *, finished: bool) -> HeatResult:
        """Everything, complete."""
        n = self._last_sample()
        times, _, _, _, probes, watched, watch_T, _, watch_alpha, duties, targets, _, _ = self.out
        m, (ny, nx) = self.model, self.model.grid.shape
        regions, at = {}, 0
        centre_x, centre_y = np.meshgrid(m.grid.cx, m.grid.cy)
        for w, count in zip(m.watches, self.watch_parts, strict=True):
            flat = watched[at : at + count] % (ny * nx)
            regions[w.name] = WatchedRegion(
                centre_x.ravel()[flat],
                centre_y.ravel()[flat],
                m.grid.area.ravel()[flat],
                watch_T[:n, at : at + count],  # views: a run's arrays are nobody else's
                watch_alpha[:n, at : at + count],
                times[:n],
            )
            at += count
        legs = {
            h.name: tuple(
                LegTimes(*(None if e < 0.0 else float(e) for e in self.events[k, s]))
                for s in range(len(h.recipe))
            )
            for k, h in enumerate(m.heaters)
        }
        stored = (
            float((self.solid.capacity * (self.T - self.first_T))[self.solid.present].sum()) + self.carried
        )
        energy = Energy(
            float(self.totals[0]),
            float(self.totals[1]),
            tuple(float(v) for v in self.lost),
            float(self.totals[3]),
            stored,
        )
        return HeatResult(
            times=times[:n].copy(),
            probes={p.name: probes[:n, k].copy() for k, p in enumerate(m.probes)},
            duty={h.name: duties[:n, k].copy() for k, h in enumerate(m.heaters)},
            target={h.name: targets[:n, k].copy() for k, h in enumerate(m.heaters)},
            regions=regions,
            legs=legs,
            finished=finished,
            energy=energy,
            temperature=self.T.copy(),
            present=self.solid.present.copy(),
            water_left=float(self.water.sum()),
            steps=steps,
            step=self.step,
            cells=int(self.solid.present.sum()),
        )

    def _last_sample(self) -> int:
        """Record the end too where it is not a sample already; returns the number of samples."""
        times, index, weight, error, probes, watched, watch_T, cure, watch_alpha, duties, targets, _, _ = (
            self.out
        )
        n = int(self.clock[4])
        if n and times[n - 1] >= self.clock[0] - 1e-9:
            return n
        flat = self.T.ravel()
        times[n] = self.clock[0]
        probes[n] = (weight * flat[index]).sum(axis=1) + error
        watch_T[n] = flat[watched]
        if len(self.alpha):
            watch_alpha[n] = np.where(cure >= 0, self.alpha[np.maximum(cure, 0)], 0.0)
        duties[n] = self.heaters[9]
        targets[n] = self.state[:, 1]
        return n + 1


def _padded(values: Array, shape: tuple[int, ...]) -> Array:
    """Values of all cells in a row [their own unit], with a row of the grid of zeros before and behind."""
    none = np.zeros(shape[2])
    return np.concatenate([none, np.broadcast_to(values, shape).ravel(), none])


def _air(model: HeatModel, step: float, steps: int, start: Array) -> Array:
    if not any(c.history for c in model.covers):
        return start[None, :].copy()
    middle = (np.arange(steps) + 0.5) * step
    made = np.tile(start, (steps, 1))
    for n, cover in enumerate(model.covers):
        if cover.history:
            made[:, n] = np.interp(middle, [t for t, _ in cover.history], [v for _, v in cover.history])
    return made
