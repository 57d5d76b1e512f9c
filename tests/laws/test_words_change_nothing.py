"""Whatever people call things, the plan stays what it was: codes, severities, standing and every number.

A fastener called "25.4 mm" once made a draft: it was asked whether its unit was right.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest

from examples_here import case_from, names, text
from free_words import HOSTILE, renamed, told
from panelmend.document.typed_out import free_words
from panelmend.plan.make import make_plan


@pytest.mark.parametrize("name", names())
def test_other_words_change_no_severity_and_no_number(name: str) -> None:
    document = text(name)
    other, which = renamed(document, seed=len(name))
    assert len(which) > 50
    assert not set(which.values()) & set(which)
    assert told(make_plan(case_from(other))) == told(make_plan(case_from(document)))


def _fields(document: str) -> Iterator[str]:
    for path, _ in free_words(tomllib.loads(document)):
        yield ".".join(str(p) for p in path if not isinstance(p, int))


def test_every_kind_of_free_text_is_named_anew() -> None:
    """Names, ids, places of the data, whole sentences; never a quantity or a permitted word."""
    seen = {f for name in names() for f in _fields(text(name))}
    assert {
        "panel.insert.id", "data.cure.name", "data.limits.allowable.place", "people.engineer",
        "stores.lot.lot", "data.finishing.seal.value", "panel.outer_skin.plies.cloth", "damage.how_found",
        "choice.heat.cure",
    } <= seen  # fmt: skip
    assert not {
        f for f in seen if f.split(".")[-1] in ("units", "unit", "side", "depth", "margin", "law")
    } - {"materials.consumable.unit"}
    assert len(set(HOSTILE)) == len(HOSTILE)
