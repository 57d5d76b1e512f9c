"""Rolls and lots against each other: times out of the freezer, last days, numbers on two materials."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.bay import Lot, Roll
from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import PRACTICE, Asked, Subject, Weighed
from panelmend.errors import PanelmendError
from panelmend.materials import Adhesive, Cloth, Resin

HOUR = 3600.0
WARMED = 1.0 * HOUR  # what is frozen warms through before it is opened, or water settles on it
NONE = "no end"  # what a confirmation repeats
SHIFT = 8.0 * HOUR  # warming, cutting and laying up to the bag


def _rows(document: Document) -> Iterator[tuple[str, Roll | Lot]]:
    for i, roll in enumerate(document.stores.roll):
        yield f"stores.roll[{i + 1}]", roll
    for i, lot in enumerate(document.stores.lot):
        yield f"stores.lot[{i + 1}]", lot


def _out(document: Document) -> Weighed:
    """Time out of the freezer: shorter than it can be, or hardly any left for the work."""
    for at, row in _rows(document):
        if row.out_life is None:
            continue
        of = Subject(at, row, row.id, source=PRACTICE)
        if row.opened:
            what, why = "time out of the freezer so far", "it was opened, and warms through before that"
            yield of.row("out_time.against_opened", what, row.out_time, "time", WARMED, because=why)
        left = row.out_life - row.out_time
        if left > 0.0:  # else it is left out of the plan, and the plan says so
            what, why = "time out of the freezer that is left", "it warms, is cut, laid and bagged in it"
            yield of.row("out_time.against_out_life", what, left, "time", SHIFT, because=why)


def _alike(document: Document) -> Weighed:
    """One material has one longest time out of the freezer, one lot of it one last day."""
    lives, days = dict[str, Roll | Lot](), dict[tuple[str, str], Roll | Lot]()
    for at, row in _rows(document):
        of = Subject(at, row, row.id, source=PRACTICE)
        first = lives.setdefault(row.material, row) if row.out_life is not None else row
        if first.out_life and row.out_life:
            share, why = row.out_life / first.out_life, f"both are of {row.material}"
            what = f"longest time out of the freezer over that of {first.id}"
            yield of.row(f"out_life.against_{first.id}", what, share, "ratio", 0.99, 1.01, because=why)
        same = days.setdefault((row.material, row.lot), row) if row.expires is not None else row
        if same.expires and row.expires:
            later, why = float((row.expires - same.expires).days), f"both are of lot {row.lot}"
            what = f"days by which it expires later than {same.id}"
            yield of.row(f"expires.against_{same.id}", what, later, "", 0.0, 0.0, because=why)


def _numbers(document: Document) -> Weighed:
    """A lot's number stands for one material."""
    first: dict[str, tuple[str, Roll | Lot]] = {}
    for at, row in _rows(document):
        _, other = first.setdefault(row.lot, (at, row))
        if other.material != row.material:
            words = f"{row.id}: lot {row.lot} of {row.material} has the number that {other.id}, "
            words += f"of {other.material}, has; usual is a number for each ({PRACTICE})"
            yield Asked(f"{at}.lot.against_{other.id}", f"{at}.lot", words, 0.0, "", row.lot)


def _endless(document: Document) -> Weighed:
    """What goes off, and what lives in a freezer: without an end typed it is taken as good for ever."""
    catalogue = catalogue_of(document)
    for at, row in _rows(document):
        try:
            known = catalogue.get(row.material)
        except PanelmendError:
            continue  # said where its name is
        film = isinstance(known, Adhesive) and known.form == "film"
        frozen = film or (isinstance(known, Cloth) and known.prepreg)
        for name, what, asked in (
            ("out_life", "longest time out of the freezer", frozen),
            ("expires", "last day", frozen or isinstance(known, Adhesive | Resin)),
        ):
            if asked and getattr(row, name) is None:
                words = f"{row.id} of {row.material}: no {what} was typed, so it counts as good for ever; "
                words += f"read it off the label; if it has none, confirm {NONE!r} ({PRACTICE})"
                yield Asked(f"{at}.{name}", f"{at}.{name}", words, 0.0, "", NONE)


CHECKS = (_out, _alike, _numbers, _endless)
