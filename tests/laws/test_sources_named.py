"""Whatever is usual says where it comes from, where it is written, and somebody uses it."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from panelmend.derive.formula import formula
from panelmend.derive.ledger import Ledger
from panelmend.document.question import Subject, Usual
from panelmend.job.basis import Basis
from panelmend.job.defaults import DEPENDENT, USUAL, DefaultValue
from panelmend.materials.bounds import Bounds, within
from source_trees import trees

ASKS = {"usual", "default", "given_or"}
WRITTEN: tuple[Callable[..., Any], ...] = (
    within,
    Bounds,
    Usual,
    Subject,
    DefaultValue,
    Ledger.default,
    Basis.given_or,
    formula,
)


def named(make: Callable[..., Any]) -> bool:
    """Whether a source has to be written for it."""
    return inspect.signature(make).parameters["source"].default is inspect.Parameter.empty


@pytest.mark.parametrize("make", WRITTEN, ids=lambda m: m.__qualname__)
def test_a_source_is_written_with_every_value(make: Callable[..., Any]) -> None:
    """With one to fall back on, none could be missing."""
    assert named(make)


def test_a_source_to_fall_back_on_is_seen() -> None:
    def forgiving(value: float, *, source: str = "") -> None: ...

    assert not named(forgiving)


def texts(tree: ast.AST) -> set[str]:
    """Every text of a source."""
    return {n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def asked_keys(sources: Mapping[str, ast.Module]) -> set[str]:
    """Keys that a usual value is asked for by.

    Written in the call, or, in a file that asks by a name, anywhere in it, or made there of a section and of
    a text of any file.
    """
    every = set[str]().union(*(texts(t) for t in sources.values()))
    found = set[str]()
    for tree in sources.values():
        calls = [n for n in ast.walk(tree) if isinstance(n, ast.Call) and n.args]
        keys = [c.args[0] for c in calls if isinstance(c.func, ast.Attribute) and c.func.attr in ASKS]
        found |= {k.value for k in keys if isinstance(k, ast.Constant) and isinstance(k.value, str)}
        if not any(isinstance(k, ast.Name) for k in keys):
            continue
        found |= texts(tree)
        for node in ast.walk(tree):
            match node:
                case ast.JoinedStr(values=[ast.Constant(value=str(section)), ast.FormattedValue()]):
                    found |= {section + text for text in every if text.isidentifier()}
    return found


def stages() -> dict[str, ast.Module]:
    """The sources that make a plan, but for the tables of usual values themselves."""
    return {n: t for n, t in trees().items() if n.startswith("job/") and n != "job/defaults.py"}


def test_every_usual_value_is_one_that_somebody_asks_for() -> None:
    asked = asked_keys(stages())
    assert {*USUAL, *DEPENDENT} - asked == set(), "nobody uses these: off the table with them"


def test_a_value_that_nobody_asks_for_is_seen() -> None:
    texts = {
        "a.py": "basis.usual('plies.trim', given)\nother.table('plies.tape')",
        "b.py": "def f(n):\n key = f'bag.{n}'\n return basis.default(key)",
        "c.py": "f('inset')\nprint('kit.resin')",
    }
    asked = asked_keys({name: ast.parse(text) for name, text in texts.items()})
    assert {"plies.trim", "bag.inset"} <= asked
    assert not {"plies.tape", "bag.proud", "kit.resin"} & asked
    assert "cutout.never" not in asked_keys(stages())
