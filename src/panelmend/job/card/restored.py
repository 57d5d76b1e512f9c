"""Steps for what the cut takes away besides skin and core: taken out, put back by the data's reference, inspected.

Nothing of how it is done is made up here: the data's own words, place and person stand in the step.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench
from panelmend.job.card.opening import dust
from panelmend.job.card.part import Blank, Step
from panelmend.job.card.taken import Taken, taken
from panelmend.job.card.writing import RECORD, TOLERANCE, clock, note, number, step, tick

NOT_RECKONED = "No prediction of heat and no strength here reckons with it."
CLOSED = "Close holes and threads against resin as the reference says; write down what closes them. "
LATE = {"before bonding": False, "after the last cure": True}  # of what was bonded in already
WHEN = {
    "before bonding": (
        "D11",
        "D12",
        "Into the opening or the dry plug, before anything is bonded; the plug fits as before.",
    ),
    "after the last cure": (
        "E11",
        "E12",
        "Through the cured repair. Nothing is drilled or cut farther than the reference says.",
    ),
}
"""The step that puts it back, the one that inspects it, and what the first begins with."""
SPOTS = frozenset({"insert", "fastener"})


def restorable(bench: Bench) -> list[Taken]:
    """What the cut takes away and the data puts back."""
    return [t for t in taken(bench.case, bench.work) if t.back is not None]


def out(bench: Bench) -> list[Step]:
    """Where it sits is measured before it comes out: nobody can set it right afterwards."""
    mine = restorable(bench)
    if not mine:
        return []
    names = _names(mine)
    return [
        step(
            "B16",
            f"Measure where it sits, then take out: {names}",
            "Measure from the datum marks, on each skin that is cut. Out by the reference of its later step; what does not "
            "come loose before the cut comes out with the skin or the core. Keep it, marked, until the final inspection.",
            *_orders(mine),
            cautions=[*dust(bench), c.BLADE, c.FUEL],
            tools=["rule", "tools the reference names"],
            blanks=[
                *(b for t in mine for b in _sits(bench, t, RECORD)),
                *(tick(f"{t.words}: out, kept") for t in mine),
            ],
        )
    ]


def back(bench: Bench, when: Literal["before bonding", "after the last cure"]) -> list[Step]:
    """Put back, then inspected by somebody else, at the time the data says; what was bonded in, once more at the end."""
    mine = [t for t in restorable(bench) if t.back is not None and t.back.when == when]
    again = _under_plies(bench) if LATE[when] else []
    if not mine:
        return [_seen_again(bench, again)] if again else []
    names, (set_at, seen_at, lead) = _names(mine), WHEN[when]
    closed = CLOSED if not LATE[when] and _under_plies(bench) else ""
    found = [
        step(
            set_at,
            f"Put back by the approved data: {names}",
            f"{lead} {closed}{NOT_RECKONED} What cannot be done as the reference says: stop, ask the engineer.",
            *_orders(mine),
            cautions=[*dust(bench), c.BLADE, c.FUEL, c.RESIN],
            tools=["tools the reference names"],
            blanks=[
                *(tick(f"{t.words}: as the reference says") for t in mine),
                note("Parts and compound, numbers, lots", "lots"),
                clock("Compound mixed at, where there is any"),
                clock("Set at", "by the reference, before the next step"),
                note("Who did it, licence or trade"),
            ],
        ),
        step(
            seen_at,
            f"Inspect what was put back: {names}",
            "Against the reference and what was measured before it came out: position, height, seat; no gap, no damage round it.",
            blanks=[
                *(b for t in mine for b in _sits(bench, t, f"as before it came out; {TOLERANCE}")),
                *(tick(f"{t.words}: sound, seated, as the reference says") for t in mine),
                note("Method, instrument, calibrated to"),
            ],
            hold="H15",
        ),
    ]
    return [*found, _seen_again(bench, again)] if again else found


def _under_plies(bench: Bench) -> list[Taken]:
    """Inserts and fasteners set before bonding: plug and plies may shift them, resin may run into them."""
    return [
        t
        for t in restorable(bench)
        if t.kind in SPOTS and t.back is not None and t.back.when == "before bonding"
    ]


def _seen_again(bench: Bench, mine: Sequence[Taken]) -> Step:
    """After the last cure, before it is sealed and painted: where it sits now."""
    return step(
        "E13",
        f"Inspect again what was bonded in: {_names(mine)}",
        "Bonding may have shifted it, resin may have run into it. Opened, and what closed it taken out and counted, only as the "
        "reference says; drilling makes dust. Another place, or resin in it: stop, ask the engineer.",
        cautions=dust(bench),
        blanks=[
            *(b for t in mine for b in _sits(bench, t, f"as before it came out; {TOLERANCE}")),
            *(tick(f"{t.words}: open and clean, or covered as the reference says") for t in mine),
            note("Method, instrument, calibrated to"),
        ],
        hold="H15",
    )


def _names(mine: Sequence[Taken]) -> str:
    return ", ".join(t.words for t in mine)


def _orders(mine: Sequence[Taken]) -> list[str]:
    """The data's words for each."""
    return [
        f"{t.words}: {t.back.how} ({t.back.place}); done by: {t.back.who}."
        for t in mine
        if t.back is not None
    ]


def _sits(bench: Bench, t: Taken, limit: str) -> list[Blank]:
    """Where it sits: two distances of what is round, the line of what has an outline."""
    if t.kind in SPOTS:
        return [
            number(f"{t.words}, along 0°", bench.units.length, said=limit),
            number(f"{t.words}, across 0°", bench.units.length, said=limit),
        ]
    return [note(f"{t.words}: where its line runs, from the datum marks")]
