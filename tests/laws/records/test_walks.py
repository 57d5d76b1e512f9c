"""Generated walks: whoever does whatever, what must hold does."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from panelmend.records.store import kept
from records_routes import Routes
from records_walk import OPS, Walk


@pytest.fixture(autouse=True)
def _kept_often(monkeypatch: pytest.MonkeyPatch) -> None:
    """The state beside the log is written, and begun from, all the way."""
    monkeypatch.setattr(kept, "EVERY", 3)


@given(st.lists(st.integers(0, 10**12), min_size=1, max_size=40))
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
def test_whatever_anybody_does_what_must_hold_holds(numbers: list[int]) -> None:
    Walk().go(numbers)


def test_walks_by_every_route_hold() -> None:
    """Library, command line, web API and in bulk, from a job just begun to one that waits for its release;
    scripts/walk_records.py walks more of them."""
    ways: Counter[str] = Counter()
    for depth in (0, 2, 4, 6):
        chance = random.Random(depth)
        walk = Routes(depth)
        walk.go(chance.randrange(10**18) for _ in range(16))
        ways += Counter(walk.ways) + Counter({f"refused, {k}": n for k, n in walk.refused.items()})
        ways += Counter({f"turned away, {k}": n for k, n in walk.web.turned_away.items()})
    ways = +ways  # what never was is not there
    assert {"library", "command line", "web"} <= set(ways), ways
    assert {"refused, command line", "refused, web", "refused, bulk"} <= set(ways), ways
    assert {"turned away, nobody", "turned away, another"} <= set(ways), ways


def test_long_walks_hold_and_really_get_somewhere() -> None:
    """A walk that refuses everything proves nothing: these reach holds, verdicts, releases and the stores."""
    taken: dict[str, int] = {}
    released = 0
    for seed in (0, 1, 3, 7):
        chance = random.Random(seed)
        walk = Walk()
        walk.go(chance.randrange(10**12) for _ in range(120))
        released += sum(j.closed == "released" for j in walk.shop.state.jobs.values())
        for k, v in walk.taken.items():
            taken[k] = taken.get(k, 0) + v
    assert released >= 1
    missing = {op.__name__ for op in OPS} - set(taken) - {"wrong_secret"}
    assert len(missing) <= 6, missing
    assert {"forward", "issue", "take_back", "any_decision", "new_role", "revise"} <= set(taken)
    assert {"R111", "R113", "R123", "R141"} <= set(taken)
