"""Pages of docs/ that are made from the code: finding codes and formulas."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping, Sequence
from functools import cache
from types import ModuleType

from panelmend.app.pages_bounds import bounds_page
from panelmend.derive import all_formulas
from panelmend.errors import all_codes

BANDS = {
    "S": "Survey",
    "L": "Limits",
    "C": "Cut-out",
    "P": "Plies",
    "K": "Core",
    "D": "Drying",
    "N": "Nest",
    "Q": "Kit",
    "B": "Bag",
    "H": "Heat and cure",
    "T": "Strength",
    "J": "Card and plan",
    "V": "Cure log and verdict",
    "R": "Records",
    "X": "Shelves",
}
ROOMS = ("panelmend.job", "panelmend.plan", "panelmend.curelog", "panelmend.survey", "panelmend.shelves")


@cache
def import_registering() -> None:
    """Import every module that registers codes or formulas, once."""
    for name in ROOMS:
        try:
            room: ModuleType = importlib.import_module(name)
        except ModuleNotFoundError:
            continue
        for found in pkgutil.walk_packages(room.__path__, f"{name}."):
            importlib.import_module(found.name)


def findings_page(tried: Mapping[str, Sequence[str]] | None = None) -> str:
    """Every finding code with its weight, meaning and what to do.

    Args:
        tried: by code, the limits at which the tests try it from both sides.
    """
    import_registering()
    lines = [
        "# Findings",
        "",
        "Made by `scripts/docs` from the code. A code keeps its meaning for good.",
        "",
        "`note`: worth knowing; `caution`: look before going on; `confirm`: a named person must confirm it;",
        "`stop`: the repair cannot be done as planned.",
        "A plan with a `confirm` prints as DRAFT, one with a `stop` as STOP.",
    ]
    for letter, name in BANDS.items():
        codes = [c for c in all_codes() if c.code[0] == letter]
        if codes:
            lines += [
                "",
                f"## {letter}: {name}",
                "",
                *_head("code", "weight", "what was found", "what to do"),
            ]
            lines += [f"| {c.code} | {c.severity.value} | {c.title} | {c.todo} |" for c in codes]
    if tried:
        lines += ["", "## Limits that are tried", ""]
        lines += [
            "For each limit the tests try one document or log just inside, which gives no finding, "
            "and one just outside,",
            "which does. Where one number makes the difference, both values are here (invented examples).",
            "",
        ]
        lines += _head("code", "tried at")
        lines += [f"| {code} | {'; '.join(limits)} |" for code, limits in sorted(tried.items())]
    return "\n".join(lines) + "\n"


def formulas_page() -> str:
    """Every formula behind a printed number, with its units, range and source."""
    import_registering()
    lines = [
        "# Formulas",
        "",
        "Made by `scripts/docs` from the code: every formula behind a printed number. Units are SI.",
    ]
    room = ""
    for name, f in all_formulas().items():
        if not f.function.__module__.startswith("panelmend."):
            continue  # of somebody else's making
        here = name.rsplit(".", 1)[0]
        if here != room:
            room = here
            lines += ["", f"## {room}", "", *_head("name", "formula", "arguments", "gives", "source")]
        arguments = ", ".join(f"{a} [{u}]" for a, u in f.units.items() if a != "return")
        for a, (low, high) in f.within.items():
            arguments += f"; {a} from {low:g} to {high:g}"
        words = [
            name.rsplit(".", 1)[1],
            f.text,
            arguments,
            f"{f.words['return']} [{f.units['return']}]",
            str(f.source),
        ]
        lines.append("| " + " | ".join(w.replace("|", "/") for w in words) + " |")
    return "\n".join(lines) + "\n"


def _head(*names: str) -> list[str]:
    """The two lines a table begins with."""
    return [f"| {' | '.join(names)} |", f"|{' --- |' * len(names)}"]


PAGES = {"findings.md": findings_page, "formulas.md": formulas_page, "bounds.md": bounds_page}
