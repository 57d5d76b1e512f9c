"""The ledger: every figure of a plan, how it was reached, and the way back down to what was typed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from panelmend.derive.figure import Figure, Origin, Source, Value, is_thing
from panelmend.derive.formula import Formula, all_formulas
from panelmend.errors import MissingError, RangeError
from panelmend.units import Limit, show


class Ledger:
    """Figures by key, in the order they were made. A key is given once and never changed."""

    def __init__(self) -> None:
        self._figures: dict[str, Figure] = {}

    def __getitem__(self, key: str) -> Figure:
        try:
            return self._figures[key]
        except KeyError:
            near = near_names(key, list(self._figures))
            hint = f"; near it: {', '.join(near)}" if near else "; without a name, all figures are listed"
            raise MissingError(f"no figure is called {key!r}{hint}") from None

    def __contains__(self, key: str) -> bool:
        return key in self._figures

    def __iter__(self) -> Iterator[Figure]:
        return iter(self._figures.values())

    def __len__(self) -> int:
        return len(self._figures)

    def add(self, figure: Figure) -> Figure:
        """Take a figure; NaN, infinity and a second value for a key are refused."""
        if isinstance(figure.value, float) and not math.isfinite(figure.value):
            raise RangeError(f"figure {figure.key} came out as {figure.value}: not a number anyone can use")
        if figure.key in self._figures:
            if self._figures[figure.key] == figure:
                return self._figures[figure.key]
            raise RangeError(f"figure {figure.key} already has a value")
        self._figures[figure.key] = figure
        return figure

    def typed(
        self, key: str, value: Value, kind: str = "", *, source: Source, limit: Limit = "", stands: str = ""
    ) -> Figure:
        """A figure somebody typed; ``source`` names document and field, ``stands`` its line on a shelf."""
        return self.add(Figure(key, value, kind, Origin.TYPED, source, limit=limit, stands=stands))

    def approved(
        self, key: str, value: Value, kind: str = "", *, source: Source, limit: Limit = "", stands: str = ""
    ) -> Figure:
        """A figure from the approved repair data, with its place."""
        return self.add(Figure(key, value, kind, Origin.APPROVED, source, limit=limit, stands=stands))

    def table(
        self, key: str, value: Value, kind: str = "", *, source: Source, limit: Limit = "", stands: str = ""
    ) -> Figure:
        """A figure from a materials table."""
        return self.add(Figure(key, value, kind, Origin.TABLE, source, limit=limit, stands=stands))

    def default(self, key: str, value: Value, kind: str = "", *, source: Source, limit: Limit = "") -> Figure:
        """A usual value of the trade, used because the data gives none; somebody must confirm it."""
        return self.add(Figure(key, value, kind, Origin.DEFAULT, source, limit=limit))

    def derive(self, key: str, by: Formula, /, **inputs: Figure) -> Figure:
        """Compute a figure from others by a formula; a left range becomes a flag."""
        return self.derive_as(by.kind, key, by, **inputs)

    def derive_limit(self, limit: Limit, kind: str, key: str, by: Formula, /, **inputs: Figure) -> Figure:
        """The same for what is the most permitted or the least asked; ``kind`` is that of the result."""
        return self._derived(limit, kind, key, by, inputs)

    def derive_as(self, kind: str, key: str, by: Formula, /, **inputs: Figure) -> Figure:
        """The same for a formula that serves several kinds of quantity; ``kind`` is that of the result."""
        return self._derived("", kind, key, by, inputs)

    def _derived(
        self, limit: Limit, kind: str, key: str, by: Formula, inputs: Mapping[str, Figure]
    ) -> Figure:
        values = {name: figure.value for name, figure in inputs.items()}
        for name, figure in inputs.items():
            if self._figures.get(figure.key) is not figure:
                raise RangeError(f"{key}: input {name} ({figure.key}) is not in this ledger")
        result = by(**values)
        flags = by.left_ranges(values)
        pairs = tuple((name, figure.key) for name, figure in inputs.items())
        return self.add(Figure(key, result, kind, Origin.COMPUTED, by.source, by.name, pairs, flags, limit))

    def defaults(self) -> tuple[Figure, ...]:
        """The figures that stand on default practice, in order."""
        return tuple(f for f in self if f.is_default)

    def explain(self, key: str, view: str = "mm") -> str:
        """Symbolic form, substituted form, result and source, down to what was typed."""
        lines: list[str] = []
        seen: set[str] = set()

        def walk(name: str, depth: int) -> None:
            figure = self[name]
            pad = "  " * depth
            lines.append(f"{pad}{name} = {words_of(figure, view)}   [{figure.origin}]")
            if name in seen:
                if figure.inputs:
                    lines.append(f"{pad}  (shown above)")
                return
            seen.add(name)
            made = all_formulas().get(figure.formula)
            if made is not None:
                lines.append(f"{pad}  {made.text}")
                filled = [f"{a} = {words_of(self[k], view)}" for a, k in figure.inputs]
                if filled:
                    lines.append(f"{pad}  with {', '.join(filled)}")
            lines.append(f"{pad}  source: {figure.source}")
            if figure.stands:
                lines.append(f"{pad}  stands in: {figure.stands}")
            lines.extend(f"{pad}  mind: {flag}" for flag in figure.flags)
            for _, child in figure.inputs:
                walk(child, depth + 1)

        walk(key, 0)
        return "\n".join(lines)

    def replay(self) -> list[str]:
        """Compute every computed figure again; one line for each that differs or can't be found."""
        differences = []
        formulas = all_formulas()
        for figure in self:
            if not figure.formula:
                continue
            made = formulas.get(figure.formula)
            if made is None:
                differences.append(f"{figure.key}: formula {figure.formula} no longer exists")
                continue
            # the function itself: nothing that was kept stands in for computing it again
            again: Any = made.function(**{name: self[k].value for name, k in figure.inputs})
            if not same_value(again, figure.value):
                differences.append(
                    f"{figure.key}: was {figure.value!r}, {figure.formula} now gives {again!r}"
                )
        return differences


def near_names(key: str, known: list[str]) -> list[str]:
    """Names like one that does not exist: with its last part in them, then those that are spelt alike."""
    last = key.split(".")[-1].casefold()
    within = [k for k in known if len(last) > 2 and last in k.casefold()]
    by_end = {k.split(".")[-1].casefold(): k for k in known}
    whole = get_close_matches(key.casefold(), [k.casefold() for k in known], 5, 0.6)
    alike = [k for k in known if k.casefold() in whole]
    ends = [by_end[e] for e in get_close_matches(last, list(by_end), 3, 0.75)]
    return list(dict.fromkeys([*within[:3], *alike, *ends, *within]))[:5]


def same_value(a: Value, b: Value) -> bool:
    """Equal as figures: things by digest, numbers exactly."""
    if is_thing(a) and is_thing(b):
        return a.digest() == b.digest()
    return a == b


def words_of(figure: Figure, view: str = "mm") -> str:
    """A figure as people read it; a limit is rounded to its safe side."""
    return words_for(figure.value, figure.kind, view, figure.limit)


def words_for(value: Value, kind: str, view: str = "mm", limit: Limit = "") -> str:
    """A value as people read it."""
    if is_thing(value):
        return value.summary(view)
    if kind and isinstance(value, int | float):
        return show(float(value), kind, view, limit=limit)
    return f"{value:g}" if isinstance(value, float) else str(value)
