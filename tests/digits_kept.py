"""What our own code gave when it was last looked at, number by number: it may change only on purpose.

Such figures say nothing about who is right; that is for ``published`` and ``laws``. They notice every change
that nobody meant. A table stands beside the tests as JSON and is written again with ``NEW_DIGITS=1``.
"""

from __future__ import annotations

import dataclasses
import json
import math
import os
import re
from collections.abc import Callable, Mapping
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from panelmend.errors import PanelmendError

HOME = Path(__file__).parent / "unchanged"
CLOSE = 1e-6  # two machines add in another order, and solvers stop at about 1e-8
MOST = 24  # numbers of an array that are kept one by one
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def plain(value: Any) -> Any:
    """Numbers, texts and lists of them: what JSON can hold, of answers of any kind.

    Args:
        value: arrays, data classes, enums, mappings, numbers [any unit]; of a large array its size, least,
            most and a few weighted sums, which every one of its entries moves.
    """
    if isinstance(value, np.ndarray):
        return _array(value)
    if isinstance(value, Enum):
        return plain(value.value)
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return float(f"{float(value):.10g}") if math.isfinite(value) else str(float(value))
    if isinstance(value, str):
        return value
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if dataclasses.is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, list | tuple):
        whole = [plain(v) for v in value]
        if len(whole) > MOST and all(isinstance(v, int | float) for v in whole):
            return _array(np.array(whole, float))
        return whole
    raise TypeError(f"nothing is kept of a {type(value).__name__}")


def _array(value: np.ndarray) -> Any:
    flat = np.asarray(value, float).ravel() if value.dtype != object else value.ravel()
    if flat.size <= MOST:
        return [list(value.shape), [plain(v) for v in flat.tolist()]]
    whole = np.where(np.isfinite(flat), flat, 0.0)
    count = int(np.isfinite(flat).sum())
    places = np.arange(flat.size)
    sums = [float((whole * np.cos(1.7 * places + k)).sum()) for k in range(3)]
    size = float(np.abs(whole).sum())
    return [list(value.shape), count, plain([whole.min(), whole.max(), size, *sums]), "large"]


def same(one: Any, two: Any, size: float = 0.0) -> bool:
    """Whether two kept answers are the same, numbers to a millionth of themselves or of the largest beside
    them (``size``)."""
    if isinstance(one, bool) or isinstance(two, bool) or one is None or two is None:
        return one is two
    if isinstance(one, int | float) and isinstance(two, int | float):
        return math.isclose(one, two, rel_tol=CLOSE, abs_tol=1e-9 * size)
    if isinstance(one, list) and isinstance(two, list):
        beside = max((abs(v) for v in two if isinstance(v, int | float)), default=0.0)
        return len(one) == len(two) and all(same(a, b, beside) for a, b in zip(one, two, strict=True))
    if isinstance(one, dict) and isinstance(two, dict):
        return one.keys() == two.keys() and all(same(one[k], two[k]) for k in one)
    return bool(one == two)


def tried(f: Callable[..., Any], *given: Any, **named: Any) -> Any:
    """The answer, or by which kind of refusal there is none."""
    try:
        return f(*given, **named)
    except PanelmendError as refusal:
        return f"refused: {type(refusal).__name__}"


def numbers_of(words: str) -> list[float]:
    """The numbers that stand in words [any unit], whatever else they say."""
    return [float(n) for n in NUMBER.findall(words)]


@cache
def _table(name: str) -> dict[str, Any]:
    file = HOME / f"{name}.json"
    return json.loads(file.read_text("utf8")) if file.exists() else {}


def unchanged(name: str, row: str, value: Any) -> None:
    """Hold an answer against the row of a table; with ``NEW_DIGITS=1`` write the row."""
    found, table = json.loads(json.dumps(plain(value))), _table(name)
    if os.environ.get("NEW_DIGITS") == "1":
        if row not in table or not same(found, table[row]):
            table[row] = found
            rows = ",\n".join(f"{json.dumps(k)}: {json.dumps(table[k])}" for k in sorted(table))
            (HOME / f"{name}.json").write_text(f"{{\n{rows}\n}}\n", "utf8")
        return
    assert row in table, f"{row} has no kept digits: NEW_DIGITS=1 writes them"
    assert same(found, table[row]), f"{row}: {found}\nwas {table[row]}\nmeant? NEW_DIGITS=1 writes it"
