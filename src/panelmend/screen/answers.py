"""The one form in which everything is refused: problem details as in RFC 9457, and a page for people."""

from __future__ import annotations

import logging
from collections.abc import MutableMapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, Field
from starlette.requests import cookie_parser
from starlette.responses import JSONResponse, Response

from panelmend.errors import DocumentError, InputError, MissingError, OutputError, PanelmendError
from panelmend.records.store.refused import note_refused
from panelmend.screen.identity import signed_in

KIND = "application/problem+json"
log = logging.getLogger("panelmend.screen")


class RefusedNotes(logging.Handler):
    """Keeps what is told at the terminal of refused writes beside the records too."""

    def __init__(self, records: Path) -> None:
        """``records``: their file; while there is none, nothing is noted."""
        super().__init__()
        self.records = records

    def emit(self, record: logging.LogRecord) -> None:
        """Note one refusal: method and path, by whom, status and kind."""
        if isinstance(record.args, tuple) and len(record.args) == len(_TOLD):
            told = dict(zip(_TOLD, map(str, record.args), strict=True))
            how = f"{told['method']} {told['path']}"
            note_refused(self.records, how, told["by"], f"{told['status']} {told['kind']}")


_TOLD = ("method", "path", "by", "status", "kind")


class RefusedField(BaseModel):
    """One thing that is wrong, with the field it is about."""

    field: str = Field("", description="the field, dotted; empty for the whole")
    words: str
    read: str = ""
    expected: str = ""
    todo: str = ""


class Refusal(BaseModel):
    """A refusal (RFC 9457): what was wrong, and what to do."""

    type: str = Field(description="what kind of refusal, as panelmend:KIND")
    title: str
    status: int
    read: str = ""
    expected: str = ""
    todo: str = ""
    faults: list[RefusedField] = []


@dataclass(frozen=True)
class Problem:
    """A refusal before it is written down."""

    status: int
    kind: str
    words: str
    read: str = ""
    expected: str = ""
    todo: str = ""
    faults: tuple[RefusedField, ...] = field(default=())

    def data(self) -> dict[str, Any]:
        """As it is sent."""
        return Refusal(
            type=f"panelmend:{self.kind}",
            title=self.words,
            status=self.status,
            read=self.read,
            expected=self.expected,
            todo=self.todo,
            faults=list(self.faults),
        ).model_dump()


def problem(made: Problem, scope: MutableMapping[str, Any]) -> Response:
    """The answer: JSON, or a page where a person asked for one."""
    if scope["method"] not in ("GET", "HEAD"):  # told at the terminal: what was tried, never what was sent
        who = signed_in()
        path, by = str(scope["path"])[:120], who.person if who is not None else ""
        log.warning("refused: %s %r by %r: %d %s", scope["method"], path, by, made.status, made.kind)
    accept = next((v for k, v in scope["headers"] if k == b"accept"), b"")
    if scope["method"] == "GET" and b"text/html" in accept and not scope["path"].startswith("/api/"):
        from panelmend.screen.page import page  # late: it loads the templates

        cookies = next((v.decode("latin-1") for k, v in scope["headers"] if k == b"cookie"), "")
        theme = cookie_parser(cookies).get("panelmend-theme", "")
        return page("refusal.html", theme, "", made.status, problem=made)
    return JSONResponse(made.data(), made.status, media_type=KIND)


def problem_of(error: Exception) -> Problem:
    """What an error of panelmend's comes to."""
    from panelmend.app.opened import ChangedMeanwhile, field_of
    from panelmend.app.shelf_typing import FieldRefused
    from panelmend.records.refusals import Refused
    from panelmend.render.pack_held import NotAsPackedError
    from panelmend.screen.accounts import SignInRefused, TooOften
    from panelmend.screen.holding import AnotherHolds, NobodyHolds
    from panelmend.screen.identity import AnotherSignedIn, NotTheirs
    from panelmend.screen.uploads import NotWhole
    from panelmend.screen.workshop import InWork

    if isinstance(error, DocumentError):
        faults = tuple(
            RefusedField(field=field_of(f), words=f.words, read=f.read, expected=f.expected, todo=f.todo)
            for f in error.faults
        )
        return Problem(422, "document", "the repair would have faults", faults=faults)
    if isinstance(error, FieldRefused):
        own = RefusedField(
            field=error.where, words=error.words, read=error.read, expected=error.expected, todo=error.todo
        )
        return Problem(422, "input", "a field is not taken as it was typed", faults=(own,))
    if isinstance(error, InputError):
        status, kind = (409, "moved") if isinstance(error, ChangedMeanwhile) else (422, "input")
        return Problem(status, kind, error.words, error.read, error.expected, error.todo)
    if isinstance(error, Refused):
        status = {"R101": 507, "R106": 429, "R112": 401, "R113": 401, "R114": 429, "R122": 404}.get(
            error.code, 409
        )
        return Problem(status, error.code, str(error))
    for made, status, kind, todo in (
        (NobodyHolds, 401, "holder", ""),
        (AnotherHolds, 401, "another-holder", ""),
        (SignInRefused, 401, "sign-in", "try again; failures are recorded"),
        (TooOften, 429, "tries", ""),
        (AnotherSignedIn, 403, "another-signed-in", "sign in yourself, then do it again"),
        (NotTheirs, 403, "role", ""),
        (NotWhole, 408, "not-whole", "it is sent again"),
        (InWork, 409, "in-work", "stop the job, or begin a new repair that follows it"),
        (NotAsPackedError, 409, "not-as-packed", ""),
        (MissingError, 404, "missing", ""),
        (OutputError, 507, "not-written", ""),
        (PanelmendError, 422, "refused", ""),
    ):
        if isinstance(error, made):
            return Problem(status, kind, str(error), todo=todo)
    return Problem(
        500, "fault", "a fault of panelmend itself", todo="the terminal says more; nothing was kept"
    )


DOCUMENTED: dict[int | str, dict[str, Any]] = {
    status: {"model": Refusal, "description": words}
    for status, words in (
        (400, "the body is no text"),
        (401, "no session"),
        (403, "from another page, or not this person's to do"),
        (404, "no such thing"),
        (405, "not served so"),
        (408, "did not come whole in time"),
        (409, "written since it was shown"),
        (413, "too large"),
        (415, "no JSON"),
        (421, "another host"),
        (422, "cannot be used"),
        (429, "too often"),
        (507, "could not be written"),
    )
}
"""Every refusal a route may answer with, for the description of the API."""
