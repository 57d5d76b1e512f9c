"""Compiling with a cache on disk that knows every source the compiled code is made of.

A compiler's own cache looks at the file of the function alone. A kernel here calls functions of other files,
and an update may change one of those and nothing else: old physics would run on and nobody would see it. So
the cache is keyed on the content of all sources a kernel can reach, not on dates of files either.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Any

import numba

_OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": {"contract", "nsz"}}
_HERE = Path(__file__).resolve().parent
KEYED = (_HERE, _HERE.parent / "cure_chemistry")  # whatever a kernel calls lies in one of these


@cache
def sources_digest() -> str:
    """Digest of every source a kernel can reach."""
    made = hashlib.sha256()
    for folder in KEYED:
        for path in sorted(folder.glob("*.py")):
            made.update(path.name.encode("utf8") + b"\0" + path.read_bytes() + b"\0")
    return made.hexdigest()


def compiled(function: Any) -> Any:
    """Compile a function; kept on disk where there is a place to write it and the sources can be named."""
    try:
        made = numba.njit(cache=True, **_OPTIONS)(function)
    except RuntimeError:
        return numba.njit(**_OPTIONS)(function)
    try:
        index = made._cache._cache_file
        index._source_stamp = (*index._source_stamp, sources_digest())
    except (AttributeError, TypeError, OSError):
        return numba.njit(**_OPTIONS)(function)  # rather none kept than an old one run
    return made
