"""The four stages that shape the repair, on every example."""

from __future__ import annotations

import pytest

from examples_here import case, names
from panelmend.derive import Ledger
from panelmend.errors import Finding
from panelmend.job import core, cutout, limits, plies
from panelmend.shapes import inside, least_overlap


def _run(name: str) -> tuple[Ledger, limits.LimitsPart, cutout.CutoutPart, plies.PliesPart, core.CorePart]:
    ledger, here = Ledger(), case(name)
    sizes = limits.make(here, ledger)
    opening = cutout.make(here, ledger, sizes)
    laid = plies.make(here, ledger, opening)
    return ledger, sizes, opening, laid, core.make(here, ledger, opening, laid)


def _findings(name: str) -> tuple[Finding, ...]:
    ledger, sizes, opening, laid, filled = _run(name)
    here = case(name)
    return (
        *limits.check(here, ledger, sizes),
        *cutout.check(here, ledger, opening, sizes),
        *plies.check(here, ledger, laid, opening),
        *core.check(here, ledger, filled, opening, laid),
    )


@pytest.mark.parametrize("name", names())
def test_every_figure_replays_and_explains(name: str) -> None:
    ledger = _run(name)[0]
    assert ledger.replay() == []
    for figure in ledger:
        assert ledger.explain(figure.key).startswith(figure.key)


@pytest.mark.parametrize("name", names())
def test_the_cutout_covers_and_the_plies_overlap(name: str) -> None:
    here = case(name)
    _, _, opening, laid, filled = _run(name)
    assert here.geometry.damage is not None
    if here.document.damage.side == "outside":
        assert inside(here.geometry.damage, opening.opening.outline, float(opening.margin))
    for side in laid.sides:
        for ply in side.plies:
            assert least_overlap(side.cutout, ply.outline)[0] >= float(ply.margin) - 1e-8, ply.id
        assert sorted(p.number for p in side.plies) == list(range(1, len(side.plies) + 1))
    assert sorted(p.lay_order for p in laid.plies) == list(range(1, len(laid.plies) + 1))
    if filled.plug is not None:
        assert inside(filled.plug.outline, filled.plug.opening, float(filled.plug.gap))


@pytest.mark.parametrize("name", names())
def test_the_same_document_gives_the_same_figures(name: str) -> None:
    first, second = _run(name)[0], _run(name)[0]
    assert list(first) == list(second)


def test_the_gear_door_is_an_oval_of_five_plies() -> None:
    _, sizes, opening, laid, filled = _run("gear_door")
    assert sizes.disposition == "repair"
    assert opening.opening.form == "oval"
    assert [p.id for p in laid.plies] == ["OUT-R1", "OUT-R2", "OUT-R3", "OUT-E1", "OUT-S"]
    assert filled.action == "replace"
    assert [c.id for c in filled.cap] == ["CAP-1"]
    assert not [f for f in _findings("gear_door") if f.severity == "stop"]
