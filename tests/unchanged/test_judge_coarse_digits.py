"""Logs of coarse digits with a few faults each: all that the judge, the search for faults and the watch say
of them is what they said before."""

from __future__ import annotations

import pytest

from coarse_logs import coarse
from digits_kept import unchanged
from judge_short import asked, short, until
from panelmend.plan.judge import find_faults, judge, look

COUNT = 54
# Found by trying, as in ``test_judge_edge_digits``.
MORE = (
    74,
    233,
    377,
    433,
    532,
    607,
    724,
    737,
    746,
    872,
    891,
    921,
    1055,
    1208,
    1230,
    1311,
    1378,
    1383,
    1443,
    1483,
)
SHARES = (0.12, 0.37, 0.6, 0.97)  # of the log at which the watch looks


@pytest.mark.parametrize("number", range(1, COUNT + 1))
def test_coarse_logs_are_told_as_before(number: int) -> None:
    log, how = coarse(number)
    of = how.pop("recipe")
    said = [asked(find_faults, log), asked(judge, of, log, **how)]
    said += [
        asked(look, of, until(log, max(2, int(s * len(log)))), silent=float(number % 3) * 60.0)
        for s in SHARES
    ]
    unchanged("judge_coarse_digits", str(number), [short(a) for a in said])


@pytest.mark.parametrize("number", MORE)
def test_further_coarse_logs_are_told_as_before(number: int) -> None:
    """Watched at half of their readings and at their very beginning, too."""
    log, how = coarse(number)
    of = how.pop("recipe")
    said = [asked(judge, of, log, **how), asked(find_faults, log)]
    said += [
        asked(look, of, until(log, count), silent=float(number % 4) * 90.0)
        for count in (2, len(log) // 2, len(log))
    ]
    unchanged("judge_coarse_digits", f"further {number}", [short(a) for a in said])
