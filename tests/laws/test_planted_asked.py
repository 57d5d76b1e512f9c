"""When every place is planted, only what nobody can see is left unasked."""

from __future__ import annotations

import importlib.util
import signal
import sys
import types
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
TEXT = """
LIMIT, MOST = 6, 4
MOST_NAMED = 4
def judged(values, show):
    first, last = values[0], values[3:-1]
    return show(last < 5.0 * (1 - 1e-9), decimals=1) if first > 2 else values[int(first * 7.0)]
"""


def _loaded(name: str) -> Any:
    spec = importlib.util.spec_from_file_location(
        f"planted_asked_{name}", ROOT / "scripts" / "faults" / f"{name}.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[module.__name__] = module  # where a dataclass looks its module up
    spec.loader.exec_module(module)
    return module


def test_places_in_arrays_digits_and_room_for_rounding_are_not_asked(tmp_path: Path) -> None:
    asked, places = _loaded("asked"), _loaded("sites")
    file = tmp_path / "code.py"
    file.write_text(TEXT, "utf8")
    found = [(s.was, asked.not_asked(s, TEXT)) for s in places.sites(file) if s.kind == "constant"]
    array = "a place in an array"
    assert found == [
        ("6", ""),
        ("4", ""),
        ("4", "how many are named"),
        ("0", array),
        ("3", array),
        ("1", array),
        ("5.0", ""),
        ("1", "room for rounding"),
        ("1e-9", "room for rounding"),
        ("1", "decimals of a call"),
        ("2", ""),
        ("7.0", ""),
    ]
    turned = [s for s in places.sites(file) if s.kind not in ("constant", "limit itself")]
    assert turned
    assert {asked.not_asked(s, TEXT) for s in turned} == {""}
    edges = [(s.was, asked.not_asked(s, TEXT)) for s in places.sites(file) if s.kind == "limit itself"]
    assert edges == [("<", "room for rounding"), (">", "")]


def test_rows_of_equal_length_and_edges_with_room_are_not_asked(tmp_path: Path) -> None:
    """Of a chain of comparisons, and of one inside another, only the one about the place counts."""
    asked, places = _loaded("asked"), _loaded("sites")
    file = tmp_path / "code.py"
    text = (
        "def f(a, b, c):\n"
        "    if a < b - 1e-9 <= c or a >= b:\n"
        "        return dict(zip(a, b, strict=True))\n"
        "    return any(x > 1.0 for x in a if x < c * (1.0 + 1e-9)) and g(flag=True) and a == b - 0.5\n"
        "    return median(c, overwrite_input=True)\n"
    )
    file.write_text(text, "utf8")
    found = [
        (s.kind, s.was, asked.not_asked(s, text))
        for s in places.sites(file)
        if s.kind in ("flag", "limit itself")
    ]
    room = "room for rounding"
    assert found == [
        ("limit itself", "<", room),
        ("limit itself", "<=", room),
        ("limit itself", ">=", ""),
        ("flag", "True", "rows of equal length, said once more"),
        ("limit itself", ">", ""),
        ("limit itself", "<", room),
        ("flag", "True", ""),
        ("limit itself", "==", ""),
        ("flag", "True", "whether memory of its own is used again"),
    ]


def test_a_row_of_a_test_may_have_any_name(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A test with a row called "asked" was taken for one that fails, and noticed no fault."""
    monkeypatch.syspath_prepend(str(ROOT / "scripts" / "faults"))
    sweep = _loaded("sweep")
    seen = []

    def test_row(monkeypatch: pytest.MonkeyPatch, asked: int, f: int) -> None:
        monkeypatch.setenv("ROW", str(asked))
        seen.append((asked, f))

    module = types.ModuleType("made")
    module.test_row = pytest.mark.parametrize(("asked", "f"), [(3, 5), (4, 6)])(test_row)  # type: ignore[attr-defined]
    for check in sweep.with_fixtures(module, "made"):
        check.call()
    assert seen == [(3, 5), (4, 6)]


def test_a_test_that_ran_on_does_not_hold_whatever_became_of_the_error(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What reads a file says an error of the system in its own words, as a refusal that the test expects."""
    monkeypatch.setenv("PANELMEND_KEPT", "")
    monkeypatch.syspath_prepend(str(ROOT / "scripts" / "faults"))
    quick = _loaded("quick")

    def refused() -> None:
        with pytest.raises(OSError, match="runs on"):
            signal.raise_signal(signal.SIGVTALRM)

    before = signal.signal(signal.SIGVTALRM, quick.late)
    try:
        held = [quick.passes(quick.Check("made", f), 60.0) for f in (lambda: None, refused, lambda: None)]
    finally:
        signal.signal(signal.SIGVTALRM, before)
    assert held == [True, False, True]
