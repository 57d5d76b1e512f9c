"""Six jobs of other kinds, each typed at a terminal from `panelmend new` and counted."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

from new_jobs import KINDS, TWO_DAMAGES
from panelmend.app.loading import load, read_all
from panelmend.errors import Severity
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.standing import Standing
from shelf_files import SHELVES

if sys.platform == "win32":
    pytest.skip("terminals of another kind", allow_module_level=True)
from new_terminal import Counted, typed_at_a_terminal

HALVES = {f"{k.name}, by halves": k.typed for k in KINDS[:1]}  # half of what is asked: it asks for the other
JOBS = {**{k.name: k.as_asked for k in KINDS}, **HALVES, "two damages": TWO_DAMAGES}
MOST = 10  # questions of a usual job; a further damage has five of its own
LONGEST = 8.0  # s of processor, loading apart; scripts/count_new.py prints 1.0 to 1.3 on an idle machine


@pytest.mark.parametrize("name", JOBS)
def test_a_job_is_typed_at_a_terminal(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No answer is refused, no question is put twice, and what is written is a sound job of 25 lines."""
    monkeypatch.setenv("PANELMEND_SHELVES", str(SHELVES))
    target = tmp_path / "job.toml"
    counted: Counted = typed_at_a_terminal(target, (*JOBS[name], ""))
    assert counted.code == 0, counted.said[-1500:]
    assert counted.refused == 0
    assert 0.0 < counted.seconds < LONGEST
    more = 5 if name == "two damages" else 0
    assert counted.questions <= MOST + more + (3 if name in HALVES else 0)
    assert counted.typed - 1 == counted.questions + (1 if more else 0), "each question once; =19 is no answer"
    text = target.read_text("utf8")
    assert len(text.splitlines()) <= 25
    assert len(read_all(text.encode("utf8"), target)) == (2 if more else 1)
    assert "X damage" in counted.said or "A damage" in counted.said
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.panel.svg", "job.toml"]


PAGE = (Path(__file__).parents[2] / "docs" / "start.md").read_text("utf8")
DAMAGE = "`circle 90 mm at 180, 240 mm`"  # of the second try on the page


def _of_the_page() -> list[str]:
    """What the page's table says to type."""
    table = PAGE[PAGE.index("| it asks | type |") :].partition("\n\n")[0]
    return re.findall(r"(?m)^\| [^|]+ \| `([^`]+)`", table)


@pytest.mark.parametrize(
    ("damage", "standing"),
    [("", Standing.DRAFT), (DAMAGE.strip("`"), Standing.STOP)],
    ids=["first", "second"],
)
def test_a_newcomer_types_what_the_page_says(
    damage: str, standing: Standing, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first job of the start page word for word, and the second one, which is beyond the data."""
    monkeypatch.setenv("PANELMEND_SHELVES", str(SHELVES))
    assert DAMAGE in PAGE
    typed = _of_the_page()
    assert len(typed) == 9
    if damage:
        typed = [damage if t.startswith("ellipse") else t for t in typed]
    counted = typed_at_a_terminal(tmp_path / "first.toml", (*typed, ""))
    assert counted.code == 0, counted.said[-1500:]
    assert (counted.refused, counted.questions) == (0, 9)
    assert "people.technician (such as R. Osk; M. Verrin)" in counted.said, "not the one who does the work"
    plan = make_plan(case_of(load(tmp_path / "first.toml")))
    assert plan.standing is standing
    asked = {f.code for f in plan.findings if f.severity is Severity.CONFIRM}
    assert asked <= {"H602"}, "its heat, which pack predicts"


def test_the_page_says_how_its_commands_are_called() -> None:
    """Nobody has `panelmend` on the path of a fresh copy."""
    first = PAGE.index("`panelmend`")
    assert "type `scripts/start` in this folder" in PAGE[first : first + 60]
    assert first < PAGE.index("\n## Your own panel")
    block = re.search(r"(?m)(?:^    .+\n)+", PAGE)
    assert block is not None
    assert not re.search(r"(?m)^    panelmend", PAGE[: PAGE.index("## Verbs")])
