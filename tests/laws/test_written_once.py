"""A constant of nature stands once in the source, in figures; whoever needs it reads it from there.

Numbers within 0.05 % of one count as the same typed again ("8.314", "273.16"), unless a reason is listed.
"""

from __future__ import annotations

import ast
import math
from functools import cache

import pytest

from source_trees import trees

HOME = "units/fundamental.py"
FACTORS = "units/factors.py"
# value: the file it stands in
CONSTANTS = {
    9.80665: HOME,
    8.314462618: HOME,
    273.15: HOME,
    101325.0: HOME,
    296.15: HOME,
    5.670374419e-8: "physics/film.py",
    287.053: "physics/film.py",
    461.5: "physics/wet_core.py",
    288.15: "physics/atmosphere.py",
    0.0289644: "physics/atmosphere.py",
    0.45359237: FACTORS,
    0.0254: FACTORS,
    0.0127: "",  # half an inch: reckoned from the inch
    0.3048: FACTORS,
    3386.389: FACTORS,
    1055.05585262: FACTORS,
}
# (file, value): why another number so near is none of them
OTHERS = {
    ("physics/atmosphere.py", 8.31432): "the gas constant that the standard of 1976 was computed with",
}


@cache
def numbers() -> tuple[tuple[str, float], ...]:
    """File and value of every number of the source."""
    return tuple(
        (path, node.value)
        for path, tree in trees().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, float)
    )


def near(value: float) -> list[tuple[str, float]]:
    """File and value of every number of the source within 0.05 % of one."""
    return [(path, x) for path, x in numbers() if abs(x - value) <= 5e-4 * value]


@pytest.mark.parametrize(("value", "home"), CONSTANTS.items(), ids=str)
def test_a_constant_stands_once(value: float, home: str) -> None:
    assert [x for x in near(value) if x not in OTHERS] == ([(home, value)] if home else [])


def test_a_turn_is_written_with_pi() -> None:
    turns = [n * math.pi / 12.0 for n in range(1, 25)]
    found = [(path, x) for path, x in numbers() if any(abs(x - t) <= 1e-6 for t in turns)]
    assert found == []


def test_every_reason_is_needed() -> None:
    assert {x for value in CONSTANTS for x in near(value)} >= set(OTHERS)


# what takes a text and answers nothing, and tells nobody anything
KEPT = {
    "long_work.py": "where Tell is",
    "app/opened.py": "keeps the document before it is rewritten",
    "app/rows_away.py": "keeps the document before it is rewritten",
}


def test_who_is_told_how_far_work_is_has_one_type() -> None:
    found = {
        path
        for path, tree in trees().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Subscript) and ast.unparse(node) == "Callable[[str], None]"
    }
    assert found == set(KEPT)


def defaults_in_place(tree: ast.AST) -> list[str]:
    """Numbers that stand in for what nobody typed, where it is asked (``x.value if x else 2.0``) or in the
    call that marks a default. Nothing and one are no usual values."""
    found = []
    for node in ast.walk(tree):
        match node:
            case ast.IfExp(
                body=ast.Attribute(attr="value"), orelse=ast.Constant(value=float() | int() as value)
            ):
                pass
            case ast.IfExp(
                body=ast.Constant(value=float() | int() as value), orelse=ast.Attribute(attr="value")
            ):
                pass
            case ast.Call(
                func=ast.Attribute(attr="default"), args=[_, ast.Constant(value=float() | int() as value), *_]
            ):
                pass
            case _:
                continue
        if not isinstance(value, bool) and value not in (0, 1):
            found.append(f"{node.lineno} {value}")
    return found


def test_a_usual_value_has_a_name_and_one_home() -> None:
    """The bond line of a film stood in two stages, and a step of cut-out sizes in millimetres for inches."""
    rooms = ("job/", "plan/", "render/", "predict/")
    found = [
        f"{p}:{w}" for p, tree in trees().items() if p.startswith(rooms) for w in defaults_in_place(tree)
    ]
    assert found == [], "name it in job/defaults.py"


@pytest.mark.parametrize(
    ("source", "count"),
    [
        ("t = x.value if x is not None else 0.001", 1),
        ("t = 0.001 if x is None else x.value", 1),
        ("t = ledger.default(key, 0.2, 'mass')", 1),
        ("t = x.value if x is not None else 0.0", 0),
        ("t = x.value if x is not None else STEP", 0),
        ("t = basis.default('kit.balance_step')", 0),
    ],
)
def test_a_usual_value_in_place_is_seen(source: str, count: int) -> None:
    assert len(defaults_in_place(ast.parse(source))) == count
