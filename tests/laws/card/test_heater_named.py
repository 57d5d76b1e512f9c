"""What heats a cure is named as what it is, and a blanket is only measured where one is used."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from card_plans import door, planned
from examples_here import text
from panelmend.job.cure.prediction import Outlook
from panelmend.plan.plan import Plan
from panelmend.render.bench import bench_data
from panelmend.render.card import card_data
from panelmend.render.cure_rows import OUTLOOKS, SIGNS
from panelmend.render.workings import Workings
from panelmend.screen.page import environment
from panelmend.screen.words import say
from screen_made import Desk, desk

OVEN = ('place = "51-30-04 fig 2, cure B"', 'place = "51-30-04 fig 2, cure B"\nheated_by = "oven"')
_CHOICE = '[[choice.heat]]\ncure = "Repair plies"\nset_point = "79 C"\nrate = "0.55 C/min"\n'


def _plan(kind: str) -> Plan:
    return {
        "blankets": lambda: planned("gear_door"),
        "oven": lambda: door(OVEN, (_CHOICE, "")),
        "room": lambda: planned("room temperature"),
    }[kind]()


@pytest.mark.parametrize(("kind", "named"), [("blankets", ""), ("oven", "oven"), ("room", "not heated")])
def test_the_bench_page_names_the_heater(kind: str, named: str) -> None:
    plan = _plan(kind)
    data = bench_data(plan, Workings(plan.ledger, plan.case.view, plan.findings))
    assert data is not None
    core, plies = (c["blankets"] for c in data["cures"])
    assert " on " in core, "the core is under a blanket in all of them"
    assert plies == named if named else " on " in plies


@pytest.mark.parametrize(("kind", "measured"), [("blankets", True), ("oven", False), ("room", False)])
def test_a_blanket_is_measured_only_where_it_cures_plies(kind: str, measured: bool) -> None:
    plan = _plan(kind)
    assert plan.work is not None
    assert any("heat blanket" in f.what for f in plan.work.plies.fits) is measured


@pytest.mark.parametrize(("kind", "refused"), [("blankets", True), ("oven", False)])
def test_a_cut_out_is_too_large_for_a_blanket_only_where_one_cures_plies(kind: str, refused: bool) -> None:
    small = [(f'"{size} mm"', '"60 mm"') for size in (305, 508, 610)]
    plan = door(*small, *([OVEN, (_CHOICE, "")] if kind == "oven" else []))
    assert plan.work is not None
    said = " ".join(r for c in plan.work.cutout.candidates for r in c.reasons)
    assert ("heat blanket" in said) is refused


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk with the gear door cured by blankets, by a blanket and an oven, and by ovens alone."""
    first = ('place = "51-30-04 fig 2, cure A"', 'place = "51-30-04 fig 2, cure A"\nheated_by = "oven"')
    kinds: dict[str, tuple[tuple[str, str], ...]] = {"blankets": (), "mixed": (OVEN,), "ovens": (OVEN, first)}
    with desk() as made:
        for name, changes in kinds.items():
            of = text("gear_door") if not changes else _unchosen(text("gear_door"))
            for old, new in changes:
                assert of.count(old) == 1
                of = of.replace(old, new)
            folder = made.workshop.repairs_folder / name
            folder.mkdir()
            (folder / "repair.toml").write_text(of, "utf8")
        yield made


def _unchosen(of: str) -> str:
    """A document without what was chosen for its blankets."""
    return re.sub(r"\[\[choice\.heat\]\]\n(?:(?!\[).*\n)*", "", of)


@pytest.mark.parametrize(("name", "never", "asked"), [("blankets", 0, 1), ("mixed", 1, 1), ("ovens", 2, 0)])
def test_no_prediction_is_promised_for_an_oven(at: Desk, name: str, never: int, asked: int) -> None:
    page = at.get(f"/repairs/{name}/heat").body.decode()
    assert page.count(say("heat.never")) == never
    assert page.count(say("heat.oven_lags")) == never
    assert page.count('data-errand="heat"') == asked
    assert page.count('<form class="fields" data-what-if') == asked
    assert page.count(say("heat.not_yet")) == 2 - never


@pytest.mark.parametrize("outlook", list(Outlook))
def test_a_screen_has_the_sign_that_paper_has(outlook: Outlook) -> None:
    """What is not sure bore a cross on the screen and a question mark on paper."""
    assert SIGNS[outlook] == {"✗": "outside", "?": "unsure", "✓": "within"}[OUTLOOKS[outlook][0]]


def test_each_sign_is_drawn_its_own_way() -> None:
    signs = environment().get_template("signs.html").module
    drawn = {kind: str(signs.sign(kind)) for kind in ("within", "outside", "unsure", "not_yet")}  # type: ignore[attr-defined]
    assert len(set(drawn.values())) == 4


def test_a_film_has_one_name_in_the_kit_of_card_and_screen(at: Desk) -> None:
    """The screen said "Parting film" and "perforated film" of what the card calls release film."""
    page = at.get("/repairs/blankets/kit").body.decode()
    rows = card_data(planned("gear_door"))["kit"]
    films = [(r["name"], r["purpose"]) for r in rows if r["name"].startswith("Release film")]
    assert {n for n, _ in films} == {"Release film, perforated", "Release film, non-porous"}
    for name, purpose in films:
        assert purpose.startswith("release film")
        assert name in page
        assert purpose in page
    assert "Parting film" not in page
    assert "perforated film" not in page
