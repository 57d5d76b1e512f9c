"""What stands at the head of every page: STOP, DRAFT or nothing, in words and a sign."""

from __future__ import annotations

from typing import Any, Literal

from panelmend.errors import all_codes
from panelmend.plan.plan import Plan
from panelmend.plan.standing import Standing

Status = Literal["STOP", "DRAFT", ""]
STATUS: dict[Standing, Status] = {Standing.STOP: "STOP", Standing.DRAFT: "DRAFT", Standing.READY: ""}
SAID = {
    "STOP": "Do not work from this card.",
    "DRAFT": "Do not work from this card: it waits for a named person.",
    "": "",
}


def status_of(plan: Plan) -> Status:
    """STOP where a finding stops the work, DRAFT where defaults are open, else nothing."""
    return STATUS[plan.standing]


def status_data(plan: Plan) -> dict[str, Any]:
    """The status with its reasons, for a page template."""
    status = status_of(plan)
    codes = {c.code: c for c in all_codes()}
    reasons = []
    for f in plan.stop_reasons:  # a remedy of its own stands beside it, what is always to do does not
        own = f". {f.todo[:1].upper()}{f.todo[1:]}" if f.todo != codes[f.code].todo else ""
        reasons.append(f"{codes[f.code].title}: {f.words}{own}")
    shelved = [f.code for f in plan.draft_reasons if f.code[0] == "X" and f not in plan.stop_reasons]
    reasons += [codes[code].title for code in dict.fromkeys(shelved)]  # which entries: the planner's page
    open_defaults = sum(f.code == "J001" for f in plan.findings)
    if open_defaults:
        stand = "default stands" if open_defaults == 1 else "defaults stand"
        reasons.append(f"{open_defaults} {stand} where the approved data gives no value; each is marked D")
    return {"word": status, "said": SAID[status], "reasons": reasons}
