"""Plant faults in a running pytest: one fork for each, no new process, no copy of the tree.

    PYTHONPATH=scripts/faults .venv/bin/python -m pytest -p quick --plant 'src/panelmend/plan/judge/*.py' \
        --plant-to planted.jsonl --plant-seconds 300 tests/laws/test_judge_*.py

Every test runs once to see which lines it passes over and how long it takes. Then, for each place of
:mod:`sites`, a child puts the changed functions and constants in place of the sound ones and runs the tests
that pass there, the quickest first, until one fails. Places that stand in the file already are not tried
again, so that a long run can go in pieces. A constant of a module is changed wherever it was imported; what a
test computed from it at import is not made anew.
"""

from __future__ import annotations

import ast
import contextlib
import dataclasses
import functools
import gc
import json
import os
import signal
import sys
import time
import types
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sites import Site, sites

ROOT = Path(__file__).resolve().parents[2]
PLAIN = (int, float, bool, str, tuple, timedelta)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--plant", help="sources, as a pattern below the root")
    parser.addoption("--plant-to", help="outcome, a line of JSON for each place")
    parser.addoption("--plant-seconds", type=float, default=300.0)
    parser.addoption(
        "--plant-each", type=float, default=60.0, help="seconds of tests for each place, at most"
    )
    parser.addoption("--plant-kinds", default="", help="kinds of faults, with commas; all when empty")


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop(session: pytest.Session) -> bool | None:
    if not session.config.getoption("--plant"):
        return None
    began = time.monotonic()
    Planter(session).run(began + session.config.getoption("--plant-seconds"))
    return True


class Planter:
    """The tests of a session and the places of its sources."""

    def __init__(self, session: pytest.Session) -> None:
        self.items = {item.nodeid: item for item in session.items}
        pattern = session.config.getoption("--plant")
        self.files = [str(p) for p in sorted(ROOT.glob(pattern))]
        self.to = Path(session.config.getoption("--plant-to"))
        self.kinds = set(filter(None, session.config.getoption("--plant-kinds").split(",")))
        self.each = session.config.getoption("--plant-each")
        self.failed = False
        session.config.pluginmanager.register(self, "planter")
        self.caches: list[functools._lru_cache_wrapper[object]] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed |= report.failed

    def passes(self, nodeid: str) -> bool:
        self.failed = False
        item = self.items[nodeid]
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
        return not self.failed

    def forget(self) -> None:
        for cache in self.caches:
            cache.cache_clear()

    def trace(self) -> tuple[dict[tuple[str, int], list[str]], dict[str, float]]:
        """(file, line) to the tests that pass over it; seconds of each test. Kept beside the outcome."""
        kept = self.to.with_suffix(".lines")
        if kept.exists():
            told = json.loads(kept.read_text("utf8"))
            if set(told["took"]) == set(self.items):
                return {(f, n): t for f, n, t in told["lines"]}, told["took"]
        files, lines, took = set(self.files), {}, {}
        for nodeid in self.items:
            self.forget()
            seen: set[tuple[str, int]] = set()

            def local(frame, event, _arg, seen=seen):  # type: ignore[no-untyped-def]
                seen.add((frame.f_code.co_filename, frame.f_lineno))
                return local

            def tracer(frame, event, arg, local=local):  # type: ignore[no-untyped-def]
                return local(frame, event, arg) if frame.f_code.co_filename in files else None

            start = time.process_time()
            sys.settrace(tracer)
            sound = self.passes(nodeid)
            sys.settrace(None)
            took[nodeid] = time.process_time() - start
            if not sound:
                raise SystemExit(f"{nodeid} fails without any fault")
            for place in seen:
                lines.setdefault(place, []).append(nodeid)
        self.to.parent.mkdir(parents=True, exist_ok=True)
        rows = [[f, n, t] for (f, n), t in lines.items()]
        kept.write_text(json.dumps({"took": took, "lines": rows}), "utf8")
        return lines, took

    def run(self, deadline: float) -> None:
        self.caches = [
            x
            for x in gc.get_objects()
            if isinstance(x, functools._lru_cache_wrapper)
            and getattr(x, "__module__", "").split(".")[0] not in ("typing", "re", "numpy")
        ]
        lines, took = self.trace()
        done = (
            {json.loads(x)["id"] for x in self.to.read_text("utf8").splitlines()}
            if self.to.exists()
            else set()
        )
        with self.to.open("a", encoding="utf8") as out:
            for path in map(Path, self.files):
                text, around = path.read_text("utf8"), Around(path)
                for site in map(tenth, sites(path)):
                    if site.kind == "constant" and site.start in around.places:
                        continue
                    name = f"{path.name}:{site.start}:{site.was}>{site.becomes}"
                    if name in done or (self.kinds and site.kind not in self.kinds):
                        continue
                    if time.monotonic() > deadline:
                        return
                    tests = around.tests(site, lines)
                    tests.sort(key=took.__getitem__)
                    while len(tests) > 1 and sum(map(took.__getitem__, tests)) > self.each:
                        tests.pop()
                    outcome = self.attempt(
                        path, site.planted(text), tests, 20.0 + 10 * sum(map(took.__getitem__, tests))
                    )
                    row = {
                        "id": name,
                        "file": path.name,
                        "line": site.line,
                        "kind": site.kind,
                        "was": site.was,
                        "becomes": site.becomes,
                        "tests": len(tests),
                        "outcome": outcome,
                    }
                    out.write(json.dumps(row) + "\n")
                    out.flush()

    def attempt(self, path: Path, text: str, tests: list[str], seconds: float) -> str:
        """caught, missed, or why it could not be tried."""
        if not tests:
            return "no test passes there"
        child = os.fork()
        if not child:
            code = 3
            with contextlib.suppress(BaseException):
                null = os.open(os.devnull, os.O_WRONLY)
                os.dup2(null, 1)
                os.dup2(null, 2)
                signal.signal(signal.SIGALRM, signal.SIG_DFL)
                signal.alarm(int(seconds) + 1)
                self.forget()
                try:
                    put(path, text)
                except Exception:
                    os._exit(1)  # the module does not load
                code = 0
                for nodeid in tests:
                    if not self.passes(nodeid):
                        code = 1
                        break
            os._exit(code)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "caught"  # out of time
        return {0: "missed", 1: "caught"}.get(os.WEXITSTATUS(status), "caught")


def tenth(site: Site) -> Site:
    """Larger whole numbers change by a tenth, as fractions do."""
    if site.kind != "constant" or not site.was.replace("_", "").isdigit() or int(site.was) < 10:
        return site
    return dataclasses.replace(site, becomes=str(round(int(site.was) * 1.1)))


class Around:
    """Which tests see a place of a file, and at which of its characters a number stands that no tenth
    changes: places in arrays, digits shown, zeros, a step to the next one, and rounding that is forgiven."""

    def __init__(self, path: Path) -> None:
        self.path = str(path)
        text = path.read_text("utf8")
        self.tree = ast.parse(text)
        starts = [0]
        for row in text.splitlines(keepends=True):
            starts.append(starts[-1] + len(row))
        none: list[ast.AST] = []
        for n in ast.walk(self.tree):
            if isinstance(n, ast.Subscript):
                none += ast.walk(n.slice)
            elif isinstance(n, ast.keyword) and n.arg in ("axis", "decimals"):
                none += ast.walk(n.value)
            elif isinstance(n, ast.BinOp) and isinstance(n.op, (ast.Add, ast.Sub)):
                none += [x for x in (n.left, n.right) if isinstance(x, ast.Constant) and x.value in (1, 2)]
            elif isinstance(n, ast.Constant) and isinstance(n.value, (int, float)) and abs(n.value) <= 1e-4:
                none.append(n)
        self.places = {starts[x.lineno - 1] + x.col_offset for x in none if isinstance(x, ast.Constant)}
        self.spans = [(n.lineno, n.end_lineno or 0) for n in ast.walk(self.tree)
                      if isinstance(n, (ast.FunctionDef, ast.AsyncFunctionDef))]  # fmt: skip

    def tests(self, site: Site, lines: dict[tuple[str, int], list[str]]) -> list[str]:
        inside = [s for s in self.spans if s[0] <= site.line <= s[1]]
        here = lines.get((self.path, site.line), [])
        if inside and here:
            return list(dict.fromkeys(here))
        if inside:
            a, b = max(inside)
            return list(dict.fromkeys(t for k in range(a, b + 1) for t in lines.get((self.path, k), [])))
        here_too = [n for n in self.tree.body if n.lineno <= site.line <= (n.end_lineno or 0)]
        names = {
            t.id
            for n in here_too
            for t in ast.walk(n)
            if isinstance(t, ast.Name) and isinstance(t.ctx, ast.Store)
        }
        found: dict[str, None] = {}
        for path in {f for f, _ in lines}:
            for n in ast.walk(ast.parse(Path(path).read_text("utf8"))):
                if isinstance(n, ast.Name) and n.id in names:
                    found |= dict.fromkeys(lines.get((path, n.lineno), []))
        if not found:  # a default of a class, or reached through its module
            found = dict.fromkeys(t for (f, _), ts in lines.items() if f == self.path for t in ts)
        return list(found)


def put(path: Path, text: str) -> None:
    """Put what a changed source defines in the place of what the loaded module defines."""
    module = next(m for m in list(sys.modules.values()) if getattr(m, "__file__", None) == str(path))
    fresh = types.ModuleType(module.__name__)
    fresh.__file__ = module.__file__
    sys.modules[module.__name__] = fresh  # dataclasses look their module up
    exec(compile(text, str(path), "exec"), fresh.__dict__)
    sys.modules[module.__name__] = module
    for name, new in fresh.__dict__.items():
        old = module.__dict__.get(name)
        if (
            isinstance(new, PLAIN)
            and not name.startswith("__")
            and (new != old or type(new) is not type(old))
        ):
            for other in list(sys.modules.values()):
                if getattr(other, "__dict__", {}).get(name) is old:
                    other.__dict__[name] = new
        elif isinstance(new, dict) and isinstance(old, dict) and not name.startswith("__"):
            old.clear()
            old.update(new)
        else:
            for a, b in pairs(old, new):
                a.__code__, a.__defaults__, a.__kwdefaults__ = b.__code__, b.__defaults__, b.__kwdefaults__


def pairs(old: object, new: object) -> Iterator[tuple[types.FunctionType, types.FunctionType]]:
    """Functions of the same place in two loads of a module."""
    old, new = (getattr(x, "__wrapped__", x) for x in (old, new))
    old, new = (x.fget if isinstance(x, property) else x for x in (old, new))
    old, new = (x.func if isinstance(x, functools.cached_property) else x for x in (old, new))
    old, new = (x.__func__ if isinstance(x, (classmethod, staticmethod)) else x for x in (old, new))
    if isinstance(old, types.FunctionType) and isinstance(new, types.FunctionType):
        if old.__code__.co_freevars == new.__code__.co_freevars:
            yield old, new
    elif isinstance(old, type) and isinstance(new, type) and old.__module__ == new.__module__:
        for name, value in list(new.__dict__.items()):
            if name in old.__dict__:
                yield from pairs(old.__dict__[name], value)
                if isinstance(value, PLAIN) and not name.startswith("__") and value != old.__dict__[name]:
                    with contextlib.suppress(AttributeError, TypeError):
                        setattr(old, name, value)
