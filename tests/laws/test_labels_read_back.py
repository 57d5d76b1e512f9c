"""Labels carry operation, lay number and lot; the numbers agree with the card; a verb reads the code back."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import case_from, names, text
from panelmend.app.cli import main
from panelmend.plan.lay_number import lay_number
from panelmend.plan.make import make_plan
from panelmend.render.labels import LabelCode, labels_data
from panelmend.render.papers import A4
from panelmend.render.pieces import heading_of, templates_of


@pytest.mark.parametrize("name", names())
def test_numbers_on_templates_are_those_of_the_operation_and_none_stands_twice(name: str) -> None:
    plan = make_plan(case_from(text(name)))
    assert plan.work is not None
    pieces = [t for t in templates_of(plan) if t.lay]
    said = [(t.laid_in, t.lay) for t in pieces]
    assert len(set(said)) == len(said)
    for bag in plan.work.bag.operations:
        mine = sorted(t.lay for t in pieces if t.laid_in == bag.name)
        assert mine == list(range(1, len(mine) + 1))
        for number, ident in enumerate(bag.plies, 1):
            assert lay_number(plan, ident) == (bag.name, number)
    laid = {i for b in plan.work.bag.operations for i in b.plies}
    assert laid == {p.id for p in (*plan.work.plies.plies, *plan.work.core.cap)}


def test_a_label_has_its_lot_and_place() -> None:
    plan = make_plan(case_from(text("root_fairing")))
    rows = {r["id"]: r for r in labels_data(heading_of(plan), templates_of(plan), A4)["labels"]}
    assert rows["OUT-R1"]["laid"] == "Fill and repair plies: lay 3"
    assert rows["OUT-R1"]["lot"] == "lot CW-8820"
    assert rows["PLUG"]["laid"] in {b.name for b in plan.work.bag.operations if "core" in b.lays}
    assert rows["CAP-1"]["laid"] == "Cap on a plate: lay 1"


def test_the_code_is_read_back(tmp_path: Path) -> None:
    document = text("root_fairing")
    path = tmp_path / "repair.toml"
    path.write_text(document, "utf8")
    digest = make_plan(case_from(document)).short_digest
    good = LabelCode("ORL-26-0093", "OUT-R1", digest).text()
    said = CliRunner().invoke(main, ["label", good, str(path)])
    assert said.exit_code == 0
    assert "lay number 3" in said.output
    assert "Lot CW-8820" in said.output
    assert CliRunner().invoke(main, ["label", good]).exit_code == 0
    for repair, piece, plan in (
        ("ORL-26-0094", "OUT-R1", digest),
        ("ORL-26-0093", "OUT-R1", "0" * 12),
        ("ORL-26-0093", "OUT-R9", digest),
    ):
        bad = CliRunner().invoke(main, ["label", LabelCode(repair, piece, plan).text(), str(path)])
        assert bad.exit_code == 3
    assert CliRunner().invoke(main, ["label", "panelmend:nothing"]).exit_code == 3
