"""Names that a separator or a letter of ours stands in: of cloths, of repairs, of shelf entries."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from examples_here import case, case_from, text
from made_prediction import made_prediction, made_problem
from panelmend.app.shelf_today import naming
from panelmend.document.answer_check import job_number
from panelmend.errors import InputError, OutputError
from panelmend.job.card.cloth import NESTS, nest_names, nests_drawn
from panelmend.job.cure.prediction import Trace
from panelmend.job.cure.problem import HeatProblem, Sheet
from panelmend.job.strength.part import Compared, Maps
from panelmend.plan.again.steps import _drawn
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.predict.sensors import candidates
from panelmend.render.card import _pictures
from panelmend.render.letter import letter_sheets
from panelmend.render.several import base_number
from panelmend.render.views.heat_traces import curves_of
from panelmend.screen.beside import about
from panelmend.screen.workshop import Workshop
from shelf_files import short
from two_damages import job, made_of_two, read

ODD = "8H; demo-glass-plain; 50 %"


@cache
def made_heat() -> Plan:
    """The demonstration, planned."""
    return make_plan(case("gear_door"))


def _called(name: str) -> Plan:
    return make_plan(case_from(text("gear_door").replace("demo-glass-8h", name)))


@pytest.mark.parametrize("name", ["demo-glass-8h", ODD])
def test_a_cloth_of_any_name_has_its_cut_layouts_on_the_card_and_is_compared_with_the_next_revision(
    name: str,
) -> None:
    """One with a semicolon lost them, and the cut pieces of an earlier plan stood whatever the layout."""
    plan = _called(name)
    assert plan.work is not None
    steps = [s for s in plan.card.steps if s.drawing.startswith(NESTS)]
    assert [len(nests_drawn(plan.work, s.drawing)) for s in steps] == [1, 2]
    for s in steps:
        drawn = nests_drawn(plan.work, s.drawing)
        assert nest_names(drawn) == s.drawing
        assert len(_pictures(plan, s)) == sum(len(n.nest.layouts) for n in drawn)
        assert _drawn(plan, s) == [n.nest.layouts for n in drawn]


def test_the_number_of_a_job_keeps_letters_that_are_also_a_damage() -> None:
    """TAS-A26-0417 with damages A and B was printed as TAS26-0417-A."""
    number = 'number = "TAS-26-0417"'
    for typed, said in (("TAS-A26-0417", "TAS-A26-0417"), ("TAS-B-0417", "TAS-B-0417")):
        documents = [r.document for r in read(job().replace(number, f'number = "{typed}"'))]
        for plan, document in zip(made_of_two().plans, documents, strict=True):
            assert document.repair.number == f"{typed}-{document.damage.id}"
            assert base_number(replace(plan, case=replace(plan.case, document=document))) == said
    again = [r.document for r in read(job().replace(number, f"{number}\nrevision = 2"))]
    for plan, document in zip(made_of_two().plans, again, strict=True):
        assert base_number(replace(plan, case=replace(plan.case, document=document))) == "TAS-26-0417 rev 2"
    assert job_number("A-A", "A") == "A"


def test_another_entry_is_named_under_use_and_nowhere_else() -> None:
    """An entry called "outside" that was superseded turned the side of the damage into the new one's name."""
    bay = 'bay = "door cell"'
    typed = short().replace(bay, 'bay = "outside"')
    changed = naming(typed, {"outside": "outside 2", "D.  Aune": "none", "M3-5201-17-1": "left; 2"})
    wanted = typed.replace('bay = "outside"', 'bay = "outside 2"').replace('"M3-5201-17-1"', '"left; 2"')
    assert changed == wanted
    assert 'side = "outside"' in changed
    assert 'by = "D. Aune"' in changed
    assert naming(typed, {"door cell": "x"}) == typed


def test_a_rib_called_as_a_thermocouple_or_as_a_trace_hides_no_other_line() -> None:
    """A cold rib called T1 took the thermocouple of that name off the page, one called "hottest of the bond
    line" the line that matters."""
    plan = made_heat()
    problem = replace(made_problem(plan, plan.work.bag.operations[1]), ribs=())  # type: ignore[union-attr]
    made = made_prediction(problem)
    for name in {t.name for t in made.traces}:
        cold = Trace(name, "structure", (293.0,) * len(made.times))
        traces = curves_of(replace(made, traces=(*made.traces, cold)), problem)
        assert [c.kind for c in traces] == [c.kind for c in curves_of(made, problem)], name


@pytest.mark.parametrize(
    ("place", "field", "said"),
    [
        ("damage.core", "damage.core_depth", False),  # a field whose name only begins so was marked too
        ("bay.air", "bay.air_temperature", False),
        ("damage.core_depth", "damage.core_depth", True),
        ("damage", "damage.core_depth", True),
        ("damage.core_depth", "damage", False),
        ("", "damage", False),
    ],
)
def test_a_finding_marks_its_field_and_those_of_its_table(place: str, field: str, said: bool) -> None:
    assert about(place, field) is said


def test_a_rib_named_as_the_title_of_another_brings_no_other_line() -> None:
    """Cold structure outside the maps was drawn where a rib in them was titled as it is called."""
    plan = made_heat()
    problem = made_problem(plan, plan.work.bag.operations[1])  # type: ignore[union-attr]
    rib = problem.ribs[0]
    x, y = problem.bond.centroid
    rx, ry = rib.outline.centroid
    near = replace(rib, id="7", kind="rib", outline=rib.outline.moved(x - rx, y - ry))
    far = replace(rib, kind="rib", outline=rib.outline.moved(x - rx + 50.0, y - ry))
    made = made_prediction(replace(problem, ribs=()))
    drawn = []
    for name in ("rib 7", "spar 8"):
        cold = Trace(name, "structure", (293.0,) * len(made.times))
        of = replace(problem, ribs=(near, replace(far, id=name)))
        drawn.append([c.kind for c in curves_of(replace(made, traces=(*made.traces, cold)), of)])
    assert drawn[0] == drawn[1]
    assert "structure" not in drawn[0]


def test_a_cloth_called_as_a_layer_of_the_bag_takes_no_place_from_a_thermocouple() -> None:
    """Under a patch of a cloth called "edge breather" no thermocouple was placed."""
    plan = made_heat()
    assert plan.work is not None
    problem = plan.work.cure.operations[-1].problem
    assert problem is not None
    free = candidates(problem)
    assert len(free) > 3

    def with_sheet(layer: str, name: str) -> HeatProblem:
        sheet = Sheet(layer, name, 2e-4, 0.4, 0.3, 2e6, outline=problem.panel)
        return replace(problem, sheets=(*problem.sheets, sheet))

    for layer in ("patch", "blanket", "bond line"):
        assert candidates(with_sheet(layer, "edge breather")) == free
    with pytest.raises(InputError, match="no thermocouple can be placed"):
        candidates(with_sheet("under blanket", "edge breather"))


def test_a_map_of_strength_is_chosen_by_what_it_compares_and_an_unknown_one_is_refused() -> None:
    """Whatever was not known was drawn as the hole left open."""
    x = np.arange(3.0)
    fields = [np.full((2, 2), v) for v in (1.0, 2.0, 3.0)]
    maps = Maps("load", x, x, *fields)
    assert [maps.of(c)[0, 0] for c in Compared] == [1.0, 2.0, 3.0]
    with pytest.raises(AssertionError):
        maps.of("shear")  # type: ignore[arg-type]


def test_a_block_of_no_kind_stops_the_page() -> None:
    """It was left out of it without a word."""
    with pytest.raises(OutputError, match="no block is of the kind warning"):
        letter_sheets(made_heat(), "A page", "said", [{"kind": "warning", "words": "STOP"}], mark="").pdf()


def test_a_folder_called_as_a_damage_of_another_repair_is_asked_about(tmp_path: Path) -> None:
    """The folder X.A stood in the place of damage A of X, which nobody could open."""
    shop = Workshop(tmp_path)
    of_two, alone = (shop.repairs_folder / n / "repair.toml" for n in ("X", "X.A"))
    for path, document in ((of_two, job()), (alone, text("gear_door"))):
        path.parent.mkdir()
        path.write_text(document, "utf8")
    assert shop.names() == ("X.A", "X.B")
    with pytest.raises(InputError, match=r"two repairs have this name.*the folder X.A, and damage A of X"):
        shop.document("X.A")
    assert shop.document("X.B").name == "repair.toml#B"
    assert shop.name_by_now("X") == "X.B"
    alone.parent.rename(shop.repairs_folder / "Y.A")
    assert shop.names() == ("X.A", "X.B", "Y.A")
    assert shop.document("X.A").name == "repair.toml#A"
    assert shop.document("Y.A").parent.name == "Y.A"


@pytest.mark.parametrize("name", ["Türe 7", "none of these", "-x", "x" * 81, "七"])
def test_a_repair_in_a_folder_of_any_name_is_told(tmp_path: Path, name: str) -> None:
    """It was missing in the shop without a word."""
    shop = Workshop(tmp_path)
    (shop.repairs_folder / name).mkdir()
    (shop.repairs_folder / name / "repair.toml").write_text(text("gear_door"), "utf8")
    assert shop.names() == ()
    ((told, repair, fault),) = [(r.name, r.repair, r.faults) for r in shop.listed()]
    assert (told, repair, fault[:29]) == (name, None, "give its folder another name:")
