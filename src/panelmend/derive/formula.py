"""Formulas: decorated plain functions that carry their text, source, units and range."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from panelmend.derive.figure import Source
from panelmend.derive.memory import call_kept

_UNIT_LINE = re.compile(r"^\s*(\w+)\s*:\s*(.*?)\[([^\]]*)\]", re.MULTILINE)


@dataclass(frozen=True)
class Formula:
    """A formula: call it like the function it decorates.

    ``text`` is the symbolic form; ``units`` and ``words`` hold the unit and meaning of each argument and of
    the result (under ``return``), parsed from the docstring; ``within`` maps an argument to its range.
    """

    name: str
    function: Callable[..., Any]
    text: str
    source: Source
    kind: str
    units: dict[str, str]
    words: dict[str, str]
    within: dict[str, tuple[float, float]]

    def __call__(self, **values: Any) -> Any:
        """The result; one that was made from a shape is kept and not made again."""
        if any(hasattr(v, "exact") for v in values.values()):
            return call_kept(self.function, **values)
        return self.function(**values)

    def left_ranges(self, values: dict[str, Any]) -> tuple[str, ...]:
        """One flag for each argument outside the range in which the formula holds."""
        flags = []
        for name, (low, high) in self.within.items():
            value = values[name]
            if isinstance(value, int | float) and not low <= value <= high:
                flags.append(f"{name} = {value:g} is outside {low:g} to {high:g} {self.units[name]}")
        return tuple(flags)


_FORMULAS: dict[str, Formula] = {}


def formula(
    text: str, *, source: Source, kind: str = "", within: dict[str, tuple[float, float]] | None = None
) -> Callable[[Callable[..., Any]], Formula]:
    """Make a plain function a :class:`Formula`.

    Every argument and the result (as ``return``) must stand in the docstring as ``name: meaning [unit]``;
    ``kind`` is the kind of quantity of the result, "" for a count, word or shape. A formula is named by its
    module; a module that was renamed says in ``FORMULAS_STAND_AS`` which name plans in hand carry.
    """

    def wrap(function: Callable[..., Any]) -> Formula:
        doc = inspect.getdoc(function) or ""
        found = {m[1]: (m[2].strip(), m[3]) for m in _UNIT_LINE.finditer(doc)}
        wanted = [*inspect.signature(function).parameters, "return"]
        missing = [name for name in wanted if name not in found]
        home = function.__globals__.get("FORMULAS_STAND_AS", function.__module__.removeprefix("panelmend."))
        name = f"{home}.{function.__name__}"
        if missing:
            raise RuntimeError(f"{name}: docstring lacks 'name: meaning [unit]' for {', '.join(missing)}")
        made = Formula(
            name,
            function,
            text,
            source,
            kind,
            {k: found[k][1] for k in wanted},
            {k: found[k][0] for k in wanted},
            within or {},
        )
        if name in _FORMULAS:
            raise RuntimeError(f"formula {name} is defined twice")
        _FORMULAS[name] = made
        return made

    return wrap


def all_formulas() -> dict[str, Formula]:
    """Every formula of the modules imported so far, by name."""
    return dict(sorted(_FORMULAS.items()))
