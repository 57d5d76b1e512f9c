"""What is kept in memory is what would be made again, bit by bit; and it is never taken for another."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from examples_here import case, case_from, text
from panelmend.derive.memory import _made, exact, remembered
from panelmend.document import Document
from panelmend.document.approved import ApprovedData
from panelmend.document.panel import Panel
from panelmend.materials.quantities import Typed
from panelmend.plan.make import make_plan
from panelmend.predict.kept_predictions import read_predictions
from panelmend.render.card import card_sheets
from panelmend.render.card_workings import workings_sheets
from panelmend.render.files import plan_file
from panelmend.render.workings import workings_of
from panelmend.shapes import circle, rectangle


def test_values_that_print_apart_are_kept_apart() -> None:
    apart = [0.0, -0.0, 0, False, 1.0, 1, True, "1", None, (1.0,), (1,), ((1.0,),)]
    assert len({exact(v) for v in apart}) == len(apart)
    assert exact(rectangle((0.0, 0.0), 1.0, 1.0)) == exact(rectangle((0.0, 0.0), 1.0, 1.0))
    assert exact(rectangle((0.0, 0.0), 1.0, 1.0)) != exact(rectangle((0.0, 0.0), 1.0, 1.0 + 1e-15))


def test_a_result_is_made_once_and_what_can_be_changed_is_never_kept() -> None:
    calls: list[object] = []

    @remembered
    def grown(shape: object, by: object = 0.0) -> object:
        calls.append(shape)
        return (shape, by)

    shape = circle((0.0, 0.0), 0.1)
    assert grown(shape, 0.0) is grown(circle((0.0, 0.0), 0.1), 0.0)
    assert len(calls) == 1
    grown(shape, -0.0)
    grown(shape, by=0.0)
    assert len(calls) == 3
    row = [1.0]
    assert grown(row) == ([1.0], 0.0)
    row.append(2.0)
    assert grown(row) == ([1.0, 2.0], 0.0)


def test_figures_are_reached_again_by_computing_them(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = make_plan(case("gear_door"))
    formulas = sys.modules["panelmend.derive.formula"]
    monkeypatch.setattr(formulas, "call_kept", lambda *_, **__: pytest.fail("not computed again"))
    assert plan.ledger.replay() == []


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
def test_a_plan_after_others_has_the_bytes_of_a_plan_alone(name: str) -> None:
    _made.cache_clear()
    alone = make_plan(case(name))
    edited = text(name).replace('"25.4 mm"', '"30 mm"')
    assert edited != text(name)
    other = make_plan(case_from(edited))
    again = make_plan(case(name))
    assert other.digest != alone.digest
    assert plan_file(again) == plan_file(alone)
    _made.cache_clear()
    assert plan_file(make_plan(case_from(edited))) == plan_file(other)


def test_kept_predictions_are_read_again_when_their_file_changes(tmp_path: Path) -> None:
    kept = tmp_path / "repair.heat.json"
    text = (Path(__file__).parents[2] / "examples" / "gear_door" / "repair.heat.json").read_text("utf8")
    kept.write_text(text, "utf8")
    first = read_predictions(kept)
    assert first
    assert read_predictions(kept) == first
    read_predictions(kept).clear()  # whoever takes it may change it
    assert read_predictions(kept) == first
    one = next(iter(first))
    kept.write_text(text.replace(one, "0" + one[1:] if one[0] != "0" else "1" + one[1:]), "utf8")
    assert one not in read_predictions(kept)
    kept.unlink()
    assert read_predictions(kept) == {}


def test_a_table_that_is_left_out_is_one_that_was_typed_empty() -> None:
    """They are put together without a build of their own; a build of an empty one gives the same."""
    left_out = [
        field.default
        for model in (Document, ApprovedData, Panel)
        for field in model.model_fields.values()
        if isinstance(field.default, Typed)
    ]
    assert len(left_out) == 19
    for table in left_out:
        built = type(table).model_validate({})
        assert table == built
        assert repr(table) == repr(built)
        assert table.model_fields_set == built.model_fields_set == set()
        assert list(table.__dict__) == list(built.__dict__)


def test_workings_explain_what_the_card_shows_whoever_made_it() -> None:
    """The card is gathered once for its own pages and for the workings: both as if each had been alone."""
    plan = make_plan(case("gear_door"))
    shown = workings_of(plan)
    card = card_sheets(plan, shown=shown)
    assert card == card_sheets(plan)
    assert workings_sheets(plan, shown) == workings_sheets(plan)
