"""The verdict of a log, the request to engineering and the letters, in the units of who reads them.

What a template gets is plain data, so no page is set.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import numpy as np
import pytest

from examples_here import case_from, edited, text
from made_curelog import made_cure
from panelmend.plan.again import again
from panelmend.plan.judge import judge, make_report
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import found_beside
from panelmend.render.again import again_json, again_sheets, again_words
from panelmend.render.cure_report import cure_data
from panelmend.render.request import request_json, request_sheets
from panelmend.render.several import several_sheets
from recipe_curelog import LEAKY
from strange_units import INCHES, METRIC, strings, turned, typed_in, without

VIEWS = pytest.mark.parametrize("view", ["mm", "in"])
LIMITS = (
    ('repairable = { value = "200 mm"', 'repairable = { value = "140 mm"'),
    ('repairable_area = { value = "250 cm2"', 'repairable_area = { value = "90 cm2"'),
)


@cache
def _plan(view: str, *changes: tuple[str, str]) -> Plan:
    document = edited(turned("gear_door", view), *changes)
    return make_plan(case_from(document))


def _foreign(view: str, data: Any) -> list[str]:
    """What is said in the other system's units, but for what somebody typed."""
    other, typed = {"in": METRIC, "mm": INCHES}[view], typed_in(text("gear_door")) | {LEAKY.name}
    return [said for said in strings(data) if other.search(without(said, typed))]


def _own(view: str, data: Any) -> bool:
    return any({"mm": METRIC, "in": INCHES}[view].search(said) for said in strings(data))


def _verdicts(view: str) -> Iterator[Any]:
    """Reports of a sound log and of one with a peak, little vacuum and a lost thermocouple."""
    for poor in (False, True):
        made = made_cure(4, step=5.0)
        if poor:
            made.temps[700, 1] = 430.0
            made.temps[1000:, 2] = np.nan
            made.temps[300:500, 0] += 25.0
            assert made.vacuum is not None
            made.vacuum[800:900] *= 0.4
        log = made.log()
        yield cure_data(
            make_report(LEAKY, log, judge(LEAKY, log, view=view), view=view), _plan(view).case.document
        )


@VIEWS
def test_a_verdict_speaks_in_the_readers_units(view: str) -> None:
    for data in _verdicts(view):
        assert _own(view, data)
        assert _foreign(view, data) == []


@VIEWS
def test_a_request_speaks_in_the_readers_units(view: str) -> None:
    plan = _plan(view, *LIMITS)
    assert sum(r.holds is False for r in plan.limits.reasons) >= 2
    for data in (request_sheets(plan, (), ()).data, request_json(plan, (), ())):
        assert _own(view, data)
        assert _foreign(view, data) == []


@VIEWS
def test_letters_speak_in_the_readers_units(view: str) -> None:
    """What differs after the damage grew, and the first page of several damages."""
    old = _plan(view)
    grown = (
        ('number = "TAS-26-0417"', 'number = "TAS-26-0417"\nrevision = 2'),
        ("[561, 383], [552, 405]", "[564, 383], [555, 405]"),
    )
    new = _plan(view, *grown)
    steps = [s.place for s in old.card.steps]
    done = steps[: steps.index(next(p for p in steps if p.id == "D2")) + 1]
    made = again(old, new, done)
    assert f'{view}"' in made.holding
    for data in (again_sheets(made).data, again_json(made), again_words(made)):
        assert _foreign(view, data) == []
    assert _own(view, again_sheets(made).data)
    assert _foreign(view, several_sheets(found_beside((old, new))).data) == []
    held = _plan(view, *grown, ("\n[damage]\n", f"\n[choice]\n{made.holding}\n\n[damage]\n"))
    assert "J227" not in {f.code for f in again(old, held, done).findings}
