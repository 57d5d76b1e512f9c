"""What people do in the stores."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from panelmend.records import events as e
from panelmend.records.book.acting import NOW, Acting, When, Who
from panelmend.records.canonical import sha256, tidy_text
from panelmend.records.refusals import MALFORMED
from panelmend.records.store.log import Taken


class StockBook(Acting):
    """Lots and instruments."""

    def receive(self, who: Who, when: When = NOW, **fields: Any) -> Taken:
        """Receive a lot; fields of :class:`panelmend.records.events.LotReceived`. Spaces and strokes are no
        batch and no certificate, and an out-time without the life it counts against is none.

        Raises:
            Refused: one of these, or any rule.
        """
        for name in ("batch", "certificate"):
            fields[name] = tidy_text(str(fields.get(name, "")))
            if fields[name] and not any(x.isalnum() for x in fields[name]):
                raise MALFORMED(f"{name}: {fields[name]!r} names none")
        if fields.get("out_time") and fields.get("out_life") is None:
            raise MALFORMED("out_time without out_life: nothing would hold the lot by it")
        return self._now(who, e.LotReceived, when, **fields)

    def move(self, who: Who, lot: str, frozen: bool, place: str, when: When = NOW) -> Taken:
        """Put a lot into the freezer, or take it out."""
        return self._now(who, e.LotMoved, when, lot=lot, frozen=frozen, place=tidy_text(place))

    def open_lot(self, who: Who, lot: str, when: When = NOW) -> Taken:
        """Open a lot; its life once opened runs."""
        return self._now(who, e.LotOpened, when, lot=lot)

    def issue(self, who: Who, lot: str, job: str, step: str, amount: str, when: When = NOW) -> Taken:
        """Issue from a lot to a step of a job."""
        return self._now(who, e.LotIssued, when, lot=lot, job=job, step=step, amount=amount)

    def take_back(
        self,
        who: Who,
        lot: str,
        back: str,
        job: str,
        amount: str,
        frozen: bool = False,
        when: When = NOW,
        *,
        width: str | None = None,
        outline: Sequence[e.Vertex] = (),
    ) -> Taken:
        """Take back what a job did not use, as a lot of its own; a remnant of a roll with its width [m] and,
        where it is no rectangle, its outline [micrometres]."""
        fields: dict[str, Any] = {"lot": lot, "back": back, "job": job, "amount": amount, "frozen": frozen}
        return self._now(who, e.LotReturned, when, width=width, outline=tuple(outline), **fields)

    def reserve(self, who: Who, lot: str, job: str, amount: str) -> Taken:
        """Keep an amount of a lot for a job in all; 0 frees it."""
        return self._now(who, e.LotReserved, lot=lot, job=job, amount=amount)

    def mix(
        self, who: Who, job: str, step: str, batch: str, parts: Mapping[str, str], life: int, when: When = NOW
    ) -> Taken:
        """Mix a batch of resin at a step: amounts by lot, in each lot's unit; its life [s]."""
        made = [{"lot": x, "amount": a} for x, a in parts.items()]
        fields: dict[str, Any] = {"job": job, "step": step, "batch": batch, "parts": made, "life": life}
        return self._now(who, e.BatchMixed, when, **fields)

    def see_label(
        self, who: Who, job: str, step: str, repair: str, piece: str, digest: str, when: When = NOW
    ) -> Taken:
        """Enter what the code of a piece's label says, as it is laid or looked at in a step."""
        fields: dict[str, Any] = {
            "job": job,
            "step": step,
            "repair": repair,
            "piece": piece,
            "digest": digest,
        }
        return self._now(who, e.LabelSeen, when, **fields)

    def make_coupon(
        self, who: Who, job: str, step: str, coupon: str, what: str, lots: Sequence[str], when: When = NOW
    ) -> Taken:
        """Enter a witness coupon laid at a step: what it is to show, which lots and batches it is of."""
        fields: dict[str, Any] = {"job": job, "step": step, "coupon": coupon, "lots": tuple(lots)}
        return self._now(who, e.CouponMade, when, what=tidy_text(what), **fields)

    def test_coupon(self, who: Who, paper: bytes, when: When = NOW, **fields: Any) -> Taken:
        """Enter what a coupon showed, with its test's report; fields of
        :class:`panelmend.records.events.CouponTested` but for ``paper``."""
        held = {k: tidy_text(v) if isinstance(v, str) else v for k, v in fields.items()}
        return self._now(who, e.CouponTested, when, {sha256(paper): paper}, paper=sha256(paper), **held)

    def scrap(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Scrap from a lot."""
        return self._now(who, e.LotScrapped, when, lot=lot, amount=amount, why=tidy_text(why))

    def correct(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Set a lot's balance to what a count found."""
        return self._now(who, e.LotCorrected, when, lot=lot, amount=amount, why=tidy_text(why))

    def report_retest(
        self, who: Who, lot: str, until: str, paper: bytes, ground: str, when: When = NOW
    ) -> Taken:
        """Report a documented re-test or extension."""
        if not any(x.isalnum() for x in ground):
            raise MALFORMED(f"ground: {ground!r} names no place in the approved data")
        fields: dict[str, Any] = {
            "lot": lot,
            "until": until,
            "paper": sha256(paper),
            "ground": tidy_text(ground),
        }
        return self._now(who, e.RetestReported, when, {sha256(paper): paper}, **fields)

    def take_retest(self, who: Who, lot: str, report: int, until: str) -> Taken:
        """Take a re-test on, as the second person."""
        return self._now(who, e.RetestTaken, lot=lot, report=report, until=until)

    def set_least(self, who: Who, material: str, amount: str, unit: str) -> Taken:
        """Say how much of a material the shop wants to have at least; 0 for none."""
        return self._now(who, e.StockLeast, material=tidy_text(material), amount=amount, unit=unit)

    def know_instrument(self, who: Who, instrument: str, what: str, certificate: str, due: str) -> Taken:
        """Enter an instrument with its calibration."""
        fields: dict[str, Any] = {
            "instrument": instrument,
            "what": tidy_text(what),
            "certificate": tidy_text(certificate),
            "due": due,
        }
        return self._now(who, e.InstrumentKnown, **fields)
