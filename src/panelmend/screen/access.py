"""What each call asks of who signed in, by the table of rights in the records. A call that stands in no row
is refused to everybody. On this machine alone the records decide for themselves, as they do here once more.
"""

from __future__ import annotations

from fastapi import Request

from panelmend.records.canonical import moment
from panelmend.records.rights import RIGHTS
from panelmend.screen.alone import RECORDS
from panelmend.screen.api_errands import WRITES
from panelmend.screen.identity import NotTheirs, signed_in

SIGNED_IN: tuple[str, ...] = ("signed in",)
NOBODY: tuple[str, ...] = ()
PLANS = ("job opened",)
COPIES = ("copy governs",)
SIGNS = tuple(a for a in RIGHTS if a.startswith("step signed"))

STORES = (
    "lot received", "lot moved", "lot opened", "lot issued", "lot returned", "lot reserved", "lot scrapped",
    "lot corrected", "re-test taken on", "instrument known", "least stock set", "coupon made",
)  # fmt: skip
"""What is entered in the stores by the service; which of them is whose, the records say."""
CALLS: dict[str, tuple[str, ...]] = {
    # looked at, tried, nothing kept
    **dict.fromkeys(
        (
            "repairs", "plan", "try_change", "try_inputs", "try_heat", "survey", "pulse", "step", "shown",
            "judge_reading", "logs", "log_reading", "judge_log", "cure_watch", "errand", "begin_errand",
            "stop_errand", "photographs", "photograph", "try_row_away",
        ),
        SIGNED_IN,
    ),
    # one's own session
    "sign_in": SIGNED_IN, "enrol": SIGNED_IN, "sign_out": SIGNED_IN, "hold": SIGNED_IN, "put_down": SIGNED_IN,
    # whoever is there hears an alarm; their name is written down
    "heed_alarms": SIGNED_IN, "sound_heard": SIGNED_IN,
    # the plan is the planner's; a default or unusual value is confirmed by planner or engineer
    "change": PLANS, "take_back": PLANS, "change_inputs": PLANS, "survey_into": PLANS, "begin_job": PLANS,
    "row_away": PLANS, "row_back": PLANS,
    "append_row": ("job opened", "deviation decided"),
    # what stands on the shelves: typed by who plans or decides, signed off by a second of them
    "try_shelf_table": SIGNED_IN, "try_shelf_fields": SIGNED_IN,
    **dict.fromkeys(
        ("begin_shelf_entry", "put_shelf_table", "put_shelf_fields", "sign_shelf_table"),
        ("job opened", "deviation decided"),
    ),
    "tap": ("readings",),
    "hear": ("readings",),
    **dict.fromkeys(("put_photograph", "lay_photograph", "photograph_away"), ("readings", "job opened")),
    "check_square": ("readings", "job opened"),
    "begin_demonstration": NOBODY,
    # people
    "people": SIGNED_IN, "add_person": ("person added",), "new_code": ("code issued",),
    "set_roles": ("roles set",), "remove_person": ("person removed",),
    "authorise_person": ("person authorised",), "end_authorisation": ("authorisation ended",),
    # the stores: the kind of entry is judged by the same table in the records
    "stores": SIGNED_IN, "history": SIGNED_IN, "enter_stored": STORES,
    # what else the records take
    "put_record_paper": ("paper transcribed", "re-test reported", "coupon tested"),
    "transcribe": ("paper transcribed",), "paper_shown": SIGNED_IN, "paper_scan": SIGNED_IN,
    "paper_checked": ("transcript checked",), "report_retest": ("re-test reported",),
    "coupon_tested": ("coupon tested",), "revise_job": ("job revised",), "stop_job": ("job stopped",),
    "clock_was_wrong": ("clock was wrong",),
    "hand_over": COPIES, "take_over": COPIES, "other_is_lost": COPIES,
    "backup_records": COPIES, "drill": COPIES,
    "package": SIGNED_IN, "check_records": SIGNED_IN, "refused": SIGNED_IN,
    # the card
    "reading": ("readings",), "sign": SIGNS, "release": ("released",), "draw": ("lot issued",),
    "put_log": ("file kept",), "confirm_log_reading": ("file kept",), "keep_verdict": ("verdict kept",),
    "keep_file": ("file kept",), "kept_file": SIGNED_IN, "enter_label": ("label seen",),
    "enter_batch": ("batch mixed",), "raise_deviation": ("deviation raised",),
    "deviation_shown": SIGNED_IN, "decide_deviation": ("deviation decided",),
    "put_paper": ("deviation decided",), "decision_paper": SIGNED_IN,
    "begin_cure_watch": ("readings",), "end_cure_watch": ("readings",),
}  # fmt: skip
"""The rows of ``records.rights.RIGHTS`` that let a call in, by its name; any of them is enough."""


def may(request: Request) -> None:
    """See that who signed in may make a call. Raises NotTheirs."""
    signed = signed_in()
    if signed is None:
        return
    name = getattr(request.scope.get("route"), "operation_id", None)
    if name is None and request.method in ("GET", "HEAD"):
        return  # a page: whoever is signed in reads
    rows = CALLS.get(name or "", NOBODY)
    if name in ("begin_errand", "stop_errand") and request.path_params.get("kind") in WRITES:
        rows = PLANS
    if rows == SIGNED_IN:
        return
    if not any(holds(request, signed.person, row) for row in rows):
        wanted = sorted({r.value for row in rows for r in RIGHTS[row].roles}) or ["nobody on other machines"]
        raise NotTheirs(f"this is for {' or '.join(wanted)}, with the authorisation in force")


def holds(request: Request, person: str, action: str) -> bool:
    """Whether a person has a role that may, and its authorisation in force today."""
    book, right = request.app.state.workshop.book, RIGHTS[action]
    with RECORDS:
        state = book.state
        found = state.people.get(person)
        if found is None or found.removed:
            return False
        today = state.day(max(state.latest, moment(book.log.now()))).isoformat()
        return any(
            right.scopes.get(role) is None or found.authorised.get(right.scopes[role], "") >= today
            for role in found.roles & right.roles
        )
