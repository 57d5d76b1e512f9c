"""What is no evidence does not conform: leak tests, spans without movement, clocks, gauges, old logs."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta

import numpy as np
import pytest

from made_curelog import AIR, INHG, Made, made_cure
from panelmend.errors import InputError
from panelmend.plan.judge import CureLog, LeakReading, Outcome, SensorRule, Verdict, judge, look
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.doubt import SeenOfSensor
from panelmend.plan.judge.holes import peak, trough
from panelmend.plan.judge.order import times_in_order
from panelmend.plan.judge.rules_job import JobTimes
from recipe_curelog import LEAKY, RECIPE, against, at, cut, f, with_dwell

# written out: a number taken from the code would move with it
OFF, ON, SLACK = 0.5, 3.0, timedelta(minutes=1)


UNKNOWN, CONFORMS, DOES_NOT = Outcome.UNKNOWN, Outcome.CONFORMS, Outcome.DOES_NOT


# --- leak test --------------------------------------------------------------------------------------------


def leak(start: float, end: float, seconds: float = 60.0, gauge: str = "below ambient") -> Verdict:
    return judge(LEAKY, made_cure(1).log(), leak=LeakReading(start * INHG, end * INHG, seconds, gauge))


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (0.0, 0.0, "starts below the least vacuum"),
        (20.0, 20.0, "starts below the least vacuum"),
        (0.5, 0.4, "starts below the least vacuum"),
        (20.0, 26.0, "rises with the pump shut off"),
        (24.2, 24.6, "rises with the pump shut off"),
        (50 / 33.86389, 80 / 33.86389, "rises with the pump shut off"),
        (-24.6, -24.2, "above the air pressure is no vacuum"),
        (31.2, 31.1, "cannot give such a vacuum"),
        (240.0, 239.9, "cannot give such a vacuum"),
    ],
)
def test_two_readings_that_are_no_leak_test_cannot_be_judged(start: float, end: float, words: str) -> None:
    verdict = leak(start, end)
    assert verdict.outcome is UNKNOWN
    assert words in against(verdict)["leak test"]
    assert "gauge counts: below ambient" in against(verdict)["leak test"]


def test_the_least_vacuum_of_a_leak_test_is_probed_on_both_sides() -> None:
    assert leak(22.0, 21.5).outcome is CONFORMS
    assert leak(21.99, 21.5).outcome is UNKNOWN
    assert leak(22.0, 22.0).outcome is CONFORMS
    assert leak(22.0, 22.001).outcome is UNKNOWN
    most = (104e3 + 1e3) / INHG
    assert leak(most - 0.01, most - 0.1).outcome is CONFORMS
    assert leak(most + 0.01, most - 0.1).outcome is UNKNOWN
    log = made_cure(1).log()
    thin = judge(LEAKY, log, ambient=90e3, leak=LeakReading(91.1e3, 91e3, 60.0))
    assert "cannot give such a vacuum" in against(thin)["leak test"]
    assert "leak test" not in against(judge(LEAKY, log, ambient=90e3, leak=LeakReading(90.9e3, 90.8e3, 60.0)))


def test_a_gauge_whose_sense_nobody_knows_is_no_leak_test() -> None:
    assert "nobody said how the gauge counts" in against(leak(24.6, 24.2, gauge=""))["leak test"]
    with pytest.raises(InputError, match="gauge"):
        LeakReading(1.0, 1.0, 60.0, "upwards")


# --- clock ------------------------------------------------------------------------------------------------


def test_one_small_step_back_is_put_right_and_said() -> None:
    made = made_cure(1)
    made.times[400:] -= 12.0  # 2 s back at 10 s sampling
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is CONFORMS
    assert any(
        (x.code == c.ODD_STAMP.code and "402" in x.words) or "401" in x.words for x in verdict.findings
    )


@pytest.mark.parametrize("ahead", [300.0, 3600.0, 86400.0, -3600.0])
@pytest.mark.parametrize("count", [1, 3, 5])
def test_samples_whose_stamps_leave_the_clock_and_come_back_keep_their_place(
    ahead: float, count: int
) -> None:
    made = made_cure(1)
    made.times[400 : 400 + count] += ahead
    ordered = times_in_order(made.log())
    assert ordered.sure
    assert len(ordered.log) == len(made.times)
    made.times[400 : 400 + count] -= ahead
    assert np.allclose(ordered.log.times, made.times - made.times[0])
    made.times[400 : 400 + count] += ahead
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is CONFORMS, against(verdict)
    assert any(x.code == c.ODD_STAMP.code and "401" in x.words for x in verdict.findings)


def test_a_clock_set_back_for_good_is_not_judged() -> None:
    made = made_cure(1)
    made.times[400:] -= 437.0
    assert not times_in_order(made.log()).sure
    assert judge(RECIPE, made.log()).outcome is UNKNOWN


def runaway() -> Made:
    made = made_cure(1)
    made.temps += (np.clip((made.times - 4500) / 1800, 0, 1) * 20)[:, None]
    return made


def seen(log: CureLog, rows: int) -> set[str]:
    channels = tuple(dataclasses.replace(x, values=x.values[:rows].copy()) for x in log.channels)
    part = dataclasses.replace(
        log, times=log.times[:rows].copy(), lines=log.lines[:rows].copy(), channels=channels
    )
    return {a.finding.code for a in look(RECIPE, part).alarms}


@pytest.mark.parametrize("slip", ["2 s back", "hour ahead once", "day ahead once", "hour back for good"])
def test_no_slip_of_the_clock_silences_the_watch(slip: str) -> None:
    made = runaway()
    clean = made.log()
    at_row = 440
    if slip == "2 s back":
        made.times[at_row:] -= 12.0
    elif slip == "hour back for good":
        made.times[at_row:] -= 3600.0
    else:
        made.times[at_row] += 3600.0 if "hour" in slip else 86400.0
    rows = range(480, 600, 10)
    assert any(c.TOP_SOON.code in seen(clean, n) for n in rows)
    warned = [n for n in rows if c.TOP_SOON.code in seen(made.log(), n)]
    sound = [n for n in rows if c.TOP_SOON.code in seen(clean, n)]
    assert warned == sound


def test_the_newest_stamp_far_ahead_waits_and_does_not_count_as_a_reading() -> None:
    made = made_cure(1)
    log = made.log()

    def now(rows: int, ahead: float) -> int:
        times = log.times[:rows].copy()
        times[-1] += ahead
        channels = tuple(dataclasses.replace(x, values=x.values[:rows].copy()) for x in log.channels)
        return look(
            RECIPE, dataclasses.replace(log, times=times, lines=log.lines[:rows].copy(), channels=channels)
        ).judged

    assert now(400, 0.0) == 400
    assert now(400, 3600.0) == 399


# --- nothing moved ----------------------------------------------------------------------------------------


def frozen(made: Made, begin: float, end: float, *, vacuum: bool = True) -> Made:
    rows = (made.times >= begin) & (made.times < end)
    first = int(np.flatnonzero(rows)[0])
    made.temps[rows] = made.temps[first]
    if vacuum:
        made.vacuum[rows] = made.vacuum[first]
    return made


@pytest.mark.parametrize("places", [1, 2])
@pytest.mark.parametrize(("begin", "minutes"), [(3800.0, 15.0), (4200.0, 20.0), (1800.0, 15.0)])
def test_a_stay_of_everything_is_a_hole(places: int, begin: float, minutes: float) -> None:
    for seed in (1, 2, 3):
        made = made_cure(seed)
        made.temps = np.round(made.temps - 273.15, places) + 273.15
        assert judge(RECIPE, made.log()).outcome is CONFORMS
        verdict = judge(RECIPE, frozen(made, begin, begin + 60 * minutes).log())
        assert verdict.outcome is not CONFORMS
        assert c.FROZEN.code in {x.code for x in verdict.findings}


def test_thirteen_minutes_below_the_band_are_not_hidden_by_a_stay() -> None:
    made = made_cure(1, dwell=4000.0)
    cold = (made.times > 4000) & (made.times < 4780)
    made.temps[cold] -= 12.0
    assert judge(RECIPE, frozen(made, 3990.0, 4790.0).log()).outcome is not CONFORMS


def test_a_gauge_that_stays_from_the_ramp_past_the_release_shows_nothing() -> None:
    made = made_cure(1)
    at_row = int(np.argmax(made.times > 1500))
    made.vacuum[at_row:] = made.vacuum[at_row]
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is UNKNOWN
    assert "vacuum" in against(verdict)
    coarse = made_cure(1)
    coarse.vacuum = np.round(coarse.vacuum / INHG) * INHG  # a coarse gauge that shows pump-down and release
    assert judge(RECIPE, coarse.log()).outcome is CONFORMS


# --- gauges -----------------------------------------------------------------------------------------------


def test_a_gauge_that_shows_air_where_there_is_no_vacuum_counts_the_other_way() -> None:
    real = made_cure(1, vacuum=4 * INHG)  # 4 inHg of vacuum, read as absolute and the other way round
    real.vacuum = AIR - real.vacuum
    verdict = judge(RECIPE, real.log())
    assert verdict.outcome is not CONFORMS
    assert c.V_SENSE.code in {x.code for x in verdict.findings}
    late = made_cure(1)
    late.vacuum[late.times > late.times[-1] - 280] = 28.9 * INHG
    assert c.V_SENSE.code in {x.code for x in judge(RECIPE, late.log()).findings}


def test_air_that_differs_from_the_bay_cannot_be_judged() -> None:
    log = dataclasses.replace(made_cure(1).log(), ambient=101325.0)
    assert judge(RECIPE, log, ambient=101325.0 - 2.9e3).outcome is CONFORMS
    verdict = judge(RECIPE, log, ambient=101325.0 - 3.1e3)
    assert verdict.outcome is UNKNOWN
    assert "air pressure" in against(verdict)


# --- thermocouples in doubt -------------------------------------------------------------------------------


def test_an_ordinary_spread_is_not_taken_for_a_wrong_wire() -> None:
    wide = with_dwell(band_low=at(f(225), "s"), band_high=at(f(275), "s"), spread_most=None)
    for share in (0.88, 0.9, 0.92, 1.06, 1.1):
        made = made_cure(1)
        made.temps[:, 1] = 294 + (made.temps[:, 1] - 294) * share
        verdict = judge(dataclasses.replace(wide, ceiling=None), made.log())
        assert c.WRONG_WIRE.code not in {x.code for x in verdict.findings}, share
        assert c.V_MISSING.code not in {x.code for x in verdict.findings}


def test_a_statement_needs_evidence_a_name_and_an_inspector_or_engineer() -> None:
    with pytest.raises(InputError, match="inspector"):
        SeenOfSensor("TC1", "lead cut", "A. Reyes", "technician")
    with pytest.raises(InputError, match="evidence"):
        SeenOfSensor("TC1", " ", "A. Reyes", "engineer")


def test_a_cold_thermocouple_is_never_stated_away() -> None:
    made = made_cure(1)
    made.temps[:, 1] -= 11.0 * np.clip((made.times - 1500) / 1500, 0, 1)
    lenient = dataclasses.replace(RECIPE, sensors=SensorRule(3, "note", may_fail=1))
    verdict = judge(
        lenient, made.log(), statements=(SeenOfSensor("TC2", "lead cut", "A. Reyes", "inspector"),)
    )
    assert verdict.outcome is UNKNOWN
    assert "without: conforms" in against(verdict)["thermocouple in doubt"]


def test_an_offset_that_hides_a_cold_place_cannot_be_judged() -> None:
    made = made_cure(1)
    made.temps[:, 1] += 9.0  # reads 9 K too much and lies on a place 9 K too cold
    made.temps[:, 1] -= 9.0 * np.clip((made.times - 1500) / 1500, 0, 1)
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is not CONFORMS


# --- holes ------------------------------------------------------------------------------------------------


def test_bounds_in_a_hole_come_from_its_sides() -> None:
    assert peak(300.0, 300.0, 70.0) == pytest.approx(300 + ON * OFF * 70 / (ON + OFF))
    assert trough(300.0, 300.0, 70.0) == pytest.approx(300 - ON * OFF * 70 / (ON + OFF))
    assert peak(300.0, 400.0, 1.0) == 400.0
    assert (ON, OFF) == (3.0, 0.5)


def test_a_minute_is_unbroken_and_more_is_a_hole() -> None:
    assert judge(RECIPE, cut(made_cure(1), 1500.0, 1540.0).log()).outcome is CONFORMS
    assert judge(RECIPE, cut(made_cure(1), 1500.0, 1560.0).log()).outcome is CONFORMS
    longer = judge(RECIPE, cut(made_cure(1), 1500.0, 1570.0).log())
    assert longer.outcome is UNKNOWN
    assert set(against(longer)) == {"vacuum"}, "the ceiling is out of reach there, the vacuum is not shown"
    assert judge(RECIPE, cut(made_cure(1), 1500.0, 1570.0).log(), longest_gap=70.0).outcome is CONFORMS


def test_a_hole_near_the_top_could_hide_a_peak() -> None:
    verdict = judge(dataclasses.replace(RECIPE, vacuum=None), cut(made_cure(1), 4200.0, 4300.0).log())
    assert verdict.outcome is UNKNOWN
    assert "top of the band" in against(verdict)


def test_uneven_sampling_of_five_to_forty_seconds_is_judged() -> None:
    random = np.random.default_rng(3)
    fine = made_cure(1, step=1.0)
    steps = np.cumsum(random.uniform(5, 40, 1000)).astype(int)
    rows = steps[steps < fine.times.size]
    made = Made(fine.times[rows], fine.temps[rows], fine.vacuum[rows], fine.set_point[rows], fine.names)
    assert judge(RECIPE, made.log()).outcome is CONFORMS


# --- the log of this job ----------------------------------------------------------------------------------

BEGUN = datetime(2026, 11, 25, 8, 0)


def job(first: timedelta, last: timedelta, **more: object) -> Verdict:
    """Of a log without a vacuum, whose course would tell more of the times."""
    made = made_cure(1)
    log = made.log()
    log = dataclasses.replace(log, channels=tuple(x for x in log.channels if x.name != "Vacuum"))
    rise = log.channel("TC1").values
    begin = min(
        float(log.times[np.argmax(x.values > x.values[0] + 5.0)])
        for x in log.channels
        if x.name.startswith("TC")
    )
    tops = [x.values for x in log.channels if x.name.startswith("TC")]
    top = max(float(v.max()) for v in tops)
    end = max(float(log.times[np.flatnonzero(v > v[0] + 0.5 * (top - v[0]))[-1]]) for v in tops)
    assert rise.size
    on = BEGUN + timedelta(seconds=begin) + first
    opened = BEGUN + timedelta(seconds=end) + last
    dry = dataclasses.replace(RECIPE, vacuum=None)
    return judge(dry, log, job=JobTimes(on, opened, "A. Reyes", **more))  # type: ignore[arg-type]


def test_a_log_of_another_time_does_not_conform() -> None:
    assert job(timedelta(), timedelta()).outcome is CONFORMS
    tick = timedelta(seconds=1)
    assert job(SLACK - tick, timedelta()).outcome is CONFORMS
    assert job(SLACK + tick, timedelta()).outcome is UNKNOWN
    assert job(timedelta(), -SLACK + tick).outcome is CONFORMS
    assert job(timedelta(), -SLACK - tick).outcome is UNKNOWN
    years = timedelta(days=7 * 365)
    late = job(years, years)
    assert late.outcome is UNKNOWN
    assert c.OTHER_JOB.code in {x.code for x in late.findings}


def test_a_log_that_served_another_operation_or_nobody_dates_is_not_judged() -> None:
    assert "log used once" in against(job(timedelta(), timedelta(), served="'Core' of repair R-1"))
    log = made_cure(1).log()
    assert "nobody said when" in against(judge(RECIPE, log, job=JobTimes(None, None)))["log of this job"]
    bare = dataclasses.replace(log, started="")
    window = (BEGUN, BEGUN + timedelta(hours=6), "A. Reyes")
    assert "no dates" in against(judge(RECIPE, bare, job=JobTimes(*window)))["log of this job"]
    assert judge(RECIPE, bare, job=JobTimes(*window, BEGUN)).outcome is CONFORMS
    with pytest.raises(InputError, match="fit"):
        JobTimes(BEGUN, BEGUN - timedelta(minutes=1))
