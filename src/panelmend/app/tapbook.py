"""Taps as they were said, one after another: a file that only grows, and the outline they come to.

A tap counts once whatever a device sends twice; one that is taken back stays in the file. Each is on the disk
before it is acknowledged.
"""

from __future__ import annotations

import hashlib
import json
import os
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from panelmend.app.surveys import survey_told
from panelmend.document.panel import Side
from panelmend.document.places import Path as Field
from panelmend.errors import InputError, OutputError, RangeError, ReadingError
from panelmend.job.case import Case
from panelmend.job.survey.next_taps import NextTap, next_taps
from panelmend.job.survey.readings import taps as read_as_taps
from panelmend.job.survey.trace import Line, TracedSurvey, trace
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline
from panelmend.units import KINDS

MOST_TAPS = 20_000  # taps a document holds
LARGEST_TAPBOOK = 16 * 2**20  # [bytes] of the file


@dataclass(frozen=True)
class Tap:
    """One tap: who sent it, where in standard axes [m], on which side, dull or sound, when."""

    id: str
    at: tuple[float, float]
    side: Side
    dull: bool
    when: str


def _now() -> str:
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


class TapBook:
    """The taps of one repair; safe to use from several threads."""

    def __init__(self, path: Path, now: Callable[[], str] = _now) -> None:
        self.path, self.now = path, now
        self._lock = threading.Lock()
        self._taps: dict[str, Tap] = {}
        self._undone: dict[str, str] = {}
        self._put: tuple[int, str] | None = None
        self._size = 0
        self._read()

    def taps(self, side: Side) -> tuple[Tap, ...]:
        """The taps of a side that count, in the order they were said."""
        gone = set(self._undone.values())
        return tuple(t for t in self._taps.values() if t.side == side and t.id not in gone)

    def put(self, id: str, at: tuple[float, float], side: Side, dull: bool) -> Tap:
        """Take a tap down; the same one sent again is the one that is there.

        Raises:
            InputError: another tap has this id, or there are too many.
            OutputError: it could not be written; it does not count.
        """
        with self._lock:
            there = self._taps.get(id)
            if there is not None:
                if (there.at, there.side, there.dull) != (at, side, dull):
                    raise InputError("another tap was sent under this id", read=id)
                return there
            if len(self._taps) >= MOST_TAPS:
                raise InputError("more taps than a document holds", expected=f"at most {MOST_TAPS:,}")
            tap = Tap(id, at, side, dull, self.now())
            self._append({"id": id, "at": list(at), "side": side, "dull": dull, "when": tap.when})
            self._taps[id] = tap
            return tap

    def undo(self, id: str, side: Side, of: str) -> Tap | None:
        """Take back the tap ``of`` of a side; None where it does not count, taken back already or not there:
        a tap that another device said meanwhile is never taken back in its place."""
        with self._lock:
            if id in self._undone:
                return self._taps[self._undone[id]]
            found = next((t for t in self.taps(side) if t.id == of), None)
            if found is None:
                return None
            self._append({"id": id, "undone": of, "when": self.now()})
            self._undone[id] = of
            return found

    def into(self, plan: Plan, text_raw: dict[str, Any]) -> dict[Field, Any]:
        """What puts the taps into the document as sweeps, to plan on their outer line.

        Raises:
            InputError: there are none, the document holds readings of its own, or its coordinates are
                projected.
        """
        case = plan.case
        sweeps = [s for side in ("outside", "inside") for s in _sweep(case, self.taps(side))]
        if not self.taps(case.document.damage.side):
            raise InputError("nothing was tapped on the side of the damage", todo="tap first")
        if case.geometry_of_surface() is not None:
            raise InputError(
                "coordinates of this panel are projected: taps on its surface are not in them",
                todo="type the readings into the document",
            )
        there = text_raw.get("survey", {}).get("sweep", [])
        if there and (self._put is None or self._put != (len(there), _digest(there))):
            raise InputError(
                "the document has readings that did not come from this page",
                read=f"{len(there)} sweeps",
                todo="remove them from the document first, or continue with them by hand",
            )
        changes: dict[Field, Any] = {("survey", "sweep"): sweeps}
        hurt = text_raw.get("damage", {})
        if isinstance(hurt, list):
            changes[("damage", 0, "shape")] = None
        elif "shape" in hurt:
            changes[("damage", "shape")] = None
        return changes

    def was_put(self, sweeps: list[Any]) -> None:
        """Note what was put into the document, so that more taps may take its place."""
        with self._lock:
            self._put = (len(sweeps), _digest(sweeps))
            self._append({"put": list(self._put), "when": self.now()})

    def _append(self, row: dict[str, Any]) -> None:
        line = json.dumps(row, sort_keys=True).encode("ascii") + b"\n"
        try:
            with open(self.path, "r+b" if self.path.exists() else "w+b") as file:
                file.seek(self._size)
                file.truncate()  # what was cut off by a crash was never acknowledged
                file.write(line)
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            raise OutputError(f"the tap could not be written: {error.strerror}") from None
        self._size += len(line)

    def _read(self) -> None:
        try:
            if self.path.stat().st_size > LARGEST_TAPBOOK:
                raise ReadingError("too large for a file of taps", where=self.path.name)
            data = self.path.read_bytes()
        except FileNotFoundError:
            return
        except OSError as error:
            raise ReadingError(f"the taps cannot be read: {error.strerror}", where=self.path.name) from None
        self._size = data.rfind(b"\n") + 1
        for number, line in enumerate(data[: self._size].splitlines(), 1):
            try:
                row = json.loads(line)
                if "put" in row:
                    self._put = (int(row["put"][0]), str(row["put"][1]))
                elif "undone" in row:
                    self._undone[str(row["id"])] = self._taps[str(row["undone"])].id
                else:
                    x, y = map(float, row["at"])
                    side: Side = "inside" if row["side"] == "inside" else "outside"
                    tap = Tap(str(row["id"]), (x, y), side, bool(row["dull"]), str(row["when"]))
                    self._taps[tap.id] = tap
            except (ValueError, KeyError, TypeError) as error:
                raise ReadingError(
                    "a line of taps that cannot be read",
                    where=f"{self.path.name}, line {number}",
                    read=str(error)[:80],
                    todo="move the file away, or put it back from a copy",
                ) from None


def _sweep(case: Case, taps: tuple[Tap, ...]) -> list[dict[str, Any]]:
    if not taps:
        return []
    unit = case.view
    scale, sign = KINDS["length"].units[unit][0], 1.0 if case.document.panel.seen_from == "outside" else -1.0
    rows = [[round(t.at[0] / scale, 3), round(sign * t.at[1] / scale, 3), int(t.dull)] for t in taps]
    return [
        {"name": "tapped on the screen", "kind": "tap", "side": taps[0].side, "unit": unit, "readings": rows}
    ]


def _digest(sweeps: list[Any]) -> str:
    return hashlib.sha256(json.dumps(sweeps, sort_keys=True).encode("ascii")).hexdigest()


@dataclass(frozen=True)
class Heard:
    """What taps come to: ``traced`` None where they give no line, and ``words`` then says why."""

    taps: tuple[Tap, ...]
    traced: TracedSurvey | None
    next: tuple[NextTap, ...]
    words: str
    seconds: float


def heard(case: Case, taps: tuple[Tap, ...]) -> Heard:
    """The outline of taps on one side, its doubts, and where to tap next."""
    start = time.perf_counter()
    if not taps:
        return Heard(taps, None, (), "", 0.0)
    rows = tuple((*t.at, t.dull) for t in taps)
    try:
        traced, asked = _traced(rows, case.confidence, case.line, case.geometry.outline)
    except RangeError as error:
        return Heard(taps, None, (), str(error), time.perf_counter() - start)
    return Heard(taps, traced, asked, survey_told(traced, case.view), time.perf_counter() - start)


@lru_cache(maxsize=64)
def _traced(
    rows: tuple[tuple[float, float, bool], ...], confidence: float, line: Line, panel: Outline
) -> tuple[TracedSurvey, tuple[NextTap, ...]]:
    """Kept, so that taking a tap back shows at once what was there before it."""
    read = read_as_taps(np.array([r[:2] for r in rows]), np.array([float(r[2]) for r in rows]))
    traced = trace(read, confidence, line=line, panel=panel)
    return traced, next_taps(traced)
