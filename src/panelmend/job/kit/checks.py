"""Findings of the kit stage."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.derive.ledger import words_for, words_of
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.bag.part import BagPart
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.kit.part import KitPart
from panelmend.job.kit.stores import usable
from panelmend.job.nest.part import NestPart
from panelmend.job.plies.part import PliesPart

Q001 = caution_code("Q001", "The stores are short of a material", "order what is short")
Q002 = caution_code(
    "Q002", "A material is not listed in the stores", "list its lot, or get it before the work starts"
)
Q003 = note_code(
    "Q003",
    "A lot is left out because it is expired or was out of the freezer for too long",
    "quarantine the lot",
)
Q004 = stop_code(
    "Q004",
    "The repair lays dry cloth, but the data names no resin",
    "name the resin under data.resin.system, with its place",
)
Q005 = stop_code(
    "Q005",
    "The balance is too coarse to show whether a mix is within its ratio",
    "use a finer balance and type its step under [[bay.instrument]], or use one with a smaller uncertainty",
)
Q200 = caution_code(
    "Q200",
    "Wetting out a whole sheet takes more mixed resin than one cup may hold",
    "have the cloth cut dry and wetted out piece by piece (data.resin.wet_out), or name a resin with a "
    "larger batch limit; if the data allows neither, mix the cups one right after the other, keep to the "
    "first cup's times for all of them, and rehearse it",
)


def check(
    case: Case,
    ledger: Ledger,
    kit: KitPart,
    cutout: CutoutPart,
    plies: PliesPart,
    core: CorePart,
    nest: NestPart,
    bags: BagPart,
) -> tuple[Finding, ...]:
    """The findings of the kit: stock that is short, missing or no longer usable."""
    found = []
    day = case.document.repair.work_date
    for line in kit.lines:
        if line.short is not None and line.stocked:
            words = words_for(line.short.value, line.short.kind, case.view, "least")
            found.append(Q001(f"{line.name}: {words} short", place=f"kit.{line.material}"))
        elif not line.stocked and line.group in ("cloth", "resin", "adhesive", "core") and line.material:
            found.append(Q002(f"{line.name} for {line.purpose}", place=f"kit.{line.material}"))
    for i, lot in enumerate(case.document.stores.lot):
        if not usable(lot, day):
            found.append(Q003(f"lot {lot.id} ({lot.lot}) of {lot.material}", place=f"stores.lot[{i + 1}]"))
    for mix in kit.mixes:
        if not mix.weighable:
            least, most, step = (words_of(x, case.view) for x in (mix.least, mix.most, mix.step))
            words = f"{mix.id}: at least {least} by a step of {step}, at most {most} in one pot"
            found.append(Q005(words, place=mix.least.key))
        for sheet in mix.too_small_for(kit.sheets):
            takes, most = (words_of(x, case.view) for x in (sheet.mixed, mix.most))
            holds = words_for(mix.cup, "mass", case.view, "most")
            cups = f"{len(mix.pots)} cups of {holds}, at most {most} in one cup"
            cloth = case.catalogue.get(sheet.cloth).name
            words = f"{cloth} from {sheet.strip} takes {takes} of mixed resin: {cups}"
            found.append(Q200(words, place=sheet.mixed.key))
    dry = [
        p
        for p in (*plies.plies, *core.cap)
        if p.role != "film adhesive" and not case.catalogue.cloth(p.cloth).prepreg
    ]
    if dry and case.document.data.resin.system is None:
        found.append(Q004(f"{dry[0].id} is of dry cloth {dry[0].cloth}", place="data.resin.system"))
    return tuple(found)
