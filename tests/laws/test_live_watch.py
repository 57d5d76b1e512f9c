"""A running cure: alarms come before the event, clean runs have none, time left is about right."""

from __future__ import annotations

import dataclasses
import importlib

import numpy as np
import pytest

from made_curelog import INHG, Made, lagged, made_cure
from panelmend.plan.judge import CureLog, Predicted, look
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, f

frames = importlib.import_module("panelmend.curelog.live.frame")
QUIET = {c.DONE.code, c.HOLD_VACUUM.code}  # notices, no alarms


def until(log: CureLog, time: float) -> CureLog:
    n = int(np.searchsorted(log.times, time, side="right"))
    channels = tuple(dataclasses.replace(x, values=x.values[:n].copy()) for x in log.channels)
    return dataclasses.replace(log, times=log.times[:n].copy(), lines=log.lines[:n].copy(), channels=channels)


def first_alarm(log: CureLog, code: str, every: float = 60.0) -> float:
    for t in np.arange(120.0, log.times[-1], every):
        if any(a.finding.code == code for a in look(RECIPE, until(log, t)).alarms):
            return float(t)
    return float("inf")


def test_no_false_alarm_in_clean_runs() -> None:
    looks, false = 0, []
    for seed in range(6):
        made = made_cure(seed, step=(10.0, 20.0, 30.0)[seed % 3], noise=(0.1, 0.25)[seed % 2])
        log = made.log()
        for t in np.arange(120.0, log.times[-1], 120.0):
            looks += 1
            now = look(RECIPE, until(log, t))
            false += [(seed, t, a.finding.words) for a in now.alarms if a.finding.code not in QUIET]
    assert looks > 450
    assert false == []


def too_hot(m: Made) -> float:
    creep = np.clip((m.times - 4500) / 1800, 0, 1) * 20
    m.temps += creep[:, None]
    return float(m.times[np.argmax(m.temps.max(axis=1) > f(260))])


def vacuum_falls(m: Made) -> float:
    m.vacuum -= np.clip((m.times - 4000) / 900, 0, 1) * 5 * INHG
    return float(m.times[(m.times > 4000) & (m.vacuum < 22 * INHG)][0])


def cools_out(m: Made) -> float:
    m.temps -= (np.clip((m.times - 4000) / 1200, 0, 1) * 15)[:, None]
    return float(m.times[(m.times > 4000) & (m.temps.min(axis=1) < f(240))][0])


@pytest.mark.parametrize(
    ("plant", "code"),
    [(too_hot, c.TOP_SOON.code), (vacuum_falls, c.VACUUM_SOON.code), (cools_out, c.BAND_SOON.code)],
)
def test_the_alarm_comes_before_the_event(plant: object, code: str) -> None:
    for seed in range(3):
        made = made_cure(seed)
        event = plant(made)  # type: ignore[operator]
        warned = first_alarm(made.log(), code)
        assert warned <= event - 120.0, f"seed {seed}: warned at {warned:.0f} s, event at {event:.0f} s"


def test_a_ramp_that_grows_too_fast_is_told_before_the_window_is_full() -> None:
    made = made_cure(1, rate=2.5 / 60)
    extra = np.clip((made.times - 1500) / 60, 0, None)
    steep = np.where(made.times < 1500, 0, np.minimum(extra * 1.5, 20))
    made.temps += lagged(made.times, steep, 30)[:, None]
    warned = first_alarm(made.log(), c.RAMP_SOON.code, 30.0)
    assert 1500 < warned < 1500 + 600


def test_a_lost_sensor_is_told_at_once_and_silence_is_noticed() -> None:
    made = made_cure(1)
    made.temps[400:, 2] = 1645.0
    now = look(RECIPE, until(made.log(), float(made.times[402])))
    lost = [a for a in now.alarms if a.finding.code == c.SENSOR_NOW.code]
    assert lost
    assert "TC3" in lost[0].finding.words
    assert now.working == 5
    assert any(a.finding.code == c.SILENT.code for a in look(RECIPE, made.log(), silent=90.0).alarms)
    assert not any(a.finding.code == c.SILENT.code for a in look(RECIPE, made.log(), silent=12.0).alarms)


def test_time_left_in_ramp_and_dwell() -> None:
    made = made_cure(1)
    log = made.log()
    entry = float(made.times[np.argmax(made.temps.min(axis=1) >= f(240))])
    ramp = look(RECIPE, until(log, entry - 900))
    assert (ramp.segment, ramp.kind) == ("heat-up", "ramp")
    assert ramp.left == pytest.approx(900, rel=0.15)
    dwell = look(RECIPE, until(log, entry + 1200))
    assert dwell.segment == "cure"
    assert dwell.left == pytest.approx(2400, abs=60)
    done = look(RECIPE, until(log, entry + 3700))
    assert done.left == 0
    assert [a.finding.code for a in done.alarms] == [c.DONE.code]
    cool = look(RECIPE, until(log, entry + 6000))
    assert cool.segment == "cool-down"
    assert c.HOLD_VACUUM.code in {a.finding.code for a in cool.alarms}


def test_a_corrected_model_tells_the_time_left_better_than_the_present_rate() -> None:
    """The panel follows the model's curve 1.25 times as slowly; the curve bends, so a straight line errs."""
    curve_t = np.arange(0.0, 12000.0, 20.0)
    curve = 294 + 105 * (1 - np.exp(-curve_t / 2200))
    made = made_cure(1, step=20.0, noise=0.05)
    made.temps = (
        294
        + 105 * (1 - np.exp(-np.clip(made.times - 600, 0, None) / 1.25 / 2200))[:, None]
        - np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0]) * np.clip((made.times - 600) / 1000, 0, 1)[:, None]
    )
    log, model = made.log(), Predicted(tuple(curve_t), tuple(curve))
    entry = float(made.times[np.argmax(made.temps.min(axis=1) >= f(240))])
    for before in (4000.0, 3000.0, 2000.0):
        part = until(log, entry - before)
        straight, modelled = look(RECIPE, part).left, look(RECIPE, part, predicted=model).left
        assert abs(modelled - before) < 0.15 * before
        assert abs(modelled - before) < 0.5 * abs(straight - before)


def test_a_cure_far_from_its_prediction_is_told() -> None:
    made = made_cure(1, step=20.0, noise=0.05)
    log = until(made.log(), float(made.times[0]) + 3600.0)
    slowest = made.temps.min(axis=1)
    begun = next(t for t, v in zip(made.times, made.temps.max(axis=1), strict=True) if v > slowest[0] + 5.0)
    since = made.times - begun

    def told(shift: float) -> tuple[set[str], float]:
        keep = since >= 0.0
        model = Predicted(tuple(since[keep] + 1.0), tuple(slowest[keep] + shift))
        now = look(RECIPE, log, predicted=model)
        return {a.finding.code for a in now.alarms} & {c.BEHIND.code, c.AHEAD_OF_IT.code}, now.expected

    codes, expected = told(0.0)
    assert codes == set()
    assert expected == pytest.approx(look(RECIPE, log).lowest, abs=1.0)
    assert told(15.0)[0] == {c.BEHIND.code}
    assert told(-15.0)[0] == {c.AHEAD_OF_IT.code}


class Given:
    """A source that has a log and gets longer when told."""

    def __init__(self, log: CureLog) -> None:
        self.whole, self.time = log, 0.0

    def __len__(self) -> int:
        return int((self.whole.times <= self.time).sum())

    def log(self) -> CureLog:
        return until(self.whole, self.time)


def test_silence_is_told_with_the_age_of_the_newest_reading_that_counts(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = made_cure(1)
    made.times[450:] += (
        3600.0 * 24
    )  # from here on every stamp is a day ahead: a gap at first, then the new clock
    blank = made_cure(2)
    blank.temps[450:] = np.nan  # messages go on, but hold no thermocouple
    for m, told_at in ((made, 4600.0), (blank, 4600.0)):
        clock = [0.0]
        monkeypatch.setattr(frames.time, "monotonic", lambda clock=clock: clock[0])
        source = Given(m.log())
        picture = frames._Picture(RECIPE, 78, "mm", False, None, lambda: 3)
        source.time = 4490.0
        assert "counts is" not in picture.of(source)
        clock[0] = 20.0
        source.time = 4495.0
        assert "counts is" not in picture.of(source), "two samples late is no silence"
        clock[0], source.time = 40.0, told_at
        words = picture.of(source)
        flat = " ".join(words.split())  # the line is broken where the picture ends
        assert "NOW: No readings are coming in: the newest reading that counts is 40 s old" in flat
        assert "3 messages refused" in words


def test_an_overshoot_that_levels_off_is_no_stop_and_a_creep_is() -> None:
    def bent(rate: float, decay: float) -> set[str]:
        made = made_cure(1, noise=0.01)
        since = np.clip(made.times - 4200.0, 0, None)
        rise = rate * (decay * (1 - np.exp(-since / decay)) if decay else since)
        made.temps += rise[:, None]
        return {a.finding.code for a in look(RECIPE, until(made.log(), 4200.0 + 300.0)).alarms}

    assert c.TOP_SOON.code in bent(0.012, 0.0)
    assert c.TOP_SOON.code not in bent(0.012, 200.0), "it ends 2.4 K up, 4 K below the top of the band"
