"""Findings of the clock and of thermocouples: straight lines just inside the limit and just outside."""

from __future__ import annotations

import numpy as np

from judge_case import APART, Found, case, faults, heat, noisy
from judge_lines import START, UP, made
from made_curelog import Made
from panelmend.physics.thermocouple import reading
from panelmend.plan.judge import codes as c
from panelmend.plan.judge import (
    find_faults,
)


def _set_back(m: Made, inside: bool) -> None:
    m.times[500 : 505 if inside else 506] -= 300.0


def _set_back_little(m: Made, inside: bool) -> None:
    m.times[500:] -= 40.0
    m.times[800:] -= 20.0 if inside else 30.0


def _hour(m: Made, inside: bool) -> None:
    m.times[500:] += 3600.0 + (5.5 if inside else 4.5)


def _twice(m: Made, inside: bool) -> None:
    m.times[500] = m.times[499] + (0.5 if inside else 0.0)


def _gap(m: Made, inside: bool) -> None:
    m.times[500:] += 15.0 if inside else 15.1


def _uneven(m: Made, inside: bool) -> None:
    m.times[::2] += 1.95 if inside else 2.05


def _sparse(m: Made, inside: bool) -> None:
    m.times *= 30.0 if inside else 30.1


def _ends_hot(m: Made, inside: bool) -> None:
    m.temps += 323.15 - 310.0 + (-0.05 if inside else 0.05)


def _starts_hot(m: Made, inside: bool) -> None:
    m.temps += 318.15 - START + (-0.05 if inside else 0.05)


def _stood_together(m: Made, inside: bool) -> None:
    """Three of four, a reading each 10 s."""
    noisy(m)
    m.temps[450 : 480 if inside else 481, 1:] = m.temps[450, 1:]


def _blank(m: Made, inside: bool) -> None:
    m.temps[500, : 3 if inside else 4] = np.nan


def _odd(m: Made, inside: bool) -> None:
    m.times[500] = m.times[499] - (0.0 if inside else 0.1)


def _in_ramp(m: Made, inside: bool) -> None:
    """Cut off in the ramp, half a kelvin short of 30 C and a sample later; rises by 85 % of later rates."""
    k = int(np.argmax(m.temps.min(axis=1) > 303.15 - (0.7 if inside else 0.6)))
    m.times, m.temps, m.vacuum, m.set_point = m.times[k:], m.temps[k:], m.vacuum[k:], m.set_point[k:]
    m.temps += np.interp(m.times - m.times[0], [0.0, 120.0], [0.0, -0.15 * 120.0 * UP])[:, None]


def _at_shop(m: Made, inside: bool) -> None:
    """As cold as a shop, but rising at once."""
    k = int(np.argmax(m.temps.min(axis=1) > 302.0))
    m.times, m.temps, m.vacuum, m.set_point = m.times[k:], m.temps[k:], m.vacuum[k:], m.set_point[k:]
    m.temps -= (
        10.0
        + np.interp(m.times - m.times[0], [0.0, 120.0], [0.0, (0.11 if inside else 0.09) * 120.0 * UP])[
            :, None
        ]
    )


def _slow_start(m: Made, inside: bool) -> None:
    """Warm at rest: the first two minutes rise by less than 80 % of what the next five do."""
    m.temps += 10.0
    rows = int(np.argmax(m.times > 600.0))
    m.times, m.temps, m.vacuum, m.set_point = (
        m.times[rows:],
        m.temps[rows:],
        m.vacuum[rows:],
        m.set_point[rows:],
    )
    m.temps -= np.interp(m.times - m.times[0], [0.0, 120.0], [0.0, (0.21 if inside else 0.19) * 120.0 * UP])[
        :, None
    ]


case(c.IN_RAMP, "30 C, rising by 85 % from the first sample on", faults(_in_ramp))
case(c.IN_RAMP, "90 % of the rate that follows, in air that nobody read", faults(_at_shop))
case(c.IN_RAMP, "80 % of the rate that follows", faults(_slow_start))


def _newest_first(m: Made, inside: bool) -> None:
    """Half of the steps fall, or one more."""
    half = len(m.times) // 2
    count = half + (0 if inside else 1)
    m.times[:count] = m.times[:count][::-1].copy()


case(c.NEWEST_FIRST, "half of the steps fall", faults(_newest_first))
case(c.CLOCK_BACK, "six stamps set back are no slip", faults(_set_back))
case(c.CLOCK_BACK, "set back by more than a minute in all", faults(_set_back_little))
case(c.CLOCK_HOUR, "within half a step of an hour", faults(_hour))
case(c.REPEATED, "the same stamp", faults(_twice))
case(c.GAP, "two and a half steps", faults(_gap))
case(c.IRREGULAR, "steps that differ by half of the usual", faults(_uneven))
case(c.SPARSE, "one sample in five minutes", faults(_sparse))
case(c.ENDS_HOT, "50 C at the end", faults(_ends_hot))
case(c.STARTS_HOT, "45 C at the start", faults(_starts_hot))
case(c.BLANK, "every channel missing", faults(_blank))
case(c.ODD_STAMP, "a step back", faults(_odd))

# --- one thermocouple ---


def _dead(m: Made, inside: bool) -> None:
    m.temps[:, 0] = np.nan
    m.temps[300, 0] = 300.0 if inside else np.nan


def _open(m: Made, inside: bool) -> None:
    m.temps[500:510, 0] = 643.15 + (-0.05 if inside else 0.05)


def _loose(m: Made, inside: bool) -> None:
    for at in (300, 500, 700)[: 2 if inside else 3]:
        m.temps[at : at + 8, 0] = np.nan


def _stops(m: Made, inside: bool) -> None:
    m.temps[-12 if inside else -13 :, 0] = np.nan


def _missing(m: Made, inside: bool) -> None:
    m.temps[500:501, 0] = m.temps[500, 0] if inside else np.nan


def _stuck(m: Made, inside: bool) -> None:
    m.temps[100 : 141 if inside else 142, 0] = m.temps[100, 0]


def _clipped(m: Made, inside: bool) -> None:
    m.temps[:, 0] = np.minimum(m.temps[:, 0], 380.0)
    after = np.flatnonzero(m.temps[:, 0] == 380.0)[-1] + 1
    m.temps[after:, 0] -= 4.8 if inside else 4.7  # beside 0.3 K of a fall


def _spike(m: Made, inside: bool) -> None:
    m.temps[500, 1] += 7.95 if inside else 8.05


def _coarse(m: Made, inside: bool) -> None:
    step = 1.85 if inside else 1.95
    m.temps[:, 0] = np.round(m.temps[:, 0] / step) * step


def _noisy(m: Made, inside: bool) -> None:
    m.temps[:, 0] += np.random.default_rng(1).normal(0, 0.98 if inside else 1.0, m.times.size)


def _late(m: Made, inside: bool) -> None:
    m.temps[m.times < (730.0 if inside else 740.0), 2] = np.nan


case(c.DEAD, "no reading at all", faults(_dead))
case(c.OPEN, "370 C", faults(_open))
case(c.LOOSE, "three times", faults(_loose))
case(c.STOPPED, "two minutes to the end", faults(_stops))
case(c.MISSING, "one cell", faults(_missing))
case(c.STUCK, "five minutes while the others move 5 K", faults(_stuck))
case(c.STOOD_TOGETHER, "five minutes", faults(_stood_together))
case(c.CLIPPED, "left without a jump of 5 K", faults(_clipped, up=0.01, length=20000.0))
case(c.SPIKE, "8 K", faults(_spike))
case(c.COARSE, "steps of 1.9 K", faults(_coarse))
case(c.NOISY, "noise of 1 K", faults(_noisy))
case(c.LATE, "no reading before another is 5 K warm", faults(_late))

# --- one beside the others ---


def _swapped(m: Made, inside: bool) -> None:
    m.temps[:, 0] = START - (0.295 if inside else 0.305) * (m.temps[:, 3] - START)


def _wired(inside: bool) -> Found:
    m = made(top=353.2 if inside else 353.24)
    m.temps += APART
    m.temps[:, 0] = [reading("J", "K", t, START) for t in m.temps[:, 0]]
    return tuple(f.finding for f in find_faults(m.log()))


def _unit(m: Made, inside: bool) -> None:
    shown = (m.temps[:, 2] - 273.15) * 1.8 + 32.0
    m.temps[:, 0] = 273.15 + shown + (1.005 if inside else 0.995) * (4.0 + 0.03 * shown)


def _came_off(m: Made, inside: bool) -> None:
    m.temps[600:, 0] -= 19.95 if inside else 20.05


def _cold(m: Made, inside: bool) -> None:
    m.temps[:, 0] = START + (0.355 if inside else 0.345) * (m.temps[:, 3] - START)


def _twin(m: Made, inside: bool) -> None:
    same = np.arange(m.times.size) % 100 >= (3 if inside else 2)
    m.temps[same, 1] = m.temps[same, 0]


def _late_twin(m: Made, inside: bool) -> None:
    """One channel is another, a sample late."""
    m.temps += np.random.default_rng(9).normal(0, 0.2, m.temps.shape)
    own = m.temps[:, 1].copy()
    m.temps[1:, 1] = m.temps[:-1, 0]
    apart = np.arange(m.times.size) % 100 < (3 if inside else 2)
    m.temps[apart, 1] = own[apart]


def _shifted_twin(m: Made, inside: bool) -> None:
    m.temps += np.random.default_rng(9).normal(0, 0.2, m.temps.shape)
    own = m.temps[:, 1].copy()
    m.temps[:, 1] = m.temps[:, 0] + 1.5
    apart = np.arange(m.times.size) % 100 < (2 if inside else 1)
    m.temps[apart, 1] = own[apart]


def _set_point(m: Made, inside: bool) -> None:
    m.set_point = m.temps[:, 3] + (0.105 if inside else 0.095)


def _highest(m: Made, inside: bool) -> None:
    m.temps += np.random.default_rng(9).normal(0, 0.6, m.temps.shape)
    own = m.temps[:, 3].copy()
    m.temps[:, 3] = m.temps[:, :3].max(axis=1)
    apart = np.arange(m.times.size) % 100 < (3 if inside else 2)
    m.temps[apart, 3] = own[apart]


case(c.TWIN, "98 % of the samples, one late", faults(_late_twin))
case(c.TWIN, "98 % of the samples, a steady shift", faults(_shifted_twin))
case(c.TWIN, "0.1 K from the set point", faults(_set_point))
case(c.TWIN, "98 % of the samples, the highest of the others", faults(_highest))


def _offset(m: Made, inside: bool) -> None:
    m.temps[:, 0] += 5.95 if inside else 6.05


def _slow(m: Made, inside: bool) -> None:
    m.temps[:, 0] = np.interp(m.times - (588.0 if inside else 590.0), m.times, m.temps[:, 0])


def drift(m: Made, inside: bool) -> None:
    m.temps[:, 0] += np.interp(m.times, [2850.0, 6850.0], [0.0, 5.62 if inside else 5.66])


def _parted(inside: bool) -> Found:
    m = made(sensors=3)
    m.temps += np.array([0.0, 5.3 if inside else 5.35, 16.0])
    return tuple(f.finding for f in find_faults(m.log()))


def _pair(inside: bool) -> Found:
    m = made(sensors=2)
    m.temps[:, 0] += 5.95 if inside else 6.05
    return tuple(f.finding for f in find_faults(m.log()))


def _half(inside: bool) -> Found:
    m = made(sensors=3)
    m.temps[: len(m.temps) // 2 + (0 if inside else 1), 2] = np.nan
    return tuple(f.finding for f in find_faults(m.log()))


def _lead(m: Made, inside: bool) -> None:
    m.temps[:, 0] -= (3.95 if inside else 4.05) * heat(m)


case(c.SWAPPED, "falls by 30 % of the others' rise", faults(_swapped))
case(c.WRONG_WIRE, "15 K away", _wired)
case(c.UNIT, "4 K and 3 % from the other unit", faults(_unit))
case(c.CAME_OFF, "20 K below", faults(_came_off))
case(c.COLD, "35 % of the others' rise", faults(_cold))
case(c.TWIN, "98 % of the samples", faults(_twin))
case(c.OFFSET, "6 K in the first minutes", faults(_offset))
case(c.SLOW, "ten minutes late", faults(_slow))
case(c.DRIFT, "6 K in the hold", faults(drift))
case(c.UNDECIDED, "two neighbours within 40 % of what the third is away", _parted)
case(c.UNDECIDED, "two alone, 6 K apart in the first minutes", _pair)
case(c.FEW_TOLD, "a third that reads in half of the samples", _half)
case(c.LEAD_SWAPPED, "4 K in the heat", faults(_lead))
