"""Faults that change nothing anybody can see are listed with reasons, and each can still be planted."""

from __future__ import annotations

import dataclasses
import importlib.util
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]


def _loaded(name: str) -> Any:
    path = ROOT / "scripts" / "faults" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(f"planted_list_{name}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[module.__name__] = module  # where a dataclass looks its module up
    spec.loader.exec_module(module)
    return module


def test_every_listed_fault_has_a_reason_and_stands_where_the_list_says() -> None:
    listed, places = _loaded("kept"), _loaded("sites")
    reasons = listed.kept()
    assert all(len(why) > 20 for why in reasons.values())
    texts = {path: (ROOT / path).read_text("utf8") for path in {k.file for k in reasons if k.file}}
    there = {listed.change_of(s, texts[path], ROOT) for path in texts for s in places.sites(ROOT / path)}
    there |= {dataclasses.replace(k, at=None) for k in there}
    assert {k for k in reasons if k.file} - there == set()


def test_a_reason_holds_for_its_own_change_alone() -> None:
    listed = _loaded("kept")
    limits = "src/panelmend/job/limits/make.py"
    line = "fine = float(figure) <= float(limit) * (1 + 1e-9)"
    reasons = listed.kept()
    assert "rounding" in listed.reason_for(listed.Kept(limits, line, "<=", "<"), reasons)
    assert listed.reason_for(listed.Kept(limits, line, "<=", ">="), reasons) == ""
    assert listed.reason_for(listed.Kept("elsewhere", line, "<=", "<"), reasons) == ""


def test_of_two_changes_alike_in_a_line_the_one_in_its_column_is_meant() -> None:
    listed = _loaded("kept")
    one = listed.Kept("a.py", "x = a + b + c", "+", "-", 6)
    reasons = {one: "the first alone", listed.Kept("a.py", "y = a + b + c", "+", "-"): "each of them"}
    assert listed.reason_for(one, reasons) == "the first alone"
    assert listed.reason_for(dataclasses.replace(one, at=10), reasons) == ""
    assert listed.reason_for(dataclasses.replace(one, line="y = a + b + c", at=10), reasons) == "each of them"
