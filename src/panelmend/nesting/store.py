"""Layouts kept in a file beside the document, so that the same document and file give the same pack.

The file is JSON: for each problem (by its digest) the cloth and where each piece lies. It holds no date and
no search time, and is written whole or not at all.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from panelmend.errors import InputError, ReadingError
from panelmend.files import read_kept, replace_whole
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Nest, NestProblem
from panelmend.job.nest.stored import nest_data, nest_from

VERSION = 1


def layouts_path(document: Path) -> Path:
    """Where the layouts of a document are kept: beside it, its name ending in ``.nest.json``."""
    return document.with_suffix(".nest.json")


def read_layouts(path: Path) -> dict[str, Any]:
    """Every stored layout by the digest of its problem, as plain data.

    Args:
        path: the file; one that is not there holds no layouts.

    Returns:
        Digest to layout data.

    Raises:
        ReadingError: the file cannot be read or is no file of layouts.
    """
    layouts: dict[str, Any] = read_kept(path, "layouts", VERSION, "search again").get("layouts", {})
    return layouts


def stored_nest(layouts: dict[str, Any], problem: NestProblem) -> tuple[Nest | None, tuple[str, ...]]:
    """The stored nest of a problem, if there is one that may be cut.

    Args:
        layouts: what :func:`read_layouts` gave.
        problem: pieces and strips.

    Returns:
        The nest, or None with the reasons for refusing it (no reasons: nothing is stored).
    """
    data = layouts.get(problem.digest())
    if data is None:
        return None, ()
    try:
        nest = nest_from(problem, data)
    except ReadingError as error:
        return None, (str(error),)
    wrong = faults(problem, nest)
    return (None, wrong) if wrong else (nest, ())


def write_layouts(path: Path, problem: NestProblem, nest: Nest) -> bool:
    """Keep a nest if it is better than the one kept for the same problem.

    Args:
        path: the file; other problems' layouts in it stay.
        problem: pieces and strips.
        nest: a nest of it.

    Returns:
        Whether it was kept.

    Raises:
        InputError: the nest may not be cut.
        ReadingError: the file that is there is no file of layouts.
        OutputError: the file could not be written; the old one is untouched.
    """
    data = nest_data(problem, nest)
    again = nest_from(problem, data)
    wrong = faults(problem, again)
    if wrong:
        raise InputError(f"this layout may not be cut: {wrong[0]}", where=f"cloth {problem.cloth}")
    layouts = read_layouts(path)
    old, _ = stored_nest(layouts, problem)
    if old is not None and again.cost() >= old.cost():
        return False
    layouts[problem.digest()] = data
    replace_whole(path, layouts_bytes(layouts))
    return True


def layouts_bytes(layouts: Mapping[str, Any]) -> bytes:
    """The file of layouts by the digest of their problem, given as plain data."""
    whole = {"version": VERSION, "layouts": dict(layouts)}
    text = json.dumps(whole, indent=1, sort_keys=True, ensure_ascii=False)
    return (text + "\n").encode("utf8")
