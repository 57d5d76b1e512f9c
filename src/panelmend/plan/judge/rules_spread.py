"""Rules comparing the thermocouples of a dwell: their spread, and the lag of the last behind the first."""

from __future__ import annotations

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence, hour_moved
from panelmend.plan.judge.holes import crossing_between
from panelmend.plan.judge.pieces import place_of_most
from panelmend.plan.judge.spans import samples_within
from panelmend.plan.judge.unread import least_read
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder
from panelmend.plan.judge.walk import Stretch


def judge_spread(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    """The most that thermocouples lie apart in a dwell, of those that are read."""
    assert s.segment.spread_most is not None
    begin = s.spans[0].start if s.spans else s.start
    span = samples_within(e.times, begin, s.end)
    # of those that are read: while one is not, no more is known, and no less
    lowest = least_read(e)
    at = place_of_most(lambda x: e.highest[x] - lowest[x], span.start, span.stop)
    if at is None:
        book.unknown(
            "spread",
            "no readings",
            limit=s.segment.spread_most,
            kind="temperature difference",
            segment=s.segment.name,
            time=begin,
        )
        return Outcome.UNKNOWN
    return book.measure(
        "spread between thermocouples",
        float(e.highest[at] - lowest[at]),
        s.segment.spread_most,
        "temperature difference",
        codes.SPREAD,
        most=True,
        segment=s.segment.name,
        sensor=f"{e.fastest_at(at)} and {e.slowest_at(at)}",
        time=float(e.times[at]),
    )


def judge_lag(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    """The last behind the first into the band; into one cooler than the dwell before from above."""
    assert s.segment.lag_most is not None
    falling = bool(s.down)
    entries, level = (s.down, s.top) if falling else (s.entries, s.level)
    seen = sorted((t, n) for n, t in entries if t is not None)
    if not seen:
        words = "no reading shows when the first came into the band, and the last"
        book.unknown(
            "last behind the first into the band",
            words,
            limit=s.segment.lag_most,
            segment=s.segment.name,
            time=s.start,
        )
        return Outcome.UNKNOWN
    bounds = [crossing_between(e, e.temps[:, e.names.index(n)], level, t, falling=falling) for t, n in seen]
    soonest, latest = (max(x[i] for x in bounds) - min(x[1 - i] for x in bounds) for i in (0, 1))
    soonest -= hour_moved(e, seen[0][0], seen[-1][0])
    return book.measure(
        "last behind the first into the band",
        seen[-1][0] - seen[0][0],
        s.segment.lag_most,
        "time",
        codes.LAG,
        most=True,
        segment=s.segment.name,
        sensor=seen[-1][1],
        time=seen[-1][0],
        decimals=1,
        unsure=e.blur,
        between=(max(0.0, soonest), latest),
    )
