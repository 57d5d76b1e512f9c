"""How far both sides of a case of the cure log stand apart, in readings, times and limits they are given."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

import numpy as np

# What a reader of a log or a recipe sees of a number: a tenth of a kelvin, of a kPa, a sample of 10 s.
STEP = {"temperature": 0.1, "pressure": 100.0, "time": 10.0, "rate": 0.1 / 60.0, "ratio": 0.002}
SHARE = {"temperature": 1.2, "pressure": 1040.0}  # one per cent of the heat (90 K) and of the air, some more
NAMED = {
    "rate": "rate",
    "dwell_": "time",
    "lag": "time",
    "seconds": "time",
    "silent": "time",
    "set_to": "time",
}
NAMED |= {"degree": "ratio", "end": "pressure", "ambient": "pressure"}
ROOM = 1e-3


@dataclasses.dataclass(frozen=True)
class Apart:
    """Of one number or one row of numbers: the largest difference, and at how many places there is one."""

    kind: str
    most: float
    places: int


def apart(inside: list[Any], outside: list[Any]) -> tuple[list[Apart], bool]:
    """Where what both sides were asked with differs in numbers, and whether something stands on one alone."""
    a, b = (dict(_walk(x, ())) for x in (inside, outside))
    found, alone = [], False
    for path in {**a, **b}:
        if path not in a or path not in b or type(a[path][1]) is not type(b[path][1]):
            alone = True
            continue
        kind, x = a[path]
        y = b[path][1]
        if isinstance(x, np.ndarray):
            found += _rows(kind, x, y)
        elif isinstance(x, bool | str) or x is None:
            alone |= x != y
        elif (x == x or y == y) and x != y:
            off = (x - y).total_seconds() if hasattr(x, "tzinfo") else float(x) - float(y)
            found.append(Apart("clock" if hasattr(x, "tzinfo") else kind, abs(off), 9))
    return found, alone


def far(found: list[Apart], limit: str) -> list[Apart]:
    """Differences of more than the next that can be read, typed or counted.

    One sample, one stamp that was moved and one channel that ends count as one.
    """
    lost = [x for x in found if x.kind == "samples"]
    return [x for x in found if x.kind != "samples" and not _is_one_step(x, share="%" in limit)] + lost[1:]


def _is_one_step(x: Apart, *, share: bool) -> bool:
    if x.places <= (2 if x.kind == "time" else 1):
        return True
    if x.kind == "clock":
        return x.most <= 60.0  # of a watch that a person reads
    if share and (x.most <= SHARE.get(x.kind, 0.0) or x.places <= 12):
        return True
    return x.most <= STEP[x.kind] * (1.0 + ROOM)


def _walk(
    value: Any, path: tuple[Any, ...], kind: str = "temperature"
) -> Iterator[tuple[Any, tuple[str, Any]]]:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        for f in dataclasses.fields(value):
            inner = getattr(value, f.name)
            named = next((k for n, k in NAMED.items() if f.name.startswith(n)), kind)
            if f.name == "values":
                named = getattr(value, "kind", kind)
            if f.name == "times":
                inner, named = np.diff(np.asarray(inner, float)), "time"
            yield from _walk(inner, (*path, f.name), named)
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _walk(inner, (*path, key), NAMED.get(str(key), kind))
    elif isinstance(value, list | tuple):
        if value and all(isinstance(x, float) for x in value):
            yield path, (kind, np.array(value))
        else:
            for i, inner in enumerate(value):
                yield from _walk(inner, (*path, i), kind)
    else:
        yield path, (kind, value)


def _rows(kind: str, x: Any, y: Any) -> list[Apart]:
    if x.dtype.kind != "f":
        return []
    if len(x) != len(y):  # begun or stopped at another sample
        return [Apart(kind, float("inf"), abs(len(x) - len(y)))]
    if kind == "time" and abs(int((x < 0).sum()) - int((y < 0).sum())) == 1:
        return [Apart("time", float("inf"), 1)]  # one more step back
    gone = int((np.isnan(x) != np.isnan(y)).sum())
    off = np.abs(np.nan_to_num(x - y))
    found = [Apart(kind, float(off.max()), int((off > 0).sum()))] if off.max() > 0 else []
    return found + ([Apart("samples", float("inf"), gone)] if gone else [])
