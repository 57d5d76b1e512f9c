"""Blanks and clocks judged at once against the limits the card prints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import assert_never

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records.canonical import amount_text, canonical_amount, seconds_between, typed_amount
from panelmend.records.refusals import NOT_AN_ANSWER
from panelmend.records.state import Attempt, Deviation, Job, entries_covered


class Met(StrEnum):
    """How something written stands to its limit."""

    WITHIN = "WITHIN LIMIT"
    OUTSIDE = "OUTSIDE LIMIT"
    NOT_YET = "NOT YET"
    WRITTEN = "WRITTEN DOWN"


@dataclass(frozen=True)
class JudgedItem:
    """Something of a step that is judged: ``key`` as deviations cover it."""

    key: str
    what: str
    met: Met
    words: str


def require_answer(blank: e.CardBlank, reading: e.Reading, at: str) -> None:
    """See that a reading answers its blank.

    Raises:
        Refused: a kind of answer the blank does not take, a time still to come, or no word on a limit
        that stands in words.
    """
    given = {
        e.EntryKind.NUMBER: reading.value is not None,
        e.EntryKind.TIME: reading.at is not None,
        e.EntryKind.TICK: reading.yes is not None,
        e.EntryKind.TEXT: bool(reading.typed.strip()),
    }
    if not given[blank.entry]:
        raise NOT_AN_ANSWER(f"{blank.what!r} takes a {blank.entry.value}, read {reading.typed[:40]!r}")
    others = (
        (reading.value is not None and blank.entry is not e.EntryKind.NUMBER)
        or (reading.at is not None and blank.entry is not e.EntryKind.TIME)
        or (reading.yes is not None and blank.entry is not e.EntryKind.TICK)
    )
    if others:
        raise NOT_AN_ANSWER(f"{blank.what!r} takes a {blank.entry.value} and nothing else")
    if reading.value is not None and _typed(reading.typed) != reading.value:
        raise NOT_AN_ANSWER(f"{blank.what!r}: typed {reading.typed[:40]!r}, kept as {reading.value}")
    person = blank.ask == "person"
    if person and (reading.meets is None or not reading.limit.strip()):
        raise NOT_AN_ANSWER(f"{blank.what!r} ({blank.said}): write the limit you read and whether it is met")
    if not person and reading.meets is not None:
        raise NOT_AN_ANSWER(f"{blank.what!r} is judged by the limit the card prints, not by a word")


def _typed(text: str) -> str:
    """The number that was typed, in its one spelling; "" for none."""
    try:
        return amount_text(typed_amount(text))
    except InputError:
        return ""


def met(blank: e.CardBlank, reading: e.Reading | None) -> Met:
    """How a reading stands to its blank's limit; exactly on a limit is within."""
    if reading is None:
        return Met.NOT_YET
    if blank.entry is e.EntryKind.TICK:
        return Met.WITHIN if reading.yes else Met.OUTSIDE
    match blank.ask:
        case "person":
            return Met.WITHIN if reading.meets else Met.OUTSIDE
        case "record":
            return Met.WRITTEN
        case "figures":
            if reading.value is None:
                return Met.WRITTEN
        case _:
            assert_never(blank.ask)
    value = canonical_amount(reading.value)
    low = blank.low is None or value >= canonical_amount(blank.low)
    high = blank.high is None or value <= canonical_amount(blank.high)
    return Met.WITHIN if low and high else Met.OUTSIDE


def clock_met(job: Job, clock: e.CardClock) -> tuple[Met, str]:
    """How a clock stands; NOT YET until both of its ends are written."""
    start, end = (_time(job, *x) for x in ((clock.start, clock.start_blank), (clock.end, clock.end_blank)))
    if end is None or start is None:
        return Met.NOT_YET, ""
    ran = seconds_between(start, end)
    if ran < 0:
        return Met.OUTSIDE, "it ends before it starts"
    if clock.most is not None and ran > clock.most:
        return Met.OUTSIDE, f"{_to_the_second(ran)}, at most {_to_the_second(clock.most)}"
    if clock.until is not None:
        until = _time(job, clock.until, clock.until_blank)
        if until is None:
            return Met.NOT_YET, ""
        if end > until:
            return Met.OUTSIDE, f"{_to_the_second(seconds_between(until, end))} too late"
    return Met.WITHIN, _to_the_second(ran)


def _time(job: Job, step: str, blank: int) -> str | None:
    held = job.now(step).filled.get(blank)
    return held.reading.at if held is not None else None


def _to_the_second(seconds: int) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"


def items(job: Job, key: str) -> Iterator[JudgedItem]:
    """Everything of a step that is judged: its blanks, and the clocks that end in it."""
    step, attempt = job.steps[key], job.now(key)
    for i, blank in enumerate(step.blanks):
        held = attempt.filled.get(i)
        yield JudgedItem(
            f"b{i}",
            blank.what,
            met(blank, held.reading if held else None),
            held.reading.typed if held else "",
        )
    for i, clock in enumerate(job.opened.clocks):
        if clock.end == key:
            came, words = clock_met(job, clock)
            yield JudgedItem(f"c{i}", clock.name, came, words)
    yield from coupon_items(attempt)


def coupon_items(attempt: Attempt) -> Iterator[JudgedItem]:
    """Each result of the coupons that were made in an attempt at a step; exactly on a limit is within."""
    for coupon in attempt.coupons:
        for told, _, number in coupon.results:
            value = canonical_amount(told.value)
            low = told.least is None or value >= canonical_amount(told.least)
            high = told.most is None or value <= canonical_amount(told.most)
            come = Met.WITHIN if low and high else Met.OUTSIDE
            name = f"coupon {told.coupon}, {coupon.made.what}"
            yield JudgedItem(f"k{number}", name, come, f"{told.value} {told.unit}")


def covered(job: Job, key: str) -> frozenset[str]:
    """What an engineer has let stand at a step, for the attempt that counts.

    It is what stood there when the deviation was raised; what was written again since then is not covered.
    """
    number = len(job.attempts[key])
    return frozenset(
        x
        for d in job.deviations.values()
        if d.raised.step == key
        and d.attempt == number
        and d.decided is not None
        and d.decided.decision is e.Decision.STANDS
        for x in d.raised.covers
        if _same_place(job, d, x) and d.seen[x] == entries_covered(job, key, x)
    )


def _same_place(job: Job, d: Deviation, item: str) -> bool:
    """Whether the plan in force has at a clock's place the clock that it was raised for."""
    if item[0] != "c":
        return True
    place, clocks = int(item[1:]), job.opened.clocks
    return place < len(clocks) and d.clocks.get(item, clocks[place]) == clocks[place]


def verdict_met(attempt: Attempt) -> Met:
    """Whether the verdict lets the bag be opened: only a cure that conforms."""
    if attempt.verdict is None:
        return Met.NOT_YET
    outcome = attempt.verdict.verdict.outcome
    match outcome:
        case e.Judged.CONFORMS:
            return Met.WITHIN
        case e.Judged.DOES_NOT | e.Judged.UNKNOWN:
            return Met.OUTSIDE
        case _:
            assert_never(outcome)
