"""Numbers of the judge that could move unnoticed: what counts as no reading, as a mean and as a program."""

from __future__ import annotations

import ast
import dataclasses
import importlib
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from judge_channels import rows_of
from judge_lines import limit, recipe
from panelmend.plan.judge import Channel, ChannelRole, CureLog, aside, faults_reckoned
from panelmend.plan.judge.aside import programmed
from panelmend.plan.judge.faults_reckoned import reckoned_faults
from panelmend.plan.judge.faults_replayed import replayed_faults
from panelmend.plan.judge.log import LogReadings
from panelmend.plan.judge.no_readings import no_temperature, no_vacuum

SPEED = {"PIECE", "PIECES", "MOST_COMPARED"}  # how much is looked at together changes no outcome


def test_no_test_of_the_judge_takes_a_number_from_the_code() -> None:
    """It would move with the number and never fail."""
    taken = []
    for path in sorted(Path(__file__).parent.glob("test_judge_*.py")):
        for node in ast.parse(path.read_text("utf8")).body:
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("panelmend.plan.judge."):
                home = importlib.import_module(node.module or "")
                held = {a.name: getattr(home, a.name) for a in node.names if a.name.isupper()}
                numbers = {n for n, x in held.items() if type(x) in (int, float, timedelta)}
                taken += [(path.name, n) for n in sorted(numbers - SPEED)]
    assert taken == []


def test_no_thermocouple_reads_above_1820_c_or_below_nothing() -> None:
    values = np.array([-0.1, 0.0, 2093.1, 2093.2])
    assert no_temperature(values).tolist() == [True, False, False, True]


def test_two_in_a_hundred_readings_beyond_the_air_are_codes_and_more_are_a_wrong_unit() -> None:
    for count, codes in ((20, 20), (21, 0)):
        v = np.full(1000, 8e4)
        v[:count] = 2e5 + 1e3 * np.arange(count)
        assert no_vacuum(v).sum() == codes


def test_one_value_beyond_the_air_is_a_code_in_less_than_half_of_the_readings() -> None:
    for count, codes in ((49, 49), (50, 0)):
        v = np.full(100, 8e4)
        v[:count] = 2e5
        assert no_vacuum(v).sum() == codes


@pytest.mark.parametrize(("channels", "told"), [(2, False), (3, True)])
def test_readings_that_come_twice_are_told_from_three_thermocouples_on(channels: int, told: bool) -> None:
    temps = 390.0 + np.random.default_rng(3).normal(0.0, 0.5, (200, channels)).round(2)
    temps[120:160] = temps[20:60]
    log = rows_of(200)
    assert bool(replayed_faults(log, temps)[0]) is told


@pytest.mark.parametrize(("noise", "told"), [(0.0099, False), (0.0101, True)])
def test_a_mean_is_told_beside_a_hundredth_of_a_kelvin_of_noise(
    monkeypatch: pytest.MonkeyPatch, noise: float, told: bool
) -> None:
    t = 10.0 * np.arange(200)
    others = 300.0 + 0.003 * t[:, None] + np.random.default_rng(3).normal(0.0, 0.3, (200, 3))
    table = np.round(np.column_stack([others.mean(axis=1), others]), 2)
    monkeypatch.setattr(faults_reckoned, "noise_of", lambda _: noise)
    log = CureLog(t, (), lines=np.arange(200, dtype=np.int32))
    assert bool(reckoned_faults(log, ("M", "A", "B", "C"), LogReadings(table))) is told


def program(
    patch: pytest.MonkeyPatch, own: float, couples: float, *, digit: float = 0.1, pieces: int = 0
) -> bool:
    """Whether a channel is a program that bends so often [1] beside thermocouples that bend so often; with a
    last ``digit`` [K] and so many straight pieces it asks for more than the band."""
    n = 200
    values = np.interp(np.arange(n), [0, 100], [300.0, 400.0 if pieces else 390.0])
    late = np.interp(np.arange(n), [0, 110], [300.0, 390.0])
    shares = {values.tobytes(): own, late.tobytes(): couples}
    patch.setattr(aside, "_bends", lambda v: shares[v.tobytes()])
    patch.setattr(aside, "digit_of", lambda _: digit)
    patch.setattr(aside, "_pieces", lambda _: pieces)
    how = recipe(dwell={"band_high": limit(395.0)})
    of = Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", late)
    return programmed(values, (of, dataclasses.replace(of, name="T2")), how)


def test_a_program_bends_in_one_sample_of_twenty_and_thermocouples_in_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert [program(monkeypatch, x, 0.2) for x in (0.049, 0.05, 0.051)] == [True, True, False]
    assert [program(monkeypatch, 0.01, x) for x in (0.049, 0.05, 0.051)] == [False, False, True]


def test_a_program_above_the_band_is_written_in_fine_digits_and_few_pieces(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Two for each of three segments and four."""
    assert [program(monkeypatch, 0.0, 0.2, digit=x, pieces=5) for x in (0.29, 0.3, 0.31)] == [
        True,
        True,
        False,
    ]
    assert [program(monkeypatch, 0.0, 0.2, pieces=n) for n in (10, 11)] == [True, False]
