"""Rules for stores: dates without override, out-time that only adds, a balance that is never negative."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import seconds_between
from panelmend.records.refusals import (
    BACKWARDS,
    CLOSED,
    EXPIRED,
    LOCKED,
    MALFORMED,
    NO_SUCH,
    NOT_HELD,
    NOT_SECOND,
    OPENED,
    OUT_TIME,
    RESERVED,
    SAME_PERSON,
    TAKEN,
    TOO_LITTLE,
    TOO_MUCH,
)
from panelmend.records.state import HeldLot, Job, State, batch_key, number_key


def _lot(state: State, entry: e.Entry, name: str) -> HeldLot:
    lot = state.lots.get(name)
    if lot is None:
        raise NO_SUCH(f"lot {name}")
    if entry.at < lot.last:
        raise BACKWARDS(f"lot {name}: the last entry is of {lot.last}")
    return lot


def _new(state: State, name: str) -> None:
    if number_key("lot", name) in state.numbers:
        raise TAKEN(f"lot {name}")


def _some(text: str, *, none: bool = False) -> Decimal:
    value = Decimal(text)
    if value < 0 or (value == 0 and not none):
        raise MALFORMED(f"an amount of {text}")
    return value


def _now(state: State, entry: e.Entry) -> str:
    return max(state.latest, entry.entered)


def require_usable(state: State, lot: HeldLot, at: str, *, out: int | None = None) -> None:
    """See that a lot may be used at a moment: it may on the whole of its last day, by the shop's date.

    Args:
        state: what is so.
        lot: the lot.
        at: the moment.
        out: out-time of a part of it that was drawn [s]; the lot's own where it is not given.

    Raises:
        Refused: past its date, its out-time or its life once opened. There is no override.
    """
    name, today = lot.received.lot, state.day(at).isoformat()
    if today > lot.expires:
        raise EXPIRED(f"lot {name}: last day of use {lot.expires}, today {today}")
    out = lot.out_at(at) if out is None else out
    if lot.received.out_life is not None and out > lot.received.out_life:
        raise OUT_TIME(f"lot {name}: out {out} s of {lot.received.out_life} s")
    life = lot.received.opened_life
    if life is not None and lot.opened and seconds_between(lot.opened, at) > life:
        raise OPENED(f"lot {name}: opened {lot.opened}, life {life} s")


def open_job_of(state: State, name: str) -> Job:
    """A job that is still open. Raises Refused."""
    job = state.jobs.get(name)
    if job is None:
        raise NO_SUCH(f"job {name}")
    if job.closed:
        raise CLOSED(f"job {name} is {job.closed}")
    return job


def _received(state: State, entry: e.Entry, what: e.LotReceived) -> None:
    _new(state, what.lot)
    _some(what.amount)
    expires, lot = state.batches.get(batch_key(what.material, what.batch), (what.expires, ""))
    if what.expires > expires:
        raise NOT_SECOND(f"batch {what.batch} came as lot {lot} with {expires}")
    if state.rules < 3 and (what.width is not None or what.outline):
        raise MALFORMED("a width before there were any")
    _rest(what.lot, what.width, what.outline, _metres(what.amount, what.unit))
    if what.thickness is not None and (state.rules < 3 or Decimal(what.thickness) <= 0):
        raise MALFORMED(f"lot {what.lot}: a thickness of {what.thickness} m")
    if what.frozen and what.out_life is None:
        raise MALFORMED(f"lot {what.lot} comes frozen: its out-life stands on its label")


def _moved(state: State, entry: e.Entry, what: e.LotMoved) -> None:
    _lot(state, entry, what.lot)


def _opened(state: State, entry: e.Entry, what: e.LotOpened) -> None:
    require_usable(state, _lot(state, entry, what.lot), _now(state, entry))


def _issued(state: State, entry: e.Entry, what: e.LotIssued) -> None:
    lot = _lot(state, entry, what.lot)
    amount = _some(what.amount)
    job = open_job_of(state, what.job)
    if what.step not in job.steps:
        raise NO_SUCH(f"step {what.step} of job {what.job}")
    if job.now(what.step).did is not None:
        raise LOCKED(f"step {what.step}")
    if entry.at < job.at:
        raise BACKWARDS(f"job {what.job} was opened later")
    # both when it was drawn and now: an entry made late never makes a lot younger
    require_usable(state, lot, entry.at)
    require_usable(state, lot, _now(state, entry))
    if amount > lot.left:
        raise TOO_LITTLE(f"lot {what.lot}: {lot.left} {lot.received.unit} left, asked {amount}")
    if amount > lot.free_for(what.job):
        raise RESERVED(f"lot {what.lot}: {lot.free_for(what.job)} {lot.received.unit} free for {what.job}")


def _reserved(state: State, entry: e.Entry, what: e.LotReserved) -> None:
    if state.rules < 3:
        raise MALFORMED("a reservation before there were any")
    lot = _lot(state, entry, what.lot)
    amount = _some(what.amount, none=True)
    open_job_of(state, what.job)
    if amount:
        require_usable(state, lot, _now(state, entry))
    if amount > lot.left:
        raise TOO_LITTLE(f"lot {what.lot}: {lot.left} {lot.received.unit} left, asked {amount}")
    if amount > lot.free_for(what.job):
        raise RESERVED(f"lot {what.lot}: {lot.free_for(what.job)} {lot.received.unit} free for {what.job}")


def drawn_for(state: State, job: str, name: str) -> Decimal:
    """What a job drew of a lot for work that counts, in the lot's unit: what was drawn for work that is done
    again is spent, and what came back is in the stores."""
    held, lot = state.jobs.get(job), state.lots[name]
    if held is None:
        return Decimal(0)
    issued = [w for attempts in held.attempts.values() for w, _, _ in attempts[-1].issued]
    amounts = [Decimal(w.amount) for w in issued if w.lot == name]
    return min(sum(amounts, Decimal(0)), lot.by_job.get(job, Decimal(0)))


def held_for(state: State, job: str, kit: tuple[e.Need, ...], now: str) -> None:
    """See that the lots which a plan takes from hold what it counts on, may be used, and are as wide as it
    says; what was drawn for the job counts, but not for work that is done again. Lots that are not in the
    records are not looked at.

    Raises:
        Refused: one holds less, is narrower, or may not be used.
    """
    wanted: dict[str, Decimal] = {}
    for need in kit:
        lot = state.lots.get(need.store)
        if lot is None:
            continue
        require_usable(state, lot, now)
        if need.width is not None and lot.width is not None and Decimal(lot.width) < Decimal(need.width):
            raise NOT_HELD(f"lot {need.store} is {lot.width} m wide, the plan has {need.width} m")
        thick = lot.received.thickness
        if need.thickness is not None and thick is not None and Decimal(thick) < Decimal(need.thickness):
            raise NOT_HELD(f"lot {need.store} is {thick} m thick, the plan needs {need.thickness} m")
        one = SCALE.get(lot.received.unit)
        if one is None or one[0] != need.unit:
            continue
        wanted[need.store] = wanted.get(need.store, Decimal(0)) + Decimal(need.amount)
        there = (lot.free_for(job) + drawn_for(state, job, need.store)) * one[1]
        if wanted[need.store] > there:
            raise NOT_HELD(f"lot {need.store}: {there} {need.unit} there, {wanted[need.store]} planned")


SCALE: dict[str, tuple[str, Decimal]] = {
    "m": ("m", Decimal(1)),
    "cm": ("m", Decimal("0.01")),
    "mm": ("m", Decimal("0.001")),
    "m2": ("m2", Decimal(1)),
    "cm2": ("m2", Decimal("0.0001")),
    "kg": ("kg", Decimal(1)),
    "g": ("kg", Decimal("0.001")),
    "l": ("m3", Decimal("0.001")),
    "ml": ("m3", Decimal("0.000001")),
    "pieces": ("pieces", Decimal(1)),
}
"""Units lots are kept in: the unit a plan counts in, and how much of it one is."""


def _metres(amount: str, unit: str) -> Decimal | None:
    one = SCALE.get(unit, ("", Decimal(0)))
    return Decimal(amount) * one[1] if one[0] == "m" else None


def _rest(lot: str, width: str | None, outline: tuple[e.Vertex, ...], length: Decimal | None) -> None:
    """See that a width is one, and that a rectangle [m] may lie in an outline with straight sides, by its
    extent and its area. Raises Refused."""
    if width is not None and Decimal(width) <= 0:
        raise MALFORMED(f"lot {lot}: a width of {width} m")
    if not outline:
        return
    if len(outline) < 3:
        raise MALFORMED(f"lot {lot}: an outline has three corners at least")
    if width is None or length is None or any(bulge for *_, bulge in outline):
        return
    along, across = (max(v) - min(v) for v in list(zip(*outline, strict=True))[:2])
    twice = abs(
        sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, (*outline[1:], outline[0]), strict=True))
    )
    micro = Decimal(10**6)
    length, wide = length * micro, Decimal(width) * micro
    if length > along or wide > across or 2 * length * wide > twice:
        raise TOO_MUCH(f"lot {lot}: no rectangle {length / micro} m by {width} m lies in the outline")


def _returned(state: State, entry: e.Entry, what: e.LotReturned) -> None:
    lot = _lot(state, entry, what.lot)
    _new(state, what.back)
    amount = _some(what.amount)
    if what.job not in state.jobs:
        raise NO_SUCH(f"job {what.job}")
    if what.width is not None and lot.width is None:
        raise TOO_MUCH(f"lot {what.lot} has no width in the records, {what.width} m come back")
    if what.width is not None and lot.width is not None and Decimal(what.width) > Decimal(lot.width):
        raise TOO_MUCH(f"lot {what.lot} is {lot.width} m wide, {what.width} m come back")
    drawn = lot.by_job.get(what.job, Decimal(0))
    if state.rules >= 3:
        drawn -= lot.mixed.get(what.job, Decimal(0))
    if amount > drawn:
        raise TOO_LITTLE(f"job {what.job} has {drawn} {lot.received.unit} of lot {what.lot}")
    _rest(what.back, what.width, what.outline, _metres(what.amount, lot.received.unit))


def _scrapped(state: State, entry: e.Entry, what: e.LotScrapped) -> None:
    lot = _lot(state, entry, what.lot)
    if _some(what.amount) > lot.left:
        raise TOO_LITTLE(f"lot {what.lot}: {lot.left} {lot.received.unit} left")


def _corrected(state: State, entry: e.Entry, what: e.LotCorrected) -> None:
    lot = _lot(state, entry, what.lot)
    amount = _some(what.amount, none=True)
    most = Decimal(lot.received.amount) - lot.scrapped
    if state.rules >= 2 and amount > most:
        raise TOO_MUCH(f"lot {what.lot}: {most} {lot.received.unit} came in and was not scrapped")


def _reported(state: State, entry: e.Entry, what: e.RetestReported) -> None:
    lot = _lot(state, entry, what.lot)
    if what.until <= lot.expires:
        raise NOT_SECOND(f"{what.until} is not after {lot.expires}")


def _retaken(state: State, entry: e.Entry, what: e.RetestTaken) -> None:
    lot = _lot(state, entry, what.lot)
    found = lot.reports.get(what.report)
    if found is None:
        raise NO_SUCH(f"re-test of lot {what.lot} in entry {what.report}")
    report, by = found
    if by == entry.by:
        raise SAME_PERSON(f"{by} reported the re-test")
    if what.until != report.until or what.until <= lot.expires:
        raise NOT_SECOND(f"{what.until}; reported {report.until}, in force {lot.expires}")


def _instrument(state: State, entry: e.Entry, what: e.InstrumentKnown) -> None:
    known = state.instruments.get(what.instrument)
    if known is not None and known.what != what.what:
        raise TAKEN(f"{what.instrument} is a {known.what}")


def _least(state: State, entry: e.Entry, what: e.StockLeast) -> None:
    _some(what.amount, none=True)


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.LotReceived: _received,
    e.LotMoved: _moved,
    e.LotOpened: _opened,
    e.LotIssued: _issued,
    e.LotReturned: _returned,
    e.LotReserved: _reserved,
    e.LotScrapped: _scrapped,
    e.LotCorrected: _corrected,
    e.RetestReported: _reported,
    e.RetestTaken: _retaken,
    e.InstrumentKnown: _instrument,
    e.StockLeast: _least,
}
