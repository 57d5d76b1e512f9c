"""Faults planted into made cures: each entry changes a cure and names the finding that must come out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from made_curelog import AIR, INHG, Made
from panelmend.physics.thermocouple import reading, reversed_reading
from panelmend.plan.judge import codes

Plant = Callable[[Made, np.random.Generator], None]


def _somewhere(m: Made, random: np.random.Generator, low: float = 0.3, high: float = 0.7) -> int:
    return int(random.uniform(low, high) * m.times.size)


def _sensor(m: Made, random: np.random.Generator) -> int:
    return int(random.integers(m.temps.shape[1]))


def clock_back(m: Made, random: np.random.Generator) -> None:
    m.times[_somewhere(m, random) :] -= 437.0


def clock_hour_back(m: Made, random: np.random.Generator) -> None:
    m.times[_somewhere(m, random) :] -= 3600.0


def clock_hour_on(m: Made, random: np.random.Generator) -> None:
    m.times[_somewhere(m, random) :] += 3600.0


def gap(m: Made, random: np.random.Generator) -> None:
    at = _somewhere(m, random)
    keep = np.ones(m.times.size, bool)
    keep[at : at + 40] = False
    _cut(m, keep)


def repeated(m: Made, random: np.random.Generator) -> None:
    at = _somewhere(m, random)
    m.times[at : at + 3] = m.times[at]  # four with a gap after them are a clock that stood


def uneven(m: Made, random: np.random.Generator) -> None:
    m.times += np.where(np.arange(m.times.size) % 2, 0.45, 0.0) * (m.times[1] - m.times[0])


def ends_hot(m: Made, random: np.random.Generator) -> None:
    _cut(m, np.arange(m.times.size) < 0.55 * m.times.size)


def starts_hot(m: Made, random: np.random.Generator) -> None:
    _cut(m, np.arange(m.times.size) > 0.35 * m.times.size)


def blank(m: Made, random: np.random.Generator) -> None:
    at = _somewhere(m, random)
    m.temps[at : at + 15] = np.nan


def dead(m: Made, random: np.random.Generator) -> None:
    m.temps[:, _sensor(m, random)] = np.nan


def opened(m: Made, random: np.random.Generator) -> None:
    m.temps[_somewhere(m, random) :, _sensor(m, random)] = 1372 + 273.15


def opened_down(m: Made, random: np.random.Generator) -> None:
    m.temps[_somewhere(m, random) :, _sensor(m, random)] = -200 + 273.15


def loose(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    for share in (0.3, 0.4, 0.5, 0.6):
        at = int(share * m.times.size)
        m.temps[at : at + 5, i] = 1372 + 273.15


def stops(m: Made, random: np.random.Generator) -> None:
    m.temps[_somewhere(m, random) :, _sensor(m, random)] = np.nan


def missing(m: Made, random: np.random.Generator) -> None:
    at = _somewhere(m, random)
    m.temps[at : at + 4, _sensor(m, random)] = np.nan


def stuck_in_ramp(m: Made, random: np.random.Generator) -> None:
    i, at = _sensor(m, random), _somewhere(m, random, 0.12, 0.2)
    m.temps[at:, i] = m.temps[at, i]


def stuck_in_dwell(m: Made, random: np.random.Generator) -> None:
    i, at = _sensor(m, random), int(0.42 * m.times.size)
    m.temps[at : at + 220, i] = m.temps[at, i]


def clipped(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = np.minimum(m.temps[:, i], 100 + 273.15)


def spike(m: Made, random: np.random.Generator) -> None:
    m.temps[_somewhere(m, random), _sensor(m, random)] += 60.0


def coarse(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = np.round(m.temps[:, i] / 2.5) * 2.5


def noisy(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] += random.normal(0, 3.0, m.times.size)


def swapped(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = [reversed_reading("K", t, 294.0) for t in m.temps[:, i]]


def wire_j_on_k(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = [reading("J", "K", t, 294.0) for t in m.temps[:, i]]


def wire_k_on_j(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = [reading("K", "J", t, 294.0) for t in m.temps[:, i]]


def fahrenheit_as_celsius(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = (m.temps[:, i] - 273.15) * 1.8 + 32 + 273.15


def celsius_as_fahrenheit(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = (m.temps[:, i] - 273.15 - 32) / 1.8 + 273.15


def came_off(m: Made, random: np.random.Generator) -> None:
    i, at = _sensor(m, random), _somewhere(m, random, 0.4, 0.55)
    fall = np.exp(-(m.times[at:] - m.times[at]) / 120.0)
    air = 310 + random.normal(0, 0.15, fall.size)
    m.temps[at:, i] = air + (m.temps[at:, i] - air) * fall


def in_the_air(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = 295 + 0.12 * (m.temps[:, i] - 294) + random.normal(0, 0.2, m.times.size)


def twin(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    m.temps[:, i] = m.temps[:, (i + 1) % m.temps.shape[1]]


def offset(m: Made, random: np.random.Generator) -> None:
    m.temps[:, _sensor(m, random)] += 11.0


def slow(m: Made, random: np.random.Generator) -> None:
    from made_curelog import lagged

    i = _sensor(m, random)
    m.temps[:, i] = lagged(m.times, m.temps[:, i], 1100.0) + random.normal(0, 0.15, m.times.size)


def drift(m: Made, random: np.random.Generator) -> None:
    i = _sensor(m, random)
    hot = np.clip((m.times - 2700) / 4500, 0, 1)
    m.temps[:, i] -= 16.0 * hot


def vacuum_unit_kpa(m: Made, random: np.random.Generator) -> None:
    m.vacuum *= 3.386389


def vacuum_unit_mbar(m: Made, random: np.random.Generator) -> None:
    m.vacuum *= 100.0 / INHG


def vacuum_absolute(m: Made, random: np.random.Generator) -> None:
    m.vacuum[:] = AIR - m.vacuum


def vacuum_sign(m: Made, random: np.random.Generator) -> None:
    m.vacuum *= -1.0


def vacuum_stuck(m: Made, random: np.random.Generator) -> None:
    m.vacuum[:] = 24 * INHG


def vacuum_gone(m: Made, random: np.random.Generator) -> None:
    at = _somewhere(m, random)
    m.vacuum[at : at + 30] = np.nan


def _cut(m: Made, keep: np.ndarray) -> None:
    m.times, m.temps, m.vacuum, m.set_point = m.times[keep], m.temps[keep], m.vacuum[keep], m.set_point[keep]


LOG_FAULTS: dict[str, tuple[Plant, str]] = {
    plant.__name__: (plant, code.code)
    for plant, code in (
        (clock_back, codes.CLOCK_BACK),
        (clock_hour_back, codes.CLOCK_BACK),
        (clock_hour_on, codes.CLOCK_HOUR),
        (gap, codes.GAP),
        (repeated, codes.REPEATED),
        (uneven, codes.IRREGULAR),
        (ends_hot, codes.ENDS_HOT),
        (starts_hot, codes.STARTS_HOT),
        (blank, codes.BLANK),
        (dead, codes.DEAD),
        (opened, codes.OPEN),
        (opened_down, codes.OPEN),
        (loose, codes.LOOSE),
        (stops, codes.STOPPED),
        (missing, codes.MISSING),
        (stuck_in_ramp, codes.STUCK),
        (stuck_in_dwell, codes.STUCK),
        (clipped, codes.CLIPPED),
        (spike, codes.SPIKE),
        (coarse, codes.COARSE),
        (noisy, codes.NOISY),
        (swapped, codes.SWAPPED),
        (wire_j_on_k, codes.WRONG_WIRE),
        (wire_k_on_j, codes.WRONG_WIRE),
        (fahrenheit_as_celsius, codes.UNIT),
        (celsius_as_fahrenheit, codes.UNIT),
        (came_off, codes.CAME_OFF),
        (in_the_air, codes.COLD),
        (twin, codes.TWIN),
        (offset, codes.OFFSET),
        (slow, codes.SLOW),
        (drift, codes.DRIFT),
        (vacuum_unit_kpa, codes.V_IMPOSSIBLE),
        (vacuum_unit_mbar, codes.V_UNIT),
        (vacuum_absolute, codes.V_SENSE),
        (vacuum_sign, codes.V_SENSE),
        (vacuum_stuck, codes.V_STUCK),
        (vacuum_gone, codes.V_MISSING),
    )
}
