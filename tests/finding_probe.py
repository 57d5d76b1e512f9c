"""One finding code in its two documents, and in whose units its words are said."""

from __future__ import annotations

import re
from collections.abc import Sequence

from finding_cases import FindingCase
from finding_shelves import ShelfCase
from panelmend.app.pages import import_registering
from panelmend.errors import Finding, all_codes
from staged import staged
from strange_units import INCHES, METRIC, typed_in, without

BOTH = {"J150"}  # asks whether C or F was meant, and says both
Found = tuple[list[Finding], list[Finding]]
Told = tuple[Sequence[Finding], str, str, set[str]]  # findings, what was typed, units of the reader, names


def found(case: FindingCase, *, within: bool, turned: bool = False) -> list[Finding]:
    """Findings of the case's code, at its place, in one of its two documents."""
    return of_stage(case, within=within, turned=turned)[0]


def of_stage(case: FindingCase, *, within: bool, turned: bool) -> Found:
    """Those of the case, and those of its stage whose title, words or action are in the other reader's units.

    ``turned`` plans the document for a reader of the other system of units.
    """
    every, document, view, names = (_of_shelves if isinstance(case, ShelfCase) else _of_document)(
        case, within=within, turned=turned
    )
    foreign = METRIC if view == "in" else INCHES
    typed = typed_in(document) | names
    titles = {c.code: c.title for c in all_codes()}
    strange = [
        f
        for f in every
        if f.code not in BOTH
        and any(foreign.search(without(said, typed)) for said in (titles[f.code], f.words, f.todo))
    ]
    return [f for f in every if f.code == case.code and f.place.startswith(case.place)], strange


def _of_document(case: FindingCase, *, within: bool, turned: bool) -> Told:
    document = case.document(within=within)
    view = "mm" if document.count('units = "mm"') == 1 else "in"
    if turned:
        other = "in" if view == "mm" else "mm"
        document, view = document.replace(f'units = "{view}"', f'units = "{other}"'), other
    made = staged(document)
    names = {m.name for m in made.case.catalogue.consumables()}
    return made.findings(case.code[0]), document, view, names


def _of_shelves(case: FindingCase, *, within: bool, turned: bool) -> Told:
    assert isinstance(case, ShelfCase)
    read = case.loaded(within=within, turned=turned)
    assert read.shelved is not None
    document = "\n".join((read.text, *(e.data.decode("utf8") for e in read.shelved.entries)))
    quoted = {t for t in re.findall(r'"([^"\n]*)"', document) if re.search(r"\d", t)}  # said as it was typed
    return case.findings(within=within, turned=turned), document, "in" if turned else "mm", quoted


def probe(case: FindingCase) -> None:
    """Silent just inside; just outside raised with its severity and its words, in the reader's units.

    Where the expected words hold no number, the document outside is planned for the other reader too.
    """
    import_registering()
    assert case.document(within=True) != case.document(within=False)
    assert found(case, within=True) == []
    severity = next(c.severity for c in all_codes() if c.code == case.code)
    for turned in (False,) if re.search(r"\d", case.said) else (False, True):
        fired, strange = of_stage(case, within=False, turned=turned)
        assert fired
        assert strange == []
        for finding in fired:
            assert finding.severity is severity
            assert case.said in finding.words
