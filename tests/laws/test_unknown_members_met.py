"""A member that nobody knows raises where it would choose plies, air, a law, a date or who has to confirm."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, get_args

import pytest

from examples_here import case
from panelmend.derive import Figure, Origin
from panelmend.derive.figure import PRACTICE
from panelmend.document.crossed import whole
from panelmend.job.bag import air_path
from panelmend.job.card import lasting
from panelmend.materials import Adhesive
from panelmend.materials.constants import Kinetics
from panelmend.plan.judge import lost
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.verdict import Outcome
from panelmend.plan.make import make_plan


def ones(**given: Any) -> Any:
    """Something that has these and nothing else."""
    return SimpleNamespace(**given)


def test_a_depth_of_damage() -> None:
    """No skin and no core is left out because nobody knows how deep it is."""
    damage = case("gear_door").document.damage
    depths = get_args(type(damage).model_fields["depth"].annotation)

    def told(depth: str) -> tuple[bool, bool]:
        made = damage.model_copy(update={"depth": depth})
        return made.through, made.cored

    assert {d: told(d) for d in depths} == {
        "surface": (False, False),
        "plies": (False, False),
        "skin": (False, False),
        "skin and core": (False, True),
        "through": (True, True),
    }
    for asked in ("through", "cored"):
        with pytest.raises(AssertionError, match="far skin"):
            getattr(damage.model_copy(update={"depth": "far skin"}), asked)


def test_a_weave() -> None:
    """A mat was laid as a woven cloth, with another amount of resin, and nobody was told."""
    made = case("gear_door")
    name = made.document.data.plies.outside.repair.value[0].cloth  # type: ignore[union-attr]
    cloth = made.catalogue.cloth(name)
    weaves = get_args(type(cloth).model_fields["weave"].annotation)

    def told(weave: str) -> tuple[bool, bool]:
        odd = cloth.model_copy(update={"weave": weave, "has_face": None})
        return odd.woven, odd.faced

    assert {w: told(w) for w in weaves} == {
        "plain": (True, False),
        "satin": (True, True),
        "twill": (True, True),
        "unidirectional": (False, False),
    }
    mat = cloth.model_copy(update={"weave": "mat", "has_face": False})
    for asked in ("woven", "faced"):
        with pytest.raises(KeyError, match="mat"):
            getattr(mat, asked)


def test_an_origin_of_a_figure() -> None:
    """One that nobody knows is no figure that nobody has to confirm."""
    made = Figure("k", 1.0, "", Origin.DEFAULT, PRACTICE)
    assert [o for o in Origin if replace(made, origin=o).is_default] == [Origin.DEFAULT]
    with pytest.raises(AssertionError, match="hearsay"):
        _ = replace(made, origin="hearsay").is_default  # type: ignore[arg-type]


def test_air_through_a_layer() -> None:
    def told(air: str) -> bool:
        return air_path._passes(ones(air=air))

    assert set(air_path.PASSES) == set(get_args(air_path.Air))
    assert {a for a in air_path.PASSES if told(a)} == {"through and along", "through"}
    with pytest.raises(KeyError, match="sideways"):
        told("sideways")


def test_a_law_with_one_time() -> None:
    """Whether a cure is asked about by its reference time, or by a law that nobody knows."""
    resin = ones()
    laws = get_args(Kinetics.model_fields["law"].annotation)
    assert set(whole.OF_ONE_TIME) == set(laws)

    def told(law: str, material: Any = resin) -> bool:
        return whole._by_reference(ones(material=material, kinetics=ones(law=law)))

    assert {x for x in laws if told(x)} == {"reference time"}
    paste = Adhesive.model_construct(form="paste")
    assert [told("reference time", paste.model_copy(update={"form": f})) for f in ("paste", "film")] == [
        True,
        False,
    ]
    for odd in (
        lambda: told("third order"),
        lambda: told("nth order", Adhesive.model_construct(form="foam")),
    ):
        with pytest.raises(KeyError, match=r"third order|foam"):
            odd()


def test_an_outcome_of_a_lost_thermocouple_speaks() -> None:
    """One that nobody knows is told, as what does not conform is."""

    def told(outcome: Any, rule: str = "") -> bool:
        return lost._speaks(ones(outcome=outcome, rule=rule))

    assert [o for o in Outcome if told(o)] == [Outcome.DOES_NOT]
    assert [o for o in Outcome if told(o, RuleName.ENTRY)] == [Outcome.DOES_NOT, Outcome.UNKNOWN]
    assert told("nearly")


def test_an_instrument_that_nobody_knows_is_not_dated_as_another() -> None:
    plan = make_plan(case("gear_door"))
    assert plan.work is not None
    tool = plan.case.document.bay.instrument[0]
    bay = plan.case.document.bay.model_copy(
        update={"instrument": (tool.model_copy(update={"kind": "ruler"}),)}
    )
    strange = replace(plan.case, document=plan.case.document.model_copy(update={"bay": bay}))
    with pytest.raises(AssertionError, match="ruler"):
        list(lasting.check_lasting(strange, plan.work))
