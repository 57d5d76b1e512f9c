"""The one door to the typesetting library: a template and its data in, pages out.

Offline and repeatable: only the fonts shipped in this package are used, the document date is the one passed
in, and every warning is an error (a missing font would otherwise be replaced without a word). Text that
people typed reaches a template only as data, never as markup.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any, Literal

from panelmend.errors import MissingError, OutputError

FONT = "Inter"
CAP_HEIGHT = 2048 / 2816  # [em] of the shipped font: what text is centred by
UNDATED = date(2000, 1, 1)  # stands in the file's metadata where no date is passed in
Standard = Literal["a-3a", "a-3b", "1.7"]

_HERE = Path(__file__).parent
_FONTS = _HERE / "fonts"
_TEMPLATES = _HERE / "typst"
# The library keeps what it set, a megabyte for each kilobyte of data, until ten runs did not ask for it.
_REMEMBERS = 10
_MUCH = 400_000  # characters of data after which it is made to forget
_since, _counting, _keeps = [0], Lock(), [False]


def template(name: str) -> str:
    """The source of a shipped template, ``name`` without ending.

    Raises:
        MissingError: there is no such template.
    """
    found = _shipped().get(f"{name}.typ")
    if found is None:
        raise MissingError(f"there is no page template called {name!r}")
    return found.decode("utf8")


@dataclass(frozen=True)
class Sheets:
    """Pages that are ready to be set: the shipped template, its data, the date in the file's metadata."""

    template: str
    data: Mapping[str, Any]
    dated: date | None = None

    def pdf(self) -> bytes:
        """The pages as PDF. Raises OutputError."""
        made = _elsewhere[0](self) if _elsewhere else None
        return compile_pdf(template(self.template), self.data, dated=self.dated) if made is None else made

    def png(self, ppi: float = 110.0) -> tuple[bytes, ...]:
        """The pages as pictures with so many dots to an inch. Raises OutputError."""
        return compile_png(template(self.template), self.data, ppi=ppi)


_elsewhere: list[Callable[[Sheets], bytes | None]] = []


def set_elsewhere(by: Callable[[Sheets], bytes | None]) -> None:
    """From now on sheets are set by ``by``, which gives the same bytes, or None: then they are set here."""
    _elsewhere[:] = [by]


def remember_all() -> None:
    """For a process that only sets pages: forget no more than the library does by itself."""
    _keeps[0] = True


def compile_pdf(
    source: str, data: Mapping[str, Any], *, dated: date | None = None, standard: Standard = "a-3a"
) -> bytes:
    """A tagged PDF that asks to be printed without scaling.

    Args:
        source: typst source; it reads its data with ``json("/data.json")``.
        data: plain data (dicts, lists, text, numbers).
        dated: the date to stand in the file's metadata.
        standard: what the file conforms to; pages longer than 200 in need a split first.

    Raises:
        OutputError: the template does not compile, or a warning was given.
    """
    made = _compile(source, data, format="pdf", pdf_standards=[standard], timestamp=_stamp(dated))
    return _unscaled(made[0])


def compile_png(source: str, data: Mapping[str, Any], *, ppi: float = 144.0) -> tuple[bytes, ...]:
    """Every page as PNG. Raises OutputError."""
    return _compile(source, data, format="png", ppi=ppi, timestamp=_stamp(None))


def printable(text: str) -> str:
    """The text with characters the shipped font cannot draw shown as an empty box."""
    if text.isascii() and text.isprintable():
        return text  # every printable character of ASCII is in the font
    covered = _covered()
    return "".join(c if c in "\n\t" or ord(c) in covered else "\u25a1" for c in text)


def _stamp(dated: date | None) -> datetime:
    d = dated or UNDATED
    return datetime(d.year, d.month, d.day, tzinfo=UTC)


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(_FONTS)])


@cache
def _shipped() -> dict[str, bytes]:
    """Every template, read once: a page is never made of one from before an update and another from after."""
    return {path.name: path.read_bytes() for path in sorted(_TEMPLATES.glob("*.typ"))}


@cache
def _covered() -> frozenset[int]:
    found: set[int] = set()
    for line in (_FONTS / "covered.txt").read_text("ascii").split():
        first, last = line.split("-")
        found.update(range(int(first, 16), int(last, 16) + 1))
    return frozenset(found)


def _clean(value: Any) -> Any:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {str(k): _clean(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_clean(v) for v in value]
    return value


def _forget(read: int) -> None:
    """Runs of nothing once ``read`` characters and those before are much: who stays up stays small."""
    import typst

    if _keeps[0]:
        return
    with _counting:
        _since[0] += read
        if _since[0] < _MUCH:
            return
        _since[0] = 0
    nothing = typst.Compiler(b" ", font_paths=_fonts(), ignore_system_fonts=True)
    for _ in range(_REMEMBERS):
        nothing.compile(b" ", format="svg")


def data_text(data: Mapping[str, Any]) -> str:
    """The data of a page as JSON, as it goes to the typesetting library. Raises TypeError, ValueError."""
    return json.dumps(_clean(data), ensure_ascii=False, allow_nan=False)


def read_templates() -> None:
    """Read every template now, for a process that says which ones it has."""
    _shipped()


def _compile(source: str, data: Mapping[str, Any], **settings: Any) -> tuple[bytes, ...]:
    import typst  # late: a plan typesets nothing

    text = data_text(data)
    try:
        # As a file: what is passed in otherwise is part of everything, and nothing set before could be used.
        files = {**_shipped(), "main": source.encode("utf8"), "data.json": text.encode("utf8")}
        compiler = typst.Compiler(files, font_paths=_fonts(), ignore_system_fonts=True)
        made, warnings = compiler.compile_with_warnings(**settings)
    except typst.TypstError as error:
        raise OutputError(f"the page template does not compile: {error.diagnostic or error}") from None
    _forget(len(text))
    if warnings:
        raise OutputError(f"the page template gave a warning: {warnings[0].message}")
    pages = made if isinstance(made, list) else [made]
    return tuple(page for page in pages if page is not None)


def _unscaled(pdf: bytes) -> bytes:
    """The PDF with the wish to be printed without scaling put into its catalogue.

    The catalogue is the last object before the cross-reference table, so only the table's place moves.
    """
    mark, wish = b"/ViewerPreferences<<", b"/PrintScaling/None"
    at, table = pdf.rfind(mark), pdf.rfind(b"\nxref\n")
    start = pdf.rfind(b"\nstartxref\n")
    if not pdf.rfind(b"/Type/Catalog") < at < table < start or b" obj" in pdf[at:table]:
        raise OutputError("the PDF is not laid out as expected: its print scaling cannot be set")
    head = pdf[: at + len(mark)] + wish + pdf[at + len(mark) : start]
    place = int(pdf[start:].split()[1])
    if place != table + 1:
        raise OutputError("the PDF's cross-reference table is not where it says")
    return head + b"\nstartxref\n%d\n%%%%EOF" % (place + len(wish))
