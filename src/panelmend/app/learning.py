"""What the log of a cure that has run tells about what nobody had measured, for the next cure alike."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from panelmend.app.log_reading import kept_read_as
from panelmend.app.service import plan
from panelmend.curelog import read_log
from panelmend.errors import InputError, MissingError
from panelmend.long_work import Stop, Tell
from panelmend.plan.judge import CureLog
from panelmend.plan.judge.faults import Checked, check_readings
from panelmend.predict.ensemble import spots_of
from panelmend.predict.learnt import LEARNING_CASES, Learnt, Logged, Narrowed, learn
from panelmend.predict.many_cases import workers
from panelmend.predict.run_on import run_on
from panelmend.render.cure_rows import unknown_row

WIDE = 108  # characters of a line
ANEW = "Drawn anew with every lay-up, so this log says nothing of it for the next: "
CAUTION = (
    "A fit is no measurement. It stands on the model, on every other range and on the thermocouples being "
    "right; the plan goes on to say that nobody measured it."
)


@dataclass(frozen=True)
class Read:
    """What a log told, which log, and the units of the words."""

    found: Learnt
    log: str
    digest: str
    day: str
    view: str


def learn_from(
    path: Path,
    log: Path,
    operation: str,
    tell: Tell,
    stop: Stop | None,
    *,
    cases: int | None = None,
    cluster: str = "",
) -> Read:
    """What a log tells of the unknowns of an operation.

    Args:
        path: the document the cure was planned by, with its kept predictions.
        log: the log, its reading confirmed.
        operation: name of the cure; "" for the only one that is predicted.
        tell: told about progress.
        stop: set to stop.
        cases: how many are drawn; None for the usual number.
        cluster: where they run; "" for this machine.

    Raises:
        MissingError: the cure is not there or not predicted.
        InputError: the log does not fit it, has a thermocouple in doubt, or tells too little.
    """
    made = plan(path, tell, stop)
    cures = () if made.work is None else made.work.cure.operations
    known = [o for o in cures if o.problem is not None and o.prediction is not None]
    own = [o for o in known if o.name == operation] if operation else known
    if len(own) != 1:
        names = ", ".join(repr(o.name) for o in known) or "none"
        raise MissingError(
            f"no one cure to learn of ({operation or 'none named'}): --operation, one of these predicted: "
            f"{names}; what is not predicted yet is predicted by panelmend heat"
        )
    problem, prediction = own[0].problem, own[0].prediction
    assert problem is not None
    assert prediction is not None
    measured = read_log(log, kept_read_as(log))
    checked = check_readings(measured)
    spots = spots_of(prediction)
    logged = Logged(checked.log.times, _channels(checked, {s.id for s in spots}))
    count = LEARNING_CASES if cases is None else cases
    if count < LEARNING_CASES // 4:
        raise InputError("too few cases", read=f"--cases {count}", expected=f"{LEARNING_CASES // 4} at least")
    with workers(run_on(cluster), tell) as ready:
        found = learn(problem, spots, logged, cases=count, on=ready, tell=tell, stop=stop)
    return Read(found, log.name, measured.digest[:12], _day(measured), made.case.view)


def _channels(checked: Checked, planned: set[str]) -> dict[str, NDArray[np.float64]]:
    """The channels that are planned thermocouples, by their ids.

    Raises:
        InputError: one of them is lost or in doubt: its readings would be taken for the panel's.
    """
    made = {}
    for n, name in enumerate(checked.names):
        plain = name.partition("(")[0].partition("[")[0].strip().casefold()  # without its unit
        ident = next((p for p in planned if p.casefold() == plain), None)
        if ident is None:
            continue
        bad = [f for f in checked.of(name) if f.lost or f.doubt or f.sensor_lost]
        if bad:
            raise InputError(
                "a thermocouple of this log is in doubt: nothing is learnt from it",
                where=name,
                read="; ".join(str(f.finding) for f in bad[:2]),
                todo="settle it first, or leave this log alone",
            )
        made[ident] = checked.temps[:, n]
    return made


def _day(log: CureLog) -> str:
    return "" if log.started.startswith("T") else log.started[:10]


def learnt_words(read: Read) -> str:
    """What a log told, before and after, and the lines for the next document."""
    found = read.found
    head = (
        f"{read.log}, {found.operation}: {found.cases} cases held against {', '.join(found.thermocouples)}; "
        f"worth {found.worth:.0f} of them. The best misses them by {found.misfit:.1f} K root mean square."
    )
    lines = [*textwrap.wrap(head, WIDE), ""]
    if found.unsolved:
        lines += [f"{found.unsolved} more had no solution: the resin runs away.", ""]
    told = [row for row in found.rows if row.seen]
    lines.append(f"   {'what nobody measured':<46} {'before':<20} {'after':<20} middle 95 %")
    for row in found.rows:
        said = "narrowed" if row.seen else "the thermocouples do not see it"
        before, after = (_range(row, ends, read.view) for ends in (row.before, row.after))
        lines.append(f"   {row.unknown.said(read.view):<46} {before:<20} {after:<20} {said}")
    lines += ["", *textwrap.wrap(ANEW + "; ".join(u.words for u in found.afresh) + ".", WIDE), ""]
    if not told:
        return "\n".join([*lines, "Nothing is narrowed: there is nothing to carry over."])
    lines.append("For the next cure with the same panel, blanket and materials, under its [[choice.heat]]:")
    day = f" of {read.day}" if read.day else ""
    how = f"fitted to {read.log} ({read.digest}){day}, worth {found.worth:.0f} cases"
    rows = [
        f'  {{ what = "{r.unknown.name}", low = {r.after[0]:.3g}, high = {r.after[1]:.3g}, '
        f'fitted = true, how = "{how}" }},'
        for r in told
    ]
    return "\n".join([*lines, "measured = [", *rows, "]", *textwrap.wrap(CAUTION, WIDE)])


def _range(row: Narrowed, ends: tuple[float, float], view: str) -> str:
    low, high = (float(f"{v:.3g}") for v in ends)
    return unknown_row(replace(row.unknown, low=low, high=high), view)[2]
