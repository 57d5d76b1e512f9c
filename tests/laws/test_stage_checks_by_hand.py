"""Checks of stages on parts made for them, each answer written by hand: at the limit itself and one step past
it, with what is missing missing, and of several things the one that is named."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import pytest

from checks_made import PATCH, Number, bag, case, codes
from panelmend.derive.figure import Figure
from panelmend.job.bag import air_checks, heat_checks
from panelmend.job.card import checks as card_checks
from panelmend.job.card import pressed_checks, put_back_checks
from panelmend.job.cure import circuit_checks, drying_checks, insulation_checks, own_heat_checks, wet_checks
from panelmend.job.nest import checks as nest_checks
from panelmend.physics.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure
from panelmend.plan import checks as plan_checks

UP = 1.0 + 1e-6


@pytest.mark.parametrize(
    ("share", "expected"),
    [(0.0, []), (1.0, []), (-1e-9, ["B014"]), (1.0 + 1e-9, ["B014"])],
)
def test_the_very_ends_of_what_weather_gives(share: float, expected: list[str]) -> None:
    """The lowest and the highest pressure of the weather, carried to the bay's height, are weather still."""
    height = 1200.0
    low, high = (standard_pressure(height) * p / SEA_LEVEL_PRESSURE for p in air_checks.PRESSURE_OF_WEATHER)
    at = low if share == 0.0 else high if share == 1.0 else low + share * (high - low)
    assert codes(air_checks.altitude(case(bay={"barometer": at, "elevation": height}))) == expected


@pytest.mark.parametrize(("at", "reduced"), [(0, True), (1, True), (2, False)])
def test_a_barometer_reduced_to_sea_level_is_told_as_one(at: int, reduced: bool) -> None:
    """Up to the highest and from the lowest pressure that weather gives at sea level on."""
    lowest, highest = air_checks.PRESSURE_OF_WEATHER
    reading = (lowest, highest, highest * UP)[at]
    (found,) = air_checks.altitude(case(bay={"barometer": reading, "elevation": 4000.0}))
    assert ("reduced to sea level" in found.words) is reduced
    assert ("check the units" in found.words) is not reduced


def test_a_blanket_that_is_too_small_is_named_where_it_was_chosen() -> None:
    """At its own row of the choices, not at the row of another cure or of one that chooses no blanket."""
    own = Made(id="HB", length=0.1, width=0.1, border=0.0, limit=None)
    rows = (
        Made(cure="cure 2", blanket="HB"),
        Made(cure="cure 1", blanket=""),
        Made(cure="cure 1", blanket="HB"),
    )
    asked = case(bay={"blanket": (own,)})
    asked.document.choice.heat = rows
    (found,) = heat_checks.blanket_findings(asked, {}, bag())  # type: ignore[arg-type]
    assert (found.code, found.place) == ("B009", "choice.heat[3].blanket")
    asked.document.choice.heat = rows[:2]
    (found,) = heat_checks.blanket_findings(asked, {}, bag())  # type: ignore[arg-type]
    assert found.place == "choice.blanket"


@pytest.mark.parametrize(
    ("material", "limit", "expected"),
    [
        ("film", 399.9, ["B005"]),  # the dwell's band ends at 400
        ("film", 400.0, []),
        ("film", None, []),
        ("not in the book", 300.0, []),
        ("", 300.0, []),
    ],
)
def test_a_bagging_material_against_the_hottest_of_the_cycle(
    material: str, limit: float | None, expected: list[str]
) -> None:
    rated = Made(limit_temperature=None if limit is None else Made(value=limit))
    asked = case()
    asked.catalogue = {"film": rated}
    layers = (Made(material=material, use="release film"),)
    assert codes(heat_checks.materials(asked, bag(all_layers=layers))) == expected


def _pressed(strength: float | None, factor: float | None, by: str, *, on_panel: bool = True) -> Any:
    core = Made(
        crush_strength=None if strength is None else Made(value=strength),
        hot_wet_factor=None if factor is None else Made(value=factor),
    )
    asked = case()
    asked.document.panel.core = Made(material="core")
    asked.catalogue = Made(core=lambda name: core)
    return asked, bag(on_panel=on_panel, cure={"heated_by": by})


@pytest.mark.parametrize(
    ("strength", "factor", "by", "on_panel", "least", "expected"),
    [
        (2e5, None, "oven", True, 2e5, []),
        (2e5, None, "oven", True, 2e5 * UP, ["J599"]),
        (2e5, 0.5, "oven", True, 1e5, []),
        (2e5, 0.5, "oven", True, 1e5 * UP, ["J599"]),
        (2e5, 0.5, "room temperature", True, 1e5 * UP, []),  # hot and wet counts where it is heated
        (2e5, 0.5, "room temperature", True, 2e5 * UP, ["J599"]),
        (None, 0.5, "oven", True, 1e9, []),
        (2e5, 0.5, "oven", False, 1e9, []),  # a plate has no core
    ],
)
def test_what_presses_against_what_the_core_holds(
    strength: float | None, factor: float | None, by: str, on_panel: bool, least: float, expected: list[str]
) -> None:
    asked, own = _pressed(strength, factor, by, on_panel=on_panel)
    found = list(pressed_checks._crushed(asked, own, least, "place"))
    assert codes(found) == expected
    assert all((", hot and wet" in f.words) is (factor is not None and by == "oven") for f in found)


@pytest.mark.parametrize(
    ("strength", "reached", "heatings", "bridged", "wet", "expected"),
    [
        (None, 400.0, (1,), 300.0, True, ["H608"]),
        (1e5, None, (), None, True, ["H608"]),
        (1e5, None, (1,), None, True, []),  # nothing lifts it in what is reckoned
        (1e5, 400.0, (), 350.0, True, []),
        (1e5, 400.0, (), 349.9, True, ["H606"]),
        (1e5, 400.0, (), 349.9, False, ["H607"]),
        (1e5, 400.0, (1,), None, True, []),
    ],
)
def test_steam_under_what_is_put_back_and_heated(
    strength: float | None,
    reached: float | None,
    heatings: tuple[int, ...],
    bridged: float | None,
    wet: bool,
    expected: list[str],
) -> None:
    bonds = (
        Made(made_in=0, strength=strength, reached=reached, reached_bridged=bridged, where="the skin"),
        Made(made_in=1, strength=None, reached=None, reached_bridged=None, where="the cap"),
    )
    part = Made(bonds=bonds, heatings=heatings, wet=wet)
    before, after = Made(when="before bonding"), Made(when="after the last cure")
    told = list(put_back_checks._steam(case(), part, "sealant", before, 350.0, "put_back.1"))  # type: ignore[arg-type]
    assert codes(told) == expected
    then = list(put_back_checks._steam(case(), part, "sealant", after, 350.0, "put_back.1"))  # type: ignore[arg-type]
    assert codes(then) == [*expected, "H608"], "a bond of the last cure is there by then"


@pytest.mark.parametrize(
    ("adhesive", "floor", "mixed", "action", "expected"),
    [
        ("paste", "", ("paste",), "replace", []),
        ("paste", "", (), "replace", ["data.core.adhesive"]),
        ("paste", "film", ("paste",), "replace", ["data.core.floor_adhesive"]),
        ("paste", "paste", (), "replace", ["data.core.adhesive"]),
        ("paste", "", (), "none", []),
    ],
)
def test_an_adhesive_of_the_plug_that_no_step_spreads(
    adhesive: str, floor: str, mixed: tuple[str, ...], action: str, expected: list[str]
) -> None:
    own = case()
    own.catalogue = Made(adhesive=lambda n: Made(name=n))
    mixes = [Made(material=m, operation="cure 1") for m in mixed] + [
        Made(material=adhesive, operation="other")
    ]
    for lays in (("core",), ("potting", "plies")):
        work = Made(
            core=Made(action=action, adhesive=adhesive, floor_adhesive=floor),
            bag=Made(operations=(Made(name="first", lays=("plies",)), Made(name="cure 1", lays=lays))),
            kit=Made(mixes=mixes),
        )
        found = card_checks._unspread(own, work)  # type: ignore[arg-type]
        assert (codes(found), [f.place for f in found]) == (["J595"] * len(expected), expected)
    work.bag.operations = (Made(name="first", lays=("plies",)),)
    assert card_checks._unspread(own, work) == []  # type: ignore[arg-type]


@pytest.mark.parametrize(("current", "allowed", "told"), [(13.0, 12.0, 1), (None, 12.0, 0), (13.0, None, 0)])
def test_a_blanket_that_no_circuit_carries(current: float | None, allowed: float | None, told: int) -> None:
    held = Made(checked=True, holds=True, blanket="HB-1", circuit="K1", current=8.0, allowed=12.0)
    one = Made(checked=True, holds=False, blanket="HB-2", circuit="K2", current=current, allowed=allowed)
    found = circuit_checks._carried(case(), "cure 1", "cure.1", (held, one))
    assert codes(found) == ["H003"] * told
    assert all("K1 already carries HB-1" in f.words for f in found)
    assert circuit_checks._carried(case(), "cure 1", "cure.1", (held, held)) == []


def test_behind_is_asked_of_a_second_blanket_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(circuit_checks, "_voltage", lambda *rest: [])
    monkeypatch.setattr(circuit_checks, "_carried", lambda *rest: [])
    monkeypatch.setattr(circuit_checks, "_behind", lambda *rest: ["behind"])
    assert [circuit_checks.check_circuits(case(), bag(), (Made(),) * n) for n in range(3)] == [  # type: ignore[arg-type]
        [],
        [],
        ["behind"],
    ]


@pytest.mark.parametrize(("limit", "code"), [(None, ["H380"]), (400.0, []), (399.9, ["H036"])])
def test_insulation_against_its_own_limit(limit: float | None, code: list[str]) -> None:
    """Over the bag as hot as the blanket or the panel; behind as the far skin or the blanket there."""
    rated = Made(limit_temperature=None if limit is None else Made(value=limit))

    class Book(dict[str, Any]):
        def bagging(self, ident: str) -> Any:
            return self[ident]

    def found(over: str, behind: str, **made: Any) -> list[Any]:
        own = case(chosen=Made(insulation_over=over, insulation_behind=behind))
        own.catalogue = Book(felt=rated)
        given = {"around": (), "hottest": Made(kelvin=300.0), "traces": ()} | made
        return insulation_checks.insulation(own, Made(name="cure 1"), Made(**given), "cure.1")  # type: ignore[arg-type]

    far = (Made(kind="far skin", kelvin=(300.0, 400.0)), Made(kind="part", kelvin=(900.0,)))
    assert codes(found("felt", "", around=(("blanket", 400.0),))) == code
    assert codes(found("felt", "", hottest=Made(kelvin=400.0))) == code
    assert codes(found("", "felt", traces=far)) == code
    assert codes(found("", "felt", around=(("blanket behind", 400.0),))) == code
    assert found("", "", around=(("blanket", 900.0),)) == []
    assert found("not in the book", "", around=(("blanket", 900.0),)) == []


def _row(predicted: float, margin: float, kind: str = "temperature", sense: str = "below") -> Any:
    return Made(
        predicted=predicted, margin=margin, holds=margin >= 0.0, kind=kind, sense=sense, limit=350.0,
        what="hottest", place="bond line",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "value", "words"),
    [("temperature", 350.04, "76.9 C"), ("rate", 1 / 60, "1.0 C/min"), ("time", 1200.0, "20 min")],
)
def test_a_value_of_a_limit_is_told_as_what_it_is(kind: str, value: float, words: str) -> None:
    assert wet_checks.limit_value(_row(0.0, 0.0, kind), value, "mm") == words


def test_of_limits_that_water_breaks_the_worst_is_named() -> None:
    rows = (_row(360.0, -10.0), _row(370.0, -20.0), _row(300.0, 50.0))
    wet = Made(wet=Made(depth=1e-3))
    broken = Made(name="cure 1", wet=wet, wetted=Made(limits=rows, holds=False))
    (found,) = wet_checks.wet_core(case(), broken, Made(holds=True), "cure.1")  # type: ignore[arg-type]
    assert (found.code, "96.9 C" in found.words, "86.9 C" in found.words) == ("H331", True, False)
    assert wet_checks.wet_core(case(), broken, Made(holds=False), "cure.1") == []  # type: ignore[arg-type]
    unended = Made(name="cure 1", wet=wet, wetted=Made(limits=rows[2:], holds=False))
    (found,) = wet_checks.wet_core(case(), unended, Made(holds=True), "cure.1")  # type: ignore[arg-type]
    assert "never finishes" in found.words
    for nothing in (None, Made(wet=None)):
        one = Made(name="cure 1", wet=nothing, wetted=None)
        assert wet_checks.wet_core(case(), one, Made(holds=True), "cure.1") == []  # type: ignore[arg-type]
    unknown = Made(name="cure 1", wet=wet, wetted=None)
    assert codes(wet_checks.wet_core(case(), unknown, Made(holds=True), "cure.1")) == ["H332"]  # type: ignore[arg-type]


def test_heat_nobody_predicts_is_asked_only_where_there_is_some(monkeypatch: pytest.MonkeyPatch) -> None:
    own, one = case(), Made(name="cure 1")
    own.document.people = Made()
    for name in ("own_heat_key", "unpredicted_key"):
        monkeypatch.setattr(own_heat_checks, name, lambda *rest: "key")
    monkeypatch.setattr(own_heat_checks, "not_counted", lambda *rest: "")
    monkeypatch.setattr(own_heat_checks, "asked_of", lambda *rest: "the engineer")
    for taken, potting, other in ((None, ["H600"], ["H602"]), (Made(reason="trial 4"), ["H601"], ["H603"])):
        monkeypatch.setattr(own_heat_checks, "taken_on", lambda *rest, taken=taken: taken)
        monkeypatch.setattr(own_heat_checks, "by_whom", lambda by: "D. Aune")
        for there in (False, True):
            monkeypatch.setattr(own_heat_checks, "untold", lambda *rest, there=there: there)
            monkeypatch.setattr(own_heat_checks, "unpredicted", lambda *rest, there=there: ["x"] * there)
            given = (own, Made(), bag(), one, "cure.1")
            assert codes(own_heat_checks.untold_potting(*given)) == potting * there  # type: ignore[arg-type]
            assert codes(own_heat_checks.unpredicted_heat(*given)) == other * there  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("at", "expected"),
    [("hotter", []), ("below hotter", ["H605"]), ("cell", ["H605"]), ("below cell", ["H142"])],
)
def test_steam_while_it_dries_against_each_bond(
    at: str, expected: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The likely hottest and, with no cases tried, one that is warmer by a usual step."""
    top, room, air = 345.0, 295.0, 90e3
    cell, hotter = (
        drying_checks.sealed_cell_pressure(t, room, air, saturated=room >= drying_checks.LOWEST)
        for t in (top, top + drying_checks.DRYING_DOUBT)
    )
    strength = {"hotter": hotter, "below hotter": hotter * (1 - 1e-9), "cell": cell}.get(
        at, cell * (1 - 1e-9)
    )
    monkeypatch.setattr(drying_checks.air, "pressure_of", lambda basis: air)
    bonds = (
        Made(made_in=0, strength=strength, where="the skin"),
        Made(made_in=0, strength=None, where="unknown"),
        Made(made_in=1, strength=1.0, where="made later"),
    )
    own = case(bay={"air_temperature": room})
    monkeypatch.setattr(drying_checks, "Basis", lambda *rest: None)
    ledger = {"drying.heat.reaches": Number(top), "drying.heat.hottest": Number(top)}
    for wet in (True, False):
        dried = Made(wet=wet, bonds=bonds, temperature=top)
        found = list(drying_checks._predicted(own, ledger, dried))  # type: ignore[arg-type]
        assert codes(found) == expected * wet


def test_how_many_copies_are_left_over_is_told_in_words() -> None:
    for copies, words in ((1, "(1 copy)"), (2, "(2 copies)"), (3, "(3 copies)")):
        problem = Made(name="cloth", piece=lambda n: Made(), strips=())
        nest = Made(unplaced=(Made(piece="P1", copies=copies),), roll_length=0.0)
        item = Made(problem=problem, nest=nest, refused=("a", "b")[: copies - 1], made_by="search", bound=0.0)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(nest_checks, "why_left", lambda *rest: "too wide")
            patch.setattr(nest_checks, "faults", lambda *rest: [])
            found = nest_checks.findings(Made(cloths=(item,)))  # type: ignore[arg-type]
        assert words in found[0].words
        assert [f.words for f in found[1:]] == {1: [], 2: ["a"], 3: ["a and 1 more"]}[copies]


def _figure(value: Any, kind: str) -> Figure:
    return Made(value=value, kind=kind)  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("said", "value", "kind", "same"),
    [
        ("after the  last cure", "after the last cure", "", True),
        ("after the first cure", "after the last cure", "", False),
        ("25.4 mm", 0.0254, "length", True),
        ("1 in", 0.0254, "length", True),
        ("25.5 mm", 0.0254, "length", False),
        ("25.4", 0.0254, "length", False),
        ("0.5", 0.5, "ratio", True),
        ("0.51", 0.5, "ratio", False),
        ("half", 0.5, "ratio", False),
        ("3", 3, "", True),
        ("4", 3, "", False),
        ("three", 3, "", False),
        ("a shape", PATCH, "", False),
    ],
)
def test_what_was_confirmed_is_the_value_of_its_figure(said: str, value: Any, kind: str, same: bool) -> None:
    assert plan_checks._is_value(Made(value=said), _figure(value, kind)) is same  # type: ignore[arg-type]


VACUUM = {"bag.least_vacuum", "bag.leak_drop", "bag.leak_time"}
COLD = {"bag.blanket_margin", "bag.sensor_margin", "bag.adhesive_margin"}


@pytest.mark.parametrize(
    ("cures", "adhesive", "expected"),
    [
        ((), False, set()),
        (((True, "blanket"),), False, set()),
        (((True, "blanket"), (False, "room temperature")), False, set()),
        (((False, "blanket"),), False, VACUUM),
        (((True, "oven"),), False, {"bag.blanket_margin"}),
        (((True, "oven"), (True, "blanket")), False, set()),
        (((True, "room temperature"),), False, COLD),
        (((True, "room temperature"),), True, COLD - {"bag.adhesive_margin"}),
        (((False, "room temperature"), (False, "room temperature")), False, COLD | VACUUM),
        (((True, "room temperature"), (True, "oven")), False, {"bag.blanket_margin"}),
    ],
)
def test_defaults_of_what_no_cure_has_are_asked_of_nobody(
    cures: tuple[tuple[bool, str], ...], adhesive: bool, expected: set[str]
) -> None:
    own = Made(document=Made(data=Made(cure=[Made(bagged=b, heated_by=h) for b, h in cures])))
    ledger = [
        Made(key="plies.piece", inputs=(("margin", "bag.adhesive_margin"),) if adhesive else (("a", "b"),)),
        Made(key="plies.other", inputs=()),
        Made(key="bag.other", inputs=(("margin", "bag.adhesive_margin"),)),
    ]
    assert plan_checks._of_no_bag(own, ledger) == expected  # type: ignore[arg-type]
