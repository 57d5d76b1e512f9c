"""Thermocouples in doubt: the verdict with their readings and without, and who has to decide.

A suspicion never takes readings out of the judgement. Where the verdict rests on the sensor in doubt, the
cure cannot be judged; a statement about the sensor is printed with its evidence and does not turn that into
conforms.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from panelmend.document.people import same_person
from panelmend.errors import InputError
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import Fault
from panelmend.plan.judge.recipe import CureRecipe
from panelmend.plan.judge.said import show
from panelmend.plan.judge.verdict import Outcome, Reason, VerdictRecorder, worst_outcome
from panelmend.plan.judge.walk import Stretch


@dataclass(frozen=True)
class SeenOfSensor:
    """A person's statement about a thermocouple: ``evidence`` seen on the part, ``by`` whom and in what
    ``capacity`` (inspector or engineer); ``ran``: who ran the cure, which must be another; ``typed``: who
    typed it; ``signed``: the person gave their own secret for it."""

    channel: str
    evidence: str
    by: str
    capacity: str
    ran: str = ""
    typed: str = ""
    signed: bool = False

    def __post_init__(self) -> None:
        if same_person(self.by, self.ran):
            raise InputError(
                "who ran the cure cannot state this",
                where=self.channel,
                read=self.by,
                expected="an inspector or engineer who did not run it",
            )
        if not all(x.strip() for x in (self.channel, self.evidence, self.by)):
            raise InputError(
                "a statement about a thermocouple needs channel, evidence and name",
                where=self.channel,
                expected='such as "T3; lead found cut under the blanket; A. Reyes; inspector"',
            )
        if self.capacity not in CAPACITIES:
            raise InputError(
                "who may state it",
                where=self.channel,
                read=repr(self.capacity),
                expected=" or ".join(CAPACITIES),
            )


CAPACITIES = ("inspector", "engineer")


def weigh_doubts(
    e: Evidence,
    book: VerdictRecorder,
    other: VerdictRecorder,
    walked: tuple[Stretch, ...],
    recipe: CureRecipe,
    statements: tuple[SeenOfSensor, ...],
) -> None:
    """Compare the rules with (``book``) and without (``other``) the thermocouples in doubt and enter what
    follows into ``book``."""
    doubted = [f for f in e.checked.faults if f.doubt]
    with_it, without = (worst_outcome([r.outcome for r in b.reasons]) for b in (book, other))
    said = {s.channel: s for s in statements}
    names = sorted({f.channel for f in doubted})
    both = f"with its readings: {with_it}; without: {without}"
    shifted = [f for f in doubted if _hidden(e, f, walked)]
    if with_it is not without or shifted or said:
        fails = {(r.rule, r.segment) for r in other.reasons if r.outcome is Outcome.DOES_NOT}
        book.reasons = [_resting(r, fails) for r in book.reasons]
        _drop_rest(book)
        for f in doubted:
            words = f"{f.finding.words}; {both}"
            if f in shifted:
                off = show(f.shift, "temperature difference", decimals=0)
                words += f"; it reads {off} off, its place may be out of the band"
            if f.channel in said:
                s = said[f.channel]
                words += f"; {sensor_statement(s)}"
            book.unknown(
                "thermocouple in doubt", words, sensor=f.channel, time=f.time, place=recipe.sensors.place
            )
    else:
        for f in doubted:
            # of one that counts as lost most readings are in neither verdict
            words = f"counts as lost; without it: {without}" if f.channel in dict(e.lost_at) else both
            book.note(codes.IN_DOUBT, f"{f.channel}: {words}", sensor=f.channel, time=f.time)
    for s in statements:
        if s.channel not in names:
            words = f"{sensor_statement(s)}; {both}"
            book.unknown("thermocouple in doubt", words, sensor=s.channel, place=recipe.sensors.place)


def sensor_statement(s: SeenOfSensor) -> str:
    """Who states what about a thermocouple, and who ran the cure."""
    ran = f"cure run by {s.ran}" if s.ran else "nobody said who ran the cure"
    return f"{s.by} ({s.capacity}) states of {s.channel}: {s.evidence}; {ran}"


def typed_in(s: SeenOfSensor) -> str:
    """Who typed a statement: outside the records the person named does not have to give their secret."""
    if s.signed:
        return f"with the own secret of {s.by}"
    if same_person(s.typed, s.by):
        return f"typed by {s.typed}"
    return f"typed in the name of {s.by} by {s.typed or 'one who is not named'}, not signed by {s.by} here"


def _resting(r: Reason, fails: set[tuple[str, str]]) -> Reason:
    """A rule that fails only with the thermocouples in doubt cannot be judged."""
    if r.outcome is not Outcome.DOES_NOT or (r.rule, r.segment) in fails:
        return r
    words = f"{r.words}; rests on a thermocouple in doubt"
    return dataclasses.replace(r, outcome=Outcome.UNKNOWN, words=words, code=codes.UNKNOWN.code)


def _drop_rest(book: VerdictRecorder) -> None:
    """Findings of failures that no longer stand as such are said by the rule itself."""
    standing = {r.code for r in book.reasons if r.outcome is Outcome.DOES_NOT}
    failing = {c.code for c in codes.FAILURES}
    book.findings = [f for f in book.findings if f.code not in failing or f.code in standing]


def _hidden(e: Evidence, f: Fault, walked: tuple[Stretch, ...]) -> bool:
    """Corrected by its offset, the thermocouple leaves a dwell's band that its readings keep."""
    if not f.shift:
        return False
    values = e.log.channel(f.channel).values - f.shift
    for s in walked:
        low, high = s.segment.band_low, s.segment.band_high
        if low is None or not s.found or not s.spans:
            continue
        inside = (e.times >= s.spans[0].start) & (e.times <= s.spans[-1].end) & np.isfinite(values)
        top = high.value if high is not None else np.inf
        if (values[inside] < low.value - 0.5).any() or (values[inside] > top + 0.5).any():
            return True
    return False
