"""Everything in the table of rights is entered by the command line and by the service, each by its name."""

from __future__ import annotations

import click
import pytest

from panelmend.app.cli import main
from panelmend.records.rights import NOBODY, RIGHTS
from panelmend.screen import access
from panelmend.screen.api_stores import Stored
from panelmend.screen.application import ROOMS

BOTH: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "person added": (("person add",), ("add_person",)),
    "code issued": (("person code",), ("new_code",)),
    "roles set": (("person roles",), ("set_roles",)),
    "person removed": (("person remove",), ("remove_person",)),
    "person authorised": (("person authorise",), ("authorise_person",)),
    "authorisation ended": (("person end-authorisation",), ("end_authorisation",)),
    "clock was wrong": (("clock-was-wrong",), ("clock_was_wrong",)),
    "copy governs": (
        ("hand-over", "take-over", "other-is-lost"),
        ("hand_over", "take_over", "other_is_lost"),
    ),
    "job opened": (("job begin",), ("begin_job",)),
    "job revised": (("job revise",), ("revise_job",)),
    "readings": (("job write",), ("reading",)),
    "paper transcribed": (("job transcribe",), ("transcribe",)),
    "transcript checked": (("job paper-checked",), ("paper_checked",)),
    "file kept": (("job file",), ("keep_file",)),
    "verdict kept": (("job verdict",), ("keep_verdict",)),
    "step signed: did": (("job sign",), ("sign",)),
    "step signed: checked": (("job sign",), ("sign",)),
    "step signed: accepted": (("job sign",), ("sign",)),
    "step signed: rejected": (("job sign",), ("sign",)),
    "deviation raised": (("job deviate",), ("raise_deviation",)),
    "deviation decided": (("job decide",), ("decide_deviation",)),
    "released": (("job release",), ("release",)),
    "job stopped": (("job stop",), ("stop_job",)),
    "lot received": (("lot receive",), ("enter_stored",)),
    "lot moved": (("lot move",), ("enter_stored",)),
    "lot opened": (("lot open",), ("enter_stored",)),
    "lot issued": (("lot issue",), ("draw", "enter_stored")),
    "lot returned": (("lot return",), ("enter_stored",)),
    "lot reserved": (("job kit",), ("enter_stored",)),
    "batch mixed": (("job mixed",), ("enter_batch",)),
    "label seen": (("job label",), ("enter_label",)),
    "coupon made": (("job coupon",), ("enter_stored",)),
    "coupon tested": (("job coupon-tested",), ("coupon_tested",)),
    "lot scrapped": (("lot scrap",), ("enter_stored",)),
    "lot corrected": (("lot correct",), ("enter_stored",)),
    "re-test reported": (("lot re-test",), ("report_retest",)),
    "re-test taken on": (("lot take-on",), ("enter_stored",)),
    "instrument known": (("instrument known",), ("enter_stored",)),
    "least stock set": (("lot least",), ("enter_stored",)),
}
"""For each row of the table its verbs under ``records`` and its calls of the service."""
LOOKED_AT: dict[str, str] = {
    "check": "check_records",
    "refused": "refused",
    "shop": "stores",
    "history": "history",
    "package": "package",
    "backup": "backup_records",
    "drill": "drill",
}
"""What enters nothing, both ways."""


def _calls() -> set[str]:
    routers = [getattr(m, n) for m in ROOMS for n in ("router", "calls") if hasattr(m, n)]
    return {getattr(r, "operation_id", None) or "" for x in routers for r in x.routes}


def _verb(path: str) -> click.Command | None:
    found: click.Command | None = main
    for name in ("records", *path.split()):
        assert isinstance(found, click.Group), path
        found = found.get_command(click.Context(found), name)
    return found


def test_each_row_of_the_table_has_its_verb_and_its_call() -> None:
    assert set(BOTH) == {a for a, right in RIGHTS.items() if right != NOBODY}


@pytest.mark.parametrize("action", BOTH)
def test_verb_and_call_are_there_and_the_call_asks_that_right(action: str) -> None:
    verbs, calls = BOTH[action]
    for verb in verbs:
        assert _verb(verb) is not None, f"no verb: records {verb}"
    there = _calls()
    for call in calls:
        assert call in there, f"no call {call}"
        assert action in access.CALLS[call], f"{call} lets in without {action}"
    if "enter_stored" in calls:
        assert action in {str(t.model_fields["kind"].default) for t in Stored.__args__}


@pytest.mark.parametrize("verb", LOOKED_AT)
def test_what_is_looked_at_is_looked_at_both_ways(verb: str) -> None:
    assert _verb(verb) is not None
    assert LOOKED_AT[verb] in _calls()
