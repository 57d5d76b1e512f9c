"""Recipes, limits, advice and findings of a predicted cure keep to the approved data."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import panelmend.app.heat as heat_app
from examples_here import FOLDER, case_from, edited, text
from heat_problem import demo, operations
from panelmend.app import service
from panelmend.document.approved import Cure, Segment
from panelmend.errors import InputError, OutputError, SolverError
from panelmend.files import ensure_writable
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Limit, LimitRow, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.job.cure.recipe import UNTOLD_HEATING_RATE, legs, notes_of
from panelmend.physics.heat import LegTimes
from panelmend.plan.make import make_plan
from panelmend.predict import sensors
from panelmend.predict.advice import Tried, attempt, single_changes, to_middle, with_second
from panelmend.predict.cases import solve
from panelmend.predict.kept_predictions import heat_path, read_predictions
from panelmend.predict.limits import _rates, _splice, limit_rows, longest_above, rounded_row, steepest
from panelmend.predict.model import QUICK
from panelmend.predict.predict import predict
from panelmend.predict.sensors import choose
from panelmend.predict.splice import SPLICE
from panelmend.render import files
from panelmend.render.card import card_pdf

MIN = 60.0
C = 273.15
PLIES = '[[choice.heat]]\ncure = "Repair plies"\nset_point = "79 C"\nrate = "0.55 C/min"\n'
RAMP = (
    '  { kind = "ramp", to = "82 C", rate_most = "3 C/min", rate_least = "0.5 C/min", rate = "2 C/min" },\n'
)
DWELL = '  { kind = "dwell", to = "82 C", low = "77 C", high = "88 C", least = "120 min" },\n'
ANY = "a limit"  # its words decide nothing
TWO = (
    '  { kind = "ramp", to = "60 C", rate_most = "3 C/min", rate_least = "0.5 C/min", rate = "2 C/min" },\n'
    '  { kind = "dwell", to = "60 C", low = "55 C", high = "65 C", least = "60 min", most = "70 min" },\n'
    '  { kind = "ramp", to = "82 C", rate_most = "1 C/min", rate = "0.8 C/min" },\n' + DWELL
)


@pytest.fixture(scope="module", autouse=True)
def quick_places() -> Iterator[None]:
    """Thermocouples placed by a quick run: these laws hold for any places."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sensors, "MEDIUM", QUICK)
        yield


def _cure(*segments: Segment, **more: object) -> Cure:
    return Cure.model_construct(name="x", lays=("plies",), place="p", segment=segments, **more)


def _ramp(to: float, **rates: float) -> Segment:
    return Segment.model_construct(kind="ramp", to=C + to, **{k: v / MIN for k, v in rates.items()})


def _dwell(to: float, minutes: float, **more: float) -> Segment:
    return Segment.model_construct(
        kind="dwell", to=C + to, least=minutes * MIN, **{k: C + v for k, v in more.items()}
    )


def test_every_ramp_keeps_its_own_rate_unless_the_planner_chose_one() -> None:
    cure = _cure(_ramp(60, rate=2.0), _dwell(60, 60), _ramp(82, rate=0.8), _dwell(82, 120))
    own = [leg.rate * MIN for leg in legs(cure, C + 82, 2.0 / MIN)]
    assert own == pytest.approx([2.0, 0.8])
    chosen = [leg.rate * MIN for leg in legs(cure, C + 82, 0.5 / MIN, chosen=True)]
    assert chosen == pytest.approx([0.5, 0.5])


def test_no_usual_rate_is_below_the_least_of_the_data() -> None:
    quick = UNTOLD_HEATING_RATE * MIN + 1.0
    heating = operations(
        (RAMP, f'  {{ kind = "ramp", to = "82 C", rate_least = "{quick} C/min" }},\n'), (PLIES, "")
    )
    assert heating[1].rate is not None
    assert float(heating[1].rate) * MIN >= quick - 1e-9
    cool = Segment.model_construct(kind="cool", to=C + 49, rate_most=2.0 / MIN, rate_least=1.9 / MIN)
    fall = legs(_cure(_ramp(82, rate=2.0), _dwell(82, 120), cool), C + 82, 2.0 / MIN)[-1].rate
    assert 1.9 - 1e-9 <= fall * MIN <= 2.0


def test_the_band_tells_what_the_planner_may_choose() -> None:
    def points(**band: float) -> tuple[float, float] | None:
        made = legs(_cure(_ramp(82, rate=2.0), _dwell(82, 120, **band), ceiling=C + 86), C + 82, 2.0 / MIN)
        return made[0].points

    assert points() is None
    assert points(low=77.0, high=88.0) == pytest.approx((C + 77, C + 86))
    assert points(low=77.0) == pytest.approx((C + 77, C + 82))
    assert any("10 F" in n for n in notes_of(_cure(_dwell(82, 120, low=77.0))))


def _found(problem: HeatProblem, cold: float, hot: float) -> Tried:
    dwell = problem.dwell
    assert dwell.high is not None
    rows = (
        LimitRow(ANY, "bond line", dwell.low, cold, "temperature", "above", cold - dwell.low, Limit.COLDEST),
        LimitRow(ANY, "bond line", dwell.high, hot, "temperature", "below", dwell.high - hot, Limit.HOTTEST),
    )
    return Tried(rows, 1e4, True)


def test_advice_moves_no_set_point_out_of_what_the_data_leaves_to_choose() -> None:
    free = demo(2, (PLIES, ""))
    low = _found(free, C + 70.0, C + 74.0)
    change = to_middle(free, low)
    assert change is not None
    point = change.to(free).dwell.target
    assert free.dwell.points is not None
    assert free.dwell.points[0] <= point <= free.dwell.points[1]
    bound = demo(2, (PLIES, ""), (', low = "77 C", high = "88 C"', ""))
    assert bound.dwell.points is None
    assert to_middle(bound, _found(bound, C + 70.0, C + 74.0)) is None
    half = demo(2, (PLIES, ""), (', high = "88 C"', ""))
    raised = to_middle(half, _found(half, C + 70.0, C + 74.0))
    assert raised is None or raised.to(half).dwell.target <= half.dwell.points[1]  # type: ignore[index]


def test_advice_slows_no_rate_that_the_data_fixes() -> None:
    def fields_of(problem: HeatProblem) -> set[str]:
        return {c.field for c in single_changes(problem)}

    assert "choice.heat.rate" in fields_of(demo(2, (PLIES, "")))
    fixed = demo(2, (PLIES, ""), (RAMP, '  { kind = "ramp", to = "82 C", rate = "2 C/min" },\n'))
    assert "choice.heat.rate" not in fields_of(fixed)


def test_advice_names_blankets_that_are_free_suit_the_supply_and_are_carried() -> None:
    free = demo(2)
    assert free.larger is not None
    assert free.larger.id == "HB-24"
    assert free.second is not None
    assert free.second.id == "HB-21"
    assert with_second(free).source_behind == free.second
    taken = demo(1, ('blanket_behind = "HB-21"', 'blanket_behind = "HB-24"'))
    assert taken.larger is None, "HB-24 lies behind already"
    line = (
        '{ id = "HB-24", length = "610 mm", width = "610 mm", power_density = "7750 W/m2", voltage = "230 V"'
    )
    assert line in text("gear_door")
    assert demo(2, (line, line.replace("230 V", "115 V"))).larger is None, "it would burn here"
    assert demo(2, (line, line.replace("7750", "30000"))).larger is None, "no socket carries it"
    one = ', { id = "socket 5", rating = "16 A", continuous = "80 %" }'
    assert demo(2, (one, "")).second is None, "one socket carries one blanket"


def test_no_second_blanket_is_advised_where_a_web_stands() -> None:
    problem = replace(demo(2), ribs=())
    assert "choice.heat.blanket_behind" in {c.field for c in single_changes(problem)}
    rib = replace(demo(2).ribs[0], outline=problem.bond)
    stands = replace(problem, ribs=(rib,))
    assert "choice.heat.blanket_behind" not in {c.field for c in single_changes(stands)}
    doubler = replace(problem, ribs=(replace(rib, kind="doubler"),))
    assert "choice.heat.blanket_behind" in {c.field for c in single_changes(doubler)}


def _rows(problem: HeatProblem) -> dict[str, LimitRow]:
    spots = choose(problem)
    _, result = solve(problem, spots, {}, QUICK)
    return {r.what: r for r in limit_rows(problem, spots, result)}


def test_every_dwell_and_every_ramp_has_its_limits() -> None:
    problem = demo(2, (RAMP + DWELL, TWO), (PLIES, ""))
    assert [leg.rate * MIN for leg in problem.legs[:2]] == pytest.approx([2.0, 0.8])
    rows = _rows(problem)
    assert rows["coldest in the dwell"].limit == pytest.approx(C + 77)
    assert rows["coldest in the dwell at 60 C"].limit == pytest.approx(C + 55)
    assert rows["hottest in the dwell at 60 C"].predicted < C + 70
    assert rows["time in the band at 60 C"].limit == 70 * MIN
    assert 60 * MIN - 31 <= rows["time in the band at 60 C"].predicted < 90 * MIN
    assert rows["fastest rise to 82 C over ten minutes"].limit * MIN == pytest.approx(1.0)
    assert rows["fastest rise to 60 C over ten minutes"].limit * MIN == pytest.approx(3.0)
    assert rows["mean rise to 60 C"].sense == "above"
    made = predict(problem, advice=False, fine=QUICK)
    assert made.overshoot == pytest.approx(max(made.traces[-3].kelvin) - (C + 82), abs=15.0)


def test_time_in_a_lower_band_ends_where_a_hotter_leg_begins() -> None:
    longer = TWO.replace('"60 min", most = "70 min"', '"180 min"')
    rows = _rows(demo(2, (RAMP + DWELL, longer), (PLIES, "")))
    row = rows["time in the band of the coldest"]
    assert row.limit == 180 * MIN
    assert row.predicted < 200 * MIN, "the two hours at 82 C are not spent at 60 C"
    problem = demo(2, (RAMP + DWELL, longer), (PLIES, ""))
    assert predict(problem, advice=False, fine=QUICK).overshoot < 15.0


def test_cool_down_spread_and_window_are_looked_at() -> None:
    problem = demo(2)
    fast = replace(problem.legs[-1], rate=4.0 / MIN, rate_most=1.0 / MIN)
    changed = replace(problem, legs=(*problem.legs[:-1], fast), spread_most=0.2, rate_window=300.0)
    rows = _rows(changed)
    fall = rows["fastest fall over 5 min"]
    assert not fall.holds
    assert fall.predicted > 1.0 / MIN
    spread = rows["spread in the dwell"]
    assert spread.kind == "temperature difference"
    assert spread.predicted > 0.2
    assert not spread.holds
    wide = _rows(replace(changed, rate_window=1200.0))
    assert wide["fastest fall over 20 min"].predicted <= fall.predicted + 1e-9


def test_a_steepest_rise_does_not_ask_for_even_samples() -> None:
    t = np.array([0.0, 60.0, 120.0, 137.0, 180.0, 240.0, 300.0])
    assert steepest(t, 0.05 * t, 120.0) == pytest.approx(0.05)
    bent = np.where(t < 137.0, 0.05 * t, 0.05 * 137.0)
    assert steepest(t, bent, 120.0) == pytest.approx(0.05)
    assert steepest(t[:2], 0.05 * t[:2], 600.0) == pytest.approx(0.05), "a shorter range is one window"
    assert steepest(t[:1], t[:1]) == 0.0


@pytest.fixture(scope="module")
def made() -> Prediction:
    return predict(demo(2), advice=False, fine=QUICK)


def _codes(made: Prediction, *rows: LimitRow, changes: tuple[tuple[str, str], ...] = ()) -> set[str]:
    document = edited(text("gear_door"), *changes)
    case = case_from(document)
    problem = operations(*changes)[1].problem
    assert problem is not None
    told = replace(made, problem=problem.digest(), limits=rows)
    plan = make_plan(case, predictions={told.problem: told})
    return {f.code for f in plan.findings if f.place == "cure.2"}


def _row(code: Limit, margin: float, kind: str = "temperature", sense: str = "below") -> LimitRow:
    value = 350.0 - margin if sense == "below" else 350.0 + margin
    return LimitRow(ANY, ANY, 350.0, value, kind, sense, margin, code)


def test_findings_weigh_what_a_limit_means(made: Prediction) -> None:
    mild, gross = _row(Limit.AROUND, -2.0), _row(Limit.AROUND, -8.0)
    assert "H024" in _codes(made, mild)
    assert "H029" not in _codes(made, mild)
    assert "H029" in _codes(made, gross)
    assert "H027" in _codes(made, _row(Limit.RISE, -0.01, "rate"))
    fall = _row(Limit.FALL, -0.01, "rate")
    assert _codes(made, fall) & {"H027", "H030"} == {"H030"}
    slow = _row(Limit.MEAN_RISE, -0.01, "rate", "above")
    assert _codes(made, slow) & {"H027", "H031"} == {"H031"}
    spread = _row(Limit.SPREAD, -3.0, "temperature difference")
    assert "H032" in _codes(made, spread)
    assert "H033" in _codes(made, changes=(("thermocouples_least = 3", "thermocouples_least = 6"),))
    assert "H033" not in _codes(made)


def test_structure_under_a_blanket_is_told() -> None:
    def codes(*changes: tuple[str, str]) -> list[str]:
        document = edited(text("gear_door"), *changes)
        found = make_plan(case_from(document)).findings
        return [f.words for f in found if f.code == "H034"]

    nearer = ('centre = "880, 400 mm"', 'centre = "720, 400 mm"')
    assert codes() == []
    assert len(codes(nearer)) == 1, "the first cure has a blanket behind"
    assert len(codes(nearer, ('metal = "aluminium"\n', 'metal = "aluminium"\nside = "outside"\n'))) == 2


def test_one_cure_that_cannot_be_predicted_does_not_lose_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: Prediction
) -> None:
    path = tmp_path / "a.toml"
    path.write_text((FOLDER / "gear_door" / "repair.toml").read_text("utf8"), "utf8")

    def one(problem: HeatProblem, tell: object, *, advice: bool, threads: int) -> Prediction:
        if problem.number == 1:
            raise SolverError("the run broke down")
        only_once = problem.number == 0 or problem.wet is not None
        assert advice != only_once, "nothing is advised on a drying, nor on the same cure over wet core"
        rows = (*made.limits, _row(Limit.AROUND, 5.0))
        return replace(made, problem=problem.digest(), operation=problem.operation, limits=rows)

    monkeypatch.setattr(heat_app, "predict", one)
    with pytest.raises(SolverError, match=r"a.toml, Core and cap: the run broke down"):
        heat_app.predict_heat(path, service.plan(path))
    kept = read_predictions(heat_path(path))
    assert {p.operation for p in kept.values()} == {"Drying", "Repair plies"}
    monkeypatch.setattr(files, "pack_files", lambda plan, *_: {"job-card.pdf": card_pdf(plan)})
    written = service.pack(path, tmp_path / "pack", budget=0.0)
    assert any("heat not predicted" in n and "Core and cap" in n for n in written.notes)
    assert (tmp_path / "pack" / "job-card.pdf").exists()


def test_a_place_that_cannot_be_written_is_told_before_long_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.toml"
    path.write_text((FOLDER / "gear_door" / "repair.toml").read_text("utf8"), "utf8")

    def never(*_: object) -> Prediction:
        raise AssertionError("nothing may be predicted before")

    monkeypatch.setattr(heat_app, "predict", never)
    made = service.plan(path)
    heat_path(path).mkdir()
    with pytest.raises(OutputError, match="folder has this name"):
        heat_app.predict_heat(path, made)
    ensure_writable(tmp_path / "b.json")
    assert not (tmp_path / "b.json").exists()
    assert not list(tmp_path.glob("*.part"))
    with pytest.raises(OutputError, match="could not be written"):
        ensure_writable(tmp_path / "nowhere" / "b.json")


def test_no_place_for_a_thermocouple_is_refused_with_what_to_do() -> None:
    problem = demo()
    with pytest.raises(InputError, match=r"no thermocouple can be placed.*look at"):
        choose(replace(problem, avoid=(problem.panel,)))


def test_an_operation_without_constants_does_not_stop_the_other() -> None:
    found: tuple[CureOperation, ...] = operations(
        ('\nthermal = { k_through = "0.25 W/mK", density = "1200 kg/m3", specific_heat = "1400 J/kgK" }', "")
    )
    assert found[0].problem is None, "the rubber pad lies in the first cure alone"
    assert found[1].problem is not None
    assert math.isfinite(attempt(found[1].problem, choose(found[1].problem)).worst)


@pytest.mark.parametrize(
    ("kind", "margin", "holds"),
    [
        ("temperature", -0.004, False),
        ("temperature", 0.0, True),
        ("temperature", 0.004, True),
        ("time", -0.004, False),
        ("time", -1e-9, True),
        ("rate", -4e-7, False),
        ("rate", 4e-7, True),
    ],
)
def test_no_rounding_makes_a_passed_limit_hold(kind: str, margin: float, holds: bool) -> None:
    row = rounded_row(_row(Limit.PEAK, margin, kind))
    assert row.holds == holds
    assert row.margin == pytest.approx(margin, abs=1e-6 if kind == "rate" else 0.01)


@pytest.mark.parametrize(
    ("ceiling", "high", "margin"),
    [(398.0, 395.0, -2.0), (None, 395.0, -5.0), (None, 401.0, 1.0), (401.0, None, 1.0), (None, None, None)],
)
def test_the_paste_is_held_to_the_ceiling_else_to_the_top_of_the_band(
    ceiling: float | None, high: float | None, margin: float | None
) -> None:
    """400 K at most in the paste round a plug, 399 K at the end."""
    problem = SimpleNamespace(ceiling=ceiling, dwell=SimpleNamespace(high=high))
    result = SimpleNamespace(regions={SPLICE: SimpleNamespace(hottest=np.array([300.0, 400.0, 399.0]))})
    rows = _splice(problem, result)  # type: ignore[arg-type]
    assert [r.margin for r in rows] == ([] if margin is None else [margin])
    assert _splice(problem, SimpleNamespace(regions={})) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("held", [(10.0, 20.0, 5.0), (20.0, 10.0, 5.0), (5.0, 10.0, 20.0)])
def test_time_in_a_band_is_the_longest_unbroken_one(held: tuple[float, ...]) -> None:
    """Of 10, 20 and 5 min with breaks between them 20 min count; crossings lie half-way of a minute."""
    times, values = [0.0], [340.0]
    for minutes in held:
        start = times[-1] + 60.0
        times += [start, start + 60.0 * (minutes - 1.0), start + 60.0 * minutes]
        values += [360.0, 360.0, 340.0]
    assert longest_above(np.array(times), np.array(values), 350.0) == pytest.approx(1200.0)


@pytest.mark.parametrize(("least", "holds"), [(0.99, True), (1.01, False)])
@pytest.mark.parametrize(("kind", "code"), [("heat", Limit.MEAN_RISE), ("cool", Limit.MEAN_FALL)])
def test_the_mean_rate_is_that_of_the_slowest_that_counts(
    kind: str, code: Limit, least: float, holds: bool
) -> None:
    """2, 1 and 3 K/min, and half of one that does not count; of all their mean would be 2."""
    times, sign = np.arange(0.0, 1201.0, 10.0), 1.0 if kind == "heat" else -1.0
    run = SimpleNamespace(times=times, sensors=330.0 + sign * np.outer(times, [2.0, 1.0, 3.0, 0.5]) / MIN)
    leg = SimpleNamespace(kind=kind, low=1e3, rate_most=None, rate_least=least / MIN, target=400.0)
    problem = SimpleNamespace(legs=(leg,), rate_window=600.0, view="mm", source=SimpleNamespace(id="b"))
    spots = [SimpleNamespace(count=n < 3, face="near face") for n in range(4)]
    result = SimpleNamespace(legs={"b": (LegTimes(None, None, 1200.0),)})
    (row,) = _rates(problem, spots, run, result)  # type: ignore[arg-type]
    assert (row.code, row.holds, round(row.predicted * MIN, 6)) == (code, holds, 1.0)
