"""What a judgement needs besides document and log, as people type it."""

from __future__ import annotations

import contextlib
import dataclasses
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path

from panelmend.app.log_reading import kept_read_as, proposal_of
from panelmend.curelog import ReadAs
from panelmend.document import Document
from panelmend.document.approved import Cure
from panelmend.document.people import same_person
from panelmend.errors import InputError, MissingError
from panelmend.physics import atmosphere
from panelmend.plan.judge import LeakReading
from panelmend.plan.judge.doubt import SeenOfSensor
from panelmend.plan.judge.faults_clock import UNBROKEN
from panelmend.plan.judge.rules_vacuum import GAUGES
from panelmend.units import read as read_quantity


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


def leak_of(text: str, ambient: float | None = None, clock: timedelta | None = None) -> LeakReading | None:
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
    at = moment_of(parts[4], "time of the leak test", clock) if len(parts) == 5 else None
    if gauge == "absolute":
        if ambient is None:
            raise InputError(
                "an absolute leak test needs the air pressure",
                read=repr(text)[:60],
                todo="give the barometer of the bay in the document",
            )
        start, end = ambient - start, ambient - end
    return LeakReading(start, end, seconds, gauge, text.strip(), at)


def who_ran(ran: str, technician: str) -> str:
    """Who ran the cure, in words: as typed, and whom the document names where that is another."""
    if not ran.strip() or not technician.strip() or same_person(ran, technician):
        return ran.strip() or technician.strip()
    return f"{ran.strip()} as typed; the document names {technician.strip()} as technician"


def statement_of(text: str, ran: str, technician: str = "") -> SeenOfSensor:
    """A statement about a thermocouple as typed: channel; evidence; name; inspector or engineer. ``ran``: who
    ran the cure, as typed; ``technician``: whom the document names, who cannot state it either.

    Raises:
        InputError: something of it is missing, or it is by one of the two.
    """
    parts = [p.strip() for p in text.split(";")]
    if len(parts) != 4:
        raise InputError(
            "not a statement about a thermocouple",
            read=repr(text)[:60],
            expected='"channel; evidence; name; inspector" (or engineer), from somebody who did not '
            "run the cure",
        )
    if not (ran.strip() or technician.strip()):
        raise InputError(
            "a statement about a thermocouple counts only from somebody who did not run the cure",
            read=repr(text)[:60],
            todo="say who ran it: --ran NAME",
        )
    for one in (ran, technician):  # each of them refused by name
        SeenOfSensor(parts[0], parts[1], parts[2], parts[3].lower(), one.strip())
    return SeenOfSensor(parts[0], parts[1], parts[2], parts[3].lower(), who_ran(ran, technician))


def moment_of(text: str, what: str, clock: timedelta | None = None) -> datetime | None:
    """A date and time as typed, by the clock of the log; None for nothing typed.

    Args:
        text: as typed; with an offset from UTC ("+02:00" or "Z") it is told by the clock of the log.
        what: for the words of a refusal.
        clock: how far the clock of the log is ahead of UTC, None where its stamps do not say.

    Raises:
        InputError: no date and time, or an offset where the log has none to compare with.
    """
    if not text.strip():
        return None
    made: datetime | None = None
    with contextlib.suppress(ValueError):
        made = datetime.fromisoformat(text.strip())
    if made is None or len(text.strip()) < 15:
        raise InputError(
            what,
            read=repr(text)[:40],
            expected="date and time by the clock of the log, such as 2026-11-25 08:10",
        )
    if made.tzinfo is None:
        return made
    if clock is None:
        raise InputError(
            what,
            read=repr(text)[:40],
            expected="a time by the clock of the log: its stamps carry no offset from UTC",
            todo="leave the offset out, or answer the zone of the log",
        )
    return made.astimezone(timezone(clock)).replace(tzinfo=None)


def clock_of(started: str) -> timedelta | None:
    """How far the clock a log is told by is ahead of UTC; None where the log does not say."""
    if not started or started.startswith("T"):
        return None
    return datetime.fromisoformat(started).utcoffset()


UNDATED = ("elapsed", "time of day")  # forms of time without a date


@dataclass(frozen=True)
class Request:
    """What a judgement needs besides document and log, as typed. ``by``: who answers for it; ``signed``: who
    gave their own secret for what they state of a gauge; ``watch``: dwells by a watch on the wall;
    ``set_to``: the time between readings that the logger was set to."""

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
    gauge_seen: tuple[str, ...] = ()
    signed: tuple[str, ...] = ()
    watch: tuple[str, ...] = ()
    set_to: str = ""


def gauges_seen(request: Request, how: ReadAs, technician: str, known: set[str]) -> tuple[SeenOfSensor, ...]:
    """What inspectors or engineers state of how vacuum gauges count: channel; how it counts; evidence; name;
    inspector or engineer. It counts only from a second person, not from who answered how the log is read, and
    only where it says the same as that answer.

    Raises:
        InputError, MissingError: something of it is missing or differs, or it is of no channel of the log.
    """
    return tuple(_gauge_seen(x, request, how, technician, known) for x in request.gauge_seen)


def _gauge_seen(text: str, request: Request, how: ReadAs, technician: str, known: set[str]) -> SeenOfSensor:
    parts = [p.strip() for p in text.split(";")]
    if len(parts) != 5 or parts[1].lower() not in GAUGES:
        raise InputError(
            "not a statement about a gauge",
            read=repr(text)[:60],
            expected='"channel; below ambient (or absolute); certificate; name; inspector (or engineer)"',
        )
    counts = parts.pop(1).lower()
    said = statement_of("; ".join(parts), request.ran, technician)
    if said.channel not in known:
        raise MissingError(f"no channel is called {said.channel!r}; there are: {', '.join(sorted(known))}")
    answered = how.by or request.by
    if not answered.strip() or same_person(said.by, answered):
        raise InputError(
            "who answered how the log is read cannot be the second person for the gauge"
            if answered.strip()
            else "nobody is named who answered how the log is read, so a second person cannot be told apart",
            where=said.channel,
            read=said.by,
            expected="an inspector or engineer who did not answer it",
            todo="say who answered: --by NAME",
        )
    signed = any(same_person(said.by, x) for x in request.signed)
    senses = {c.name: c.sense for c in how.columns}
    read_as = senses.get(said.channel, "")
    if counts != ("absolute" if read_as == "absolute" else "below ambient"):
        raise InputError(
            f"the gauge is stated as {counts}, and the log is read as {read_as or 'no vacuum'}",
            where=said.channel,
            read=counts,
            todo="find out which is right; confirm the reading again with the other sense",
        )
    return dataclasses.replace(said, evidence=f"{counts}, {said.evidence}", typed=request.by, signed=signed)


def bagged_in(document: Document, operation: str) -> bool:
    """Whether the named operation, or the only one there is, is cured under a bag; so taken where none is."""
    cures = document.data.cure
    mine = [c for c in cures if c.name == operation or (not operation and len(cures) == 1)]
    return mine[0].bagged if mine else True


def missing_of(document: Document, log: Path, request: Request) -> tuple[list[str], list[str]]:
    """What a judgement still lacks: without the first it cannot begin, without the second it ends in "cannot
    be judged"; each with the flag that gives it."""
    hard, soft = [], []
    cures = document.data.cure
    names = [c.name for c in cures]
    if request.operation not in names and (request.operation or len(cures) != 1):
        words = f"no cure operation is called {request.operation!r}" if request.operation else "the operation"
        hard.append(f"{words}: --operation, one of {', '.join(map(repr, names)) or 'none'}")
    dated = True
    try:
        dated = kept_read_as(log).time.form not in UNDATED
    except InputError as error:
        hard.append(f"{error.sentence()} (or answer here: --confirm, --answer)")
        made = proposal_of(log)
        dated = made.read_as.time.form not in UNDATED
        keys = [q.key for q in made.open({})]
        if keys:
            hard.append(f"of the reading: {', '.join(f'--answer {k!r}=...' for k in keys)}")
    bag, bagged = document.data.bag, bagged_in(document, request.operation)
    if bagged and not request.leak and bag is not None and bag.leak_drop is not None:
        soft.append(
            'the leak test: --leak "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25" (when, '
            "by the log's clock)"
        )
    if not request.vacuum_on:
        what = "the vacuum came on" if bagged else "it was covered and held, there being no bag"
        soft.append(f'when {what}: --vacuum-on "2026-11-25 08:10"')
    if not request.bag_opened:
        what = "the bag was opened" if bagged else "what held it was taken off"
        soft.append(f'when {what}: --bag-opened "2026-11-25 14:30"')
    if not request.began and not dated:
        soft.append('when the log began, which carries no date: --began "2026-11-25 08:00"')
    if not request.watch:
        soft.append(
            "by a clock on the wall, when the slowest was in the band and when the dwell was ended: "
            '--dwell-watch "10:02; 12:06"'
        )
    if not request.by:
        soft.append("who answers for these: --by NAME")
    return hard, soft


def longest_gap_of(cure: Cure, typed: str) -> float | None:
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
