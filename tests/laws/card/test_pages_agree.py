"""Pages of one pack that say the same of the same thing: bench page, steps, labels, cure plan."""

from __future__ import annotations

from types import SimpleNamespace
from typing import TYPE_CHECKING, cast

import pytest

from card_plans import operations, planned, steps
from panelmend.app.telling import summary
from panelmend.derive import Figure, Ledger, Source
from panelmend.job.card.drying_heat import drying_heat_lines as drying_heat
from panelmend.job.card.holds import HOLDS
from panelmend.job.card.make import COVER_OFF, TOUCHES
from panelmend.render.card import card_data
from panelmend.render.cure_plan import cure_plan_pdf
from panelmend.render.pieces import templates_of
from panelmend.screen.beside import clearance_items
from render_pages import page_words

if TYPE_CHECKING:
    from panelmend.job.cure.part import CurePart


def test_plies_are_counted_on_the_bench_page_as_their_steps_and_labels_count_them() -> None:
    """The hole through both skins: the plies outside go down in a later operation, and begin at 1 there."""
    plan = planned("cowling")
    bench = card_data(plan)["bench"]
    shown = {row["id"]: row["order"] for layup in bench["layups"] for row in layup["rows"]}
    assert (shown["OUT-R1"], shown["IN-R1"], shown["IN-E1"], shown["CAP-1"]) == ("1", "1", "3", "1")
    told = {line.split()[1]: line.split()[0] for line in summary(plan).splitlines() if " warp " in line}
    assert told["OUT-R1"] == "1", "the summary of the command line counts as the pages do"
    counted = [piece for piece in templates_of(plan) if piece.lay]
    assert len(counted) == 8
    for piece in counted:
        assert shown[piece.id] == str(piece.lay)


def _told(parts: object) -> str:
    """The words of a line of a page, figures as they are printed."""
    if isinstance(parts, dict):
        return str(parts["text"])
    return "".join(map(_told, parts)) if isinstance(parts, list) else str(parts)


def test_the_bench_page_has_length_and_width_of_the_cut_out_as_they_are() -> None:
    """163 mm by 102 mm: each in its own row, and a hold with every step at which it stands."""
    bench = card_data(plan := planned("gear_door"))["bench"]
    assert plan.work is not None
    opening = plan.work.cutout.opening
    assert (float(opening.length), float(opening.width)) == (pytest.approx(0.163), pytest.approx(0.102))
    rows = {row[0]: _told(row[1]) for row in bench["opening"]}
    assert rows["Length"].startswith("163")
    assert rows["Width"].startswith("102")
    held = {row["code"]: row["steps"] for row in bench["holds"]}
    every = {code: [s.number for s in plan.card.steps if s.hold and s.hold.code == code] for code in held}
    assert held == every
    assert max(map(len, held.values())) == 2, "both bonding operations"


def test_the_bench_page_heats_to_what_was_chosen_not_to_what_the_data_begins_with() -> None:
    """66 C and 82 C in the data, 64 C and 79 C as the controller was chosen to be set; it cools to 49 C."""
    cures = card_data(planned("gear_door"))["bench"]["cures"]
    for cure, hot in zip(cures, ("64", "79"), strict=True):
        told = [_told(stage).replace("\u00a0", " ") for stage in cure["stages"]]
        assert told[0].startswith(f"heat to {hot}"), told
        assert told[1].startswith(f"hold at {hot}")
        assert told[2].startswith("cool to 49")


def test_each_lot_of_the_kit_has_its_own_share() -> None:
    """0.677 m of one roll and 0.305 m of the next: 0.982 m of neither."""
    plan = planned("gear_door")
    assert plan.work is not None
    lines = card_data(plan)["kit"]
    shares = [
        (shown["picks"], line)
        for shown, line in zip(lines, plan.work.kit.lines, strict=True)
        if len(line.picks) > 1
    ]
    assert len(shares) == 1
    (first, second), line = shares[0]
    assert [float(p.amount) for p in line.picks] == [
        pytest.approx(0.676996, abs=1e-6),
        pytest.approx(0.305043, abs=1e-6),
    ]
    assert first.startswith(f"{line.picks[0].store}, lot {line.picks[0].lot}: 677.0 mm")
    assert second.startswith(f"{line.picks[1].store}, lot {line.picks[1].lot}: 305.1 mm")


def test_the_screen_has_first_what_does_not_hold() -> None:
    shown = clearance_items(planned("access_door_no_fit"))
    assert [f.what for f in shown if not f.holds] == ["largest ply to insert latch 2"]
    assert [f.holds for f in shown] == [False] + [True] * (len(shown) - 1)
    assert shown[0].word != shown[1].word


def test_a_line_that_goes_off_with_the_paint_is_marked_again_before_the_cut() -> None:
    plan = planned("access_door_no_fit")
    order = [s.id for s in plan.card.steps]
    assert order.index("B4") < order.index("B5") < order.index("B7"), "marked, paint off, cut"
    cut = "".join(str(w) for line in plan.card.steps[order.index("B7")].words for w in line)
    assert "mark it again from the datum marks. Cut along it" in cut


@pytest.mark.parametrize(("early", "counts"), [(-1.0, "drying.heat_up"), (1.0, "drying.heat.arrives")])
def test_no_time_of_drying_counts_before_the_ramp_itself_can_have_ended(early: float, counts: str) -> None:
    """The foot counts as near some degrees early: counted from 17 min where heating takes 18."""
    plan = planned("gear_door")
    assert plan.work is not None
    part = plan.work.drying
    assert part.heat_up is not None
    ledger = Ledger()
    for name, value, kind in (
        ("hottest", 345.0, "temperature"),
        ("reaches", 343.0, "temperature"),
        ("arrives", float(part.heat_up) + early, "time"),
    ):
        ledger.typed(f"drying.heat.{name}", value, kind, source=Source("made up"))
    cures = SimpleNamespace(
        drying=SimpleNamespace(source=SimpleNamespace(id="HB"), source_behind=None),
        dried=SimpleNamespace(tried=None),
    )
    said = drying_heat(cast("CurePart", cures), part, ledger, "mm")
    (line,) = [w for w in said if "Count the time" in str(w[0])]
    assert next(x.key for x in line if isinstance(x, Figure)) == counts
    assert "the foot is within 5.0 C of it. If the coldest does not get there" in str(line[-1])


def test_drying_is_no_order_where_no_water_was_found() -> None:
    """The card has no step that dries then: the cure plan says when the drying of the data counts."""
    said = " ".join(" ".join(page_words(cure_plan_pdf(planned("access_door_no_fit")))).split())
    assert "If water is found, the data says: dry at 71 C for at least 4 h" in said
    assert "Dry at 71 C" not in said


@pytest.mark.parametrize("kind", ["gear_door", "root_fairing", "cowling", "insert"])
def test_the_film_over_a_prepared_surface_comes_off_at_the_first_step_that_touches_it(kind: str) -> None:
    """It was laid on in a step and taken off in none."""
    plan = planned(kind)
    bonded = operations(plan).on_panel
    off = [s for s in plan.card.steps if s.words and s.words[0] == (COVER_OFF,)]
    assert [s.operation for s in off] == list(bonded)
    for s in off:
        touching = [t for t in plan.card.steps if t.operation == s.operation and t.id in TOUCHES]
        assert touching[0] is s


def test_numbers_of_holds_that_are_not_there_are_named() -> None:
    """From H1 to H3 and H11 to H13: a reader looked for the ones between."""
    plan = planned("gear_door")
    bench = card_data(plan)["bench"]
    shown = {row["code"] for row in bench["holds"]}
    absent = (
        bench["absent"]
        .removeprefix("No such work in this repair, so no hold: ")
        .removesuffix(".")
        .split(", ")
    )
    assert shown.isdisjoint(absent)
    assert shown | set(absent) == set(HOLDS)


def test_each_of_two_bags_has_a_blank_for_its_gauge() -> None:
    plan = planned("cowling")
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        two = bag.behind is not None and bag.behind.bagged
        for ident in ("D6", "O20"):
            (of,) = steps(plan, ident, bag.number)
            gauges = [b.what for b in of.blanks if b.what.lower().endswith("gauge number")]
            assert gauges == ["Gauge number", *(["Opposite side: gauge number"] if two else [])]
    assert any(b.behind is not None and b.behind.bagged for b in plan.work.bag.operations)
