"""An approved value with its place in the data."""

from __future__ import annotations

from typing import Generic, TypeVar

from panelmend.materials.quantities import Name, Typed

T = TypeVar("T")


class Given(Typed, Generic[T]):
    """An approved value and where it stands."""

    value: T
    """The value."""
    place: Name
    """Its place in the approved data: figure, table, note."""


def value_of(given: Given[T] | None) -> T | None:
    """An approved value, None where the data gives none."""
    return None if given is None else given.value
