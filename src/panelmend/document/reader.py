"""Reading a repair document: bytes in, a checked Document out, or every fault with its line."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Protocol, cast

from pydantic import TypeAdapter, ValidationError

from panelmend.document.answers import paths_answered, with_answers
from panelmend.document.approved import ApprovedData
from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults import faults_of
from panelmend.document.model import VERSION, Document
from panelmend.document.odd_units import odd_units
from panelmend.document.packed_lines import without_packed
from panelmend.document.places import Path, Places
from panelmend.document.places import dotted as dotted
from panelmend.document.question import Asked
from panelmend.document.raw import UnusableValue, clean
from panelmend.document.shelved import Shelved
from panelmend.document.syntax import not_toml
from panelmend.document.typed_out import TypedFigure, typed_out
from panelmend.document.wording import plain_complaint, shown
from panelmend.errors import DocumentError, Finding, InputError

LARGEST_DOCUMENT = 4_000_000  # bytes; a traced outline of 20,000 points is under 1 MB
MOST_FAULTS = 200  # a longer list helps nobody


@dataclass(frozen=True)
class Loaded:
    """A document as it was read: its name, its text, the digest of that text and the typed document.

    For a job on shelves the digest is that of the job and of every entry it uses, and ``shelved`` holds them.
    ``odd`` are questions that only the text itself raises: units unlike all the others. ``damages`` are the
    names of all damages of the job, where it has several; the document holds one of them, or several
    ``joined`` for a reason. ``typed`` are its figures as they were typed. ``told`` is what was found
    in reading a document in one file; of a job on shelves, ``shelved`` has it.
    """

    name: str
    text: str
    digest: str
    document: Document
    shelved: Shelved | None = None
    odd: tuple[Asked, ...] = ()
    damages: tuple[str, ...] = ()
    joined: str = ""
    typed: tuple[TypedFigure, ...] = ()
    told: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class OpenedFile:
    """A TOML file as it was opened: its values without the unusable ones, and a fault for each of these.

    Of a job with several damages, ``raw`` holds the one of number ``part``, named ``damage`` among
    ``damages``; ``joined`` says why several of them are one.
    """

    name: str
    text: str
    digest: str
    raw: dict[str, Any]
    found: tuple[Fault, ...]
    part: int | None = None
    damage: str = ""
    damages: tuple[str, ...] = ()
    joined: str = ""

    @property
    def version(self) -> object:
        """What stands under ``panelmend``, None where nothing does."""
        return self.raw.get("panelmend")


class Locator(Protocol):
    """Knows where the value at a path was typed."""

    def place(self, path: Path) -> tuple[int, int, str]:
        """The file's turn, the line in it, and both in words."""


class InFile:
    """A document that stands in one file."""

    def __init__(
        self, name: str, text: str, part: int | None = None, moved: Mapping[Path, Path] | None = None
    ) -> None:
        self._name, self._places, self._part, self._moved = name, Places(text), part, moved or {}

    def place(self, path: Path) -> tuple[int, int, str]:
        """The file's turn, the line in it, and both in words."""
        if self._part is not None and path[:1] == ("damage",):
            path = ("damage", self._part, *path[1:])
        for old, new in self._moved.items():  # an answered value stands where its answer was typed
            if path[: len(old)] == old:
                rest = path[len(old) :]
                path = (*new, *(rest[1:] if rest[:1] == ("value",) else rest))
        line = self._places.line(path)
        return 0, line, f"{self._name}, line {line}"


def open_file(data: bytes, name: str) -> OpenedFile:
    """Open a TOML file: a repair document, a job or a shelf entry.

    Raises:
        DocumentError: it is no text, no TOML, too large or nested too deeply.
    """
    text = _decode(data, name)
    try:
        raw, found = clean(_toml(text, name))
    except InputError as error:
        if isinstance(error, DocumentError):
            raise
        raise DocumentError(
            [InputError(error.words, where=name, read=error.read, expected=error.expected)]
        ) from None
    bare = without_packed(text)  # what a pack wrote below the job is no part of it
    # of the text and not of the bytes: a pack holds it without a byte-order mark, its line ends line feeds
    digest = hashlib.sha256(bare.encode("utf8")).hexdigest()
    return OpenedFile(name, text, digest, raw, tuple(found))


def parse(data: bytes, name: str = "document") -> Loaded:
    """Read a repair document that stands in one file.

    Args:
        data: the bytes of the TOML file.
        name: what to call it in messages.

    Raises:
        DocumentError: with every fault found, in the order of the lines, each with file, line, what was read
            and what was expected.
    """
    return parsed(open_file(data, name))


def parsed(opened: OpenedFile) -> Loaded:
    """The same of a file that was opened before."""
    name, text, version = opened.name, opened.text, opened.version
    if isinstance(version, bool) or version != VERSION:
        raise DocumentError([_placed(_wrong_version(opened.raw), InFile(name, text))])
    opened = _alone(opened)
    raw, wrong = with_answers(opened.raw)
    document = typed(
        raw, [*opened.found, *wrong], lambda: InFile(name, text, opened.part, paths_answered(raw)), name
    )
    if any(c.sheet for c in document.confirm):
        i = next(i for i, c in enumerate(document.confirm) if c.sheet)
        words = InputError(
            "a practice sheet stands on a shelf",
            read=shown(document.confirm[i].sheet),
            expected="no sheet here; say it under reason, or name the sheet in a job on shelves",
        )
        raise refusal([(("confirm", i, "sheet"), words)], InFile(name, text), name)
    return Loaded(
        name,
        text,
        opened.digest,
        document,
        odd=odd_units(opened.raw),
        damages=opened.damages,
        joined=opened.joined,
        typed=typed_out(opened.raw),
    )


def _alone(opened: OpenedFile) -> OpenedFile:
    """The document with its one damage, where it stands in a list by itself.

    Raises:
        DocumentError: the list has several, and what is asked for is done for one.
    """
    given = opened.raw.get("damage")
    if not isinstance(given, list):
        return opened
    if len(given) == 1 and isinstance(given[0], dict):
        own = tuple(
            (("damage", *path[2:]), error) if path[:2] == ("damage", 0) else (path, error)
            for path, error in opened.found
        )
        return replace(opened, raw={**opened.raw, "damage": given[0]}, found=own, part=0)
    words = fault_at(
        ("damage",),
        "this job has several damages, and this is done for one",
        f"{len(given)} damages",
        "a document with one",
        "check, plan and pack take the whole job; other verbs take repair.toml#A",
    )
    raise refusal([words], InFile(opened.name, opened.text), opened.name)


def typed(
    raw: dict[str, Any], found: list[Fault], locate: Callable[[], Locator], name: str, *, whole: bool = True
) -> Document:
    """The typed document of raw values.

    Args:
        raw: the values.
        found: faults that are known already.
        locate: makes what knows where values stand; called only when something is wrong.
        name: what the document is called.
        whole: whether faults that need more than one field are looked for, too.

    Raises:
        DocumentError: with every fault.
    """
    document: Document | None = None
    sound: set[str] | None = None
    try:
        document = Document.model_validate(raw)
        if found:
            sound = _sections(raw) - {_section(path) for path, _ in found}
    except ValidationError as error:
        complaints = error.errors(include_url=False)
        found += [plain_complaint(e, raw) for e in complaints]
        bad = {_section(tuple(e["loc"])) for e in complaints} | {_section(path) for path, _ in found}
        document, sound = _as_much_as_read(raw, bad)
    if whole:
        found += faults_of(document, sound)
    if found:
        raise refusal(found, locate(), name)
    return document


def refusal(found: list[Fault], locator: Locator, name: str) -> DocumentError:
    """Every fault once, by file and line."""
    return DocumentError(_in_order(found, locator, name))


def _wrong_version(raw: dict[str, Any]) -> Fault:
    known = f"panelmend = {VERSION} above the first table"
    if "panelmend" not in raw:
        return (), InputError(
            "the document does not say which version of the form it uses", read="nothing", expected=known
        )
    if raw["panelmend"] == 2 and not isinstance(raw["panelmend"], bool):
        return ("panelmend",), InputError(
            "a job on shelves cannot be used here",
            read="panelmend = 2",
            expected=f"a document in one file, with {known}",
            todo="put in by hand what this would write",
        )
    return ("panelmend",), InputError(
        "this version of the document's form is unknown",
        read=shown(raw["panelmend"]),
        expected=known,
        todo="a document of a later form needs a later panelmend",
    )


def _placed(fault: Fault, locator: Locator) -> InputError:
    path, e = fault
    where = locator.place(path)[2] + (f", {dotted(path)}" if path else "")
    return InputError(e.words, where=where, read=e.read, expected=e.expected, todo=e.todo)


def _in_order(found: list[Fault], locator: Locator, name: str) -> list[InputError]:
    """Each fault once, by line; the first thing said of a value is the only one."""
    said: dict[tuple[Path, str], Fault] = {}
    unusable: set[Path] = set()
    for path, error in found:
        if path in unusable:
            continue
        if isinstance(error, UnusableValue):
            unusable.add(path)
        said.setdefault((path, error.words), (path, error))
    ordered = sorted(said.values(), key=lambda f: locator.place(f[0])[:2])
    faults = [_placed(f, locator) for f in ordered[:MOST_FAULTS]]
    if len(ordered) > MOST_FAULTS:
        more = len(ordered) - MOST_FAULTS
        faults.append(InputError(f"and {more:,} more faults", where=name, todo="correct these first"))
    return faults


def _section(path: Path) -> str:
    """The part of the document a path lies in: "panel", "data.plies", ..."""
    if path and path[0] == "data" and len(path) > 1:
        return f"data.{path[1]}"
    return str(path[0]) if path else ""


def _sections(raw: dict[str, Any]) -> set[str]:
    given = {n for n, f in Document.model_fields.items() if n in raw or not f.is_required()} - {"data"}
    data = raw.get("data")
    if isinstance(data, dict):
        fields = ApprovedData.model_fields.items()
        given |= {f"data.{n}" for n, f in fields if n in data or not f.is_required()}
    return given


def _as_much_as_read(raw: dict[str, Any], bad: set[str]) -> tuple[Document, set[str]]:
    """The document with only its well-formed sections, and their names."""
    sound = _sections(raw) - bad
    if "data" in bad:
        sound = {s for s in sound if not s.startswith("data.")}
    given = raw.get("data")
    data = ApprovedData.model_construct(
        **_read_fields(ApprovedData, given if isinstance(given, dict) else {}, sound, "data.")
    )
    return Document.model_construct(**_read_fields(Document, raw, sound, ""), data=data), sound


def _read_fields(
    model: type[Document] | type[ApprovedData], raw: dict[str, Any], sound: set[str], prefix: str
) -> dict[str, Any]:
    return {
        name: TypeAdapter[Any](cast(Any, field.annotation)).validate_python(raw[name])
        for name, field in model.model_fields.items()
        if prefix + name in sound and name in raw
    }


def _decode(data: bytes, name: str) -> str:
    if len(data) > LARGEST_DOCUMENT:
        raise DocumentError(
            [
                InputError(
                    "the file is too large",
                    where=name,
                    read=f"{len(data):,} bytes",
                    expected=f"at most {LARGEST_DOCUMENT:,} bytes",
                    todo="a repair document is text of a few pages: check which file this is",
                )
            ]
        )
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise DocumentError(
            [
                InputError(
                    "the file is not UTF-8 text",
                    where=f"{name}, line {line}",
                    read=f"byte 0x{data[error.start]:02x}",
                    expected="UTF-8",
                    todo="save it as UTF-8",
                )
            ]
        ) from None


def _toml(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except ValueError as error:  # TOMLDecodeError, and whole numbers of thousands of digits
        raise DocumentError([not_toml(error, text, name)]) from None
    except RecursionError:
        raise DocumentError(
            [
                InputError(
                    "nested too deeply", where=name, read="brackets without end", expected="a repair document"
                )
            ]
        ) from None
