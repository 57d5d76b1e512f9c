"""Units of the other system in what is said to a reader."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from examples_here import text

# Kept out: what both kinds of shop read alike (grams, inHg, minutes, volts, W/(m K)), and the word "in".
METRIC = re.compile(
    r"\d ?(mm|cm|m|kPa|MPa|GPa|hPa|C|N|N/mm|mm2|cm2|m2|kg/m3|g/m2|W/m2|C/min|Pa m3/s|N m)(?![\w/-])"
)
INCHES = re.compile(
    r"\d ?(in2|ft|ft2|F|psi|ksi|lbf|lbf/in|lb/ft3|oz/yd2|W/in2|F/min|psi in3/s|in(?= \(|[,;.)]|$))(?![\w/-])"
)


def typed_in(document: str) -> set[str]:
    """Texts somebody typed that may hold a unit and are said again as they stand."""
    typed = set(re.findall(r'"([^"\n]*)"', document))
    return {t for t in typed if re.search(r"\d ?[a-zA-Z]", t) and not _quantity(t)}


def without(said: str, typed: Iterable[str]) -> str:
    """What is said without what was typed."""
    for name in sorted(typed, key=len, reverse=True):
        said = said.replace(name, "")
    return said


def _quantity(text: str) -> bool:
    return re.fullmatch(r"[-\d ./,]+ ?\S{1,6}", text) is not None


def strings(data: Any) -> Iterator[str]:
    """Every text inside plain data, keys left out."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, Mapping):
        for value in data.values():
            yield from strings(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from strings(value)


def turned(example: str, view: str) -> str:
    """An example's document, planned for a reader of one system."""
    document, count = re.subn(r'(?m)^units = "(?:mm|in)"$', f'units = "{view}"', text(example))
    assert count == 1
    return document
