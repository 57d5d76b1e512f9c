"""Check squares of printed templates: measured by a named person before anything is cut by them.

Rows of a file that only grows, beside the document; each names the plan, the paper and what was read. What a
row says of one print on one paper says nothing of another plan or paper.
"""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from panelmend.errors import InputError, OutputError, UnitError
from panelmend.render.papers import CHECK_SQUARES, PRINT_OFF
from panelmend.units import read, show_both

PRINTS = "prints.jsonl"
Square = Literal["100 mm", "4 in"]
SIDES: dict[str, float] = {"100 mm": CHECK_SQUARES["mm"], "4 in": CHECK_SQUARES["in"]}  # [m]
LARGEST_PRINT = 4 * 2**20  # [bytes] of the file


@dataclass(frozen=True)
class SquareMeasured:
    """One check square as it was read: what was typed is kept beside what it was read as [m]."""

    plan: str
    paper: str
    square: str
    typed_along: str
    typed_across: str
    along: float
    across: float
    within: bool
    by: str
    when: str


def now_in_utc() -> str:
    """The second that it is, as records write one."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def side_length(typed: str, square: str, field: str) -> float:
    """A length as it was typed [m]; a bare number is in the unit of the square.

    Raises:
        InputError: it is no length.
    """
    words = typed.strip()
    bare = words.replace(",", ".", 1).replace(".", "", 1).isdecimal()
    try:
        return read(f"{words} {square.split()[1]}" if bare else words, "length")
    except UnitError as error:
        raise InputError(
            "this is not a length", where=field, read=typed[:60], expected="a length, such as 100.2 mm"
        ) from error


def side_is_near(side: float, value: float) -> bool:
    """Whether a measured side [m] is near enough to the one that was drawn [m]."""
    return abs(value - side) <= PRINT_OFF * side + 1e-12


class PrintBook:
    """The check squares of one repair; safe to use from several threads."""

    def __init__(self, path: Path, now: Callable[[], str] = now_in_utc) -> None:
        self.path, self.now = path, now
        self._lock = threading.Lock()

    def rows(self) -> tuple[SquareMeasured, ...]:
        """Every row, in the order they were written; a half-written last one does not count."""
        try:
            if self.path.stat().st_size > LARGEST_PRINT:
                raise OutputError(f"{self.path.name} is too large to be what the screen wrote")
            lines = self.path.read_text("utf8").splitlines()
        except FileNotFoundError:
            return ()
        except OSError as error:
            raise OutputError(f"{self.path.name} cannot be read: {error.strerror}") from None
        made = []
        for line in lines:
            try:
                made.append(SquareMeasured(**json.loads(line)))
            except (ValueError, TypeError):
                continue
        return tuple(made)

    def last(self, plan: str, paper: str) -> SquareMeasured | None:
        """What was read last of a plan's print on a paper; None where nobody measured."""
        return next((r for r in reversed(self.rows()) if (r.plan, r.paper) == (plan, paper)), None)

    def measure(
        self, plan: str, paper: str, square: Square, along: str, across: str, by: str
    ) -> SquareMeasured:
        """Write down a measured square.

        Args:
            plan: digest of the plan that was printed.
            paper: which templates.
            square: the one that was measured.
            along: along the foot of the sheet, as typed.
            across: up the sheet, as typed.
            by: who measured.

        Raises:
            InputError: a length that is none, or nobody named.
            OutputError: it could not be written; it does not count.
        """
        if len(by.split()) < 1 or len(by.strip()) < 2:
            raise InputError("nobody is named", where="by", expected="the name of who measured")
        read_along, read_across = side_length(along, square, "along"), side_length(across, square, "across")
        side = SIDES[square]
        made = SquareMeasured(
            plan,
            paper,
            square,
            along.strip(),
            across.strip(),
            read_along,
            read_across,
            side_is_near(side, read_along) and side_is_near(side, read_across),
            " ".join(by.split()),
            self.now(),
        )
        with self._lock:
            try:
                handle = os.open(self.path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
                with os.fdopen(handle, "a", encoding="utf8") as file:
                    file.write(json.dumps(asdict(made), ensure_ascii=False) + "\n")
                    file.flush()
                    os.fsync(file.fileno())
            except OSError as error:
                raise OutputError(f"{self.path.name} could not be written: {error.strerror}") from None
        return made


def square_words(row: SquareMeasured) -> str:
    """A row in words, both systems of units."""
    return f"{show_both(row.along, 'length')} by {show_both(row.across, 'length')}"
