"""A member that nobody knows of a field that people type raises where it would choose a size or an order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, get_args

import numpy as np
import pytest

from examples_here import case
from panelmend.derive import Ledger
from panelmend.document.approved import CapData
from panelmend.document.crossed.data import ply_reach
from panelmend.document.given import Given
from panelmend.document.model import Choice
from panelmend.document.panel import Structure
from panelmend.document.recipe import PressureAid
from panelmend.job import pieces
from panelmend.job.bag.layers import PEELED, _peel_plies, wet
from panelmend.job.basis import Basis
from panelmend.job.card import restored
from panelmend.job.card.put_back_checks import _steam
from panelmend.job.cure.core_inputs import splice
from panelmend.job.cure.problem import Leg, Rib
from panelmend.job.cutout.make import _largest
from panelmend.job.drying.make import _found
from panelmend.job.forms import Form
from panelmend.job.kit.mixing import Portion
from panelmend.job.layup import layup, margin_figure
from panelmend.job.plies.cure import _pieces
from panelmend.job.strength.stacks import CONDITIONS, constants, hot_and_wet, sandwich_core_of
from panelmend.job.strength.suction import flatwise
from panelmend.job.survey.readings import pass_readings
from panelmend.predict.learnt import _followed
from panelmend.predict.model import _segment
from panelmend.predict.outer_faces import ATTITUDES, WEBBED, covers_of
from panelmend.shapes import circle


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


def test_a_way_of_holding_edges() -> None:
    strength = case("gear_door").document.data.strength

    def told(edges: str) -> bool:
        return strength.model_copy(update={"edges": edges}).clamped

    assert [told(e) for e in ("clamped", "simply supported")] == [True, False]
    with pytest.raises(AssertionError, match="free"):
        told("free")


def test_what_a_pressure_aid_covers() -> None:
    cure = case("gear_door").document.data.cure[0]

    def told(covers: str) -> bool:
        aid = PressureAid.model_construct(what="sheet", covers=covers)
        return cure.model_copy(update={"pressure_aid": aid}).aid_on_cut_out

    assert [told(c) for c in ("cut-out", "plies")] == [True, False]
    with pytest.raises(AssertionError, match="panel"):
        told("panel")


def test_faces_of_a_cap_with_a_peel_ply() -> None:
    cap = CapData.model_fields["peel_plies"].annotation
    assert set(PEELED) == {x for part in get_args(cap) for x in get_args(part)}
    with pytest.raises(KeyError, match="rim"):
        _peel_plies(ones(case=case("gear_door"), default=lambda _: ones(value="rim")))


def test_a_form_of_adhesive() -> None:
    """Nothing that is mixed or warms itself is left out because nobody knows its form."""

    def mixed(form: str) -> bool:
        return Portion("k", "o", "p", ones(form=form, resin_parts=1.0), ones()).two_part

    def warms(form: str) -> None:
        catalogue = Known(x=ones())
        catalogue.adhesive = lambda _: ones(form=form)  # type: ignore[attr-defined]
        core = ones(action="replace", plug=ones(gap=0.0), adhesive="x")
        laid = ones(core=core, bag=ones(lays=("core",)), case=ones(catalogue=catalogue))
        splice(ones(core=ones()), laid)

    assert [mixed(f) for f in ("paste", "film")] == [True, False]
    ways: tuple[Callable[[str], object], ...] = (mixed, warms)
    for told in ways:
        told("paste")
        with pytest.raises(AssertionError, match="foam"):
            told("foam")


def test_what_was_found_of_water() -> None:
    assert [_found(m) for m in ("found", "none found", "not checked")] == [True, False, False]
    with pytest.raises(AssertionError, match="ice"):
        _found("ice")  # type: ignore[arg-type]


def test_a_time_of_putting_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """No step is left out for it, and its heat is asked of the bonds that are there by then."""
    taken = ones(back=ones(when="next check"), kind="insert")
    monkeypatch.setattr(restored, "lying_in_cutout", lambda *_: [taken])
    with pytest.raises(KeyError, match="next check"):
        restored.restorable(ones(case=None, work=None))
    made = ones(strength=1.0, reached=1.0, made_in=1)
    with pytest.raises(KeyError, match="next check"):
        list(_steam(ones(view="mm"), ones(bonds=[made], heatings=()), "w", taken.back, 350.0, "p"))


def test_a_kind_of_reading() -> None:
    at = np.zeros((1, 2))
    assert pass_readings(ones(kind="tap"), at, np.ones(1))
    with pytest.raises(AssertionError, match="sound"):
        pass_readings(ones(kind="sound", reference=(1.0,)), at, np.ones(1))


def heated_like(**odd: Any) -> Any:
    """A problem over a seal line of 0.4 m by 0.2 m with no ribs, that says this."""
    given = {"air": 295.0, "seal_line": ones(bounds=(0.0, 0.0, 0.4, 0.2)), "film": None, "pressure": 101325.0}
    return ones(**{**given, "insulation_over": 0.0, "insulation_behind": 0.0, "attitude": "upright", **odd})


def faced(attitude: str, *ribs: Any) -> Any:
    on = ones(shares={"panel": np.ones((2, 2))}, layers={}, ribs=[(r, np.ones((2, 2))) for r in ribs])
    return covers_of(heated_like(attitude=attitude), on, {})[0]


def test_an_attitude() -> None:
    found = {a: (c[1].facing, c[2].facing, round(c[1].length, 4)) for a in ATTITUDES for c in [faced(a)]}
    assert set(ATTITUDES) == set(get_args(Choice.model_fields["attitude"].annotation))
    assert found == {
        "repair up": ("up", "down", 0.0667),
        "repair down": ("down", "up", 0.0667),
        "upright": ("side", "side", 0.4),
    }
    with pytest.raises(KeyError, match="tilted"):
        faced("tilted")


def test_a_kind_of_structure_that_draws_heat() -> None:
    def ribbed(kind: str) -> bool:
        line = circle((0.0, 0.0), 0.05)
        rib = Rib("1", kind, False, line, 0.002, 0.05, 120.0, 2.4e6, None, None)
        return len(faced("upright", rib)) > len(faced("upright"))

    assert set(WEBBED) == set(get_args(Structure.model_fields["kind"].annotation))
    assert {k for k in WEBBED if ribbed(k)} == {"rib", "spar"}
    with pytest.raises(KeyError, match="stringer"):
        ribbed("stringer")


def test_what_a_controller_follows() -> None:
    logged = ones(kelvin={"a": np.array([300.0]), "b": np.array([310.0]), "c": np.array([320.0])})

    def told(follow: str) -> float:
        return float(_followed(ones(follow=follow), logged, ("b", "a", "c"))[0])

    assert [told(f) for f in ("average", "leading", "lagging")] == [310.0, 320.0, 300.0]
    with pytest.raises(AssertionError, match="constant"):
        told("constant")
    with pytest.raises(ValueError, match="middle one"):
        told("middle one")


def test_a_leg_of_the_heat() -> None:
    def run(kind: str) -> float:
        return _segment(Leg(350.0, 0.05, 3600.0, 345.0, 355.0, kind), 295.0).dwell

    with pytest.raises(AssertionError, match="vent"):
        run("vent")
    assert run("heat") == 3600.0 != run("cool")


def test_a_condition_of_strength() -> None:
    """Stiffness, and the strength of cores and of what is pulled off, are of the condition asked."""
    made = case("gear_door")
    cloth = made.document.panel.outer_skin.plies[0].cloth
    core = made.document.panel.core.material
    glue = ones(flatwise_strength=ones(value=2.0), flatwise_hot_wet=ones(value=1.0))
    catalogue = ones(adhesive=lambda _: glue)

    def pulled(condition: Any) -> Any:
        return flatwise(ones(condition=condition, case=ones(catalogue=catalogue)), "g")

    def stiff(condition: Any) -> Any:
        return constants(made.catalogue.cloth(cloth), condition)

    def sheared(condition: Any) -> Any:
        return sandwich_core_of(made, core, condition)

    assert [pulled(c) for c in CONDITIONS] == [2.0, 1.0]
    assert [hot_and_wet(c) for c in CONDITIONS] == [False, True]
    ways: tuple[Callable[[str], Any], ...] = (pulled, stiff, sheared)
    for told in ways:
        assert told("room") != told("hot and wet")
        with pytest.raises(AssertionError, match="cold"):
            told("cold")
