"""Files shaped like openly published logs (invented numbers): a clock that jumps back in the autumn, gaps of
days, calorimeter exports with several blocks of header and words between the samples."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from panelmend.curelog import ChannelRole, propose, read_log
from panelmend.plan.judge import codes, find_faults


def test_a_machine_log_whose_clock_goes_back_an_hour(tmp_path: Path) -> None:
    start = datetime(2013, 12, 2, 21, 15)
    rows, at = [], start
    for i in range(600):
        rows.append(f"{at},{70 + 8 * np.sin(i / 50):.6f}")
        at += timedelta(minutes=5)
        if i == 300:
            at -= timedelta(hours=1)
    file = tmp_path / "machine_temperature.csv"
    file.write_text("timestamp,value\n" + "\n".join(rows))
    proposal = propose(file)
    assert {q.key for q in proposal.questions} == {"zone", "temperature unit"}
    log = read_log(file, proposal.confirm({"zone": "local", "temperature unit": "F"}))
    assert log.channels[0].role is ChannelRole.THERMOCOUPLE
    assert len(log) == 600
    back = [f for f in find_faults(log) if f.finding.code == codes.CLOCK_BACK.code]
    assert len(back) == 1
    assert "an hour" in back[0].finding.words


def test_an_ambient_log_with_gaps_of_days(tmp_path: Path) -> None:
    start = datetime(2013, 7, 4)
    rows = [
        f"{start + timedelta(hours=i)},{70 + 5 * np.sin(i / 4):.4f}"
        for i in range(500)
        if not 100 <= i < 180 and not 300 <= i < 372
    ]
    file = tmp_path / "ambient.csv"
    file.write_text("timestamp,value\n" + "\n".join(rows))
    proposal = propose(file)
    log = read_log(
        file, proposal.confirm({**proposal.suggested(), "role of value": "air", "unit of value": "F"})
    )
    found = [f for f in find_faults(log) if f.finding.code == codes.GAP.code]
    assert len(found) == 2
    assert "3.4 d" in found[0].finding.words or "81.0 h" in found[0].finding.words


def test_a_calorimeter_export(tmp_path: Path) -> None:
    samples = [
        f'{-1000 + 12 * i}.{i % 10},{20 + 0.01 * i:.6f},{1e-3 * np.sin(i / 30):.5E},NaN,""'
        for i in range(300)
    ]
    samples[120] = samples[120][:-2] + '"Reaction start. Measured"'
    file = tmp_path / "export.csv"
    head = [
        "Summary",
        'Name,"sample.rslt"',
        "Start time,2021 Sep 14 - 8:37",
        "",
        ",Sample - 1",
        "Mass,1g",
        "Devices",
        "",
    ]
    names = '"Time","Temperature [Ambient]","Heat flow [Signal]","Heat [Signal]","Time markers"'
    tail = ["", "Data series,Section name,No. of data", ",Initial baseline,60"]
    file.write_text("\n".join([*head, names, *samples[:50], samples[50][:7], *samples[51:], *tail]))
    proposal = propose(file)
    assert proposal.read_as.lines_above == 9
    assert [c.name for c in proposal.read_as.columns][:2] == ["Temperature [Ambient]", "Heat flow [Signal]"]
    assert {q.key for q in proposal.questions} == {"time unit", "temperature unit"}
    log = read_log(file, proposal.confirm({"time unit": "s", "temperature unit": "C"}))
    assert 299 <= len(log) <= 300
    assert any("Reaction start" in n for n in log.notes)
    assert any("fewer cells" in n for n in log.notes)
