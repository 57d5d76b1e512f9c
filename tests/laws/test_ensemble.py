"""How likely a cure holds: reduced runs against full ones, the error they state, what drives, refusals."""

from __future__ import annotations

import threading
from dataclasses import replace

import numpy as np
import pytest

from heat_problem import bare
from panelmend.errors import Cancelled, InputError, SolverError
from panelmend.job.cure.problem import HeatProblem, Unknown
from panelmend.predict import ensemble, reading
from panelmend.predict.cases import outcome
from panelmend.predict.counting import drivers, wilson
from panelmend.predict.ensemble import Ask, CaseTable, case_tables, likelihood, likelihoods, spots_of
from panelmend.predict.many_cases import Workers
from panelmend.predict.model import Fineness, SensorSpot
from panelmend.predict.predict import predict
from panelmend.predict.run_on import run_on
from panelmend.render.cure_rows import likelihood_data

FINER = Fineness(0.030, 30.0, 1)  # stands for a full run: these laws hold at any fineness

HIGH = 365.0  # K: top of a band that half of the cases pass
FINEST = Fineness(0.020, 20.0, 2)
ROUGH, ROUGHER = (
    Fineness(0.045, 60.0, 1),
    Fineness(0.060, 60.0, 1),
)  # full and reduced, where both may be rough


@pytest.fixture(autouse=True)
def finer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ensemble, "FULL", FINER)


@pytest.fixture
def narrow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Next to no cases with wider ranges, where a law is not about them."""
    monkeypatch.setattr(ensemble, "WIDE_SHARE", 1000)


@pytest.fixture
def rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """Large cells and long steps both ways, where a law is about counting and not about heat."""
    monkeypatch.setattr(ensemble, "FULL", ROUGH)
    monkeypatch.setattr(ensemble, "COARSE", ROUGHER)


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """As few cases to train on as may be, where a law holds for any number."""
    monkeypatch.setattr(ensemble, "TRAIN", 14)
    monkeypatch.setattr(ensemble, "HELD_OUT", 4)


def short(**changes: object) -> HeatProblem:
    """The demo's plies with a short dwell, no cool-down, and a band that half of the cases pass."""
    problem = bare()
    legs = tuple(
        replace(leg, dwell=min(leg.dwell, 900.0), high=HIGH) for leg in problem.legs if leg.kind == "heat"
    )
    return replace(problem, legs=legs, **changes)  # type: ignore[arg-type]


def ask(problem: HeatProblem, cases: int = 40, **more: object) -> Ask:
    return Ask(problem, tuple(SensorSpot(n, at) for n, at in problem.sensors), cases, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def both() -> tuple[Ask, CaseTable, CaseTable]:
    """The same forty cases reduced and in full."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ensemble, "FULL", FINEST)
        patch.setattr(ensemble, "WIDE_SHARE", 1000)
        wanted = ask(short())
        reduced_, full = case_tables([wanted, replace(wanted, full=True)])
    return wanted, reduced_, full


def test_reduced_runs_keep_to_the_error_they_state(both: tuple[Ask, CaseTable, CaseTable]) -> None:
    wanted, quick, full = both
    assert np.array_equal(quick.values, full.values)
    miss = quick.kelvin - full.kelvin
    assert quick.held_out is not None
    assert full.held_out is None
    assert np.sqrt((miss**2).mean()) < 2.0 * quick.held_out.rms
    assert quick.held_out.rms < 0.6 * quick.held_out.uncorrected
    assert quick.held_out.rms < 0.4, (
        "0.37 K: a thermocouple off its place reads another slope on a coarse grid; see the method page"
    )
    held = [v.everything for v in full.verdicts if v is not None]
    assert 5 < sum(held) < 35, "the band is put where about half of the cases pass it"
    flips = [
        n
        for n, (a, b) in enumerate(zip(quick.verdicts, full.verdicts, strict=True))
        if a is None or b is None or a.band != b.band
    ]
    edges = ((reading.HOTTEST, HIGH), (reading.COLDEST, wanted.problem.dwell.low))
    near = np.any([np.abs(full.kelvin[:, n] - v) < quick.held_out.worst * 2.0 for n, v in edges], axis=0)
    assert all(near[n] for n in flips), "only cases within the error of the limit are judged otherwise"
    made, exact = (ensemble._counted(wanted, t) for t in (quick, full))
    assert made.method == "reduced"
    assert made.held_out_cases == ensemble.HELD_OUT
    assert made.held_out_rms == pytest.approx(quick.held_out.rms, abs=6e-4)
    # no figure of the page is off by more than the error that is printed with it
    assert made.held_out_worst is not None
    assert made.coldest == pytest.approx(exact.coldest, abs=made.held_out_worst)
    assert made.hottest == pytest.approx(exact.hottest, abs=made.held_out_worst)
    assert made.firm is not None
    assert made.perhaps is not None
    assert made.firm <= exact.everything <= made.perhaps, "the true count lies between the two"


def test_a_case_in_full_is_a_run_of_its_own(both: tuple[Ask, CaseTable, CaseTable]) -> None:
    wanted, _, full = both
    case = wanted.drawn(wanted.cases, wanted.seed + 1, FINEST)[7]
    alone = reading.run_case(case)
    assert alone.kelvin == tuple(full.kelvin[7])
    assert reading.case_verdict(wanted.problem, alone.kelvin, alone.rest, alone.began) == full.verdicts[7]


def test_counts_make_sense(both: tuple[Ask, CaseTable, CaseTable]) -> None:
    wanted, _, full = both
    made = ensemble._counted(replace(wanted, full=True), full)
    assert made.cases == 40
    assert made.method == "full"
    assert made.held_out_rms is made.held_out_worst is None
    assert made.everything == sum(v is not None and v.everything for v in full.verdicts)
    assert made.everything <= min(made.band, made.ceiling, made.limits)
    assert (made.low, made.high) == wilson(made.everything, 40)
    assert made.low < made.share < made.high
    assert made.coldest[0] < made.coldest[1] < made.coldest[2] <= made.hottest[2]


@pytest.mark.usefixtures("narrow", "rough", "few")
def test_the_same_dice_give_the_same_and_others_others() -> None:
    problem = short()
    one, two, other = likelihoods([ask(problem, 20), ask(problem, 20), ask(problem, 20, seed=5)])
    assert one.method == "reduced"
    assert one == two
    assert other != one


def test_signs_of_what_drives(
    both: tuple[Ask, CaseTable, CaseTable], narrow: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A run goes on for hours at full power: long steps and large cells serve, every case alike."""
    long = Fineness(0.050, 60.0, 1)
    monkeypatch.setattr(ensemble, "FULL", long)
    wanted, _, full = both
    few = ("draught over", "draught behind", "air", "emissivity", "core", "thermocouples")
    plain = tuple(u for u in wanted.problem.unknowns if u.name in few)
    source = replace(wanted.problem.source, power=420.0)
    weak = replace(wanted.problem, source=source, unknowns=plain, places=(0.0, 0.0), channel=0.0)
    table = case_tables([replace(wanted, problem=weak, cases=120, full=True)])[0]
    assert not table.began.any(), "a weak blanket at full power: the controller evens nothing out"
    found = {d.unknown: d for d in drivers(weak.unknowns, table.values, table.kelvin)}
    for unknown in weak.unknowns:
        ends = []
        for value in (unknown.low, unknown.high):
            values = tuple(value if u is unknown else 0.5 * (u.low + u.high) for u in weak.unknowns)
            ends.append(
                reading.run_case(reading.CaseValues(weak, wanted.spots, long, values)).kelvin[reading.COLDEST]
            )
        alone = 0.8 * (ends[1] - ends[0])  # middles of the outer fifths lie 0.8 of the range apart
        assert found[unknown.name].coldest == pytest.approx(alone, abs=0.4, rel=0.15), unknown.name
    for cools in ("draught over", "draught behind", "emissivity"):
        assert found[cools].coldest < -0.4, cools
    assert found["air"].coldest > 1.0
    sizes = [max(abs(d.coldest), abs(d.hottest)) for d in drivers(weak.unknowns, table.values, table.kelvin)]
    assert sizes == sorted(sizes, reverse=True)
    assert full.began.all()


def test_wire_that_shows_too_much_makes_the_bond_line_colder_by_it() -> None:
    problem = short()
    at = tuple(SensorSpot(n, place) for n, place in problem.sensors)
    true, hot = (outcome(problem, at, {"thermocouples": e}, FINER) for e in (0.0, 2.0))
    middle = true.dwelling & (true.times > true.window[0] + 600.0)  # type: ignore[index]
    late = hot.dwelling & (hot.times > hot.window[0] + 600.0)  # type: ignore[index]
    assert hot.coldest[late].mean() == pytest.approx(true.coldest[middle].mean() - 2.0, abs=0.5)
    assert hot.sensors[late].mean() == pytest.approx(true.sensors[middle].mean(), abs=0.5), (
        "and nobody sees it"
    )


@pytest.mark.usefixtures("rough", "few")
def test_no_chance_is_given_while_nobody_measured_what_drives() -> None:
    view = "mm"
    made = likelihood(ask(short(), 40))
    assert made.rests_on
    said = likelihood_data(made, view, short().unknowns)
    words = " ".join(str(v) for v in said.values())
    assert "%" not in f"{said['share']} {said['interval']} {said['counts']}"
    assert "if these ranges are right" in said["counts"]
    assert f"of {made.cases} cases tried" in said["counts"]
    assert "It does not know" in words
    assert made.wider is not None
    assert made.wider[1] == 10
    known = replace(made, rests_on=())
    assert "%" in likelihood_data(known, view, short().unknowns)["share"]


@pytest.mark.parametrize(("unknowns", "enough"), [(10, 35), (29, 58), (40, 80)])
def test_of_few_cases_nobody_can_say_what_drives(unknowns: int, enough: int) -> None:
    """From so many cases on a driver of 1 K is found; of fewer every range that nobody measured may drive."""
    named = tuple(Unknown(f"u{n}", "", 0.0, -1.0, 1.0, "1", "") for n in range(unknowns))
    ends = np.ones(unknowns)
    for count in (enough, 5):
        values = ensemble.reduced.latin_hypercube(count, -ends, ends, 1)
        kelvin = np.zeros((count, 7))
        kelvin[:, reading.HOTTEST] = (values[:, 0] + 0.3 * values[:, 1:].sum(axis=1)) / 1.6
        found = next(d.most for d in drivers(named, values, kelvin) if d.unknown == "u0")
        assert (found > 0.9) is (count == enough), f"{found:.2f} K of {count} cases"
    assert max(ensemble.LEAST_CASES, ensemble.TOLD_BY * unknowns) == enough


def test_no_chance_is_given_from_two_cases() -> None:
    """Their drivers are 0 by chance: it is no ground to call every range measured."""
    problem = short()
    made = likelihood(ask(problem, 2))
    assert not made.measured
    assert {u.name for u in problem.unknowns if u.basis == "assumed"} <= set(made.rests_on)


def test_measured_ranges_are_not_widened_and_not_named() -> None:
    problem = short()
    measured = tuple(
        replace(u, basis="measured", low=u.likely, high=u.likely + 1e-9) if u.basis == "assumed" else u
        for u in problem.unknowns
    )
    wanted = ask(replace(problem, unknowns=measured, channel=0.0), 12)
    low, high = wanted.ranges()
    wide_low, wide_high = wanted.ranges(1.5)
    for n, u in enumerate(reading.drawn(wanted.problem, wanted.spots)):
        same = (low[n], high[n]) == (wide_low[n], wide_high[n])
        assert same == (u.basis == "measured"), u.name
    assert likelihood(wanted).measured


def test_drivers_of_a_known_function() -> None:
    unknowns = (
        Unknown("air", "", 0.0, -3.0, 3.0, "K", ""),
        Unknown("core", "", 1.0, 0.5, 1.5, "1", ""),
        Unknown("blanket rim", "", 0.1, 0.1, 0.1, "1", ""),
    )
    values = ensemble.reduced.latin_hypercube(5000, np.array([-3.0, 0.5, 0.1]), np.array([3.0, 1.5, 0.1]), 3)
    kelvin = np.zeros((5000, 7))
    kelvin[:, reading.COLDEST] = 350.0 + 2.0 * values[:, 0]
    kelvin[:, reading.HOTTEST] = 360.0 - 5.0 * values[:, 1]
    air, core, rim = drivers(unknowns, values, kelvin)
    # means of the outer fifths of a range of width w lie 0.8 w apart
    assert (air.unknown, air.coldest, air.hottest) == (
        "air",
        pytest.approx(9.6, abs=0.02),
        pytest.approx(0.0, abs=0.1),
    )
    assert (core.unknown, core.hottest) == ("core", pytest.approx(-4.0, abs=0.02))
    assert (rim.unknown, rim.coldest, rim.hottest) == ("blanket rim", 0.0, 0.0)


@pytest.mark.usefixtures("narrow", "few")
def test_some_dwells_begin_and_some_do_not() -> None:
    problem = short()
    problem = replace(problem, source=replace(problem.source, power=680.0))
    wanted = ask(problem, 30)
    quick, full = case_tables([wanted, replace(wanted, full=True)])
    assert 5 < full.began.sum() < 25
    assert (quick.began != full.began).sum() <= 1
    assert not any(v.band or v.seen for v, b in zip(full.verdicts, full.began, strict=True) if v and not b)


@pytest.mark.usefixtures("rough")
def test_a_case_that_runs_away_holds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    real = reading.solve

    def runs_away(
        problem: HeatProblem, spots: object, values: dict[str, float], *more: object, **how: object
    ) -> object:
        if values["air"] > 2.0:
            raise SolverError("the resin runs away")
        return real(problem, spots, values, *more, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(reading, "solve", runs_away)
    wide = short()
    wide = replace(wide, legs=tuple(replace(leg, high=400.0) for leg in wide.legs))
    made = likelihood(ask(wide, 60))
    assert made.unsolved == 10, "a sixth of the range, and cases are spread evenly"
    assert made.everything <= 50
    assert made.limits == 50
    monkeypatch.setattr(reading, "solve", lambda *_, **__: runs_away(wide, (), {"air": 3.0}))
    with pytest.raises(SolverError, match="too few to put coarse runs right"):
        likelihood(ask(wide, 60))
    with pytest.raises(SolverError, match="no case could be solved"):
        likelihood(ask(wide, 10))


@pytest.mark.usefixtures("rough")
def test_the_count_is_right_about_truths_from_its_ranges_and_says_what_wider_ones_do() -> None:
    """Truths are drawn with other dice and run in full; they hold as often as the count says."""
    wanted = ask(short(), 100)
    made = likelihood(wanted)

    def truths(wider: float) -> float:
        found = [reading.run_case(c) for c in wanted.drawn(50, 77, ROUGH, wider)]
        held = [
            reading.case_verdict(wanted.problem, r.kelvin, r.rest, r.began).everything
            for r in found
            if r.solved
        ]
        return sum(held) / 50

    def apart(one: float, cases: int, other: float) -> float:
        p = max(0.05, min(0.95, 0.5 * (one + other)))
        return abs(one - other) / np.sqrt(p * (1 - p) * (1 / cases + 1 / 50))

    assert apart(made.share, made.cases, truths(1.0)) < 3.0
    assert made.wider is not None
    held, tried = made.wider
    assert apart(held / tried, tried, truths(1.5)) < 3.0
    assert held / tried < made.share + 0.05, (
        "with ranges too narrow the count is too good, and the page says so"
    )


def test_few_cases_are_run_in_full() -> None:
    assert likelihood(ask(short(), 4)).method == "full"


def test_stop_and_refusals() -> None:
    stop = threading.Event()
    with pytest.raises(Cancelled):
        likelihood(ask(short(), 500), tell=lambda words: stop.set(), stop=stop)
    with pytest.raises(InputError, match="2 to 1,000,000"):
        ask(short(), 1)
    with pytest.raises(InputError, match="nothing is unknown"):
        ask(short(unknowns=()))
    with pytest.raises(InputError, match="no count"):
        wilson(5, 4)
    bad = short()
    bad = replace(bad, legs=tuple(replace(leg, target=500.0) for leg in bad.legs))
    with pytest.raises(
        SolverError, match=r"case 1 of 6 \(Repair plies: draught over .*a dwell above the maximum"
    ):
        likelihood(ask(bad, 4), on=run_on("threads:1"))


def test_thermocouples_of_a_prediction_are_those_it_was_made_with() -> None:
    made = predict(short(), fine=FINER, advice=False)
    spots = spots_of(made)
    assert [s.id for s in spots] == [s.id for s in made.sensors]
    assert [s.id for s in spots if not s.count] == [s.id for s in made.sensors if s.role == "check"]
    case = Ask(short(), spots, 4).drawn(4, 1, FINER)[0]
    assert reading.run_case(case).began


def test_workers_are_used_again(pool: Workers) -> None:
    assert likelihood(ask(short(), 6), on=pool) == likelihood(ask(short(), 6), on=pool)


@pytest.fixture
def pool() -> object:
    from panelmend.predict.many_cases import workers

    with workers(run_on("threads:2")) as ready:
        yield ready
