"""The strength study of a plan as it was kept, or made and kept: a pack asks it again for the same plan."""

from __future__ import annotations

from panelmend.keeping import keep_object, read_kept_object
from panelmend.plan.plan import Plan
from panelmend.plan.strength_study import StrengthStudy, joined, study_strength


def kept_study(plan: Plan) -> StrengthStudy:
    """The study of a plan: as it was kept under the plan's digest, or made and kept.

    The digest of a plan covers its document, every figure and every finding; what is kept also stands under
    the digest of all sources, so that an edit of any of them makes it anew.

    Raises:
        InputError: the plan lays nothing.
    """
    kept = read_kept_object("strength", plan.digest)
    if kept is not None:
        part, figures, findings = kept
        return StrengthStudy(plan, part, joined(plan.ledger, figures), findings)
    made = study_strength(plan)
    own = tuple(f for f in made.ledger if f.key not in plan.ledger)
    keep_object("strength", plan.digest, (made.part, own, made.findings))
    return made
