"""Six jobs of other kinds, each typed at a terminal from `panelmend new` and counted."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from new_jobs import KINDS, TWO_DAMAGES
from panelmend.app.loading import read_all
from shelf_files import SHELVES

if sys.platform == "win32":
    pytest.skip("terminals of another kind", allow_module_level=True)
from new_terminal import Counted, typed_at_a_terminal

JOBS = {**{k.name: k.typed for k in KINDS}, "two damages": TWO_DAMAGES}
MOST = 13  # questions of a usual job; a further damage has five of its own


@pytest.mark.parametrize("name", JOBS)
def test_a_job_is_typed_at_a_terminal(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No answer is refused, no question is put twice, and what is written is a sound job of 25 lines."""
    monkeypatch.setenv("PANELMEND_SHELVES", str(SHELVES))
    target = tmp_path / "job.toml"
    counted: Counted = typed_at_a_terminal(target, (*JOBS[name], ""))
    assert counted.code == 0, counted.said[-1500:]
    assert counted.refused == 0
    more = 5 if name == "two damages" else 0
    assert counted.questions <= MOST + more
    assert counted.typed - 1 == counted.questions + (1 if more else 0), "each question once; =19 is no answer"
    text = target.read_text("utf8")
    assert len(text.splitlines()) <= 25
    assert len(read_all(text.encode("utf8"), target)) == (2 if more else 1)
    assert "X damage" in counted.said or "A damage" in counted.said
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.panel.svg", "job.toml"]
