"""What is printed of a roll's out-time: its own lot and hours, out rounded up and left rounded down."""

from __future__ import annotations

from examples_here import case_from, text
from panelmend.plan.make import make_plan
from panelmend.render.labels import labels_data
from panelmend.render.papers import A4
from panelmend.render.pieces import heading_of, templates_of


def test_labels_and_kit_have_the_out_time_of_their_own_lot_on_its_safe_side() -> None:
    """Of a 240 h life 30.04 h are gone and 209.96 h left: 30.1 h and 209.9 h, never 30.0 and 210.0."""
    plan = make_plan(case_from(text("flap_rib_bay").replace('out_time = "30 h"', 'out_time = "30.04 h"')))
    labels = {r["id"]: r for r in labels_data(heading_of(plan), templates_of(plan), A4)["labels"]}
    for piece, lot, out in (
        ("OUT-A", "FA-1020", "20.0 h"),
        ("OUT-R1", "CP-0912", "30.1 h"),
        ("OUT-R2", "CP-0912", "30.1 h"),
        ("OUT-S", "GP-3308", "12.0 h"),
    ):
        assert labels[piece]["lot"] == f"lot {lot}"
        assert labels[piece]["out"] == f"out-time at planning {out}; at cutting ________ h"
    assert labels["OUT-CUT"]["out"] == "", "nothing is cut from stock for it"
    assert plan.work is not None
    picks = {p.lot: p.words for line in plan.work.kit.lines for p in line.picks}
    assert picks["CP-0912"].endswith("out-time so far 30.1 h, 209.9 h left")
    assert picks["GP-3308"].endswith("out-time so far 12.0 h, 228.0 h left")
    assert picks["FA-1020"].endswith("out-time so far 20.0 h, 460.0 h left")
