"""What an engineer is asked to take on of a plan's heat, and the key that names it."""

from __future__ import annotations

from panelmend.job.card.put_back_checks import heated_back
from panelmend.job.case import Case
from panelmend.job.cure.prediction import held_key
from panelmend.job.untold_heat import (
    own_heat_key,
    put_back_key,
    undried,
    undried_key,
    unpredicted,
    unpredicted_key,
    untold,
)
from panelmend.job.work import Work


def heat_asked(case: Case, work: Work | None) -> dict[tuple[str, str], str]:
    """The key under which each finding on heat is taken on, by the finding's code and place."""
    if work is None:
        return {}
    why = undried(work.cure, work.drying)
    keys = {("H140", "drying"): undried_key(case, why)} if why is not None else {}
    keys |= {("H655", f"put_back.{n}"): put_back_key(case, n) for n, _, _ in heated_back(case, work)}
    for bag, cure in zip(work.bag.operations, work.cure.operations, strict=True):
        place, made = f"cure.{cure.number}", cure.prediction
        if untold(work.core, bag, cure):
            keys["H600", place] = own_heat_key(work.core, bag, cure)
        if unpredicted(work.core, bag, cure):
            keys["H602", place] = unpredicted_key(case, work.core, bag, cure)
        if made is not None and made.likelihood is not None:
            keys["H131", place] = held_key(cure.number, made)
    return keys
