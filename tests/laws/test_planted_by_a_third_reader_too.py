"""More faults of the third reader that no nearest test noticed: each answer is written by hand."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import pytest

from examples_here import case_from, sound, text
from panelmend.document.crossed import whole, work
from panelmend.document.panel import Hinge
from panelmend.job.card import checks, put_back_checks
from panelmend.job.card.order import Place
from panelmend.job.card.taken import lying_in_cutout
from panelmend.job.survey.cleared import NotCleared, _why
from panelmend.plan.again import made as again_made
from panelmend.plan.again import steps as again_steps
from panelmend.plan.again.part import Fate
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import _distance_between
from panelmend.predict import advice
from panelmend.predict.advice import AdvisedChange
from panelmend.records import events as e
from panelmend.records.rules.named import taken_from
from panelmend.screen import access, pages_card
from panelmend.shapes import rectangle
from panelmend.shelves.mirror import mirrored_panel
from panelmend.shelves.model import OtherHand
from records_made import refused, shop, who


@pytest.fixture(scope="module")
def door() -> Plan:
    return make_plan(case_from(text("gear_door")))


@pytest.mark.parametrize(("along", "found"), [(0.0249, 1), (0.0541, 1), (0.0549, 1), (0.0551, 0)])
def test_an_insert_that_the_cut_of_the_far_skin_alone_meets_is_told(along: float, found: int) -> None:
    """The near opening ends 20 mm from the middle, the far one 50 mm; the insert is 10 mm across."""
    spot = Made(kind="insert", id="I1", at=(along, 0.0), diameter=0.010)
    case = Made(
        document=Made(panel=Made(), data=Made(put_back=())), geometry=Made(spots=[spot], cylinder=None)
    )
    near, far = (rectangle((0.0, 0.0), size, size) for size in (0.040, 0.100))
    made = Made(cutout=Made(side="outside", opening=Made(outline=near), far=far), core=Made(action="none"))
    told = lying_in_cutout(case, made)  # type: ignore[arg-type]
    assert [t.words for t in told] == ["insert I1"] * found
    made.cutout.far = None
    alone = lying_in_cutout(case, made)  # type: ignore[arg-type]
    assert len(alone) == (along < 0.025)


@pytest.mark.parametrize("alike", [True, False])
def test_what_lies_on_a_bond_that_comes_out_comes_out(
    alike: bool, door: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The plug is another one; the plies over it are the same in both plans and lie on it."""
    monkeypatch.setattr(again_made, "same_plug", lambda old, new: alike)
    assert door.work is not None
    first, second = door.work.bag.operations
    assert "core" in first.lays
    assert "core" not in second.lays
    done = frozenset(Place(i, b.number) for b in (first, second) for i in ("O18", "O22"))
    found: list[Any] = []
    rows = again_made.bonded_made(door, door, done, found)
    assert [r.fate for r in rows] == [Fate.STAYS if alike else Fate.OUT] * 2
    assert [f.code for f in found] == ([] if alike else ["J228", "J228"])
    if not alike:
        assert rows[1].why == "what it lies on comes out"


@pytest.mark.parametrize(("apart", "meets"), [(0.099, True), (0.101, False)])
def test_openings_in_two_skins_that_share_core_are_no_two_repairs(apart: float, meets: bool) -> None:
    """Each is 100 mm across. Plies of two skins are never beside each other: no distance is told."""

    def plan(name: str, side: str, x: float) -> Any:
        hole, ply = rectangle((x, 0.0), 0.1, 0.1), rectangle((x, 0.0), 0.2, 0.2)
        data = Made(limits=Made(repair_distance=None))
        return Made(
            work=Made(plies=Made(sides=[Made(side=side, largest=Made(outline=ply), cutout=hole)])),
            case=Made(document=Made(damage=Made(id=name), data=data), geometry=Made(damage=hole)),
        )

    found = _distance_between(plan("A", "outside", 0.0), plan("B", "inside", apart))
    assert found.overlaps is meets
    assert found.holds is (False if meets else None)
    assert found.apart == (0.0 if meets else float("inf"))


@pytest.mark.parametrize(
    ("inspector", "technician", "why"),
    [
        ("M. Verrin", "R. Osk", None),
        ("M. Verrin", "m. verrin", NotCleared.OWN_WORK),
        ("M. Verrin", "", None),
        ("S. Amadi", "R. Osk", NotCleared.NOT_INSPECTOR),
    ],
)
@pytest.mark.parametrize("how", ["second method", "tapped again"])
def test_who_tapped_a_place_does_not_accept_it_as_sound(
    how: str, inspector: str, technician: str, why: NotCleared | None
) -> None:
    """Also where one person is named as technician and as inspector."""
    entry: Any = Made(by="M. Verrin", how=how)
    assert _why(entry, 1, 2, inspector, technician) is why


@pytest.mark.parametrize("side", ["outside", "inside"])
def test_constants_of_what_is_laid_on_either_skin_are_asked(side: str) -> None:
    plies = Made(fill=None, repair=Made(value=(Made(cloth="some-film"),)), extra=None, sanding=None)
    both = {"outside": None, "inside": None, "film_adhesive": None, side: plies}
    data = Made(
        plies=Made(**both),
        core=Made(cap=None, floor_adhesive=None, adhesive=None),
        resin=Made(system=None),
    )
    assert list(whole._named(Made(data=data))) == [("some-film", {"plies"})]  # type: ignore[arg-type]


def test_both_ends_of_a_hinge_line_are_mirrored() -> None:
    panel = case_from(sound()).document.panel
    panel = panel.model_copy(update={"hinge": Hinge.model_construct(start=(0.0, 0.8), end=(1.2, 0.7))})
    made = mirrored_panel(panel, OtherHand(name="right", part_number="Q-2"))
    assert made.hinge is not None
    assert (made.hinge.start, made.hinge.end) == ((0.0, -0.8), (1.2, -0.7))


@pytest.mark.parametrize(("scope", "may"), [(e.Scope.BONDING, True), (e.Scope.INSPECTION, False)])
def test_a_call_asks_for_the_authorisation_of_its_own_role(scope: e.Scope, may: bool) -> None:
    """A technician whose bonding has ended types no readings because something else is in force."""
    made = shop()
    made.book.end_authorisation(who("K1"), "T1", e.Scope.BONDING, "ended")
    made.book.authorise(who("K1"), "T1", scope, "2027-06-30", "paper")
    request: Any = Made(app=Made(state=Made(workshop=Made(book=made.book))))
    assert access.holds(request, "T1", "readings") is may


@pytest.mark.parametrize(("signed", "shown"), [("a plan", True), ("an earlier one", False), (None, False)])
def test_a_step_shows_drawings_of_the_plan_that_was_signed_alone(signed: str | None, shown: bool) -> None:
    plan: Any = Made(digest="a plan")
    job = None if signed is None else (Made(), Made(opened=Made(plan=signed)))
    workshop = Made(open=lambda name: Made(last=Made(plan=plan)), job_of=lambda name: job)
    request: Any = Made(app=Made(state=Made(workshop=workshop)))
    assert pages_card._plan(request, "door") is (plan if shown else None)


@pytest.mark.parametrize(("now", "then", "told"), [(12, 11, 0), (12, 12, 1), (12, 13, 1)])
def test_advice_that_holds_in_fewer_cases_is_not_given(
    now: int, then: int, told: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def tried(worst: float) -> Any:
        return Made(worst=worst, holds=True, duration=3600.0, breaks=lambda before: False)

    change = AdvisedChange("heat up slower", "choice.heat.rate", lambda problem: "changed")  # type: ignore[arg-type,return-value]
    monkeypatch.setattr(advice, "attempt", lambda problem, spots: tried(1.0))
    monkeypatch.setattr(advice, "to_middle", lambda problem, before: None)
    monkeypatch.setattr(advice, "single_changes", lambda problem: [change])
    monkeypatch.setattr(advice, "_try_all", lambda *a: [(change, tried(4.0))])
    monkeypatch.setattr(advice, "held_in", lambda problem, *a: then if problem == "changed" else now)
    found = advice.advise("as planned", ())  # type: ignore[arg-type]
    assert [a.change for a in found] == ["heat up slower"] * told


@pytest.mark.parametrize(
    ("low", "high", "codes"),
    [
        (350.0, 360.0, []),
        (350.0, 360.1, ["H656"]),
        (350.0, None, []),
        (360.1, None, ["H656"]),
        (None, 360.1, ["H656"]),
    ],
)
def test_what_is_put_back_is_held_to_the_panel_by_the_hottest_it_may_cure(
    low: float | None, high: float | None, codes: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The panel may see 360 K."""
    entry = Made(cure_low=low, cure_high=high)
    monkeypatch.setattr(put_back_checks, "heated_back", lambda case, work: [(1, "insert I1", entry)])
    monkeypatch.setattr(put_back_checks, "put_back_key", lambda case, number: "key")
    monkeypatch.setattr(put_back_checks, "by_whom", lambda by: "the engineer")
    monkeypatch.setattr(put_back_checks, "taken_on", lambda document, key: Made(reason="a trial"))
    monkeypatch.setattr(put_back_checks, "_steam", lambda *a: iter(()))
    case = Made(document=Made(panel=Made(limit=360.0, structure=[])), view="mm")
    found = list(put_back_checks.check_put_back(case, Made(drying=None)))  # type: ignore[arg-type]
    assert [f.code for f in found] == ["H657", *codes]


@pytest.mark.parametrize("holds", [(True, True), (False, True), (True, False), (False, False)])
def test_each_of_two_blankets_needs_a_circuit(holds: tuple[bool, bool]) -> None:
    rows = [Made(blanket=n, checked=True, holds=h) for n, h in zip("AB", holds, strict=True)]
    rows.append(Made(blanket="C", checked=False, holds=False))
    heated = Made(name="Cure A", number=1, prediction=None, blankets=rows)
    found = checks._heat(Made(cure=Made(operations=[heated])))  # type: ignore[arg-type]
    lacking = [n for n, h in zip("AB", holds, strict=True) if not h]
    assert [f.code for f in found] == ["J015"] * len(lacking)
    assert all(f"blanket {n} " in f.words for n, f in zip(lacking, found, strict=True))


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
@pytest.mark.parametrize(("late", "kept"), [(600, True), (601, False)])
def test_of_several_draws_the_one_that_was_out_longest_counts(
    order: tuple[int, int], late: int, kept: bool
) -> None:
    """10 h of life; one draw came out at 9 h 50 min, another, from further back, at 1 h."""
    draws = [("A", "2026-11-26T07:00:00.000Z", 35400), ("A", "2026-11-26T07:00:00.000Z", 3600)]
    received = Made(lot="L1", out_life=36000, opened_life=None)
    lot = Made(
        by_job={"A": 2},
        issues=[draws[i] for i in order],
        received=received,
        expires="2026-12-31",
        opened="",
    )
    state: Any = Made(mixed={}, lots={"L1": lot}, day=lambda at: Made(isoformat=lambda: at[:10]))
    at = f"2026-11-26T07:{late // 60:02d}:{late % 60:02d}.000Z"

    def take() -> None:
        taken_from(state, Made(opened=Made(job="A")), "L1", (at,))  # type: ignore[arg-type]

    if kept:
        take()
    else:
        refused("R142", take)


@pytest.mark.parametrize("held", [(350.0, 390.0), (390.0, 350.0)])
def test_vacuum_is_usually_held_until_all_is_colder_than_the_coolest_dwell(
    held: tuple[float, float],
) -> None:
    """10 K below 350 K; a dwell near room temperature, 320 K, is none of them."""
    document = case_from(sound()).document
    cure = next(c for c in document.data.cure if c.release_below is not None)
    dwell = next(s for s in cure.segment if s.kind == "dwell")
    segments = tuple(dwell.model_copy(update={"to": t}) for t in (*held, 320.0))
    cure = cure.model_copy(update={"segment": segments})
    document = document.model_copy(update={"data": document.data.model_copy(update={"cure": (cure,)})})
    rows: list[Any] = [u for u in work._recipes(document) if u.key.endswith("release_below.usual")]
    assert [row.high for row in rows] == [pytest.approx(340.0)]


@pytest.mark.parametrize("ident", ["B4", "B7", "C3", "C4", "C5", "D2"])
@pytest.mark.parametrize("hole", [True, False])
def test_what_was_done_in_an_opening_is_done_again_because_it_changes(
    ident: str, hole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """C5 is the proof that the core is dry."""
    monkeypatch.setattr(again_steps, "_said", lambda plan, step: "the same")
    monkeypatch.setattr(again_steps, "_drawn", lambda plan, step: None)
    step: Any = Made(id=ident, operation=0)
    nothing: Any = None
    why = again_steps._why(nothing, nothing, step, step, hole, out=False)
    assert why == ("" if hole else "the opening changes")
