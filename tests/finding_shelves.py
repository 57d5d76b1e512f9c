"""Finding codes whose two documents are jobs on shelves: job, changed entries, and who signed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any, cast

from finding_cases import FindingCase, Pieces, replaced
from panelmend.app.shelf_statements import _answers
from panelmend.app.shelves import measured_damage
from panelmend.document import Loaded
from panelmend.document.reader import open_file
from panelmend.document.written import written
from panelmend.errors import Finding
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.shelves.checking import checked_text
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.folder import Folder
from panelmend.shelves.model import Shelf
from panelmend.shelves.names import file_name
from panelmend.shelves.resolve import resolved
from shelf_files import SHELVES, short

BAY = "bays/door cell"
PLANNED = {"X110", "X114", "X391", "X584", "J350"}  # told by the plan; all others while the job is read
DIGEST = re.compile(r"^\w*digest = .*\n?", re.MULTILINE)
CHECK = re.compile(r"\n\[entry\.check\]\n.*", re.DOTALL)  # the last of each entry of the demonstration
SEEN = {"by": "P. Lind", "on": date(2026, 11, 25), "against": "ED-0417 sheet 2"}
BASE = Folder(SHELVES)  # read once for all cases


class Overlay(Folder):
    """The shelves of the demonstration with some entries changed or added, by shelf and file."""

    def __init__(self, texts: dict[tuple[str, str], str]) -> None:
        super().__init__(SHELVES)
        self.texts = texts

    def _list(self, shelf: Shelf) -> tuple[str, ...]:
        return tuple(sorted({*BASE.files(shelf), *(f for s, f in self.texts if s == shelf)}))

    def _bytes(self, shelf: Shelf, file: str) -> bytes:
        text = self.texts.get((shelf, file))
        return text.encode("utf8") if text is not None else super()._bytes(shelf, file)

    def read_file(self, shelf: Shelf, file: str) -> ShelfEntry:
        """The entry in a file of a shelf; one that was not changed is read once for all."""
        return super().read_file(shelf, file) if (shelf, file) in self.texts else BASE.read_file(shelf, file)


@dataclass(frozen=True)
class ShelfCase(FindingCase):
    """Pieces of two are replaced in the job, pieces of three in the entry that is named first.

    An entry that was changed is checked anew unless ``check`` is false; outside those of ``unchecked`` carry
    no check at all. ``added`` are copies of an entry under another name. A second person signs what the
    engineer answers for in the documents that ``seen`` names. ``beyond`` reads the job as a request does.
    """

    added: Pieces = ()
    unchecked: tuple[str, ...] = ()
    check: bool = True
    seen: str = ""
    beyond: bool = False

    def document(self, *, within: bool) -> str:
        """Job and changed entries of one side as one text, without digests: what a person types."""
        job, texts = self._typed(within=within)
        return "\n".join(
            DIGEST.sub("", t)
            for t in (self._signed(job, texts, within), *dict(sorted(texts.items())).values())
        )

    def loaded(self, *, within: bool, turned: bool = False) -> Loaded:
        """One of its two jobs, read; ``turned`` for a reader of the other units."""
        job, texts = self._typed(within=within)
        if turned:
            at = _at(BAY)
            was = texts.get(at, BASE.read("bays", "door cell").text)
            texts[at] = checked_again(was.replace('units = "mm"', 'units = "in"'), BAY)
        return _read(self._signed(job, texts, within), texts, beyond=self.beyond)

    def findings(self, *, within: bool, turned: bool = False) -> tuple[Finding, ...]:
        """What is found of one of its two jobs."""
        loaded = self.loaded(within=within, turned=turned)
        if self.code in PLANNED:
            return _planned(loaded)
        assert loaded.shelved is not None
        return loaded.shelved.findings

    def _typed(self, *, within: bool) -> tuple[str, dict[tuple[str, str], str]]:
        pieces = (*self.both, *(self.inside if within else self.outside))
        job = replaced(short(self.of), [p for p in pieces if len(p) == 2], self.name)
        changed: dict[str, str] = {}
        for entry, name in self.added:
            text, own = _text(entry), entry.partition("/")[2]
            changed[f"{entry.partition('/')[0]}/{name}"] = text.replace(
                f'name = "{own}"', f'name = "{name}"', 1
            )
        for entry in {p[0] for p in pieces if len(p) == 3}:
            own_pieces = [p[1:] for p in pieces if len(p) == 3 and p[0] == entry]
            changed[entry] = replaced(changed.get(entry) or _text(entry), own_pieces, self.name)
        texts = {_at(e): checked_again(t, e) if self.check else t for e, t in changed.items()}
        for entry in () if within else self.unchecked:
            texts[_at(entry)] = CHECK.sub("\n", _text(entry))
        return job, texts

    def _signed(self, job: str, texts: dict[tuple[str, str], str], within: bool) -> str:
        """The job after a second person signed what stays open in it."""
        if self.seen not in ("both", "inside" if within else "outside"):
            return job
        loaded = _read(job, texts, beyond=self.beyond)
        assert loaded.shelved is not None
        open_ = [*(s for s in loaded.shelved.statements if s.open), *_answers(loaded.document)]
        assert open_, "nothing is open"
        said = {(*s.at, f"checked_{k}"): v for s in open_ for k, v in {**SEEN, "digest": s.digest}.items()}
        return written(job, said)


def shelf_case(plain: FindingCase, row: dict[str, Any]) -> ShelfCase:
    """The case of a row with shelves as its host."""
    own = {f: getattr(plain, f) for f in FindingCase.__dataclass_fields__}
    lists = {
        n: tuple(tuple(x) if isinstance(x, list) else x for x in row.get(n, []))
        for n in ("added", "unchecked")
    }
    rest = {n: row[n] for n in ("check", "seen", "beyond") if n in row}
    return ShelfCase(**own, **lists, **rest)


def _at(entry: str) -> tuple[str, str]:
    shelf, _, name = entry.partition("/")
    return shelf, file_name(name)


def _text(entry: str) -> str:
    shelf, _, name = entry.partition("/")
    return BASE.read(cast(Shelf, shelf), name).text


def checked_again(text: str, entry: str) -> str:
    """The text with its check renewed: by whom, on which day and against what it says itself."""
    shelf, file = _at(entry)
    if shelf == "stores":
        return text
    made = read_entry(text.encode("utf8"), f"{shelf}/{file}", cast(Shelf, shelf))
    was = made.head.check
    return text if was is None else checked_text(made, was.by, was.on, was.against)


def _read(job: str, texts: dict[tuple[str, str], str], *, beyond: bool) -> Loaded:
    return _kept(job, tuple(sorted(texts.items())), beyond)


@cache
def _kept(job: str, texts: tuple[tuple[tuple[str, str], str], ...], beyond: bool) -> Loaded:
    opened = open_file(job.encode("utf8"), "job.toml")
    return resolved(opened, Overlay(dict(texts)), measured_damage, beyond=beyond)


_PLANS: dict[str, tuple[Finding, ...]] = {}


def _planned(loaded: Loaded) -> tuple[Finding, ...]:
    if loaded.digest not in _PLANS:
        _PLANS[loaded.digest] = make_plan(case_of(loaded)).findings
    return _PLANS[loaded.digest]
