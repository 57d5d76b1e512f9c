"""A pytest plugin that writes down every comparison with a published value: what was printed, what we get.

`scripts/validation` runs tests/published with it and writes docs/validation.md. It changes no comparison: it
asks pytest's own, and keeps both sides.
"""

from __future__ import annotations

import ast
import functools
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest

HEADING = "## Looked for and not found"


@dataclass(frozen=True)
class Comparison:
    """One number beside the printed one. `place` is the comment or docstring that stands there."""

    file: str
    test: str
    place: str
    printed: float
    ours: float
    held: bool


@dataclass
class Record:
    """Every comparison of a run, in the order of the tests."""

    compared: list[Comparison] = field(default_factory=list)
    now: str = ""

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self.now = item.nodeid
        return (yield)

    def pytest_configure(self) -> None:
        pytest.approx = _watched(pytest.approx, self)


def _watched(real: Any, record: Record) -> Any:
    class Beside:
        """Stands for what pytest.approx gives, and keeps what it is compared with."""

        __array_ufunc__ = None
        __array_priority__ = 100

        def __init__(self, inner: Any, printed: object) -> None:
            self.inner, self.printed = inner, printed

        def __eq__(self, ours: object) -> bool:
            held = bool(self.inner == ours)
            frame = sys._getframe(1)
            _keep(record, Path(frame.f_code.co_filename), frame.f_lineno, self.printed, ours, held)
            return held

        def __ne__(self, ours: object) -> bool:
            return not self == ours

        __hash__ = None  # type: ignore[assignment]

        def __repr__(self) -> str:
            return repr(self.inner)

    @functools.wraps(real)
    def approx(expected: object, *tolerances: Any, **named: Any) -> Beside:
        return Beside(real(expected, *tolerances, **named), expected)

    return approx


def _keep(record: Record, file: Path, line: int, printed: object, ours: object, held: bool) -> None:
    try:
        theirs = np.asarray(printed, dtype=float).ravel()
        got = np.asarray(ours, dtype=float).ravel()
    except (TypeError, ValueError):
        return
    if theirs.shape != got.shape:
        return
    name = record.now.split("::", 1)[-1]
    where = _place(file, line)
    for a, b in zip(theirs, got, strict=True):
        record.compared.append(
            Comparison(Path(record.now.split("::")[0]).name, name, where, float(a), float(b), held)
        )


@functools.cache
def _parsed(file: Path) -> tuple[list[str], ast.Module]:
    text = file.read_text("utf8")
    return text.splitlines(), ast.parse(text)


@functools.cache
def _place(file: Path, line: int) -> str:
    """The comment above or beside the statement at `line`, else its function's docstring, else nothing."""
    lines, tree = _parsed(file)
    first, doc = line, ""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.lineno <= line <= (node.end_lineno or line):
            doc = ast.get_docstring(node) or doc
        elif isinstance(node, ast.Assert) and node.lineno <= line <= (node.end_lineno or line):
            first = node.lineno
    above: list[str] = []
    at = first - 2
    while at >= 0 and lines[at].strip().startswith("#"):
        above.insert(0, lines[at].strip().lstrip("# "))
        at -= 1
    beside = re.search(r"\s#\s(?!noqa|type:)(.+)$", lines[first - 1])
    if above:
        return " ".join(above)
    return beside.group(1) if beside else " ".join(doc.split("\n\n")[0].split())


def page(record: Record, folder: Path, below: str) -> str:
    """docs/validation.md: by file of tests/published, its sources, then each comparison."""
    files = sorted({c.file for c in record.compared})
    memory = sum(_from_memory(c, folder) for c in record.compared)
    held = sum(c.held for c in record.compared)
    out: list[str] = [
        "# Published values beside ours",
        "",
        "Made by `scripts/validation` from the comparisons that `tests/published` makes while it runs.",
        "A row is one number that somebody else printed; the same number under",
        "several conditions is several rows.",
        'Where a test says "from memory", its rows say so: nobody had the page open when they were typed.',
        'Where only the head of a file says it of some of its values, they read "some from memory".',
        "",
        f"{len(record.compared)} comparisons in {len(files)} files; {held} within the tolerance the test",
        f"states; {memory} of them marked in one of these two ways. The count is of comparisons,",
        "not of sources: some follow from others by a printed formula or a conversion.",
        "",
    ]
    for file in files:
        rows = [c for c in record.compared if c.file == file]
        source = ast.get_docstring(_parsed(folder / file)[1]) or ""
        out += [
            f"## {file.removeprefix('test_').removesuffix('.py').replace('_', ' ').capitalize()}",
            "",
            source,
            "",
        ]
        out += ["| asked | printed | ours | difference | read |", "| --- | --- | --- | --- | --- |"]
        seen: set[str] = set()
        for c in rows:
            row = f"| {_asked(c)} | {c.printed:.7g} | {c.ours:.6g} | {_difference(c)} | {_how(c, folder)} |"
            if row not in seen:
                out.append(row)
                seen.add(row)
        out.append("")
    return "\n".join(out).rstrip() + "\n\n" + below.rstrip() + "\n"


def _asked(c: Comparison) -> str:
    name, _, case = c.test.partition("[")
    words = name.removeprefix("test_").replace("_", " ")
    text = words + (f" ({case.rstrip(']')})" if case else "") + (f": {c.place}" if c.place else "")
    return text.replace("|", "/")


def _difference(c: Comparison) -> str:
    if c.printed == 0.0:
        return "none" if c.ours == 0.0 else f"{c.ours:.1e}"
    share = c.ours / c.printed - 1.0
    return "none" if abs(share) < 5e-9 else f"{100 * share:+.2g} %"


def _from_memory(c: Comparison, folder: Path) -> bool:
    return _how(c, folder) != "source"


def _how(c: Comparison, folder: Path) -> str:
    lines, tree = _parsed(folder / c.file)
    if "memory" in c.place or "memory" in _whole_test(c.test.partition("[")[0], lines, tree):
        return "memory"
    return "some from memory" if "memory" in (ast.get_docstring(tree) or "") else "source"


def _whole_test(name: str, lines: list[str], tree: ast.Module) -> str:
    """The text of the test called `name`, with its decorators and the comments above them."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name == name:
            first = min([node.lineno, *(d.lineno for d in node.decorator_list)]) - 1
            while first > 0 and lines[first - 1].startswith("#"):
                first -= 1
            return "\n".join(lines[first : node.end_lineno])
    return ""
