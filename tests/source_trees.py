"""The sources of the program, each parsed once in a process for all the tests that walk them."""

from __future__ import annotations

import ast
import gc
from functools import cache
from pathlib import Path

SRC = Path(__file__).parents[1] / "src" / "panelmend"


@cache
def trees() -> dict[str, ast.Module]:
    """Every file of the package by its path below it; parsed when a test runs, not when it is collected."""
    looking = gc.isenabled()
    gc.disable()  # parsing makes nothing but what stays: not looked through here, and not again afterwards
    try:
        return {
            p.relative_to(SRC).as_posix(): ast.parse(p.read_text("utf8")) for p in sorted(SRC.rglob("*.py"))
        }
    finally:
        gc.freeze()
        if looking:
            gc.enable()


def tree_of(path: Path) -> ast.Module:
    """One of these files."""
    return trees()[path.relative_to(SRC).as_posix()]
