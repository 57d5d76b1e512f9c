"""A fixed sample of small faults in the limits, planted in this process: the codes' own cases notice them.

The whole of it, for every package and with all tests, is ``scripts/plant``, which takes hours and not CI's
time. Here each function is given the faulty code, the two documents of each code are planned until one of
them no longer comes out as it should, and the function gets its own code back.
"""

from __future__ import annotations

import gc
import importlib.util
import inspect
import random
import sys
import types
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from finding_cases import finding_cases
from finding_probe import found, probe
from staged import staged

ROOT = Path(__file__).parents[2]
LIMITS = ROOT / "src" / "panelmend" / "job" / "limits"
COUNT, SEED = 30, 3
# What changes nothing anybody can see: within the 1e-9 by which a limit is held, or always together.
SAME = ("1e-9", "far is not None and other is not None", "near is None or far is None")


def _loaded(path: Path) -> types.ModuleType:
    spec = importlib.util.spec_from_file_location(f"planted_{path.stem}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[module.__name__] = module  # where a dataclass looks its module up
    spec.loader.exec_module(module)
    return module


def _sites() -> list[Any]:
    places = _loaded(ROOT / "scripts" / "faults" / "sites.py")
    found = [s for name in ("checks", "formulas", "make") for s in places.sites(LIMITS / f"{name}.py")]
    return [s for s in found if not any(w in _line(s) for w in SAME)]


def _line(site: Any) -> str:
    return str(site.path.read_text("utf8").splitlines()[site.line - 1])


def _codes(code: types.CodeType) -> Iterator[types.CodeType]:
    for inner in code.co_consts:
        if isinstance(inner, types.CodeType):
            yield inner
            yield from _codes(inner)


def _faulty(site: Any) -> dict[tuple[str, int], types.CodeType]:
    """The functions that a fault changes, by name and line."""
    text = site.path.read_text("utf8")
    pair = (compile(t, str(site.path), "exec") for t in (text, site.planted(text)))
    both = zip(*map(_codes, pair), strict=True)
    return {(a.co_qualname, a.co_firstlineno): b for a, b in both if a != b}


def _checks() -> list[Callable[[], None]]:
    cases = [c for c in finding_cases() if c.code[0] == "L"]
    skins = next(c for c in cases if c.limit == "allowable size in both skins")

    def reasons() -> None:
        (finding,) = found(skins, within=False)
        assert finding.words.count("needs no structural repair") == len(finding.words.split("; ")) == 2

    law = _loaded(Path(__file__).with_name("test_limits_both_skins.py"))
    tests = [f for n, f in vars(law).items() if n.startswith("test_") and not inspect.signature(f).parameters]
    return [reasons, *tests, *(lambda c=c: probe(c) for c in cases)]  # type: ignore[misc]


def _noticed(checks: list[Callable[[], None]]) -> bool:
    staged.cache_clear()  # plans made with the fault before this one
    for check in checks:
        try:
            check()
        except Exception:  # a fault that breaks the plan is noticed too
            return True
    return False


def test_faults_planted_in_the_limits_are_noticed() -> None:
    checks = _checks()
    assert not _noticed(checks)
    gc.unfreeze()  # what was kept out of the search for rubbish is not listed either
    living = {
        (f.__code__.co_qualname, f.__code__.co_firstlineno): f
        for f in gc.get_objects()
        if type(f) is types.FunctionType and f.__code__.co_filename.startswith(str(LIMITS))
    }
    assert living
    sites = [s for s in _sites() if set(_faulty(s)) & set(living)]
    missed = []
    for site in random.Random(SEED).sample(sites, COUNT):
        faulty = {k: code for k, code in _faulty(site).items() if k in living}
        sound = {k: living[k].__code__ for k in faulty}
        try:
            for key, code in faulty.items():
                living[key].__code__ = code
            if not _noticed(checks):
                missed.append(f"{site.path.name}:{site.line} {site.kind}: {site.was} -> {site.becomes}")
        finally:
            for key, code in sound.items():
                living[key].__code__ = code
    assert not _noticed(checks)
    assert missed == []
