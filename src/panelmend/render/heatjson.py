"""The predictions of a plan's cures as plain data in JSON, with what is missing where there is none."""

from __future__ import annotations

import json
from typing import Any

from panelmend.job.cure.part import CureOperation
from panelmend.plan.plan import Plan
from panelmend.render.planjson import plain

FORMAT = "panelmend heat 1"


def heat_json(plan: Plan) -> bytes:
    """Every operation's prediction as JSON, UTF-8; the same plan gives the same bytes.

    Temperatures in K, times in s from the start of heat, places in m in standard axes.
    """
    assert plan.work is not None, "a cure of a repair that lays nothing"
    whole = {
        "format": FORMAT,
        "units": "K, s, m, W/m2; places in standard axes, x along 0 degrees as seen from the outside",
        "about": {
            "repair": plan.case.document.repair.number,
            "plan_digest": plan.digest,
            "document_digest": plan.case.digest,
            "draft": plan.is_draft,
            "standing": plan.standing.value,
            "approves": "nothing: the cure cycle and the thermocouples decide",
        },
        "drying": plain(plan.work.cure.dried, set()),
        "operations": [_operation(o) for o in plan.work.cure.operations],
    }
    text = json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode("utf8")


def _operation(operation: CureOperation) -> dict[str, Any]:
    found = operation.prediction
    return {
        "number": operation.number,
        "name": operation.name,
        "set_point": float(operation.set_point),
        "predicted": found is not None,
        "holds": found.holds if found is not None else None,
        "outlook": found.outlook.name if found is not None else None,
        "missing": plain(operation.missing, set()),
        "sensors": plain(operation.sensors, set()),
        "prediction": plain(found, set()),
        "with_water_left": plain(operation.wetted, set()),
    }
