"""Results kept in memory by the exact content of what they were made from, so that nothing is made twice.

For functions whose result depends on their arguments alone. Two arguments are the same only when every bit
of them is: 0.0 is not -0.0 and 1 is not 1.0, so that a kept result is the one a new computation would give.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable
from dataclasses import fields, is_dataclass
from functools import cache, lru_cache, wraps
from typing import Any, TypeVar, cast

MOST_RESULTS = 1024  # results kept at a time, of all functions together: some tens of megabytes
F = TypeVar("F", bound=Callable[..., Any])


class NotExact(TypeError):
    """A kind of value that can be changed, or that nobody has said how to compare."""


def exact(value: Any) -> Hashable:
    """A key that is equal for values of the same content, bit by bit. Raises NotExact."""
    kind = type(value)
    if kind is float:
        return value if value != 0.0 else ("0.0", math.copysign(1.0, value))
    if kind is str or value is None:
        return cast(Hashable, value)
    if kind is int or kind is bool:
        return (kind, value)
    content = getattr(value, "exact", None)
    if content is not None:
        return (kind, content)
    if kind is tuple:
        return ("tuple", *map(exact, value))
    if is_dataclass(value) and cast(Any, kind).__dataclass_params__.frozen:
        return (kind, *(exact(getattr(value, name)) for name in _names(cast(Hashable, kind))))
    raise NotExact(f"a {kind.__name__} has no exact content")


@cache
def _names(kind: Hashable) -> tuple[str, ...]:
    """The fields of a frozen kind of value."""
    return tuple(f.name for f in fields(cast(Any, kind)))


class _Call:
    """One call of a function: equal to another with the same function and the same exact arguments."""

    __slots__ = ("_hash", "args", "function", "key", "named")

    def __init__(
        self, function: Callable[..., Any], key: Hashable, args: tuple[Any, ...], named: dict[str, Any]
    ) -> None:
        self.function, self.key, self.args, self.named = function, key, args, named
        self._hash = hash((function, key))

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Call) and self.function is other.function and self.key == other.key


@lru_cache(maxsize=MOST_RESULTS)
def _made(call: _Call) -> Any:
    return call.function(*call.args, **call.named)


def call_kept(function: Callable[..., Any], *args: Any, **named: Any) -> Any:
    """What a function gives for these arguments, made once while it is kept; made anew for inexact ones."""
    try:
        key = (exact(args), tuple((name, exact(value)) for name, value in named.items()))
    except NotExact:
        return function(*args, **named)
    return _made(_Call(function, key, args, named))


def remembered(function: F) -> F:
    """The function, its results kept; for functions whose results nobody changes."""

    @wraps(function)
    def call(*args: Any, **named: Any) -> Any:
        return call_kept(function, *args, **named)

    return cast(F, call)
