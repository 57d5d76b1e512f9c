#!/usr/bin/env python3
"""Plant small faults in the code, one at a time, and see whether the tests notice.

    scripts/plant --package job/limits --sample 40 --seed 1

Works on a copy of the tree, never on the tree itself. A fault is caught where a test fails, or runs on past
five times the processor time it takes; what has no end by the clock on a busy machine counts neither way.
Tests are collected once and each fault goes into a fork of that process (``warm.py``); a fault outside
functions or in a compiled kernel gets a process of its own. Of the tests that pass over the line,
the quickest run first until ``--guard`` seconds of tests have passed: a fault that only a slower test
would notice counts as missed. Prints caught and missed by package and every fault missed; those that
``kept.toml`` says change nothing anybody can see are tried too, and are counted apart with their reason.
"""

from __future__ import annotations

import argparse
import compileall
import hashlib
import json
import os
import py_compile
import random
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from kept import change_of, kept, reason_for
from sites import Site, sites
from warm import Warm, with_tests

ROOT = Path(__file__).resolve().parents[2]
PYTHON = str(ROOT / ".venv" / "bin" / "python")
LEFT_OUT = shutil.ignore_patterns(
    ".venv", ".git", "out", "__pycache__", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis"
)


def expand(patterns: list[str], root: Path) -> list[str]:
    """Files below the root that the patterns name, in order, without repeats."""
    return list(
        dict.fromkeys(str(p.relative_to(root)) for pattern in patterns for p in sorted(root.glob(pattern)))
    )


def copied(folder: Path) -> Path:
    """The tree copied, its bytecode bound to the text of each file and not to dates; an equal copy stays."""
    tree = folder / "tree"
    if tree.exists() and contents(tree) == contents(ROOT):
        return tree
    shutil.rmtree(tree, ignore_errors=True)
    shutil.copytree(ROOT, tree, ignore=LEFT_OUT)
    compileall.compile_dir(
        tree / "src", quiet=2, invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH
    )
    return tree


def states_of(tree: Path, package: dict[str, Any]) -> dict[str, str]:
    """Digest of each file of tests together with the sources that its measurement holds for."""
    made = hashlib.sha256()
    for name in expand(package["sources"], tree):
        made.update(name.encode() + (tree / name).read_bytes())
    return {
        name: hashlib.sha256(made.digest() + (tree / name).read_bytes()).hexdigest()[:16]
        for name in expand(package["tests"], tree)
    }


def contents(root: Path) -> str:
    """Digest of what the tests run on."""
    made = hashlib.sha256()
    for part in ("src", "tests", "examples"):
        for path in sorted((root / part).rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts and "egg-info" not in str(path):
                made.update(str(path.relative_to(root)).encode() + path.read_bytes())
    return made.hexdigest()


def cold(tests: list[str], tree: Path, seconds: float) -> bool:
    """Whether a test fails in a process of its own."""
    env = {**os.environ, "PYTHONPATH": str(tree / "src"), "PANELMEND_KEPT": ""}
    command = [PYTHON, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    try:
        return subprocess.run(command, cwd=tree, env=env, capture_output=True, timeout=seconds).returncode > 0
    except subprocess.TimeoutExpired as error:
        raise TimeoutError(f"no end in {seconds:.0f} s by the clock") from error


def main() -> None:
    parser = argparse.ArgumentParser(description="Plant small faults and see whether the tests notice.")
    parser.add_argument(
        "--package", action="append", help="a package of packages.toml; may be given again; else all"
    )
    parser.add_argument(
        "--sample", type=int, default=30, help="faults a package, drawn by the seed (0: every one)"
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--start", type=int, default=1, help="begin at this one of those drawn")
    parser.add_argument("--guard", type=float, default=20.0, help="seconds of tests a fault has to survive")
    parser.add_argument(
        "--minutes", type=float, default=30.0, help="stop after this long; what was not tried is said"
    )
    parser.add_argument(
        "--kept", type=Path, help="folder to keep the copy and the measurements of who passes where in"
    )
    parser.add_argument("--to", type=Path, help="write the outcome as JSON")
    parser.add_argument("--again", type=Path, help="try only what an earlier outcome (--to) says was missed")
    parser.add_argument(
        "--gate", action="store_true", help="exit with 1 where a package catches less than it must"
    )
    told = parser.parse_args()
    packages = tomllib.loads((Path(__file__).parent / "packages.toml").read_text("utf8"))
    names = told.package or list(packages)
    unknown = [n for n in names if n not in packages]
    if unknown:
        parser.error(f"no package {unknown[0]!r}; there are {', '.join(packages)}")
    deadline = time.monotonic() + 60 * told.minutes
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "PYTHONDONTWRITEBYTECODE"):
        os.environ[name] = "1"
    sys.dont_write_bytecode = True
    outcome: dict[str, Any] = {}
    with tempfile.TemporaryDirectory(prefix="planted-") as folder:
        tree = copied(told.kept or Path(folder))
        for name in names:
            child = os.fork()  # a pytest of its own for each package
            report = Path(folder) / "outcome.json"
            if child == 0:
                try:
                    package_of(name, packages[name], tree, told, deadline, report)
                finally:
                    sys.stdout.flush()
                    os._exit(0)
            os.waitpid(child, 0)
            if report.exists():
                outcome[name] = json.loads(report.read_text("utf8"))
                report.unlink()
            else:
                outcome[name] = {"tried": 0, "caught": 0, "failed": "the tests could not be collected"}
    if told.to:
        told.to.write_text(json.dumps(outcome, indent=1) + "\n", "utf8")
    short = any(
        o["caught"] < packages[n]["least"] * (o["tried"] - o.get("same", 0)) or not o["tried"]
        for n, o in outcome.items()
    )
    raise SystemExit(1 if told.gate and short else 0)


def package_of(
    name: str, package: dict[str, Any], tree: Path, told: argparse.Namespace, deadline: float, report: Path
) -> None:
    """Plant the drawn faults of one package one after another and write what came of it."""
    found = expand(package["sources"], tree)
    tests = expand(package["tests"], tree)

    def work(warm: Warm) -> None:
        folder = told.kept or report.parent
        failed = warm.measure(folder, states_of(tree, package), deadline)
        if failed == "time":
            report.write_text(json.dumps({"tried": 0, "caught": 0, "failed": "still measuring"}), "utf8")
            return
        if failed:
            print(f"{name}: without any fault these fail: {failed}", flush=True)
            return
        total = sum(sum(t) for t in warm.took.values())
        print(f"{name}: {len(warm.took)} tests, {total:.0f} s measured", flush=True)
        report.write_text(json.dumps(attempt(name, package, tree, told, deadline, warm)), "utf8")

    with_tests(tree, found, tests, work)


def attempt(
    name: str, package: dict[str, Any], tree: Path, told: argparse.Namespace, deadline: float, warm: Warm
) -> dict[str, Any]:
    """Plant the faults; returns the counts and what was missed."""
    every = [s for source in expand(package["sources"], tree) for s in sites(tree / source)]
    chosen = random.Random(told.seed).sample(every, min(told.sample, len(every))) if told.sample else every
    print(f"{name}: {len(every)} places, {len(chosen)} drawn with seed {told.seed}", flush=True)
    before = json.loads(told.again.read_text("utf8"))[name]["missed"] if told.again else []
    again = {(m["text"], m["was"], m["became"]) for m in before}
    caught, same, tried, late, missed = 0, 0, 0, 0, []
    reasons = kept()
    for number, site in enumerate(chosen, 1):
        change = change_of(site, site.path.read_text("utf8"), tree)
        text = change.line
        if number < told.start or (told.again and (text, site.was, site.becomes) not in again):
            continue
        if time.monotonic() > deadline:
            break
        tried += 1
        began = time.monotonic()
        try:
            found, way = noticed(site, package, tree, told.guard, warm)
        except TimeoutError as error:
            print(
                f"  {number}/{len(chosen)} NOT JUDGED {site.path.relative_to(tree)}:{site.line} {error}",
                flush=True,
            )
            late += 1
            continue
        caught += found
        place = f"{site.path.relative_to(tree)}:{site.line}"
        why = reason_for(change, reasons)
        word = "caught" if found else "the same" if why else "MISSED"
        if found and why:
            word = "CAUGHT, though kept.toml says nobody can see it:"
        same += bool(why and not found)
        if word == "MISSED":
            missed.append(
                {
                    "place": place,
                    "text": text,
                    "kind": site.kind,
                    "was": site.was,
                    "became": site.becomes,
                    "way": way,
                }
            )
        said = f"{site.kind}: {site.was} -> {site.becomes or 'nothing'}"
        spent = time.monotonic() - began
        print(f"  {number}/{len(chosen)} {word} {place} {said} ({way}, {spent:.1f} s)", flush=True)
    print(
        f"{name}: caught {caught} of {tried} tried, {same} change nothing, {len(missed)} missed; "
        f"{late} not judged in time; {len(chosen)} drawn",
        flush=True,
    )
    return {
        "places": len(every),
        "drawn": len(chosen),
        "first": told.start,
        "tried": tried - late,
        "late": late,
        "caught": caught,
        "same": same,
        "seed": told.seed,
        "missed": missed,
    }


def noticed(site: Site, package: dict[str, Any], tree: Path, guard: float, warm: Warm) -> tuple[bool, str]:
    """Whether a test fails with the fault in place, and how it was tried; the copy is put right again."""
    sound = site.path.read_text("utf8")
    planted = site.planted(sound)
    source = str(site.path.relative_to(tree))
    items = warm.guards(source, site.line, guard)
    if items:
        if source not in warm.sound:
            warm.sound.add(source)
            if warm.control(site.path, items, 60.0 + 5.0 * guard):
                raise SystemExit(f"{source}: its tests fail in a fork without any fault")
        answer = warm.noticed(site.path, planted, items, 20.0 + 5.0 * warm.seconds_of(items))
        if answer is not None:
            return answer, f"{len(items)} tests"
    tests = [i.nodeid for i in items] or expand(package.get("compiled", []), tree)
    if not tests:
        return False, "no test of the package passes here"
    try:
        site.path.write_text(planted, "utf8")
        return cold(tests, tree, 900.0 + 20.0 * guard), f"a process of its own, {len(tests)} tests"
    finally:
        site.path.write_text(sound, "utf8")


if __name__ == "__main__":
    main()
