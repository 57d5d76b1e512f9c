"""Every planted fault of a log is found and named, and clean noisy logs have none."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import made_cure
from panelmend.plan.judge.faults import find_faults
from planted_curelog import LOG_FAULTS

SEEDS = range(8)
CLEAN = [
    {"step": step, "noise": noise, "sensors": sensors, "hold": hold, "rate": rate, "seed": seed}
    for seed, (step, noise, sensors, hold, rate) in enumerate(
        (s, n, k, h, r / 60)
        for s in (5.0, 20.0, 60.0)
        for n in (0.05, 0.4)
        for k in (3, 9)
        for h, r in ((394.26, 2.5), (355.0, 1.5), (450.0, 3.0))
    )
]


@pytest.mark.parametrize("name", LOG_FAULTS)
def test_a_planted_fault_is_found_and_named(name: str) -> None:
    plant, code = LOG_FAULTS[name]
    for seed in SEEDS:
        made = made_cure(seed, step=(5.0, 10.0, 20.0)[seed % 3])
        before = made.temps.copy()
        plant(made, np.random.default_rng(seed))
        faults = find_faults(made.log())
        named = {f.finding.code for f in faults}
        assert code in named, f"{name}, seed {seed}: {[f.finding.words for f in faults]}"
        changed = [
            made.names[i]
            for i in range(before.shape[1])
            if made.temps.shape == before.shape
            and not np.array_equal(made.temps[:, i], before[:, i], equal_nan=True)
        ]
        blamed = {f.channel for f in faults if f.sensor_lost and f.channel in made.names}
        assert blamed <= set(changed) or name == "twin", (
            f"{name}, seed {seed}: {blamed} blamed, {changed} changed"
        )


def test_clean_logs_have_no_fault() -> None:
    blamed = []
    for how in CLEAN:
        faults = find_faults(made_cure(**how).log())
        blamed += [(how, f.finding.words) for f in faults]
    assert len(CLEAN) == 36
    assert blamed == []


@pytest.mark.parametrize("places", [0, 1])
def test_clean_logs_with_rounded_readings_have_no_fault(places: int) -> None:
    for seed in range(6):
        made = made_cure(seed, step=10.0)
        made.temps = np.round(made.temps - 273.15, places) + 273.15
        assert [f.finding.words for f in find_faults(made.log())] == []
