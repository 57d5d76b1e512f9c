"""Checks of a predicted cure on parts made for them: silent at the limit, raised one step past it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import HALF_INCH, PATCH, Number, case, codes
from panelmend.derive import Ledger, Source
from panelmend.job.cure import checks as cure_checks
from panelmend.job.cure import drying_checks
from panelmend.job.cure.insulation_checks import insulation
from panelmend.job.cure.prediction import DriedCases, Limit, Outlook
from panelmend.physics.steam import LOWEST, sealed_cell_pressure
from panelmend.shapes import circle, rectangle


def predicted(**more: Any) -> Any:
    given: dict[str, Any] = {
        "finished": True,
        "limits": (),
        "hottest": Made(layer="skin", kelvin=400.0),
        "placing": None,
        "worst": 0.0,
        "cured": (),
        "sensors": (sensor(),),
        "outlook": None,
        "likelihood": None,
        "around": (),
        "traces": (),
    }
    return Made(**(given | more))


def sensor(**more: Any) -> Any:
    given = {"id": "TC1", "face": "repair side", "role": "control", "at": (0.0, 0.0)}
    return Made(**(given | {"below_hottest": 0.0, "above_coldest": 0.0} | more))


def operation(**more: Any) -> Any:
    return Made(**({"name": "cure 1", "number": 1, "problem": None} | more))


def said(made: Any, **more: Any) -> list[str]:
    return codes(cure_checks._predicted(case(), operation(**more), made, "cure.1"))


def test_a_sound_prediction_says_nothing() -> None:
    assert said(predicted()) == []
    assert said(predicted(finished=False)) == ["H022"]


@pytest.mark.parametrize(("sensors", "least", "raised"), [(3, 3, False), (2, 3, True), (0, 1, True)])
def test_thermocouples_on_the_repair_side_are_counted(sensors: int, least: int, raised: bool) -> None:
    made = predicted(sensors=(sensor(),) * sensors + (sensor(face="far side"),) * 3)
    problem = Made(least_sensors=least, avoid=())
    assert said(made, problem=problem) == ["H033"] * raised


@pytest.mark.parametrize(("gap", "raised"), [(-1e-4, True), (1e-4, False)])
def test_a_thermocouple_near_metal(gap: float, raised: bool) -> None:
    metal = circle((0.1, 0.0), 0.02)  # its rim at 90 mm
    at = (0.09 - HALF_INCH - gap, 0.0)
    problem = Made(least_sensors=0, avoid=(metal, circle((5.0, 5.0), 0.01)))
    found = said(predicted(sensors=(sensor(at=at),)), problem=problem)
    assert found == ["H135"] * raised
    assert said(predicted(sensors=(sensor(at=at, face="far side"),)), problem=problem) == []


@pytest.mark.parametrize(
    ("hot", "cold", "count"),
    [(5.0, 5.0, 0), (5.6, 5.0, 1), (5.0, 5.6, 1), (5.6, 5.6, 2), (50.0 / 9.0, 0.0, 0)],
)
def test_a_bond_line_that_no_thermocouple_sees(hot: float, cold: float, count: int) -> None:
    shown = sensor(below_hottest=hot, above_coldest=cold)
    far = sensor(below_hottest=9.0, above_coldest=9.0)
    check = sensor(role="check")  # does not count as one that sees
    assert said(predicted(sensors=(far, shown, check))) == ["H025"] * count


@pytest.mark.parametrize(
    ("margin", "behind", "left", "worst", "words"),
    [
        (0.0, 0.0, 0.0, 0.0, ""),
        (0.0, None, 0.0, 0.0, ""),
        (-0.1, 0.0, 0.0, 0.0, "the blanket"),
        (0.0, -0.1, 0.0, 0.0, "the blanket behind"),
        (0.0, 0.0, -0.1, 0.0, "TC1"),
        (-0.1, -0.1, -0.1, 0.0, "the blanket, the blanket behind, TC1"),
        (-0.1, -0.1, -0.1, -0.1, ""),  # it breaks a limit anyway
    ],
)
def test_what_may_lie_off_its_place(
    margin: float, behind: float | None, left: float, worst: float, words: str
) -> None:
    other = None if behind is None else (0.01, 0.0, behind)
    room = Made(margin=margin, behind=other, sensors=(("TC1", left), ("TC2", 1.0)))
    found = cure_checks._predicted(case(), operation(), predicted(placing=room, worst=worst), "cure.1")
    assert [(f.code, f.words) for f in found] == ([("H035", f"cure 1: {words}")] if words else [])


@pytest.mark.parametrize(("least", "raised"), [(0.85, False), (0.8499, True)])
def test_a_degree_of_cure_that_is_worth_a_word(least: float, raised: bool) -> None:
    assert said(predicted(cured=(Made(name="film", least=least),))) == ["H028"] * raised


@pytest.mark.parametrize(
    ("over", "behind", "expected"),
    [
        (400.0, 400.0, []),
        (399.9, 400.0, ["over"]),
        (400.0, 399.9, ["behind"]),
        (None, None, ["over,", "behind,"]),
    ],
)
def test_insulation_good_to_what_lies_under_it(
    over: float | None, behind: float | None, expected: list[str]
) -> None:
    limits = {"over": over, "behind": behind}

    class Catalogue(dict):  # type: ignore[type-arg]
        def bagging(self, ident: str) -> Any:
            limit = limits[ident]
            return Made(limit_temperature=None if limit is None else Made(value=limit))

    own = case(catalogue=Catalogue(over=1, behind=1))
    own.document.choice.heat_for = lambda name: Made(insulation_over="over", insulation_behind="behind")
    traces = (Made(kind="far skin", kelvin=[300.0, 390.0]), Made(kind="far skin", kelvin=[400.0, 300.0]))
    cool = predicted(hottest=Made(layer="skin", kelvin=390.0), around=(("blanket", 400.0),), traces=traces)
    hot = predicted(around=(("blanket", 390.0), ("blanket behind", 400.0)))
    for made in (cool, hot):
        found = insulation(own, operation(), made, "cure.1")
        assert [f.words.split()[2] for f in found] == expected
        assert set(codes(found)) <= ({"H380"} if over is None else {"H036"})
    own.document.choice.heat_for = lambda name: None
    assert insulation(own, operation(), cool, "cure.1") == []


@pytest.mark.parametrize(
    ("near", "kind", "x", "expected"),
    [
        (True, "stringer", 0.0, ["H034"]),
        (True, "doubler", 0.0, []),
        (True, "stringer", 1.0, []),
        (False, "stringer", 0.0, ["H034"]),
    ],
)
def test_structure_under_a_blanket_on_its_own_face(
    near: bool, kind: str, x: float, expected: list[str]
) -> None:
    rib = Made(near=near, kind=kind, id="r", outline=rectangle((x, 0.0), 0.5, 0.05))
    lies = Made(outer=PATCH, id="HB")
    here, there = (lies, None) if near else (None, lies)
    problem = Made(source=here, source_behind=there, ribs=(rib,))
    assert codes(cure_checks._in_the_way(operation(problem=problem), "cure.1")) == expected
    other = Made(source=there, source_behind=here, ribs=(rib,))
    assert cure_checks._in_the_way(operation(problem=other), "cure.1") == [], "it lies on the other face"


def row(code: Limit, margin: float, kind: str = "temperature", sense: str = "below") -> Any:
    return Made(
        holds=False, what="it", place="there", predicted=400.0, limit=390.0, sense=sense, kind=kind,
        code=code, margin=margin,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("broken", "code"),
    [
        (row(Limit.FALL, -1.0, "rate"), "H030"),
        (row(Limit.RISE, -1.0, "rate"), "H027"),
        (row(Limit.MEAN_RISE, -1.0, "rate", "above"), "H031"),
        (row(Limit.MEAN_FALL, -1.0, "rate", "above"), "H031"),
        (row(Limit.SPREAD, -9.0), "H032"),
        (row(Limit.AROUND, -5.0), "H024"),
        (row(Limit.AROUND, -5.01), "H029"),
        (row(Limit.BEHIND, -5.01), "H029"),
        (row(Limit.HOTTEST, -5.0), "H023"),
        (row(Limit.HOTTEST, -5.01), "H022"),
        (row(Limit.HELD, -900.0, "time", "above"), "H023"),
    ],
)
def test_a_limit_that_is_not_held_is_told_by_what_it_is_and_by_how_much(broken: Any, code: str) -> None:
    held = Made(holds=True, code=Limit.PEAK)
    made = predicted(limits=(held, broken), worst=broken.margin)
    found = cure_checks._predicted(case(), operation(), made, "cure.1")
    assert codes(found) == ["H051", code]
    assert found[0].words == "cure 1: one limit broken"
    assert ("at most" in found[1].words) is (broken.sense == "below")
    twice = cure_checks._predicted(case(), operation(), predicted(limits=(broken, broken)), "cure.1")
    assert twice[0].words == "cure 1: 2 limits broken"


@pytest.mark.parametrize(
    ("limit", "layer", "raised"),
    [
        (Limit.HOTTEST, "potting", True),
        (Limit.PEAK, "potting", True),
        (Limit.FALL, "potting", False),
        (Limit.HOTTEST, "skin", False),
    ],
)
def test_a_potting_that_heats_itself(limit: Limit, layer: str, raised: bool) -> None:
    made = predicted(limits=(row(limit, -1.0),), hottest=Made(layer=layer, kelvin=400.0))
    assert ("H300" in said(made)) is raised


@pytest.mark.parametrize(
    ("cases", "share", "blind", "outlook", "expected"),
    [
        (40, 0.9, 1, Outlook.BREAKS, []),
        (40, 0.89, 1, Outlook.BREAKS, ["H026"]),
        (40, 0.5, 2, Outlook.MOSTLY_BREAKS, ["H130", "H134"]),
        (40, 1.0, 1, Outlook.HOLDS, []),
        (40, 1.0, 2, Outlook.HOLDS, ["H134"]),
        (40, 1.0, None, Outlook.HOLDS, []),
    ],
)
def test_what_the_cases_tried_say(
    cases: int, share: float, blind: int | None, outlook: Outlook, expected: list[str]
) -> None:
    tried = Made(
        everything=7,
        cases=cases,
        hangs_on_ranges=False,
        firm=None,
        held_out_worst=None,
        share=share,
        blind=blind,
    )
    tried.wider, tried.measured = None, True
    made = predicted(outlook=outlook, likelihood=tried)
    assert codes(cure_checks._tried(case(), operation(), made, "cure.1")) == expected


@pytest.mark.parametrize(("cases", "few"), [(34, True), (35, False)])
def test_cases_too_few_to_say_anything(cases: int, few: bool) -> None:
    tried = Made(
        everything=7, cases=cases, hangs_on_ranges=False, firm=5, held_out_worst=0.25, share=0.1, blind=None
    )
    made = predicted(outlook=Outlook.MOSTLY_BREAKS, likelihood=tried)
    (found,) = cure_checks._tried(case(), operation(), made, "cure.1")
    assert ("fewer than 35" in found.words) is few
    assert "5 after allowing for the method's worst error" in found.words
    tried.firm = None
    (found,) = cure_checks._tried(case(), operation(), made, "cure.1")
    assert "worst error" not in found.words


def test_one_run_alone_says_so() -> None:
    untried = cure_checks._tried(case(), operation(), predicted(outlook=Outlook.UNTRIED), "cure.1")
    assert codes(untried) == ["H133"]
    assert cure_checks._tried(case(), operation(), predicted(outlook=Outlook.BREAKS), "cure.1") == []


AT, BAY, AIR_PRESSURE = 350.0, 293.15, 101325.0  # [K], [K], [Pa]


def heated(foot: float = AT, top: float = AT, wet: bool = True, bay: float | None = BAY, **more: Any) -> Any:
    """What is told of a drying at 350 K whose core and skin come to ``foot`` and ``top`` [K]."""
    given = {"barometer": AIR_PRESSURE, "strength": 1e6, "made_in": False, "tried": None} | more
    air = Made(air_temperature=bay, barometer=given["barometer"], elevation=None)
    strength = None if given["strength"] is None else Number(given["strength"])
    bond = Made(where="core and skin", made_in=given["made_in"], strength=strength)
    ledger = Ledger()
    for key, kelvin in (("reaches", foot), ("hottest", top)):
        ledger.typed(f"drying.heat.{key}", kelvin, "temperature", source=Source("a test"))
    case = Made(view="mm", document=Made(bay=air), typed_in=lambda path: "a test", stands_at=lambda path: "")
    dried = Made(temperature=AT, wet=wet, bonds=(bond,))
    return list(drying_checks._predicted(case, ledger, dried, given["tried"]))  # type: ignore[arg-type]


def dry_cases(**other: Any) -> DriedCases:
    """Forty cases of a drying at 350 K that come to what is asked."""
    return replace(DriedCases(40, 1, (AT, AT), (AT, AT), 40, 900.0, 0, 0), **other)


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({}, []),
        ({"foot": AT - drying_checks.DRIED_WITHIN}, []),
        ({"foot": AT - drying_checks.DRIED_WITHIN - 0.01}, ["H141"]),
        ({"top": AT + drying_checks.HOTTER, "wet": False}, []),
        ({"top": AT + drying_checks.HOTTER + 0.01, "wet": False}, ["H143"]),
    ],
)
def test_a_core_that_stays_cold_and_a_skin_that_gets_hot(more: dict[str, Any], expected: list[str]) -> None:
    assert codes(heated(**more)) == expected


def test_a_drying_is_told_in_tenths_of_a_degree() -> None:
    (told,) = heated(foot=340.04)
    assert "no warmer than 66.9 C; it must reach 76.9 C" in told.words


@pytest.mark.parametrize(
    ("tried", "expected"),
    [
        (dry_cases(), []),
        (dry_cases(near=39, foot=(AT - 6.0, AT)), ["H141"]),
        (dry_cases(over=1), ["H144"]),
        (dry_cases(skin=(AT, AT + drying_checks.HOTTER)), []),
        (dry_cases(skin=(AT, AT + drying_checks.HOTTER + 0.1)), ["H143"]),
        (dry_cases(cases=0, near=0, over=0), []),
    ],
)
def test_the_cases_of_a_drying_are_told_too(tried: DriedCases, expected: list[str]) -> None:
    found = heated(tried=tried, wet=False)  # a hot wet cell is another finding
    assert codes(found) == expected
    if expected == ["H143"]:
        assert found[0].words == "in the hottest of 40 cases tried 80.0 C; the data calls for 76.9 C"
    if expected == ["H141"]:
        assert "in 1 of 40 cases tried the foot of the core never comes near it" in found[0].words
        assert "70.9 C in the coldest case" in found[0].words
    if expected == ["H144"]:
        assert found[0].words == "in 1 of 40 cases tried"


def test_a_core_that_stays_cold_with_likely_values_is_told_once() -> None:
    cold = heated(foot=AT - 6.0, tried=dry_cases(near=0, foot=(AT - 9.0, AT - 5.5)))
    assert codes(cold) == ["H141"]


CELL = sealed_cell_pressure(AT, BAY, AIR_PRESSURE, saturated=True)  # [Pa] within a closed wet cell

MORE = sealed_cell_pressure(AT + drying_checks.DRYING_DOUBT, BAY, AIR_PRESSURE, saturated=True)

BETWEEN = sum(sealed_cell_pressure(AT, LOWEST, AIR_PRESSURE, saturated=s) for s in (True, False)) / 2


def test_steam_in_the_hottest_case_of_a_drying_and_never_less_than_five_kelvin_more() -> None:
    hot = AT + drying_checks.DRYING_DOUBT + 2.0
    lifts = sealed_cell_pressure(hot, BAY, AIR_PRESSURE, saturated=True)
    for over, raised in ((1 - 1e-6, ["H143", "H605"]), (1 + 1e-9, ["H143"])):
        found = heated(strength=lifts * over, tried=dry_cases(skin=(AT, hot)))
        assert codes(found) == raised
    assert codes(heated(strength=MORE * (1 - 1e-6), tried=dry_cases(skin=(AT, AT + 0.5)))) == ["H605"]


@pytest.mark.parametrize(
    ("more", "raised"),
    [
        ({"strength": MORE * (1 + 1e-9)}, ""),
        ({"strength": MORE * (1 - 1e-6)}, "H605"),
        ({"strength": CELL * (1 + 1e-9)}, "H605"),
        ({"strength": CELL * (1 - 1e-6)}, "H142"),
        ({"strength": CELL * 0.5, "wet": False}, ""),
        ({"strength": CELL * 0.5, "bay": None}, ""),
        ({"strength": CELL * 0.5, "barometer": None}, ""),
        ({"strength": CELL * 0.5, "made_in": True}, ""),
        ({"strength": None}, ""),
        # air colder than freezing keeps no vapour: dry air is counted, and more of it
        ({"strength": BETWEEN, "bay": LOWEST - 0.01}, "H142"),
        ({"strength": BETWEEN, "bay": LOWEST}, "H605"),
    ],
)
def test_steam_at_the_hottest_place_of_a_drying(more: dict[str, Any], raised: str) -> None:
    assert codes(heated(**more)) == [raised] * bool(raised)


@pytest.mark.parametrize(("top", "raised"), [(LOWEST, True), (LOWEST - 0.01, False)])
def test_ice_gives_no_steam(top: float, raised: bool) -> None:
    """At the melting point a closed cell still holds its air, below it nothing is counted."""
    assert codes(heated(foot=AT, top=top, strength=1e3)) == ["H142"] * raised
