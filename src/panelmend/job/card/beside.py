"""What a card says of the other damages of its job, at the steps where two could be done at once."""

from __future__ import annotations

from panelmend.job.card.part import Blank
from panelmend.job.card.writing import note
from panelmend.job.case import Case


def others(case: Case) -> str:
    """The names of the other damages, "" where there are none."""
    return " and ".join(a.id for a in case.others)


def at_the_bench(case: Case) -> str:
    """What stands on the bench page."""
    if not case.others:
        return ""
    wet = f" WET FIRST: {wet_others(case)}." if case.wet else ""
    return (
        f"Damage {case.document.damage.id} of a panel that has {others(case)}, too (damages.pdf): one after the other, "
        "each by its own card. Never two cures at once, one bag over both, or one batch for both: this is not planned."
        + wet
    )


def cut_once(case: Case) -> list[str]:
    """Dry pieces may lie there already."""
    if not case.others:
        return []
    me = case.document.damage.id
    return [
        f"Damage {others(case)} too: first see whether the pieces of {me} are there already, cut with theirs from the "
        f"layout of damages.pdf and labelled {me}. Then count them here; never cut them twice."
    ]


def own_batch(case: Case) -> list[str]:
    """A batch serves one damage."""
    if not case.others:
        return []
    return [f"For damage {case.document.damage.id} alone; {others(case)} is mixed for by its own card."]


def one_cure(case: Case) -> list[str]:
    """A cure is planned as if it ran alone."""
    if not case.others:
        return []
    return [
        f"No cure of damage {others(case)} may run meanwhile: circuits, pump and heat are planned for this one only."
    ]


def wet_others(case: Case) -> str:
    """The other damages that are not known to be dry, in words; "" where all of them are."""
    return " and ".join(f"{n} ({'water found' if found else 'nobody has looked'})" for n, found in case.wet)


def dried_first(case: Case) -> list[str]:
    """Nothing is heated while another damage of the panel holds water."""
    if not case.wet:
        return []
    return [
        f"NO HEAT while another damage of this panel may be wet: {wet_others(case)}. Drain, dry and prove it by its own "
        "card first, its hold H3 signed: a blanket here heats the wet core there, and steam tears the skin off."
    ]


def dried_first_blanks(case: Case) -> list[Blank]:
    """What is written down of the others before heat goes on."""
    return [note(f"Damage {name} proven dry: H3 of its card, dry until") for name, _ in case.wet]
