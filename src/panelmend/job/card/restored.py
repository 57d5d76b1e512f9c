"""Steps for what the cut takes away besides skin and core: taken out, put back by the data's reference, inspected.

Nothing of how it is done is made up here: the data's own words, place and person stand in the step.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from panelmend.derive import Figure
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench
from panelmend.job.card.clocks import in_hot_air, in_the_heat, in_warmth, minutes
from panelmend.job.card.opening import dust
from panelmend.job.card.part import Blank, Step, Words
from panelmend.job.card.taken import InCutout, lying_in_cutout
from panelmend.job.card.unpredicted import heated_back_words
from panelmend.job.card.writing import AS_BEFORE, ASK_CURED, RECORD, clock_blank, note, number, step, tick
from panelmend.job.put_back import heated
from panelmend.units import Limit

HEATED = (
    "Heat it only as the reference says, a thermocouple at the compound, its reading written down; never unattended, no "
    "heat while vapour or solvent is there."
)
COLD = "No heat on it: this plan has none. If the reference calls for heat: stop, planner."
NOT_RECKONED = "No prediction of temperatures or strength here includes it."
SHORTER = " at the temperature of its sheet, and shorter in this warm air (ask the maker),"
HALVED = " (halved: the air is above 90 F, TM 1-1500-204-23-11 s.169)"
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


def restorable(bench: Bench) -> list[InCutout]:
    """What the cut takes away and the data puts back; KeyError for a time at which no step does."""
    return [t for t in lying_in_cutout(bench.case, bench.work) if t.back is not None and WHEN[t.back.when]]


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
            f"{lead} {closed}{NOT_RECKONED} If it cannot be done as the reference says: stop, ask the engineer.",
            *_orders(mine),
            *(_worked(bench, t) for t in mine if _life(bench, t) is not None),
            *([HEATED, *_who(bench, mine)] if _hot(mine) else [COLD]),
            cautions=[*dust(bench), c.BLADE, c.FUEL, c.RESIN, *([c.STEAM, c.HEAT] if _hot(mine) else [])],
            tools=["tools the reference names"],
            blanks=[
                *(tick(f"{t.words}: as the reference says") for t in mine),
                note("Parts and compound, numbers, lots", "lots"),
                *([tick("Moisture checked again before this heat: dry")] if _hot(mine) else []),
                clock_blank("Compound mixed at, where there is any"),
                clock_blank("Set at", _set_by(bench, mine)),
                note("Who did it, licence or trade"),
            ],
        ),
        step(
            seen_at,
            f"Inspect what was put back: {names}",
            "Against the reference and what was measured before it came out: position, height, seat; no gap, no damage round it. "
            "Let whatever cures cure first; do nothing on it before.",
            *(_cured(bench, t) for t in mine if t.back is not None and t.back.cure_for is not None),
            blanks=[
                *(b for t in mine for b in _cure(bench, t)),
                *(b for t in mine for b in _sits(bench, t, AS_BEFORE)),
                *(tick(f"{t.words}: sound, seated, as the reference says") for t in mine),
                note("Method, instrument, calibrated to"),
            ],
            hold="H15",
        ),
    ]
    return [*found, _seen_again(bench, again)] if again else found


def _under_plies(bench: Bench) -> list[InCutout]:
    """Inserts and fasteners set before bonding: plug and plies may shift them, resin may run into them."""
    return [t for t in restorable(bench) if t.kind in SPOTS and t.back is not None and not LATE[t.back.when]]


def _seen_again(bench: Bench, mine: Sequence[InCutout]) -> Step:
    """After the last cure, before it is sealed and painted: where it sits now."""
    return step(
        "E13",
        f"Inspect again what was bonded in: {_names(mine)}",
        "Bonding may have shifted it, resin may have run into it. Open it, and take out and count what closed it, only as "
        "the reference says; drilling makes dust. If it has moved or has resin in it: stop, ask the engineer.",
        cautions=dust(bench),
        blanks=[
            *(b for t in mine for b in _sits(bench, t, AS_BEFORE)),
            *(tick(f"{t.words}: open and clean, or covered as the reference says") for t in mine),
            note("Method, instrument, calibrated to"),
        ],
        hold="H15",
    )


def _names(mine: Sequence[InCutout]) -> str:
    return ", ".join(t.words for t in mine)


def _orders(mine: Sequence[InCutout]) -> list[str]:
    """The data's words for each."""
    return [
        f"{t.words}: {t.back.how} ({t.back.place}); done by: {t.back.who}."
        for t in mine
        if t.back is not None
    ]


def _sits(bench: Bench, t: InCutout, limit: str) -> list[Blank]:
    """Where it sits: two distances of what is round, the line of what has an outline."""
    if t.kind in SPOTS:
        return [
            number(f"{t.words}, along 0°", bench.units.length, said=limit),
            number(f"{t.words}, across 0°", bench.units.length, said=limit),
        ]
    return [note(f"{t.words}: where its line runs, from the datum marks")]


def _typed(bench: Bench, t: InCutout, name: str, kind: str, limit: Limit = "most") -> Figure | None:
    """A figure of how it is put back; None where the document has none."""
    value = getattr(t.back, name)
    if value is None or t.back is None:
        return None
    at = bench.case.document.data.put_back.index(t.back) + 1
    key, ledger = f"card.put_back.{at}.{name}", bench.basis.ledger
    path = f"data.put_back[{at}].{name}"
    return ledger[key] if key in ledger else bench.basis.typed(key, value, kind, path=path, limit=limit)


def _heat(bench: Bench, t: InCutout) -> tuple[Figure | None, Figure | None]:
    """The coolest and the warmest its cure may be."""
    return (
        _typed(bench, t, "cure_low", "temperature", "least"),
        _typed(bench, t, "cure_high", "temperature"),
    )


def _life(bench: Bench, t: InCutout) -> Figure | None:
    """The working life of its compound, shorter in hot air as a batch's is; None where none is typed."""
    typed = _typed(bench, t, "pot_life", "time")
    if typed is None or not in_the_heat(bench.basis):
        return typed
    ledger, key = bench.basis.ledger, f"{typed.key}_hot"
    return ledger[key] if key in ledger else ledger.derive(key, in_hot_air, life=typed)


def _untold(bench: Bench) -> bool:
    """Whether the air is warmer than that of a compound's sheet, and nothing tells how much shorter it works."""
    return in_warmth(bench.basis) and not in_the_heat(bench.basis)


def _worked(bench: Bench, t: InCutout) -> Words:
    """The working life of its compound, and what is done past it."""
    life = _life(bench, t)
    assert life is not None
    return (
        f"{t.words}: its compound works for ",
        life,
        HALVED if in_the_heat(bench.basis) else SHORTER if _untold(bench) else "",
        " from first contact: mix only what you can set in that time. After that: out again, clean, mix again.",
    )


def _set_by(bench: Bench, mine: Sequence[InCutout]) -> str:
    lives = [life for t in mine if (life := _life(bench, t)) is not None]
    if not lives:
        return "by the reference, before the next step"
    if _untold(bench):
        return "mixed at + its working life in this air, told by the maker"
    return f"mixed at + {minutes(min(lives, key=float))}, or less by the reference"


def _hot(mine: Sequence[InCutout]) -> bool:
    """Whether any of it is cured by heat, not in the air of the room."""
    return any(t.back is not None and heated(t.back) for t in mine)


def _who(bench: Bench, mine: Sequence[InCutout]) -> list[str]:
    """What nobody predicts of its heat, and who took it on."""
    entries = bench.case.document.data.put_back
    hot = [(t.words, t.back) for t in mine if t.back is not None and heated(t.back)]
    return [heated_back_words(bench, entries.index(b) + 1, words) for words, b in hot]


def _cured(bench: Bench, t: InCutout) -> Words:
    """How long its compound cures, and between what temperatures."""
    least = _typed(bench, t, "cure_for", "time", "least")
    low, high = _heat(bench, t)
    assert least is not None
    parts: list[str | Figure] = [f"{t.words}: cured for at least ", least]
    parts += [", no cooler than ", low] if low is not None else []
    parts += [", no warmer than ", high] if high is not None else []
    return (*parts, ".")


def _told_in_hours(least: Figure | None) -> bool:
    """Whether a time is told in hours on the pages."""
    return least is not None and float(least) >= 7200.0


def _cure(bench: Bench, t: InCutout) -> list[Blank]:
    """When its cure began and ended, and what was read; its least time and heat where they are typed."""
    low, high = _heat(bench, t)
    least, degrees = _typed(bench, t, "cure_for", "time", "least"), bench.units.temperature
    asked = "" if least is not None else ASK_CURED
    return [
        number(f"{t.words}: cured for", "h" if _told_in_hours(least) else "min", low=least, said=asked),
        *([number(f"{t.words}: coldest in its cure", degrees, low=low)] if low is not None else []),
        *([number(f"{t.words}: hottest in its cure", degrees, high=high)] if high is not None else []),
    ]
