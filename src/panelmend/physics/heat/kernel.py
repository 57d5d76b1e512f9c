"""The compiled part of the heat solver: one alternating-direction step after another, with its control loop.

Douglas' form of the Crank-Nicolson scheme (J. Douglas, Numer. Math. 4 (1962) 41): with A = Ax + Ay + Az,
(C - dt/2 Az) d1 = dt (A T + q), (C - dt/2 Ax) d2 = C d1, (C - dt/2 Ay) d = C d2, T = T + d.
After a jump of the power a step is taken as two half steps of backward Euler (R. Rannacher, Numer. Math. 43
(1984) 309); these have the same matrices, so nothing is factored again. Films, radiation and the heat of cure
use the temperature carried forward half a step.

Written as plain functions and compiled on first use; the compiled code is kept beside this file as long as
no source it is made of changes (:mod:`panelmend.physics.heat.compiled`).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from panelmend.physics.cure_chemistry.rate import rate
from panelmend.physics.heat.compiled import compiled
from panelmend.physics.heat.sweeps import sweep_x, sweep_y, sweep_z

_rate = compiled(rate)
LEAST_CURE_RISE = 0.1  # K


def _films(
    T: Any,
    old: Any,
    carry: float,
    surf: Any,
    cell: Any,
    cover: Any,
    table: Any,
    grid: Any,
    air: Any,
    U: Any,
    q: Any,
    s: Any,
) -> None:
    """Conductance of each outer face now, into ``s`` and (times its air temperature) ``q``."""
    flat, before = T.reshape(-1), old.reshape(-1)
    qq, ss = q.reshape(-1), s.reshape(-1)
    last = table.shape[1] - 2
    for f in range(cell.size):
        c, v = cell[f], cover[f]
        t = flat[c] + carry * (flat[c] - before[c])
        area, series = surf[f, 0], surf[f, 1]
        face = air[v] + (t - air[v]) * (1.0 - U[f] * series)
        x = (face - grid[0]) / grid[1]
        n = min(max(int(x), 0), last)
        x = min(max(x - n, 0.0), 1.0)
        h = table[v, n] * (1.0 - x) + table[v, n + 1] * x
        U[f] = h / (1.0 + h * series)
        ss[c] += U[f] * area
        qq[c] += U[f] * area * air[v]


def _cure(
    T: Any,
    C: Any,
    old: Any,
    carry: float,
    dt: float,
    cell: Any,
    law: Any,
    joules: Any,
    laws: Any,
    alpha: Any,
    pace: Any,
    q: Any,
    totals: Any,
) -> None:
    """Advance the cure by a midpoint step and add its heat; notes the heat [J] and the worst rise [K].

    The middle of a step is reached by the rate in the middle of the one before it (``pace``, below zero where
    there was none), which keeps second order for one rate a step instead of two; a resin that heats its own
    layer by more than LEAST_CURE_RISE in a step has both."""
    flat, before, qq, heat = T.reshape(-1), old.reshape(-1), q.reshape(-1), C.reshape(-1)
    for n in range(cell.size):
        c = cell[n]
        p = laws[law[n]]
        t = flat[c] + carry * (flat[c] - before[c])
        first = pace[n]
        if first < 0.0 or joules[n] * first * dt > LEAST_CURE_RISE * heat[c]:
            first = _rate(p, alpha[n], flat[c])
        middle = _rate(p, min(alpha[n] + 0.5 * dt * first, 1.0), t)
        pace[n] = middle
        step = min(dt * middle, 1.0 - alpha[n])
        alpha[n] += step
        qq[c] += joules[n] * step / dt
        totals[1] += joules[n] * step
        totals[4] = max(totals[4], joules[n] * step / heat[c])


def _bridge(T: Any, void: Any, share: Any) -> None:
    """Temperatures of places where a layer is absent: between its neighbours, so that nothing is stored.
    ``share`` of it is that above [1]."""
    flat, plane = T.reshape(-1), T.shape[1] * T.shape[2]
    for n in range(void.size):
        c = void[n]
        flat[c] = share[n] * flat[c - plane] + (1.0 - share[n]) * flat[c + plane]


def _boil(
    T: Any,
    C: Any,
    cell: Any,
    volume: Any,
    water: Any,
    vapour: Any,
    steam: Any,
    grid: Any,
    sealed: Any,
    boiling: float,
) -> float:
    """Take the heat of vaporisation out of wet cells; returns it [J]."""
    flat, heat = T.reshape(-1), C.reshape(-1)
    total = 0.0
    for n in range(cell.size):
        c = cell[n]
        t, capacity = flat[c], heat[c]
        if sealed[n]:
            start = t
            mass = 0.0
            for _ in range(3):
                x = min(max((t - grid[0]) / grid[1], 0.0), steam.shape[1] - 1.001)
                i = int(x)
                density = steam[0, i] + (x - i) * (steam[0, i + 1] - steam[0, i])
                slope = (steam[0, i + 1] - steam[0, i]) / grid[1] * volume[n]
                latent = steam[1, i]
                mass = min(max(density * volume[n] - vapour[n], -vapour[n]), water[n])
                if mass == water[n]:
                    slope = 0.0
                t -= (capacity * (t - start) + latent * mass) / (capacity + latent * slope)
            vapour[n] += mass
            water[n] -= mass
            total += capacity * (start - t)
            flat[c] = t
        elif t > boiling and water[n] > 0.0:
            i = min(max(int((boiling - grid[0]) / grid[1]), 0), steam.shape[1] - 2)
            mass = min(capacity * (t - boiling) / steam[1, i], water[n])
            water[n] -= mass
            vapour[n] += mass
            flat[c] = t - mass * steam[1, i] / capacity
            total += mass * steam[1, i]
    return total


def _measure(T: Any, index: Any, weight: Any, error: Any, out: Any) -> None:
    flat = T.reshape(-1)
    for p in range(index.shape[0]):
        total = error[p]
        for a in range(4):
            total += weight[p, a] * flat[index[p, a]]
        out[p] = total


_films = compiled(_films)
_cure = compiled(_cure)
_bridge = compiled(_bridge)
_boil = compiled(_boil)
_measure = compiled(_measure)


def _control(
    t: float,
    dt: float,
    seen: Any,
    first: Any,
    number: Any,
    segments: Any,
    setting: Any,
    state: Any,
    events: Any,
    duty: Any,
) -> bool:
    """Move each heater's set point and set its duty; true when every recipe has ended.

    ``state`` per heater: 0 segment, 1 set point, 2 holding, 3 clock, 4 integral, 5 hottest, 6 coldest sensor.
    ``setting``: 0 mode (0 leading, 1 lagging, 2 average, 3 constant), 1 gain, 2 reset, 3 most, 4 ceiling.
    """
    over = number.size > 0
    for h in range(number.size):
        if setting[h, 0] == 3.0:
            duty[h] = setting[h, 3]
            over = False
            continue
        hottest, coldest, mean = -1e9, 1e9, 0.0
        for p in range(number[h]):
            v = seen[first[h] + p]
            hottest, coldest = max(hottest, v), min(coldest, v)
            mean += v / number[h]
        state[h, 5], state[h, 6] = hottest, coldest
        n = int(state[h, 0])
        if n >= segments.shape[1] or segments[h, n, 1] <= 0.0:
            duty[h] = 0.0
            continue
        over = False
        target, pace, dwell, band = segments[h, n, 0], segments[h, n, 1], segments[h, n, 2], segments[h, n, 3]
        cooling = segments[h, n, 4] > 0.0
        off = False
        move = min(pace * dt, abs(target - state[h, 1]))
        state[h, 1] += move if target >= state[h, 1] else -move
        if abs(target - state[h, 1]) < 1e-9:
            if events[h, n, 0] < 0.0:
                events[h, n, 0] = t
            inside = hottest <= target + band if cooling else coldest >= target - band
            if inside and events[h, n, 1] < 0.0:
                events[h, n, 1] = t
            # at the end of the last cool-down nobody goes on heating the coldest place for the hottest
            off = cooling and (n + 1 >= segments.shape[1] or segments[h, n + 1, 1] <= 0.0)
            if inside:
                state[h, 2] = 1.0
                state[h, 3] += dt
            if state[h, 2] > 0.0 and state[h, 3] >= dwell:
                events[h, n, 2] = t
                state[h, 0], state[h, 2], state[h, 3] = n + 1, 0.0, 0.0
        v = hottest if setting[h, 0] == 0.0 else coldest if setting[h, 0] == 1.0 else mean
        error = state[h, 1] - v
        wanted = setting[h, 1] * error + state[h, 4]
        most = setting[h, 3]
        if not ((wanted > most and error > 0.0) or (wanted < 0.0 and error < 0.0)):
            state[h, 4] += setting[h, 1] * error * dt / setting[h, 2]
            state[h, 4] = min(max(state[h, 4], 0.0), most)
            wanted = setting[h, 1] * error + state[h, 4]
        duty[h] = min(max(wanted, 0.0), most)
        if off or hottest > setting[h, 4]:
            duty[h] = 0.0
    return bool(over)


_control = compiled(_control)


def _advance(
    steps: int,
    clock: Any,
    T: Any,
    old: Any,
    solid: Any,
    faces: Any,
    resin: Any,
    heaters: Any,
    wet: Any,
    out: Any,
) -> int:
    """Take up to ``steps`` steps; returns how many were taken before every recipe ended.

    ``clock``: 0 time, 1 dt, 2 steps done, 3 steps still to damp, 4 samples taken, 5 steps between samples,
    6 whether the last step was halved, 7 parts into which a step of the model is split.
    """
    C, Gx, Gy, Gz, mx, my, void, share, span, rows, boxes, flat_T, flat_Gx, flat_Gy, most = solid
    surf, face_cell, face_cover, table, table_grid, air, U, lost = faces
    cure_cell, cure_law, cure_joules, laws, alpha, pace = resin
    (
        heat_cell,
        heat_watt,
        heat_owner,
        first,
        number,
        segments,
        setting,
        state,
        events,
        duty,
        seen,
        s_index,
        s_weight,
        s_error,
    ) = heaters
    wet_cell, volume, water, vapour, steam, steam_grid, sealed, boiling = wet
    (
        times,
        probe_index,
        probe_weight,
        probe_error,
        probes,
        watch_cell,
        watch_T,
        watch_cure,
        watch_alpha,
        duties,
        targets,
        energy,
        totals,
    ) = out
    nz, ny, nx = T.shape
    dt = clock[1]
    half = 0.5 * dt
    d = np.zeros_like(T)
    q = np.zeros_like(T)
    s = np.zeros_like(T)
    u = np.zeros((nz, most))
    previous = np.empty_like(duty)
    taken = 0
    for _ in range(steps):
        number_done = int(clock[2])
        if number_done % int(clock[5]) == 0:
            n = int(clock[4])
            times[n] = clock[0]
            _measure(T, probe_index, probe_weight, probe_error, probes[n])
            flat = T.reshape(-1)
            for a in range(watch_cell.size):
                watch_T[n, a] = flat[watch_cell[a]]
                if watch_cure[a] >= 0:
                    watch_alpha[n, a] = alpha[watch_cure[a]]
            for h in range(duty.size):
                duties[n, h] = duty[h]
                targets[n, h] = state[h, 1]
            energy[n, :] = totals[:4]
            clock[4] += 1.0
        for h in range(duty.size):
            previous[h] = duty[h]
        _measure(T, s_index, s_weight, s_error, seen)
        if _control(clock[0], dt, seen, first, number, segments, setting, state, events, duty):
            return taken
        for h in range(duty.size):
            if abs(duty[h] - previous[h]) > 0.25:
                clock[3] = 2.0
        parts = 2 if clock[3] > 0.0 else 1
        clock[3] = max(clock[3] - 1.0, 0.0)
        for _ in range(parts):
            w = dt / parts
            carry = 0.0 if parts == 2 else 1.0 if clock[6] > 0.0 else 0.5
            qq, ss = q.reshape(-1), s.reshape(-1)
            for f in range(face_cell.size):
                qq[face_cell[f]] = 0.0
                ss[face_cell[f]] = 0.0
            for n in range(cure_cell.size):
                qq[cure_cell[n]] = 0.0
            for n in range(heat_cell.size):
                qq[heat_cell[n]] = 0.0
            row = min(number_done // int(clock[7]), air.shape[0] - 1)
            _films(T, old, carry, surf, face_cell, face_cover, table, table_grid, air[row], U, q, s)
            _cure(T, C, old, carry, w, cure_cell, cure_law, cure_joules, laws, alpha, pace, q, totals)
            for n in range(heat_cell.size):
                power = heat_watt[n] * duty[heat_owner[n]]
                qq[heat_cell[n]] += power
                totals[0] += w * power
            sweep_z(flat_T, C, flat_Gx, flat_Gy, Gz, q, s, w, half, span, d, u)
            sweep_x(C, Gx, mx, half, rows, d)
            sweep_y(C, Gy, my, half, boxes, d)
            flat, before, moved = T.reshape(-1), old.reshape(-1), d.reshape(-1)
            for n in range(span.shape[0]):
                for k in range(nz):
                    a, b = k * ny * nx + span[n, k, 0], k * ny * nx + span[n, k, 1]
                    now, was, by = flat[a:b], before[a:b], moved[a:b]
                    for i in range(b - a):
                        was[i] = now[i]
                        now[i] = was[i] + by[i]
            _bridge(T, void, share)
            theta = 0.5 if parts == 1 else 1.0
            for f in range(face_cell.size):
                c = face_cell[f]
                middle = theta * flat[c] + (1.0 - theta) * before[c]
                lost[face_cover[f]] += w * U[f] * surf[f, 0] * (middle - air[row, face_cover[f]])
            if wet_cell.size > 0:
                totals[3] += _boil(T, C, wet_cell, volume, water, vapour, steam, steam_grid, sealed, boiling)
        clock[6] = parts - 1.0
        totals[2] = lost.sum()
        clock[0] += dt
        clock[2] += 1.0
        taken += 1
    return taken


advance = compiled(_advance)
