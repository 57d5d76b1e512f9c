"""Figures: one number (or one shape) with everything needed to explain it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol, assert_never, runtime_checkable

from panelmend.units import Limit

if TYPE_CHECKING:
    from typing_extensions import TypeIs


@dataclass(frozen=True)
class Source:
    """Where a value or a formula comes from: ``title`` names the book or document, ``place`` the clause."""

    title: str
    place: str = ""

    def __str__(self) -> str:
        return f"{self.title}, {self.place}" if self.place else self.title


@dataclass(frozen=True)
class PracticeSheet(Source):
    """A practice sheet of the shop, which is no approved data; no other source is one, whatever its title."""


PRACTICE = Source("common practice, no source")
SHOP_PRACTICE = "shop practice, not approved"  # how the source of what a practice sheet confirms is printed


class Origin(StrEnum):
    """What kind of ground a figure stands on."""

    TYPED = "typed"
    APPROVED = "approved data"
    TABLE = "table"
    DEFAULT = "default practice"
    COMPUTED = "computed"


@runtime_checkable
class Thing(Protocol):
    """Something that is not a number (an outline, a field) kept as one figure by digest and summary."""

    def digest(self) -> str: ...

    def summary(self, view: str = "mm") -> str: ...


Value = float | int | str | Thing


_THINGS: dict[type, bool] = {}


def is_thing(value: object) -> TypeIs[Thing]:
    """Whether a value is a :class:`Thing`; looked up once for each class, which isinstance is slow at."""
    kind = type(value)
    found = _THINGS.get(kind)
    if found is None:
        found = _THINGS[kind] = isinstance(value, Thing)
    return found


@dataclass(frozen=True)
class Figure:
    """One figure.

    ``value`` is in SI; ``kind`` names its kind in :data:`panelmend.units.KINDS` ("" for counts, words and
    things). ``inputs`` pairs the formula's argument names with figure keys. ``flags`` say what to mind,
    such as a formula's range that was left. ``limit`` says that it is the most that is permitted or the least
    that is asked: wherever it is printed it is rounded to the safe side.
    """

    key: str
    value: Value
    kind: str
    origin: Origin
    source: Source
    formula: str = ""
    inputs: tuple[tuple[str, str], ...] = ()
    flags: tuple[str, ...] = ()
    limit: Limit = ""
    stands: str = ""

    def __float__(self) -> float:
        if isinstance(self.value, int | float):
            return float(self.value)
        raise TypeError(f"figure {self.key} is no number: {self.value!r}")

    @property
    def is_default(self) -> bool:
        """Stands on a usual value of the trade, so somebody must confirm it.

        Raises:
            AssertionError: an origin that nobody knows; it must not pass unconfirmed.
        """
        match self.origin:
            case Origin.DEFAULT:
                return True
            case Origin.TYPED | Origin.APPROVED | Origin.TABLE | Origin.COMPUTED:
                return False
            case _:
                assert_never(self.origin)

    @property
    def is_shop_practice(self) -> bool:
        """Stands on a practice sheet of the shop, which is no approved data."""
        return isinstance(self.source, PracticeSheet)
