"""The application: pages, API and static files behind the guard."""

from __future__ import annotations

import gc
import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache
from typing import Any

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import BaseRoute
from starlette.staticfiles import StaticFiles

from panelmend import __version__
from panelmend.app.errands import Errands
from panelmend.errors import PanelmendError
from panelmend.screen import (
    access,
    api,
    api_accounts,
    api_bench,
    api_card,
    api_cure,
    api_errands,
    api_log,
    api_microphone,
    api_paper,
    api_people,
    api_photograph,
    api_records,
    api_rows,
    api_shelf_fields,
    api_shelves,
    api_stores,
    api_survey,
    pages,
    pages_card,
    pages_compare,
    pages_cure,
    pages_damages,
    pages_heat,
    pages_inputs,
    pages_kit,
    pages_log,
    pages_nest,
    pages_pack,
    pages_people,
    pages_shelves,
    pages_stack,
    pages_stores,
    pages_strength,
    pages_why,
)
from panelmend.screen.accounts import Accounts
from panelmend.screen.answers import KIND, Problem, RefusedField, problem, problem_of
from panelmend.screen.gate import Gate
from panelmend.screen.guard import Guard
from panelmend.screen.hearing import Hearing
from panelmend.screen.holding import Holding
from panelmend.screen.site import Site, site_here
from panelmend.screen.workshop import Workshop

log = logging.getLogger("panelmend.screen")
ROOMS = (  # a line for each module with pages or calls
    pages_card,
    api,
    api_survey,
    api_card,
    api_bench,
    api_paper,
    api_photograph,
    api_errands,
    pages_why,
    pages_nest,
    pages_kit,
    pages_heat,
    pages_strength,
    pages_stack,
    pages_pack,
    pages_damages,
    pages_cure,
    api_cure,
    pages_log,
    api_log,
    pages_inputs,
    pages_shelves,
    api_shelf_fields,
    api_shelves,
    pages_compare,
    api_accounts,
    pages_people,
    pages_stores,
    api_people,
    api_stores,
    api_records,
    api_microphone,
)
DESCRIPTION = """For the screen's own pages; it is not approved data.

A session's cookie goes with every call but those that open one. On this machine alone the printed address
opens it. Where other machines reach the screen (https alone), a person of the records signs in; then each
call asks for the role that the records' own table asks, what is written down is written as theirs, and a form
that names another is refused (403)."""
COLLECTED = (20_000, 20, 50)  # things made before the collector looks; a plan makes some hundred thousand
_WORDS = {404: "there is no such page", 405: "this page cannot be written to"}


def application(workshop: Workshop, gate: Gate | Accounts, at: int | Site) -> Guard:
    """The screen of a workshop, to be served at a port of this machine, or at a site for others."""
    site = site_here(at) if isinstance(at, int) else at
    inner = FastAPI(
        title="panelmend, workshop screen",
        version=__version__,
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        description=DESCRIPTION,
        lifespan=_running,
        routes=[*_routes()],
    )
    inner.state.workshop, inner.state.gate, inner.state.site = workshop, gate, site
    inner.state.holding, inner.state.errands, inner.state.hearing = Holding(), Errands(), Hearing()
    inner.state.watches = workshop.watches
    inner.mount("/static", StaticFiles(packages=[("panelmend.screen", "static")]))
    inner.add_exception_handler(PanelmendError, _refused)
    inner.add_exception_handler(RequestValidationError, _not_understood)
    inner.add_exception_handler(HTTPException, _no_route)
    inner.add_exception_handler(Exception, _fault)
    _describe(inner)
    return Guard(inner, gate, site)


@cache
def _routes() -> tuple[BaseRoute, ...]:
    """Every page and call, each behind who may; a second's work, done once however many screens are made."""
    bare = FastAPI(openapi_url=None, docs_url=None, redoc_url=None, dependencies=[Depends(access.may)])
    bare.include_router(pages.router)
    for module in ROOMS:
        bare.include_router(module.router)
    for calls in (pages_heat.calls, pages_pack.calls, pages_inputs.calls, api_rows.router):
        bare.include_router(calls)
    return tuple(bare.routes)


@asynccontextmanager
async def _running(inner: FastAPI) -> AsyncIterator[None]:
    """Long work ends with the screen. What is loaded by now stays: the collector need not look through it
    whenever a plan has made some thousand things."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*COLLECTED)
    yield
    inner.state.errands.stop_all()


def _describe(inner: FastAPI) -> None:
    """Let the description say in which form refusals come."""
    made = inner.openapi
    plain = "application/json"

    def described() -> dict[str, Any]:
        if inner.openapi_schema is None:
            schema = made()
            answers = (
                answer
                for path in schema["paths"].values()
                for operation in path.values()
                for status, answer in operation["responses"].items()
                if int(status) >= 400
            )
            for answer in answers:
                answer["content"] = {KIND: answer["content"].pop(plain)}
            inner.openapi_schema = schema
        return inner.openapi_schema

    inner.openapi = described  # type: ignore[method-assign]


async def _refused(request: Request, error: Exception) -> Response:
    return problem(problem_of(error), request.scope)


async def _not_understood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = tuple(
        RefusedField(field=".".join(str(p) for p in e["loc"][1:]), words=str(e["msg"]))
        for e in error.errors()
    )
    return problem(Problem(422, "request", "the request was not understood", faults=faults), request.scope)


async def _no_route(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = _WORDS.get(error.status_code, str(error.detail).lower())
    return problem(Problem(error.status_code, "route", words, read=request.url.path[:120]), request.scope)


async def _fault(request: Request, error: Exception) -> Response:
    log.error("%s %s", request.method, request.url.path, exc_info=error)
    return problem(problem_of(error), request.scope)
