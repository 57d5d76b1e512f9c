"""The papers that entries name."""

from __future__ import annotations

import sqlalchemy as sa

from panelmend.records import events as e
from panelmend.records.doing.reported import PLAN, agrees
from panelmend.records.refusals import MALFORMED, NO_PAPER
from panelmend.records.store.tables import PAPERS

_NAMING = frozenset(
    {
        e.JobOpened,
        e.JobRevised,
        e.FileKept,
        e.Transcribed,
        e.VerdictKept,
        e.RetestReported,
        e.CouponTested,
        e.DeviationDecided,
    }
)

_ONE = sa.select(PAPERS.c.digest, PAPERS.c.data).where(PAPERS.c.digest == sa.bindparam("wanted"))


def named(event: e.Event) -> tuple[str, ...]:
    """Digests of the papers an event names; they must be in the records."""
    if type(event) not in _NAMING:
        return ()
    if isinstance(event, e.SignedPlan):
        return (event.document, *event.pages.values())
    if isinstance(event, e.FileKept):
        return (event.digest,)
    if isinstance(event, e.Transcribed):
        return (event.scan,)
    if isinstance(event, e.VerdictKept):
        return (event.log, event.report)
    if isinstance(event, e.RetestReported | e.CouponTested):
        return (event.paper,)
    if isinstance(event, e.DeviationDecided) and event.paper is not None:
        return (event.paper,)
    return ()


def look_at_papers(connection: sa.Connection, event: e.Event) -> None:
    """See that an event says what its papers say. Raises Refused."""
    if type(event) in _NAMING and isinstance(event, e.VerdictKept | e.SignedPlan):
        wanted = event.report if isinstance(event, e.VerdictKept) else event.pages.get(PLAN)
        rows = connection.execute(_ONE, {"wanted": wanted}) if wanted is not None else ()
        agrees(event, {str(d): bytes(p) for d, p in rows})


def papers_there(connection: sa.Connection, event: e.Event) -> None:
    """See that the papers an event names are in the records. Raises Refused."""
    for digest in named(event):
        found = connection.execute(sa.select(PAPERS.c.digest).where(PAPERS.c.digest == digest)).scalar()
        if found is None:
            raise NO_PAPER(digest[:12])
    if isinstance(event, e.FileKept):
        size = connection.execute(
            sa.select(sa.func.length(PAPERS.c.data)).where(PAPERS.c.digest == event.digest)
        ).scalar()
        if size != event.size:
            raise MALFORMED(f"{event.name}: {event.size} bytes said, {size} kept")
