"""Logs at the edges of what a log can be: all that the judge, the search for faults and the watch say of
them, or how they refuse them, is what they said before."""

from __future__ import annotations

import pytest

from digits_kept import unchanged
from edge_logs import edge
from judge_short import asked, short, until
from panelmend.plan.judge import find_faults, judge, look

COUNT = 320
# Found by trying: what is said of each hangs on a comparison, a sign or a word that no other log
# of the tests told from its opposite.
MORE = (
    *(411, 508, 510, 557, 572, 641, 653, 660, 680, 802, 821, 848, 868, 884, 895, 932, 1008, 1047, 1065, 1105),
    *(1236, 1253, 1269, 1299, 1349, 1436, 1439, 1497),
)


@pytest.mark.parametrize("number", [*range(COUNT), *MORE])
def test_logs_at_the_edge_are_told_as_before(number: int) -> None:
    of, log, how = edge(number)
    said = [asked(judge, of, log, **how)]
    if len(log) > 1:
        said.append(asked(find_faults, log))
    for count in sorted({n for n in (len(log), len(log) // 2, 2) if 1 < n <= len(log)}):
        said.append(asked(look, of, until(log, count), silent=float(number % 4) * 90.0))
    unchanged("judge_edge_digits", str(number), [short(a) for a in said])
