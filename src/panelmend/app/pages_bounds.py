"""The page of docs/ with every bound and every usual value: what is refused, asked, and stands in."""

from __future__ import annotations

from panelmend.derive.ledger import words_for
from panelmend.document.bounds import EITHER, bounds_of
from panelmend.document.faults.thermal import CONDUCTIVITIES
from panelmend.document.glossary import documented_tables
from panelmend.job.defaults import LIMITS, USUAL
from panelmend.units import KINDS
from panelmend.units.span import span

HEAD = """# Bounds and usual values

Made by `scripts/docs` from the code. A value outside its bounds is refused with its line. One outside what is
usual is asked about (J150): the plan is a draft until a named person confirms exactly that value under
`[[confirm]]`. What the approved data does not give is filled with the usual value below, marked (J001), until
a named person confirms it.
"""


def bounds_page() -> str:
    """Every bound and every usual value with where it comes from."""
    lines = [
        HEAD,
        "## Bounds of fields",
        "",
        "| field | can be | is usual | source |",
        "| --- | --- | --- | --- |",
    ]
    for path, model in documented_tables():
        for name, field in model.model_fields.items():
            b = bounds_of(field)
            if b is not None:
                can = f"{'0, or ' if b.zero else ''}{b.can[0]} to {b.can[1]}{EITHER if b.either else ''}"
                usual = f"{b.usual[0]} to {b.usual[1]}" if b.usual else ""
                lines.append(f"| `{path}.{name}` | {can} | {usual} | {b.source} |")
    lines += ["", "## Bounds that hang on what the material is", ""]
    lines += ["| conductivity of | in the plane | through it |", "| --- | --- | --- |"]
    for what, (plane, through) in CONDUCTIVITIES.items():
        lines.append(f"| {what} | {_pair(plane)} W/(m K) | {_pair(through)} W/(m K) |")
    lines += ["", "## Usual values", "", "| figure | millimetres | inches | rounded as | source |"]
    lines.append("| --- | --- | --- | --- | --- |")
    for key, u in USUAL.items():
        shown = [words_for(u.of(view), u.kind, view) for view in ("mm", "in")]
        limit = {"most": "most permitted", "least": "least asked"}.get(LIMITS.get(key, ""), "")
        lines.append(f"| `{key}` | {shown[0]} | {shown[1]} | {limit} | {u.source} |")
    lines += [
        "",
        "## What a quantity can be at all",
        "",
        "| kind | least above zero | most |",
        "| --- | --- | --- |",
    ]
    for name, kind in KINDS.items():
        low, high = span(name)
        lines.append(f"| {name} | {low:.2g} {kind.si} | {high:.2g} {kind.si} |")
    return "\n".join(lines) + "\n"


def _pair(pair: tuple[float, float]) -> str:
    return f"{pair[0]:g} to {pair[1]:g}"
