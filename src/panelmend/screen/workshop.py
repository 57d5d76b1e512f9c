"""The workshop on this machine: a folder of the user's own with repairs in it."""

from __future__ import annotations

import json
import os
import re
import sys
import threading
import tomllib
from dataclasses import asdict, dataclass
from importlib import resources
from pathlib import Path

from panelmend.app.demo_shop import Invented, begin
from panelmend.app.loading import damage_named
from panelmend.app.opened import OpenRepair
from panelmend.app.tapbook import TapBook
from panelmend.document.several import names_of
from panelmend.errors import InputError, MissingError, OutputError, PanelmendError
from panelmend.files import replace_whole
from panelmend.records.book import Book
from panelmend.records.canonical import tidy_text
from panelmend.records.secrets import FULL, Cost
from panelmend.records.state import Job
from panelmend.screen.alone import RECORDS
from panelmend.screen.watches import Watches

SETTING = "PANELMEND_WORKSHOP"
HALF = "demonstration-half-begun"
RECORDS_FILE, PEOPLE = "records.sqlite", "invented-people.json"
LOGS = "logs"
DOCUMENT, TAPS = "repair.toml", "taps.jsonl"
DEMO = "TAS-26-0417"
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
OTHER_NAME = "give its folder another name: plain letters, figures, dots, strokes, eighty at most"
MOST_OPEN = 12  # repairs kept planned at a time


def workshop_folder() -> Path:
    """The user's own workshop folder: by the setting PANELMEND_WORKSHOP, else where the system keeps data."""
    given = os.environ.get(SETTING, "").strip()
    if given:
        return Path(given).expanduser()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "panelmend" / "workshop"


class InWork(PanelmendError):
    """A repair that a job goes by is not changed."""


@dataclass(frozen=True)
class ListedRepair:
    """A repair in the workshop; ``faults`` says why it cannot be opened, "" where it can."""

    name: str
    repair: OpenRepair | None
    faults: str = ""


class Workshop:
    """The repairs of a folder, opened when they are asked for."""

    def __init__(self, folder: Path, cost: Cost = FULL, logs: Path | None = None) -> None:
        self.folder, self.cost = folder, cost
        self._book: Book | None = None
        self._open: dict[str, OpenRepair] = {}
        self._taps: dict[str, TapBook] = {}
        self._opening: dict[str, threading.Lock] = {}
        self._changing: dict[str, threading.RLock] = {}
        self._lock = threading.Lock()
        self._beginning = threading.Lock()
        try:
            self.repairs_folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise OutputError(f"{folder} could not be made: {error.strerror}") from None

        self.watches = Watches(folder, logs or folder / LOGS)

    @property
    def repairs_folder(self) -> Path:
        """Where the repairs stand, each in a folder of its own."""
        return self.folder / "repairs"

    def names(self) -> tuple[str, ...]:
        """The repairs that are there, in order; each damage of a job with several by itself."""
        found = (
            f"{p.parent.name}.{d}" if d else p.parent.name
            for p in self.repairs_folder.glob(f"*/{DOCUMENT}")
            for d in _damages(p) or ("",)
        )
        return tuple(sorted({n for n in found if NAME.fullmatch(n)}))

    def damages(self, name: str) -> tuple[tuple[str, str], ...]:
        """The damages of the job a repair is of, each with the repair's name; none where it has one."""
        path, damage = damage_named(self.document(name))
        return tuple((d, f"{path.parent.name}.{d}") for d in _damages(path)) if damage else ()

    def name_by_now(self, name: str) -> str:
        """The name under which a repair is opened now: of a job whose damages came or went, its first's."""
        if name in self.names():
            return name
        folder = next(f for f in (name, name.rpartition(".")[0]) if (self.repairs_folder / f).is_dir())
        return next(n for n in self.names() if self._stands_in(n, folder))

    def _stands_in(self, name: str, folder: str) -> bool:
        try:
            return self.document(name).parent.name == folder
        except InputError:  # of two repairs; opening it says so
            return False

    def listed(self) -> tuple[ListedRepair, ...]:
        """Every repair, opened as far as it can be."""
        made = []
        for name in self.names():
            try:
                made.append(ListedRepair(name, self.open(name)))
            except PanelmendError as error:
                made.append(ListedRepair(name, None, str(error).splitlines()[0]))
        odd = sorted(p.parent.name for p in self.repairs_folder.glob(f"*/{DOCUMENT}"))
        return (*made, *(ListedRepair(n, None, OTHER_NAME) for n in odd if not NAME.fullmatch(n)))

    def open(self, name: str) -> OpenRepair:
        """A repair by its name.

        Raises:
            MissingError: there is none.
            PanelmendError: its document cannot be planned.
        """
        path = self.document(name)
        with self._lock:
            kept = self._open.get(name)
            opening = self._opening.setdefault(name, threading.Lock())
        if kept is not None:
            return kept
        with opening:  # whoever wants another repair, taps or the records does not wait for this plan
            with self._lock:
                kept = self._open.get(name)
            if kept is None:
                kept = OpenRepair(path)
                with self._lock:
                    while len(self._open) >= MOST_OPEN:
                        self._open.pop(next(iter(self._open)))
                    self._open[name] = kept
            return kept

    def changing(self, name: str) -> threading.RLock:
        """Held by whoever changes a repair or begins its job: nobody else does either meanwhile."""
        with self._lock:
            return self._changing.setdefault(name, threading.RLock())

    def taps(self, name: str) -> TapBook:
        """The taps of a repair. Raises MissingError."""
        file, damage = damage_named(self.document(name))
        path = file.with_name(f"taps-{damage}.jsonl" if damage else TAPS)
        with self._lock:
            if name not in self._taps:
                self._taps[name] = TapBook(path)
            return self._taps[name]

    @property
    def book(self) -> Book | None:
        """The records of the workshop; None where they were not begun yet. Raises Refused."""
        with self._lock:
            there = (self.folder / RECORDS_FILE).exists() and not (self.folder / HALF).exists()
            if self._book is None and there:
                self._book = Book.open(str(self.folder / RECORDS_FILE), cost=self.cost)
            return self._book

    def begin_demo(self, name: str) -> tuple[Invented, ...]:
        """Begin records of the invented shop of an invented repair; its people, who are kept beside them.

        Raises:
            InputError: records are there, or the repair is none that was invented.
        """
        document = self.open(name).made.plan.case.document
        if not document.repair.invented:
            raise InputError(
                "people are made up for an invented repair alone",
                todo="begin the records with panelmend records begin, in the workshop's folder",
            )
        with self._beginning:
            half = self.folder / HALF
            if (self.folder / RECORDS_FILE).exists() and not half.exists():
                raise InputError("records were begun here already")
            for left in self.folder.glob(
                f"{RECORDS_FILE}*"
            ):  # of a beginning that was killed: nobody has its secrets
                left.unlink()
            replace_whole(half, b"invented records are being begun here\n")
            made = begin(self.folder / RECORDS_FILE, document, cost=self.cost)
            rows = [asdict(p) for p in made]
            handle = os.open(self.folder / PEOPLE, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf8") as file:
                json.dump(rows, file, indent=1)
                file.flush()
                os.fsync(file.fileno())
            half.unlink()
            return made

    def invented(self) -> tuple[Invented, ...]:
        """The invented people of a demonstration with their secrets; nobody in real records."""
        book = self.book
        with RECORDS:
            if book is None or not book.state.invented:
                return ()
        try:
            rows = json.loads((self.folder / PEOPLE).read_text("utf8"))
            return tuple(Invented(**row) for row in rows)
        except (OSError, ValueError, TypeError):
            return ()

    def job_of(self, name: str) -> tuple[Book, Job] | None:
        """The job that was begun from a repair, the last of its number; None where there is none."""
        book = self.book
        if book is None:
            return None
        number = tidy_text(self.open(name).last.plan.case.document.repair.number)
        with RECORDS:
            job = book.state.jobs.get(number)
        return None if job is None else (book, job)

    def may_change(self, name: str) -> None:
        """See that a repair may be changed: of several damages the document is one, and so is what others are
        planned with. Raises InWork while a job goes by it or by another damage of it."""
        for each in self._of_document(name):
            with RECORDS:
                found = self.job_of(each)
            if found is not None and not found[1].closed:
                by = "this repair" if each == name else f"{each}, another damage of this document"
                raise InWork(f"job {found[1].opened.job} is in work by {by}: its plan stays as it was signed")

    def _of_document(self, name: str) -> tuple[str, ...]:
        """The repair, and those of the other damages of its document."""
        file, damage = damage_named(self.document(name))
        if not damage:
            return (name,)
        folder = name.removesuffix(f".{damage}")
        return (name, *(f"{folder}.{d}" for d in _damages(file) if d != damage))

    def document(self, name: str) -> Path:
        """The document of a repair; that of one damage of several has the damage behind a #.

        Raises:
            MissingError: there is none.
            InputError: a folder has the name of a damage of another one.
        """
        own = self.repairs_folder / name / DOCUMENT
        if NAME.fullmatch(name):
            folder, _, damage = name.rpartition(".")
            path = self.repairs_folder / folder / DOCUMENT
            is_one_of = bool(folder) and path.is_file() and damage in _damages(path)
            if is_one_of and own.is_file():
                raise InputError(
                    "two repairs have this name",
                    where=name,
                    read=f"the folder {name}, and damage {damage} of {folder}",
                    todo=f"give the folder {name} another name",
                )
            if is_one_of:
                return path.with_name(f"{DOCUMENT}#{damage}")
            if own.is_file():
                return own
        raise MissingError(f"no repair {name[:80]!r} in this workshop")

    def with_demo(self) -> Workshop:
        """The workshop, with the demonstration repair put in where there is no repair at all."""
        if not self.names():
            folder = self.repairs_folder / DEMO
            folder.mkdir(exist_ok=True, mode=0o700)
            for file in sorted(resources.files("panelmend.screen").joinpath("demo").iterdir(), key=_last):
                replace_whole(folder / file.name, file.read_bytes())
        return self


def _damages(path: Path) -> tuple[str, ...]:
    """The damages of a document that has several; none where it has one, or cannot be read."""
    try:
        given = tomllib.loads(path.read_text("utf8")).get("damage")
        return names_of(given) if isinstance(given, list) and len(given) > 1 else ()
    except (OSError, ValueError, AttributeError):
        return ()  # opening it says what is wrong


def _last(file: object) -> tuple[bool, str]:
    """The document last: a repair is there once all of it is."""
    name = str(getattr(file, "name", ""))
    return name == DOCUMENT, name
