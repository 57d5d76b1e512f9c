#!/usr/bin/env python3
"""The same faults planted in this very process, against tests that are plain functions: minutes, not hours.

    .venv/bin/python scripts/faults/quick.py --package physics/air --sample 40 --seed 1

Packages, places and draws are those of ``plant.py``. Each test function of the package's files is called
without pytest, once sound: what it takes and which functions it passes through is noted. Then each faulty
function is given its code, the tests that pass through it are called, the quickest first, and it gets its own
code back. A number of a module (``LEAST = 6``) is set wherever it was imported to, the tests included, and
meets the tests that pass through a function which names it; numbers reckoned from it when the module was
loaded keep their value. Left out, and said: other places outside functions and in compiled code, and tests
that need a fixture, generate their input or take longer than ``--slow``. A fault that only those would notice
counts as missed.
With ``--by-codes`` nothing is measured beforehand: a fault meets the cases of the findings that its function,
or one of its file that calls it, can raise.
"""

from __future__ import annotations

import argparse
import ast
import functools
import gc
import importlib.util
import inspect
import itertools
import json
import os
import random
import re
import signal
import sys
import time
import tomllib
import types
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
import numpy as np
from kept import change_of, kept, reason_for
from sites import Site, sites

os.environ["PANELMEND_KEPT"] = ""  # what was computed with a fault is kept for nobody
ROOT = Path(__file__).resolve().parents[2]
CODE = re.compile(r"\b[A-Z][0-9]{3}\b")
Key = tuple[str, str, int]


class Check:
    """A test with its arguments, how long it takes [s of the processor] and what it passes through."""

    def __init__(self, name: str, call: Callable[[], Any]) -> None:
        self.name, self.call, self.took, self.through = name, call, 0.0, set[Key]()


def loaded(path: Path) -> types.ModuleType:
    """A file of tests as a module."""
    spec = importlib.util.spec_from_file_location(f"quick_{path.parent.name}_{path.stem}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[module.__name__] = module
    spec.loader.exec_module(module)
    return module


def checks_of(module: types.ModuleType, name: str) -> Iterator[Check]:
    """Every test function of a module with every row of its parameters; those with a fixture are left out."""
    for known, f in vars(module).items():
        if not known.startswith("test_") or not inspect.isfunction(f) or hasattr(f, "hypothesis"):
            continue
        marks = [m for m in getattr(f, "pytestmark", []) if m.name == "parametrize"]
        if any(m.name in ("skip", "skipif", "usefixtures") for m in getattr(f, "pytestmark", [])):
            continue
        rows: list[dict[str, Any]] = [{}]
        labels = [""]
        for mark in marks:
            names = mark.args[0]
            names = [n.strip() for n in names.split(",")] if isinstance(names, str) else list(names)
            found = []
            for value in mark.args[1]:
                value = value.values if hasattr(value, "values") and hasattr(value, "marks") else value
                value = (
                    value
                    if len(names) > 1 or (isinstance(value, tuple) and hasattr(value, "marks"))
                    else (value,)
                )
                found.append(dict(zip(names, value, strict=True)))
            ids = mark.kwargs.get("ids")
            said = (
                [str(ids(v)) if callable(ids) else str(i) for i, v in enumerate(mark.args[1])]
                if ids
                else [""] * len(found)
            )
            labels = [f"{a} {b}".strip() for a, b in itertools.product(labels, said)]
            rows = [a | b for a, b in itertools.product(rows, found)]
        if set(inspect.signature(f).parameters) - set(rows[0] if rows else ()):
            continue
        for label, row in zip(labels, rows, strict=True):
            said = " ".join(v for v in row.values() if isinstance(v, str)) + str(
                getattr(row.get("case"), "code", "")
            )
            yield Check(f"{name}::{known}[{label} {said}]", functools.partial(f, **row))


def codes(code: types.CodeType) -> Iterator[types.CodeType]:
    """Code objects inside one."""
    for inner in code.co_consts:
        if isinstance(inner, types.CodeType):
            yield inner
            yield from codes(inner)


def faulty(site: Site) -> dict[Key, types.CodeType]:
    """The functions that a fault changes."""
    text = site.path.read_text("utf8")
    old, new = (list(codes(compile(t, str(site.path), "exec"))) for t in (text, site.planted(text)))
    return {
        (str(site.path), a.co_qualname, a.co_firstlineno): b for a, b in zip(old, new, strict=True) if a != b
    }


def in_function(site: Site) -> bool:
    """Whether a place stands in a function or class."""
    tree = ast.parse(site.path.read_text("utf8"))
    kinds = (ast.FunctionDef, ast.ClassDef)
    return any(isinstance(s, kinds) and s.lineno <= site.line <= (s.end_lineno or 0) for s in tree.body)


Set = tuple[dict[str, Any], str, Any, Any]


def module_faults(site: Site) -> list[Set]:
    """The places (a module's names, name, sound value, faulty value) at which a number of a module is set
    otherwise by a fault; none where it is no plain assignment."""
    text = site.path.read_text("utf8")
    old, new = (ast.parse(t).body for t in (text, site.planted(text)))
    at = next((i for i, s in enumerate(old) if s.lineno <= site.line <= (s.end_lineno or 0)), None)
    home = next((m for m in list(sys.modules.values()) if getattr(m, "__file__", "") == str(site.path)), None)
    if at is None or home is None or not isinstance(old[at], (ast.Assign, ast.AnnAssign)):
        return []
    found: list[Set] = []
    made = dict(vars(home))
    try:
        exec(compile(ast.Module([new[at]], []), str(site.path), "exec"), made)
    except Exception:
        return []
    known = [m for m in list(sys.modules.values()) if isinstance(getattr(m, "__dict__", None), dict)]
    for name, value in made.items():
        sound = vars(home).get(name, value)
        if name.startswith("__") or value is sound or np.array_equal(value, sound):
            continue
        found += [(vars(m), name, sound, value) for m in known if vars(m).get(name) is sound]
    return found


def named_by(places: list[Set], living: dict[Key, list[types.FunctionType]]) -> set[Key]:
    """Functions that name a number which is set otherwise."""
    held = {(id(d), name) for d, name, _, _ in places}
    return {
        key
        for key, functions in living.items()
        for f in functions
        for c in (f.__code__, *codes(f.__code__))
        if any((id(f.__globals__), n) in held for n in c.co_names)
    }


_rang: list[int] = []


def late(number: int, frame: object) -> None:
    """Raise where a faulty function runs on, and remember it: code that tells what a file refuses takes the
    error for one of those, and a test that expects a refusal would hold."""
    _rang.append(number)
    raise TimeoutError("runs on")


def forget(caches: list[Any]) -> None:
    """What was computed with another code is not kept."""
    for cache in caches:
        cache.cache_clear()


def passes(check: Check, seconds: float) -> bool:
    """Whether a test holds; ``seconds`` of the processor, or three minutes by the clock and sixty times as
    many where a fault makes it wait for what never comes."""
    _rang.clear()
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    signal.setitimer(signal.ITIMER_REAL, 180.0 + 60.0 * seconds)
    try:
        check.call()
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt):
            raise
        return type(error).__name__ == "Skipped"
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.setitimer(signal.ITIMER_REAL, 0.0)
    return not _rang


@functools.cache
def holds(check: Check) -> bool:
    """Whether a test holds without a fault; how long it takes is noted."""
    began = time.process_time()
    held = passes(check, 60.0)
    check.took = time.process_time() - began
    return held


def measured(checks: list[Check], slow: float, sources: set[str]) -> list[Check]:
    """The tests that hold without a fault and are quick, each with what it passes through."""
    good = []
    for check in checks:
        through = check.through

        def see(frame: types.FrameType, event: str, arg: object, through: set[Key] = through) -> None:
            if event == "call" and frame.f_code.co_filename in sources:
                code = frame.f_code
                through.add((code.co_filename, code.co_qualname, code.co_firstlineno))

        began = time.process_time()
        sys.setprofile(see)
        held = passes(check, 3.0 * slow)
        sys.setprofile(None)
        check.took = time.process_time() - began
        if held and check.took <= slow and through:
            good.append(check)
        elif not held or check.took > slow:
            print(
                f"  left out: {check.name[:90]} {'holds' if held else 'FAILS'} {check.took:.1f} s", flush=True
            )
    return good


def raised_by(functions: list[types.FunctionType]) -> dict[str, set[str]]:
    """Codes that each function of a file can raise, by its name: its own and those of whoever calls it."""
    own: dict[str, set[str]] = {}
    names: dict[str, set[str]] = {}
    for f in functions:
        used = {n for c in (f.__code__, *codes(f.__code__)) for n in c.co_names}
        homes = [m for m in f.__globals__.values() if isinstance(m, types.ModuleType)]  # such as ``codes``
        homes = [m for m in homes if m.__name__.startswith("panelmend.")]
        things = [f.__globals__.get(n) for n in used] + [getattr(m, n, None) for m in homes for n in used]
        found = (getattr(x, "code", "") for x in things)
        own.setdefault(f.__name__, set()).update(c for c in found if isinstance(c, str) and CODE.fullmatch(c))
        names.setdefault(f.__name__, set()).update(used)
    for _ in names:
        for caller, used in names.items():
            for called in used & set(own):
                own[called] = own[called] | own[caller]
    return own


def main() -> None:
    parser = argparse.ArgumentParser(
        description="Plant faults in this process against tests that are plain functions."
    )
    parser.add_argument("--package", required=True)
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--slow", type=float, default=1.0, help="tests that take longer are left out [s]")
    parser.add_argument("--by-codes", action="store_true", help="choose tests by the codes of findings")
    parser.add_argument("--guard", type=float, default=10.0, help="seconds of tests a fault has to survive")
    parser.add_argument("--numbers", action="store_true", help="only numbers of modules, outside functions")
    parser.add_argument("--at", default="", help="only these places, such as log.py:12,log.py:30")
    parser.add_argument("--to", type=Path)
    told = parser.parse_args()
    os.chdir(ROOT)
    warnings.simplefilter("ignore")
    sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src"), str(ROOT / "tests" / "laws")]
    package = tomllib.loads((Path(__file__).parent / "packages.toml").read_text("utf8"))[told.package]
    files = [p for pattern in package["sources"] for p in sorted(ROOT.glob(pattern))]
    every = [s for p in dict.fromkeys(files) for s in sites(p)]
    if told.numbers:
        every = [s for s in every if s.kind == "constant" and not in_function(s)]
    if told.at:
        every = [s for s in every if f"{s.path.name}:{s.line}" in told.at.split(",")]
    chosen = random.Random(told.seed).sample(every, min(told.sample, len(every))) if told.sample else every
    tests = dict.fromkeys(p for pattern in package["tests"] for p in sorted(ROOT.glob(pattern)))
    checks = [c for p in tests for c in checks_of(loaded(p), p.stem)]
    signal.signal(signal.SIGVTALRM, late)
    signal.signal(signal.SIGALRM, late)
    sources = set(map(str, files))
    good = checks if told.by_codes else measured(checks, told.slow, sources)
    print(
        f"{told.package}: {len(every)} places, {len(chosen)} drawn with seed {told.seed}; "
        f"{len(good)} of {len(checks)} tests",
        flush=True,
    )
    living: dict[Key, list[types.FunctionType]] = {}
    compiled, caches = set[Key](), []
    for thing in gc.get_objects():
        if type(thing).__name__ == "CPUDispatcher":
            code = thing.py_func.__code__
            compiled.add((code.co_filename, code.co_qualname, code.co_firstlineno))
        elif type(thing) is types.FunctionType and thing.__code__.co_filename in sources:
            code = thing.__code__
            living.setdefault((code.co_filename, code.co_qualname, code.co_firstlineno), []).append(thing)
        elif isinstance(thing, functools._lru_cache_wrapper):
            caches.append(thing)
    reasons = kept()
    counts = dict.fromkeys(("caught", "same", "missed", "outside"), 0)
    missed = []
    for number, site in enumerate(chosen, 1):
        change = change_of(site, site.path.read_text("utf8"), ROOT)
        text = change.line
        place = f"{site.path.relative_to(ROOT)}:{site.line}"
        said = f"{site.kind}: {site.was} -> {site.becomes or 'nothing'} | {text}"
        made = faulty(site)
        here = {k: c for k, c in made.items() if k in living}
        numbers = module_faults(site) if not made else []
        if numbers:
            here = {k: living[k][0].__code__ for k in named_by(numbers, living)}
        if not here or set(made) & compiled:
            counts["outside"] += 1
            print(f"  {number} OUTSIDE {place} {said}", flush=True)
            continue
        if told.by_codes:
            near_by = [f for k, fs in living.items() if k[0] == str(site.path) for f in fs]
            own = raised_by(near_by)
            wanted = set().union(*(own.get(living[k][0].__name__, set()) for k in here))
            mine = [c for c in good if wanted & set(CODE.findall(c.name)) and holds(c)]
        else:
            mine = [c for c in good if c.through & set(here)]
        near = set(
            CODE.findall(
                "\n".join(site.path.read_text("utf8").splitlines()[max(0, site.line - 4) : site.line + 8])
            )
        )
        mine.sort(key=lambda c: (not near & set(CODE.findall(c.name)), c.took))
        sound = {k: living[k][0].__code__ for k in here}
        forget(caches)
        caught, spent = False, 0.0
        try:
            for key, code in here.items():
                for f in living[key]:
                    f.__code__ = code
            for names, name, _, value in numbers:
                names[name] = value
            for check in mine:
                if spent > told.guard:
                    break
                began = time.process_time()
                if not passes(check, 5.0 + 10.0 * check.took):
                    caught = True
                    break
                spent += time.process_time() - began
        finally:
            for names, name, value, _ in numbers:
                names[name] = value
            for key, code in sound.items():
                for f in living[key]:
                    f.__code__ = code
            forget(caches)
        why = reason_for(change, reasons)
        word = "caught" if caught else "same" if why else "missed"
        counts[word] += 1
        if word == "missed":
            missed.append(
                {"place": place, "text": text, "kind": site.kind, "was": site.was, "became": site.becomes}
            )
        print(
            f"  {number} {word if word != 'missed' else 'MISSED'} {place} {said} ({len(mine)} tests)",
            flush=True,
        )
    again = [c.name for c in good[:: max(1, len(good) // 20)] if not passes(c, 60.0)]
    print(
        f"{told.package}: {counts}; after the last, {len(again)} tests fail without a fault {again[:3]}",
        flush=True,
    )
    if told.to:
        told.to.write_text(
            json.dumps({"seed": told.seed, "drawn": len(chosen), **counts, "list": missed}, indent=1) + "\n",
            "utf8",
        )


if __name__ == "__main__":
    main()
