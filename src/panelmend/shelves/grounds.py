"""What the records of a job and its entries stand on: papers named by a stroke, zones that nobody drew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from panelmend.document.crossed.grounds import says_little
from panelmend.errors import Finding, caution_code, confirm_code
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.model import JobHead

X580 = confirm_code(
    "X580",
    "A paper, a place or a reason is typed as a single character",
    "type it so that somebody else can find the paper: its number, issue and sheet; for a reason, say what "
    "it is",
)
X581 = caution_code(
    "X581",
    "The job typed the zone: the data has no outline to check it against the damage",
    "check on the figure of the approved data which zone the damage is in; draw the zones in the entry "
    "([[zone]]), and the damage finds its own",
)
MANY = 12  # named in one finding


def stroke_findings(entries: Iterable[ShelfEntry], head: JobHead) -> Iterator[Finding]:
    """One finding for all records that name a paper, a place or a reason by fewer than two characters."""
    said = [(f"deviation[{i + 1}].reason", d.reason) for i, d in enumerate(head.deviation)]
    said += [(f"deviation[{i + 1}].reference", d.reference) for i, d in enumerate(head.deviation)]
    said += [(f"keep[{i + 1}].reference", k.reference) for i, k in enumerate(head.keep)]
    said += [(f"accept[{i + 1}].reference", a.reference) for i, a in enumerate(head.accept)]
    said += [("zone_said.reference", head.zone_said.reference)] if head.zone_said is not None else []
    said.append(("use.zone_reference", head.use.zone_reference))
    for entry in entries:
        said += [(f"{entry.words}, {name}", text) for name, text in _grounds_of(entry)]
    found = [f'{name} "{text}"' for name, text in said if says_little(text)]
    if found:
        rest = f"; and {len(found) - MANY} more" if len(found) > MANY else ""
        yield X580("; ".join(found[:MANY]) + rest, place="use")


def _grounds_of(entry: ShelfEntry) -> Iterator[tuple[str, str]]:
    head = entry.head
    yield "against", head.against
    if head.check is not None:
        yield "check.against", head.check.against
    for i, row in enumerate(head.table):
        yield f"table[{i + 1}].place", row.place
    for i, signed in enumerate(head.signed):
        yield f"signed[{i + 1}].against", signed.against
    for i, zone in enumerate(entry.typed.zone):
        yield f"zone[{i + 1}].place", zone.place
    for i, table in enumerate(entry.typed.choose):
        yield f"choose[{i + 1}].place", table.place
    for i, row_ in enumerate(entry.typed.practice):
        yield f"practice[{i + 1}].conditions", row_.conditions
        yield f"practice[{i + 1}].reason", row_.reason


def zone_findings(data: ShelfEntry, head: JobHead) -> Iterator[Finding]:
    """That the zone of a job is held against nothing: its data draws none, or goes by none."""
    zone, tables = head.use.zone.strip(), [t for t in data.typed.choose if "zone" in t.by]
    if data.typed.zone or not (zone or head.use.zone_reference.strip()):
        return
    if tables:
        named = sorted({z for t in tables for row in t.row for z in row.zone})
        places = ", ".join(dict.fromkeys(t.place for t in tables))
        words = f"zone {zone} of {', '.join(named)} ({places}); {data.words} has no zone outlines"
    else:
        words = f"zone {zone or 'not typed'}; {data.words} does not use zones, so the zone chose nothing"
    yield X581(words, place="use.zone")
