"""Checks of stages at the last places where a planted fault was not told, on parts made for them: at the
limit itself, with what is missing missing, and of several things the one that is named."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import PATCH, Number, bag, case, codes
from panelmend import shapes
from panelmend.job import curvature
from panelmend.job.bag import checks as bag_checks
from panelmend.job.card import checks as card_checks
from panelmend.job.cure import checks as cure_checks
from panelmend.job.defaults import OFF_METAL
from panelmend.job.kit.part import CAP
from panelmend.job.limits import checks as limits_checks
from panelmend.job.plies import checks as plies_checks
from panelmend.job.plies import curved_checks
from panelmend.plan import checks as plan_checks

FAR = Made(largest=0.08, area=0.005)


@pytest.mark.parametrize(
    ("typed", "surveyed", "far", "expected"),
    [
        (False, False, FAR, ["L530"]),
        (True, False, FAR, []),  # somebody gave it a size
        (False, True, FAR, []),  # the survey says so itself
        (True, True, FAR, []),
        (False, False, None, []),  # not right through
    ],
)
def test_a_far_skin_that_nobody_gave_a_size(
    typed: bool, surveyed: bool, far: Any, expected: list[str]
) -> None:
    asked = case()
    asked.document.damage = Made(far_shape=PATCH if typed else None)
    asked.document.survey = Made() if surveyed else None
    assert codes(limits_checks._far_not_typed(asked, Made(far=far))) == expected  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("shape", "outline", "far", "grows", "expected"),
    [
        (True, True, True, 1.1, ["L495"]),
        (False, True, True, 1.1, []),  # the outline is the near one's, nobody typed another
        (True, False, True, 1.1, []),
        (True, True, False, 1.1, []),
        (True, True, True, 1.0, []),  # flat
    ],
)
def test_a_far_outline_carried_to_the_inner_face(
    monkeypatch: pytest.MonkeyPatch, shape: bool, outline: bool, far: bool, grows: float, expected: list[str]
) -> None:
    asked = case(geometry=Made(far_damage=PATCH if outline else None))
    asked.document.damage = Made(far_shape=PATCH if shape else None)
    monkeypatch.setattr(limits_checks, "outline_on", lambda *_: Made(area=PATCH.area * grows))
    part = Made(far=FAR if far else None)
    assert codes(limits_checks._far_face(asked, part)) == expected  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("overlaps", "distance", "words"),
    [
        (False, 0.05, ""),
        (False, 0.0499, "49.9 mm from it"),
        (True, 0.0, "under the patch"),
        (True, 0.3, "under the patch"),
    ],
)
def test_structure_beside_a_bag(
    monkeypatch: pytest.MonkeyPatch, overlaps: bool, distance: float, words: str
) -> None:
    asked = case(geometry=Made(structure=(Made(kind="hinge", id="h1", outline=PATCH),)))
    monkeypatch.setattr(bag_checks, "seal_paths", lambda *_: ())
    monkeypatch.setattr(bag_checks, "outline_on", lambda *_: PATCH)
    monkeypatch.setattr(bag_checks, "clearance", lambda *_: Made(overlaps=overlaps, distance=distance))
    found = bag_checks._fit(asked, bag(side="outside", patch=PATCH))
    assert codes(found) == (["B008"] if words else [])
    assert all(f.words == f"cure 1: hinge h1, {words}" for f in found)


def test_a_seal_on_the_other_side_is_named_with_its_side(monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [Made(side=s, past=0.012, crossed=("rivet r1",)) for s in ("outside", "inside")]
    monkeypatch.setattr(bag_checks, "seal_paths", lambda *_: paths)
    found = bag_checks._fit(case(geometry=Made(structure=())), bag(side="outside", patch=PATCH))
    assert [(f.code, f.words.partition(":")[0]) for f in found] == [
        ("B003", "cure 1"), ("B004", "cure 1"), ("B003", "cure 1, inside"), ("B004", "cure 1, inside"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("overlaps", "distance", "same", "expected"),
    [
        (False, 0.1, True, []),
        (False, 0.0999, True, ["P105"]),
        (False, 0.0, True, ["P105"]),
        (True, 0.0, True, []),  # under the plies on their own side: told elsewhere
        (True, 0.0, False, ["P105"]),
    ],
)
def test_structure_near_the_largest_ply(
    monkeypatch: pytest.MonkeyPatch, overlaps: bool, distance: float, same: bool, expected: list[str]
) -> None:
    found = _on_the_ground(monkeypatch, Made(overlaps=overlaps, distance=distance), 1.0, same=same)
    assert codes(found) == expected


@pytest.mark.parametrize(("edge", "expected"), [(0.0, ["P108"]), (0.0199, ["P108"]), (0.02, []), (-1e-6, [])])
def test_the_largest_ply_in_the_edge_band(
    monkeypatch: pytest.MonkeyPatch, edge: float, expected: list[str]
) -> None:
    """From the very edge of the panel on; past it is another finding's."""
    found = _on_the_ground(monkeypatch, Made(overlaps=False, distance=1.0), edge)
    assert codes(found) == expected


def _on_the_ground(monkeypatch: pytest.MonkeyPatch, between: Any, edge: float, *, same: bool = True) -> Any:
    rib = Made(kind="rib", id="r1", outline=PATCH)
    typed = Made(side="outside" if same else "inside", metal="aluminium")
    asked = case(geometry=Made(structure=(rib,), solid=(), outline=PATCH, cylinder=None), structure=(typed,))
    asked.document.panel.edge_band, asked.document.panel.curvature = 0.02, None
    monkeypatch.setattr(curvature, "outline_on", lambda *_: PATCH)
    monkeypatch.setattr(shapes, "least_overlap", lambda *_: (edge, None))
    monkeypatch.setattr(plies_checks, "clearance", lambda *_: between)
    side = Made(side="outside", largest=Made(outline=PATCH), plies=())
    return [f for f in plies_checks._on_structure(asked, Made(sides=(side,), bent=())) if f.code != "P106"]  # type: ignore[arg-type]


def test_of_draped_plies_the_one_farthest_off_its_line_is_named() -> None:
    asked = case()
    asked.document.panel.curvature = Made(radius=1.0, second_radius=2.0, bulges="out", second_bulges="out")
    plies = tuple(
        Made(
            id=name,
            strain=Number(0.001),
            mismatch=Number(0.0),
            off=off,
            shear=None,
        )
        for name, off in (("P1", Number(0.0)), ("P2", Number(0.004)), ("P3", None))
    )
    part = Made(strain_most=Number(0.01), shear_most=Number(0.1), bent=plies, sides=())
    (found,) = curved_checks._bent(asked, part)  # type: ignore[arg-type]
    assert "the edge of P2 comes down up to 4.0 mm from its line" in found.words


@pytest.mark.parametrize(
    ("face", "off", "near"),
    [
        ("repair side", -OFF_METAL, False),
        ("repair side", -OFF_METAL * (1.0 - 1e-9), True),
        ("repair side", 0.0, True),
        ("far side", 0.0, False),
    ],
)
def test_a_thermocouple_over_metal(
    monkeypatch: pytest.MonkeyPatch, face: str, off: float, near: bool
) -> None:
    monkeypatch.setattr(cure_checks, "distance_to_point", lambda *_: off)
    monkeypatch.setattr(cure_checks, "_tried", lambda *_: [])
    sensor = Made(id="T1", face=face, at=(0.0, 0.0), role="tile", below_hottest=0.0, above_coldest=0.0)
    made = Made(finished=True, limits=(), placing=None, cured=(), sensors=(sensor,), worst=0.0)
    operation = Made(name="cure 1", problem=Made(least_sensors=0, avoid=(PATCH,)))
    found = cure_checks._predicted(case(), operation, made, "data.cure")  # type: ignore[arg-type]
    assert codes(found) == (["H135"] if near else [])
    bare = Made(name="cure 1", problem=Made(least_sensors=0, avoid=()))
    assert codes(cure_checks._predicted(case(), bare, made, "data.cure")) == []  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("alone", "operation", "purpose", "mixed"),
    [
        (True, "cure 1", CAP, True),
        (False, "cure 1", CAP, False),
        (True, "cure 2", CAP, False),
        (True, "cure 1", "another", False),
    ],
)
def test_a_cap_bonded_alone_has_a_mix_of_its_own(
    monkeypatch: pytest.MonkeyPatch, alone: bool, operation: str, purpose: str, mixed: bool
) -> None:
    monkeypatch.setattr(card_checks, "cap_alone", lambda *_: alone)
    work = Made(
        kit=Made(mixes=(Made(operation=operation, purpose=purpose),)),
        core=Made(cap=()), bag=Made(operations=()),
    )  # fmt: skip
    assert card_checks._cap_mixed(work, bag(lays=("cap",))) is mixed  # type: ignore[arg-type]


SILENT: tuple[str, ...] = (
    "_heat",
    "_pot_lives",
    "check_pressed",
    "beneath",
    "lying_in_cutout",
    "check_put_back",
)
SILENT += ("put_back_in_vain", "_cut", "_unspread", "check_lasting", "check_warm_air")


@pytest.mark.parametrize(
    ("lays", "bonds", "margin", "on", "expected"),
    [
        (("plies", "cap"), False, 0.01, "panel", ["J330"]),
        (("fill", "cap"), False, 0.01, "panel", ["J330"]),
        (("plies",), False, 0.01, "panel", []),  # the cap is laid by another cure
        (("cap",), False, 0.01, "panel", []),
        (("plies", "cap"), True, 0.01, "panel", []),
        (("plies", "cap"), False, 0.0, "panel", []),
        (("plies", "cap"), False, 0.01, "plate", []),
    ],
)
def test_a_cap_past_the_opening_under_plies_of_the_same_cure(
    monkeypatch: pytest.MonkeyPatch,
    lays: tuple[str, ...],
    bonds: bool,
    margin: float,
    on: str,
    expected: list[str],
) -> None:
    for name in SILENT:
        monkeypatch.setattr(card_checks, name, lambda *_: ())
    cap = Made(id="C1", role="cap", side="outside", margin=Number(margin))
    monkeypatch.setattr(card_checks, "laid_in", lambda *_: (cap,))
    monkeypatch.setattr(card_checks, "words_of", lambda *_: "10.0 mm")
    asked = case()
    asked.document.people = Made(technician="A", inspector="B")
    asked.document.bay.instrument = ()
    asked.document.data.finishing = Made(isolate=True)
    own = bag(lays=lays, bonds_cap=bonds, cure={"on_plate": on == "plate"})
    monkeypatch.setattr(card_checks, "_cap_mixed", lambda *_: True)
    work = Made(
        bag=Made(operations=(own,)),
        plies=Made(plies=()),
        core=Made(cap=(cap,), action="none"),
        kit=Made(mixes=()),
    )
    found = card_checks.check(asked, (), Made(), work)  # type: ignore[arg-type]
    assert codes(found) == expected


# what was confirmed


@pytest.mark.parametrize(
    ("said", "code"), [("12.7 mm", "J002"), ("12.8 mm", "X110"), ("", "J002"), (None, "J001")]
)
def test_a_value_that_was_confirmed_is_the_one_that_is_used(
    monkeypatch: pytest.MonkeyPatch, said: str | None, code: str
) -> None:
    usual = Made(key="bag.tape", value=0.0127, kind="length", source="usual")
    monkeypatch.setattr(plan_checks, "words_of", lambda *_: "12.7 mm")
    monkeypatch.setattr(plan_checks, "_of_no_bag", lambda *_: frozenset())
    monkeypatch.setattr(plan_checks, "keys_asked", lambda *_: set())
    monkeypatch.setattr(plan_checks, "heat_asked", lambda *_: {})
    asked = case(shelved=None)
    who = Made(figure="bag.tape", value=said, by="A. Reyes", on="2026-11-25", sheet="", conditions="")
    asked.document.confirm = () if said is None else (who,)
    ledger = Made(defaults=lambda: (usual,))
    assert codes(plan_checks.check_defaults(asked, ledger)) == [code]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("there", "expected"),
    [
        ({"cure.1.cases"}, []),
        ({"cure.1.cases", "cure.1.prediction"}, []),
        ({}, []),  # nothing was predicted yet: the cure stage asks then
        ({"cure.1.prediction"}, ["J003"]),
    ],
)
def test_a_count_of_cases_is_known_until_a_prediction_lacks_it(
    monkeypatch: pytest.MonkeyPatch, there: set[str], expected: list[str]
) -> None:
    monkeypatch.setattr(plan_checks, "_of_no_bag", lambda *_: frozenset())
    monkeypatch.setattr(plan_checks, "keys_asked", lambda *_: set())
    monkeypatch.setattr(plan_checks, "heat_asked", lambda *_: {})
    monkeypatch.setattr(plan_checks, "may_be_accepted", lambda key: key == "cure.1.cases")

    class Ledger(set[str]):
        def defaults(self) -> tuple[Any, ...]:
            return ()

    asked = case(shelved=None)
    asked.document.confirm = (Made(figure="cure.1.cases", by="A. Reyes", sheet=""),)
    assert codes(plan_checks.check_defaults(asked, Ledger(there))) == expected  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "value", "kind", "same"),
    [
        ("0.0127", 0.0127, "length", False),  # of what, nobody said
        ("0.5", 0.5, "ratio", True),
        ("50 %", 0.5, "ratio", True),
        (str(math.pi), math.pi, "", True),
    ],
)
def test_a_bare_number_is_the_value_of_a_ratio_alone(said: str, value: float, kind: str, same: bool) -> None:
    figure = Made(value=value, kind=kind)
    assert plan_checks._is_value(Made(value=said), figure) is same  # type: ignore[arg-type]
