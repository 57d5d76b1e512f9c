"""A later revision against what is done by the earlier one; requests beyond the data and their answers."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from examples_here import case_from, text
from panelmend.app.again import revised
from panelmend.app.request import request_files
from panelmend.document import parse
from panelmend.errors import DocumentError, InputError
from panelmend.job.card.order import Place
from panelmend.plan.again import Again, Fate, again, done_steps
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.again import again_json, again_sheets, again_words
from panelmend.render.request import beyond, questions_asked, request_sheets
from panelmend.shapes import overlap

SOUND = text("gear_door")
# The same opening, but pinned; and one grown round its middle, so that it holds the first.
SMALL = '[choice]\ncutout = { circle = { centre = "484, 386 mm", diameter = "175 mm" } }\n\n'
LARGE = SMALL.replace("175 mm", "190 mm")


def document(choice: str, revision: int = 1, *changed: tuple[str, str]) -> str:
    made = SOUND.replace("[[choice.heat]]", choice + "[[choice.heat]]", 1)
    if revision > 1:
        made = made.replace('number = "TAS-26-0417"', f'number = "TAS-26-0417"\nrevision = {revision}')
    for old, new in changed:
        assert made.count(old) == 1, old
        made = made.replace(old, new)
    return made


@pytest.fixture(scope="module")
def old() -> Plan:
    return make_plan(case_from(document(SMALL)))


@pytest.fixture(scope="module")
def grown() -> Plan:
    return make_plan(case_from(document(LARGE, 2, ("[561, 383], [552, 405]", "[564, 383], [555, 405]"))))


def places(plan: Plan, until: str, operation: int = 0) -> frozenset[Place]:
    """All steps up to one, that one included."""
    steps = [s.place for s in plan.card.steps]
    last = max(i for i, p in enumerate(steps) if p.id == until and p.operation == operation)
    return frozenset(steps[: last + 1])


def fates(made: Again) -> dict[str, Fate]:
    return {m.what: m.fate for m in made.made}


def test_nothing_is_lost_where_nothing_changed(old: Plan) -> None:
    done = places(old, "O22", 1)
    made = again(old, replace(old), done)
    assert {m.fate for m in made.made} == {Fate.STAYS}
    assert [s.step.place for s in made.steps if s.fate is Fate.STAYS] == [
        s.place for s in old.card.steps if s.place in done
    ]
    assert made.next is not None
    assert made.next.place not in done
    assert made.findings == ()


def test_before_anything_is_cut_only_paper_is_done_again(old: Plan, grown: Plan) -> None:
    made = again(old, grown, places(old, "B5"))
    assert made.made == ()
    by = {s.step.id: s.fate for s in made.steps}
    assert by["A3"] is Fate.STAYS
    assert by["B1"] is by["A2"] is by["D1"] is by["B4"] is by["B5"] is Fate.AGAIN
    assert by["B7"] is Fate.NEW


def test_an_opening_grows_and_the_plug_is_cut_anew(old: Plan, grown: Plan) -> None:
    made = again(old, grown, places(old, "D2"))
    assert fates(made) == {"opening in the outside skin": Fate.AGAIN, "core plug": Fate.SCRAP}
    assert "cut on by up to 7.5 mm" in made.made[0].why
    by = {s.step.id: s.fate for s in made.steps}
    assert by["B7"] is by["B14"] is by["C4"] is by["D2"] is Fate.AGAIN
    assert made.findings == ()


def test_an_opening_cannot_shrink_and_what_is_larger_is_trimmed(old: Plan, grown: Plan) -> None:
    """J227: at the same opening silent, a hair smaller it stops."""
    made = again(grown, old, places(grown, "D2"))
    assert fates(made) == {"opening in the outside skin": Fate.MISFIT, "core plug": Fate.SMALLER}
    (found,) = made.findings
    assert found.code == "J227"
    assert "7.5 mm past the new one" in found.words


def test_a_cut_out_that_holds_what_is_cut_is_proposed(old: Plan, grown: Plan) -> None:
    """Typed as proposed, it is a plan that nothing cut reaches past; where none does, none is proposed."""
    assert again(old, grown, places(old, "D2")).holding == ""
    moved = make_plan(
        case_from(document(SMALL.replace("484, 386", "490, 386").replace("175 mm", "176 mm"), 2))
    )
    made = again(old, moved, places(old, "D2"))
    assert [f.code for f in made.findings] == ["J227"]
    typed = f"[choice]\n{made.holding}\n\n"
    held = make_plan(case_from(document(typed, 2)))
    assert again(old, held, places(old, "D2")).findings == ()
    assert again(moved, held, places(moved, "D2")).findings == ()
    assert held.work is not None
    assert float(held.work.cutout.opening.area) < 0.25 * math.pi * 0.183**2
    assert made.holding in again_words(made)
    assert made.holding in str(again_sheets(made).data["blocks"])


def test_what_is_proposed_is_in_the_axes_of_the_drawing() -> None:
    """A panel drawn from the inside, an opening that lies at an angle."""

    def planned(centre: str, revision: int) -> Plan:
        oval = f'centre = "{centre} mm", length = "190 mm", width = "165 mm", angle = "20 deg"'
        choice = f"[choice]\ncutout = {{ oval = {{ {oval} }} }}\n\n"
        return make_plan(
            case_from(document(choice, revision, ('seen_from = "outside"', 'seen_from = "inside"')))
        )

    before, after = planned("484, 386", 1), planned("489, 388", 2)
    line = again(before, after, places(before, "D2")).holding
    typed = parse(document(f"[choice]\n{line}\n\n", 2).encode(), "job.toml").document.choice.cutout
    assert typed is not None
    for plan in (before, after):
        assert plan.work is not None
        cut, held = plan.work.cutout.opening.outline, plan.case.outline(typed)
        assert overlap.farthest_outside(cut, held)[0] <= 1e-6


def test_what_is_cured_comes_out_and_what_is_mixed_is_scrapped(old: Plan, grown: Plan) -> None:
    """J228: only where something is cured."""
    laid = again(old, grown, places(old, "O16", 1))
    assert fates(laid)["Core and cap: what is mixed"] is Fate.SCRAP
    assert fates(laid)["piece CAP-1"] is Fate.SCRAP
    assert "J228" not in {f.code for f in laid.findings}
    cured = again(old, grown, places(old, "O27", 1))
    assert fates(cured)["Core and cap: cured"] is Fate.OUT
    assert {f.code for f in cured.findings} == {"J228"}
    assert not [s for s in cured.steps if s.step.operation == 1 and s.fate is Fate.STAYS]


def test_a_name_with_a_colon_is_a_name_like_any_other() -> None:
    """What becomes of an operation goes by its number in the plan, not by the words it is told in."""
    renamed = [
        ('name = "Core and cap"', 'name = "Day 1: core"'),
        ('cure = "Core and cap"', 'cure = "Day 1: core"'),
    ]
    before = make_plan(case_from(document(SMALL, 1, *renamed)))
    after = make_plan(case_from(document(LARGE, 2, *renamed)))
    made = again(before, after, places(before, "O27", 1))
    assert {f.code for f in made.findings} == {"J228"}
    why = {s.why for s in made.steps if s.step.operation == 1 and s.step.id == "O22"}
    assert why == {"what was bonded in it comes out or does not fit"}


def test_what_was_cured_otherwise_does_not_simply_stay(old: Plan) -> None:
    """J300: another cure cycle or another adhesive than it was made by; silent where they are the same."""
    assert old.work is not None
    done = places(old, "O27", 1)
    first, *rest = old.work.bag.operations

    def against(**work: Any) -> Again:
        return again(old, replace(old, work=replace(old.work, **work)), done)

    assert against().findings == ()
    longer = first.cure.model_copy(update={"segment": first.cure.segment[:-1]})
    cycle = against(bag=replace(old.work.bag, operations=(replace(first, cure=longer), *rest)))
    assert [f.code for f in cycle.findings] == ["J300"]
    assert fates(cycle)["Core and cap: cured"] is Fate.MISFIT
    kit = old.work.kit
    assert any(m.operation == first.name for m in kit.mixes)
    mixes = tuple(replace(m, material="another") if m.operation == first.name else m for m in kit.mixes)
    glue = against(kit=replace(kit, mixes=mixes))
    assert [f.words for f in glue.findings] == ["Core and cap: other resin or adhesive in the new plan"]
    laid = again(
        old, replace(old, work=replace(old.work, kit=replace(kit, mixes=mixes))), places(old, "O18", 1)
    )
    assert fates(laid)["Core and cap: laid, not cured"] is Fate.OUT
    moved = against(
        bag=replace(
            old.work.bag,
            operations=(replace(first, cure=first.cure.model_copy(update={"place": "p. 9"})), *rest),
        )
    )
    assert moved.findings == (), "another place in the manual is no other cure"


def test_a_plug_of_another_core_or_ribbon_is_another_plug(old: Plan) -> None:
    assert old.work is not None
    plug = old.work.core.plug
    assert plug is not None
    for other in (replace(plug, material="core-x"), replace(plug, ribbon=replace(plug.ribbon, value=1.0))):
        new = replace(old, work=replace(old.work, core=replace(old.work.core, plug=other)))
        assert fates(again(old, new, places(old, "D2")))["core plug"] is Fate.SCRAP
    turned = replace(plug, ribbon=replace(plug.ribbon, value=float(plug.ribbon) + math.pi))
    new = replace(old, work=replace(old.work, core=replace(old.work.core, plug=turned)))
    assert fates(again(old, new, places(old, "D2")))["core plug"] is Fate.STAYS


def test_a_step_whose_drawing_alone_changed_is_done_again(old: Plan) -> None:
    """The words are the same; a thermocouple or a vacuum base lies elsewhere on the drawing."""
    assert old.work is not None
    first, *rest = old.work.bag.operations
    x, y = first.fittings[0]
    moved = replace(first, fittings=((x + 0.01, y), *first.fittings[1:]))
    new = replace(old, work=replace(old.work, bag=replace(old.work.bag, operations=(moved, *rest))))
    made = again(old, new, places(old, "O27", 1))
    drawn = [s for s in made.steps if s.step.drawing == "bag" and s.step.operation == 1]
    assert [(s.fate, s.why) for s in drawn] == [(Fate.AGAIN, "its drawing is another one")]


def test_a_far_skin_that_is_cracked_is_another_depth(old: Plan) -> None:
    through = document(
        SMALL,
        2,
        ('depth = "skin and core"\nside', 'depth = "through"\nside'),
        (
            'depths = { value = ["plies", "skin", "skin and core"]',
            'depths = { value = ["skin and core", "through"]',
        ),
        (
            "[data.core]\n",
            "[data.plies.inside]\n"
            + SOUND.partition("[data.plies.outside]\n")[2].partition("[data.core]")[0]
            + "[data.core]\n",
        ),
    )
    new = make_plan(case_from(through))
    made = again(old, new, places(old, "B14"))
    assert fates(made)["opening in the inside skin"] is Fate.NEW
    assert fates(made)["depth"] is Fate.AGAIN


def test_only_a_later_revision_of_the_same_number_is_taken(old: Plan, grown: Plan) -> None:
    assert grown.case.document.repair.number == "TAS-26-0417 rev 2"
    made = revised(old, grown, places(old, "D2"))
    assert made.new.standing is grown.standing
    with pytest.raises(InputError, match=r"not a later revision.*revision = 2"):
        revised(old, old, ())
    with pytest.raises(InputError, match="no such step"):
        again(old, grown, {Place("Z9")})
    other = make_other(old)
    with pytest.raises(InputError, match=r"not two plans of one panel.*another serial"):
        again(old, other, ())


def make_other(plan: Plan) -> Plan:
    panel = plan.case.document.panel.model_copy(update={"serial": "0099"})
    return replace(
        plan, case=replace(plan.case, document=plan.case.document.model_copy(update={"panel": panel}))
    )


def test_what_is_done_is_typed_by_the_numbers_of_the_card(old: Plan) -> None:
    by = {s.number: s.place for s in old.card.steps}
    assert done_steps(old, "1-3, 5 # first day\n7") == {by[n] for n in (1, 2, 3, 5, 7)}
    assert done_steps(old, "") == frozenset()
    for wrong in ("0", "3-1", "two", "1-999", "1.5"):
        with pytest.raises(InputError):
            done_steps(old, wrong)


def test_the_first_page_says_what_differs(old: Plan, grown: Plan) -> None:
    made = again(old, grown, places(old, "D2"))
    words = again_words(made)
    assert "CUT ON     opening in the outside skin" in words
    assert "cutout.length: 175.0 mm -> 190.0 mm" in words
    lines = words.splitlines()
    said = lines.index("By the step numbers of the new card:")
    assert lines[said + 1].startswith("Work goes on at step")
    assert lines[said + 2].startswith(("Stay as done", "No step stays"))
    assert again_sheets(made).data["title"] == "Revision 2: what differs"
    assert again_json(made)["next"] == made.next.number if made.next else None


def test_a_request_asks_once_for_every_limit_that_is_passed(old: Plan) -> None:
    with pytest.raises(InputError, match="exceeds no limit"):
        request_files(old, (), ())
    far = make_plan(
        case_from(document(SMALL, 1, ('repairable = { value = "200 mm"', 'repairable = { value = "149 mm"')))
    )
    assert len(beyond(far)) == 1
    asked = questions_asked(far, ("May it fly to base?",))
    assert asked[0] == (
        "May damage of 150.0 mm in its largest direction be repaired by Repair 7: outer skin and core, wet "
        "lay-up, and up to which limit?"
    )
    assert asked[1] == "May it fly to base?"
    blocks = request_sheets(far, (), ()).data["blocks"]
    limits = next(b for b in blocks if b["kind"] == "rows" and b["heads"][0] == "limit")
    assert [r[3] for r in limits["rows"] if r[0] == "repairable size"] == ["PASSED"]
    files = request_files(far, (), ())
    assert set(files) == {"request.pdf", "request.json", "answer.toml"}
    assert 'of = "data.limits.repairable"' in files["answer.toml"].decode()


def test_an_answer_stands_in_the_place_of_a_value_and_says_so() -> None:
    answer = (
        '\n[[answer]]\nof = "data.limits.repairable"\nvalue = "210 mm"\nreference = "E-7"\nby = "S. Brand"\n'
        "on = 2026-11-24\n"
    )
    given = parse((SOUND + answer).encode(), "job.toml").document
    assert given.data.limits.repairable is not None
    assert given.data.limits.repairable.value == pytest.approx(0.21)
    assert given.data.limits.repairable.place == (
        'engineering\'s answer E-7, S. Brand, 2026-11-24; the data has "200 mm" (52-10-17 table 101)'
    )
    awaited = parse((SOUND + answer.replace("E-7", "")).encode(), "job.toml").document
    assert awaited.data.limits.repairable is not None
    assert awaited.data.limits.repairable.place.startswith("NOT APPROVED: engineering's answer is awaited")
    with pytest.raises(DocumentError, match=r"answer\[1\].on: dated after the day of the work"):
        parse((SOUND + answer.replace("2026-11-24", "2026-11-26")).encode(), "job.toml")


@pytest.mark.parametrize(
    ("of", "said"),
    [
        ("data.cure[1].segment[2].to", "names no value of the data with a place of its own"),
        ("data.repair", "names no value"),
        ("panel.core.thickness", "names no value"),
        ("data.limits.repairble", "names no value"),
        ("data.plies.outside.repair.value", "names no value"),
    ],
)
def test_an_answer_to_what_is_no_value_of_the_data_is_refused(of: str, said: str) -> None:
    with pytest.raises(DocumentError, match=said):
        parse(f'{SOUND}\n[[answer]]\nof = "{of}"\nvalue = "1 mm"\n'.encode(), "job.toml")


def test_a_request_is_written_whole(tmp_path: Path) -> None:
    from panelmend.app.request import request

    file = tmp_path / "job.toml"
    file.write_text(
        document(SMALL, 1, ('repairable = { value = "200 mm"', 'repairable = { value = "149 mm"')), "utf8"
    )
    photo = tmp_path / "a.png"
    photo.write_bytes(b"\x89PNG and so on")
    where = request(file, tmp_path / "out", (photo,))
    assert (where / "photographs" / "a.png").read_bytes() == photo.read_bytes()
    photo.write_bytes(b"GIF89a")
    with pytest.raises(InputError, match="not a photograph"):
        request(file, tmp_path / "two", (photo,))
    assert not (tmp_path / "two").exists()
