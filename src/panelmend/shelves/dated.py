"""Findings on the days of shelf entries: what goes stale, and what was typed before its paper was out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from panelmend.document.bay import Bay
from panelmend.errors import Finding, caution_code, confirm_code
from panelmend.shelves.entry import ShelfEntry

X507 = caution_code(
    "X507",
    "Values that change from day to day were typed on a shelf long before the work",
    "count the stores and read barometer, air temperature and humidity on the day of the work; type them "
    "with that day",
)
X509 = confirm_code(
    "X509",
    "Approved data was typed or checked before its revision came out",
    "check the entry against the revision that it names; correct the date of the manual, or the days of the "
    "entry",
)
STALE = 30  # days; common practice, no source
WEATHER = ("barometer", "air_temperature", "humidity")
assert set(WEATHER) <= set(Bay.model_fields)


def stale_findings(entries: Iterable[ShelfEntry], day: date) -> Iterator[Finding]:
    """What was counted or read more than :data:`STALE` days before the work."""
    found = []
    for entry in entries:
        head, bay = entry.head, entry.raw.get("bay")
        days = (day - head.typed_on).days
        if days <= STALE:
            continue
        if head.shelf == "stores":
            found.append(f"{entry.words}, {days} days before")
        read = [n for n in WEATHER if isinstance(bay, dict) and n in bay]
        if read:
            found.append(f"{', '.join(read)} of {entry.words}, {days} days before")
    if found:
        yield X507("; ".join(found), place="use")


def early_findings(entries: Iterable[ShelfEntry]) -> Iterator[Finding]:
    """Data whose records are older than the revision that it names."""
    found = []
    for entry in entries:
        dated = manual_date(entry)
        if dated is None:
            continue
        head, check = entry.head, entry.head.check
        records = [("typed", head.typed_on), *([("checked", check.on)] if check is not None else [])]
        early = [f"{what} on {on}" for what, on in records if on < dated]
        if early:
            found.append(f"{entry.words}: {', '.join(early)}; its revision is of {dated}")
    if found:
        yield X509("; ".join(found), place="use.data")


def manual_date(data: ShelfEntry) -> date | None:
    """The date of the revision that an entry of data names; None where it gives none."""
    given = data.raw.get("data")
    manual = given.get("manual") if isinstance(given, dict) else None
    dated = manual.get("dated") if isinstance(manual, dict) else None
    if isinstance(dated, str):
        try:
            return date.fromisoformat(dated.strip())
        except ValueError:
            return None
    return dated if isinstance(dated, date) else None
