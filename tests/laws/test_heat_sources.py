"""Compiled code and kept predictions are made anew when any source they reach changes, in any file."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from panelmend.physics.heat.compiled import KEYED
from panelmend.predict import edition

SOURCE = Path(__file__).parents[2] / "src" / "panelmend"
RUN = """
import numpy as np
from panelmend.physics.heat import kernel
one = np.ones(1)
total = np.zeros(5)
laws = np.zeros((1, 14)); laws[0, 0], laws[0, 1], laws[0, 6] = 1.0, 1e-3, 1.0
T, place = np.full(1, 350.0), np.zeros(1, dtype=np.int64)
kernel._cure(T, 1e3 * one, T.copy(), 0.0, 1.0, place, place, one, laws, np.zeros(1), -one, np.zeros(1), total)
print(total[1])
"""


def test_a_changed_law_of_cure_is_compiled_anew(tmp_path: Path) -> None:
    copy = tmp_path / "panelmend"
    shutil.copytree(SOURCE, copy, ignore=shutil.ignore_patterns("__pycache__", "*.ttf", "*.otf"))

    def run() -> float:
        env = {**os.environ, "PYTHONPATH": str(tmp_path), "PYTHONDONTWRITEBYTECODE": "1"}
        env.pop("NUMBA_CACHE_DIR", None)
        done = subprocess.run(
            [sys.executable, "-c", RUN],
            env=env,
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=True,
            timeout=300,
        )
        return float(done.stdout)

    first = run()
    assert run() == first
    rate = copy / "physics" / "cure_chemistry" / "rate.py"
    stamp = rate.stat()
    text = rate.read_text("utf8")
    old, new = "k1 = p[1] * math.exp(", "k1 = 3. * p[1]*math.exp("
    assert old in text
    rate.write_text(text.replace(old, new), "utf8")
    os.utime(rate, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))  # as an unpacked release leaves it
    assert run() > 2.5 * first


def _ours(path: Path) -> list[Path]:
    """Files of the package that a file imports from."""
    named = [n for n in ast.walk(ast.parse(path.read_text("utf8"))) if isinstance(n, ast.ImportFrom)]
    found = []
    for name in named:
        parts = (name.module or "").split(".")
        if parts[0] != SOURCE.name:
            continue
        base = SOURCE.joinpath(*parts[1:])
        inner = [base / f"{a.name}.py" for a in name.names]
        found += [p for p in (base.with_suffix(".py"), *inner) if p.exists()]
    return found


def test_all_that_a_kernel_reaches_is_in_the_key() -> None:
    users = [p for p in SOURCE.rglob("*.py") if "import compiled" in p.read_text("utf8")]
    assert {p.name for p in users} >= {"kernel.py", "sweeps.py"}
    reached, left = set(), [*users]
    while left:
        path = left.pop()
        if path not in reached:
            reached.add(path)
            left += _ours(path)
    assert SOURCE / "physics" / "cure_chemistry" / "rate.py" in reached
    outside = {p for p in reached if p.parent not in KEYED}
    assert not outside, "its folder belongs into the key of compiled code"
    makers = {p.name for p in SOURCE.rglob("*.py") if "\nimport numba" in p.read_text("utf8")}
    assert makers == {"compiled.py"}, "compiled in one place, with the key"


def test_a_kept_prediction_is_keyed_on_all_that_computes_one() -> None:
    keyed = set(edition.edition_sources())
    reached, left = set(), [SOURCE / "predict" / "predict.py", SOURCE / "predict" / "ensemble.py"]
    while left:
        path = left.pop()
        if path not in reached and path.relative_to(SOURCE).parts[0] in {"predict", "physics"}:
            reached.add(path)
            left += _ours(path)
    assert SOURCE / "physics" / "film.py" in reached
    outside = {p for p in reached - keyed if p.name != "__init__.py"}
    assert not outside, "these belong into the key of kept predictions"


def test_an_edited_source_makes_another_edition(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def made(text: bytes) -> str:
        (tmp_path / "film.py").write_bytes(text)
        edition.edition.cache_clear()
        return edition.edition()

    monkeypatch.setattr(edition, "KEYED_FILES", (tmp_path / "film.py",))
    first = made(b"k = 1.0\n")
    assert made(b"k = 1.0\r\n") == first
    assert made(b"k = 2.0\n") != first
    monkeypatch.undo()
    edition.edition.cache_clear()
