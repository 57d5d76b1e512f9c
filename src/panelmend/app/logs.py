"""What users do with cure logs: judge one, and write its report."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from panelmend import __version__
from panelmend.app.log_answers import (
    Request,
    air_pressure,
    clock_of,
    cure_named,
    gauges_seen,
    leak_of,
    longest_gap_of,
    missing_of,
    moment_of,
    statement_of,
    who_ran,
)
from panelmend.app.log_once import cures_path, kept_beside, note_served, served_before, served_path
from panelmend.app.log_reading import kept_read_as
from panelmend.app.log_watch import set_to_of, watched_all
from panelmend.app.report_file import CURE_REPORT, as_json, check_report
from panelmend.app.service import load
from panelmend.curelog import ReadAs, read_log
from panelmend.document import Document, catalogue_of
from panelmend.errors import MissingError, OutputError
from panelmend.files import replace_whole
from panelmend.materials.cure_law import glass_of, law_of
from panelmend.plan.judge import CureReport, Outcome, ResinConstants, judge, make_report
from panelmend.plan.judge.approved import recipe_of
from panelmend.plan.judge.report import Provenance
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.said import by_utc
from panelmend.render.cure_report import cure_sheets
from panelmend.units import show


@dataclass(frozen=True)
class JudgedCure:
    """A judged cure: its report, and the document it was judged by."""

    report: CureReport
    document: Document


def resin_of(document: Document) -> ResinConstants | None:
    """The law of cure of the laminating resin or else of the film adhesive, where its constants are given."""
    catalogue, data = catalogue_of(document), document.data
    found = []
    if data.resin.system is not None:
        found.append(catalogue.resin(data.resin.system.value).kinetics)
    if data.plies.film_adhesive is not None:
        found.append(catalogue.adhesive(data.plies.film_adhesive.value).kinetics)
    for kinetics in found:
        if kinetics is not None:
            return ResinConstants(law_of(kinetics), glass=glass_of(kinetics))
    return None


def judge_log(path: Path, log: Path, request: Request, today: date | None = None) -> JudgedCure:
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
    measured = read_log(log, how)
    known = {c.name for c in measured.channels}
    statements = tuple(statement_of(x, request.ran, document.people.technician) for x in request.seen)
    for s in statements:
        if s.channel not in known:
            raise MissingError(f"no channel is called {s.channel!r}; there are: {', '.join(sorted(known))}")
    gauge_seen = gauges_seen(request, how, document.people.technician, known)
    ambient = air_pressure(document)
    clock = clock_of(measured.started)
    leak = leak_of(request.leak, ambient, clock)
    beside = kept_beside(path, log)
    of_these = (served_before(x, measured, document.repair.number, cure.name) for x in beside)
    served = next((x for x in of_these if x), "")
    job = JobTimes(
        moment_of(request.vacuum_on, "vacuum-on", clock),
        moment_of(request.bag_opened, "bag opening", clock),
        request.by,
        moment_of(request.began, "begin of the log", clock),
        served,
        watched_all(request.watch, tuple(s.name for s in recipe.dwells())),
        set_to_of(request.set_to),
        bagged=cure.bagged,
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
        longest_gap=longest_gap_of(cure, request.longest_gap),
        gauge_seen=gauge_seen,
        confirmed={c.figure: f"confirmed by {c.by} on {c.on}" for c in document.confirm if not c.sheet},
    )
    day = (today or date.today()).isoformat()
    made = make_report(
        recipe,
        measured,
        verdict,
        provenance=_provenance(log, how, document, request, day, clock),
        view=document.repair.units,
    )
    if verdict.outcome is Outcome.CONFORMS:
        row = (measured, log.name, document.repair.number, cure.name, day)
        note_served(cures_path(path), *row)
        with contextlib.suppress(OutputError):  # the logs' folder may be for reading only; the report says so
            note_served(served_path(log), *row)
    return JudgedCure(made, document)


def _provenance(
    log: Path, how: ReadAs, document: Document, request: Request, day: str, clock: timedelta | None
) -> Provenance:
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
    times += [f"dwell by a clock on the wall {x}" for x in request.watch]
    if request.set_to:
        times.append(f"logger set to {request.set_to}")
    if request.ran or document.people.technician:
        times.append(f"cure run by {who_ran(request.ran, document.people.technician)}")
    cure = cure_named(document, request.operation)
    if request.longest_gap:
        times.append(f"readings count as unbroken up to {request.longest_gap}")
    elif cure.longest_gap is not None:
        times.append(f"readings count as unbroken up to {cure.longest_gap / 60:g} min ({cure.place})")
    return Provenance(
        log.name,
        how.encoding if how.form == "text" else f"workbook, sheet {how.sheet!r}",
        _zone(how, clock),
        tuple((c.name, c.role.value, c.unit, c.sense) for c in how.columns),
        _answered(how, request),
        f"{show(air, 'pressure', document.repair.units, decimals=1)} ({ground})"
        if air is not None
        else "not known",
        (request.leak + by) if request.leak else "not given",
        ", ".join(times) + by,
        logger or "not said",
        day,
        __version__,
    )


def _answered(how: ReadAs, request: Request) -> str:
    """Who answered how a log is read, and which answers were taken as they were suggested."""
    who = how.by or (f"nobody by name; taken over by {request.by}, who judged" if request.by else "not said")
    return f"{who}; as suggested: {', '.join(how.suggested)}" if how.suggested else who


def _zone(how: ReadAs, clock: timedelta | None) -> str:
    """Which clock the times of a log are told by, and where that comes from."""
    if how.time.form == "epoch":
        return "UTC: the log counts from 1970"
    if how.time.zone != "stamped" or clock is None:
        return how.time.zone
    return f"{by_utc(clock)}, as the first stamp carries it"


def write_report(judged: JudgedCure, target: Path) -> None:
    """Write a cure report as PDF, or as JSON where the name says so.

    Raises:
        InputError: the name ends in neither or is that of another file.
        OutputError: it could not be written.
    """
    check_report(target, CURE_REPORT)
    made = judged.report
    data = made.to_json().encode("utf8") if as_json(target) else cure_sheets(made, judged.document).pdf()
    replace_whole(target, data)
