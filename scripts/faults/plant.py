#!/usr/bin/env python3
"""Plant small faults in the code, one at a time, and see whether the tests notice.

    scripts/plant --package job/limits --sample 40 --seed 1

Works on a copy of the tree, never on the tree itself. A fault is caught where a test fails (or
hangs past its time). Which tests pass over a line is measured once per package by coverage; lines
that run only at import, in child processes or in compiled kernels fall back to all tests named for
the package. Prints caught and missed by package and every fault missed.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
import tomllib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from sites import Site, sites

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


def run(tests: list[str], tree: Path, seconds: float, *, extra: tuple[str, ...] = ()) -> int:
    """Exit code of pytest over the tests in the copy; 124 where it ran out of time."""
    env = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    env["PYTHONPATH"] = str(tree / "src")
    command = [PYTHON, *extra, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    try:
        return subprocess.run(command, cwd=tree, env=env, capture_output=True, timeout=seconds).returncode
    except subprocess.TimeoutExpired:
        return 124


def cover(
    package: dict[str, list[str]], tree: Path, seconds: float
) -> tuple[dict[tuple[str, int], list[str]], float]:
    """(source, line) to the tests that pass over it, and the seconds all took; raises where they fail."""
    data = tree / ".coverage"
    data.unlink(missing_ok=True)
    (tree / ".coveragerc").write_text("[run]\nbranch = false\n")
    tests = expand(package["tests"], tree)
    began = time.monotonic()
    code = run([*tests, "--cov=src/panelmend", "--cov-context=test", "--cov-report="], tree, seconds)
    if code:
        raise SystemExit(f"the tests of this package do not pass without any fault (exit code {code})")
    took = time.monotonic() - began
    lines: dict[tuple[str, int], list[str]] = {}
    with sqlite3.connect(data) as base:
        rows = base.execute(
            "select file.path, context.context, line_bits.numbits from line_bits"
            " join file on file.id = line_bits.file_id join context on context.id = line_bits.context_id"
        )
        for path, context, bits in rows:
            if not context.endswith("|run"):
                continue
            source = str(Path(path).relative_to(tree))
            for byte, value in enumerate(bits):
                for bit in range(8):
                    if value & (1 << bit):
                        lines.setdefault((source, byte * 8 + bit), []).append(context.removesuffix("|run"))
    return lines, took


def main() -> None:
    parser = argparse.ArgumentParser(description="Plant small faults and see whether the tests notice.")
    parser.add_argument(
        "--package", action="append", help="a package of packages.toml; may be given again; else all"
    )
    parser.add_argument(
        "--sample", type=int, default=30, help="faults a package, drawn by the seed (0: every one)"
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--minutes", type=float, default=30.0, help="stop after this long; what was not tried is said"
    )
    parser.add_argument("--to", type=Path, help="write the outcome as JSON")
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
    outcome: dict[str, dict[str, object]] = {}
    short = False
    with tempfile.TemporaryDirectory(prefix="planted-") as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(ROOT, tree, ignore=LEFT_OUT)
        for name in names:
            result = attempt(name, packages[name], tree, told, deadline)
            outcome[name] = result
            short |= bool(result["tried"]) and result["caught"] < packages[name]["least"] * result["tried"]  # type: ignore[operator]
    if told.to:
        told.to.write_text(json.dumps(outcome, indent=1) + "\n", "utf8")
    raise SystemExit(1 if told.gate and short else 0)


def attempt(
    name: str, package: dict[str, list[str]], tree: Path, told: argparse.Namespace, deadline: float
) -> dict[str, object]:
    """Plant the drawn faults of one package one after another."""
    every = [s for source in expand(package["sources"], tree) for s in sites(tree / source)]
    chosen = random.Random(told.seed).sample(every, min(told.sample, len(every))) if told.sample else every
    print(
        f"{name}: {len(every)} places, {len(chosen)} drawn with seed {told.seed}; measuring who passes where",
        flush=True,
    )
    lines, took = cover(package, tree, max(deadline - time.monotonic(), 60.0))
    print(f"{name}: its tests take {took:.0f} s measured", flush=True)
    caught, missed, left = 0, [], 0
    for number, site in enumerate(chosen, 1):
        if time.monotonic() > deadline:
            left = len(chosen) - number + 1
            break
        found = noticed(site, package, tree, lines, took)
        caught += found
        place = f"{site.path.relative_to(tree)}:{site.line}"
        if not found:
            missed.append({"place": place, "kind": site.kind, "was": site.was, "became": site.becomes})
        word = "caught" if found else "MISSED"
        change = f"{site.kind}: {site.was} -> {site.becomes or 'nothing'}"
        print(f"  {number}/{len(chosen)} {word} {place} {change}", flush=True)
    tried = len(chosen) - left
    print(
        f"{name}: caught {caught} of {tried}" + (f"; {left} not tried, time was up" if left else ""),
        flush=True,
    )
    return {
        "places": len(every),
        "tried": tried,
        "caught": caught,
        "not tried": left,
        "seed": told.seed,
        "missed": missed,
    }


def noticed(
    site: Site,
    package: dict[str, list[str]],
    tree: Path,
    lines: dict[tuple[str, int], list[str]],
    took: float,
) -> bool:
    """Whether a test fails with the fault in place; the copy is put right again in any case."""
    sound = site.path.read_text("utf8")
    narrow = lines.get((str(site.path.relative_to(tree)), site.line), [])
    everything = expand(package["tests"], tree)
    seconds = 60.0 + 3.0 * took
    try:
        site.path.write_text(site.planted(sound), "utf8")
        if narrow and run(narrow[:200], tree, seconds):
            return True
        return bool(run(everything, tree, seconds)) if len(narrow) > 200 or not narrow else False
    finally:
        site.path.write_text(sound, "utf8")


if __name__ == "__main__":
    main()
