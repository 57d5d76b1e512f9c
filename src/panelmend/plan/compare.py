"""What a second person holds against the paper: all that nobody saw but who typed it, by paper."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from panelmend.document.places import Path, dotted
from panelmend.document.typed_out import TypedFigure
from panelmend.errors import Finding, caution_code
from panelmend.job.case import Case

J350 = caution_code(
    "J350",
    "Only the person who typed the values has compared them with the paper",
    "have somebody who did not type them check each value against its paper and sign in the workings, under "
    "'Compare with the paper'; or put them on shelves, where a second person checks them once",
)
ONCE = ("panel", "data", "materials", "bay")  # what shelves hold; damage and stock are new each time

EACH = "panel.serial"  # belongs to the job as the damage does


@dataclass(frozen=True)
class ComparedPaper:
    """The figures of one paper: ``rows`` are to be compared.

    ``checked`` counts those that somebody checked on a shelf, by whom, when and against what.
    """

    section: str
    title: str
    rows: tuple[TypedFigure, ...]
    checked: Mapping[str, int]


def papers_of(case: Case) -> tuple[ComparedPaper, ...]:
    """Every paper that figures of the document were typed from, in the order they were typed."""
    groups: dict[tuple[str, str], list[TypedFigure]] = {}
    for figure in case.typed:
        groups.setdefault(_paper(case, figure.path), []).append(figure)
    return tuple(_of(case, section, title, rows) for (section, title), rows in groups.items())


def check_compared(case: Case) -> Iterator[Finding]:
    """One finding where values of panel, data, materials or bay are on no shelf that somebody checked."""
    count: Counter[str] = Counter()
    for paper in papers_of(case):
        if paper.section in ONCE:
            count[paper.section] += sum(f.field != EACH for f in paper.rows)
    said = [f"{name} {n}" for name, n in count.items() if n]
    if said:
        yield J350(f"{count.total()} values: {', '.join(said)}", place="document")


def figure_place(figure: TypedFigure) -> str:
    """Where a figure stands below its paper, as it is written in messages."""
    path = tuple(p for p in figure.path if p != "value")
    return dotted(path[3:] if path[0] == "materials" else path[1:])


def _of(case: Case, section: str, title: str, figures: list[TypedFigure]) -> ComparedPaper:
    rows, checked = [], Counter[str]()
    for figure in figures:
        by = _checked(case, figure.path)
        if by:
            checked[by] += 1
        else:
            rows.append(figure)
    return ComparedPaper(section, title, tuple(rows), checked)


def _checked(case: Case, path: Path) -> str:
    """Who checked the entry a value was typed in; "" where nobody did, or the job departs from it."""
    if case.shelved is None:
        return ""
    file = case.shelved.stands.file_of(path)
    return next((e.checked for e in case.shelved.entries if e.taken and e.file == file), "")


def _paper(case: Case, path: Path) -> tuple[str, str]:
    """Section and title of the paper a value was typed from."""
    document, section = case.document, str(path[0])
    if section == "materials":
        material = getattr(document.materials, str(path[1]))[path[2]]
        return section, f"{material.id}: {material.source}, {material.dated}"
    panel, manual, category = document.panel, document.data.manual, document.data.repair
    titles = {
        "panel": f"Panel {panel.part_number}: its drawing",
        "damage": "The damage: what was measured on the panel",
        "data": f"Approved data {manual.number} revision {manual.revision}: {category}",
        "bay": "The bay: its equipment and instruments",
        "stores": "The stores: what was counted",
        "choice": "What the planner chose",
    }
    return section, titles[section]
