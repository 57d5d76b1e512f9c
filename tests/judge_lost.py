"""Cures in which a thermocouple was lost: straight lines with a loose contact, a cold or a hot place."""

from __future__ import annotations

import dataclasses

import numpy as np

from judge_case import Found, case
from judge_lines import STEP, limit, recipe
from judge_lines import made as lines
from made_curelog import Made
from panelmend.plan.judge import SensorRule, codes, judge

LOST_AT = 1200.0  # s, in the ramp
IN_BAND = 2850.0  # s from which all stand at the top


def made(**how: float) -> Made:
    """Lines that lie apart, as no thermocouple repeats another."""
    m = lines(**how)
    m.temps += np.array([0.0, -0.3, 0.01, 0.3])
    return m


def lost(m: Made | None = None, *, at: float = LOST_AT, samples: int = 1, column: int = 2) -> Made:
    """An open contact for a few samples, whatever it reads afterwards."""
    m = m or made()
    i = int(at / STEP)
    m.temps[i : i + samples, column] = 1645.0
    return m


def cold(m: Made, below: float, *, column: int = 2) -> Made:
    """A place that no more than follows the others: colder by so many kelvins at the top."""
    low = float(m.temps[:, 3].max()) - below
    m.temps[:, column] = np.minimum(m.temps[:, column], low + 0.01 * np.sin(m.times / 7.0))
    return m


def ends(m: Made, at: float, *, column: int = 2) -> Made:
    """No reading from a time [s] on."""
    m.temps[m.times >= at, column] = np.nan
    return m


def _reads_again(inside: bool) -> Found:
    """Read on for a little less or more than two minutes, 10 K below the band."""
    m = ends(lost(), LOST_AT + 10.0)
    here = (m.times >= 4000.0) & (m.times <= (4110.0 if inside else 4120.0))
    m.temps[here, 2] = 375.0 + 0.01 * np.sin(m.times[here] / 7.0)
    return _found(m)


def _same(inside: bool) -> Found:
    """Lost for good, or read on as before."""
    return _found(ends(lost(), LOST_AT + 10.0) if inside else lost())


def _below(inside: bool) -> Found:
    return _found(ends(cold(made(), 5.25 if inside else 5.35), IN_BAND + 400.0))


def behind(late: float) -> Made:
    """Lost in the ramp by so many seconds behind the slowest other, at the rate of all."""
    m = made()
    ramp = float(m.temps[int(LOST_AT / STEP), 1] - m.temps[int((LOST_AT - 300.0) / STEP), 1]) / 300.0
    m.temps[:, 2] = m.temps[:, 1] - late * ramp + 0.01 * np.sin(m.times / 7.0)
    return ends(m, LOST_AT)


def _behind(inside: bool) -> Found:
    return _found(behind(599.0 if inside else 601.0))


def share(m: Made, of: float, *, column: int = 2) -> Made:
    """A place that is heated by a share of what the others are: as far from them as they have risen."""
    start = float(m.temps[0, 3])
    m.temps[:, column] = start + of * (m.temps[:, 3] - start) + 0.01 * np.sin(m.times / 7.0)
    return m


def _above(inside: bool) -> Found:
    asked = dataclasses.replace(
        recipe(dwell={"band_high": limit(395.0)}), sensors=SensorRule(3, "table 1", may_fail=1)
    )
    return judge(asked, ends(share(made(), 1.052 if inside else 1.053), 2000.0).log()).findings


def _found(m: Made) -> Found:
    asked = dataclasses.replace(recipe(), sensors=SensorRule(3, "table 1", may_fail=1))
    return judge(asked, m.log()).findings


case(codes.READS_AGAIN, "two minutes that are not as asked", _reads_again)
case(codes.LOST_SAME, "read on as the others", _same)
case(codes.LOST_BELOW, "the low end of the band", _below)
case(codes.LOST_BELOW, "ten minutes behind the slowest other in a ramp", _behind)
case(codes.LOST_ABOVE, "the top of the band", _above)
