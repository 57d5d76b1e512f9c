"""Jobs of six kinds as somebody types them at `new`, and a reader that types them into the dialogue."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from panelmend.app.dialogue import Dialogue
from panelmend.shelves.folder import Folder
from panelmend.shelves.interview import JobInterview
from panelmend.shelves.one_line import beside
from panelmend.shelves.stock import Stock
from shelf_files import SHELVES

DAY = date(2026, 11, 25)


@dataclass(frozen=True)
class Kind:
    """One kind of job: what is typed, line by line, and what the plan must come to."""

    name: str
    typed: tuple[str, ...]
    depth: str
    blankets: tuple[str, ...] = field(default=())

    @property
    def as_asked(self) -> tuple[str, ...]:
        """The same answers as the questions ask for them: panel and serial number, who works and who accepts,
        depth and side, each in one line."""
        panel, serial, data, bay, number, technician, inspector, earlier = self.typed[:8]
        damage = self.typed[8 : 11 if self.depth == "plies" else 10]
        head = (f"{panel}, {serial}", data, bay, number, f"{technician}; {inspector}", earlier)
        return (*head, ", ".join(damage), *self.typed[8 + len(damage) :])


KINDS = (
    Kind(
        "dent in one skin",
        ("access door", "0377", "one skin", "small kit", "TAS-26-0501", "R. Osk", "M. Verrin", "none",
         "c", "outside", "ellipse 32 x 24 mm at 180, 240 mm turned 15°", "none"),
        "skin",
    ),
    Kind(
        "potted fill",
        ("access", "0377", "potted", "small kit", "TAS-26-0502", "R. Osk", "M. Verrin", "none",
         "skin and core", "outside", "circle 14,5 mm at 160,0 mm, 200 mm", "none"),
        "skin and core",
    ),
    Kind(
        "edge band",
        ("gear left", "0088", "edge band", "c", "TAS-26-0503", "R. Osk", "M. Verrin", "none",
         "plies", "1", "outside", "rectangle 12 x 8 mm at 300 mm, 20 mm", "none found"),
        "plies",
    ),
    Kind(
        "beside an insert",
        ("access", "0379", "insert", "small", "TAS-26-0504", "R. Osk", "M. Verrin", "none",
         "skin and core", "outside", "oval 30 x 22 mm at 310, 222 mm turned 90 deg", "none"),
        "skin and core",
    ),
    Kind(
        "scarf at 121 C",
        ("flap", "0214", "scarf", "clean", "TAS-26-0505", "R. Osk", "M. Verrin", "none",
         "skin", "outside", 'circle 1 1/4″ at 16½″, 11 3/4″', "none"),
        "skin",
    ),
)  # fmt: skip

# The second damage is given by correcting the line that says none, and is asked after like the first.
TWO_DAMAGES = (
    *KINDS[0].as_asked, "=19", "circle 24 mm at 448 mm, 330 mm", "plies", "1", "outside", "none found",
)  # fmt: skip


def typing(lines: Iterator[str]) -> Callable[[str], str]:
    """Types one line after the other."""
    return lambda label: next(lines)


def made_by(typed: tuple[str, ...], root: Path = SHELVES, day: date = DAY) -> tuple[Dialogue, str]:
    """The dialogue after these lines, and the job it makes."""
    script = JobInterview(Stock(Folder(root), day))
    dialogue = Dialogue(script, typing(iter(typed)), lambda words: None, lambda answers: None, None, beside)
    return dialogue, script.draft(dialogue.run())


def dialogue_of(*typed: str, answers: dict[str, str] | None = None, root: Path = SHELVES) -> Any:
    """A dialogue that was typed into until the lines ran out, what it said, and what it kept after each."""
    said: list[str] = []
    kept: list[dict[str, str]] = []
    script = JobInterview(Stock(Folder(root), DAY))
    made = Dialogue(script, typing(iter(typed)), said.append, lambda a: kept.append(dict(a)), answers, beside)
    with suppress(StopIteration):
        made.run()
    return made, "\n".join(said), kept
