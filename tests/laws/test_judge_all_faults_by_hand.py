"""All faults of a log together, a thermocouple that is the set point, and doubts, at their very edges: each
outcome is written by hand for what lies exactly on the edge, and beside it."""

from __future__ import annotations

import inspect
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit
from panelmend.plan.judge import codes, doubt, faults, faults_frozen
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog, FloatArray, LogReadings
from panelmend.plan.judge.spans import Span

NAN = float("nan")


def _couple(name: str, values: Any) -> Channel:
    return Channel(name, ChannelRole.THERMOCOUPLE, "temperature", np.array(values, np.float64))


def _log(*channels: Channel, step: float = 10.0, **more: Any) -> CureLog:
    return CureLog(np.arange(channels[0].values.size) * step, channels, **more)


def _noisy(seed: int, count: int) -> FloatArray:
    return np.random.default_rng(seed).normal(0.0, 0.5, count)


# all together


def test_faults_of_one_channel() -> None:
    some: Any = Made(faults=(Made(channel="T1"), Made(channel="T2"), Made(channel="T1")))
    assert faults.Checked.of(some, "T1") == (some.faults[0], some.faults[2])


@pytest.mark.parametrize(("odd", "kept"), [(99.5e3, True), (100.5e3, True), (101.5e3, False)])
def test_a_vacuum_a_little_beyond_the_air_is_a_reading(odd: float, kept: bool) -> None:
    """One that is more than a thousand pascals beyond it, in few rows, is a code of the logger."""
    values = 60e3 + 64.0 * (np.arange(100) % 5)
    values[50] = odd
    gauge = Channel("V1", ChannelRole.VACUUM, "pressure", values)
    checked = faults.check_readings(_log(_couple("T1", 300.0 + _noisy(1, 100)), gauge, ambient=100e3))
    assert bool(np.isfinite(checked.vacuum[50, 0])) is kept


def test_a_thermocouple_alone_misses_cells_too() -> None:
    values = 300.0 + _noisy(1, 100)
    values[20:24] = NAN
    one = faults.check_readings(_log(_couple("T1", values)))
    assert codes.MISSING.code in {f.finding.code for f in one.of("T1")}
    both = faults.check_readings(_log(_couple("T1", values), _couple("T2", values + _noisy(2, 100))))
    assert codes.MISSING.code not in {f.finding.code for f in both.faults}  # none was read in those rows


def test_a_stay_in_a_long_log_is_looked_for_in_all_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(faults, "MOST_COMPARED", 100)
    rise = 300.0 + np.arange(400) / 4.0
    columns = [rise + _noisy(k, 400) for k in range(4)]
    columns[0][100:250] = columns[0][100]
    log = _log(*(_couple(f"T{k}", c) for k, c in enumerate(columns)))
    found = faults._beside(log, ("T0", "T1", "T2", "T3"), np.column_stack(columns))
    told = [(f.channel, f.time, f.lost) for f in found if f.finding.code == codes.STUCK.code]
    assert told == [("T0", 1000.0, True)]


@pytest.mark.parametrize(("wide", "told"), [(5.0, False), (5.25, True)])
def test_channels_that_moved_by_more_than_five_kelvin_may_be_twins(wide: float, told: bool) -> None:
    values = 300.0 + np.resize([0.0, 1.5, 0.25, wide, 2.0], 60)
    log = _log(_couple("T1", values), _couple("T2", values))
    found = faults._twins(log, ("T1", "T2"), LogReadings(np.column_stack([values, values])))
    assert [(f.finding.code, f.channel) for f in found] == [(codes.TWIN.code, "T2")] * told


def test_some_samples_that_could_repeat() -> None:
    """At once, one sample earlier or later, or by a steady shift; not two samples later."""
    some = np.arange(0, 199)
    a, noise = _noisy(1, 200), _noisy(2, 200)
    for other in (a, np.roll(a, 1), np.roll(a, -1), a + 2.0):
        assert faults._could_repeat(a, other, some)
    for other in (noise, np.roll(a, 2), np.roll(a, -2), -a):
        assert not faults._could_repeat(a, other, some)
    assert faults._sampled(200).tolist() == list(range(199))


@pytest.mark.parametrize(("noise", "told"), [(0.01, False), (0.0101, True)])
def test_curves_without_noise_may_run_beside_each_other(
    noise: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults, "noise_of", lambda values: noise)
    a = np.arange(100.0)
    assert faults._repeats(a, a + 2.0).startswith(", shifted by") is told
    assert faults._repeats(a, a) == " "


@pytest.mark.parametrize(("stays", "told"), [(50, ", one sample late"), (51, "")])
def test_a_channel_that_changes_in_half_of_the_samples_may_be_late(
    stays: int, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults, "noise_of", lambda values: 1.0)
    steps = np.resize([1.0, -2.0, 3.0], 100)
    steps[np.linspace(0, 99, stays).astype(int)] = 0.0
    a = np.concatenate([[0.0], np.cumsum(steps)])
    assert (np.diff(a) == 0.0).sum() == stays
    b = np.append(a[1:], 99.0)
    assert faults._repeats(a, b) == told


@pytest.mark.parametrize(("off", "told"), [(1e-6, False), (0.9e-6, True)])
def test_a_steady_shift_is_steady_to_a_millionth(
    off: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults, "noise_of", lambda values: 1.0)
    a = np.resize([1.0, 3.0, 2.0, 5.0], 100)
    a[::20] = 0.0
    b = a + np.where(a == 0.0, off, 0.0)
    assert bool(faults._repeats(a, b)) is told


# a thermocouple that is the set point


def _is_set_point(wanted: FloatArray, values: FloatArray, step: float = 60.0) -> bool:
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", np.array(wanted))
    log = _log(_couple("T1", values), point, step=step)
    found = faults._set_points(log, ("T1",), LogReadings(values[:, None]))
    assert {f.finding.code for f in found} <= {codes.TWIN.code}
    return bool(found)


def _ramp(count: int, begin: int, end: int, by: float, start: float = 300.0) -> FloatArray:
    """Flat, up by so much each sample, and flat again."""
    return start + by * np.clip(np.arange(count) - begin, 0.0, end - begin).astype(np.float64)


OFF = 5.0 + np.resize([0.13, 0.29, 0.41], 2000)  # K below it, in fine digits


def test_only_a_set_point_that_rises_by_more_than_a_kelvin_in_two_minutes_tells(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Followed without lag where it does, and with some where it rises by one kelvin."""
    wanted = _ramp(400, 40, 160, 0.5) + _ramp(400, 160, 280, 0.125, 0.0)
    values = wanted - OFF[:400]
    values[36:165] = (wanted + 0.01 * np.sin(np.arange(400)))[36:165]
    for some in (3000, 100):
        monkeypatch.setattr(faults, "SOME", some)
        assert _is_set_point(wanted, values, 15.0)
        assert not _is_set_point(wanted, wanted - OFF[:400], 15.0)


@pytest.mark.parametrize(("missing", "told"), [(0, True), (1, False)])
def test_one_sample_in_twenty_on_the_set_point_is_enough_to_look(missing: int, told: bool) -> None:
    """Of 420 samples twenty-one, all those in which it rises."""
    wanted = _ramp(420, 200, 220, 2.0)
    if not told:
        wanted = _ramp(420, 200, 219, 2.0)  # it then rises in twenty samples
    values = wanted - OFF[:420]
    values[200:221] = wanted[200:221]
    values[220:] -= missing
    assert _is_set_point(wanted, values) is told


@pytest.mark.parametrize(("by", "told"), [(1.0, False), (1.0625, True)])
def test_a_set_point_that_moved_by_more_than_thirty_kelvin(by: float, told: bool) -> None:
    wanted = _ramp(420, 200, 230, by)
    values = wanted + 0.01 * np.sin(np.arange(420))
    assert _is_set_point(wanted, values) is told


@pytest.mark.parametrize(("odd", "told"), [(3, True), (4, False)])
def test_of_some_samples_of_a_rise_eighty_eight_in_a_hundred_follow(
    odd: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every eighth of 800 is looked at first: 25 in the rise, of which three stand off by chance."""
    monkeypatch.setattr(faults, "SOME", 100)
    wanted = _ramp(800, 200, 392, 0.5)
    values = wanted + 0.01 * np.sin(np.arange(800))
    values[208 : 208 + 8 * odd : 8] -= 1.0
    assert _is_set_point(wanted, values, 15.0) is told


@pytest.mark.parametrize("some", [3000, 100])
def test_a_tenth_of_a_kelvin_is_on_the_set_point(some: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The room is given here, so that it is met to the last bit."""
    monkeypatch.setattr(faults, "SOME", some)
    monkeypatch.setattr(faults, "ON_SET_POINT", 0.125)
    wanted = _ramp(400, 100, 300, 0.3125)
    assert _is_set_point(wanted, wanted - 0.125, 15.0)
    assert not _is_set_point(wanted, wanted - 0.1328125, 15.0)


@pytest.mark.parametrize("some", [3000, 100])
def test_holes_of_a_set_point_hide_nothing(some: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cell that is missing is no fall to nothing and no rise from there."""
    monkeypatch.setattr(faults, "SOME", some)
    wanted = _ramp(400, 100, 220, 0.5)
    values = wanted - OFF[:400]
    values[95:226] = (wanted + 0.01 * np.sin(np.arange(400)))[95:226]
    wanted[240:400:16] = NAN
    assert _is_set_point(wanted, values, 15.0)
    assert not _is_set_point(np.full(400, NAN), values, 15.0)


def test_a_set_point_read_in_every_second_sample_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a long log none of the samples that are looked at first may show it."""
    monkeypatch.setattr(faults, "SOME", 100)
    wanted = _ramp(400, 100, 220, 0.5)
    values = wanted + 0.01 * np.sin(np.arange(400))
    wanted[::2] = NAN
    assert _is_set_point(wanted, values, 15.0)
    assert not _is_set_point(wanted, values - OFF[:400], 15.0)


def test_what_the_set_point_did_while_nothing_was_read_tells_nothing() -> None:
    wanted = _ramp(420, 200, 240, 1.0)
    values = wanted - OFF[:420]
    values[199:242] = (wanted + 0.01 * np.sin(np.arange(420)))[199:242]
    wanted[260:400:8] += 50.0
    values[260:400:8] = NAN
    assert _is_set_point(wanted, values)


# a doubt


@pytest.mark.parametrize(
    ("low", "found", "at", "hidden"),
    [
        (385.0, True, 100.0, True),  # the last moment of the dwell counts
        (385.0, True, 0.0, True),
        (385.0, True, 101.0, False),
        (385.0, False, 50.0, False),
        (None, True, 50.0, False),
    ],
)
def test_an_offset_that_hides_a_place_below_the_band(
    low: float | None, found: bool, at: float, hidden: bool
) -> None:
    """Nine kelvins less are below the band at one sample alone."""
    times = np.array(sorted({0.0, 50.0, 100.0, 101.0}))
    values = np.where(times == at, 390.0, 399.0)
    e: Any = Made(times=times, log=Made(channel=lambda name: Made(values=values)))
    segment = Made(band_low=None if low is None else limit(low), band_high=None)
    s: Any = Made(segment=segment, found=found, spans=(Span(0.0, 100.0),))
    f: Any = Made(channel="T1", shift=9.0)
    assert doubt._hidden(e, f, (s,)) is hidden
    s.spans = ()
    assert doubt._hidden(e, f, (s,)) is False


@pytest.mark.parametrize(("at", "hidden"), [(396.5, False), (396.75, True), (384.5, False), (384.25, True)])
def test_an_offset_hides_a_place_half_a_kelvin_out_of_the_band(at: float, hidden: bool) -> None:
    times = np.array([0.0, 50.0, 100.0])
    values = np.array([390.0, at, 390.0]) + 9.0
    e: Any = Made(times=times, log=Made(channel=lambda name: Made(values=values)))
    segment = Made(band_low=limit(385.0), band_high=limit(396.0))
    s: Any = Made(segment=segment, found=True, spans=(Span(0.0, 100.0),))
    assert doubt._hidden(e, Made(channel="T1", shift=9.0), (s,)) is hidden  # type: ignore[arg-type]


# which speak for the others


def _beside(columns: list[FloatArray]) -> list[tuple[str, str]]:
    names = tuple(f"T{k + 1}" for k in range(len(columns)))
    log = _log(*(_couple(n, c) for n, c in zip(names, columns, strict=True)))
    found = faults._beside(log, names, np.column_stack(columns))
    return [(f.finding.code, f.channel) for f in found]


@pytest.mark.parametrize(("read", "few"), [(50, False), (49, True)])
def test_a_channel_read_in_half_of_the_samples_speaks(read: int, few: bool) -> None:
    columns = [300.0 + _noisy(k, 100) for k in range(3)]
    columns[2][read:] = NAN
    assert (codes.FEW_TOLD.code in [code for code, _ in _beside(columns)]) is few


@pytest.mark.parametrize("cold", [0, 1])
def test_of_two_that_part_each_is_named_with_the_other(cold: int) -> None:
    """One stays cold, which beside a part that is cold itself says nothing of the other."""
    heated = np.concatenate([300.0 + np.linspace(0.0, 100.0, 60), np.full(60, 400.0)])
    columns = [heated + _noisy(1, 120), 300.0 + _noisy(2, 120)]
    log = _log(
        *(_couple(f"T{k + 1}", c) for k, c in enumerate([*columns[:: 1 - 2 * cold], np.full(120, NAN)]))
    )
    found = faults._beside(log, ("T1", "T2", "T3"), np.column_stack([c.values for c in log.channels]))
    told = [(f.channel, f.finding.words) for f in found if f.finding.code == codes.UNDECIDED.code]
    assert [c for c, _ in told] == ["T1", "T2"]
    assert ["T1 and T2 " in w for _, w in told] == [True, False]
    assert ["T2 and T1 " in w for _, w in told] == [False, True]


def test_once_half_of_them_are_condemned_the_rest_is_not_looked_at_again() -> None:
    """Two of four stand still; the other two part, of which no third is left to say."""
    rise = 300.0 + np.linspace(0.0, 80.0, 400)
    columns = [rise + k + 0.05 * _noisy(i, 400) for i, k in enumerate((0.0, 0.0, 5.0, -5.0))]
    columns[0][40:140] = columns[0][40]
    columns[1][240:340] = columns[1][240]
    assert sorted(_beside(columns)) == [(codes.STUCK.code, "T1"), (codes.STUCK.code, "T2")]


def test_one_that_stands_without_its_noise_is_told_beside_one_in_doubt() -> None:
    rise = 350.0 + np.linspace(0.0, 20.0, 200)
    columns = [rise + k + _noisy(i, 200) for i, k in enumerate((25.0, 0.0, 0.0, 0.0, 0.0))]
    columns[1][0] = 330.0
    columns[1][80:120] = 360.0
    columns = [np.round(c, 1) for c in columns]
    told = _beside(columns)
    assert (codes.OFFSET.code, "T1") in told
    assert (codes.STUCK.code, "T2") in told


def test_readings_are_spoilt_from_the_first_moment_of_a_fault_to_its_last() -> None:
    rise = 300.0 + np.arange(400) / 4.0
    columns = [rise + _noisy(k, 400) for k in range(4)]
    columns[0][100:250] = columns[0][100]
    checked = faults.check_readings(_log(*(_couple(f"T{k}", c) for k, c in enumerate(columns))))
    assert np.flatnonzero(~np.isfinite(checked.temps[:, 0])).tolist() == list(range(100, 250))


@pytest.mark.parametrize(("odd", "how"), [(1, " "), (2, "")])
def test_more_than_ninety_eight_in_a_hundred_repeat(
    odd: int, how: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At once, a sample late, or by a steady shift."""
    monkeypatch.setattr(faults, "noise_of", lambda values: 1.0)
    a = np.resize([0.0, 3.0, 1.0, 7.0, 4.0], 101)
    same, late, shifted = a[:100].copy(), np.append(a[1:], 99.0), a[:100] + 2.0
    for other in (same, late, shifted):
        other[10 : 10 + odd] += 50.0
    assert faults._repeats(a[:100], same) == how
    assert bool(faults._repeats(a, late)) is (odd == 1)
    assert bool(faults._repeats(a[:100], shifted)) is (odd == 1)


@pytest.mark.parametrize(("rise", "told"), [(51, False), (52, True)])
def test_more_than_ninety_eight_in_a_hundred_of_a_rise_are_on_the_set_point(rise: int, told: bool) -> None:
    """One stands off: of fifty it is two in a hundred, of fifty-one less."""
    wanted = _ramp(420, 200, 200 + rise, 1.0)
    values = wanted + 0.01 * np.sin(np.arange(420))
    values[220] -= 1.0
    assert _is_set_point(wanted, values) is told


def test_a_rise_of_a_kelvin_in_two_minutes_is_looked_at_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """A little more than that all through; where it is steeper one sample stands off by chance."""
    monkeypatch.setattr(faults, "SOME", 100)
    wanted = _ramp(400, 40, 300, 0.1328125)
    wanted[160:] += 4.0
    values = wanted + 0.01 * np.sin(np.arange(400))
    values[160] -= 1.0
    assert _is_set_point(wanted, values, 15.0)


@pytest.mark.parametrize("read", [50, 51])
def test_fifty_samples_of_a_long_log_are_not_enough_to_pass_it_over(
    read: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of them lies in the rise, those beside it are not read; all other samples of the rise follow."""
    count = 16 * (read + 2)
    monkeypatch.setattr(faults, "SOME", read + 2)
    wanted = _ramp(count, 310, 330, 2.0)
    values = wanted - OFF[:count]
    values[305:336] = (wanted + 0.01 * np.sin(np.arange(count)))[305:336]
    values[[304, 336]] = NAN
    assert _is_set_point(wanted, values, 15.0) is (read == 50)


def test_what_counts_where_nothing_is_said_of_a_log_or_a_sensor() -> None:
    """A log that is over, readings in fine digits, a statement that nobody signed."""
    assert inspect.signature(faults.check_readings).parameters["live"].default is False
    assert inspect.signature(faults_frozen._steady).parameters["coarse"].default is False
    assert doubt.SeenOfSensor("T1", "lead found cut", "A. Reyes", "inspector").signed is False
