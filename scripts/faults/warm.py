"""One warm process for many faults: tests are collected once, each fault is put into a forked copy of it.

A fault inside a function goes in by exchanging the function's code, which every place that holds the
function then runs; a fault outside functions, or in a kernel that is compiled, needs a fresh start and is
left to ``plant.py``. Who passes over which line, and how long each test takes, is measured once in a fork.
"""

from __future__ import annotations

import gc
import json
import os
import re
import signal
import sys
import time
import traceback
import types
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

FRESH, BROKEN, LATE = (
    77,
    78,
    79,
)  # how a fork ends: a fresh start is needed, it failed itself, no end by the clock
_CODE = re.compile(r"\b[A-Z][0-9]{3}\b")
BUSY = 20.0  # by how much a busy machine may be slower than the processor time that tests take


class Warm:
    """A pytest plugin that runs ``work`` in place of the tests once they are collected."""

    def __init__(self, tree: Path, sources: list[str]) -> None:
        self.tree, self.sources = tree, sources
        self.session: pytest.Session
        self.lines: dict[str, dict[int, list[str]]] = {}
        self.took: dict[str, tuple[float, float]] = {}
        self.sound: set[str] = set()  # sources whose tests pass in a fork without a fault

    def measure(self, folder: Path, digests: dict[str, str], until: float) -> str:
        """Run every test once under coverage, each file of tests in a fork; kept by the file's digest.

        Returns what failed without any fault, "time" where some files are still to be measured, or nothing.
        """
        files: dict[str, list[pytest.Item]] = {}
        for item in self.session.items:
            files.setdefault(item.nodeid.partition("::")[0], []).append(item)
        failed: list[str] = []
        for name, items in files.items():
            out = folder / f"{digests[name]}.json"
            if not out.exists():
                if time.monotonic() > until:
                    return "time"
                child = os.fork()
                if child == 0:
                    try:
                        out.write_text(json.dumps(self._measured(items)), "utf8")
                    except BaseException:
                        traceback.print_exc(file=(folder / "broken.txt").open("w"))
                    finally:
                        os._exit(0)
                _wait(child, 900.0)
            if not out.exists():
                return f"{name} did not end"
            read = json.loads(out.read_text("utf8"))
            self.took |= {k: (v[0], v[1]) for k, v in read["took"].items()}
            failed += read["failed"]
            for source, lines in read["lines"].items():
                known = self.lines.setdefault(source, {})
                for line, tests in lines.items():
                    known.setdefault(int(line), []).extend(tests)
        return ", ".join(failed)

    def _measured(self, items: list[pytest.Item]) -> dict[str, object]:
        import coverage

        _quiet()
        cover = coverage.Coverage(
            data_file=None, include=[str(self.tree / s) for s in self.sources], config_file=False
        )
        took: dict[str, tuple[float, float]] = {}
        failed: list[str] = []
        cover.start()
        begun = _spent()
        for item, following in zip(items, [*items[1:], None], strict=True):
            cover.switch_context(item.nodeid)
            from _pytest.runner import runtestprotocol

            reports = runtestprotocol(item, nextitem=following, log=False)
            spent, begun = _spent() - begun, _spent()
            setup = sum(r.duration for r in reports if r.when == "setup")
            share = setup / (sum(r.duration for r in reports) or 1.0)
            took[item.nodeid] = (spent * share, spent * (1.0 - share))
            failed += [item.nodeid for r in reports if r.failed]
        cover.stop()
        with warnings.catch_warnings(action="ignore"):  # a file of tests may pass over none of the sources
            data = cover.get_data()
        lines = {
            str(Path(f).relative_to(self.tree)): {
                n: [c for c in contexts if c] for n, contexts in data.contexts_by_lineno(f).items()
            }
            for f in data.measured_files()
        }
        return {"took": took, "failed": failed, "lines": lines}

    def guards(self, source: str, line: int, seconds: float) -> list[pytest.Item]:
        """Tests that pass over a line: named after a code beside it, then the quickest that fit."""
        lines = self.lines.get(source, {})
        # a line that runs when the file is imported is seen by whoever uses anything of the file; where
        # the file has no more than such lines, by anybody
        passing = set(lines.get(line) or [t for tests in lines.values() for t in tests] or self.took)
        starts: dict[str, float] = {}  # what a file's shared things cost whoever comes first
        for name, (setup, _) in self.took.items():
            file = name.partition("::")[0]
            starts[file] = max(starts.get(file, 0.0), setup)
        quickest = sorted(
            (i for i in self.session.items if i.nodeid in passing), key=lambda i: self.took[i.nodeid][1]
        )
        files: dict[str, list[pytest.Item]] = {}
        spent = 0.0
        for item in quickest:
            file = item.nodeid.partition("::")[0]
            cost = self.took[item.nodeid][1] + (0.0 if file in files else starts[file])
            if spent + cost > seconds and files:
                continue
            spent += cost
            files.setdefault(file, []).append(item)
        order = sorted(files, key=lambda f: starts[f] + self.took[files[f][0].nodeid][1])
        first = [
            i
            for i in quickest
            if _CODE.search(i.nodeid) and set(_CODE.findall(i.nodeid)) & self._beside(source, line)
        ]
        return list(dict.fromkeys([*first, *(item for file in order for item in files[file])]))

    def _beside(self, source: str, line: int) -> set[str]:
        """The finding codes that stand near a line."""
        rows = (self.tree / source).read_text("utf8").splitlines()
        return set(_CODE.findall("\n".join(rows[max(0, line - 3) : line + 8])))

    def seconds_of(self, items: list[pytest.Item]) -> float:
        """What tests took of the processor when they were measured [s]."""
        return sum(sum(self.took[i.nodeid]) for i in items)

    def noticed(self, path: Path, planted: str, items: list[pytest.Item], seconds: float) -> bool | None:
        """Whether a test fails with the file's text as planted; None where a fresh start is needed."""
        old, new = (compile(t, str(path), "exec") for t in (path.read_text("utf8"), planted))
        if _outside(old) != _outside(new):
            return None
        return self._fails(old, new, items, seconds)

    def control(self, path: Path, items: list[pytest.Item], seconds: float) -> bool:
        """Whether the tests fail in a fork that has no fault: then nothing said here is worth anything."""
        code = compile(path.read_text("utf8"), str(path), "exec")
        return bool(self._fails(code, None, items, seconds))

    def _fails(
        self, old: types.CodeType, new: types.CodeType | None, items: list[pytest.Item], seconds: float
    ) -> bool | None:
        child = os.fork()
        if child == 0:
            code = BROKEN
            try:
                _quiet()
                signal.setitimer(
                    signal.ITIMER_PROF, seconds
                )  # processor time: a busy machine catches nothing
                swapped = new is None or _exchange(old, new)
                code = self._any_fails(items) if swapped else FRESH
            finally:
                os._exit(code)
        status = _wait(child, BUSY * seconds)
        if status == BROKEN:
            raise RuntimeError("the fork itself broke, not a test in it")
        if status == LATE:
            raise TimeoutError(f"no end in {BUSY * seconds:.0f} s by the clock")
        return None if status == FRESH else status != 0

    def _any_fails(self, items: list[pytest.Item]) -> int:
        from _pytest.runner import runtestprotocol

        for item, following in zip(items, [*items[1:], None], strict=True):
            if any(r.failed for r in runtestprotocol(item, nextitem=following, log=False)):
                return 1
        return 0


def _quiet() -> None:
    null = os.open(os.devnull, os.O_RDWR)
    for n in (0, 1, 2):
        os.dup2(null, n)


def _wait(child: int, seconds: float) -> int:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return LATE


def _spent() -> float:
    """Processor time of this process and of those it waited for [s]."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


def _codes(code: types.CodeType) -> Iterator[types.CodeType]:
    for c in code.co_consts:
        if isinstance(c, types.CodeType):
            yield c
            yield from _codes(c)


def _is_function(code: types.CodeType) -> bool:
    return bool(code.co_flags & 0x0002)  # CO_NEWLOCALS: a function, not a module or class body


def _outside(code: types.CodeType) -> list[object]:
    """What a file does when it is imported: everything but the insides of its functions."""
    own = tuple(c for c in code.co_consts if not isinstance(c, types.CodeType))
    bodies = [_outside(c) for c in code.co_consts if isinstance(c, types.CodeType) and not _is_function(c)]
    return [code.co_code, repr(own), code.co_names, bodies]


def _exchange(old: types.CodeType, new: types.CodeType) -> bool:
    """Give every living function of the old code the new one; false where none is found or it is compiled."""
    changed = {
        (a.co_qualname, a.co_firstlineno): b
        for a, b in zip(_codes(old), _codes(new), strict=True)
        if _is_function(a) and a != b
    }
    found = 0
    for thing in gc.get_objects():
        kind = type(thing)
        inner = thing.py_func if kind.__name__ == "CPUDispatcher" else thing
        if type(inner) is not types.FunctionType or inner.__code__.co_filename != old.co_filename:
            continue
        made = changed.get((inner.__code__.co_qualname, inner.__code__.co_firstlineno))
        if made is not None and inner is not thing:
            return False
        if made is not None:
            thing.__code__ = made
            found += 1
    return found > 0


def with_tests(tree: Path, sources: list[str], tests: list[str], work: object) -> None:
    """Collect the tests of the copy in this process and call ``work(warm)`` in place of running them."""
    warm = Warm(tree, sources)

    class Plugin:
        @pytest.hookimpl(tryfirst=True)
        def pytest_runtestloop(self, session: pytest.Session) -> bool:
            warm.session = session
            gc.collect()
            gc.freeze()
            gc.unfreeze()
            work(warm)  # type: ignore[operator]
            return True

    os.chdir(tree)
    sys.path[:0] = [str(tree / "src"), str(tree / "tests")]
    pytest.main(["-q", "-p", "no:cacheprovider", *tests], plugins=[Plugin()])
