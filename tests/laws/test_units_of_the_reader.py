"""Documents in inches are answered in inches, in millimetres in millimetres: words of card and findings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from examples_here import case_from, names, text
from panelmend.app.telling import summary
from panelmend.derive import Figure
from panelmend.derive.ledger import words_of
from panelmend.plan.make import make_plan
from strange_units import INCHES, METRIC, typed_in, without


def said(thing: Any, view: str) -> Iterator[str]:
    """Every text in a thing, its figures in the reader's units."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, Figure):
        yield words_of(thing, view)
    elif isinstance(thing, tuple | list):
        for item in thing:
            yield from said(item, view)
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from said(getattr(thing, field.name), view)


def strange(document: str) -> list[str]:
    """What is said in the other system's units, but for what somebody typed as a text."""
    plan = make_plan(case_from(document))
    view = plan.case.view
    typed = typed_in(document) | {m.name for m in plan.case.catalogue.consumables()}
    words = [*said(plan.card, view), *said(plan.findings, view), *summary(plan).splitlines()]
    other = METRIC if view == "in" else INCHES
    return [w for w in words if other.search(without(w, typed))]


@pytest.mark.parametrize("example", names())
def test_card_and_findings_are_in_the_readers_units(example: str) -> None:
    assert strange(text(example)) == []


def test_the_same_plan_in_the_other_units() -> None:
    for example, old, new in (("gear_door", "mm", "in"), ("root_fairing", "in", "mm")):
        assert strange(text(example).replace(f'units = "{old}"', f'units = "{new}"')) == []


def test_strange_units_are_seen() -> None:
    assert METRIC.search("3.2 mm short")
    assert METRIC.search("at most 82 C.")
    assert not METRIC.search("0.07 W/(m K), 12 min, 3 m-ary")
    assert INCHES.search("plug 10 in, sheet")
    assert INCHES.search("180 F")
    assert not INCHES.search("for 8 in the bay")
