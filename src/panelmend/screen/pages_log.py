"""The page of cure logs: put in, read, confirmed, judged, kept with the step that opens the bag."""

from __future__ import annotations

import contextlib
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from panelmend.app.log_watch import dwell_names
from panelmend.document import Document
from panelmend.errors import InputError, PanelmendError
from panelmend.records.state import Job
from panelmend.screen.alone import RECORDS
from panelmend.screen.api_log import SUFFIXES, reading_of
from panelmend.screen.guard import LARGEST, TOKEN
from panelmend.screen.page import THEMES, Theme, page

router = APIRouter(include_in_schema=False)


@router.get("/repairs/{name}/logs")
def logs(
    request: Request, name: str, log: Annotated[str, Query(max_length=120)] = "", theme: Theme = THEMES[0]
) -> HTMLResponse:
    """The logs; with one chosen, how it is read and what is to be said for its verdict."""
    workshop, watches = request.app.state.workshop, request.app.state.watches
    plan = workshop.open(name).made.plan
    reading, fault = None, ""
    if log:
        try:
            reading = reading_of(request, log)
        except PanelmendError as error:
            fault = str(error)
    with RECORDS:
        found = workshop.job_of(name)
        steps = cure_steps(found[1]) if found is not None else []
    return page(
        "log.html",
        theme,
        "logs",
        name=name,
        document=plan.case.document,
        plan=plan,
        sources=[s for s in watches.sources() if s.lower().endswith(SUFFIXES)],
        folder=watches.logs,
        largest=LARGEST >> 20,
        suffixes=SUFFIXES,
        log=log,
        reading=reading,
        fault=fault,
        steps=steps,
        dwells=_dwells(plan.case.document),
        holder=request.app.state.holding.person(request.scope[TOKEN]),
    )


def cure_steps(job: Job) -> list[tuple[int, str, str]]:
    """Number, title and cure of the steps that a log is kept with; none once the job is closed."""
    return [] if job.closed else [(s.number, s.title, s.cure) for s in job.opened.steps if s.cure]


def _dwells(document: Document) -> list[tuple[str, tuple[str, ...]]]:
    """Each cure with its dwells; one that cannot be judged has none."""
    out = []
    for cure in document.data.cure:
        names: tuple[str, ...] = ()
        with contextlib.suppress(InputError):
            names = dwell_names(document.data, cure)
        out.append((cure.name, names))
    return out
