"""The report keeps gaps as gaps and peaks as peaks, and gives the same bytes each time."""

from __future__ import annotations

import json

import numpy as np

from made_curelog import made_cure
from panelmend.plan.judge import judge, make_report
from recipe_curelog import RECIPE


def test_report() -> None:
    made = made_cure(4, step=5.0)
    made.temps[700, 1] += 6.0  # one high reading
    made.temps[900:960, 0] = np.nan
    keep = (made.times < 6000) | (made.times > 6300)
    made.times, made.temps = made.times[keep], made.temps[keep]
    made.vacuum, made.set_point = made.vacuum[keep], made.set_point[keep]
    log = made.log()
    verdict = judge(RECIPE, log)
    report = make_report(RECIPE, log, verdict)
    traces = {t.name: t for t in report.traces}
    assert len(traces["TC1"].pieces) == 3
    assert len(traces["TC2"].pieces) == 2
    for trace, channel in zip(report.traces, log.channels, strict=True):
        values = [v for p in trace.pieces for v in p.values]
        assert len(values) < 1000 < len(log)
        assert max(values) == np.nanmax(channel.values)
        assert min(values) == np.nanmin(channel.values)
        for piece in trace.pieces:
            assert np.all(np.diff(piece.times) > 0)
            assert np.all(np.isin(piece.times, log.times))
    assert [b.name for b in report.bands] == ["cure"]
    assert report.channels[0].missing == 60
    assert report.digest == log.digest
    data = json.loads(report.to_json())
    assert data["verdict"]["outcome"] == verdict.outcome.value
    assert report.to_json() == make_report(RECIPE, log, judge(RECIPE, log)).to_json()
