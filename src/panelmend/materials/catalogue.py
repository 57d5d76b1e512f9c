"""The catalogue: the built-in tables with a document's own materials before them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import TypeVar

from panelmend.errors import InputError, MissingError
from panelmend.materials.model import Adhesive, Bagging, Cloth, Consumable, Core, Material, MaterialSet, Resin

M = TypeVar("M", bound=Material)


class Catalogue:
    """Materials by id; a document's own entries stand before the built-in ones."""

    def __init__(self, *sets: MaterialSet) -> None:
        self._all: dict[str, Material] = {}
        for group in sets:
            here: set[str] = set()
            for material in _each(group):
                if material.id in here:
                    raise InputError(
                        "two materials have the same id", read=repr(material.id), expected="a new id"
                    )
                here.add(material.id)
                self._all.setdefault(material.id, material)

    def __contains__(self, ident: object) -> bool:
        return ident in self._all

    def ids(self) -> tuple[str, ...]:
        """Every material id in order."""
        return tuple(sorted(self._all))

    def _get(self, ident: str, kind: type[M]) -> M:
        found = self._all.get(ident)
        if isinstance(found, kind):
            return found
        ids = [i for i, m in sorted(self._all.items()) if isinstance(m, kind)]
        what = kind.__name__.lower()
        if found is not None:
            raise MissingError(
                f"{ident!r} is a {type(found).__name__.lower()}, not a {what}; there are: {', '.join(ids)}"
            )
        raise MissingError(f"no {what} is called {ident!r}; there are: {', '.join(ids) or 'none'}")

    def cloth(self, ident: str) -> Cloth:
        """The cloth of that id; MissingError if there is none."""
        return self._get(ident, Cloth)

    def resin(self, ident: str) -> Resin:
        """The resin of that id; MissingError if there is none."""
        return self._get(ident, Resin)

    def adhesive(self, ident: str) -> Adhesive:
        """The adhesive of that id; MissingError if there is none."""
        return self._get(ident, Adhesive)

    def core(self, ident: str) -> Core:
        """The core of that id; MissingError if there is none."""
        return self._get(ident, Core)

    def bagging(self, ident: str) -> Bagging:
        """The bagging material of that id; MissingError if there is none."""
        return self._get(ident, Bagging)

    def bagging_for(self, use: str) -> tuple[Bagging, ...]:
        """Bagging materials for a use, the document's own first."""
        return tuple(m for m in self._all.values() if isinstance(m, Bagging) and m.use == use)

    def consumables(self) -> tuple[Consumable, ...]:
        """Every consumable."""
        return tuple(m for m in self._all.values() if isinstance(m, Consumable))

    def get(self, ident: str) -> Material:
        """The material of that id whatever its kind; MissingError if there is none."""
        return self._get(ident, Material)


def _each(group: MaterialSet) -> Iterable[Material]:
    for kind in ("cloth", "resin", "adhesive", "core", "bagging", "consumable"):
        yield from getattr(group, kind)


@cache
def builtin() -> MaterialSet:
    """The tables that come with panelmend (generic styles with their sources)."""
    merged: dict[str, list[object]] = {}
    for entry in sorted(
        resources.files("panelmend.materials").joinpath("tables").iterdir(), key=lambda e: e.name
    ):
        if entry.name.endswith(".toml"):
            for kind, rows in tomllib.loads(entry.read_text("utf8")).items():
                merged.setdefault(kind, []).extend(rows)
    return MaterialSet.model_validate(merged)
