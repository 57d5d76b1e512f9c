"""A member of an enumeration that nobody knows raises: a new form never falls through to an old one."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, get_args

import numpy as np
import pytest

from examples_here import case
from made_cures import predicted_plan
from panelmend.app.changing import changes_moved
from panelmend.app.records import blank_answered
from panelmend.app.watching import source_of
from panelmend.derive import Ledger
from panelmend.document.geometry import shape_outline
from panelmend.document.given import Given
from panelmend.document.recipe import Cure, Segment
from panelmend.document.shape import Circle, Shape
from panelmend.errors import InputError, RangeError, ShapeError
from panelmend.job.bag.part import Frame, LayerUse
from panelmend.job.bag.pile import AIR, Pile
from panelmend.job.basis import Basis
from panelmend.job.card.pressed import pressure_ordered
from panelmend.job.card.thermocouples import JOBS
from panelmend.job.clearances import Neighbour
from panelmend.job.core.part import CorePart
from panelmend.job.cure.bag_inputs import COUNTED
from panelmend.job.cure.checks import GROSS, NO_MATTER, _predicted
from panelmend.job.cure.prediction import Limit, LimitRow, SensorRole, TraceKind
from panelmend.job.cure.recipe import legs
from panelmend.job.forms import Form, smallest
from panelmend.job.kit.lines import NOT_CUT, SAME_STOCK
from panelmend.job.layup import scheme_of
from panelmend.job.operations import operations_of
from panelmend.job.plies import fits
from panelmend.job.strength.limits import lacks
from panelmend.job.survey import cleared
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Kinetics
from panelmend.physics.laminate.failure import Criterion
from panelmend.physics.sandwich import field
from panelmend.physics.sandwich.modes import wrinkling_stress
from panelmend.plan.judge.log import ChannelRole
from panelmend.predict.reading import _beside_the_verdict
from panelmend.records.book.jobs import DECIDED_AS
from panelmend.records.doing.judged import Met, met, verdict_met
from panelmend.records.events.fields import Decision, EntryKind, Judged, Meaning
from panelmend.records.state import jobs
from panelmend.render.cure_report import CHANNEL_KIND
from panelmend.render.views.bag import LAYER_FILL
from panelmend.render.views.heat_traces import PENS
from panelmend.shapes import circle


def test_a_form_of_cut_out() -> None:
    odd = Form("hexagon", (0.0, 0.0), 0.1, 0.1, 0.0, 0.01)  # type: ignore[arg-type]
    with pytest.raises(AssertionError, match="hexagon"):
        _ = odd.outline
    with pytest.raises(AssertionError, match="hexagon"):
        smallest("hexagon", (circle((0.0, 0.0), 0.05),), 0.005, 0.001, 0.0, None)  # type: ignore[arg-type]


def test_a_layer_of_the_bag() -> None:
    """Each says what air does in it and how it is drawn; another raises before anything is laid."""
    uses = set(get_args(LayerUse))
    assert set(AIR) == set(LAYER_FILL) == uses
    assert {*NOT_CUT, *SAME_STOCK, *SAME_STOCK.values(), *NO_MATTER, *COUNTED} <= uses
    made = case("gear_door")
    pile = Pile(Basis(made, Ledger()), "bag.1", Frame((0.0, 0.0), 0.0))
    with pytest.raises(KeyError, match="felt"):
        pile.put("felt", None, None, "", material="felt", drawn=False)  # type: ignore[arg-type]


def test_tables_of_all_members() -> None:
    assert set(JOBS) == set(get_args(SensorRole))
    assert set(PENS) == {"set point", *get_args(TraceKind)}
    assert set(CHANNEL_KIND) == set(ChannelRole)


def test_an_ability_of_the_repair() -> None:
    """What each lacks of a core is said of every one; another raises."""
    with pytest.raises(KeyError, match="buckling"):
        lacks("buckling", SimpleNamespace(core=SimpleNamespace(Ez=1.0, cell=1.0, FL=1.0, FW=1.0, Fc=1.0)))  # type: ignore[arg-type]


TOLD_BY = {  # within GROSS of the limit; a temperature beyond it by another code
    Limit.COLDEST: "H023",
    Limit.HOTTEST: "H023",
    Limit.OTHER_DWELL: "H023",
    Limit.PEAK: "H023",
    Limit.SHOWN: "H023",
    Limit.HELD: "H023",
    Limit.HELD_LONG: "H023",
    Limit.SPREAD: "H032",
    Limit.AROUND: "H024",
    Limit.BEHIND: "H024",
    Limit.INSULATION: "",
    Limit.SPLICE: "H381",
    Limit.RISE: "H027",
    Limit.FALL: "H030",
    Limit.MEAN_RISE: "H031",
    Limit.MEAN_FALL: "H031",
}


def test_a_limit_that_is_broken_is_told_by_its_own_finding() -> None:
    """One beside H051 for each limit, none for insulation, which has its own check; another raises."""
    plan = predicted_plan(case("gear_door"))
    assert plan.work is not None
    operation = next(o for o in plan.work.cure.operations if o.prediction is not None)
    made = operation.prediction
    assert made is not None

    def told(code: Limit, margin: float) -> str:
        row = LimitRow("x", "y", 350.0, 340.0, "temperature", "above", margin, code)
        found = _predicted(plan.case, operation, replace(made, limits=(row,)), "cure.1")
        return ", ".join(f.code for f in found if f.code in {*TOLD_BY.values(), "H022", "H029"})

    assert {c: told(c, -GROSS) for c in Limit} == TOLD_BY
    beyond = {c: told(c, -1.001 * GROSS) for c in Limit}
    assert {c for c in Limit if beyond[c] == "H022"} == {
        Limit.COLDEST,
        Limit.HOTTEST,
        Limit.OTHER_DWELL,
        Limit.PEAK,
        Limit.SHOWN,
    }
    assert {c for c in Limit if beyond[c] == "H029"} == {Limit.AROUND, Limit.BEHIND}
    with pytest.raises(AssertionError, match="humidity"):
        told("humidity", -1.0)  # type: ignore[arg-type]


def test_a_shape() -> None:
    round_one = Shape(circle=Circle.model_construct(centre=(0.0, 0.0), diameter=0.1))
    assert shape_outline(round_one).area > 0.0
    with pytest.raises(ShapeError, match="nobody can draw"):
        shape_outline(Shape.model_construct())


def test_a_law_of_cure() -> None:
    with pytest.raises(AssertionError, match="third order"):
        law_of(Kinetics.model_construct(law="third order"))


def test_a_segment_of_a_recipe() -> None:
    dwell = Segment.model_construct(kind="dwell", to=350.0, least=3600.0)
    odd = Segment.model_construct(kind="soak", to=350.0, least=3600.0)
    made = Cure.model_construct(name="x", segment=(dwell, odd))
    with pytest.raises(AssertionError, match="soak"):
        legs(made, 350.0, None, chosen=False)


NO_CORE = CorePart("none", "outside", None, None, "", "", None, None, (), "")


@pytest.mark.parametrize(("field", "odd"), [("heated_by", "lamp"), ("cured_on", "mould")])
def test_a_way_of_heating_and_a_place_of_curing(field: str, odd: str) -> None:
    document = case("gear_door").document
    assert operations_of(document, NO_CORE)
    strange = document.data.cure[0].model_copy(update={field: odd})
    data = document.data.model_copy(update={"cure": (strange,)})
    with pytest.raises(AssertionError, match=odd):
        operations_of(document.model_copy(update={"data": data}), NO_CORE)


def test_a_cure_on_something_else_is_not_one_on_the_panel() -> None:
    one = case("gear_door").document.data.cure[0]
    assert [one.model_copy(update={"cured_on": on}).on_plate for on in ("plate", "panel")] == [True, False]
    with pytest.raises(AssertionError, match="mould"):
        assert one.model_copy(update={"cured_on": "mould"}).on_plate


def test_a_scheme_of_plies() -> None:
    made = case("gear_door")
    assert scheme_of(Basis(made, Ledger())).value in ("stepped", "scarf", "external")
    plies = made.document.data.plies
    odd = plies.model_copy(update={"scheme": Given.model_construct(value="woven in", place="figure 1")})
    data = made.document.data.model_copy(update={"plies": odd})
    strange = replace(made, document=made.document.model_copy(update={"data": data}))
    with pytest.raises(AssertionError, match="woven in"):
        scheme_of(Basis(strange, Ledger()))


def test_a_formula_for_wrinkling() -> None:
    with pytest.raises(AssertionError, match="by eye"):
        wrinkling_stress("by eye", 70e9, 1e9, 1e8, 1e-3, 0.02)  # type: ignore[arg-type]


@pytest.mark.parametrize("criterion", [Criterion.MAX_STRAIN, Criterion.TSAI_HILL])
def test_a_criterion_that_fields_do_not_know_is_not_another_one(criterion: Criterion) -> None:
    with pytest.raises(InputError, match=criterion.value):
        field._face_reserve(None, np.zeros((1, 3)), np.zeros((1, 3)), criterion)  # type: ignore[arg-type]


def ones(**given: Any) -> Any:
    """Something that has these and nothing else."""
    return SimpleNamespace(**given)


def test_what_a_signature_means(monkeypatch: pytest.MonkeyPatch) -> None:
    """A check moves nothing on; what is no meaning leaves nothing done."""
    attempt = ones(signed=[], did=None, accepted=None, rejected=None, done_at="")
    job = ones(now=lambda step: attempt, workers=set(), accepters=set())
    monkeypatch.setattr(jobs, "job_touched", lambda *_: job)
    entry, state = ones(by="7", number=3, at="today"), ones(tickets=set())

    def signed(meaning: Any) -> tuple[Any, ...]:
        attempt.did = attempt.accepted = attempt.rejected = None
        jobs._signed(state, entry, ones(job="J", step="A/0/0", signature=ones(meaning=meaning, ticket="t")))
        return attempt.did, attempt.accepted, attempt.rejected

    hand = ("7", 3)
    assert [signed(m) for m in (Meaning.DID, Meaning.CHECKED, Meaning.ACCEPTED, Meaning.REJECTED)] == [
        (hand, None, None),
        (None, None, None),
        (None, hand, None),
        (None, None, hand),
    ]
    with pytest.raises(AssertionError, match="seen"):
        signed("seen")


def test_what_an_engineer_decides(monkeypatch: pytest.MonkeyPatch) -> None:
    assert set(DECIDED_AS) == set(Decision)
    assert DECIDED_AS[Decision.STANDS] is Meaning.ACCEPTED
    assert {DECIDED_AS[d] for d in Decision if d is not Decision.STANDS} == {Meaning.REJECTED}
    job = ones(deviations={"D1": ones()}, deciders=set())
    monkeypatch.setattr(jobs, "job_touched", lambda *_: job)
    decided = ones(job="J", deviation="D1", decision="wait", again_from=None, signature=ones(ticket="t"))
    with pytest.raises(AssertionError, match="wait"):
        jobs._decided(ones(tickets=set()), ones(by="7"), decided)


def test_how_a_blank_is_judged_and_filled_in() -> None:
    number = ones(entry=EntryKind.NUMBER, ask="figures", low=None, high=None, what="w", names="")
    assert met(number, ones(value="1")) is Met.WITHIN
    with pytest.raises(AssertionError, match="engineer"):
        met(ones(**{**vars(number), "ask": "engineer"}), ones(value="1"))
    odd = ones(**{**vars(number), "entry": "photograph"})
    with pytest.raises(AssertionError, match="photograph"):
        blank_answered(ones(), odd, 0, "1", "", None, "", "")


def test_what_a_verdict_came_to() -> None:
    def judged(outcome: Any) -> Met:
        return verdict_met(ones(verdict=ones(verdict=ones(outcome=outcome))))

    assert {o: judged(o) for o in Judged} == {
        Judged.CONFORMS: Met.WITHIN,
        Judged.DOES_NOT: Met.OUTSIDE,
        Judged.UNKNOWN: Met.OUTSIDE,
    }
    with pytest.raises(AssertionError, match="nearly"):
        judged("nearly")


def test_what_is_moved() -> None:
    case = ones(geometry_of_surface=lambda: None, document=ones(panel=ones(seen_from="outside")))
    with pytest.raises(AssertionError, match="rib"):
        changes_moved(ones(case=case), "", ones(what="rib"))


def test_a_kind_of_instrument() -> None:
    with pytest.raises(AssertionError, match="serial line"):
        source_of(ones(kind="serial line"), [])


def test_how_a_dull_place_was_cleared() -> None:
    def why(how: str, sound: int) -> Any:
        return cleared._why(ones(by="A. Reyes", how=how), 2, sound, "A. Reyes", "B. Okafor")

    assert why("tapped again", 0) is cleared.NotCleared.NOT_AGAIN
    assert why("tapped again", 2 * cleared.SOUND_FOR_ONE_DULL) is None
    assert why("second method", 0) is None
    with pytest.raises(AssertionError, match="looked at"):
        why("looked at", 0)


def test_what_keeps_clear_of_a_neighbour() -> None:
    near = ones(kind="line", outline=circle((0.0, 0.0), 0.05))
    with pytest.raises(AssertionError, match="line"):
        Neighbour.away(near, circle((1.0, 0.0), 0.05))
    with pytest.raises(AssertionError, match="remark"):
        fits._words(ones(weight="remark", piece="tape"), "")
    with pytest.raises(KeyError, match="pad"):
        fits._words(ones(weight="caution", piece="pad"), "")


def test_what_presses_without_a_bag() -> None:
    def ordered(by: str) -> str:
        pressed = ones(by=by, what="", place="p")
        bag = ones(cure=ones(pressed=pressed, pad=None), pressure_aid=None, pressure=None, weights=None)
        return "".join(map(str, pressure_ordered(ones(), bag)))

    every = ("weights", "clamps", "contact", "nothing")
    assert [w for w in every if "Nothing may lift" in ordered(w)] == ["contact"]
    assert [w for w in every if "weights slide" in ordered(w)] == ["weights"]
    assert [w for w in every if "stiff plate" in ordered(w)] == ["clamps"]
    with pytest.raises(KeyError, match="magnets"):
        ordered("magnets")


def test_what_a_deviation_covers() -> None:
    attempt = ones(filled={}, verdict=None, rejected=("7", 3))
    job = ones(now=lambda step: attempt)
    assert [jobs.entries_covered(job, "A/0/0", x) for x in ("b0", "k4", "v", "r")] == [(0,), (4,), (0,), (3,)]
    with pytest.raises(RangeError, match="x2"):
        jobs.entries_covered(job, "A/0/0", "x2")


def test_a_limit_that_a_verdict_knows_otherwise() -> None:
    known = {c for c in Limit if not _beside_the_verdict(ones(code=c))}
    assert known == {
        Limit.COLDEST, Limit.HOTTEST, Limit.HELD, Limit.PEAK, Limit.SHOWN, Limit.AROUND, Limit.INSULATION,
    }  # fmt: skip
    with pytest.raises(AssertionError, match="humidity"):
        _beside_the_verdict(ones(code="humidity"))
