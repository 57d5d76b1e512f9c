"""The strength study of a plan as it was kept, or made and kept: a pack asks it again for the same plan."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from typing import Any

from panelmend.job.strength.solved import kept_by
from panelmend.keeping import keep_object, read_kept_object
from panelmend.plan.plan import Plan
from panelmend.plan.strength_study import StrengthStudy, joined, study_strength

REPAIRS = 8  # of so many what was solved is kept, some ten megabytes each
SPARE = 400  # answers that the last study did not ask for


def kept_study(plan: Plan) -> StrengthStudy:
    """The study of a plan: as it was kept under the plan's digest, or made and kept.

    The digest of a plan covers its document, every figure and every finding; what is kept also stands under
    the digest of all sources, so that an edit of any of them makes it anew. A study that is made anew takes
    plates and bonds that were solved before for this repair with the very same numbers.

    Raises:
        InputError: the plan lays nothing.
    """
    kept = read_kept_object("strength", plan.digest)
    if kept is not None:
        part, figures, findings = kept
        return StrengthStudy(plan, part, joined(plan.ledger, figures), findings)
    before = SolvedBefore(plan.case.document.repair.number)
    with kept_by(before.answer):
        made = study_strength(plan)
    own = tuple(f for f in made.ledger if f.key not in plan.ledger)
    keep_object("strength", plan.digest, (made.part, own, made.findings))
    before.keep()
    return made


class SolvedBefore:
    """Answers of plates and bonds that were kept for a repair, each under the digest of all its input.

    Args:
        repair: the repair's number; it says where to look, and nothing of what is found.
    """

    def __init__(self, repair: str) -> None:
        self._repair = repair
        kept = read_kept_object("solved", repair)
        self._was: dict[str, bytes] = kept if isinstance(kept, dict) else {}
        self._now: dict[str, bytes] = {}

    def answer(self, digest: str, solve: Callable[[], Any]) -> Any:
        """What was kept, or what is solved now; each time a copy of its own, whatever is done to it."""
        kept = self._now.get(digest) or self._was.get(digest)
        if kept is None:
            made = solve()
            self._now[digest] = pickle.dumps(made, protocol=5)
            return made
        self._now[digest] = kept
        return pickle.loads(kept)  # written by this program into the user's own folder, and sealed there

    def keep(self) -> None:
        """Keep what was asked for, and some of what was not."""
        if self._now.keys() <= self._was.keys():
            return
        spare = [(d, a) for d, a in self._was.items() if d not in self._now][:SPARE]
        keep_object("solved", self._repair, {**self._now, **dict(spare)}, most=REPAIRS)
