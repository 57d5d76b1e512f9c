"""The frozen plan of one repair."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from panelmend.derive import Figure, Ledger, Origin, Source, is_thing
from panelmend.errors import Finding, Severity
from panelmend.job.card.part import CardPart
from panelmend.job.case import Case
from panelmend.job.limits.part import LimitsPart
from panelmend.job.work import Work
from panelmend.plan.standing import DRAFTS
from panelmend.plan.standing import Standing as Standing
from panelmend.units import Limit

if TYPE_CHECKING:
    from panelmend.job.survey.part import SurveyPart


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
        return tuple(f for f in self.findings if DRAFTS[f.severity])

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


def plain_value(figure: Figure) -> object:
    """The value of a figure as plain data: a number, words, or digest and summary of a thing."""
    value = figure.value
    return {"digest": value.digest(), "summary": value.summary()} if is_thing(value) else value


_json = json.JSONEncoder(sort_keys=True, ensure_ascii=False).encode


def _row(figure: Figure) -> str:
    """One figure as JSON with its keys in order, of which the value is the last: everything needed to explain
    and recompute it."""
    value = plain_value(figure)
    # a ledger takes no value that is not finite
    plain = repr(value) if type(value) is float else _json(value)
    return f'{_said(*(getattr(figure, name) for name in _SAID))}, "value": {plain}}}'


_SAID = ("key", "kind", "origin", "source", "formula", "inputs", "flags", "limit")


@lru_cache(maxsize=8192)  # one plan has some hundreds, and most of them are the same in the next one
def _said(
    key: str,
    kind: str,
    origin: Origin,
    source: Source,
    formula: str,
    inputs: tuple[tuple[str, str], ...],
    flags: tuple[str, ...],
    limit: Limit,
) -> str:
    """The row of a figure up to its value."""
    row = {
        "key": key,
        "kind": kind,
        "origin": origin.value,
        "source": {"title": source.title, "place": source.place},
        "formula": formula,
        "inputs": dict(inputs),
        "flags": list(flags),
        "limit": limit,
    }
    return _json(row)[:-1]


def digest_of(document_digest: str, ledger: Ledger, findings: tuple[Finding, ...]) -> str:
    """Digest of a plan: of the document, every figure and every finding."""
    rows = ", ".join(_row(f) for f in ledger)
    found = _json([[f.code, f.place, f.words] for f in findings])
    text = f"[{_json(document_digest)}, [{rows}], {found}]"
    return hashlib.sha256(text.encode("utf8")).hexdigest()
