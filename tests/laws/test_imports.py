"""Imports only point down: the floors of the house, and the rule that kernels are pure."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from source_trees import SRC, tree_of

ENV = {**os.environ, "PYTHONPATH": str(SRC.parent)}
FLOORS = [
    {"errors", "long_work", "machine", "unwatched"},
    {"units", "files", "trade"},
    {"keeping"},
    {"derive"},
    {"shapes", "physics"},
    {"materials"},
    {"document"},
    {"shelves"},
    {"job"},
    {"plan", "nesting", "predict"},
    {"curelog", "survey", "photo", "records"},
    {"render"},
    {"app"},
    {"screen"},
]
DOOR = Path("app", "cli_screen.py")
"""The verb that opens the screen: the one file of ``app`` that may reach up to it, when it is asked to."""
LEVEL = {room: level for level, rooms in enumerate(FLOORS) for room in rooms}
IMPURE = {"logging", "time", "os", "random", "socket", "subprocess"}
PURE = {"derive", "shapes", "physics", "job", "plan"}


ROOMS = sorted(
    {p.relative_to(SRC).parts[0].removesuffix(".py") for p in SRC.rglob("*.py")} - {"__init__", "__main__"}
)


def _modules(room: str) -> list[Path]:
    return sorted([*(SRC / room).rglob("*.py"), *SRC.glob(f"{room}.py")])


@cache
def _imports(path: Path) -> list[tuple[int, str]]:
    found = []
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: write imports in full"
            found.append((node.lineno, node.module or ""))
            found += [(node.lineno, f"{node.module}.{alias.name}") for alias in node.names]
    return found


@pytest.mark.parametrize("room", ROOMS)
def test_imports_point_down(room: str) -> None:
    assert room in LEVEL, f"{room!r} stands on no floor"
    found = []
    for path in _modules(room):
        for line, name in _imports(path):
            parts = name.split(".")
            if parts[0] != "panelmend" or len(parts) < 2 or parts[1] not in LEVEL:
                continue
            other = parts[1]
            opens = other == "screen" and path.relative_to(SRC) == DOOR
            if other != room and LEVEL[other] >= LEVEL[room] and not opens:
                found.append(f"{path}:{line}: {room} may not import {other}")
    assert _modules(room)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("room", sorted(PURE))
def test_kernels_are_pure(room: str) -> None:
    found = []
    for path in _modules(room):
        for line, name in _imports(path):
            if name.split(".")[0] in IMPURE:
                found.append(f"{path}:{line}: a kernel imports {name}")
        for node in ast.walk(tree_of(path)):
            called = node.func if isinstance(node, ast.Call) else None
            if isinstance(called, ast.Name) and called.id in {"print", "open", "input"}:
                found.append(f"{path}:{called.lineno}: {called.id}()")
    assert _modules(room)
    assert not found, "\n".join(found)


def test_a_stage_reads_only_parts_of_other_stages() -> None:
    job = SRC / "job"
    stages = {p.name for p in job.iterdir() if p.is_dir()}
    for path in sorted(job.rglob("*.py")):
        own = path.relative_to(job).parts[0]
        for line, name in _imports(path):
            parts = name.split(".")
            if parts[:2] != ["panelmend", "job"] or len(parts) < 3 or parts[2] not in stages:
                continue
            assert parts[2] == own or parts[3:4] == ["part"], (
                f"{path}:{line}: {own} reads {name}, not its part"
            )


def test_the_command_line_loads_nothing_heavy_before_a_verb_asks_for_it() -> None:
    shown = "print(*{m.partition('.')[0] for m in sys.modules}, *(m for m in sys.modules if 'records' in m))"
    code = f"import sys, panelmend.app.cli; {shown}; import panelmend.app.service; {shown}"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=ENV, timeout=300
    )
    start, planning = (set(line.split()) for line in done.stdout.splitlines())
    records = {"sqlalchemy", "alembic", "argon2", "psycopg", "panelmend.records", "panelmend.app.records"}
    heavy = {
        "numpy",
        "scipy",
        "pydantic",
        "numba",
        "shapely",
        "typst",
        "distributed",
        "cv2",
        "fastapi",
        "uvicorn",
    } | records
    assert heavy.isdisjoint(start), heavy & start
    assert records.isdisjoint(planning), "planning does without the records"


CHECK_LOADS = {  # by a check, beyond Python's own
    "annotated_types",
    "click",
    "panelmend",
    "pydantic",
    "pydantic_core",
    "tree_sitter",
    "tree_sitter_toml",
    "typing_extensions",
    "typing_inspection",
}
MAY_LOAD = {  # by a plan without a survey, beyond Python's own: each of them costs every plan its time
    "annotated_types",
    "click",
    "nlopt",
    "numpy",
    "panelmend",
    "psutil",
    "pydantic",
    "pydantic_core",
    "shapely",
    "spyrrow",
    "tree_sitter",
    "tree_sitter_toml",
    "typing_extensions",
    "typing_inspection",
}


def test_a_check_and_a_plan_without_a_survey_load_only_these() -> None:
    code = (
        "import sys; from panelmend.app.cli import main\n"
        "for verb in ('check', 'plan'):\n"
        "    try: main([verb, sys.argv[1]])\n"
        "    except SystemExit: pass\n"
        "    out = {m.partition('.')[0] for m in sys.modules} - set(sys.stdlib_module_names)\n"
        "    print('LOADED', *sorted(n for n in out if not n.startswith('_') and '_runtime' not in n))"
    )
    document = SRC.parents[1] / "examples" / "gear_door" / "repair.toml"
    words = [sys.executable, "-c", code, str(document)]
    done = subprocess.run(words, capture_output=True, text=True, check=True, env=ENV, timeout=300)
    check, plan = [{*w.split()[1:]} for w in done.stdout.splitlines() if w.startswith("LOADED")]
    assert check - CHECK_LOADS == set()
    assert plan - MAY_LOAD == set()


def _names_at_the_top(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            found.add(node.name)
        elif isinstance(node, ast.ImportFrom | ast.Import):
            found |= {(alias.asname or alias.name).split(".")[0] for alias in node.names}
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            found.add(node.id)
    return found


def missing_names(code: str, where: str = "it") -> list[str]:
    """What code imports of the package that is not there; neither lint nor types look at what is only run by
    hand."""
    found = []
    for node in ast.walk(ast.parse(code)):
        if not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith("panelmend."):
            continue
        path = SRC.joinpath(*str(node.module).split(".")[1:])
        file = path / "__init__.py" if path.is_dir() else path.with_suffix(".py")
        there = _names_at_the_top(file) if file.exists() else set()
        inside = {p.stem for p in path.iterdir()} if path.is_dir() else set()
        found += [
            f"{where}:{node.lineno} {node.module}.{a.name}"
            for a in node.names
            if a.name not in there | inside
        ]
    return found


def test_what_is_run_by_hand_imports_what_there_is() -> None:
    """Two benchmarks did not start any more after functions were renamed."""
    assert missing_names("from panelmend.units import KINDS, gone\nfrom panelmend.nowhere import x") == [
        "it:1 panelmend.units.gone",
        "it:2 panelmend.nowhere.x",
    ]
    root = SRC.parents[1]
    files = [*root.glob("benchmarks/**/*.py"), *root.glob("scripts/**/*.py")]
    files += [
        p for p in root.glob("scripts/*") if p.is_file() and p.read_bytes().startswith(b"#!/usr/bin/env py")
    ]
    assert len(files) > 10
    assert [m for p in sorted(files) for m in missing_names(p.read_text("utf8"), p.name)] == []
