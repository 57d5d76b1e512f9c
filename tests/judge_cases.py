"""Every finding of the cure log, of its judgement and of the watch: an invented cure of straight lines just
inside the limit and just outside."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from judge_lines import DOWN, HELD, START, STEP, TOP, UP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.errors import Code, Finding
from panelmend.physics.cure_chemistry import n_order
from panelmend.physics.thermocouple import reading
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureRecipe,
    LeakReading,
    LeakRule,
    Predicted,
    ResinConstants,
    SensorRule,
    VacuumRule,
    find_faults,
    judge,
    look,
)
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.recipe import RecipeLimit
from panelmend.plan.judge.rules_job import Job

Found = tuple[Finding, ...]
Array = NDArray[np.float64]
APART = np.array([0.0, -0.3, 0.01, 0.3])  # K, each in a place of its own
BEGUN = datetime(2026, 11, 25, 8)


@dataclass(frozen=True)
class Judged:
    """A limit, and what is found: ``by(True)`` is inside."""

    limit: str
    by: Callable[[bool], Found]


JUDGED: dict[str, list[Judged]] = {}


def case(code: Code, limit: str, by: Callable[[bool], Found]) -> None:
    """Register a case."""
    JUDGED.setdefault(code.code, []).append(Judged(limit, by))


def faults(change: Callable[[Made, bool], None], **how: float) -> Callable[[bool], Found]:
    """Faults of the log after a change of a clean cure."""

    def by(inside: bool) -> Found:
        m = made(**how)  # type: ignore[arg-type]
        m.temps += APART
        change(m, inside)
        return tuple(f.finding for f in find_faults(m.log()))

    return by


def found(r: CureRecipe, m: Made | None = None, **more: object) -> Found:
    """Findings of the verdict."""
    return judge(r, (m or made()).log(), **more).findings  # type: ignore[arg-type]


def noisy(m: Made, sigma: float = 0.2) -> Made:
    m.temps += np.random.default_rng(8).normal(0, sigma, m.temps.shape)
    m.temps = np.round(m.temps - 273.15, 1) + 273.15
    return m


def heat(m: Made) -> Array:
    """The share of the rise, 0 in the cold and 1 in the hold."""
    return np.clip((m.temps[:, 3] - START) / (TOP - START), 0.0, 1.0)


# --- the clock ---


def _set_back(m: Made, inside: bool) -> None:
    m.times[500 : 505 if inside else 506] -= 300.0


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
    m.temps += 323.15 - 310.0 + (-0.1 if inside else 0.1)


def _starts_hot(m: Made, inside: bool) -> None:
    m.temps += 318.15 - START + (-0.1 if inside else 0.1)


def _blank(m: Made, inside: bool) -> None:
    m.temps[500, : 3 if inside else 4] = np.nan


def _odd(m: Made, inside: bool) -> None:
    m.times[500] = m.times[499] - (0.0 if inside else 0.1)


def _in_ramp(m: Made, inside: bool) -> None:
    """Cut off in the ramp, 30 C and just above; its samples rise by 85 % of what they do later."""
    k = int(np.argmax(m.temps.min(axis=1) > 303.15 - (1.0 if inside else 0.0)))
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
case(c.CLOCK_BACK, "six stamps set back are no slip", faults(_set_back))
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
    m.temps[500:510, 0] = 643.15 + (-0.1 if inside else 0.1)


def _loose(m: Made, inside: bool) -> None:
    for at in (300, 500, 700)[: 2 if inside else 3]:
        m.temps[at : at + 8, 0] = np.nan


def _stops(m: Made, inside: bool) -> None:
    m.temps[-12 if inside else -13 :, 0] = np.nan


def _missing(m: Made, inside: bool) -> None:
    m.temps[500:501, 0] = m.temps[500, 0] if inside else np.nan


def _stuck(m: Made, inside: bool) -> None:
    m.temps[100 : 141 if inside else 147, 0] = m.temps[100, 0]


def _clipped(m: Made, inside: bool) -> None:
    m.temps[:, 0] = np.minimum(m.temps[:, 0], 380.0)
    if inside:  # leaves the stay with a jump
        m.temps[np.flatnonzero(m.temps[:, 0] == 380.0)[-1] + 1 :, 0] -= 6.0


def _spike(m: Made, inside: bool) -> None:
    m.temps[500, 1] += 7.9 if inside else 8.1


def _coarse(m: Made, inside: bool) -> None:
    step = 1.85 if inside else 1.95
    m.temps[:, 0] = np.round(m.temps[:, 0] / step) * step


def _noisy(m: Made, inside: bool) -> None:
    m.temps[:, 0] += np.random.default_rng(1).normal(0, 0.9 if inside else 1.15, m.times.size)


def _late(m: Made, inside: bool) -> None:
    m.temps[m.times < (730.0 if inside else 740.0), 2] = np.nan


case(c.DEAD, "no reading at all", faults(_dead))
case(c.OPEN, "370 C", faults(_open))
case(c.LOOSE, "three times", faults(_loose))
case(c.STOPPED, "two minutes to the end", faults(_stops))
case(c.MISSING, "one cell", faults(_missing))
case(c.STUCK, "five minutes while the others move 5 K", faults(_stuck))
case(c.CLIPPED, "left without a jump of 5 K", faults(_clipped, up=0.01, length=20000.0))
case(c.SPIKE, "8 K", faults(_spike))
case(c.COARSE, "steps of 1.9 K", faults(_coarse))
case(c.NOISY, "noise of 1 K", faults(_noisy))
case(c.LATE, "no reading before another is 5 K warm", faults(_late))

# --- one beside the others ---


def _swapped(m: Made, inside: bool) -> None:
    m.temps[:, 0] = START - (0.29 if inside else 0.31) * (m.temps[:, 3] - START)


def _wired(inside: bool) -> Found:
    m = made(top=345.0 if inside else 375.0)
    m.temps[:, 0] = [reading("J", "K", t, START) for t in m.temps[:, 0]]
    return tuple(f.finding for f in find_faults(m.log()))


def _unit(m: Made, inside: bool) -> None:
    shown = (m.temps[:, 2] - 273.15) * 1.8 + 32.0
    m.temps[:, 0] = 273.15 + shown + (1.05 if inside else 0.95) * (4.0 + 0.03 * shown)


def _came_off(m: Made, inside: bool) -> None:
    m.temps[600:, 0] -= 19.5 if inside else 20.5


def _cold(m: Made, inside: bool) -> None:
    m.temps[:, 0] = START + (0.36 if inside else 0.34) * (m.temps[:, 3] - START)


def _twin(m: Made, inside: bool) -> None:
    same = np.arange(m.times.size) % 100 >= (3 if inside else 1)
    m.temps[same, 1] = m.temps[same, 0]


def _late_twin(m: Made, inside: bool) -> None:
    """One channel is another, a sample late."""
    m.temps += np.random.default_rng(9).normal(0, 0.2, m.temps.shape)
    own = m.temps[:, 1].copy()
    m.temps[1:, 1] = m.temps[:-1, 0]
    apart = np.arange(m.times.size) % 100 < (3 if inside else 1)
    m.temps[apart, 1] = own[apart]


def _shifted_twin(m: Made, inside: bool) -> None:
    m.temps += np.random.default_rng(9).normal(0, 0.2, m.temps.shape)
    own = m.temps[:, 1].copy()
    m.temps[:, 1] = m.temps[:, 0] + 1.5
    apart = np.arange(m.times.size) % 100 < (3 if inside else 1)
    m.temps[apart, 1] = own[apart]


def _set_point(m: Made, inside: bool) -> None:
    m.set_point = m.temps[:, 3] + (0.105 if inside else 0.095)


def _highest(m: Made, inside: bool) -> None:
    m.temps += np.random.default_rng(9).normal(0, 0.6, m.temps.shape)
    own = m.temps[:, 3].copy()
    m.temps[:, 3] = m.temps[:, :3].max(axis=1)
    apart = np.arange(m.times.size) % 100 < (3 if inside else 1)
    m.temps[apart, 3] = own[apart]


case(c.TWIN, "98 % of the samples, one late", faults(_late_twin))
case(c.TWIN, "98 % of the samples, a steady shift", faults(_shifted_twin))
case(c.TWIN, "0.1 K from the set point", faults(_set_point))
case(c.TWIN, "98 % of the samples, the highest of the others", faults(_highest))


def _offset(m: Made, inside: bool) -> None:
    m.temps[:, 0] += 5.9 if inside else 6.1


def _slow(m: Made, inside: bool) -> None:
    m.temps[:, 0] = np.interp(m.times - (580.0 if inside else 610.0), m.times, m.temps[:, 0])


def _drift(m: Made, inside: bool) -> None:
    m.temps[:, 0] += np.interp(m.times, [2850.0, 6850.0], [0.0, 5.6 if inside else 5.8])


def _parted(inside: bool) -> Found:
    m = made(sensors=3)
    m.temps += np.array([0.0, 5.3 if inside else 5.6, 16.0])
    return tuple(f.finding for f in find_faults(m.log()))


def _lead(m: Made, inside: bool) -> None:
    m.temps[:, 0] -= (3.9 if inside else 4.1) * heat(m)


case(c.SWAPPED, "falls by 30 % of the others' rise", faults(_swapped))
case(c.WRONG_WIRE, "15 K away", _wired)
case(c.UNIT, "4 K and 3 % from the other unit", faults(_unit))
case(c.CAME_OFF, "20 K below", faults(_came_off))
case(c.COLD, "35 % of the others' rise", faults(_cold))
case(c.TWIN, "98 % of the samples", faults(_twin))
case(c.OFFSET, "6 K in the first minutes", faults(_offset))
case(c.SLOW, "ten minutes late", faults(_slow))
case(c.DRIFT, "6 K in the hold", faults(_drift))
case(c.UNDECIDED, "two neighbours within 40 % of what the third is away", _parted)
case(c.LEAD_SWAPPED, "4 K in the heat", faults(_lead))

# --- vacuum ---


def _impossible(m: Made, inside: bool) -> None:
    m.vacuum *= (105e3 + (-100.0 if inside else 100.0)) / (24.0 * INHG)


def _sense(m: Made, inside: bool) -> None:
    m.vacuum = np.full(m.times.size, -2.9e3 if inside else -3.1e3) + np.sin(m.times)


def _gauge_stuck(m: Made, inside: bool) -> None:
    m.vacuum[:] = 24.0 * INHG
    m.vacuum[500] += 1.0 if inside else 0.0


def _small(m: Made, inside: bool) -> None:
    m.vacuum = (8.1e3 if inside else 7.9e3) + np.sin(m.times)


def _gauge_missing(m: Made, inside: bool) -> None:
    m.vacuum[500:501] = m.vacuum[500] if inside else np.nan


def _frozen(m: Made, inside: bool) -> None:
    noisy(m)
    rows = (m.times >= 4000) & (m.times <= 4000 + (170.0 if inside else 180.0))
    m.temps[rows] = m.temps[rows][0]


def _replayed(m: Made, inside: bool) -> None:
    noisy(m)
    rows = 11 if inside else 12
    m.temps[600 : 600 + rows] = m.temps[400 : 400 + rows]


def _jumped(m: Made, inside: bool) -> None:
    m.temps[600:] -= 0.5 * STEP + 8.0 + (-0.2 if inside else 0.2)


LEAST = VacuumRule(limit(22 * INHG))


def _air(inside: bool) -> Found:
    log = dataclasses.replace(made().log(), ambient=101325.0)
    return judge(recipe(vacuum=LEAST), log, ambient=101325.0 - (2.9e3 if inside else 3.1e3)).findings


def _starts_at_air(m: Made, inside: bool) -> None:
    """An absolute gauge: the air pressure first, little of it in the cure."""
    m.vacuum = 13.5e3 + np.sin(m.times)
    m.vacuum[:3] = (0.89 if inside else 0.91) * 101325.0


def _air_after_release(m: Made, inside: bool) -> None:
    m.vacuum = 60e3 + np.sin(m.times)
    m.vacuum[-40:] = (0.94 if inside else 0.96) * 101325.0


def _air_and_no_less(m: Made, inside: bool) -> None:
    """As much as the air before the pump-down, and in the cure that less."""
    m.vacuum = 98e3 - (0.055 if inside else 0.065) * 104e3 + np.sin(m.times)
    m.vacuum[:40] = 98e3


def _moved(m: Made, inside: bool) -> None:
    """Two rows without their last cell, of thermocouples 1 K apart and a set point."""
    m.temps += np.arange(4) * 1.0
    m.set_point = m.temps[:, 3] + 1.0
    m.temps[500:502] += 0.65 if not inside else 0.3
    m.set_point[500:502] = np.nan


case(c.V_SENSE, "90 % of the air at the start", faults(_starts_at_air))
case(c.V_SENSE, "95 % of the air after the release", faults(_air_after_release))
case(c.V_SENSE, "6 % of the air between cure and open gauge", faults(_air_and_no_less))
case(c.V_IMPOSSIBLE, "1 kPa more than the air can give", faults(_impossible))
case(c.V_SENSE, "half of it 3 kPa above ambient", faults(_sense))
case(c.V_STUCK, "one value all through", faults(_gauge_stuck))
case(c.V_UNIT, "8 kPa", faults(_small))
case(c.V_MISSING, "one cell", faults(_gauge_missing))
case(c.FROZEN, "three minutes", faults(_frozen))


def _filled(m: Made, inside: bool) -> None:
    noisy(m)
    m.temps[451 : 456 if inside else 457] = m.temps[450]


def _repeats(m: Made, inside: bool) -> None:
    noisy(m)
    m.temps[451 : 452 if inside else 454] = m.temps[450]


case(c.REPLAYED, "a dozen rows", faults(_replayed))


def _joined(m: Made, inside: bool) -> None:
    m.temps[450:] += np.array([1.0, -1.0, 1.0, -1.0]) * (0.78 if inside else 0.82)


case(c.JOINED, "0.8 K, root mean square, against one another", faults(_joined))
case(c.FILLED, "rows filled up, more than a minute between readings", faults(_filled))
case(c.REPEATS, "rows filled up, more than 2.5 steps between readings", faults(_repeats))
case(c.MOVED, "the own course half as far away as the neighbours'", faults(_moved))
case(c.JUMPED, "8 K beside what a part can follow", faults(_jumped))
case(c.V_AMBIENT, "3 kPa between the log's air and the bay's", _air)

# --- rules of the recipe ---

SMALL = 0.004  # share of the limit
STAYED = HELD + 5.0 / UP + 5.0 / DOWN


def ruled(
    of: Callable[[float], CureRecipe], seen: float, by: float, *, most: bool
) -> Callable[[bool], Found]:
    """The rule with its limit just beyond what is seen, and just short of it."""
    return lambda inside: found(of(seen + by if inside is most else seen - by))


RULES: tuple[tuple[Code, str, Callable[[float], CureRecipe], float, float, bool], ...] = (
    (c.RAMP_FAST, "fastest rise", lambda x: recipe(ramp={"rate_most": limit(x)}), UP, SMALL * UP, True),
    (c.RAMP_SLOW, "mean rise", lambda x: recipe(ramp={"rate_least": limit(x)}), UP, SMALL * UP, False),
    (c.DWELL_SHORT, "least dwell", lambda x: recipe(dwell={"dwell_least": limit(x)}), STAYED, 1.0, False),
    (c.DWELL_LONG, "longest dwell", lambda x: recipe(dwell={"dwell_most": limit(x)}), STAYED, 1.0, True),
    (c.CEILING, "ceiling", lambda x: recipe(ceiling=limit(x)), TOP, 0.01, True),
    (c.ABOVE_BAND, "top of the band", lambda x: recipe(dwell={"band_high": limit(x)}), TOP, 0.01, True),
    (c.COOL_FAST, "fastest fall", lambda x: recipe(cool={"rate_most": limit(x)}), DOWN, SMALL * DOWN, True),
    (c.COOL_SLOW, "mean fall", lambda x: recipe(cool={"rate_least": limit(x)}), DOWN, SMALL * DOWN, False),
)
for code_, words_, of_, seen_, by_, most_ in RULES:
    case(code_, words_, ruled(of_, seen_, by_, most=most_))


def _not_reached(inside: bool) -> Found:
    return found(recipe(dwell={"band_low": limit(TOP + (-0.01 if inside else 0.01))}), made(held=4300.0))


def _dip(by: float, *, deep: float = 5.0) -> Made:
    m = made(held=5000.0)
    low = (m.times > 5000) & (m.times < 5400)
    m.temps[low] -= (by + deep) * np.sin(np.pi * (m.times[low] - 5000) / 400)[:, None]
    return m


def _short_dip(inside: bool) -> Found:
    """Half a minute below the band: noise at its edge down to 1 K."""
    m = made(held=5000.0)
    m.temps[500:503] -= 5.0 + (0.9 if inside else 1.1)
    return found(recipe(), m)


def _spread(inside: bool) -> Found:
    m = made()
    m.temps[:, 3] += (2.99 if inside else 3.01) * heat(m)
    return found(recipe(dwell={"spread_most": limit(3.0)}), m)


def _lag(inside: bool) -> Found:
    m = made(held=4600.0)
    m.temps[:, 3] = np.interp(m.times - (298.0 if inside else 302.0), m.times, m.temps[:, 3])
    return found(recipe(dwell={"lag_most": limit(300.0)}), m)


def _released(inside: bool) -> Found:
    m = made()
    row = int(np.argmax((m.times > 7500) & (m.temps[:, 0] < (324.6 if inside else 325.4))))
    m.vacuum = np.where(np.arange(m.times.size) < row, 24.0 * INHG + 5.0 * np.sin(m.times / 9.0), 0.0)
    return found(recipe(vacuum=LEAST, release_most=limit(325.0)), m)


def _vacuum(inside: bool) -> Found:
    m = made()
    m.vacuum *= (22.01 if inside else 21.99) / 24.0
    return found(recipe(vacuum=LEAST), m)


def _allowed_dip(inside: bool) -> Found:
    m = made()
    m.vacuum[400:404] = (22.01 if inside else 21.5) * INHG + 3.0 * np.sin(np.arange(4))
    return found(recipe(vacuum=VacuumRule(limit(22 * INHG), dip_least=20 * INHG, dip_longest=60.0)), m)


def _leak(fall: float, seconds: float) -> Found:
    r = recipe(vacuum=LEAST, leak=LeakRule(limit(INHG), 60.0))
    return found(r, leak=LeakReading(24.0 * INHG, (24.0 - fall) * INHG, seconds))


def _lost(inside: bool, rule: SensorRule, least: int) -> Found:
    m = made()
    m.temps[400:, : least if inside else least + 1] = np.nan
    return found(dataclasses.replace(recipe(), sensors=rule), m)


RESIN = ResinConstants(n_order(6e4, 6e4, 1.2), glass=(250.0, 420.0, 0.5))
CURED = judge(recipe(), made().log(), resin=RESIN)


def _degree(inside: bool) -> Found:
    asked = limit(CURED.degree + (-0.001 if inside else 0.001))
    return found(recipe(degree_least=asked), resin=RESIN)


def _glass(inside: bool) -> Found:
    asked = limit(CURED.glass + (-0.01 if inside else 0.01))
    return found(recipe(glass_least=asked), resin=RESIN)


def _program(inside: bool) -> Found:
    m = made()
    m.set_point = np.full(m.times.size, 394.9 if inside else 395.1)
    return found(recipe(dwell={"band_high": limit(395.0)}), m)


def _doubt(inside: bool) -> Found:
    m = made()
    m.temps += APART
    _drift(m, inside)
    return found(recipe(), m)


def _usual(inside: bool) -> Found:
    return found(recipe(dwell={"band_high": RecipeLimit(TOP + 5, "usual", default=not inside)}))


def _confirmed(inside: bool) -> Found:
    who = {} if inside else {"cure_log.band": "confirmed by A. Reyes"}
    return found(recipe(dwell={"band_high": RecipeLimit(TOP + 5, "usual", default=True)}), confirmed=who)


WARM = BEGUN + timedelta(seconds=730)  # the first sample that is 5 K up
COOLED = BEGUN + timedelta(seconds=8350)


def _other_job(inside: bool) -> Found:
    on = WARM + timedelta(seconds=55 if inside else 65)
    m = made()
    m.vacuum[m.times < 800] = 0.0
    return found(recipe(), m, job=Job(on, COOLED + timedelta(hours=1)))


def _window(inside: bool) -> Found:
    on = WARM - timedelta(hours=24, minutes=-1 if inside else 1)
    return found(recipe(), job=Job(on, COOLED + timedelta(hours=1)))


def _heats(inside: bool) -> Found:
    m = made()
    again = np.interp(m.times, [9700, 10900, 11900], [0, 29.5 if inside else 30.5, 0])
    m.temps += again[:, None]
    return found(recipe(), m)


def _given(inside: bool) -> Found:
    m = made()
    log = m.log()
    follows = START + (0.39 if inside else 0.41) * (m.temps[:, 3] - START)
    aside = Channel("T9", ChannelRole.THERMOCOUPLE, "temperature", follows)
    return judge(recipe(), dataclasses.replace(log, set_aside=(aside,))).findings


case(c.NOT_REACHED, "low end of the band", _not_reached)
case(c.BELOW_BAND, "1 K below the band", _short_dip)
case(c.SPREAD, "widest spread", _spread)
case(c.LAG, "last behind the first", _lag)
case(c.RELEASED_HOT, "temperature at the release", _released)
case(c.VACUUM_LOW, "least vacuum", _vacuum)
case(c.VACUUM_DIP, "least vacuum, a dip that is allowed", _allowed_dip)
case(c.LEAK, "most fall", lambda inside: _leak(0.999 if inside else 1.001, 60.0))
case(c.SENSORS_FEW, "least number", lambda inside: _lost(inside, SensorRule(2, "table 1"), 2))
case(c.SENSORS_LOST, "most lost", lambda inside: _lost(inside, SensorRule(1, "table 1", may_fail=1), 1))
case(c.SENSOR_NEEDED, "must work", lambda i: _lost(i, SensorRule(1, "table 1", must_work=("T2",)), 1))
case(c.INTERRUPTED, "8 K below the band", lambda inside: found(recipe(), _dip(7.8 if inside else 8.2)))
case(c.DEGREE, "least degree of cure", _degree)
case(c.GLASS, "least glass transition", _glass)
case(c.UNKNOWN, "time of the leak test", lambda inside: _leak(0.5, 60.0 if inside else 59.9))
case(c.NEAR, "2.2 K", lambda inside: found(recipe(ceiling=limit(TOP + (2.25 if inside else 2.15)))))
case(c.PROGRAM, "set point in the band", _program)
case(c.IN_DOUBT, "6 K in the hold", _doubt)
case(c.UNCONFIRMED, "a usual value", _usual)
case(c.CONFIRMED, "a usual value that was confirmed", _confirmed)
case(c.OTHER_JOB, "a minute before vacuum-on", _other_job)
case(c.WINDOW, "24 h before the heat", _window)
case(c.HEATS, "30 K", _heats)
case(c.SET_ASIDE, "40 % of the others' rise", _given)

# --- the watch ---


def until(m: Made, time: float, **more: object) -> Found:
    """Alarms of the watch at a time."""
    log = m.log()
    n = int(np.searchsorted(log.times, time, side="right"))
    channels = tuple(dataclasses.replace(x, values=x.values[:n].copy()) for x in log.channels)
    part = dataclasses.replace(log, times=log.times[:n].copy(), channels=channels, lines=log.lines[:n].copy())
    r = more.pop("r", None) or WATCHED
    return tuple(a.finding for a in look(r, part, **more).alarms)  # type: ignore[arg-type]


WATCHED = recipe(
    dwell={"band_high": limit(395.0)}, ceiling=limit(400.0), vacuum=LEAST, release_most=limit(325.0)
)


def _creeps(within: float) -> Found:
    """The hottest rises past its target by 0.01 K/s towards the top of the band, so many seconds off."""
    m = made(held=6000.0)
    m.temps[:, 0] += np.interp(m.times, [4000.0, 4300.0], [0.0, 3.0])
    return until(m, 4300.0, r=recipe(dwell={"band_high": limit(TOP + 3.0 + 0.01 * within)}))


def _swings(within: float, before: float) -> Found:
    """Steady, then a rise of 0.05 K/s that began two minutes ago, so many seconds off the top of the band."""
    m = made(held=6000.0)
    m.temps[:, 0] += np.interp(m.times, [4150.0, 4300.0], [0.0, 7.5]) + np.interp(
        m.times, [4000.0, 4150.0], [0.0, before]
    )
    return until(m, 4300.0, r=recipe(dwell={"band_high": limit(TOP + 7.5 + before + 0.05 * within)}))


def _rises(share: float) -> Found:
    return until(made(), 1500.0, r=recipe(ramp={"rate_most": limit(UP / share)}))


def _lags(share: float) -> Found:
    return until(made(), 1600.0, r=recipe(ramp={"rate_least": limit(UP * share)}))


def _leaves(within: float) -> Found:
    """The slowest falls by 0.008 K/s; it leaves the band in so many seconds."""
    m = made(held=6000.0)
    m.temps[:, 0] -= np.interp(m.times, [4000.0, 4625.0], [0.0, 5.0])
    at = 4400.0
    low = TOP - 0.008 * (at - 4000.0) - 0.008 * within
    return until(m, at, r=recipe(dwell={"band_low": limit(low), "dwell_least": limit(5000.0)}))


def _vacuum_falls(by: float) -> Found:
    m = made()
    m.vacuum[:] = 22.2 * INHG - np.interp(m.times, [4000.0, 4150.0], [0.0, by])
    return until(m, 4150.0)


def _reads(inside: bool) -> Found:
    m = made()
    m.temps[400:, 0] = 643.15 + (-0.1 if inside else 0.1)
    return until(m, 4100.0)


def _falls(share: float) -> Found:
    return until(made(), 7600.0, r=recipe(cool={"rate_most": limit(DOWN / share)}))


def _cools(at: float) -> Found:
    m = made()
    row = int(np.argmax((m.times > 7500) & (m.temps.max(axis=1) < at)))
    return until(m, float(m.times[row]))


def _held(by: float) -> Found:
    entered = 600.0 + 85.0 / UP
    return until(made(), entered + 3600.0 + by)


def _predicted(off: float) -> Found:
    m = made()
    begun = 720.0  # the last sample before the first is 5 K up
    keep = m.times >= begun
    model = Predicted(tuple(m.times[keep] - begun), tuple(m.temps[keep].min(axis=1) + off))
    return until(m, 1500.0, predicted=model)


def _hot(by: float, *, back: bool = False) -> Found:
    m = made()
    m.temps[500:520, 0] += 400.0 - TOP + by
    return until(m, 5300.0 if back else 5100.0)


def _vacuum_now(by: float) -> Found:
    m = made()
    m.vacuum[500:] = (22.0 + by) * INHG
    return until(m, 5100.0)


def _below(by: float) -> Found:
    m = made()
    m.temps[500:, 0] = 385.0 + by
    return until(m, 5030.0)


def _backwards(by: float) -> Found:
    m = made()
    m.temps[300:, :3] = START - by  # three of four: the one that is right would be the odd one
    return until(m, 3100.0)


def _unanswered(since: float) -> Found:
    m = made()
    m.temps[:] = START + 1e-4 * np.sin(m.times / 7.0)[:, None] + 0.3 * np.arange(4)
    m.set_point = np.interp(m.times, [600.0, 1400.0], [START, START + 40.0])  # 20 K up at 1,000 s
    return until(m, 1010.0 + since)


case(c.BACKWARDS, "10 K below its first readings", lambda inside: _backwards(9.9 if inside else 10.1))
case(c.UNANSWERED, "ten minutes", lambda inside: _unanswered(590.0 if inside else 600.0))
case(c.TOP_SOON, "three minutes off", lambda inside: _creeps(190.0 if inside else 170.0))
case(c.TOP_SOON, "two and a half minutes off, a swing", lambda i: _swings(155.0 if i else 145.0, -0.4))
case(c.TOP_SOON, "three minutes off, no swing", lambda i: _swings(185.0 if i else 175.0, 0.4))
case(c.TOP_SOON, "half of the rate over five minutes", lambda i: _swings(175.0, -0.4 if i else 0.4))
case(c.TOP_NEARS, "ten minutes off", lambda inside: _creeps(610.0 if inside else 590.0))
case(c.RAMP_SOON, "3 % above its rate", lambda inside: _rises(1.02 if inside else 1.04))
case(c.RAMP_SLOWS, "least rate", lambda inside: _lags(0.99 if inside else 1.01))
case(c.BAND_SOON, "ten minutes off", lambda inside: _leaves(610.0 if inside else 590.0))
case(c.VACUUM_SOON, "0.3 kPa in two and a half minutes", lambda i: _vacuum_falls(290.0 if i else 310.0))
case(c.SENSOR_NOW, "370 C", _reads)
case(c.SILENT, "two and a half steps", lambda i: until(made(), 4000.0, silent=25.0 if i else 25.1))
case(c.COOL_SOON, "3 % above its rate", lambda inside: _falls(1.02 if inside else 1.04))
case(c.HOLD_VACUUM, "release temperature", lambda inside: _cools(325.0 if inside else 326.0))
case(c.DONE, "least dwell", lambda inside: _held(-15.0 if inside else 15.0))
case(c.BEHIND, "10 K", lambda inside: _predicted(9.5 if inside else 10.5))
case(c.AHEAD_OF_IT, "10 K", lambda inside: _predicted(-9.5 if inside else -10.5))
case(c.TOP_NOW, "ceiling or top of the band", lambda inside: _hot(-5.1 if inside else -4.9))
case(c.TOP_WAS, "ceiling", lambda inside: _hot(-0.1 if inside else 0.1, back=True))
case(c.VACUUM_NOW, "least vacuum", lambda inside: _vacuum_now(0.01 if inside else -0.01))
case(c.BAND_NOW, "low end of the band", lambda inside: _below(0.1 if inside else -0.1))
