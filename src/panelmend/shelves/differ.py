"""What differs between two entries, value by value."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from panelmend.document.places import Path
from panelmend.document.reader import dotted
from panelmend.document.wording import shown


@dataclass(frozen=True)
class Differing:
    """One value that differs: its path, and both values in words ("" where it is missing)."""

    path: str
    before: str
    after: str

    @property
    def words(self) -> str:
        """Both in one line."""
        if not self.before:
            return f"{self.path}: {self.after} is new"
        return (
            f"{self.path}: {self.before} -> {self.after}"
            if self.after
            else f"{self.path}: {self.before} is gone"
        )


def differing(old: dict[str, Any], new: dict[str, Any]) -> tuple[Differing, ...]:
    """Every value that differs between the contents of two entries; their heads are left out."""
    a, b = (
        {p: shown(v) for p, v in _values({k: v for k, v in raw.items() if k != "entry"})}
        for raw in (old, new)
    )
    raw_a = dict(_values({k: v for k, v in old.items() if k != "entry"}))
    raw_b = dict(_values({k: v for k, v in new.items() if k != "entry"}))
    paths = [*a, *(p for p in b if p not in a)]
    return tuple(
        Differing(dotted(p), a.get(p, ""), b.get(p, ""))
        for p in paths
        if p not in a or p not in b or not _same(raw_a[p], raw_b[p])
    )


def _same(a: Any, b: Any) -> bool:
    return type(a) is type(b) and bool(a == b)


def _values(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    if isinstance(value, dict) and value:
        for key, inner in value.items():
            yield from _values(inner, (*path, key))
    elif isinstance(value, list) and value:
        for i, inner in enumerate(value):
            yield from _values(inner, (*path, i))
    else:
        yield path, value
