"""Cures that are watched while they run, with the demonstration's own log and with instruments."""

from __future__ import annotations

import threading
import time
from io import StringIO
from pathlib import Path

import numpy as np
import pytest

from cure_log_typed import OPERATION, folder_of, run
from panelmend.app import service
from panelmend.app.watching import Keeper, expected_of, instrument_of, watch
from panelmend.curelog import ChannelRole, propose, read_log
from panelmend.curelog.live import Buffer, Point, Sample
from panelmend.errors import InputError
from panelmend.plan.judge import find_faults
from panelmend.predict.kept_predictions import heat_path, write_predictions
from panelmend.predict.model import MEDIUM
from panelmend.predict.predict import predict


@pytest.fixture
def here(tmp_path: Path) -> Path:
    return folder_of(tmp_path)


def test_what_is_kept_of_a_live_run_can_be_judged_after_repeats(tmp_path: Path) -> None:
    points = [Point("TC1", ChannelRole.THERMOCOUPLE, "C"), Point("TC2", ChannelRole.THERMOCOUPLE, "C")]
    buffer = Buffer(points)
    keeper = Keeper(tmp_path / "live.csv", points, buffer)
    order = [*range(20), 18, 19, *range(22, 30), 20, 21, *range(30, 60)]
    for n in order:
        sample = Sample(1.7956e9 + 10.0 * n, (20.0 + n, 21.0 + n))
        if buffer.add(sample):
            keeper.keep(sample)
    made = propose(tmp_path / "live.csv")
    kept = read_log(tmp_path / "live.csv", made.confirm(made.suggested()))
    assert np.diff(kept.times).tolist() == [10.0] * 59
    seen = {f.finding.code for f in find_faults(kept)}
    # it begins in the ramp, ends while hot, has two thermocouples, and that is all
    assert seen == {"V107", "V250", "V570"}


def test_a_growing_log_is_followed(here: Path) -> None:
    """The file is written while it is watched; the picture shows the state and the time left."""
    log = here / "cure-repair-plies.csv"
    run("log", str(log), "--confirm")
    lines = log.read_text("utf8").splitlines(keepends=True)
    log.write_text("".join(lines[:100]), "utf8")
    stop, out = threading.Event(), StringIO()
    watcher = threading.Thread(
        target=watch, args=(here / "repair.toml", log, OPERATION, 20.0, 0.2, None, False, out, stop)
    )
    watcher.start()
    with log.open("a", encoding="utf8") as file:
        for line in lines[100:130]:
            file.write(line)
            file.flush()
            time.sleep(0.02)
    begun = time.monotonic()
    while "dwell" not in out.getvalue() and time.monotonic() - begun < 120.0:
        time.sleep(0.1)
    stop.set()
    watcher.join(60.0)
    assert not watcher.is_alive()
    assert "dwell" in out.getvalue()


def test_a_kept_prediction_stands_beside_the_readings(here: Path) -> None:
    document, log = here / "repair.toml", here / "cure-repair-plies.csv"
    assert expected_of(document, OPERATION) is None, "nothing is kept yet"
    work = service.plan(document).work
    assert work is not None
    problem = work.cure.operations[1].problem
    assert problem is not None
    made = predict(problem, advice=False, fine=MEDIUM)
    write_predictions(heat_path(document), [made], {})
    run("log", str(log), "--confirm")
    lines = log.read_text("utf8").splitlines(keepends=True)
    log.write_text("".join(lines[:50]), "utf8")
    out = StringIO()
    watch(document, log, OPERATION, 0.4, 0.1, None, False, out, threading.Event())
    words = next(x for x in out.getvalue().splitlines() if "predicted of the slowest now" in x)
    told = float(words.split("now ")[1].removesuffix(" C"))
    slowest = min(float(v) for v in lines[49].split(",")[1:4])
    assert abs(told - slowest) < 5.0, "the bay of the log is a little other than assumed"
    assert "no alarm" in out.getvalue()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("kind = 'modbus'\nhost = 'h'\nport = 99999\n[[point]]\nname='T'\nrole='thermocouple'\n", "port"),
        ("kind = 'mqtt'\nhost = 'h'\nport = 1883\n[[point]]\nname='T'\nrole='thermocouple'\n", "topic"),
        ("kind = 'modbus'\nhost = 'h'\nport = 502\n", "point"),
        ("kind = ", "no description"),
    ],
)
def test_a_bad_instrument_is_refused(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "logger.toml"
    path.write_text(text, "utf8")
    with pytest.raises(InputError, match=words):
        instrument_of(path)
