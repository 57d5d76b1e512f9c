"""Chosen insulation against the temperature it may see."""

from __future__ import annotations

from panelmend.errors import Finding, caution_code
from panelmend.job.case import Case
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Prediction
from panelmend.units import show

H036 = caution_code(
    "H036",
    "Insulation is predicted to get hotter than it may",
    "use insulation made for this temperature: insulation that is too hot can smoke or burn under the "
    "blanket",
)
H380 = caution_code(
    "H380",
    "The temperature limit of the chosen insulation is not known",
    "look up its limit on its data sheet before anyone lays it: it can smoke or burn",
)


def insulation(case: Case, operation: CureOperation, made: Prediction, place: str) -> list[Finding]:
    """Chosen insulation against its own limit: over the bag it may be as hot as the blanket, behind as the
    far skin or the blanket there. Without a limit it is said how hot it is predicted."""
    chosen = case.document.choice.heat_for(operation.name)
    if chosen is None:
        return []
    tops = dict(made.around)  # the count of the cases holds the limit too (Limit.INSULATION)
    far = max((max(t.kelvin) for t in made.traces if t.kind == "far skin"), default=0.0)
    rows = (
        (chosen.insulation_over, max(tops.get("blanket", 0.0), made.hottest.kelvin)),
        (chosen.insulation_behind, max(tops.get("blanket behind", 0.0), far)),
    )
    found = []
    for ident, top in rows:
        if not ident or ident not in case.catalogue:
            continue
        limit, hot = case.catalogue.bagging(ident).limit_temperature, show(top, "temperature", case.view)
        if limit is None:
            found.append(H380(f"{operation.name}: {ident}, predicted {hot}", place=place))
        elif top > limit.value:
            most = show(limit.value, "temperature", case.view)
            found.append(H036(f"{operation.name}: {ident} {hot}, at most {most}", place=place))
    return found
