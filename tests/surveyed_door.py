"""The surveyed gear door with other taps, and what its survey stage finds."""

from __future__ import annotations

from examples_here import FOLDER, case_from
from panelmend.derive import Ledger
from panelmend.errors import Finding
from panelmend.job.survey.checks import check
from panelmend.job.survey.make import make

TAPS = (FOLDER / "gear_door" / "surveyed.toml").read_text("utf8")
HEAD, _, REST = TAPS.partition("rows = [")
TAIL = REST.partition("]")[2]
MARK = "[data]\n"  # what follows the survey
CIRCLE = 'shape = { circle = { centre = "250, 200 mm", diameter = "60 mm" } }\n'


def tapped(rows: list[str], typed: str = "", more: str = "", sweep: str = "") -> str:
    """The gear door with other rows of taps, row 1 first."""
    head = HEAD.replace("[damage]\n", f"[damage]\n{typed}")
    listed = "\n".join(f'  "{r}",' for r in rows)
    return f"{head}rows = [\n{listed}\n]{sweep}{TAIL.replace(MARK, more + MARK, 1) if more else TAIL}"


def rows_with(dull: set[tuple[int, int]], size: int = 17) -> list[str]:
    return ["".join("d" if (i, j) in dull else "s" for j in range(size)) for i in range(13)]


def findings(text: str) -> tuple[Finding, ...]:
    """Those of the survey stage alone: a whole plan takes seconds."""
    case, ledger = case_from(text), Ledger()
    made = check(case, ledger, make(case, ledger))
    assert not ledger.replay()
    return made


def found(text: str, code: str) -> list[Finding]:
    return [f for f in findings(text) if f.code == code]


def rows_of(text: str) -> list[str]:
    return [x.strip().strip('",') for x in text.splitlines() if x.startswith('  "s')]
