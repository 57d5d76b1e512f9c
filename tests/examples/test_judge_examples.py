"""Every cure of every example document can be judged: a made log that follows it conforms, and one that does
not, does not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from made_curelog import INHG, Made, lagged
from panelmend.document import parse
from panelmend.plan.judge import CureRecipe, LeakReading, Outcome, SegmentKind, judge
from panelmend.plan.judge.approved import recipe_of

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/repair.toml"))
CURES = [
    (file.parent.name, number)
    for file in EXAMPLES
    for number in range(len(parse(file.read_bytes(), file.name).document.data.cure))
]


def recipe(example: str, number: int) -> CureRecipe:
    file = next(f for f in EXAMPLES if f.parent.name == example)
    data = parse(file.read_bytes(), file.name).document.data
    return recipe_of(data, data.cure[number])


def followed(r: CureRecipe, *, shorter: float = 0.0) -> Made:
    """A log that follows a recipe in the middle of its limits, from 22 C."""
    knots = [(0.0, 295.15), (300.0, 295.15)]
    for s in r.segments:
        t, level = knots[-1]
        if s.kind is SegmentKind.DWELL:
            assert s.dwell_least is not None
            held = s.dwell_least.value - shorter
            most = s.dwell_most.value if s.dwell_most else held + 1800.0
            knots.append((t + min(held + 1200.0, 0.5 * (held + most)), level))
        else:
            fastest = s.rate_most.value if s.rate_most else 3 / 60
            slowest = s.rate_least.value if s.rate_least else 0.5 * fastest
            rate = min(0.7 * fastest, max(1.3 * slowest, 0.5 * fastest))
            goal = s.target if s.kind is SegmentKind.RAMP else s.target - 3.0
            knots.append((t + abs(goal - level) / rate, goal))
    knots.append((knots[-1][0] + 300, knots[-1][1]))
    times = np.arange(0.0, knots[-1][0], 20.0)
    program = np.interp(times, *zip(*knots, strict=True))
    random = np.random.default_rng(7)
    temps = np.column_stack([lagged(times, program, 30.0 + 12 * i) for i in range(5)])
    temps += random.normal(0, 0.1, temps.shape)
    vacuum = 24.0 * INHG + random.normal(0, 30, times.size)
    return Made(times, temps, vacuum, program, [f"TC{i + 1}" for i in range(5)])


@pytest.mark.parametrize(("example", "number"), CURES)
def test_a_log_that_follows_an_example_conforms(example: str, number: int) -> None:
    r = recipe(example, number)
    leak = LeakReading(25 * INHG, 25 * INHG - 0.5 * r.leak.fall_most.value, r.leak.over) if r.leak else None
    verdict = judge(r, followed(r).log(), leak=leak)
    assert verdict.outcome is Outcome.CONFORMS, [x.words for x in verdict.against()]
    assert all(x.place for x in verdict.reasons)
    short = judge(r, followed(r, shorter=2400.0).log(), leak=leak)
    assert short.outcome is Outcome.DOES_NOT
    assert {x.rule for x in short.against()} == {"dwell by the slowest, unbroken"}
