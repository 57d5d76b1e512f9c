"""Checks of survey and drying on parts made for them: at the limit and past it."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from checks_made import Number, codes
from panelmend.job.drying import checks as drying_checks
from panelmend.job.survey import checks as survey_checks
from panelmend.shapes import circle

THICK = 0.080 * 0.0254  # [m] AC 43.13-1B 5-105
TEN_F = 10.0 / 1.8 / 60.0  # [K/s] TM 1-1500-204-23-11 para 6-6


def surveyed(**more: Any) -> Any:
    survey = {"sweep": (), "smallest": None, "line": "loose", "compact_by": ""} | more.pop("survey", {})
    damage = {"depth": "skin", "shape": None, "side": "outside"} | more.pop("damage", {})
    document = Made(survey=Made(**survey), damage=Made(**damage), people=Made(engineer="A. Person"))
    geometry = {
        "damage": None,
        "far_damage": None,
        "outline": circle((0.0, 0.0), 2.0),
        "outer": (),
        "inner": (),
    }
    return Made(view="mm", document=document, geometry=Made(**(geometry | more)))


def lines(spacing: float, least: float, sought: float | None = None, **more: Any) -> list[str]:
    part = {"spacing": spacing, "least": least, "runs_off": False, "groups": ((0,),), "outers": ()} | more
    return codes(survey_checks._lines(surveyed(survey={"smallest": sought}), Made(**part)))


@pytest.mark.parametrize(
    ("spacing", "least", "sought", "raised"),
    [
        (0.010, 0.030, None, False),  # three spacings to a damage
        (0.010, 0.02999, None, True),
        (0.0254 * 1.0009, 1.0, None, False),
        (0.0254 * 1.0011, 1.0, None, True),
        (0.010, 0.030, 0.01415, False),  # the diagonal of a field of 10 mm is 14.14 mm
        (0.010, 0.030, 0.01414, True),
    ],
)
def test_readings_close_enough_for_what_is_looked_for(
    spacing: float, least: float, sought: float | None, raised: bool
) -> None:
    assert lines(spacing, least, sought) == ["S104"] * raised


def test_a_line_that_runs_off_and_areas_that_are_more_than_one() -> None:
    two = (circle((0.0, 0.0), 0.05), circle((0.2, 0.0), 0.05))
    assert lines(0.01, 0.05, runs_off=True) == ["S101"]
    assert lines(0.01, 0.05, outers=two, groups=((0, 1),)) == []
    assert lines(0.01, 0.05, outers=two, groups=((0,), (1,))) == ["S103"]


@pytest.mark.parametrize(("past", "raised"), [(0.0, False), (5e-7, False), (2e-6, True)])
def test_an_area_that_passes_the_outline_typed(past: float, raised: bool) -> None:
    part = Made(
        spacing=0.01, least=0.1, runs_off=False, groups=((0,),), outers=(circle((0, 0), 0.1 + 2 * past),)
    )
    typed = surveyed(damage={"shape": "typed"})
    typed.geometry.damage = circle((0.0, 0.0), 0.1)
    assert codes(survey_checks._lines(typed, part)) == ["S107"] * raised
    typed.document.damage.shape = None
    assert survey_checks._lines(typed, part) == []


@pytest.mark.parametrize("depth", ["skin", "skin and core", "through"])
@pytest.mark.parametrize("side", ["outside", "inside"])
def test_a_damaged_reading_on_either_skin_that_no_area_holds_is_told(depth: str, side: str) -> None:
    """An area on the far skin holds readings only of a damage that goes through; else every one is told."""
    round_zero = circle((0.0, 0.0), 0.1)
    case = surveyed(damage={"depth": depth, "side": side, "shape": "typed"})
    case.geometry.damage = case.geometry.far_damage = round_zero
    other = "inside" if side == "outside" else "outside"
    for x, held in ((0.0499, True), (0.0501, False)):
        one = Made(at=np.array([[x, 0.0], [0.3, 0.3]]), dull=np.array([True, False]))
        case.survey = case.far_survey = Made(readings=lambda one=one: one)
        told = [f.words for f in survey_checks._lost(case, None)]
        far = [w for w in told if w.startswith("on the")]
        assert len(told) - len(far) == (not held)
        assert len(far) == (not held or depth != "through")
        assert all(w.startswith(f"on the {other}: ") for w in far)
    case.survey = case.far_survey = None
    assert survey_checks._lost(case, None) == []


@pytest.mark.parametrize(
    ("outer", "inner", "swept", "depth", "expected"),
    [
        (THICK, 0.0, ("outside",), "skin", []),
        (THICK + 1e-6, 0.0, ("outside",), "skin", ["S109"]),
        (THICK + 1e-6, 0.0, ("inside",), "skin", []),
        (0.0, THICK + 1e-6, ("inside", "outside"), "skin", ["S109"]),
        (0.0, 0.0, ("outside",), "skin and core", ["S110"]),
        (0.0, 0.0, ("outside", "outside"), "through", ["S110"]),
        (0.0, 0.0, ("outside", "inside"), "through", []),
        (0.0, 0.0, (), "through", []),
    ],
)
def test_what_tapping_tells(
    outer: float, inner: float, swept: tuple[str, ...], depth: str, expected: list[str]
) -> None:
    case = surveyed(
        survey={"sweep": tuple(Made(kind="tap", side=s) for s in swept)},
        damage={"depth": depth},
        outer=(Made(thickness=outer / 2), Made(thickness=outer / 2)),
        inner=(Made(thickness=inner),),
    )
    assert codes(survey_checks._method(case)) == expected
    case.document.survey.sweep = tuple(Made(kind="meter", side=s) for s in swept)
    assert survey_checks._method(case) == []


def drying(**more: Any) -> Any:
    given: dict[str, Any] = {
        "temperature": 340.0,
        "moisture": "found",
        "limits": (),
        "wet": True,
        "air_boiling": None,
        "heatings": (),
        "rate": None,
    }
    return Made(**(given | more))


def temperature(warm: float | None = None, **more: Any) -> list[str]:
    case = Made(view="mm", document=Made(bay=Made(air_temperature=warm)))
    return codes(drying_checks._temperature(case, drying(**more)))


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"temperature": None}, ["D010"]),
        ({"temperature": None, "moisture": "not checked"}, ["D010"]),
        ({"temperature": None, "moisture": "none found", "wet": False}, []),
        ({"limits": (("film", 340.0),)}, []),
        ({"limits": (("film", 339.9), ("core", 350.0))}, ["D008"]),
        ({"air_boiling": 340.1}, []),
        ({"air_boiling": 340.0}, ["D009"]),
        ({"air_boiling": 340.0, "wet": False}, []),
        ({"warm": 339.9}, []),
        ({"warm": 340.0}, ["D013"]),
        ({"rate": TEN_F}, []),
        ({"rate": TEN_F * 1.001}, ["D015"]),
    ],
)
def test_the_temperature_of_drying(more: dict[str, Any], expected: list[str]) -> None:
    assert temperature(**more) == expected


def test_a_closed_cell_is_told_of_the_heating_that_dries() -> None:
    case = Made(view="mm", document=Made(bay=Made(air_temperature=None)))
    heatings = (Made(number=1, lift=1e3), Made(number=0, lift=52e3))
    (found,) = drying_checks._temperature(case, drying(air_boiling=330.0, heatings=heatings))
    assert "lifts with 52.0 kPa" in found.words


def heating(bridged: float | None, in_air: float | None = 1.0, **more: Any) -> Any:
    reserve = Made(
        bond="core",
        bridged=None if bridged is None else Number(bridged),
        strength=1e6,
        in_air=in_air,
    )
    given = {
        "name": "cure 1, dwell",
        "number": 1,
        "temperature": 390.0,
        "boiling": None,
        "lift_deepest": 2e5,
        "bagged": True,
    }
    return Made(**(given | {"lift": 1e5, "reserves": (reserve,)} | more))


@pytest.mark.parametrize(
    ("bridged", "wet", "expected"),
    [(None, True, []), (1.0, True, []), (0.999, True, ["D001"]), (0.999, False, ["D002"])],
)
def test_a_bond_that_steam_may_lift(bridged: float | None, wet: bool, expected: list[str]) -> None:
    part = drying(bonds=(Made(id="core", where="core and skin"),), heatings=(heating(bridged),), wet=wet)
    found = list(drying_checks._pressures(Made(view="mm"), part))
    assert codes(found) == expected
    assert not any("lies on the skin" in f.words for f in found)
    for in_air in (None, 1.0):
        part.heatings = (heating(0.5, in_air),)
        assert "lies on the skin" not in next(iter(drying_checks._pressures(Made(view="mm"), part))).words
    part.heatings = (heating(0.5, 0.999),)
    assert (
        "100.0 kPa where it lies on the skin"
        in next(iter(drying_checks._pressures(Made(view="mm"), part))).words
    )


@pytest.mark.parametrize(
    ("boiling", "wet", "number", "raised"),
    [(390.0, True, 1, True), (390.1, True, 1, False), (390.0, False, 1, False), (390.0, True, 0, False)],
)
def test_water_that_boils_under_the_bag(boiling: float, wet: bool, number: int, raised: bool) -> None:
    cooler = heating(None, boiling=360.0, name="cure 2, dwell", temperature=350.0)
    hotter = heating(None, boiling=389.0, name="cure 3, dwell")
    part = drying(bonds=(), heatings=(cooler, heating(None, boiling=boiling, number=number)), wet=wet)
    found = list(drying_checks._pressures(Made(view="mm"), part))
    assert codes(found) == ["D012"] * raised
    if raised:
        part.heatings = (*part.heatings, hotter)
        (both,) = drying_checks._pressures(Made(view="mm"), part)
        assert "cure 1, cure 3 go above it" in both.words
        assert both.words.startswith("at 116 C")


def way(faces: int, air: str = "bay", **more: Any) -> Any:
    return Made(**({"faces": faces, "air": air, "outside": 0.1, "left": 0.3, "time": 3600.0} | more))


def skin(**more: Any) -> Any:
    one = way(1, **more)
    return Made(side="outside", thickness=0.001, ways=(one, way(2, left=0.2)), core_time=None)


@pytest.mark.parametrize(
    ("content", "more", "expected"),
    [
        (0.1, {}, ["D007"]),  # what is in balance with the air is never reached
        (0.1001, {}, ["D005"]),
        (0.3, {}, []),
        (0.2999, {}, ["D005"]),
        (None, {}, ["D006"]),
        (0.2, {"left": None}, []),
    ],
)
def test_how_dry_a_skin_gets(content: float | None, more: dict[str, Any], expected: list[str]) -> None:
    part = drying(content=content, duration=3600.0, opened=True, gas="bay")
    assert codes(drying_checks._skin(Made(view="mm"), part, skin(**more))) == expected
    for missing in ("duration", "temperature"):
        less = Made(**(vars(part) | {missing: None}))
        assert codes(drying_checks._skin(Made(view="mm"), less, skin(**more))) == [
            c for c in expected if c == "D007"
        ]


def test_how_dry_a_skin_gets_from_both_faces_is_told_in_the_same_air() -> None:
    """Ways stand in any order: what both faces leave is that in the bag where one face dries in the bag."""
    ways = (way(2, "bay", left=0.11), way(1, "bay"), way(1, "bag"), way(2, "bag", left=0.22))
    part = drying(content=None, duration=3600.0, opened=True, gas="bag")
    dried = Made(side="outside", thickness=0.001, ways=ways, core_time=None)
    (told,) = drying_checks._skin(Made(view="mm"), part, dried)
    assert "30 % of saturation with one face open, 22 % with both" in told.words
    part.gas, part.opened = "bay", False
    (told,) = drying_checks._skin(Made(view="mm"), part, dried)
    assert "with both" not in told.words
    ways[0].left = None
    assert list(drying_checks._skin(Made(view="mm"), part, dried)) == []


def test_a_skin_dries_under_the_bag_where_one_is_drawn() -> None:
    ways = (way(2, "bay"), way(1, "bay"), way(1, "bag"), way(2, "bag"))
    for gas, found in (("bay", ways[1]), ("bag", ways[2]), ("none", ways[1])):
        assert drying_checks.likely_way(Made(gas=gas), Made(ways=ways)) is found  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("settles", "content", "expected"),
    [(None, 0.5, ["D011"]), (0.5, None, ["D011"]), (0.5, 0.5, ["D011"]), (0.5, 0.499, ["D011", "D016"])],
)
def test_a_wet_core(settles: float | None, content: float | None, expected: list[str]) -> None:
    part = drying(skins=(Made(side="inside", core_time=7200.0),), drain_holes=None, wet_area=None)
    part.over_water, part.content = settles, content
    found = list(drying_checks._core(Made(view="mm"), part))
    assert codes(found) == expected
    assert "the skin on the inside" in found[0].words
    assert "the wet area is not known" in found[0].words
    part.drain_holes, part.wet_area, part.skins = Made(value=7), 0.01, ()
    part.lacking = lambda *kinds: ()
    assert "7 holes" in next(iter(drying_checks._core(Made(view="mm"), part))).words
    part.moisture = "none found"
    assert list(drying_checks._core(Made(view="mm"), part)) == []
