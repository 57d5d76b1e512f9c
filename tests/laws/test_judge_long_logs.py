"""Logs of very many samples: what is looked at thinned or in pieces is found all the same, and a clean log is
judged without a copy of its readings."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from made_curelog import INHG
from panelmend.curelog import ChannelRole, CureLog, propose, read_log
from panelmend.plan.judge import Channel
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.faults import MOST_COMPARED, check_readings
from panelmend.plan.judge.faults_sensor import PIECE, PIECES, noise_of
from panelmend.plan.judge.log import matrix

ROWS = 3 * MOST_COMPARED
TIMES = np.linspace(0.0, 12000.0, ROWS)
COURSE = np.interp(TIMES, [0, 600, 2850, 8850, 11250], [300, 300, 390, 390, 310])


def temps() -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    noise = np.random.default_rng(3).normal(0, 0.1, (ROWS, 5))
    return np.round(COURSE[:, None] + 0.4 * np.arange(5) + noise, 2)


def log_of(readings: np.ndarray) -> CureLog:
    channels = [
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", x) for i, x in enumerate(readings.T.copy())
    ]
    bag = 24.0 * INHG + 30.0 * np.random.default_rng(4).normal(0, 1, ROWS)
    return CureLog(TIMES, (*channels, Channel("Bag", ChannelRole.VACUUM, "pressure", bag)))


def stuck(r: np.ndarray) -> None:
    r[10000:13000, 2] = r[10000, 2]


def cold(r: np.ndarray) -> None:
    r[:, 1] = 300.0 + 0.2 * (r[:, 1] - 300.0)


def came_off(r: np.ndarray) -> None:
    at = np.flatnonzero(TIMES > 6000.0)
    draught = 320.0 + np.random.default_rng(6).normal(0, 0.2, at.size)
    r[at, 3] = draught + (r[at, 3] - 320.0) * np.exp(-(TIMES[at] - 6000.0) / 60.0)


def spike(r: np.ndarray) -> None:
    r[30001, 4] += 40.0


def opened(r: np.ndarray) -> None:
    r[40000:, 4] = 1500.0


def copied(r: np.ndarray) -> None:
    r[30000:30030] = r[20000:20030]


def stood(r: np.ndarray) -> None:
    r[30000:33000] = r[30000]


def jumped(r: np.ndarray) -> None:
    r[50000:] -= 20.0


CASES: dict[str, tuple[Callable[[np.ndarray], None], str]] = {
    f.__name__: (f, code.code)
    for f, code in (
        (stuck, c.STUCK),
        (cold, c.COLD),
        (came_off, c.CAME_OFF),
        (spike, c.SPIKE),
        (opened, c.OPEN),
        (copied, c.REPLAYED),
        (stood, c.FROZEN),
        (jumped, c.JUMPED),
    )
}


@pytest.mark.parametrize("name", CASES)
def test_a_fault_in_a_long_log_is_found(name: str) -> None:
    plant, code = CASES[name]
    readings = temps()
    plant(readings)
    assert code in {f.finding.code for f in check_readings(log_of(readings)).faults}


def test_a_clean_long_log_has_no_fault_and_is_not_copied() -> None:
    log = log_of(temps())
    table = np.asfortranarray(np.column_stack([x.values for x in log.channels]))
    channels = tuple(dataclasses.replace(x, values=table[:, i]) for i, x in enumerate(log.channels))
    log = dataclasses.replace(log, channels=channels)
    checked = check_readings(log)
    assert {f.finding.code for f in checked.faults} <= {c.ENDS_HOT.code}
    assert np.shares_memory(checked.temps, table)
    assert np.shares_memory(checked.vacuum, table)


def test_readings_that_are_blanked_leave_the_log_as_it_was() -> None:
    readings = temps()
    opened(readings)
    log = log_of(readings)
    checked = check_readings(log)
    assert np.isnan(checked.temps[40000:, 4]).all()
    assert log.channels[4].values[-1] == 1500.0


def test_a_read_log_lies_in_one_piece(tmp_path: Path) -> None:
    """Columns of one role side by side, whatever their order in the file."""
    lines = ["Elapsed [s],T1 [°C],Vacuum [inHg],T2 [°C]"]
    lines += [f"{10 * i},{20 + 0.5 * i:.1f},{24 + 0.1 * (i % 3):.1f},{21 + 0.4 * i:.1f}" for i in range(100)]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines) + "\n", "utf8")
    made = propose(path)
    log = read_log(path, made.confirm({**made.suggested(), "sense of Vacuum [inHg]": "below ambient"}))
    assert [x.name for x in log.channels] == ["T1 [°C]", "Vacuum [inHg]", "T2 [°C]"]
    table = matrix(log.of_role(ChannelRole.THERMOCOUPLE), len(log))
    assert np.shares_memory(table, log.channels[0].values)
    assert np.allclose(table[:, 1] - 273.15, 21 + 0.4 * np.arange(100), atol=0.051)
    assert np.allclose(log.channels[1].values / INHG, 24 + 0.1 * (np.arange(100) % 3))


def test_noise_of_a_long_column_is_that_of_all_of_it() -> None:
    column = np.random.default_rng(5).normal(0, 0.3, 4 * PIECES * PIECE)
    assert noise_of(column) == pytest.approx(0.3, rel=0.03)
    column[::7] = np.nan
    assert noise_of(column) == pytest.approx(0.3, rel=0.05)
