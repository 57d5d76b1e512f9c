"""Calls made from the description of the API: no fault of ours, no answer that is not described, bad data
refused, and nothing without a session. Run by test_screen_api_generated.py."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_schema_conformance,
    status_code_conformance,
)

from panelmend.screen import server
from panelmend.screen.certificate import OWN_CERTIFICATE
from panelmend.screen.guard import cookie_name
from panelmend.screen.site import HERE
from panelmend.screen.workshop import DEMO, Workshop
from screen_made import CHEAP, desk, people_put_in, served

EVERY = "EVERY_CALL" in os.environ
DRAWS = 12 if EVERY else 6  # calls of each operation by those who came in
CHECKS = [
    not_a_server_error,
    content_type_conformance,
    negative_data_rejection,
    response_schema_conformance,
    status_code_conformance,
]


def _described() -> Any:
    with desk() as at:
        return at.get("/api/openapi.json").json


def _calls(*without: str) -> Any:
    """The calls described, but for these; where EVERY_CALL asks, every edge of every field too."""
    made = schemathesis.openapi.from_dict(_described()).exclude(operation_id=list(without))
    made.config.phases.coverage.enabled = EVERY
    return made


# long work is begun by hand in test_screen_sheets.py: a pack for each generated call would take the day
schema = _calls("begin_errand")
_described_schema = _calls("sign_in", "enrol")


@pytest.fixture(scope="module")
def live() -> Iterator[tuple[str, dict[str, str]]]:
    """A screen that is served, and the headers of a browser that came in."""
    folder = Path(mkdtemp(prefix="workshop"))
    with served(folder) as running:
        token = running.gate.enter(running.gate.printed)
        base = f"http://127.0.0.1:{running.port}"
        yield base, {"Cookie": f"{cookie_name(running.port)}={token}", "Origin": base}
    shutil.rmtree(folder, ignore_errors=True)


@schema.parametrize()
@settings(
    max_examples=DRAWS,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_generated_calls(case: Any, live: tuple[str, dict[str, str]]) -> None:
    base, headers = live
    if "name" in (case.path_parameters or {}) and case.meta.generation.mode.is_positive:
        case.path_parameters["name"] = DEMO
    answer = case.call(base_url=base, headers=headers, timeout=30)
    case.validate_response(answer, checks=CHECKS)


ASKED_FIRST = {405, 408, 413, 414, 415}  # what is refused before it is looked at who asks


@pytest.fixture(scope="module")
def lan() -> Iterator[tuple[str, str]]:
    """A screen for other machines that is served: its address, and the certificate it is known by."""
    folder = Path(mkdtemp(prefix="workshop"))
    people_put_in(folder)
    running = server.ready_for_others(Workshop(folder, cost=CHEAP).with_demo(), HERE)
    guard: Any = running.server.config.app
    guard.clock = count(step=10.0).__next__  # not too many at once, however quickly they come
    thread = threading.Thread(target=running.serve, daemon=True)
    thread.start()
    yield f"https://{HERE}:{running.port}", str(folder / OWN_CERTIFICATE)
    running.stop()
    thread.join(10)
    shutil.rmtree(folder, ignore_errors=True)


@_described_schema.parametrize()
@settings(
    max_examples=3,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_generated_calls_of_nobody_are_refused_whatever_they_bring(case: Any, lan: tuple[str, str]) -> None:
    base, certificate = lan
    if "name" in (case.path_parameters or {}) and case.meta.generation.mode.is_positive:
        case.path_parameters["name"] = DEMO
    for cookie in ({}, {"Cookie": f"__Host-panelmend-{base.rpartition(':')[2]}=guessed"}):
        answer = case.call(base_url=base, headers={"Origin": base, **cookie}, timeout=30, verify=certificate)
        assert answer.status_code in {401, *ASKED_FIRST}, case.operation.label
        case.validate_response(answer, checks=[not_a_server_error, content_type_conformance])


def test_every_operation_is_described_with_its_refusals() -> None:
    described = _described()
    operations = [o for path in described["paths"].values() for o in path.values()]
    assert len(operations) >= 8
    for operation in operations:
        assert operation["operationId"]
        assert {"200", "401", "403", "404", "409", "413", "422", "429"} <= set(operation["responses"])
