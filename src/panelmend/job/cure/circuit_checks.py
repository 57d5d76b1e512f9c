"""Findings on blankets at the supply and on circuits."""

from __future__ import annotations

from panelmend.document.bay import Blanket
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job import blanket_supply
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.cure.part import Circuited
from panelmend.units import show

H001 = caution_code(
    "H001",
    "The supply voltage is below the blanket's rated voltage: power falls with the square of the voltage",
    "use a blanket made for this supply, or check in the prediction whether it still reaches the dwell",
)
H002 = stop_code(
    "H002",
    "The supply voltage is above the blanket's rated voltage: the blanket would overheat and may burn",
    "never connect it here; use a blanket made for this supply",
)
H003 = stop_code(
    "H003",
    "No circuit in the bay can carry the blanket for hours",
    "use a stronger circuit, a smaller blanket, or a blanket for a higher voltage if the bay has that supply",
)
H004 = caution_code(
    "H004",
    "The bay's supply or circuits are not typed, so the current was not checked",
    "type bay.supply and bay.circuit, and check the blanket's current against its breaker before heating",
)
H005 = note_code(
    "H005",
    "Two blankets heat one repair",
    "give each its own controller and thermocouples, and mark leads and plugs so that they cannot be swapped",
)
H006 = stop_code(
    "H006",
    "The blanket behind is rated below the temperature of the cure cycle",
    "choose a blanket with a higher limit",
)
H007 = caution_code(
    "H007",
    "The blanket behind is smaller than the one the repair needs",
    "use a larger one, or check in the prediction whether its rim stays warm enough",
)


def check_circuits(case: Case, bag: BagOperation, made: tuple[Circuited, ...]) -> list[Finding]:
    """What does not suit supply or circuits in one operation.

    Args:
        case: the document's case.
        bag: the bag of the operation.
        made: its blankets on circuits, as :func:`panelmend.job.cure.circuit.assign_circuits` puts them; the
            second one lies behind.
    """
    place, found = f"cure.{bag.number}", []
    for entry in made:
        found += _voltage(case, bag.name, place, entry)
    found += _carried(case, bag.name, place, made)
    if len(made) > 1:
        found += _behind(case, bag, place, made)
    return found


def _voltage(case: Case, name: str, place: str, entry: Circuited) -> list[Finding]:
    bay = case.document.bay
    blanket = bay.blanket[blanket_supply.blanket_index(bay, entry.blanket)]
    fits = blanket_supply.suits(blanket, bay)
    if fits not in ("low", "high") or entry.power is None or entry.share is None or bay.supply is None:
        return []
    made_for, there = (show(v, "voltage", case.view) for v in (blanket.voltage, bay.supply))
    watts = (show(float(f), "power", case.view) for f in (entry.power, entry.rated))
    times = f"{' instead of '.join(watts)}, {100 * float(entry.share):.0f} % of it"
    code = H001 if fits == "low" else H002
    return [code(f"{name}: {entry.blanket} is made for {made_for}, here are {there}: {times}", place=place)]


def _carried(case: Case, name: str, place: str, made: tuple[Circuited, ...]) -> list[Finding]:
    unchecked = [e.blanket for e in made if not e.checked]
    if unchecked:
        bay = case.document.bay
        missing = " and ".join(
            w for w, there in (("bay.supply", bay.supply), ("bay.circuit", bay.circuit)) if not there
        )
        return [H004(f"{name}: {', '.join(unchecked)}: {missing} missing", place=place)]
    found, served = [], [e for e in made if e.holds]
    for entry in made:
        if entry.holds or entry.current is None or entry.allowed is None:
            continue
        words = f"{entry.blanket} draws {show(float(entry.current), 'current', case.view)}"
        words += (
            f", the strongest circuit carries {show(float(entry.allowed), 'current', case.view)} for hours"
        )
        for other in served:
            assert other.current is not None
            words += f"; {other.circuit} already carries {other.blanket}, "
            words += show(float(other.current), "current", case.view)
        found.append(H003(f"{name}: {words}", place=place))
    return found


def _behind(case: Case, bag: BagOperation, place: str, made: tuple[Circuited, ...]) -> list[Finding]:
    bay = case.document.bay
    behind = bay.blanket[blanket_supply.blanket_index(bay, made[1].blanket)]
    where = [f"{e.blanket} on {e.circuit}" if e.circuit else f"{e.blanket} on no circuit" for e in made]
    found = [H005(f"{bag.name}: {where[0]}, behind it {where[1]}", place=place)]
    hottest = max(s.to for s in bag.cure.segment)
    if behind.limit is not None and behind.limit < hottest:
        may = show(behind.limit, "temperature", case.view, limit="most")
        asked = show(hottest, "temperature", case.view, limit="least")
        found.append(H006(f"{bag.name}: {behind.id} may reach {may}, the cure cycle {asked}", place=place))
    if not _blanket_covers(behind, bag):
        size = " by ".join(show(float(f), "length", case.view) for f in (bag.needed_length, bag.needed_width))
        found.append(H007(f"{bag.name}: {behind.id} heats less than {size}", place=place))
    return found


def _blanket_covers(blanket: Blanket, bag: BagOperation) -> bool:
    heated = sorted((blanket.length - 2 * blanket.border, blanket.width - 2 * blanket.border))
    needed = sorted((float(bag.needed_length), float(bag.needed_width)))
    return all(h >= n - 1e-9 for h, n in zip(heated, needed, strict=True))
