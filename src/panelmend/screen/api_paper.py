"""The paper of an engineer's decision: put in before it is signed, kept in the records with it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel

from panelmend.records.refusals import NO_SUCH
from panelmend.screen import papers
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Digest, Name
from panelmend.screen.api_bench import Bytes, FileName, InDeviation
from panelmend.screen.api_card import book_and_job
from panelmend.screen.uploads import KINDS, checked

router = APIRouter(prefix="/api", responses=DOCUMENTED)


class PaperWaits(BaseModel):
    """A paper that is there whole, for the decision that names its digest."""

    digest: str


@router.put("/repairs/{name}/deviations/{deviation}/paper", operation_id="put_paper")
def put_paper(
    request: Request,
    name: Name,
    deviation: InDeviation,
    file: Annotated[FileName, Query()],
    digest: Annotated[Digest, Query(description="SHA-256 of the file, made on the device")],
    data: Bytes,
) -> PaperWaits:
    """Put in the paper that a decision will rest on; it is kept once the decision is signed."""
    checked(file, data, digest)
    with RECORDS:
        _, job = book_and_job(request, name)
        if deviation not in job.deviations:
            raise NO_SUCH(f"deviation {deviation}")
        papers.keep_paper(request, digest, data)
    return PaperWaits(digest=digest)


@router.get(
    "/repairs/{name}/deviations/{deviation}/paper", operation_id="decision_paper", response_class=Response
)
@alone
def decision_paper(request: Request, name: Name, deviation: InDeviation) -> Response:
    """The paper a decision rests on, to be put down."""
    book, job = book_and_job(request, name)
    found = job.deviations.get(deviation)
    if found is None or found.decided is None or found.decided.paper is None:
        raise NO_SUCH(f"paper of deviation {deviation}")
    data = book.log.paper(found.decided.paper)
    end = next((x for x, begins in KINDS.items() if begins.match(data)), ".bin")
    how = {"content-disposition": f'attachment; filename="decision-{deviation}{end}"'}
    return Response(data, media_type="application/octet-stream", headers=how)
