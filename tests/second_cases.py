"""What is planted into the second family of cures, and what should be said of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from panelmend.plan.judge import (
    CureRecipe,
    Outcome,
    RecipeLimit,
    RecipeSegment,
    SegmentKind,
    SensorRule,
    VacuumRule,
)
from panelmend.plan.judge import codes as c
from second_curelog import PER_INHG, Plan, Run, wrong_wire

PLACE = "invented data, table 4"
RECIPE = CureRecipe(
    "second family",
    (
        RecipeSegment(
            "heat-up",
            SegmentKind.RAMP,
            393.15,
            rate_least=RecipeLimit(0.5 / 60, PLACE),
            rate_most=RecipeLimit(3 / 60, PLACE),
        ),
        RecipeSegment(
            "cure",
            SegmentKind.DWELL,
            393.15,
            band_low=RecipeLimit(383.15, PLACE),
            band_high=RecipeLimit(411.15, PLACE),
            dwell_least=RecipeLimit(3600.0, PLACE),
        ),
        RecipeSegment("cool-down", SegmentKind.COOL, 323.15, rate_most=RecipeLimit(3 / 60, PLACE)),
    ),
    SensorRule(3, PLACE, may_fail=1),
    ceiling=RecipeLimit(416.15, PLACE),
    vacuum=VacuumRule(RecipeLimit(22 * PER_INHG, PLACE)),
    release_most=RecipeLimit(325.15, PLACE),
)
CONFORMS, DOES_NOT, UNKNOWN = Outcome.CONFORMS, Outcome.DOES_NOT, Outcome.UNKNOWN


@dataclass(frozen=True)
class Case:
    """``plan``: changes of the cure; ``plant``: what is done to the readings, before or after they are
    ``sampled``; ``right``: verdicts that are right; ``code``: the finding that should name it, "" for
    none."""

    name: str
    right: tuple[Outcome, ...]
    code: str = ""
    plan: tuple[tuple[str, float], ...] = ()
    plant: Callable[[Run], None] | None = None
    after: Callable[[Run], None] | None = None

    def of(self, seed: int) -> Plan:
        return replace(Plan(seed), **dict(self.plan))


def _dwell(r: Run, share: float) -> int:
    """A row within the hot time."""
    hot = np.flatnonzero(r.true.min(axis=1) > r.true.max() - 12.0)
    return int(hot[int(share * (hot.size - 1))])


def _rows(r: Run, begin: int, seconds: float) -> slice:
    return slice(begin, int(np.searchsorted(r.times, r.times[begin] + seconds)))


def frozen(r: Run) -> None:
    at = _rows(r, _dwell(r, 0.2), 1000.0)
    r.seen[at], r.vacuum[at] = r.seen[at.start], r.vacuum[at.start]


def frozen_over_a_fall(r: Run) -> None:
    at = _rows(r, _dwell(r, 0.3), 800.0)
    r.true[at] -= 15.0
    r.seen[at], r.vacuum[at] = r.seen[at.start], r.vacuum[at.start]


def stuck_gauge(r: Run) -> None:
    at = int(np.argmax(r.seen.max(axis=1) > 60.0))
    r.vacuum[at:] = r.vacuum[at]


def cold_place(r: Run) -> None:
    r.seen[:, 1] -= 16.0 * (r.seen[:, 1] - r.air) / 100.0


def came_off(r: Run) -> None:
    at = _dwell(r, 0.4)
    fall = np.exp(-(r.times[at:] - r.times[at]) / 90.0)
    draught = 45.0 + np.random.default_rng(at).normal(0, 0.4, fall.size)
    r.seen[at:, 2] = draught + (r.seen[at:, 2] - 45.0) * fall


def hump(r: Run) -> None:
    at = r.times[_dwell(r, 0.5)]
    r.seen += 28.0 * np.exp(-(((r.times - at) / 250.0) ** 2))[:, None]


def dip(r: Run) -> None:
    r.vacuum[_rows(r, _dwell(r, 0.5), 300.0)] = 18.0 * PER_INHG


def hole(r: Run) -> None:
    at = _rows(r, _dwell(r, 0.4), 400.0)
    keep = np.ones(r.times.size, bool)
    keep[at] = False
    r.times, r.true, r.seen, r.vacuum, r.stamps = (
        x[keep] for x in (r.times, r.true, r.seen, r.vacuum, r.stamps)
    )


def slip(r: Run) -> None:
    r.stamps[r.stamps.size // 2 :] -= (
        0.4 * float(np.median(np.diff(r.stamps))) + np.diff(r.stamps)[r.stamps.size // 2 - 1]
    )


def ahead(r: Run) -> None:
    r.stamps[r.stamps.size // 2] += 3600.0


def set_back(r: Run) -> None:
    r.stamps[r.stamps.size // 2 :] -= 3600.0


def open_sensor(r: Run) -> None:
    r.seen[r.times.size // 2 :, 3] = 1372.0


def other_way(r: Run) -> None:
    r.vacuum[:] = 101325.0 - np.minimum(r.vacuum, 4 * PER_INHG)


def j_on_k(r: Run) -> None:
    wrong_wire(r, "J", "K")


def k_on_j(r: Run) -> None:
    wrong_wire(r, "K", "J")


CASES = (
    Case("sound", (CONFORMS,)),
    Case("sound, 6 C spread", (CONFORMS,), plan=(("spread", 6.0),)),
    Case("sound, 10 C spread", (CONFORMS,), plan=(("spread", 10.0),)),
    Case("short dwell", (DOES_NOT,), c.DWELL_SHORT.code, plan=(("hold", 2400.0),)),
    Case("too cold", (DOES_NOT,), c.NOT_REACHED.code, plan=(("goal", 106.0),)),
    Case("ceiling passed", (DOES_NOT,), c.CEILING.code, plant=hump),
    Case("heated too fast", (DOES_NOT,), c.RAMP_FAST.code, plan=(("rate", 4.0),)),
    Case("vacuum too low", (DOES_NOT,), c.VACUUM_LOW.code, plan=(("vacuum", 20.5),)),
    Case("dip of vacuum", (DOES_NOT,), c.VACUUM_LOW.code, plant=dip),
    Case("released hot", (DOES_NOT,), c.RELEASED_HOT.code, plan=(("release", 80.0),)),
    Case("everything stands still", (UNKNOWN, DOES_NOT), c.FROZEN.code, after=frozen),
    Case("a fall hidden by a stay", (UNKNOWN, DOES_NOT), c.FROZEN.code, after=frozen_over_a_fall),
    Case("gauge stuck past release", (UNKNOWN,), c.FROZEN.code, after=stuck_gauge),
    Case("gauge the other way round", (UNKNOWN,), c.V_SENSE.code, plant=other_way),
    Case("cold place", (DOES_NOT, UNKNOWN), plant=cold_place),
    Case("thermocouple came off", (UNKNOWN,), c.CAME_OFF.code, plant=came_off),
    Case("open thermocouple", (CONFORMS,), c.OPEN.code, plant=open_sensor),
    Case("J wire on K", (UNKNOWN,), c.WRONG_WIRE.code, plant=j_on_k),
    Case("K wire on J", (UNKNOWN,), c.WRONG_WIRE.code, plant=k_on_j),
    Case("hole of 400 s in the dwell", (UNKNOWN,), c.GAP.code, after=hole),
    Case("stamp a little back", (CONFORMS,), c.ODD_STAMP.code, after=slip),
    Case("one stamp an hour ahead", (CONFORMS,), c.ODD_STAMP.code, after=ahead),
    Case("clock set back an hour", (UNKNOWN,), c.CLOCK_BACK.code, after=set_back),
)
