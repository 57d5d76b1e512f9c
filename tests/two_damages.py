"""A job of two damages on one panel, made from the demonstration."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from examples_here import text
from panelmend.app.loading import read_all
from panelmend.document import Loaded
from panelmend.errors import DocumentError, InputError
from panelmend.job.case import Case, case_of
from panelmend.job.several import with_others
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import Several, together

SOUND = text("gear_door")
FIRST = SOUND[SOUND.index("[damage]") : SOUND.index("[data]\n")]
SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""


def job(second: str = SECOND, *changed: tuple[str, str]) -> str:
    made = SOUND.replace(FIRST, FIRST.replace("[damage]", "[[damage]]") + second)
    for old, new in changed:
        assert made.count(old) == 1, old
        made = made.replace(old, new)
    return made


def read(document: str) -> tuple[Loaded, ...]:
    return read_all(document.encode(), Path("job.toml"))


def refused(document: str) -> str:
    with pytest.raises((DocumentError, InputError)) as caught:
        read(document)
    return str(caught.value)


def made_of_two() -> Several:
    """Both planned together, with their heat taken on."""
    cases = with_others([case_of(r) for r in read(job())])
    return together(cases, heat_taken_on)


def heat_taken_on(case: Case, *args: Any, **kwargs: Any) -> Plan:
    """A plan whose heat somebody took on: what is shared is looked at here, not what is predicted."""
    plan = make_plan(case, *args, **kwargs)
    return replace(plan, findings=tuple(f for f in plan.findings if f.code not in {"H140", "H602"}))


def codes(several: Several, name: str = "A") -> dict[str, str]:
    plan = next(p for p in several.plans if p.case.document.damage.id == name)
    return {f.code: f.words for f in plan.findings}


def changed(plans: tuple[Plan, ...], part: str, update: dict[str, Any]) -> tuple[Plan, ...]:
    """The same plans of a document whose limits or stores say something else; nothing is planned anew."""
    out = []
    for plan in plans:
        document = plan.case.document
        if part == "limits":
            limits = document.data.limits.model_copy(update=update)
            data = document.data.model_copy(update={"limits": limits})
            document = document.model_copy(update={"data": data})
        else:
            document = document.model_copy(update={"stores": document.stores.model_copy(update=update)})
        own = tuple(f for f in plan.findings if not f.code.startswith("J22"))
        out.append(replace(plan, case=replace(plan.case, document=document), findings=own))
    return tuple(out)
