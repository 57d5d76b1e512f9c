"""Labels of pieces and batches of resin entered at their steps: once, of this plan, of what was drawn."""

from __future__ import annotations

from typing import Any

import pytest

from panelmend.records.rules import bench, stock
from panelmend.render.labels import LabelCode
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, Desk, desk
from screen_walk import STEPS, entries, job, who


def test_labels_and_batches_are_entered_at_their_steps_once(monkeypatch: pytest.MonkeyPatch) -> None:
    def open_now(state: Any, entry: Any, name: str, key: str) -> Any:  # as if all before it were done
        held = state.jobs[name]
        return held, held.steps[key], held.now(key)

    for rules in (bench, stock):
        monkeypatch.setattr(rules, "open_step", open_now, raising=False)
    with desk() as at:
        at.post(f"{REPAIR}/demonstration", {})
        assert at.post(f"{REPAIR}/job", who(at, "P1")).status == 200
        at.post("/api/hold", who(at, "T1"))
        opened = job(at).opened
        _batch(at, next(s for s in opened.steps if s.pots))
        _labels(at, next(s for s in opened.steps if s.pieces))


def _batch(at: Desk, step: Any) -> None:
    path = f"{STEPS}/{step.number}/batch"
    drawn = {**who(at, "S1"), "lot": "R-118", "amount": "0.25", "drawn": 0}
    assert at.post(f"{STEPS}/{step.number}/draw", drawn).status == 200
    sent = {"batch": "B-1", "parts": [{"lot": "R-118", "amount": "0,1"}], "person": "T1"}
    for wrong in (
        [], [{"lot": "R-118", "amount": "0.26"}], [{"lot": "R-118", "amount": "none"}],
        [{"lot": "R-0", "amount": "0.1"}], sent["parts"] * 2,
    ):  # fmt: skip
        assert at.post(path, {**sent, "parts": wrong}).status in (404, 409, 422), wrong
    assert at.post(path, {**sent, "life": "30 h"}).status == 409
    assert at.post(path, {**sent, "person": "S1"}).status == 401
    count = entries(at)
    for _ in range(2):  # the answer to the first was lost
        assert at.post(path, sent).status == 200
    assert entries(at) == count + 1
    other = {**sent, "parts": [{"lot": "R-118", "amount": "0.05"}]}
    assert at.post(path, other).status == 409  # the number is taken
    assert "batch B-1" in at.get(f"/repairs/{DEMO}/card/{step.number}").body.decode()


def _labels(at: Desk, step: Any) -> None:
    path, plan = f"{STEPS}/{step.number}/label", job(at).opened.plan[:12]
    for piece in step.pieces:
        wrong = (LabelCode(DEMO, piece, "0" * 12), LabelCode("X-1", piece, plan), LabelCode(DEMO, "X", plan))
        for code in wrong:
            assert at.post(path, {"code": code.text(), "person": "T1"}).status == 409, code
        assert at.post(path, {"code": "no code", "person": "T1"}).status == 422
        right = LabelCode(DEMO, piece, plan).text()
        assert at.post(path, {"code": right, "person": "I1"}).status == 401
        count = entries(at)
        for _ in range(2):
            assert at.post(path, {"code": right, "person": "T1"}).status == 200
        assert entries(at) == count + 1
    page = at.get(f"/repairs/{DEMO}/card/{step.number}").body.decode()
    assert all(f"{p}: seen" in page for p in step.pieces)
