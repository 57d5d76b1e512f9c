"""Findings on what a job took from its shelves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from panelmend.document.people import maybe_same, same_person
from panelmend.document.shelved import Statement
from panelmend.errors import Finding, caution_code, confirm_code, note_code, stop_code
from panelmend.shelves.deviate import Departure
from panelmend.shelves.differ import Differing, differing
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.model import Keep, PracticeRow
from panelmend.shelves.names import bare, tidy_name
from panelmend.shelves.referenced import OfJob, stated, unseen_finding

X101 = confirm_code(
    "X101",
    "Nobody has checked a shelf entry",
    "have a second person check it against its paper: panelmend shelf check",
)
X102 = confirm_code(
    "X102",
    "A shelf entry was changed after it was checked",
    "have it checked again, or put back what was checked; panelmend shelf compare shows the difference",
)
X103 = stop_code(
    "X103",
    "A shelf entry is superseded",
    "name the entry that replaced it, or have the engineer keep this one under [[keep]], value by value",
)
X104 = stop_code(
    "X104",
    "A shelf entry is not valid on the day of the work",
    "look up what is valid on that day; type it as an entry of its own and have it checked",
)
X105 = note_code("X105", "The shelves gave these values", "the pack carries these entries as they were read")
X106 = caution_code(
    "X106", "The job departs from a shop value", "check that the reason applies to this repair"
)
X107 = confirm_code(
    "X107",
    "The job departs from a value that is not the shop's own, and no engineer takes responsibility for it",
    "have the engineer named under people give a reference, or remove the deviation",
)
X108 = caution_code(
    "X108",
    "The job departs from a value under the engineer's reference",
    "check that the reference covers this repair and this value",
)
X109 = confirm_code(
    "X109",
    "Rows of a practice sheet are not valid on the day of the work",
    "have the sheet confirmed again, or confirm these figures in the job",
)
X390 = confirm_code(
    "X390",
    "Rows of a practice sheet are left out: they are for another bay, other data or other materials",
    "have the sheet say that they apply here too, or confirm these figures in the job",
)
X111 = caution_code(
    "X111",
    "The engineer keeps a superseded shelf entry",
    "check that the reference covers every value that is listed",
)
X112 = note_code(
    "X112",
    "The row of the data was chosen by the damage as measured",
    "compare that row with the table in the approved data",
)
X113 = note_code(
    "X113",
    "Values typed for one hand are used mirrored for the other",
    "compare outline and ply angles with the drawing of this hand",
)
X210 = note_code(
    "X210",
    "The zone was found from the outlines in the data",
    "compare it with the figure in the approved data",
)
X211 = confirm_code(
    "X211",
    "The damage lies in more than one zone, but the job names one of them",
    "have the engineer say which zone's limits apply; type zone, by, on and reference under [zone_said], "
    "and have a second person check it: panelmend shelf check",
)
X212 = caution_code(
    "X212",
    "The damage lies in more than one zone; the engineer's reference says which one counts",
    "check that the reference covers this damage and this zone",
)
X213 = stop_code(
    "X213",
    "The approved data is for other panels",
    "use the repair for this panel; if the manual itself says that the repair is for this part number, type "
    "that in the data's entry (panels = [...] under [entry]) and have it checked again; otherwise ask for "
    "data for this panel",
)
X214 = caution_code(
    "X214",
    "The data does not say which panels it is for",
    "check in the manual that it is for this part number; type panels = [...] under [entry] of its file",
)
X350 = caution_code(
    "X350",
    "The job and its bay name different engineers",
    "check that this engineer may answer for the approved data here",
)
X465 = confirm_code(
    "X465",
    "A shelf entry was typed or checked after the day of the work",
    "correct the date, or the day of the work; a later check does not cover work done before it",
)
X466 = confirm_code(
    "X466",
    "One person may have both typed and checked a shelf entry",
    "write both names in full; if it was one person, have somebody else check it",
)
X467 = caution_code(
    "X467",
    "The data shelf has a later issue of the same manual",
    "check which issue is valid on the day of the work; if it is the later one, name its entry, and have it "
    "say supersedes",
)
X538 = stop_code(
    "X538",
    "The data does not cover this damage",
    "ask the engineer responsible for the data; type the answer as data of its own, with the answer's "
    "reference as its place",
)
MANY = 12  # differences in one finding; the verb that compares shows all


def check_findings(entries: Iterable[ShelfEntry]) -> Iterator[Finding]:
    """Which entries nobody checked, and which were changed since; each said once for all of them."""
    unchecked, changed = [], []
    for entry in entries:
        head = entry.head
        if head.shelf == "stores":  # what lies there changes every day: it is counted, not checked
            continue
        if head.check is None:
            unchecked.append(f"{entry.words}, typed by {head.typed_by} from {head.against}")
        elif not entry.is_checked:
            changed.append(
                f"{entry.words}: {head.check.by} checked it on {head.check.on} as {head.check.digest[:12]}; "
                f"it now is {entry.checked_digest[:12]}"
            )
    if unchecked:
        yield X101("; ".join(unchecked), place="use")
    if changed:
        yield X102("; ".join(changed), place="use")


def record_findings(entries: Iterable[ShelfEntry], day: date) -> Iterator[Finding]:
    """Records of valid checks that cannot be, or may not be, those of a second person before the work."""
    late, one = [], []
    for entry in entries:
        head, check = entry.head, entry.head.check
        if head.shelf == "stores" or check is None or not entry.is_checked:  # told by X101 and X102
            continue
        dates = [(check.on, f"checked on {check.on}"), (head.typed_on, f"typed on {head.typed_on}")]
        dates += [(r.on, f"{r.table} typed on {r.on}") for r in head.table]
        dates += [(r.on, f"{r.table} signed on {r.on}") for r in head.signed]
        said = [words for on, words in dates if on > day]
        if said:
            late.append(f"{entry.words}: {', '.join(said)}; the work is on {day}")
        who = [("", head.typed_by, check.by)]
        who += [(f" ({r.table})", r.by, check.by) for r in head.table]
        who += [(f" ({r.table})", head.typed_by, r.by) for r in head.signed]
        for what, typist, other in who:
            if not same_person(typist, other) and maybe_same(typist, other):
                one.append(f"{entry.words}{what}: typed by {typist}, checked by {other}")
    if late:
        yield X465("; ".join(late), place="use")
    if one:
        yield X466("; ".join(dict.fromkeys(one)), place="use")


def later_issues(data: ShelfEntry, others: Iterable[ShelfEntry]) -> Iterator[Finding]:
    """Entries of the same manual, by its number, of a later date, that nobody said supersede this one."""
    issue = _issue(data)
    found = [f"{o.words}, issue of {there[1]}" for o in later_than(data, others) if (there := _issue(o))]
    if found and issue is not None:
        rest = f"; and {len(found) - MANY} more" if len(found) > MANY else ""
        yield X467(
            f"{data.words}, issue of {issue[1]}; there {'; '.join(found[:MANY])}{rest}", place="use.data"
        )


def later_than(data: ShelfEntry, others: Iterable[ShelfEntry]) -> Iterator[ShelfEntry]:
    """Those of the entries that are of the same manual, by its number, and of a later date."""
    issue = _issue(data)
    for other in others:
        there = _issue(other)
        if issue is None or there is None or other.file == data.file:
            continue
        if there[0] == issue[0] and there[1] > issue[1]:
            yield other


def _issue(data: ShelfEntry) -> tuple[str, date] | None:
    """Number of the manual, letters and digits alone, and the date of its issue."""
    given = data.raw.get("data")
    manual = given.get("manual") if isinstance(given, dict) else None
    if not isinstance(manual, dict):
        return None
    number, dated = bare(str(manual.get("number", ""))), manual.get("dated")
    if isinstance(dated, str):
        try:
            dated = date.fromisoformat(dated.strip())
        except ValueError:
            return None
    return (number, dated) if number and isinstance(dated, date) else None


def day_findings(entry: ShelfEntry, day: date, path: str) -> Iterator[Finding]:
    """Whether an entry holds on a day; its first and last day are inside."""
    head = entry.head
    if head.valid_from is not None and day < head.valid_from:
        yield X104(f"{entry.words} holds from {head.valid_from}; the work is on {day}", place=path)
    if head.valid_until is not None and day > head.valid_until:
        yield X104(f"{entry.words} held until {head.valid_until}; the work is on {day}", place=path)


def superseded(
    entry: ShelfEntry,
    others: Iterable[ShelfEntry],
    day: date,
    keeps: Iterable[Keep],
    engineer: str,
    path: str,
    of_job: OfJob,
) -> Iterator[Finding | Statement]:
    """What takes the place of an entry on a day, and whether the engineer keeps it value by value; each entry
    that is kept also as what a second person is shown."""
    keeps = tuple(keeps)
    for other in others:
        if other.head.valid_from is not None and day < other.head.valid_from:
            continue
        changed = differing(entry.raw, other.raw)
        keep = next((k for k in keeps if _keeps(k, entry, other)), None)
        words = f"{entry.words} is superseded by {other.words}; {_listed(changed)}"
        if keep is None:
            yield X103(words, place=path)
            continue
        lacking = _lacking(keep, changed, engineer)
        if lacking:
            yield X103(f"{words}. It is not kept: {lacking}", place=path)
            continue
        words += f". Kept by {keep.by} on {keep.on}, reference {keep.reference}"
        kept = stated(keep, ("keep", keeps.index(keep)), _kept_lines(keep, entry, other, changed), of_job)
        yield kept
        yield unseen_finding(words, kept, path) if kept.open else X111(words, place=path)


def _kept_lines(
    keep: Keep, entry: ShelfEntry, other: ShelfEntry, changed: tuple[Differing, ...]
) -> Iterator[tuple[str, str]]:
    yield "kept", f"{entry.words} [{entry.checked_digest[:12]}]"
    yield "instead of", f"{other.words} [{other.checked_digest[:12]}]"
    for d in changed:
        yield "differs", d.words
    yield "reference", f"{keep.reference}, {keep.by}, {keep.on}"


def _keeps(keep: Keep, entry: ShelfEntry, other: ShelfEntry) -> bool:
    return tidy_name(keep.entry) == tidy_name(entry.head.name) and tidy_name(keep.instead_of) == tidy_name(
        other.head.name
    )


def _lacking(keep: Keep, changed: tuple[Differing, ...], engineer: str) -> str:
    if not (engineer and same_person(keep.by, engineer)):
        return f"{keep.by} is not the engineer named under people, or does the work or accepts it"
    paths, named = {d.path for d in changed}, set(keep.values)
    if paths - named:
        return f"not every value is accepted: {', '.join(sorted(paths - named)[:MANY])}"
    if named - paths:
        return f"these do not differ: {', '.join(sorted(named - paths)[:MANY])}"
    return ""


def _listed(changed: tuple[Differing, ...]) -> str:
    if not changed:
        return "they say the same"
    rest = f"; and {len(changed) - MANY} more" if len(changed) > MANY else ""
    return f"they differ in {len(changed)}: " + "; ".join(d.words for d in changed[:MANY]) + rest


def departure_findings(departures: Iterable[Departure]) -> Iterator[Finding]:
    """One finding for each departure, by whose value it is."""
    for d in departures:
        if d.statement is not None and d.statement.open:
            yield unseen_finding(d.words, d.statement, d.given.of)
            continue
        code = X106 if d.of_shop else X108 if d.answered else X107
        yield code(d.words, place=d.given.of)


def practice_findings(ended: Iterable[tuple[str, PracticeRow, str]], day: date) -> Iterator[Finding]:
    """One finding for each sheet with rows that do not hold on the day."""
    by_sheet: dict[str, list[str]] = {}
    for figure, row, sheet in ended:
        by_sheet.setdefault(sheet, []).append(f"{figure} (from {row.on} until {row.until})")
    for sheet, figures in by_sheet.items():
        yield X109(f"{sheet}, work on {day}: {', '.join(figures)}", place="use.practice")


def elsewhere_findings(elsewhere: Iterable[tuple[str, str, str]]) -> Iterator[Finding]:
    """One finding for each sheet with rows that are for another job."""
    by_sheet: dict[str, list[str]] = {}
    for figure, differs, sheet in elsewhere:
        by_sheet.setdefault(sheet, []).append(f"{figure}: {differs}")
    for sheet, figures in by_sheet.items():
        yield X390(f"{sheet}: {'; '.join(figures)}", place="use.practice")


def fitting(data: ShelfEntry, part_number: str) -> Iterator[Finding]:
    """Whether data is for a panel, by its part number."""
    said = data.head.panels
    if not said:
        yield X214(f"{data.words}, used on {part_number}", place="use.data")
    elif tidy_name(part_number) not in map(tidy_name, said):
        yield X213(f"{data.words} is for {', '.join(said)}; this panel is {part_number}", place="use.data")


def gave(entries: Iterable[ShelfEntry]) -> Iterator[Finding]:
    """What the shelves gave: for each shelf and each check the entries with their digests."""
    groups: dict[tuple[str, str], list[str]] = {}
    for e in entries:
        check = e.head.check
        if e.head.shelf == "stores":
            by = "as counted"
        elif check is not None and e.is_checked:
            by = f"checked by {check.by} on {check.on}"
        else:
            by = "NOT CHECKED"
        revision = f" revision {e.head.revision}" if e.head.revision else ""
        groups.setdefault((e.head.shelf, by), []).append(f"{e.head.name}{revision} [{e.digest[:12]}]")
    for (shelf, by), names in groups.items():
        yield X105(f"{shelf}, {by}: {', '.join(names)}", place=f"use.{shelf}")


def turned(panel: ShelfEntry | None, data: bool, part_number: str, hand: str, *, kept: bool) -> Finding:
    """What is the mirror image of what was typed."""
    what = []
    if panel is not None:
        what.append(f"{part_number} ({hand} hand) from {panel.words}, typed for the {panel.head.hand} hand")
    if data:
        what.append("the plies of the data, drawn for the other hand")
    said = "y and every angle changed sign, +45 is -45; no cloth is turned over"
    if kept:
        said += "; what engineering answered stands as it was typed, for the panel as it lies there"
    return X113(f"{'; '.join(what)}: {said}", place="use.hand")
