"""What is signed late was at the bench until it is entered: no typed time makes it younger (R142, R143)."""

from __future__ import annotations

from datetime import timedelta

import pytest

from panelmend.records.book import When
from records_made import A1, A3, JOB, O11, Shop, job_shop, refused, who

HOURS_OUT = 3600
LIFE = 2 * HOURS_OUT  # [s] of the lot below, drawn as it leaves the freezer


def _drawn(**lot: object) -> Shop:
    """A lot out of the freezer and drawn at this very moment for a step whose blanks are filled in."""
    made = job_shop(A1, A3)
    made.receive("L1", **lot)
    made.book.move(who("T1"), "L1", frozen=False, place="bench")
    made.book.issue(who("S1"), "L1", JOB, O11, "1")
    made.fill(O11)
    return made


@pytest.mark.parametrize(
    ("lot", "code"),
    [({"out_life": LIFE}, "R142"), ({"out_life": None, "frozen": False, "opened_life": LIFE}, "R143")],
)
def test_what_was_in_its_time_when_used_and_is_not_when_entered_is_refused(
    lot: dict[str, object], code: str
) -> None:
    """Drawn at 0:00 with two hours of life: told of 1:00 it may be signed at 2:00, and not a second later."""
    made = _drawn(**lot)
    told = When(made.time.at + timedelta(hours=1), "the hands were busy")
    made.time.go(hours=2)
    made.time.go(seconds=1)
    refused(code, lambda: made.sign(O11, "did", "T1", when=told))
    made.time.go(seconds=-1)
    made.sign(O11, "did", "T1", when=told)
