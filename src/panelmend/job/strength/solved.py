"""Plates and bonds that were solved before with the same numbers: who keeps answers may give them again.

Solving is most of a study, and most edits of a document leave stiffness, outline and loads of the panel as
they were. Kept under every bit that goes into it, an answer is the one that a new computation would give on
the same kind of processor; libraries of linear algebra round otherwise on others, seen up to 8e-7 of it.
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any, TypeVar

import numpy as np

T = TypeVar("T")
Keeper = Callable[[str, Callable[[], Any]], Any]
_keeper: ContextVar[Keeper | None] = ContextVar("keeper of what was solved", default=None)


@contextmanager
def kept_by(keeper: Keeper) -> Iterator[None]:
    """Within, ``keeper`` is asked first: it gets the digest of all input, and what solves it."""
    before = _keeper.set(keeper)
    try:
        yield
    finally:
        _keeper.reset(before)


def solved(solve: Callable[..., T], *inputs: Any) -> T:
    """What ``solve`` gives for these inputs, from the keeper where there is one."""
    keeper = _keeper.get()
    if keeper is None:
        return solve(*inputs)
    try:
        digest = values_digest(f"{solve.__module__}.{solve.__qualname__}", *inputs)
    except TypeError:
        return solve(*inputs)
    answer: T = keeper(digest, lambda: solve(*inputs))
    return answer


def values_digest(*values: Any) -> str:
    """SHA-256 (hex) of values, bit by bit: arrays, numbers, words, rows of them, and records of fields.

    Raises:
        TypeError: a kind of value of which nobody has said what it consists of.
    """
    made = hashlib.sha256()
    for part in _parts(values):
        made.update(struct.pack("<Q", len(part)) + part)
    return made.hexdigest()


def _parts(value: Any) -> Iterator[bytes]:
    kind = type(value)
    if isinstance(value, np.ndarray) and value.dtype.kind in "biufcSU":  # of others the bytes are addresses
        yield f"array {value.dtype.str} {value.shape}".encode()
        yield value.tobytes()
    elif kind is float or isinstance(value, np.floating):
        yield b"float" + struct.pack("<d", value)
    elif value is None or kind in (int, bool, str) or isinstance(value, Enum | np.integer):
        yield f"{kind.__qualname__} {value!r}".encode()
    elif is_dataclass(value) and not isinstance(value, type):
        yield f"record {kind.__module__}.{kind.__qualname__}".encode()
        for f in fields(value):
            yield f.name.encode()
            yield from _parts(getattr(value, f.name))
    elif isinstance(value, Mapping):
        yield f"mapping {len(value)}".encode()
        for name, item in value.items():
            yield from _parts(name)
            yield from _parts(item)
    elif isinstance(value, Sequence) and kind in (list, tuple):
        yield f"{kind.__name__} {len(value)}".encode()
        for item in value:
            yield from _parts(item)
    else:
        raise TypeError(f"a {kind.__name__} has no content that can be told")
