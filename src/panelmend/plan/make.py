"""From a case to its plan: the stages in working order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from panelmend.derive import Ledger
from panelmend.errors import Finding, Severity
from panelmend.job import bag, card, core, cure, cutout, drying, kit, limits, nest, plies
from panelmend.job.case import Case
from panelmend.job.cure.prediction import Prediction
from panelmend.job.work import Work
from panelmend.long_work import Tell, silent
from panelmend.plan.asked import check_asked
from panelmend.plan.checks import check_defaults
from panelmend.plan.left_open import check_left_open
from panelmend.plan.plan import Plan, digest_of

_WEIGHT = {s: i for i, s in enumerate((Severity.STOP, Severity.CONFIRM, Severity.CAUTION, Severity.NOTE))}


def make_plan(
    case: Case,
    layouts: Mapping[str, Any] | None = None,
    progress: Tell = silent,
    predictions: Mapping[str, Prediction] | None = None,
) -> Plan:
    """Plan a repair.

    Args:
        case: the document, ready to plan.
        layouts: what layout searches found, by problem digest; where there is none, plain shelves are used.
        progress: told the name of each stage as it begins; may raise Cancelled to stop.
        predictions: predictions of heat by problem digest; where there is none, the plan says so.

    Returns:
        The plan; the same case, layouts and predictions give the same plan, byte for byte.
    """
    ledger = Ledger()
    found: list[Finding] = []
    progress("survey")
    surveyed = None
    if case.document.survey is not None:
        from panelmend.job.survey import checks as survey_checks  # late: most documents have no survey
        from panelmend.job.survey import make as survey_make

        surveyed = survey_make.make(case, ledger)
        found += survey_checks.check(case, ledger, surveyed)
    progress("limits")
    sizes = limits.make(case, ledger)
    found += limits.check(case, ledger, sizes)
    work = None
    if sizes.disposition != "no structural repair" and case.document.damage.depth != "surface":
        work = _work(case, ledger, found, sizes, layouts or {}, progress, predictions or {})
    else:
        found += drying.check_without_work(case)
    progress("card")
    steps = card.make(case, ledger, sizes, work)
    found += card.check(case, ledger, steps, work)
    found += check_defaults(case, ledger, work)
    found += case.told
    if case.shelved is not None:
        found += case.shelved.findings
    found += check_asked(case, ledger)
    if work is not None:
        found += check_left_open(case)
    findings = gravest_first(found)
    return Plan(
        case, sizes, work, steps, ledger, findings, digest_of(case.digest, ledger, findings), surveyed
    )


def gravest_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings as they stand in a plan: the gravest first."""
    return tuple(sorted(found, key=lambda f: (_WEIGHT[f.severity], f.code, f.place, f.words)))


def with_more(plan: Plan, more: Iterable[Finding]) -> Plan:
    """The plan with findings that were made beside it, in their places; its digest says so."""
    findings = gravest_first([*plan.findings, *(f for f in dict.fromkeys(more) if f not in plan.findings)])
    return replace(plan, findings=findings, digest=digest_of(plan.case.digest, plan.ledger, findings))


def _work(
    case: Case,
    ledger: Ledger,
    found: list[Finding],
    sizes: limits.LimitsPart,
    layouts: Mapping[str, Any],
    progress: Tell,
    predictions: Mapping[str, Prediction],
) -> Work:
    progress("cutout")
    opening = cutout.make(case, ledger, sizes)
    found += cutout.check(case, ledger, opening, sizes)
    progress("plies")
    laid = plies.make(case, ledger, opening)
    found += plies.check(case, ledger, laid, opening)
    progress("core")
    filled = core.make(case, ledger, opening, laid)
    found += core.check(case, ledger, filled, opening, laid)
    progress("drying")
    dried = drying.make(case, ledger, filled)
    found += drying.check(case, ledger, dried)
    progress("nest")
    cloths = nest.make(case, ledger, laid, filled, layouts)
    found += nest.check(case, ledger, cloths, laid, filled)
    progress("bag")
    bags = bag.make(case, ledger, opening, laid, filled)
    found += bag.check(case, ledger, bags, opening, laid, filled)
    progress("cure")
    cured = cure.make(case, ledger, opening, laid, filled, bags, predictions, dried)
    found += cure.check(case, ledger, cured, bags, filled)
    found += cure.check_drying(case, ledger, cured, dried)
    progress("kit")
    gathered = kit.make(case, ledger, opening, laid, filled, cloths, bags, cured)
    found += kit.check(case, ledger, gathered, opening, laid, filled, cloths, bags)
    return Work(opening, laid, filled, dried, cloths, bags, cured, gathered)
