"""Small logs typed by hand, proposed and read with the answers they suggest."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from panelmend.curelog import CureLog, Proposal, propose, read_log

ROWS = 60
OF = {"zone": "local", "sense of Vacuum": "below ambient", "sense of Vacuum [hPa]": "below ambient"}


def warm(i: int) -> float:
    """Degrees that rise as in a cure, in C or F, and do not count the rows."""
    return round(20.3 + 1.3 * i, 1)


def proposed(path: Path, head: str, row: Callable[[int], str], rows: int = ROWS) -> Proposal:
    path.write_text("\n".join([head, *(row(i) for i in range(rows))]) + "\n", "utf8")
    return propose(path)


def taken(path: Path, made: Proposal, **more: str) -> CureLog:
    answers = {k.replace("_", " "): v for k, v in more.items()}
    asked = {q.key for q in made.questions}
    return read_log(
        path, made.confirm({**{k: v for k, v in OF.items() if k in asked}, **made.suggested(), **answers})
    )


def units(made: Proposal) -> dict[str, str]:
    return {c.name: c.unit for c in made.read_as.columns}
