"""Pages of one pack that say the same of the same thing: bench page, steps, labels, cure plan."""

from __future__ import annotations

from card_plans import planned
from panelmend.render.card import card_data
from panelmend.render.cure_plan import cure_plan_pdf
from panelmend.render.pieces import templates_of
from render_pages import page_words


def test_plies_are_counted_on_the_bench_page_as_their_steps_and_labels_count_them() -> None:
    """The hole through both skins: the plies outside go down in a later operation, and begin at 1 there."""
    plan = planned("cowling")
    bench = card_data(plan)["bench"]
    shown = {row["id"]: row["order"] for layup in bench["layups"] for row in layup["rows"]}
    assert (shown["OUT-R1"], shown["IN-R1"], shown["IN-E1"], shown["CAP-1"]) == ("1", "1", "3", "–")
    counted = [piece for piece in templates_of(plan) if piece.lay and piece.id != "CAP-1"]
    assert len(counted) == 7
    for piece in counted:
        assert shown[piece.id] == str(piece.lay)


def test_a_line_that_goes_off_with_the_paint_is_marked_again_before_the_cut() -> None:
    plan = planned("access_door_no_fit")
    order = [s.id for s in plan.card.steps]
    assert order.index("B4") < order.index("B5") < order.index("B7"), "marked, paint off, cut"
    cut = "".join(str(w) for line in plan.card.steps[order.index("B7")].words for w in line)
    assert "is marked again from the datum marks. Cut along it" in cut


def test_drying_is_no_order_where_no_water_was_found() -> None:
    """The card has no step that dries then: the cure plan says when the drying of the data counts."""
    said = " ".join(" ".join(page_words(cure_plan_pdf(planned("access_door_no_fit")))).split())
    assert "Where water is found, the data asks: dry at 71 C for at least 4 h" in said
    assert "Dry at 71 C" not in said
