#!/usr/bin/env python3
"""Every place of a package, one after the other: each fault meets the few tests that reach its very line.

    .venv/bin/python scripts/faults/sweep.py --package plan/judge --to /tmp/judge.jsonl

As ``quick.py`` in one process and with tests that are plain functions (those that ask for ``monkeypatch`` or
``tmp_path`` only too), but the lines each test reaches are measured once by coverage, and the tests that
caught another fault of the same function come first: a place costs a second or less. One line of JSON is
written for each place, so that a stopped run goes on where it stood. ``--seed`` draws or orders the places;
``--again`` plants only what a former run missed, after tests were written.
Not asked, and counted apart with the reason: places in arrays, digits shown, how many are named, room for
rounding, and whatever ``kept.toml`` gives a reason for. Places outside functions that are no plain number are
counted as outside.
"""

from __future__ import annotations

import argparse
import ast
import functools
import gc
import hashlib
import inspect
import itertools
import json
import os
import random
import re
import signal
import sys
import tempfile
import time
import tomllib
import types
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from asked import not_asked
from kept import change_of, column_of, kept, reason_for
from quick import CODE, ROOT, Check, checks_of, faulty, late, loaded, module_faults, named_by, passes
from sites import Site, sites

MODULES = ("panelmend.", "finding_", "staged", "judge_", "quick_")  # whose caches may hold what a fault made


def with_fixtures(module: types.ModuleType, name: str) -> Iterator[Check]:
    """Tests of a module that take ``monkeypatch`` or ``tmp_path`` and else what their rows give."""
    for known, f in list(vars(module).items()):
        if not known.startswith("test_") or not inspect.isfunction(f) or hasattr(f, "hypothesis"):
            continue
        asked = set(inspect.signature(f).parameters) & {"monkeypatch", "tmp_path"}
        if not asked:
            continue

        plain = _given(f, asked)
        rest = [p for n, p in inspect.signature(f).parameters.items() if n not in asked]
        plain.__signature__ = inspect.Signature(rest)  # type: ignore[attr-defined]
        plain.pytestmark = getattr(f, "pytestmark", [])  # type: ignore[attr-defined]
        holder = types.ModuleType(name)
        setattr(holder, known, plain)
        yield from checks_of(holder, name)


def _given(f: Callable[..., None], fixtures: set[str]) -> Callable[..., None]:
    """A test that makes its fixtures itself; a row may have any name, "asked" too."""
    import pytest

    def plain(**row: Any) -> None:
        with pytest.MonkeyPatch.context() as patch, tempfile.TemporaryDirectory() as folder:
            made = {"monkeypatch": patch, "tmp_path": Path(folder)}
            f(**{n: made[n] for n in fixtures}, **row)

    return plain


def plain_kernels() -> None:
    """With ``NUMBA_DISABLE_JIT=1`` kernels are plain functions, so that a fault can be put into them; who
    asks whether they are compiled is told so."""
    if os.environ.get("NUMBA_DISABLE_JIT") != "1":
        return
    from panelmend.physics.heat import kernel

    for f in vars(kernel).values():
        if inspect.isfunction(f):
            f.signatures = ("plain",)  # type: ignore[attr-defined]


Lines = dict[str, set[int]]


def measured(
    checks: list[Check], slow: float, sources: list[str], kept_in: Path
) -> list[tuple[Check, Lines]]:
    """The quick tests that hold, with the lines of the sources that each reaches; kept by the digests of the
    sources and of each file of tests."""
    import coverage

    whole = hashlib.sha256(b"".join(Path(s).read_bytes() for s in sources))
    found: list[tuple[Check, Lines]] = []
    for name, some in itertools.groupby(checks, key=lambda c: c.name.partition("::")[0]):
        here = list(some)
        digest = whole.copy()
        digest.update(next(ROOT.glob(f"tests/**/{name}.py")).read_bytes())
        file = kept_in / f"{name}-{digest.hexdigest()[:16]}.json"
        if not file.exists():
            cover = coverage.Coverage(data_file=None, include=sources, config_file=False)
            cover.start()
            took, fine = [], []
            for number, check in enumerate(here):
                cover.switch_context(str(number))
                began = time.process_time()
                fine.append(passes(check, 12.0 * slow))
                took.append(time.process_time() - began)
            cover.stop()
            lines: list[Lines] = [{} for _ in here]
            with warnings.catch_warnings(action="ignore"):  # a file of tests may reach none of the sources
                data = cover.get_data()
            for source in data.measured_files():
                for line, contexts in data.contexts_by_lineno(source).items():
                    for c in contexts:
                        if c:
                            lines[int(c)].setdefault(source, set()).add(line)
            told = [{s: sorted(n) for s, n in row.items()} for row in lines]
            file.write_text(json.dumps({"took": took, "fine": fine, "lines": told}), "utf8")
        read = json.loads(file.read_text("utf8"))
        for check, seconds, holds, row in zip(here, read["took"], read["fine"], read["lines"], strict=True):
            check.took = seconds
            if holds and seconds <= 2.0 * slow and row:
                found.append((check, {s: set(n) for s, n in row.items()}))
            elif not holds or seconds > 2.0 * slow:
                how = "holds" if holds else "FAILS"
                print(f"  left out: {check.name[:90]} {how} {seconds:.1f} s", flush=True)
    return found


def imported(site: Site, places: list[Any]) -> list[Any]:
    """Of the places that hold an equal number of the same name, those that hold this one: its own module and
    those that import it from there."""
    home = f"panelmend.{'.'.join(site.path.relative_to(ROOT / 'src' / 'panelmend').with_suffix('').parts)}"

    def takes(names: dict[str, Any], name: str) -> bool:
        if names.get("__name__") == home:
            return True
        file = names.get("__file__")
        if not file or not str(file).startswith(str(ROOT)):
            return False
        return any(
            isinstance(node, ast.ImportFrom)
            and node.module == home
            and any(a.name == name for a in node.names)
            for node in ast.walk(ast.parse(Path(file).read_text("utf8")))
        )

    return [p for p in places if takes(p[0], p[1])]


def statement(path: Path, line: int) -> range:
    """The lines of the smallest statement about a line: coverage counts its first."""
    best = range(line, line + 1)
    size = 10**9
    for node in ast.walk(ast.parse(path.read_text("utf8"))):
        if not isinstance(node, ast.stmt):
            continue
        end = node.end_lineno or node.lineno
        if isinstance(node, ast.If | ast.While | ast.For | ast.With):
            end = node.body[0].lineno - 1
        if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Try):
            continue
        if node.lineno <= line <= end and end - node.lineno < size:
            best, size = range(node.lineno, end + 1), end - node.lineno
    return best


class Bench:
    """The tests, who reaches what, and the living functions that get a fault."""

    def __init__(self, tests: list[tuple[Check, Lines]], sources: set[str]) -> None:
        self.tests = tests
        self.reach = {
            c: sum(map(len, lines.values())) for c, lines in tests
        }  # few lines: a test of just that
        self.killers: dict[Any, list[Check]] = {}
        self.living: dict[Any, list[types.FunctionType]] = {}
        self.caches: list[Any] = []
        gc.unfreeze()
        for thing in gc.get_objects():
            if type(thing) is types.FunctionType and thing.__code__.co_filename in sources:
                code = thing.__code__
                key = (code.co_filename, code.co_qualname, code.co_firstlineno)
                self.living.setdefault(key, []).append(thing)
            elif isinstance(thing, functools._lru_cache_wrapper):
                home = getattr(thing, "__module__", "") or ""
                if home.startswith(MODULES):
                    self.caches.append(thing)

    def plant(self, site: Site, guard: float) -> tuple[str, str, int]:
        """caught, missed or outside; by which test; how many tests reach the place."""
        made = faulty(site)
        here = {k: c for k, c in made.items() if k in self.living}
        numbers = [] if made else imported(site, module_faults(site))
        if numbers:
            keys = named_by(numbers, self.living)
            here = {k: self.living[k][0].__code__ for k in keys}
        if not here:
            return "outside", "", 0
        if numbers:
            near = {(k[0], n) for k in here for _, _, n in self.living[k][0].__code__.co_lines() if n}
        else:
            near = {(str(site.path), n) for n in statement(site.path, site.line)}
        mine = [c for c, lines in self.tests if any(n in lines.get(f, ()) for f, n in near)]
        beside = self.codes_near(site, here, {n for _, n, _, _ in numbers})
        before = [c for k in here for c in self.killers.get(k, [])]
        first = [c for c in dict.fromkeys(before) if c in set(mine)][:12]
        mine.sort(key=lambda c: (not beside & set(CODE.findall(c.name)), self.reach[c]))
        order = [*first, *(c for c in mine if c not in set(first))]
        by = self._caught(here, numbers, order, guard)
        for k in here:
            if by is not None:
                known = self.killers.setdefault(k, [])
                known[:] = [by, *(c for c in known if c is not by)]
        return ("missed", "", len(mine)) if by is None else ("caught", by.name, len(mine))

    def codes_near(self, site: Site, here: dict[Any, types.CodeType], names: set[str]) -> set[str]:
        """Codes of findings that stand beside a place, or beside where a number of a module is named."""
        rows = site.path.read_text("utf8").splitlines()
        at = [site.line - 1, *(i for i, r in enumerate(rows) for n in names if re.search(rf"\b{n}\b", r))]
        text = "\n".join(r for i in at for r in rows[max(0, i - 4) : i + 8])
        found = set(CODE.findall(text))
        for f in (f for k in here for f in self.living[k]):
            book = f.__globals__.get("codes")
            named = (getattr(book, n, None) for n in re.findall(r"codes\.([A-Z_]+)", text))
            found |= {str(c.code) for c in named if hasattr(c, "code")}
        return found

    def _caught(
        self, here: dict[Any, types.CodeType], numbers: list[Any], order: list[Check], guard: float
    ) -> Check | None:
        sound = {k: self.living[k][0].__code__ for k in here}
        self.forget()
        spent = 0.0
        try:
            for key, code in here.items():
                for f in self.living[key]:
                    f.__code__ = code
            for names, name, _, value in numbers:
                names[name] = value
            for check in order:
                if spent > guard:
                    return None
                began = time.process_time()
                if not passes(check, 2.0 + 10.0 * check.took):
                    return check
                spent += time.process_time() - began
        finally:
            for names, name, value, _ in numbers:
                names[name] = value
            for key, code in sound.items():
                for f in self.living[key]:
                    f.__code__ = code
            self.forget()
        return None

    def forget(self) -> None:
        """What was computed with another code is not kept."""
        for cache in self.caches:
            cache.cache_clear()


def identity(site: Site, text: str) -> list[str]:
    """What tells a place when line numbers move: file, line of text, column in it, change."""
    row = text.splitlines()[site.line - 1]
    path = str(site.path.relative_to(ROOT))
    return [path, row.strip(), str(column_of(site, text)), site.was, site.becomes]


def _sources(packages: dict[str, Any]) -> list[Path]:
    """The files of all packages, each once."""
    patterns = [pattern for package in packages.values() for pattern in package["sources"]]
    return list(dict.fromkeys(p for pattern in patterns for p in sorted(ROOT.glob(pattern))))


def main() -> None:
    parser = argparse.ArgumentParser(description="Plant every fault of a package in this process.")
    parser.add_argument("--package", required=True)
    parser.add_argument("--to", type=Path, required=True, help="one line of JSON for each place")
    parser.add_argument("--kinds", default="", help="such as constant,comparison turned")
    parser.add_argument("--files", default="", help="only sources with these names, such as lost.py,walk.py")
    parser.add_argument("--tests", default="", help="only these files of tests, by name without .py")
    parser.add_argument("--sample", type=int, default=0)
    parser.add_argument(
        "--seed", type=int, default=0, help="order of the places; 0 leaves them as they stand"
    )
    parser.add_argument(
        "--of-all", type=int, default=0, help="the package's share of so many over all packages"
    )
    parser.add_argument("--slow", type=float, default=1.0, help="tests that take longer are left out [s]")
    parser.add_argument("--guard", type=float, default=3.0, help="seconds of tests a fault has to survive")
    parser.add_argument("--again", type=Path, help="only what this run missed")
    parser.add_argument(
        "--kept", type=Path, default=Path(tempfile.gettempdir()) / "sweep", help="measured lines"
    )
    told = parser.parse_args()
    os.chdir(ROOT)
    warnings.simplefilter("ignore")
    sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src"), str(ROOT / "tests" / "laws")]
    read_packages = tomllib.loads((Path(__file__).parent / "packages.toml").read_text("utf8"))
    package = read_packages[told.package]
    files = list(dict.fromkeys(p for pattern in package["sources"] for p in sorted(ROOT.glob(pattern))))
    texts = {p: p.read_text("utf8") for p in files}
    every = [s for p in files for s in sites(p)]
    every = [s for s in every if not told.files or s.path.name in told.files.split(",")]
    every = [s for s in every if not told.kinds or s.kind in told.kinds.split(",")]
    if told.of_all:
        whole = [s for p in _sources(read_packages) for s in sites(p)]
        drawn = random.Random(told.seed).sample(whole, told.of_all)
        mine = set(files)
        every = [s for s in drawn if s.path in mine]
    elif told.seed:
        every = random.Random(told.seed).sample(every, min(told.sample or len(every), len(every)))
    if told.again:
        read = [json.loads(r) for r in told.again.read_text("utf8").splitlines()]
        wanted = {tuple(r["place"]) for r in read if r["how"] == "missed"}
        every = [s for s in every if tuple(identity(s, texts[s.path])) in wanted]
    done = {}
    if told.to.exists():
        done = {tuple(r["place"]): r for r in map(json.loads, told.to.read_text("utf8").splitlines())}
    paths = dict.fromkeys(p for pattern in package["tests"] for p in sorted(ROOT.glob(pattern)))
    chosen = [p for p in paths if not told.tests or p.stem in told.tests.split(",")]
    checks = []
    for p in chosen:
        module = loaded(p)
        checks += [*checks_of(module, p.stem), *with_fixtures(module, p.stem)]
    signal.signal(signal.SIGVTALRM, late)
    signal.signal(signal.SIGALRM, late)
    plain_kernels()
    told.kept.mkdir(parents=True, exist_ok=True)
    tests = measured(checks, told.slow, [str(p) for p in files], told.kept)
    print(f"{told.package}: {len(every)} places; {len(tests)} of {len(checks)} tests", flush=True)
    bench = Bench(tests, {str(p) for p in files})
    reasons = kept()
    with told.to.open("a", encoding="utf8") as out:
        for number, site in enumerate(every, 1):
            place = identity(site, texts[site.path])
            if tuple(place) in done:
                continue
            why = not_asked(site, texts[site.path])
            why = why or reason_for(change_of(site, texts[site.path], ROOT), reasons)
            how, by, reach = ("same", why, 0) if why else bench.plant(site, told.guard)
            row = {"place": place, "line": site.line, "kind": site.kind, "how": how, "by": by, "reach": reach}
            out.write(json.dumps(row) + "\n")
            out.flush()
            if how in ("missed", "outside"):
                print(
                    f"  {number} {how.upper()} {site.path.name}:{site.line} {place[1:]} ({reach})", flush=True
                )
    fails = [c.name for c, _ in tests[:: max(1, len(tests) // 20)] if not passes(c, 60.0)]
    print(f"after the last, {len(fails)} tests fail without a fault {fails[:3]}", flush=True)
    counts: dict[str, dict[str, int]] = {}
    rows = {tuple(r["place"]): r for r in map(json.loads, told.to.read_text("utf8").splitlines())}
    for row in rows.values():
        by_file = counts.setdefault(
            row["place"][0], dict.fromkeys(("caught", "missed", "same", "outside"), 0)
        )
        by_file[row["how"]] += 1
    for name, count in sorted(counts.items()):
        print(f"{name}: {count}")


if __name__ == "__main__":
    main()
