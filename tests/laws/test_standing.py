"""STOP, DRAFT or READY: one enum decides headline, marks and exit code."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import FOLDER, case_from, edited, heat_taken_on, nothing_of_its_parts, sound, text
from panelmend.app.cli import main
from panelmend.errors import Severity
from panelmend.job.cure import checks
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan, Standing
from panelmend.render.card import card_data
from panelmend.render.labels import labels_data
from panelmend.render.papers import A4
from panelmend.render.pieces import heading_of, templates_of


def planned(document: str, *pairs: tuple[str, str]) -> Plan:
    document = edited(document, *pairs)
    return make_plan(case_from(heat_taken_on(document + nothing_of_its_parts())))


OPEN = ('wet_out = { value = "wet then cut", place = "52-10-17 para 5A" }\n', "")
BORDER = ('voltage = "230 V" }', 'voltage = "230 V", border = "0 mm" }')
STOPPED = ('repairable = { value = "200 mm"', 'repairable = { value = "100 mm"')


@pytest.mark.parametrize(
    ("pairs", "standing", "mark"),
    [((), Standing.READY, ""), ((OPEN,), Standing.DRAFT, "DRAFT"), ((OPEN, STOPPED), Standing.STOP, "STOP")],
)
def test_the_standing_goes_to_every_page(
    pairs: tuple[tuple[str, str], ...], standing: Standing, mark: str
) -> None:
    plan = planned(sound(), BORDER, *pairs)
    assert plan.standing is standing
    assert plan.mark == mark
    assert heading_of(plan).mark == mark
    assert labels_data(heading_of(plan), templates_of(plan), A4)["mark"] == mark
    assert str(card_data(plan)).count("STOP") >= (mark == "STOP")
    assert bool(plan.stop_reasons) == (standing is Standing.STOP)


def test_a_ply_that_does_not_fit_stops() -> None:
    plan = planned(text("access_door_no_fit"))
    assert plan.standing is Standing.STOP
    assert "P101" in {f.code for f in plan.stop_reasons}


def test_a_cure_that_is_not_predicted_to_hold_stops() -> None:
    from panelmend.app import service

    plan = service.plan(FOLDER / "gear_door" / "repair.toml")
    assert plan.work is not None
    operation = plan.work.cure.operations[0]
    made = operation.prediction
    assert made is not None, "an old problem or an old model: run panelmend heat on the example again"
    bag = plan.work.bag.operations[0]
    held = replace(plan.work.cure, operations=(operation,))
    bags = replace(plan.work.bag, operations=(bag,))
    assert "H051" not in {f.code for f in checks.check(plan.case, plan.ledger, held, bags, plan.work.core)}
    short = replace(made.limits[0], margin=-0.4)
    assert not short.holds
    broken = replace(operation, prediction=replace(made, limits=(short, *made.limits[1:])))
    found = checks.check(plan.case, plan.ledger, replace(held, operations=(broken,)), bags, plan.work.core)
    assert [f.severity for f in found if f.code == "H051"] == [Severity.STOP]


@pytest.mark.parametrize(("pairs", "code"), [((), 0), ((STOPPED,), 6)])
def test_a_stop_has_an_exit_code_of_its_own(
    pairs: tuple[tuple[str, str], ...], code: int, tmp_path: Path
) -> None:
    document = sound()
    for old, new in pairs:
        document = document.replace(old, new)
    path = tmp_path / "repair.toml"
    path.write_text(document, "utf8")
    assert CliRunner().invoke(main, ["plan", str(path)]).exit_code == code
