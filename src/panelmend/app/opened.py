"""A repair kept open: its text, its plan, and what a change to it would come to.

The plan stages keep their results by exact content (``derive/memory.py``), so that an edit makes anew only
what it touches. What it reads (layouts and predictions of heat beside the document, shelf entries, the
manifest of a pack) is read anew when one of them is another file than before.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from panelmend.app.loading import chosen, damage_named, every_document, read_all, read_text
from panelmend.app.packed import MANIFEST
from panelmend.app.stamps import shelf_stamps, stamp
from panelmend.document import Loaded, open_file
from panelmend.document.places import Path as Field
from panelmend.document.reader import OpenedFile as OpenedFile
from panelmend.document.written import appended, with_value, written
from panelmend.errors import InputError, OutputError
from panelmend.files import read_bytes, replace_whole
from panelmend.job.case import Case, case_of
from panelmend.job.several import with_others
from panelmend.nesting.store import layouts_path, read_layouts
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import Several, together
from panelmend.predict.kept_predictions import heat_path, read_predictions

MOST_BACK = 200  # changes that can be taken back


class ChangedMeanwhile(InputError):
    """Somebody else wrote the document since it was shown."""


@dataclass(frozen=True)
class PlanMade:
    """A plan and the wall time it took [s]; ``text`` is the document it was made from.

    ``several`` has all damages of its job beside each other; None where there is one.
    """

    plan: Plan
    seconds: float
    text: str
    several: Several | None = None


class OpenRepair:
    """One repair document that is worked on; safe to use from several threads."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.file, self.damage = damage_named(path)
        self._lock = threading.RLock()
        self._back: list[str] = []
        self._opened: OpenedFile | None = None
        self._kept = self._stamps()
        self._layouts = read_layouts(layouts_path(path))
        self._heat = read_predictions(heat_path(path))
        self._made = self._plan(self._read_file())

    @property
    def made(self) -> PlanMade:
        """The plan of the document as it stands on the disk now."""
        with self._lock:
            self._look()
            return self._made

    @property
    def last(self) -> PlanMade:
        """The plan as it was last looked at; it waits for nobody and reads no file."""
        return self._made

    def beside(self, name: str) -> Path:
        """Where something of this repair is kept beside its document; each damage of a job has its own."""
        stem, dot, end = name.partition(".")
        return self.file.with_name(f"{stem}-{self.damage}{dot}{end}" if self.damage else name)

    @property
    def can_go_back(self) -> bool:
        """Whether a change can be taken back."""
        return bool(self._back)

    def tried(self, changes: Mapping[Field, Any]) -> PlanMade:
        """What the plan would be with these changes; nothing is kept.

        Raises:
            DocumentError: the document would have faults.
            InputError: a field that cannot be written.
        """
        with self._lock:
            self._look()
            text = self._made.text
        return self._planned(self._with(text, changes), text)  # nobody who reads waits for it

    def change(self, changes: Mapping[Field, Any], seen: str) -> PlanMade:
        """Write changes into the document.

        Args:
            changes: values by path; None takes one out.
            seen: digest of the plan's document the change was made on.

        Raises:
            Moved: the document is another by now.
            DocumentError: it would have faults; nothing is written.
            OutputError: it could not be written.
        """
        return self._rewritten(lambda text: written(text, changes), seen)

    def append(self, path: Field, row: Mapping[str, Any], seen: str) -> PlanMade:
        """Write one more row into a list of tables; arguments and refusals as of :meth:`change`."""
        return self._rewritten(lambda text: appended(text, path, row), seen)

    @property
    def earlier(self) -> tuple[str, ...]:
        """The texts that changes can be taken back to, the oldest first."""
        return tuple(self._back)

    def of_text(self, text: str) -> PlanMade:
        """The plan of another text of this document; nothing is kept. Raises DocumentError."""
        with self._lock:
            return self._plan(text)

    def whole_of_text(self, text: str) -> PlanMade:
        """The plan of the first damage of another text, of which all damages can be planned: for a text in
        which this repair's own damage may stand no longer. Raises DocumentError."""
        read = self._read(text)
        with self._lock:
            return self._planned_read(read, 0, text, time.perf_counter())

    def rewrite(
        self, rewrite: Callable[[str], str], seen: str, keep: Callable[[str], None], *, whole: bool = False
    ) -> PlanMade:
        """Write the document anew, as another text of the same.

        Args:
            rewrite: the new text from the one that stands.
            seen: digest of the document the change was made on.
            keep: told the text that stood, before the new one is written; what it raises leaves it.
            whole: other damages come or go by it.

        Raises:
            ChangedMeanwhile, DocumentError, InputError, OutputError: nothing was written.
        """
        return self._rewritten(rewrite, seen, keep, whole=whole)

    def _rewritten(
        self,
        rewrite: Callable[[str], str],
        seen: str,
        keep: Callable[[str], None] = lambda before: None,
        *,
        whole: bool = False,
    ) -> PlanMade:
        with self._lock:
            self._same(seen)
            before, others = self._made.text, self._kept[1:]
        text = rewrite(before)
        made = self.whole_of_text(text) if whole else self._plan(text)
        with self._lock:
            self._same(seen)
            keep(before)
            replace_whole(self.file, made.text.encode("utf8"))
            if whole:
                return made  # this repair's own damage may be there no longer: who asks next reads the file
            self._back = [*self._back[-MOST_BACK + 1 :], before]
            self._made, self._kept = made, (self._stamps()[0], *others)
            return made

    def back(self, seen: str) -> PlanMade:
        """Take back the last change; the document is as it was before it."""
        with self._lock:
            self._same(seen)
            if not self._back:
                raise InputError("there is no change to undo")
            before, others = self._back[-1], self._kept[1:]
        made = self._plan(before)
        with self._lock:
            self._same(seen)
            replace_whole(self.file, made.text.encode("utf8"))
            self._back.pop()
            self._made, self._kept = made, (self._stamps()[0], *others)
            return made

    def _same(self, seen: str) -> None:
        self._look()
        now = self._made.plan.case.digest
        if seen != now:
            raise ChangedMeanwhile(
                "somebody changed the repair in the meantime, on another screen or in its file",
                where=self.file.name,
                read=f"a change to {seen[:12]}",
                expected=f"one to {now[:12]}",
                todo="check it as it is now, then change it again",
            )

    def _look(self) -> None:
        """Read anew what another program wrote."""
        stamps = self._stamps()
        if stamps == self._kept:
            return
        self._layouts = read_layouts(layouts_path(self.path))
        self._heat = read_predictions(heat_path(self.path))
        made = self._plan(self._read_file())
        if made.text != self._made.text:
            self._back = []
        self._made, self._kept = made, stamps

    def _stamps(self) -> tuple[Hashable, ...]:
        beside = (layouts_path(self.path), heat_path(self.path), self.file.with_name(MANIFEST))
        try:
            return (*map(stamp, (self.file, *beside)), shelf_stamps(self.file))
        except OSError as error:
            raise OutputError(f"{self.file.name} cannot be read: {error.strerror}") from None

    def _plan(self, text: str) -> PlanMade:
        return self._planned(lambda: self._read(text), text)

    def _planned(self, loaded: Callable[[], tuple[Loaded, ...]], text: str) -> PlanMade:
        start = time.perf_counter()
        read = loaded()
        own = chosen(read, self.damage, self.file)
        return self._planned_read(read, read.index(own), text, start)

    def _planned_read(self, read: tuple[Loaded, ...], which: int, text: str, start: float) -> PlanMade:
        """The plan of one of the damages that were read, at the gravest that any of them stands at."""
        if not read[0].damages:
            return PlanMade(self._plan_of(case_of(read[0])), time.perf_counter() - start, text)
        several = together(with_others([case_of(r) for r in read]), self._plan_of)
        return PlanMade(several.plans[which], time.perf_counter() - start, text, several)

    def _plan_of(self, case: Case) -> Plan:
        try:
            return make_plan(case, self._layouts, predictions=self._heat)
        except InputError as error:
            raise case.placed(error) from None

    def _with(self, text: str, changes: Mapping[Field, Any]) -> Callable[[], tuple[Loaded, ...]]:
        """Reads the document with changed values and no new text: lines in its faults are the old one's."""

        def loaded() -> tuple[Loaded, ...]:
            kept = self._opened  # held: another thread may put in another
            if kept is None or kept.text != text.replace("\r\n", "\n"):
                kept = self._opened = open_file(text.encode("utf8"), self.file.name)
            raw = kept.raw
            for path, value in changes.items():
                raw = with_value(raw, path, value)
            return every_document(replace(kept, raw=raw), self.file)

        return loaded

    def _read_file(self) -> str:
        data = read_bytes(self.file)
        read_text(data, self.path)  # says what is wrong with bytes that are no text
        return data.decode("utf-8-sig")

    def _read(self, text: str) -> tuple[Loaded, ...]:
        return read_all(text.encode("utf8"), self.file)


def field_of(error: InputError) -> str:
    """The field a fault is about, dotted as messages write it; "" for the whole document."""
    where = error.where.rpartition(", ")[2] if "," in error.where else ""
    return where if where and " " not in where else ""
