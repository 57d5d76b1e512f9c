"""The frozen plan of one repair."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from panelmend.derive import Figure, Ledger, is_thing
from panelmend.errors import Finding, Severity
from panelmend.job.card.part import CardPart
from panelmend.job.case import Case
from panelmend.job.limits.part import LimitsPart
from panelmend.job.work import Work
from panelmend.plan.standing import Standing as Standing

if TYPE_CHECKING:
    from panelmend.job.survey.part import SurveyPart

DRAFTING = (Severity.CONFIRM, Severity.STOP)


@dataclass(frozen=True)
class Plan:
    """The plan: its case, the parts of each stage, the ledger of figures and the findings.

    ``work`` is None where the data asks for no structural repair. ``digest`` is the same for the same
    document, layouts and formulas; it stands on every page.
    """

    case: Case
    limits: LimitsPart
    work: Work | None
    card: CardPart
    ledger: Ledger
    findings: tuple[Finding, ...]
    digest: str
    survey: SurveyPart | None = None

    @property
    def short_digest(self) -> str:
        """The first twelve characters of the digest, as printed."""
        return self.digest[:12]

    @property
    def draft_reasons(self) -> tuple[Finding, ...]:
        """The findings that make it a draft; none means it may be printed for work."""
        return tuple(f for f in self.findings if f.severity in DRAFTING)

    @property
    def is_draft(self) -> bool:
        """Open defaults or findings of the severe kind stand in it."""
        return bool(self.draft_reasons)

    @property
    def stop_reasons(self) -> tuple[Finding, ...]:
        """The findings that stop the work."""
        return tuple(f for f in self.findings if f.severity is Severity.STOP)

    @property
    def standing(self) -> Standing:
        """STOP, DRAFT or READY: what stands at the head of every page and decides the exit code."""
        if self.stop_reasons:
            return Standing.STOP
        return Standing.DRAFT if self.is_draft else Standing.READY

    @property
    def mark(self) -> str:
        """STOP, DRAFT or nothing: the mark on every page."""
        return "" if self.standing is Standing.READY else self.standing.value


def figure_row(figure: Figure) -> dict[str, object]:
    """One figure as plain data: everything needed to explain and recompute it."""
    value: object = figure.value
    if is_thing(value):
        value = {"digest": value.digest(), "summary": value.summary()}
    return {
        "key": figure.key,
        "value": value,
        "kind": figure.kind,
        "origin": figure.origin.value,
        "source": {"title": figure.source.title, "place": figure.source.place},
        "formula": figure.formula,
        "inputs": dict(figure.inputs),
        "flags": list(figure.flags),
        "limit": figure.limit,
    }


def digest_of(document_digest: str, ledger: Ledger, findings: tuple[Finding, ...]) -> str:
    """Digest of a plan: of the document, every figure and every finding."""
    rows = [figure_row(f) for f in ledger]
    found = [[f.code, f.place, f.words] for f in findings]
    text = json.dumps([document_digest, rows, found], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf8")).hexdigest()
