"""Numbers that somebody else printed, each with its source, beside ours.

A test of tests/published compares with `printed(value, source=..., place=...)`, and with nothing else: that
is what makes a row of docs/validation.md, which `scripts/validation` writes. The value stands in the test
as it was printed; a formula evaluated in a test, or a number of our own, belongs in tests/laws
(`tests/laws/test_published_is_printed.py`).
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import PurePosixPath

import numpy as np
import pytest

HEADING = "## Looked for and not found"
Value = float | Sequence[float]


class Seen(StrEnum):
    """How the printed number came into the test."""

    READ = "read"
    QUOTED = "read as others quote it"
    MEMORY = "from memory"


@dataclass(frozen=True)
class Source:
    """A publication, and how its numbers here were come by; MEMORY wherever that is in doubt."""

    title: str
    seen: Seen


@dataclass(frozen=True)
class Comparison:
    """One printed number beside ours. `test`: name of the node; `held`: the tolerance of the test holds."""

    test: str
    source: Source
    place: str
    printed: float
    ours: float
    held: bool


COMPARED: list[Comparison] = []


class Printed:
    """What is printed, to compare ours with; keeps each comparison."""

    __array_ufunc__ = None
    __hash__ = None  # type: ignore[assignment]

    def __init__(
        self, value: Value, source: Source, place: str, rel: float | None, within: float | None
    ) -> None:
        self._value, self._source, self._place = value, source, place
        self._near = pytest.approx(value, rel=rel, abs=within)

    def __eq__(self, ours: object) -> bool:
        held = bool(self._near == ours)
        theirs = np.asarray(self._value, dtype=float).ravel()
        got = np.asarray(ours, dtype=float).ravel()
        if theirs.shape != got.shape:
            return False
        test = os.environ.get("PYTEST_CURRENT_TEST", "").removesuffix(" (call)")
        for a, b in zip(theirs, got, strict=True):
            COMPARED.append(Comparison(test, self._source, self._place, float(a), float(b), held))
        return held

    def __ne__(self, ours: object) -> bool:
        return not self == ours

    def __repr__(self) -> str:
        return f"{self._near!r} ({self._source.title}, {self._place})"


def printed(
    value: Value, *, source: Source, place: str, rel: float | None = None, within: float | None = None
) -> Printed:
    """A number, or several, as somebody else printed it.

    Args:
        value: literally, with the digits and in the unit of the print.
        source: where it is printed.
        place: where in it, and what it is, with its unit.
        rel: relative tolerance; where neither it nor `within` is given, a millionth.
        within: absolute tolerance, in the unit of the value.
    """
    return Printed(value, source, place, rel, within)


def rows(compared: Sequence[Comparison]) -> list[Comparison]:
    """The comparisons without repeats: the same test, place, printed number and ours."""
    once = {(_words(c), c.source, c.place, c.printed, c.ours): c for c in compared}
    return list(once.values())


def page(compared: Sequence[Comparison], below: str) -> str:
    """docs/validation.md: by file of tests/published and by source, a row for each printed number."""
    all_rows = rows(compared)
    numbers = {(c.source, c.place, c.printed) for c in all_rows}
    files = sorted({_file(c) for c in all_rows})
    by = {seen: sum(c.source.seen is seen for c in all_rows) for seen in Seen}
    out = [
        "# Published values beside ours",
        "",
        "Made by `scripts/validation` from the comparisons that `tests/published` makes while it runs.",
        "A row is one number that somebody else printed, as it was printed, beside ours. What we computed",
        "ourselves, a textbook's formula evaluated in a test among it, is no row: it stands in `tests/laws`.",
        "",
        f"{len(all_rows)} rows in {len(files)} files: {by[Seen.READ]} read, {by[Seen.QUOTED]} read as others "
        f"quote it, {by[Seen.MEMORY]} from memory.",
        f"They hold {len(numbers)} different printed numbers (some are met by two ways of ours);",
        f"{sum(c.held for c in all_rows)} rows are within the tolerance the test states.",
        '"Read": the publication, or the page named, was open when the number was typed or looked up again.',
        '"Read as others quote it": public sources that give it as that publication\'s were open.',
        '"From memory": neither, or nobody can say any more.',
        "",
    ]
    for file in files:
        here = [c for c in all_rows if _file(c) == file]
        out += [f"## {heading(file)}", ""]
        for source in dict.fromkeys(c.source for c in here):
            out += [f"{source.title}: {source.seen}.", ""]
            out += ["| asked | place | printed | ours | difference | how known |"]
            out += ["| --- | --- | --- | --- | --- | --- |"]
            out += [_row(c) for c in here if c.source == source]
            out.append("")
    return "\n".join(out).rstrip() + "\n\n" + below.rstrip() + "\n"


def heading(file: str) -> str:
    """The heading of a test file in the page."""
    return file.removeprefix("test_").removesuffix(".py").replace("_", " ").capitalize()


def asked(name: str) -> str:
    """The words of a test function in the page."""
    return name.removeprefix("test_").replace("_", " ")


def _file(c: Comparison) -> str:
    return PurePosixPath(c.test.partition("::")[0]).name


def _words(c: Comparison) -> str:
    return asked(c.test.rpartition("::")[2].partition("[")[0])


def _row(c: Comparison) -> str:
    theirs = f"{c.printed:.10g}"
    digits = len(theirs.partition("e")[0].replace(".", "").lstrip("-0"))
    ours = f"{c.ours:.{max(digits + 1, 4)}g}"
    place = c.place.replace("|", "/")
    return f"| {_words(c)} | {place} | {theirs} | {ours} | {_difference(c)} | {c.source.seen} |"


def _difference(c: Comparison) -> str:
    if c.printed == 0.0:
        return "none" if c.ours == 0.0 else f"{c.ours:.1e}"
    share = c.ours / c.printed - 1.0
    return "none" if abs(share) < 5e-9 else f"{100 * share:+.2g} %"
