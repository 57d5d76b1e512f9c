"""Pages of the same template, data and settings are set once in a run of the tests, whichever worker asks.

Setting a card takes three seconds of processor time, and most tests that need one need the same. What is
kept is exactly what the typesetting library gave; tests of that library itself set their pages anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import pickle
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from panelmend.render import typesetting

FOLDER = "PANELMEND_TESTS_KEPT_PAGES"
SPARE = 2_000_000_000  # bytes of the disk that are left alone
REAL = typesetting._compile


@cache
def _ground() -> bytes:
    """Digest of whatever else pages are made of: the shipped templates and fonts, and the library."""
    made = hashlib.sha256(version("typst").encode())
    for folder in (typesetting._TEMPLATES, typesetting._FONTS):
        for path in sorted(p for p in folder.rglob("*") if p.is_file()):
            made.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return made.digest()


def _place(folder: str, source: str, data: Mapping[str, Any], settings: Mapping[str, Any]) -> Path:
    text = json.dumps(typesetting._clean(data), ensure_ascii=False, allow_nan=False)
    made = hashlib.sha256(_ground())
    for part in (source, text, repr(sorted(settings.items()))):
        made.update(hashlib.sha256(part.encode("utf8", "surrogatepass")).digest())
    return Path(folder) / made.hexdigest()


def _kept(source: str, data: Mapping[str, Any], **settings: Any) -> tuple[bytes, ...]:
    folder = os.environ.get(FOLDER)
    if not folder:
        return REAL(source, data, **settings)
    place = _place(folder, source, data, settings)
    try:
        return pickle.loads(place.read_bytes())  # type: ignore[no-any-return]
    except FileNotFoundError:
        made = REAL(source, data, **settings)
    if shutil.disk_usage(folder).free < SPARE:
        return made
    with tempfile.NamedTemporaryFile(dir=folder, delete=False) as new:
        new.write(pickle.dumps(made))
    os.replace(new.name, place)
    return made


def keep() -> None:
    """From here on pages of the same content are set once."""
    typesetting._compile = _kept


@contextmanager
def set_anew() -> Iterator[None]:
    """Every page set by the library, inside the block."""
    before, typesetting._compile = typesetting._compile, REAL
    try:
        yield
    finally:
        typesetting._compile = before
