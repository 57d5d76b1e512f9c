"""What users do with cure logs: see how one would be read, confirm it, judge it, follow it while it grows."""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import numpy as np

from panelmend import __version__
from panelmend.app.service import load
from panelmend.curelog import Proposal, ReadAs, propose, read
from panelmend.document import Document, catalogue_of
from panelmend.document.approved import Cure
from panelmend.errors import InputError, MissingError, OutputError
from panelmend.files import read_kept, replace_whole
from panelmend.materials.cure_law import glass_of, law_of
from panelmend.physics import atmosphere
from panelmend.plan.judge import CureLog, CureReport, LeakReading, Outcome, Resin, Role, judge, make_report
from panelmend.plan.judge.approved import recipe_of
from panelmend.plan.judge.doubt import Statement
from panelmend.plan.judge.faults_clock import UNBROKEN
from panelmend.plan.judge.faults_replayed import stirred
from panelmend.plan.judge.report import Provenance
from panelmend.plan.judge.rules_job import Job
from panelmend.plan.judge.rules_vacuum import GAUGES
from panelmend.render.cure_report import cure_pdf
from panelmend.units import read as read_quantity
from panelmend.units import show


def read_as_path(log: Path) -> Path:
    """Where the confirmed reading of a log is kept: beside it."""
    return log.with_name(log.name + ".read.json")


def proposal_of(log: Path) -> Proposal:
    """How a log would be read, with the questions it leaves open."""
    return propose(log)


def confirm(log: Path, answers: Mapping[str, str], *, take_suggested: bool = False, by: str = "") -> ReadAs:
    """Keep how a log is read, once a person (``by``) has answered what the file leaves open.

    Raises:
        InputError: a question is open or an answer is none of its choices.
        OutputError: it could not be kept.
    """
    made = propose(log)
    given = {**(made.suggested() if take_suggested else {}), **answers}
    read_as = dataclasses.replace(made.confirm(given), by=by)
    target = read_as_path(log)
    try:
        target.write_text(read_as.to_json(), "utf8")
    except OSError as error:
        raise OutputError(f"{target} cannot be written: {error.strerror}") from None
    return read_as


def kept_read_as(log: Path) -> ReadAs:
    """The confirmed reading of a log.

    Raises:
        InputError: nobody has confirmed how it is read.
    """
    target = read_as_path(log)
    try:
        kept = ReadAs.from_json(target.read_text("utf8"))
        if not kept.head:
            raise InputError(
                "the kept reading does not say to which file it belongs",
                where=target.name,
                todo=f"look at the log and confirm again: panelmend log {log.name}",
            )
        return kept
    except FileNotFoundError:
        raise InputError(
            "nobody has confirmed how this log is read",
            where=log.name,
            expected=f"{target.name} beside it",
            todo=f"look at it and confirm: panelmend log {log.name}",
        ) from None


@dataclass(frozen=True)
class Judged:
    """A judged cure: its report, and the document it was judged by."""

    report: CureReport
    document: Document


def cure_named(document: Document, operation: str) -> Cure:
    """The cure operation of that name; the only one where none is named. Raises MissingError."""
    cures = document.data.cure
    if not operation and len(cures) == 1:
        return cures[0]
    found = [c for c in cures if c.name == operation]
    if not found:
        names = ", ".join(repr(c.name) for c in cures) or "none"
        raise MissingError(f"no cure operation is called {operation!r}; there are: {names}")
    return found[0]


def air_pressure(document: Document) -> float | None:
    """The air pressure of the bay [Pa], from its barometer or else its elevation; None without either."""
    bay = document.bay
    if bay.barometer is not None:
        return bay.barometer
    return None if bay.elevation is None else atmosphere.standard_pressure(bay.elevation)


def leak_of(text: str, ambient: float | None = None) -> LeakReading | None:
    """A leak test as typed: vacuum at the start, at the end, the time between, how the gauge counts
    ("below ambient" or "absolute"; not known when left out), and when the pump was shut off, by the clock of
    the log; None for nothing typed.

    Raises:
        InputError: not three quantities, a way to count and a moment.
    """
    if not text.strip():
        return None
    parts = [p.strip() for p in text.split(";")]
    gauge = parts[3].lower() if len(parts) >= 4 else ""
    if len(parts) not in (3, 4, 5) or gauge not in ("", *GAUGES):
        raise InputError(
            "not a leak test",
            read=repr(text)[:60],
            expected="start; end; time; how the gauge counts; when, such as "
            '"24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25" (or "absolute")',
        )
    start, end = (read_quantity(t, "vacuum") for t in parts[:2])
    seconds = read_quantity(parts[2], "time")
    at = moment_of(parts[4], "time of the leak test") if len(parts) == 5 else None
    if gauge == "absolute":
        if ambient is None:
            raise InputError(
                "an absolute leak test needs the air pressure",
                read=repr(text)[:60],
                todo="give the barometer of the bay in the document",
            )
        start, end = ambient - start, ambient - end
    return LeakReading(start, end, seconds, gauge, text.strip(), at)


def statement_of(text: str, ran: str) -> Statement:
    """A statement about a thermocouple as typed: channel; evidence; name; inspector or engineer. ``ran``: who
    ran the cure.

    Raises:
        InputError: something of it is missing.
    """
    parts = [p.strip() for p in text.split(";")]
    if len(parts) != 4:
        raise InputError(
            "not a statement about a thermocouple",
            read=repr(text)[:60],
            expected='"channel; evidence; name; inspector" (or engineer), by one who did not run the cure',
        )
    if not ran.strip():
        raise InputError(
            "a statement about a thermocouple counts only from one who did not run the cure",
            read=repr(text)[:60],
            todo="say who ran it: --ran NAME",
        )
    return Statement(parts[0], parts[1], parts[2], parts[3].lower(), ran.strip())


def moment_of(text: str, what: str) -> datetime | None:
    """A date and time as typed, by the clock of the log; None for nothing typed. Raises InputError."""
    if not text.strip():
        return None
    made: datetime | None = None
    with contextlib.suppress(ValueError):
        made = datetime.fromisoformat(text.strip())
    if made is None or made.tzinfo is not None or len(text.strip()) < 15:
        raise InputError(
            what,
            read=repr(text)[:40],
            expected="date and time by the clock of the log, such as 2026-11-25 08:10",
        )
    return made


@dataclass(frozen=True)
class Request:
    """What a judgement needs besides document and log, as typed. ``by``: who answers for it."""

    operation: str = ""
    leak: str = ""
    vacuum_on: str = ""
    bag_opened: str = ""
    began: str = ""
    by: str = ""
    seen: tuple[str, ...] = ()
    longest_gap: str = ""
    logger: str = ""
    ran: str = ""


def missing_of(document: Document, log: Path, request: Request) -> tuple[list[str], list[str]]:
    """What a judgement still lacks: without the first it cannot begin, without the second it ends in "cannot
    be judged"; each with the flag that gives it."""
    hard, soft = [], []
    cures = document.data.cure
    names = [c.name for c in cures]
    if request.operation not in names and (request.operation or len(cures) != 1):
        words = f"no cure operation is called {request.operation!r}" if request.operation else "the operation"
        hard.append(f"{words}: --operation, one of {', '.join(map(repr, names)) or 'none'}")
    try:
        kept_read_as(log)
    except InputError as error:
        hard.append(f"{error.sentence()} (or answer here: --confirm, --answer)")
    bag = document.data.bag
    if not request.leak and bag is not None and bag.leak_drop is not None:
        soft.append(
            'the leak test: --leak "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25" (when, '
            "by the log's clock)"
        )
    if not request.vacuum_on:
        soft.append('when the vacuum came on: --vacuum-on "2026-11-25 08:10"')
    if not request.bag_opened:
        soft.append('when the bag was opened: --bag-opened "2026-11-25 14:30"')
    if not request.by:
        soft.append("who answers for these: --by NAME")
    return hard, soft


def resin_of(document: Document) -> Resin | None:
    """The law of cure of the laminating resin or else of the film adhesive, where its constants are given."""
    catalogue, data = catalogue_of(document), document.data
    found = []
    if data.resin.system is not None:
        found.append(catalogue.resin(data.resin.system.value).kinetics)
    if data.plies.film_adhesive is not None:
        found.append(catalogue.adhesive(data.plies.film_adhesive.value).kinetics)
    for kinetics in found:
        if kinetics is not None:
            return Resin(law_of(kinetics), glass=glass_of(kinetics))
    return None


def judge_log(path: Path, log: Path, request: Request, today: date | None = None) -> Judged:
    """Judge a cure log against an operation of a repair document, with the reading a person confirmed. A log
    that conforms is noted beside the document, so that it serves one operation once.

    Args:
        path: the repair document.
        log: the log.
        request: operation, leak test, times of the job and the rest.
        today: the date of judging; the calendar's where it is not given.

    Raises:
        InputError, MissingError: everything that is missing, at once.
    """
    document = load(path).document
    hard, soft = missing_of(document, log, request)
    if hard:
        more = [f"for a verdict also: {x}" for x in soft]
        raise MissingError("; ".join(("this is missing: " + hard[0], *hard[1:], *more)))
    cure = cure_named(document, request.operation)
    recipe = recipe_of(document.data, cure)
    how = kept_read_as(log)
    measured = read(log, how)
    known = {c.name for c in measured.channels}
    statements = tuple(statement_of(x, request.ran or document.people.technician) for x in request.seen)
    for s in statements:
        if s.channel not in known:
            raise MissingError(f"no channel is called {s.channel!r}; there are: {', '.join(sorted(known))}")
    ambient = air_pressure(document)
    leak = leak_of(request.leak, ambient)
    beside = (cures_path(path), served_path(log))
    of_these = (served_before(x, measured, document.repair.number, cure.name) for x in beside)
    served = next((x for x in of_these if x), "")
    job = Job(
        moment_of(request.vacuum_on, "vacuum-on"),
        moment_of(request.bag_opened, "bag opening"),
        request.by,
        moment_of(request.began, "begin of the log"),
        served,
    )
    verdict = judge(
        recipe,
        measured,
        ambient=ambient,
        leak=leak,
        resin=resin_of(document),
        statements=statements,
        job=job,
        view=document.repair.units,
        longest_gap=_longest_gap(cure, request.longest_gap),
        confirmed={c.figure: f"confirmed by {c.by} on {c.on}" for c in document.confirm},
    )
    day = (today or date.today()).isoformat()
    made = make_report(recipe, measured, verdict, provenance=_provenance(log, how, document, request, day))
    if verdict.outcome is Outcome.CONFORMS:
        row = (measured, log.name, document.repair.number, cure.name, day)
        note_served(cures_path(path), *row)
        with contextlib.suppress(OutputError):  # the logs' folder may be for reading only; the report says so
            note_served(served_path(log), *row)
    return Judged(made, document)


def _longest_gap(cure: Cure, typed: str) -> float | None:
    """The longest gap that the approved data lets count [s], or a shorter one as typed; what is typed alone
    never closes a hole in the evidence. Raises InputError."""
    if not typed:
        return cure.longest_gap
    asked = read_quantity(typed, "time")
    most = cure.longest_gap if cure.longest_gap is not None else UNBROKEN
    if asked > most + 1e-6:
        raise InputError(
            "readings this far apart count as unbroken only where the approved data says so",
            where=f"--longest-gap, {cure.name}",
            read=typed,
            expected=f"{most / 60:g} min at most",
            todo="enter longest_gap with the cure in the document, from the approved data",
        )
    return asked


def _provenance(log: Path, how: ReadAs, document: Document, request: Request, day: str) -> Provenance:
    by = f", said by {request.by}" if request.by else ""
    bay = document.bay
    air = air_pressure(document)
    ground = "barometer" if bay.barometer is not None else "standard air at the bay's elevation, no barometer"
    logger = request.logger or "; ".join(
        f"{i.id} ({i.kind}), calibrated until {i.calibrated_until}"
        for i in bay.instrument
        if i.kind in ("thermocouple", "vacuum gauge", "thermometer")
    )
    times = [f"vacuum on {request.vacuum_on or 'not said'}", f"bag opened {request.bag_opened or 'not said'}"]
    if request.began:
        times.append(f"log began {request.began}")
    if request.ran or document.people.technician:
        times.append(f"cure run by {request.ran or document.people.technician}")
    cure = cure_named(document, request.operation)
    if request.longest_gap:
        times.append(f"readings count as unbroken up to {request.longest_gap}")
    elif cure.longest_gap is not None:
        times.append(f"readings count as unbroken up to {cure.longest_gap / 60:g} min ({cure.place})")
    return Provenance(
        log.name,
        how.encoding if how.form == "text" else f"workbook, sheet {how.sheet!r}",
        how.time.zone,
        tuple((c.name, c.role.value, c.unit, c.sense) for c in how.columns),
        how.by or "not said",
        f"{show(air, 'pressure', document.repair.units, decimals=1)} ({ground})"
        if air is not None
        else "not known",
        (request.leak + by) if request.leak else "not given",
        ", ".join(times) + by,
        logger or "not said",
        day,
        __version__,
    )


def cures_path(document: Path) -> Path:
    """Where it is noted which log served which operation: beside the document, ending in ``.cures.json``."""
    return document.with_suffix(".cures.json")


def served_path(log: Path) -> Path:
    """The same beside the log: a document in another folder finds it there."""
    return log.with_name(log.name + ".cures.json")


def readings_digest(log: CureLog) -> str:
    """Digest of the thermocouples' readings alone: the same for a log whose dates or remarks were changed."""
    digest = hashlib.sha256()
    for c in log.of_role(Role.THERMOCOUPLE):
        digest.update(np.round(np.nan_to_num(c.values, nan=-1.0), 6).tobytes())
    return digest.hexdigest()


SKETCH, IN_A_ROW, SAME_LOG = 128, 8, 0.5


def readings_sketch(log: CureLog) -> list[str]:
    """A small sample of the thermocouples' readings, eight rows at a time: the 128 least hashes of all such
    runs. Logs that were cut, or in which single readings were changed, keep most of it."""
    values = np.column_stack([c.values for c in log.of_role(Role.THERMOCOUPLE)])
    whole = np.round(np.nan_to_num(values, nan=-1.0) * 100.0).astype(np.int64).astype(np.uint64)
    row = np.full(len(whole), 1469598103934665603, np.uint64)
    for column in whole.T:
        row = stirred(row ^ column)
    if len(row) < IN_A_ROW:
        return []
    run = np.full(len(row) - IN_A_ROW + 1, 1099511628211, np.uint64)
    for k in range(IN_A_ROW):
        run = stirred(run ^ row[k : len(row) - IN_A_ROW + 1 + k])
    return [f"{x:016x}" for x in np.unique(run)[:SKETCH].tolist()]


def sketches_share(a: list[str], b: list[str]) -> float:
    """The share of runs of readings that two logs have in common, of both together, estimated [1]."""
    if not a or not b:
        return 0.0
    both = set(a) & set(b)
    least = sorted(set(a) | set(b))[: min(len(a), len(b), SKETCH)]
    return sum(x in both for x in least) / len(least)


def served_before(path: Path, log: CureLog, repair: str, operation: str) -> str:
    """Which other operation this log has served by the record at ``path``, in words; "" for none."""
    kept = read_kept(path, "cures", 1, "judge again").get("cures", {})
    readings, sketch = readings_digest(log), readings_sketch(log)
    for digest, row in kept.items():
        share = sketches_share(sketch, list(row.get("sketch", ())))
        if digest != log.digest and row.get("readings") != readings and share < SAME_LOG:
            continue
        if digest == log.digest and (row.get("repair"), row.get("operation")) == (repair, operation):
            return ""
        same = "" if digest == log.digest else " (the same readings under other dates or remarks)"
        if digest != log.digest and row.get("readings") != readings:
            same = f" ({100 * share:.0f} % of its readings are the same, in the same order)"
        return f"{row.get('operation')!r} of repair {row.get('repair')} on {row.get('on')}{same}"
    return ""


def note_served(path: Path, log: CureLog, name: str, repair: str, operation: str, day: str) -> None:
    """Note at ``path`` that a log has served an operation. Raises OutputError."""
    kept = read_kept(path, "cures", 1, "judge again").get("cures", {})
    if log.digest in kept:
        return
    row = {
        "file": name,
        "repair": repair,
        "operation": operation,
        "on": day,
        "readings": readings_digest(log),
        "sketch": readings_sketch(log),
    }
    whole = {"version": 1, "cures": {**kept, log.digest: row}}
    text = json.dumps(whole, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    replace_whole(path, text.encode("utf8"))


def write_report(judged: Judged, target: Path) -> None:
    """Write a cure report as PDF, or as JSON where the name says so.

    Raises:
        OutputError: it could not be written.
    """
    made = judged.report
    data = made.to_json().encode("utf8") if target.suffix == ".json" else cure_pdf(made, judged.document)
    replace_whole(target, data)
