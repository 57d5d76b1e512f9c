"""Usual lengths on pages in inches: each reads off a rule, with its own inch value where it needs one."""

from __future__ import annotations

from panelmend.job.defaults import USUAL, DefaultValue
from panelmend.units import show


def _inches(usual: DefaultValue, view: str) -> str:
    value = usual.of(view)
    assert isinstance(value, int | float)
    return show(float(value), "length", "in")


def test_every_usual_length_reads_off_a_rule_on_pages_in_inches() -> None:
    lengths = {key: usual for key, usual in USUAL.items() if usual.kind == "length"}
    assert len(lengths) > 25
    off = [key for key, usual in lengths.items() if "." in _inches(usual, "in")]
    assert off == ["core.sagitta_most"]  # 1/64 in, by feeler gauge
    assert "." in _inches(USUAL["cure.blanket_placed"], "mm")  # 10 mm: the test can tell


def test_an_inch_value_is_the_metric_one_within_a_quarter() -> None:
    """What keeps to its place in one family of units does in the other; steps of sizes are a family's own."""
    for key, usual in USUAL.items():
        if usual.inch is None or key in ("cutout.size_step", "core.sagitta_most"):
            continue
        assert isinstance(usual.inch, int | float)
        assert isinstance(usual.value, int | float)
        assert abs(usual.inch / usual.value - 1.0) < 0.25, key
