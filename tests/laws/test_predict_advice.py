"""Laws of thermocouple places, limits, advice and kept predictions."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from examples_here import case_from, text
from heat_problem import demo, operations
from panelmend.errors import Cancelled, ReadingError
from panelmend.job.cure.prediction import Limit, LimitRow, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.predict import advice
from panelmend.predict.advice import (
    Tried,
    advise,
    at_point,
    attempt,
    held_in,
    single_changes,
    with_second,
)
from panelmend.predict.cases import solve
from panelmend.predict.ensemble import spots_of
from panelmend.predict.kept_predictions import read_predictions, write_predictions
from panelmend.predict.limits import longest_above, steepest
from panelmend.predict.model import MEDIUM, QUICK, SensorSpot
from panelmend.predict.predict import predict
from panelmend.predict.sensors import candidates, choose
from panelmend.shapes import circle, distance_to_point

# The demo as its data has it, without what the planner chose from the advice.
HEAT = (
    '[[choice.heat]]\ncure = "Core and cap"\nblanket_behind = "HB-21"\n'
    'set_point = "64 C"\nrate = "0.53 C/min"\n'
    'measured = [ { what = "splice cells", low = 0.0, high = 0.4, '
    'how = "three trial splices cut open, D. Aune, 2026-10-30" } ]\n',
    '[[choice.heat]]\ncure = "Repair plies"\nset_point = "79 C"\nrate = "0.55 C/min"\n',
)
UNCHOSEN = tuple((h, "") for h in HEAT)


@pytest.fixture(scope="module")
def made() -> Prediction:
    return predict(demo(), advice=False, fine=MEDIUM)


def test_no_thermocouple_of_the_far_face_stands_on_a_fastener_or_insert() -> None:
    problem = demo(1)
    plain = choose(problem)
    on_far = [s for s in plain if s.face == "far face"]
    assert len([s for s in on_far if s.count]) == 3
    metal = tuple(circle(s.at, 0.01) for s in on_far)
    made = choose(replace(problem, avoid=metal))
    far = [s for s in made if s.face == "far face"]
    near = [s for s in made if s.face != "far face"]
    assert len(near) >= problem.least_sensors
    for spot in (*far, *near):
        assert all(-distance_to_point(o, spot.at) >= 0.0125 for o in metal), spot.id


def test_places_lie_on_the_sensor_line_on_the_panel_and_bracket_it() -> None:
    problem = demo()
    spots = choose(problem)
    counted = [s for s in spots if s.count]
    assert len(counted) >= max(3, problem.least_sensors)
    for s in counted:
        assert abs(distance_to_point(problem.sensor_line, s.at)) < 1e-6
        assert problem.panel.contains(s.at)
    offered = candidates(problem)
    _, result = solve(problem, spots, {}, MEDIUM, probes=offered, maps=False)
    dwell = result.times >= 0.5 * result.times[-1]
    line = np.array([result.probes[s.id][dwell].mean() for s in offered])
    ours = np.array([result.probes[s.id][dwell].mean() for s in counted])
    assert ours.min() <= line.min() + 0.5
    assert ours.max() >= line.max() - 0.5
    check = next(s for s in spots if not s.count)
    assert check.face == "far face"


def test_a_second_blanket_has_thermocouples_of_its_own() -> None:
    problem = demo(1)
    spots = choose(problem)
    behind = [s for s in spots if s.count and s.face == "far face"]
    assert len(behind) == len([s for s in spots if s.count and s.face != "far face"])
    prediction = predict(problem, advice=False, fine=MEDIUM)
    assert {s.role for s in prediction.sensors} >= {"behind", "check"}
    assert sum(t.kind == "sensor" for t in prediction.traces) == 2 * len(behind)


def test_readings_and_unseen_extremes_belong_together(made: Prediction) -> None:
    for s in made.sensors:
        assert s.low <= s.high
        assert s.low - s.above_coldest == pytest.approx(made.coldest.kelvin, abs=0.02)
    hottest_in_dwell = next(r for r in made.limits if r.what == "hottest in the dwell")
    for s in made.sensors:
        assert s.high + s.below_hottest == pytest.approx(hottest_in_dwell.predicted, abs=0.02)
    rows = {t.kind: np.array(t.kelvin) for t in made.traces}
    assert np.all(rows["coldest"] <= rows["hottest"])
    assert made.hottest.kelvin == pytest.approx(rows["hottest"].max(), abs=0.01)
    assert made.worst == min(r.margin for r in made.limits if r.kind == "temperature")


def test_maps_show_the_extremes(made: Prediction) -> None:
    at_peak = next(m for m in made.maps if m.layer == "repair side" and "hottest" in m.title)
    values = [v for row in at_peak.kelvin for v in row if v is not None]
    assert max(values) >= made.hottest.kelvin - 0.1
    assert len(at_peak.kelvin) == len(at_peak.v) - 1
    assert all(len(row) == len(at_peak.u) - 1 for row in at_peak.kelvin)


def test_advice_gains_what_it_says() -> None:
    problem = demo(2, *UNCHOSEN)
    spots = choose(problem)
    before = attempt(problem, spots)
    assert not before.holds, "without the planner's choice the middle overheats"
    found = advise(problem, spots)
    assert found[0].holds, "slower and a little colder"
    assert found[0].before == pytest.approx(before.worst, abs=0.06)
    single = {c.words: c for c in single_changes(problem)}
    for told in found:
        assert told.tried is not None
        assert told.tried[1] >= told.tried[0]
        if told.change in single:
            again = attempt(single[told.change].to(problem), spots)
            assert again.worst == pytest.approx(told.after, abs=0.06)
    assert all(a.gain >= 0.4 or (a.holds and not before.holds) for a in found)


def test_the_number_of_threads_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(advice, "MEDIUM", QUICK)
    monkeypatch.setattr(advice, "ADVICE_CASES", 4)
    problem = demo(2, *UNCHOSEN)
    spots = tuple(SensorSpot(n, at) for n, at in problem.sensors)
    one, four = (advise(problem, spots, threads=n) for n in (1, 4))
    assert one
    assert one == four


def test_advice_that_makes_it_worse_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the likely values every change gains; told are those that pass no other limit and hold in as many
    cases. That the demonstration's +2 C holds in fewer was found so: its pages no longer name it."""
    problem = demo(2)
    asked = {c.words: c for c in single_changes(problem)}
    spent, good, worse = list(asked)[:3]
    row = LimitRow("", "", 0.0, 0.0, "temperature", "below", 1.0, Limit.HOTTEST)
    slow = replace(row, kind="rate", code=Limit.MEAN_RISE)
    by = {c.to(problem).digest(): n for n, c in asked.items()} | {problem.digest(): ""}

    def tried(changed: HeatProblem, spots: object) -> Tried:
        name = by[changed.digest()]
        late = replace(slow, margin=-1.0 if name == spent else 1.0)
        gains = 2.0 if name in (spent, good, worse) else 1.0
        return Tried((replace(row, margin=gains), late), 0.0, True)

    def held(changed: HeatProblem, *more: object) -> int:
        return {"": 10, good: 10, worse: 9}[by[changed.digest()]]

    monkeypatch.setattr(advice, "attempt", tried)
    monkeypatch.setattr(advice, "held_in", held)
    monkeypatch.setattr(advice, "to_middle", lambda problem, tried: None)
    assert [(a.change, a.tried) for a in advise(problem, ())] == [(good, (10, 10, advice.ADVICE_CASES))]
    shown = read_predictions(Path(__file__).parents[2] / "examples/gear_door/repair.heat.json")
    assert not any("raise the set point" in a.change for p in shown.values() for a in p.advice)


def test_changes_are_held_against_the_same_cases() -> None:
    """Warmer by 6 K holds in fewer of them; the same again in as many."""
    problem = demo(2)
    spots = tuple(SensorSpot(n, at) for n, at in problem.sensors)
    likely = Tried((LimitRow("", "", 0.0, 0.0, "temperature", "below", 1.5, Limit.HOTTEST),), 0.0, True)
    hot = at_point(problem, problem.dwell.target + 6.0)
    off = replace(likely, rows=(replace(likely.rows[0], margin=-4.0),))
    now = held_in(problem, spots, likely)
    assert now > held_in(hot, spots, off)
    assert held_in(problem, spots, likely, threads=1) == now


def test_the_flap_holds_in_few_cases_and_its_best_change_in_no_nine_of_ten() -> None:
    """docs/method/cure.md counts 2 of 60 as set up, and 27 of 40 with the larger blanket, the slowest ramp
    and 247 F, every case in full. Twenty quick ones by their seed come to the same."""
    problem = operations(("[repair]", "[repair]"), name="flap_rib_bay")[0].problem
    assert problem is not None
    kept = read_predictions(Path(__file__).parents[2] / "examples/flap_rib_bay/repair.heat.json")
    known = kept[problem.digest()]
    spots = spots_of(known)
    single = {c.field: c for c in single_changes(problem)}
    both = single["choice.heat.rate"].after(single["choice.heat.blanket"])
    best = at_point(both.to(problem), (247.0 - 32.0) / 1.8 + 273.15)
    now, then = (held_in(p, spots, attempt(p, spots)) for p in (problem, best))
    assert now <= 2
    assert 11 <= then <= 16, "27 of 40 is 13 or 14 of 20; HOLDS would ask 18"
    slow = next(a for a in known.advice if a.change == single["choice.heat.rate"].words)
    assert slow.tried is not None
    assert slow.tried[0] == now


def test_one_sided_heat_does_not_reach_the_floor_and_a_second_blanket_does() -> None:
    problem = replace(demo(1, *UNCHOSEN), splice=None)  # at this rate the paste round the plug burns
    assert problem.source_behind is None
    spots = choose(problem)
    alone, both = attempt(problem, spots), attempt(with_second(problem), spots)
    assert alone.worst < -20.0
    assert both.worst > alone.worst + 20.0


def test_a_set_point_moves_the_bond_line() -> None:
    problem = demo()
    spots = choose(problem)
    low, high = (attempt(at_point(problem, problem.dwell.target + d), spots) for d in (-2.0, 2.0))
    hot = [next(r.predicted for r in t.rows if r.what == "hottest in the dwell") for t in (low, high)]
    assert 2.0 < hot[1] - hot[0] < 6.0


def test_stopping_keeps_nothing() -> None:
    def stop(words: str) -> None:
        raise Cancelled(words)

    with pytest.raises(Cancelled):
        predict(demo(), stop)


def test_kept_predictions_come_back_as_they_were(made: Prediction, tmp_path: Path) -> None:
    path = tmp_path / "a.heat.json"
    write_predictions(path, [made], {})
    assert read_predictions(path) == {made.problem: made}
    other = replace(made, problem="another")
    write_predictions(path, [other], read_predictions(path))
    assert set(read_predictions(path)) == {made.problem, "another"}
    assert read_predictions(tmp_path / "none.heat.json") == {}


def test_predictions_no_longer_asked_for_stay_up_to_a_number(made: Prediction, tmp_path: Path) -> None:
    """Who changed a figure, packed and took it back found two hundred cases gone."""
    path = tmp_path / "a.heat.json"
    old = [replace(made, problem=f"before {n:02}") for n in range(14)]
    write_predictions(path, [made], {}, [replace(made, worst=9.0), *old])
    there = read_predictions(path)
    assert list(there) == [made.problem, *(f"before {n:02}" for n in range(12))]
    assert there[made.problem] == made  # the one it asks for
    assert there["before 00"] == old[0]
    text = path.read_text()
    write_predictions(path, [made], {})
    assert "former" in text
    assert "former" not in path.read_text()


def test_a_prediction_changed_by_hand_is_not_used(made: Prediction, tmp_path: Path) -> None:
    path = tmp_path / "a.heat.json"
    write_predictions(path, [made], {})
    data = json.loads(path.read_text())
    row = data["predictions"][made.problem]
    row["prediction"]["worst"] += 1.0
    path.write_text(json.dumps(data))
    assert read_predictions(path) == {}
    row["prediction"] = {"worst": 1}
    path.write_text(json.dumps(data))
    assert read_predictions(path) == {}
    data["edition"] = 0
    path.write_text(json.dumps(data))
    assert read_predictions(path) == {}
    path.write_text("[]")
    with pytest.raises(ReadingError, match="predict again"):
        read_predictions(path)


def test_the_plan_takes_a_prediction_of_its_own_problem_only(made: Prediction) -> None:
    case = case_from(text("gear_door"))
    with_it = make_plan(case, predictions={made.problem: made})
    without = make_plan(case)
    assert with_it.work is not None
    assert without.work is not None
    assert with_it.work.cure.operations[1].prediction == made
    assert with_it.ledger["cure.2.hottest"].value == made.hottest.kelvin
    assert with_it.ledger.replay() == []
    assert with_it.digest != without.digest
    assert without.work.cure.operations[1].prediction is None
    assert [f.code for f in without.findings if f.code == "H021"] == ["H021", "H021"]
    warmer = case_from(text("gear_door").replace('air_temperature = "18 C"', 'air_temperature = "24 C"'))
    changed = make_plan(warmer, predictions={made.problem: made})
    assert changed.work is not None
    assert changed.work.cure.operations[1].prediction is None, "another bay is another problem"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (', conductivity = "0.25 W/mK"', "", "conductivity of blanket HB-20"),
        ('air_temperature = "18 C"\n', "", "air temperature of the bay"),
        ('k_through = "0.05 W/mK", ', "", "conductivity through it of Breather"),
        (
            ', specific_heat = "1300 J/kgK" }\n\n[[materials.consumable',
            " }\n\n[[materials.consumable",
            "specific heat of Aramid",
        ),
        ('k_in_plane = "0.6 W/mK", ', "", "conductivity in the plane of the cured ply"),
    ],
)
def test_what_nobody_gave_is_asked_for_and_not_guessed(old: str, new: str, words: str) -> None:
    operation = operations((old, new))[1]
    assert operation.problem is None
    assert any(words in m.what for m in operation.missing), operation.missing
    assert all(m.ask for m in operation.missing)


def test_time_above_a_level_and_steepest_rise() -> None:
    t = np.array([0.0, 10.0, 20.0, 30.0, 40.0])
    v = np.array([0.0, 2.0, 2.0, 0.0, 0.0])
    assert longest_above(t, v, 1.0) == pytest.approx(20.0)
    assert longest_above(t, v, -1.0) == pytest.approx(40.0)
    assert longest_above(t, v, 3.0) == 0.0
    assert steepest(t, 0.5 * t, 20.0) == pytest.approx(0.5)
