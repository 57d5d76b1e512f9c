"""What a log tells of what nobody measured: right as often as it says, silent where nothing is seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heat_problem import bare, demo
from panelmend.document.model import AFRESH, HeatRange
from panelmend.errors import InputError
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics import reduced
from panelmend.predict import learnt
from panelmend.predict.cases import solve
from panelmend.predict.ensemble import Ask
from panelmend.predict.learnt import Learnt, Logged, Watched, learn, run_watched, weigh, weighted
from panelmend.predict.model import Fineness, SensorSpot
from panelmend.predict.reading import CaseValues, drawn

FINE = Fineness(0.050, 60.0, 1)
COUNT, LEFT = 200, 15.0


def short() -> HeatProblem:
    """The demo's plies with a short dwell and no cool-down."""
    problem = bare()
    legs = tuple(replace(leg, dwell=min(leg.dwell, 1200.0)) for leg in problem.legs if leg.kind == "heat")
    return replace(problem, legs=legs)


def spots() -> tuple[SensorSpot, ...]:
    return tuple(SensorSpot(n, at) for n, at in short().sensors)


IDS = tuple(s.id for s in spots())


@pytest.fixture(scope="module")
def cases() -> tuple[np.ndarray, np.ndarray]:
    """Values and stages of cases over the ranges."""
    problem = short()
    ask = Ask(problem, spots(), COUNT)
    low, high = ask.ranges()
    rows = reduced.latin_hypercube(COUNT, low, high, 3)
    made = [run_watched(Watched(CaseValues(problem, spots(), FINE, tuple(map(float, r))), IDS)) for r in rows]
    assert all(m is not None for m in made)
    return rows, np.array(made)


def test_a_truth_from_the_ranges_lies_in_what_is_told_as_often_as_it_says(
    cases: tuple[np.ndarray, np.ndarray], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cases in turn are the truth of the others. 95 % is said; 90 % asked, for few cases are left here."""
    monkeypatch.setattr(learnt, "SIGMA", 1.6)  # a quarter as many cases as in use, so a blunter eye
    rows, seen = cases
    problem = short()
    kept = [n for n, u in enumerate(problem.unknowns) if not u.afresh]
    noise = np.random.default_rng(4)
    inside, widths = [], []
    for truth in range(0, COUNT, 2):
        others = np.arange(COUNT) != truth
        aim = seen[truth] + noise.normal(0.0, 0.2, seen[truth].shape)
        weight, _ = weigh(seen[others], aim)
        if (weight**2).sum() > 1.0 / LEFT:
            continue  # refused in use
        for n in kept:
            low, high = weighted(rows[others, n], weight)
            inside.append(low <= rows[truth, n] <= high)
            widths.append((high - low) / np.ptp(rows[:, n]))
    assert len(inside) > 30 * len(kept)
    assert np.mean(inside) > 0.9
    assert min(widths) < learnt.NARROWED, "some logs narrow something"
    assert np.median(widths) > 0.6, "and few thermocouples narrow little"


def test_weights_are_those_of_their_misfit() -> None:
    aim = np.full((1, 3, 4), np.nan)
    aim[0, 0] = 0.0
    seen = np.zeros((3, 1, 3, 4))
    seen[1, 0, 0] = learnt.SIGMA
    seen[2, 0, 0] = [2.0 * learnt.SIGMA, 0.0, 0.0, 0.0]  # four readings of one stage count as one
    weight, best = weigh(seen, aim)
    assert best == 0.0
    assert weight / weight[0] == pytest.approx([1.0, np.exp(-0.5), np.exp(-0.5)])
    assert weighted(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 0.0])) == pytest.approx(
        (0.5, 1.5), abs=0.6
    )


def _log(problem: HeatProblem, values: dict[str, float], off: float = 0.0) -> Logged:
    _, result = solve(problem, spots(), values, FINE, maps=False)
    own = {i: result.probes[i] for i in IDS}
    own[IDS[0]] = own[IDS[0]] + off * (own[IDS[0]] - problem.air)
    return Logged(result.times, own)


def _learn(logged: Logged, problem: HeatProblem | None = None, count: int = 100) -> Learnt:
    return learn(problem or short(), spots(), logged, cases=count, seed=5, fine=FINE)


def test_what_the_sensors_see_is_narrowed_towards_the_truth(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(learnt, "LEAST_CASES_LEFT", 4.0)
    monkeypatch.setattr(learnt, "SIGMA", 1.6)
    uneven = 0.06
    found = _learn(_log(short(), {"uneven across": uneven, "uneven along": -uneven}))
    assert found.thermocouples == IDS
    rows = {r.unknown.name: r for r in found.rows}
    assert not {"draught over", "blanket along", "thermocouples", "bag stack"} & set(rows), "drawn anew"
    told = {n for n, r in rows.items() if r.seen}
    assert told & {"uneven across", "uneven along"}
    assert "core" not in told, "three thermocouples on the repair side see nothing of it"
    for name, sign in (("uneven across", 1.0), ("uneven along", -1.0)):
        assert sign * sum(rows[name].after) > sign * sum(rows[name].before), name
    for r in found.rows:
        hair = 0.03 * (r.before[1] - r.before[0])  # of how quantiles lie between few cases
        assert r.before[0] - hair <= r.after[0] <= r.after[1] <= r.before[1] + hair, r.unknown.name


def test_a_log_that_no_case_explains_teaches_nothing() -> None:
    with pytest.raises(InputError, match="no case over the ranges comes near"):
        _learn(_log(short(), {}, off=0.2), count=20)


def test_too_few_cases_teach_nothing() -> None:
    with pytest.raises(InputError, match="too few cases are like this log"):
        _learn(_log(short(), {}), count=20)


def test_the_recipe_is_taken_as_the_log_shows_it() -> None:
    problem = short()
    legs = tuple(
        replace(leg, target=leg.target + 1.5, rate=0.8 * leg.rate, dwell=1800.0) for leg in problem.legs
    )
    other = replace(problem, air=problem.air + 4.0, legs=(legs[0], *legs[1:]))
    ran = learnt.as_it_ran(problem, _log(other, {}), IDS)
    assert ran.air == pytest.approx(other.air, abs=0.2)
    assert ran.dwell.target == pytest.approx(other.dwell.target, abs=0.4)
    assert ran.dwell.rate == pytest.approx(other.dwell.rate, rel=0.1)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda k: {n: v for n, v in k.items() if n != IDS[1]}, "no channel for a thermocouple"),
        (lambda k: {n: v + 30.0 for n, v in k.items()}, "at the temperature of the bay's air"),
        (lambda k: {n: np.minimum(v, 320.0) for n, v in k.items()}, "never came to the dwell"),
    ],
)
def test_logs_that_do_not_belong_are_refused(change: object, words: str) -> None:
    logged = _log(short(), {})
    with pytest.raises(InputError, match=words):
        _learn(Logged(logged.times, change(dict(logged.kelvin))), count=20)  # type: ignore[operator]


def test_a_cure_of_two_dwells_teaches_nothing() -> None:
    """Also where both are at one temperature: the log shows them as one, and each would be taken as long."""
    problem = short()
    logged = _log(problem, {})
    hot = next(leg for leg in problem.legs if leg.kind == "heat")
    for second in (hot, replace(hot, target=hot.target - 20.0, low=hot.low - 20.0)):
        with pytest.raises(InputError, match="one ramp and one dwell"):
            learnt.as_it_ran(replace(problem, legs=(second, *problem.legs)), logged, IDS)


def test_only_planned_names_are_drawn() -> None:
    names = [u.name for u in drawn(short(), spots())]
    assert [n for n in names if n.endswith("shows")] == [f"{i} shows" for i in IDS]


def test_gaps_and_the_far_face_do_not_mislead() -> None:
    problem, logged = short(), _log(short(), {})
    holes = {
        i: np.where(np.arange(len(v)) % 7 == n, np.nan, v) for n, (i, v) in enumerate(logged.kelvin.items())
    }
    whole, part = (learnt.as_it_ran(problem, Logged(logged.times, k), IDS) for k in (logged.kelvin, holes))
    assert part.dwell.target == pytest.approx(whole.dwell.target, abs=0.1)
    assert part.dwell.rate == pytest.approx(whole.dwell.rate, rel=0.1)
    behind = (*spots(), SensorSpot("B1", spots()[0].at, "far face"))
    cold = Logged(logged.times, {**logged.kelvin, "B1": np.full(len(logged.times), problem.air)})
    row = learnt.stages(cold.times, cold.kelvin, (*IDS, "B1"), IDS, problem)
    assert np.isfinite(row[:, :2, 0]).all(), "a blanket behind follows its own, so the others set the clocks"
    found = run_watched(Watched(CaseValues(problem, behind, FINE, _likely(problem, behind)), IDS))
    assert found is not None


def _likely(problem: HeatProblem, places: tuple[SensorSpot, ...]) -> tuple[float, ...]:
    return tuple(u.likely for u in drawn(problem, places))


@pytest.mark.parametrize(
    ("what", "fitted", "refused"),
    [("bled aside", True, True), ("bled aside", False, False), ("cure heat", True, False)],
)
def test_no_log_narrows_what_is_new_with_every_lay_up(what: str, fitted: bool, refused: bool) -> None:
    """Measured it may be; fitted to the log of another lay-up it is not taken."""
    typed = {"what": what, "low": "0.2", "high": "0.4", "how": "log 1", "fitted": fitted}
    if not refused:
        assert HeatRange.model_validate(typed).fitted is fitted
        return
    with pytest.raises(ValueError, match="is different in every lay-up"):
        HeatRange.model_validate(typed)
    unknown = {u.name: u.afresh for u in demo(1).unknowns}
    assert all(unknown[name] for name in AFRESH if name in unknown)
