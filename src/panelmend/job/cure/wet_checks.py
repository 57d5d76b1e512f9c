"""Water left in the core against a cure that holds with a dry one."""

from __future__ import annotations

from panelmend.errors import Finding, caution_code, note_code
from panelmend.job.case import Case
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import LimitRow, Prediction
from panelmend.units import show

H331 = caution_code(
    "H331",
    "With water left in the core, a cure breaks a limit that it keeps when dry",
    "dry it until a check shows that no water is left, not just until the time is up: the thermocouples "
    "beside the patch may still show a good cure",
)
H332 = note_code(
    "H332",
    "The effect on a cure of water left in the core is not predicted yet",
    "run panelmend heat on the document",
)


def wet_core(case: Case, operation: CureOperation, dry: Prediction, place: str) -> list[Finding]:
    """What water left in the core does, where some was found or nobody has looked."""
    if operation.wet is None or operation.wet.wet is None:
        return []
    if operation.wetted is None:
        return [H332(operation.name, place=place)]
    if not dry.holds or operation.wetted.holds:
        return []
    broken = [r for r in operation.wetted.limits if not r.holds]
    worst = min(broken, key=lambda r: r.margin, default=None)
    words = "the cure cycle never finishes"
    if worst is not None:
        words = f"{worst.what} ({worst.place}) {limit_value(worst, worst.predicted, case.view)}, "
        words += f"{'at most' if worst.sense == 'below' else 'at least'} "
        words += limit_value(worst, worst.limit, case.view)
    depth = show(operation.wet.wet.depth, "length", case.view)
    return [H331(f"{operation.name}, {depth} of water in each cell: {words}", place=place)]


def limit_value(row: LimitRow, value: float, view: str) -> str:
    """A value of a limit's row [K, K/s, s or 1, as its kind], in the reader's units."""
    kind = "temperature rate" if row.kind == "rate" else row.kind
    return show(value, kind, view, decimals=1 if kind == "temperature" else None)
