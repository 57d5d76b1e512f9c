"""A member that nobody knows of a field that people type raises where it would choose a size or an order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from examples_here import case
from panelmend.derive import Ledger
from panelmend.document.crossed.data import ply_reach
from panelmend.document.given import Given
from panelmend.job import pieces
from panelmend.job.bag.layers import wet
from panelmend.job.basis import Basis
from panelmend.job.cutout.make import _largest
from panelmend.job.forms import Form
from panelmend.job.layup import layup, margin_figure
from panelmend.job.plies.cure import _pieces


def ones(**given: Any) -> Any:
    """Something that has these and nothing else."""
    return SimpleNamespace(**given)


def door(part: str, **odd: Any) -> Any:
    """The gear door with fields of one part of its data, or of its choice, that say this."""
    made = case("gear_door")
    document = made.document
    if part == "choice":
        new = document.model_copy(update={"choice": document.choice.model_copy(update=odd)})
    else:
        changed = getattr(document.data, part).model_copy(update=odd)
        new = document.model_copy(update={"data": document.data.model_copy(update={part: changed})})
    return replace(made, document=new)


def plies(field: str, value: str) -> Any:
    return door("plies", **{field: Given.model_construct(value=value, place="figure 1")})


def test_a_way_of_giving_margins_halves_none_unasked() -> None:
    def first(way: str) -> float:
        return float(margin_figure(Basis(plies("margins_are", way), Ledger()), "first_margin"))

    def reach(way: str) -> float:
        return ply_reach(plies("margins_are", way).document) or 0.0

    for told in (first, reach):
        assert told("in total") == pytest.approx(0.5 * told("per side")) != 0.0
        with pytest.raises(AssertionError, match="per edge"):
            told("per edge")


def test_an_order_of_laying() -> None:
    def margins(order: str) -> list[float]:
        rows = layup(Basis(plies("order", order), Ledger()), "outside")
        return [float(s.margin) for s in rows if s.role in ("repair", "extra")]

    small = margins("smallest first")
    assert small == sorted(small)
    assert margins("largest first") == small[::-1] != small
    with pytest.raises(AssertionError, match="alternating"):
        margins("alternating")


class Known(dict[str, Any]):
    """A ledger that holds these figures and takes any other."""

    def typed(self, *_: Any, **__: Any) -> None:
        return None


def test_corners_of_plies(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where plies are made, where a cut-out is tried, and where a cure for a misfit is sought."""
    monkeypatch.setattr(pieces, "on_skin", lambda *_: ones())
    monkeypatch.setattr(pieces, "point_on", lambda *_: (0.0, 0.0))
    monkeypatch.setitem(_largest.__globals__, "on_skin", lambda *_: ones())
    form = Form("rectangle", (0.0, 0.0), 0.2, 0.1, 0.0, 0.01)
    hole = ones(opening=ones(form="rectangle", centre=(0.0, 0.0)), side="outside")

    def made(corners: str) -> bool:
        ledger = Known({"cutout.outline": None, "cutout.sharp_outline": None})
        said = plies("corners", corners)
        basis = ones(case=said, ledger=ledger, usual=lambda _, given: given or ones(value=1.0))
        return pieces.hole_of(basis, hole, "outside").sharp is not None

    def tried(corners: str) -> bool:
        used: list[str] = []
        ledger = Known({"x.outline": None})
        ledger.derive = lambda key, formula, **_: used.append(key)  # type: ignore[attr-defined]
        basis = ones(case=plies("corners", corners), ledger=ledger, usual=lambda *_: 1.0)
        _largest(basis, "x", ones(value=form), "outside", 0.02)  # type: ignore[arg-type]
        return "x.sharp_outline" in used

    def cured(corners: str) -> float:
        return _pieces(plies("corners", corners), hole, form, "outside", 0.02)["largest ply"].area

    assert [made(c) for c in ("trimmed", "rounded")] == [True, False]
    assert [tried(c) for c in ("trimmed", "rounded")] == [True, False]
    assert cured("trimmed") != pytest.approx(cured("rounded"), rel=1e-6)
    ways: tuple[Callable[[str], float], ...] = (made, tried, cured)
    for told in ways:
        with pytest.raises(AssertionError, match="mitred"):
            told("mitred")


def test_a_way_of_bringing_resin() -> None:
    def told(method: str) -> bool:
        return wet(Basis(door("choice", resin_method=method), Ledger()))

    assert [told(m) for m in ("wet lay-up", "prepreg")] == [True, False]
    with pytest.raises(AssertionError, match="infusion"):
        told("infusion")
