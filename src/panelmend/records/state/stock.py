"""What entries about stores come to."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import seconds_between
from panelmend.records.state.held import Batch, HeldLot
from panelmend.records.state.jobs import job_touched
from panelmend.records.state.whole import State, batch_key, number_key


def _lot(s: State, n: e.Entry, name: str) -> HeldLot:
    lot = s.lots[name]
    lot.last = max(lot.last, n.at)
    lot.touched.append(n.number)
    s.touch(f"lot {name}", n.number)
    return lot


def _received(s: State, n: e.Entry, w: e.LotReceived) -> None:
    s.numbers.add(number_key("lot", w.lot))
    key = batch_key(w.material, w.batch)
    s.batches[key] = min(s.batches.get(key, (w.expires, w.lot)), (w.expires, w.lot))
    s.lots[w.lot] = HeldLot(
        w,
        w.expires,
        Decimal(w.amount),
        "" if w.frozen else n.at,
        w.out_time,
        width=w.width,
        outline=w.outline,
    )
    _lot(s, n, w.lot)


def _moved(s: State, n: e.Entry, w: e.LotMoved) -> None:
    lot = _lot(s, n, w.lot)
    if w.frozen:  # what is entered late gives no out-time back
        lot.out_time, lot.out_since = lot.out_at(s.latest if s.rules >= 2 else n.at), ""
    elif not lot.out_since:
        lot.out_since = n.at


def _lot_opened(s: State, n: e.Entry, w: e.LotOpened) -> None:
    lot = _lot(s, n, w.lot)
    lot.opened = lot.opened or n.at


def _issued(s: State, n: e.Entry, w: e.LotIssued) -> None:
    lot = _lot(s, n, w.lot)
    lot.left -= Decimal(w.amount)
    lot.by_job[w.job] = lot.by_job.get(w.job, Decimal(0)) + Decimal(w.amount)
    lot.opened = lot.opened or n.at  # what is drawn from was opened
    if w.job in lot.reserved:  # what is drawn was kept for it
        lot.reserved[w.job] = max(Decimal(0), lot.reserved[w.job] - Decimal(w.amount))
    lot.issues.append((w.job, n.at, lot.out_at(n.at)))
    job = job_touched(s, n, w.job)
    job.now(w.step).issued.append((w, n.at, lot.out_at(n.at)))


def _returned(s: State, n: e.Entry, w: e.LotReturned) -> None:
    lot = _lot(s, n, w.lot)
    lot.by_job[w.job] -= Decimal(w.amount)
    received = lot.received.model_copy(update={"lot": w.back, "amount": w.amount, "expires": lot.expires})
    # what was at the bench was out since it was drawn: it ages from then, whatever the rest of the lot did
    until = s.latest if s.rules >= 2 else n.at
    out = max(gone + max(0, seconds_between(at, until)) for job, at, gone in lot.issues if job == w.job)
    s.lots[w.back] = HeldLot(
        received,
        lot.expires,
        Decimal(w.amount),
        "" if w.frozen else n.at,
        out,
        lot.opened,
        parent=w.lot,
        width=w.width or lot.width,
        outline=w.outline,
    )
    lot.children.append(w.back)
    s.numbers.add(number_key("lot", w.back))
    _lot(s, n, w.back)
    job_touched(s, n, w.job)


def _reserved(s: State, n: e.Entry, w: e.LotReserved) -> None:
    _lot(s, n, w.lot).reserved[w.job] = Decimal(w.amount)
    s.keeping.setdefault(w.job, set()).add(w.lot)
    job_touched(s, n, w.job)


def _mixed(s: State, n: e.Entry, w: e.BatchMixed) -> None:
    job = job_touched(s, n, w.job)
    job.now(w.step).mixed.append((w, n.number))
    job.workers.add(n.by)
    s.mixed[w.batch] = Batch(w, n.at, n.by, n.number)
    s.numbers.add(number_key("batch", w.batch))
    s.touch(f"batch {w.batch}", n.number)
    for part in w.parts:
        lot = _lot(s, n, part.lot)
        lot.mixed[w.job] = lot.mixed.get(w.job, Decimal(0)) + Decimal(part.amount)


def _label(s: State, n: e.Entry, w: e.LabelSeen) -> None:
    job = job_touched(s, n, w.job)
    job.now(w.step).labels.append((w, n.number))
    job.workers.add(n.by)


def _scrapped(s: State, n: e.Entry, w: e.LotScrapped) -> None:
    lot = _lot(s, n, w.lot)
    lot.left -= Decimal(w.amount)
    lot.scrapped += Decimal(w.amount)


def _corrected(s: State, n: e.Entry, w: e.LotCorrected) -> None:
    _lot(s, n, w.lot).left = Decimal(w.amount)


def _reported(s: State, n: e.Entry, w: e.RetestReported) -> None:
    _lot(s, n, w.lot).reports[n.number] = (w, n.by)
    s.papers.add(w.paper)


def _retaken(s: State, n: e.Entry, w: e.RetestTaken) -> None:
    lot = _lot(s, n, w.lot)
    lot.expires = w.until
    lot.reports.pop(w.report, None)


def _instrument(s: State, n: e.Entry, w: e.InstrumentKnown) -> None:
    s.instruments[w.instrument] = w
    s.calibrated.setdefault(w.instrument, []).append((n.at, w.due))
    s.touch(f"instrument {w.instrument}", n.number)


def _least(s: State, n: e.Entry, w: e.StockLeast) -> None:
    s.least[w.material] = w


TAKE: dict[type, Callable[[State, e.Entry, Any], None]] = {
    e.LotReceived: _received,
    e.LotMoved: _moved,
    e.LotOpened: _lot_opened,
    e.LotIssued: _issued,
    e.LotReturned: _returned,
    e.LotReserved: _reserved,
    e.BatchMixed: _mixed,
    e.LabelSeen: _label,
    e.LotScrapped: _scrapped,
    e.LotCorrected: _corrected,
    e.RetestReported: _reported,
    e.RetestTaken: _retaken,
    e.InstrumentKnown: _instrument,
    e.StockLeast: _least,
}
