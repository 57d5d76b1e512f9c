"""Checks of survey, cut-out and drying by hand: how many places one finding names, which outline counts,
what is left out where it is not known, and numbers in the reader's units."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from checks_made import Number, bag, codes
from panelmend.job.bag import heat_checks
from panelmend.job.card import put_back_checks
from panelmend.job.cure import checks as cure_checks
from panelmend.job.cutout import checks as cutout_checks
from panelmend.job.drying import checks as drying_checks
from panelmend.job.strength import checks as strength_checks
from panelmend.job.survey import checks as survey_checks
from panelmend.shapes import Outline, circle

ROOT2 = math.sqrt(2.0)
WIDE = 0.0254  # [m] widest usual spacing of readings


def surveyed(view: str = "mm", **more: Any) -> Any:
    survey = {"smallest": None, "line": "loose", "compact_by": ""} | more.pop("survey", {})
    document = Made(
        survey=Made(**survey),
        damage=Made(depth="skin", shape=None, side="outside"),
        people=Made(engineer="A"),
    )
    geometry = Made(damage=None, far_damage=None, outline=circle((0.0, 0.0), 20.0))
    return Made(view=view, document=document, geometry=geometry, survey=None, far_survey=None)


@pytest.mark.parametrize(
    ("count", "named"), [(1, [1]), (12, [12]), (13, [12, 1]), (24, [12, 12]), (25, [12, 12, 1])]
)
def test_every_place_is_named_and_twelve_in_one_finding(count: int, named: list[int]) -> None:
    own = surveyed()
    at = [(round(0.1 * (k + 1), 1), 0.0) for k in range(count)]
    readings = Made(at=np.array(at), dull=np.full(count, True))
    own.survey = Made(readings=lambda: readings, refused=(), cleared=tuple(at))
    for found in (survey_checks._lost(own, None), survey_checks._cleared(own)):
        assert [f.words.count("0.0 mm)") for f in found] == named
        assert not any("more" in f.words for f in found)
        words = " ".join(f.words for f in found)
        assert all(f"({1000 * x:.1f} mm, 0.0 mm)" in words for x, _ in at)


@pytest.mark.parametrize(
    ("shape", "typed", "held"),
    [("typed", True, True), (None, True, False), ("typed", False, False), (None, False, False)],
)
def test_who_holds_a_damaged_reading(shape: str | None, typed: bool, held: bool) -> None:
    """The outline where one is typed; else the areas of the survey, which lie elsewhere here."""
    own = surveyed()
    own.document.damage.shape = shape
    own.geometry.damage = circle((0.0, 0.0), 0.1) if typed else None
    one = Made(at=np.array([[0.0, 0.0]]), dull=np.array([True]))
    own.survey = Made(readings=lambda: one)
    elsewhere = Made(outers=(circle((1.0, 0.0), 0.1),))
    assert codes(survey_checks._lost(own, elsewhere)) == ([] if held else ["S105"])  # type: ignore[arg-type]
    there = Made(outers=(circle((0.0, 0.0), 0.1),))
    assert survey_checks._lost(own, there) == []  # type: ignore[arg-type]


def lined(spacing: float, sought: float | None = None, view: str = "mm", **more: Any) -> list[Any]:
    part = {"spacing": spacing, "least": 1.0, "runs_off": False, "groups": ((0,),), "outers": ()} | more
    return survey_checks._lines(surveyed(view, survey={"smallest": sought}), Made(**part))  # type: ignore[arg-type]


def test_spacings_at_the_very_limit_are_close_enough() -> None:
    """An inch and a thousandth of it, and a damage as wide as the room between four readings."""
    widest = WIDE * 1.001
    assert lined(widest) == []
    assert codes(lined(math.nextafter(widest, 1.0))) == ["S104"]
    for spacing in (0.007, 0.010, 0.013):
        assert lined(spacing, ROOT2 * spacing) == []
        assert codes(lined(spacing, ROOT2 * spacing * (1.0 - 1e-6))) == ["S104"]


@pytest.mark.parametrize(
    ("view", "usual"), [("mm", "usual are 13 mm to 25 mm"), ("in", "usual are 1/2 in to 1 in")]
)
def test_usual_spacings_are_told_in_the_readers_units(view: str, usual: str) -> None:
    (found,) = lined(0.03, view=view)
    assert usual in found.words


@pytest.mark.parametrize(
    ("over", "raised"), [(-1e-6, False), (math.nextafter(-1e-6, -1.0), True), (1.0, False)]
)
def test_a_thousandth_of_a_millimetre_past_the_outline_is_none(
    over: float, raised: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(survey_checks, "least_overlap", lambda *rest: (over, None))
    own, area = surveyed(), circle((0.0, 0.0), 0.1)
    own.document.damage.shape, own.geometry.damage = "typed", area
    part = Made(spacing=0.01, least=1.0, runs_off=False, groups=((0,),), outers=(area,))
    assert codes(survey_checks._lines(own, part)) == ["S107"] * raised  # type: ignore[arg-type]


@pytest.mark.parametrize(("view", "near"), [("mm", "more than 5 mm from"), ("in", "more than 0.2 in from")])
def test_how_near_a_reading_lies_is_told_in_the_readers_units(view: str, near: str) -> None:
    part = Made(spacing=0.02, gaps=(), outers=(circle((0.0, 0.0), 0.1),), withheld=())
    (found,) = survey_checks._not_covered(surveyed(view), part)  # type: ignore[arg-type]
    assert (found.code, near in found.words) == ("S113", True)


def cut(ledger: dict[str, Outline], **more: Any) -> list[Any]:
    """Findings of a round cut-out 0.2 m across with a margin of 10 mm, unless more is said of it."""
    opening = {"outline": circle((0.0, 0.0), 0.2), "form": "circle", "angle": 0.0, "corner_radius": 0.0}
    given = {"pinned": None, "held": True, "candidates": ()} | more
    opening |= given.get("opening", {})
    data = Made(forms=None, corner_radius=None, held_to_axes=Made(value=given["held"]))
    document = Made(data=Made(cutout=data), choice=Made(cutout=given["pinned"]))
    part = Made(
        opening=Made(**opening),
        margin=0.01,
        candidates=given["candidates"],
        pinned=given["pinned"] is not None,
    )
    figures = {k: Made(value=v) for k, v in ledger.items()}
    return list(cutout_checks.check(Made(view="mm", document=document), figures, part, Made()))  # type: ignore[arg-type]


@pytest.mark.parametrize("far", ["", "far_"])
def test_an_outline_on_the_skin_is_asked_for_instead_of_the_one_it_was_made_from(far: str) -> None:
    """It reaches 90 mm from the middle at most, where the cut-out ends at 100 mm: as it lies on the skin
    where that is known, else as it was drawn; the near one says nothing about the far."""
    drawn, on_skin = f"damage.{far}outline", f"damage.{far}on_skin"
    other = "damage.on_skin" if far else "damage.far_on_skin"
    good, wide = circle((0.0, 0.0), 0.18), circle((0.0, 0.0), 0.19)
    place = f"round damage.{far}shape"
    for ledger, told in (
        ({drawn: good}, 0),
        ({drawn: wide}, 1),
        ({on_skin: wide}, 1),
        ({drawn: wide, on_skin: good}, 0),
        ({drawn: good, on_skin: wide}, 1),
        ({drawn: wide, on_skin: wide}, 1),
        ({drawn: wide, other: good}, 1),
    ):
        found = cut(ledger)
        assert codes(found) == ["C101"] * told, ledger
        assert all(place in f.words and f.words.startswith("5.0 mm short of 10.0 mm") for f in found)


@pytest.mark.parametrize(
    ("angle", "form", "pinned", "held", "raised"),
    [
        (0.0, "oval", "oval", True, False),
        (0.5 * math.pi, "oval", "oval", True, False),
        (2e-9, "oval", "oval", True, True),
        (0.5 * math.pi - 2e-9, "oval", "oval", True, True),
        (0.3, "circle", "circle", True, False),
        (0.3, "oval", None, True, False),
        (0.3, "oval", "oval", False, False),
    ],
)
def test_a_pinned_cut_out_is_held_to_the_axes(
    angle: float, form: str, pinned: str | None, held: bool, raised: bool
) -> None:
    found = cut({}, pinned=pinned, held=held, opening={"angle": angle, "form": form})
    assert codes(found) == ["C105"] * raised


def _form(removed: float, fits: bool) -> Any:
    return Made(opening=Made(form="circle"), sound_removed=removed, fits=fits, reasons=("a rib is near",))


@pytest.mark.parametrize(
    ("candidates", "pinned", "expected"),
    [
        ((), None, []),
        ((_form(1.0, True), _form(2.0, False)), None, []),
        ((_form(1.0, False), _form(2.0, True)), None, ["C106"]),
        ((_form(2.0, True), _form(1.0, False)), None, ["C106"]),
        ((_form(1.0, False), _form(2.0, True)), "circle", []),  # nobody chose it for fitting
        ((_form(1.0, False), _form(2.0, False)), None, ["C104"]),
    ],
)
def test_forms_that_fit_and_remove_more(
    candidates: tuple[Any, ...], pinned: str | None, expected: list[str]
) -> None:
    assert codes(cut({}, candidates=candidates, pinned=pinned)) == expected


def dried(**more: Any) -> Any:
    given: dict[str, Any] = {"moisture": "found", "skins": (), "temperature": None, "over_water": None}
    given |= {"content": None, "drain_holes": None, "wet_area": None, "lacking": lambda *kinds: ()}
    return Made(**(given | more))


def test_a_core_is_dried_at_its_own_temperature() -> None:
    skins = (Made(side="inside", core_time=7200.0), Made(side="outside", core_time=None))
    (found,) = drying_checks._core(Made(view="mm"), dried(skins=skins, temperature=Number(339.15)))  # type: ignore[arg-type]
    assert "at 66 C and in dry air, through the skin on the inside 2 h;" in found.words
    assert "outside" not in found.words


@pytest.mark.parametrize(("holes", "area"), [(None, 0.01), (Made(value=7), None), (None, None)])
def test_holes_to_drain_are_told_for_an_area_that_is_known(holes: Any, area: float | None) -> None:
    (found,) = drying_checks._core(Made(view="mm"), dried(drain_holes=holes, wet_area=area))  # type: ignore[arg-type]
    assert "the wet area is not known" in found.words
    assert "holes of" not in found.words


@pytest.mark.parametrize(
    ("one", "both", "told"),
    [(3600.0, 1800.0, True), (None, 1800.0, False), (3600.0, None, False), (None, None, False)],
)
def test_how_long_a_skin_takes_is_told_where_both_ways_are_known(
    one: float | None, both: float | None, told: bool
) -> None:
    part = Made(duration=3600.0, temperature=Number(339.15), opened=True, gas="bay", content=0.2)
    ways = tuple(
        Made(faces=n, air="bay", outside=0.1, left=left, time=time)
        for n, left, time in ((1, 0.3, one), (2, 0.25, both))
    )
    skin = Made(side="outside", thickness=0.001, ways=ways, core_time=None)
    found = list(drying_checks._skin(Made(view="mm"), part, skin))  # type: ignore[arg-type]
    assert codes(found) == ["D005"]
    assert ("which takes" in found[0].words) is told
    assert ("with both" in found[0].words.partition("is required")[2]) is told


def test_a_material_that_nobody_keeps_is_not_looked_up() -> None:
    """The catalogue refuses what it does not hold; a layer without a material, or with one of another book,
    is passed over and the next one is looked at."""

    class Book(dict[str, Any]):
        def get(self, name: str) -> Any:  # type: ignore[override]
            return self[name]

    own = Made(view="mm", catalogue=Book(film=Made(limit_temperature=Made(value=300.0))))
    layers = tuple(Made(material=m, use="release film") for m in ("", "of another book", "film"))
    assert codes(heat_checks.materials(own, bag(all_layers=layers))) == ["B005"]


def test_what_is_put_back_has_the_number_of_its_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of three entries the first and the last are cured by heat; they lie in the cut-out in another order."""
    rows = [Made(hot=True, of=1), Made(hot=False, of=2), Made(hot=True, of=3)]
    own = Made(document=Made(data=Made(put_back=rows)))
    there = [
        Made(words=w, back=b) for w, b in (("c", rows[2]), ("none", None), ("b", rows[1]), ("a", rows[0]))
    ]
    monkeypatch.setattr(put_back_checks, "lying_in_cutout", lambda *rest: there)
    monkeypatch.setattr(put_back_checks, "heated", lambda back: back.hot)
    assert put_back_checks.heated_back(own, Made()) == [(3, "c", rows[2]), (1, "a", rows[0])]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("reserve", "low"),
    [
        (1.0, False),
        (1.0 - 1e-9, False),
        (math.nextafter(1.0 - 1e-9, 0.0), True),
        (0.999, True),
        (1.001, False),
    ],
)
def test_a_reserve_of_one_is_enough_to_the_last_digits_of_a_ratio(reserve: float, low: bool) -> None:
    assert strength_checks.reserve_too_low(Made(value=reserve)) is low  # type: ignore[arg-type]


@pytest.mark.parametrize(("count", "more"), [(1, ""), (4, ""), (5, "; and 1 more"), (7, "; and 3 more")])
def test_four_of_what_a_prediction_lacks_are_named(
    count: int, more: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("check_circuits", "_in_the_way", "not_predicted", "untold_potting", "unpredicted_heat"):
        monkeypatch.setattr(cure_checks, name, lambda *rest: [])
    lacks = tuple(Made(what=f"value {k}") for k in range(1, count + 1))
    cure = Made(name="cure 1", number=1, blankets=(), missing=lacks)
    part, bags = Made(operations=(cure,)), Made(operations=(bag(lays=()),))
    (found,) = cure_checks.check(Made(view="mm"), {}, part, bags, Made())  # type: ignore[arg-type]
    named = "; ".join(f"value {k}" for k in range(1, min(count, 4) + 1))
    assert (found.code, found.words) == ("H020", f"cure 1: {named}{more}")
