"""What users do with cure logs: see how one would be read, confirm it, judge it, follow it while it grows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from panelmend.app.service import load
from panelmend.curelog import Proposal, ReadAs, propose, read
from panelmend.document import Document, catalogue_of
from panelmend.document.approved import Cure
from panelmend.errors import InputError, MissingError, OutputError
from panelmend.files import replace_whole
from panelmend.materials.cure_law import glass_of, law_of
from panelmend.physics import atmosphere
from panelmend.plan.judge import CureReport, LeakReading, Resin, judge, make_report
from panelmend.plan.judge.approved import recipe_of
from panelmend.render.cure_report import cure_pdf
from panelmend.units import read as read_quantity


def read_as_path(log: Path) -> Path:
    """Where the confirmed reading of a log is kept: beside it."""
    return log.with_name(log.name + ".read.json")


def proposal_of(log: Path) -> Proposal:
    """How a log would be read, with the questions it leaves open."""
    return propose(log)


def confirm(log: Path, answers: Mapping[str, str], *, take_suggested: bool = False) -> ReadAs:
    """Keep how a log is read, once a person has answered what the file leaves open.

    Raises:
        InputError: a question is open or an answer is none of its choices.
        OutputError: it could not be kept.
    """
    made = propose(log)
    given = {**(made.suggested() if take_suggested else {}), **answers}
    read_as = made.confirm(given)
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
        return ReadAs.from_json(target.read_text("utf8"))
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


def leak_of(text: str) -> LeakReading | None:
    """A leak test as typed: vacuum at the start, at the end, and the time between; None for nothing typed.

    Raises:
        InputError: not three quantities.
    """
    if not text.strip():
        return None
    parts = text.split(";")
    if len(parts) != 3:
        raise InputError(
            "not a leak test",
            read=repr(text)[:60],
            expected='start; end; time between, such as "24.6 inHg; 24.2 inHg; 1 min"',
        )
    start, end, seconds = (
        read_quantity(t, k) for t, k in zip(parts, ("vacuum", "vacuum", "time"), strict=True)
    )
    return LeakReading(start, end, seconds)


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


def judge_log(
    path: Path, log: Path, operation: str = "", leak: str = "", seen: tuple[str, ...] = ()
) -> Judged:
    """Judge a cure log against an operation of a repair document, with the reading a person confirmed.

    Args:
        path: the repair document.
        log: the log.
        operation: name of the cure operation; may be left out where there is only one.
        leak: a leak test read from the gauge, as :func:`leak_of` reads it.
        seen: thermocouples whose fault a person has seen with own eyes.
    """
    document = load(path).document
    recipe = recipe_of(document.data, cure_named(document, operation))
    measured = read(log, kept_read_as(log))
    known = {c.name for c in measured.channels}
    for name in seen:
        if name not in known:
            raise MissingError(f"no channel is called {name!r}; there are: {', '.join(sorted(known))}")
    verdict = judge(
        recipe,
        measured,
        ambient=air_pressure(document),
        leak=leak_of(leak),
        resin=resin_of(document),
        confirmed=seen,
    )
    return Judged(make_report(recipe, measured, verdict), document)


def write_report(judged: Judged, target: Path) -> None:
    """Write a cure report as PDF, or as JSON where the name says so.

    Raises:
        OutputError: it could not be written.
    """
    made = judged.report
    data = made.to_json().encode("utf8") if target.suffix == ".json" else cure_pdf(made, judged.document)
    replace_whole(target, data)
