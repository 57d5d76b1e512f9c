"""A job and the entries it names become the typed document that the stages read; one step, nothing kept."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import date

from panelmend.document.answers import paths_answered, with_answers
from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import VERSION, Document
from panelmend.document.odd_units import odd_units
from panelmend.document.people import answers_for
from panelmend.document.places import Path
from panelmend.document.reader import Loaded, OpenedFile
from panelmend.document.shelved import Carried, Shelved, Statement
from panelmend.document.typed_out import typed_out
from panelmend.errors import Finding
from panelmend.shelves import checks, dated, grounds
from panelmend.shelves.accepting import accepted
from panelmend.shelves.beyond import plies_lent
from panelmend.shelves.choose import Chosen
from panelmend.shelves.contents import row_faults
from panelmend.shelves.deviate import Departure, depart
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.hands import Turn, hand_of, typed_document
from panelmend.shelves.job import ShelvedJob, Shelves
from panelmend.shelves.model import Seen
from panelmend.shelves.packed_with import packed_entries
from panelmend.shelves.referenced import OfJob
from panelmend.shelves.rows import DamageSizes, Measure, chosen_rows, sizes_kept
from panelmend.shelves.sections import bring_materials, take_sections
from panelmend.shelves.sheets import Practice, practice_of, practice_values


def resolved(
    opened: OpenedFile, shelves: Shelves | None, measure: Measure, *, beyond: bool = False
) -> Loaded:
    """The typed document of a job, as one in a single file would give it.

    Args:
        opened: the job.
        shelves: where its entries are read; None where there are none.
        measure: sizes of the damage of a document; called only where a table of the data goes by size.
        beyond: for a request alone: where a table holds no such damage the plan is stopped (X538), and its
            last row stands in.

    Raises:
        DocumentError: with every fault of the job and of its entries, each with its file and line.
    """
    job = ShelvedJob(opened, shelves)
    job.beyond = beyond
    data = take_sections(job)
    job.stop()
    bring_materials(job)
    job.raw["panelmend"] = VERSION
    turned = hand_of(job)
    job.stop()
    chosen: list[Chosen] = []
    sizes: DamageSizes | None = None
    if data is not None and data.typed.choose:
        chosen, sizes = chosen_rows(job, data, turned, measure)
        if not data.is_checked:  # nobody has looked at the rows that another damage would choose
            for path, error in row_faults(data):
                job.wrong_in(data, path, error)
            job.stop()
        bring_materials(job)
    engineer = answers_for(job.raw.get("people"))
    departures, wrong = depart(
        job.raw, job.head.deviation, job.from_shelf, engineer, mirrored=turned is not None
    )
    job.found += wrong
    for i, d in enumerate(job.head.deviation):
        departure = next((x for x in departures if x.given is d), None)
        if departure is not None:
            note = f" (deviation: {d.reason}; the shelf has {departure.was})"
            job.standing.rule(departure.path, 0, ("deviation", i, "value"), note)
    job.stop()
    if sizes is not None and departures:
        job.found += sizes_kept(job, turned, measure, sizes, ("deviation", 0, "value"))
        job.stop()
    job.raw, wrong = with_answers(job.raw)
    job.found += wrong
    job.stop()
    for path, at in paths_answered(job.raw).items():
        job.answered = (*job.answered, tuple(map(str, path[1:])))
        for inner in (path, (*path, "value")):
            job.standing.rule(inner, 0, at, " (engineering's answer)")
    if sizes is not None and job.answered:
        job.found += sizes_kept(job, turned, measure, sizes, ("answer", 0, "value"))
        job.stop()
    bring_materials(job)  # of deviations and answers, too
    practice = practice_of(job)  # held against the materials that the job is done with
    job.stop()
    for side in plies_lent(job.raw) if beyond else ():
        words = f"the data gives no repair plies for the skin on the {side}"
        job.told.append(checks.X538(words, place=f"data.plies.{side}"))
    document = typed_document(job, turned, whole=True)
    job.found += _not_yet(job, document.repair.work_date)
    job.stop()
    job.standing.of_document(document)
    taken = accepted(
        job.head.accept,
        [e for group in job.entries.values() for e in group],
        answers_for(document.people.model_dump()),
        OfJob.of(job.raw),
    )
    job.found += taken.faults
    job.stop()
    packed, wrong = packed_entries(job.head, opened.text)
    job.found += wrong
    job.stop()
    told = _findings(job, document, departures, practice, chosen, turned)
    statements = [*job.statements, *(t for t in told if isinstance(t, Statement))]
    statements += [*(d.statement for d in departures if d.statement is not None), *taken.statements]
    entries = [e for group in job.entries.values() for e in group]
    others = _others(job)
    shelved = Shelved(
        str(getattr(shelves, "root", "")),
        tuple(_carried(e, taken=True) for e in entries) + tuple(_carried(e, taken=False) for e in others),
        job.standing,
        (*(t for t in told if isinstance(t, Finding)), *taken.findings),
        practice_values(document),
        practice.compared,
        tuple(statements),
        frozenset(taken.values),
        packed,
        job.head.packed_with.repair if job.head.packed_with is not None else "",
    )
    return Loaded(
        opened.name,
        opened.text,
        _digest(opened, shelved),
        document,
        shelved,
        odd_units(job.raw),
        opened.damages,
        opened.joined,
        typed_out(job.raw),
    )


def _not_yet(job: ShelvedJob, day: date) -> Iterator[Fault]:
    """Deviations and kept entries that are dated after the day of the work."""
    said: list[tuple[str, int, Seen]] = [("deviation", i, d) for i, d in enumerate(job.head.deviation)]
    said += [("keep", i, k) for i, k in enumerate(job.head.keep)]
    said += [("accept", i, a) for i, a in enumerate(job.head.accept)]
    at: list[tuple[Path, Seen]] = [((name, i), x) for name, i, x in said]
    at += [(("zone_said",), job.head.zone_said)] if job.head.zone_said is not None else []
    for path, key, on in ((p, key, getattr(x, key)) for p, x in at for key in ("on", "checked_on")):
        if on is not None and on > day:
            words = "dated after the day of the work"
            yield fault_at((*path, key), words, str(on), f"{day} or earlier")


def _digest(opened: OpenedFile, shelved: Shelved) -> str:
    rows = sorted(f"{e.file} {e.digest} {e.taken}" for e in shelved.entries)
    return hashlib.sha256("\n".join([opened.digest, *rows]).encode("utf8")).hexdigest()


def _carried(entry: ShelfEntry, *, taken: bool) -> Carried:
    head = entry.head
    check = head.check
    by = ""
    if check is not None and entry.is_checked:
        by = f"{check.by} on {check.on} against {check.against}"
    return Carried(head.shelf, head.name, head.revision, entry.file, entry.digest, entry.data, taken, by)


def _others(job: ShelvedJob) -> list[ShelfEntry]:
    """The entries that take the place of those used, and later issues of their manual; carried, so that the
    plan can be told again, and that who signs later is told only of what came since."""
    if job.shelves is None:
        return []
    taken = {e.file for group in job.entries.values() for e in group}
    found: dict[str, ShelfEntry] = {}
    for group in job.entries.values():
        for entry in group:
            for other in job.shelves.superseding(entry):
                if other.file not in taken:
                    found[other.file] = other
    for data in job.entries.get("data", []):
        for other in checks.later_than(data, job.shelves.issues()):
            if other.file not in taken:
                found[other.file] = other
    return list(found.values())


def _findings(
    job: ShelvedJob,
    document: Document,
    departures: list[Departure],
    practice: Practice,
    chosen: list[Chosen],
    turn: Turn | None,
) -> tuple[Finding | Statement, ...]:
    day, engineer = document.repair.work_date, answers_for(document.people.model_dump())
    found: list[Finding | Statement] = []
    of_job = OfJob.of(job.raw)
    entries = [e for group in job.entries.values() for e in group]
    found += checks.check_findings(entries)
    found += checks.record_findings(entries, day)
    found += dated.stale_findings(entries, day)
    found += dated.early_findings(entries)
    found += grounds.stroke_findings(entries, job.head)
    for entry in entries:
        path = f"shelves.{entry.head.shelf}.{entry.head.name}"
        found += checks.day_findings(entry, day, path)
        if job.shelves is not None:
            others = job.shelves.superseding(entry)
            found += checks.superseded(entry, others, day, job.head.keep, engineer, path, of_job)
    for data in job.entries.get("data", []):
        found += checks.fitting(data, document.panel.part_number)
        found += grounds.zone_findings(data, job.head)
        if job.shelves is not None:
            told = {o.file for o in job.shelves.superseding(data)}
            found += checks.later_issues(data, [o for o in job.shelves.issues() if o.file not in told])
    found += checks.departure_findings(departures)
    found += checks.practice_findings(practice.ended, day)
    found += checks.elsewhere_findings(practice.elsewhere)
    found += job.told
    found += [checks.X112(c.words, place=f"choose[{c.table + 1}]") for c in chosen]
    if turn is not None:
        hand, kept = job.head.use.hand, turn.data and bool(job.answered)
        found.append(checks.turned(turn.panel, turn.data, document.panel.part_number, hand, kept=kept))
    found += checks.gave(entries)
    return tuple(found)
