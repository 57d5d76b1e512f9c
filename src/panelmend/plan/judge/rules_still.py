"""Thermocouples that stood at one value in a dwell while others moved: their own noise does not distinguish a
frozen input from a good controller's quiet readings, but the others beside them do."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import length_up, run_ends
from panelmend.plan.judge.faults_frozen import is_coarse
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.faults_sensor import moved_meanwhile
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import SegmentKind
from panelmend.plan.judge.said import show
from panelmend.plan.judge.spans import samples_within
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch

# all common practice, no source: a stay that is told; the last digits, and the kelvins, that another moved
# beside its noise meanwhile; from so many kelvins on the dwell cannot be judged, as of one alone (V116)
STOOD, DIGITS, MOVED, FAR = 900.0, 3.0, 0.5, 5.0
# or half of all, and two, stood while another changed so often, as they did before or after; so many times as
# long as any other stay of theirs
CHANGES, LONGER = 6, 3.0


@dataclass(frozen=True)
class Still:
    """A thermocouple ``column`` that stood from ``begin`` to ``end`` [s], ``longer`` than any other stay of
    its own in the dwell by the times asked, while ``other`` moved by ``moved`` [K] beside its noise; 0 for
    none that did."""

    column: int
    begin: float
    end: float
    longer: bool
    other: int = -1
    moved: float = 0.0


def judge_still(e: Evidence, book: VerdictRecorder, walked: tuple[Stretch, ...]) -> tuple[str, ...]:
    """Those that stood at one value in a dwell for 15 minutes while another moved by more than noise, or half
    of them while another changed: in words, as what the verdict rests on; where another moved far, the dwell
    cannot be judged."""
    rests = []
    for s in walked:
        if s.segment.kind is not SegmentKind.DWELL or not s.spans:
            continue
        rows = samples_within(e.times, s.spans[0].start, s.spans[-1].end)
        told = stood_beside(e.times[rows], e.temps[rows])
        if not told:
            continue
        most = max(told, key=lambda x: (x.moved, x.end - x.begin))
        names = ", ".join(e.names[i] for i in sorted({x.column for x in told}))
        words = f"{names} stood at one value in {s.segment.name}, {e.names[most.column]} for "
        words += f"{length_up(most.end - most.begin)}, while "
        if most.moved > 0.0:
            by = show(most.moved, "temperature difference", decimals=1)
            words += f"{e.names[most.other]} moved by {by}"
        else:
            words += f"{e.names[most.other]} went on changing"
        limit = s.segment.band_low
        assert limit is not None
        book.note(
            codes.STOOD_BESIDE,
            words,
            segment=s.segment.name,
            sensor=names,
            time=most.begin,
            place=limit.place,
        )
        if most.moved > FAR:
            book.unknown("readings that stand", words, limit=limit, segment=s.segment.name, time=most.begin)
        rests.append(f"readings that may have stopped: {words}")
    return tuple(rests)


def stood_beside(times: FloatArray, temps: FloatArray) -> list[Still]:
    """Of readings (n, m) [K] at times (n,) [s] those that stood for 15 minutes while another moved beyond its
    noise; and those of half of all, and two, that stood together while another went on changing."""
    stays = [x for i in range(temps.shape[1]) for x in _stays(times, temps[:, i], i)]
    moved = [x for x in (_beside(times, temps, s) for s in stays) if x.moved > 0.0]
    # a place at rest shows one value for as long in whole and half degrees
    long = [] if is_coarse(temps) else [s for s in stays if s.longer]
    together: list[Still] = []
    for one in long:
        over = [s for s in long if min(s.end, one.end) - max(s.begin, one.begin) >= STOOD - 1e-6]
        columns = {s.column for s in over}
        part = temps[samples_within(times, one.begin, one.end)]
        going = [i for i in range(temps.shape[1]) if i not in columns and _changes(part[:, i]) >= CHANGES]
        if len(columns) >= 2 and 2 * len(columns) >= temps.shape[1] and going:
            together.append(dataclasses.replace(one, other=going[0]))
    return moved + [s for s in together if s.column not in {x.column for x in moved}]


def _stays(times: FloatArray, values: FloatArray, column: int) -> list[Still]:
    read = np.flatnonzero(np.isfinite(values))
    if read.size < CHANGES:
        return []
    t, own = times[read], values[read]
    starts, stops = run_ends(np.concatenate([[False], np.diff(own) == 0]))
    spans = t[stops] - t[starts - 1]
    out = []
    for k in np.flatnonzero(spans >= STOOD - 1e-6).tolist():
        rest = np.delete(spans, k)
        before, after = own[: starts[k]], own[stops[k] :]
        longer = spans[k] >= LONGER * np.max(rest, initial=0.0) and (
            _changes(before) >= CHANGES or _changes(after) >= CHANGES
        )
        out.append(Still(column, float(t[starts[k] - 1]), float(t[stops[k]]), bool(longer)))
    return out


def _beside(times: FloatArray, temps: FloatArray, stay: Still) -> Still:
    """With the other that moved most meanwhile."""
    part = samples_within(times, stay.begin, stay.end)
    for k in range(temps.shape[1]):
        values = temps[part, k]
        seen = values[np.isfinite(values)]
        if k == stay.column or seen.size < CHANGES or np.ptp(seen) < MOVED:
            continue
        moved = moved_meanwhile(times[part], values, stay.end - stay.begin)
        if moved > max(stay.moved, MOVED - 1e-6, DIGITS * digit_of(seen) - 1e-3):
            stay = dataclasses.replace(stay, other=k, moved=moved)
    return stay


def _changes(values: FloatArray) -> int:
    read = values[np.isfinite(values)]
    return int(np.count_nonzero(np.diff(read)))
