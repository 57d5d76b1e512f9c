"""Findings on the heat that cures what is put back: no cure of the plan, and no prediction reckons with it."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.put_back import PutBack
from panelmend.errors import Finding, caution_code, confirm_code, note_code, stop_code
from panelmend.job.card.restored import LATE
from panelmend.job.card.taken import lying_in_cutout
from panelmend.job.case import Case
from panelmend.job.drying.part import DryingPart
from panelmend.job.heat_taken import asked_of, by_whom, not_counted, taken_on
from panelmend.job.put_back import heated
from panelmend.job.untold_heat import put_back_key
from panelmend.job.work import Work
from panelmend.units import show

H655 = confirm_code(
    "H655",
    "Heat cures what is put back, but how hot the compound, panel and earlier bonds get is not predicted: "
    "do not heat yet",
    "use a compound that cures at room temperature if the data allows it; or the engineer named under "
    "people accepts it under [[confirm]] by its key, and gives as the reason what that is based on",
)
H656 = stop_code(
    "H656",
    "The cure of what is put back is hotter than the panel or its structure may get",
    "check whether each of the two is in C or F; use a compound that cures below that limit, or ask the "
    "engineer",
)
H657 = note_code(
    "H657",
    "The engineer accepted that the temperatures of a heat cure of what is put back are not predicted",
    "the name was typed, not signed: ask the engineer whether the acceptance is theirs, and what it is based on",
)
H606 = stop_code(
    "H606",
    "Water left in a closed cell would tear the bond apart while heat cures what is put back",
    "use a compound that cures at a lower temperature if the data allows it; dry the core until it passes "
    "the data's own check before you heat, or ask the engineer",
)
H607 = caution_code(
    "H607",
    "A wet cell that nobody noticed would tear the bond apart while heat cures what is put back",
    "repeat the moisture check with the area open, before anyone switches on this heat",
)
H608 = caution_code(
    "H608",
    "Whether steam would tear a bond apart while heat cures what is put back is NOT KNOWN",
    "type the bond's strength hot and wet with its source, or ask the engineer before anyone switches on "
    "this heat",
)


def heated_back(case: Case, work: Work) -> list[tuple[int, str, PutBack]]:
    """What is put back in this repair and cured by heat: its number in the data, its words, the entry."""
    entries = case.document.data.put_back
    back = [(t.words, t.back) for t in lying_in_cutout(case, work) if t.back is not None]
    return [(entries.index(b) + 1, words, b) for words, b in back if heated(b)]


def check_put_back(case: Case, work: Work) -> Iterator[Finding]:
    """Heat of what is put back: taken on by name, and below what panel and structure may see."""
    d, panel = case.document, case.document.panel
    limits = [("the panel", panel.limit), *((s.id, s.limit) for s in panel.structure)]
    for number, words, b in heated_back(case, work):
        place, key = f"put_back.{number}", put_back_key(case, number)
        by = taken_on(d, key)
        if by is not None:
            yield H657(f"{words}: accepted by {by_whom(by)}: {by.reason}", place=place)
        else:
            todo = (
                "use a compound that cures at room temperature if the data allows it; or "
                f'{asked_of(d)} accepts it under [[confirm]] and says why in the reason, figure = "{key}"'
            )
            yield H655(f"{words}: do not heat it yet{not_counted(d, key)}", place=place, todo=todo)
        most = max(t for t in (b.cure_low, b.cure_high) if t is not None)
        asked = show(most, "temperature", case.view, limit="least")
        for what, limit in limits:
            if limit is not None and most > limit:
                good = show(limit, "temperature", case.view, limit="most")
                yield H656(f"{words}: cured at up to {asked}, but {what} is rated to {good}", place=place)
        yield from _steam(case, work.drying, words, b, most, place)


def _steam(
    case: Case, part: DryingPart, words: str, b: PutBack, most: float, place: str
) -> Iterator[Finding]:
    """Each bond that is there by then against a wet cell [K], where nothing presses on the skin: how it is
    heated is words of the data, and a bag that bridges takes the air's pressure away."""
    there = [x for x in part.bonds if x.made_in == 0 or LATE[b.when]]
    asked = show(most, "temperature", case.view, limit="least")
    for bond in there:
        if bond.strength is None or (bond.reached is None and not part.heatings):
            yield H608(f"{words}, up to {asked}: {bond.where}: NOT KNOWN", place=place)
        elif bond.reached_bridged is not None and most > float(bond.reached_bridged):
            code = H606 if part.wet else H607
            lifts = show(float(bond.reached_bridged), "temperature", case.view, limit="most")
            yield code(
                f"{words}: cured at up to {asked}; from {lifts} up a wet cell tears this bond apart: {bond.where}",
                place=place,
            )
