"""Weighing and mixing a batch, and the coupons made of it."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Figure
from panelmend.derive.ledger import words_of
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench, bagged, heated_by
from panelmend.job.card.beside import own_batch
from panelmend.job.card.clocks import POT_LIFE_AT, POT_LIFE_SHORTER_FROM, minutes
from panelmend.job.card.heating import left_over
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Caution, Clock, Step, WarmAir, Words
from panelmend.job.card.writing import clock_blank, note, number, step
from panelmend.job.kit.part import Mix
from panelmend.units import show


def kept_in_the_cup(bench: Bench, bag: BagOperation) -> list[Words | str]:
    """What must be left in the cup for the cloth by whatever takes resin before it."""
    sheets = [s for s in bench.work.kit.sheets if s.operation == bag.name]
    if not sheets:
        return []
    mine = [m for m in bench.work.kit.mixes if m.operation == bag.name]
    cups = max((len(m.pots) for m in mine if any(s.code == "cloth" for s in m.shares)), default=1)
    where = "Leave in the cup" if cups == 1 else f"Leave in the {cups} cups together"
    parts: list[str | Figure] = [f"{where} what the cloth takes: "]
    for i, s in enumerate(sheets):
        parts += [" and " if i else "", s.resin]
    return [(*parts, ".")]


_FOR = {
    "cloth": " on the cloth",
    "brush": " brushed on",
    "spread": " spread, filler counted",
    "coupons": " in the coupons",
}


# Only upwards: what the balance may be off by is within both limits, and grows with them.
OTHER_RESIN = (
    "The hardener's limits are for the resin as printed. If there is less in the cup, add resin first. If there is more, multiply both limits "
    "by the resin in the cup over the resin printed."
)


def _serves(mix: Mix) -> list[Words | str]:
    """What the batch is for; the rest stays in cups or is there because less cannot be weighed."""
    if not mix.shares:
        return []
    parts: list[str | Figure] = ["It serves: "]
    for i, share in enumerate(mix.shares):
        parts += ["; " if i else "", share.amount, _FOR[share.code]]
    parts += ["; the rest stays in cups and on rollers"]
    if float(mix.surplus) > (1.0 + 1e-9) * len(mix.pots) * float(mix.step):
        parts += [", ", mix.surplus, " of it only because less cannot be weighed"]
    return [(*parts, ".")]


def share_of(bench: Bench, bag: BagOperation, batch: int, code: str) -> Figure | None:
    """The mass of a batch (counted from 1 within its operation) that is for one use."""
    mixes = [m for m in bench.work.kit.mixes if m.operation == bag.name]
    if not 1 <= batch <= len(mixes):
        return None
    return next((s.amount for s in mixes[batch - 1].shares if s.code == code), None)


def mix_batch(bench: Bench, bag: BagOperation, mix: Mix, at: int) -> Step:
    """Weigh and mix one batch, number ``at`` of the operation, from 1."""
    name = bench.name(mix.material)
    said: list[Words | str] = [
        (
            "For ",
            mix.purpose,
            f", {name}: in all ",
            mix.total,
            ", ",
            mix.resin,
            " resin and ",
            mix.hardener,
            " hardener.",
        )
    ]
    said += _serves(mix)
    if mix.filler is not None:
        said.append(("Stir in ", mix.filler, " of filler once resin and hardener are mixed."))
    said.append(
        "Containers at room temperature before they are opened; no solvent in it. Resin first; hardener to the resin "
        "that is in the cup. Fold, scrape, no air."
    )
    if mix.hardener_low is not None and mix.hardener_high is not None:
        said.append(OTHER_RESIN)
    said += left_over(mix, "under the blanket" if heated_by(bag) == "blanket" else "under the bag")
    mine = next((k for k in bench.clocks if k.batch == mix.id), None)
    said += _clock_words(mine, mix, bench.case.view, bag=bagged(bag))
    if len(mix.pots) > 1:
        said += _several(bench, mix)
    largest = bench.basis.ledger[f"materials.{mix.material}.pot_mass"]
    return step(
        Place("O11", bag.number, at),
        f"{bag.name}: weigh and mix {mix.purpose}",
        *own_batch(bench.case),
        *said,
        cautions=[
            c.RESIN,
            c.exotherm(_grams(bench, largest)),
            *([c.FILLER] if mix.filler is not None else []),
        ],
        tools=["balance", "cups", "stirrer"],
        materials=[name],
        blanks=_pots(mix, mine, bagged(bag)),
    )


def _several(bench: Bench, mix: Mix) -> list[Words | str]:
    """In what order several batches are mixed: one after the other is laid, but for a sheet that takes more than one."""
    first = "Write down before mixing which batch is for what; brush coat and coupons come from the first."
    large = mix.too_small_for(bench.work.kit.sheets)
    if not large:
        return [
            f"{len(mix.pots)} batches, each with its own times: mix the next only when you have laid the one before. {first}"
        ]
    names = ", ".join(dict.fromkeys(bench.name(s.cloth) for s in large))
    return [
        f"{len(mix.pots)} batches in cups of their own. The sheet of {names} takes more than one: for it mix the next right "
        "after the one before, never in one cup; the first one's times apply to the whole sheet. Between other "
        f"pieces mix the next only when you have laid the one before. {first}"
    ]


def _grams(bench: Bench, figure: Figure) -> str:
    return words_of(figure, bench.case.view)


def own_heat(bench: Bench, mixed: list[Mix]) -> Caution:
    """The caution of what is left of some mixes, with the least of their largest batches."""
    most = min((bench.basis.ledger[f"materials.{m.material}.pot_mass"] for m in mixed), key=float)
    return c.exotherm(_grams(bench, most))


def _warm_words(mine: Clock, mix: Mix, view: str) -> Words:
    """What the air of the bay does to the pot life."""
    at = show(POT_LIFE_AT, "temperature", view)
    match mine.warm:
        case WarmAir.NOT:
            from_there = show(POT_LIFE_SHORTER_FROM, "temperature", view, limit="most")
            return (f" (shorter in air above {from_there}: planner first)",)
        case WarmAir.UNTOLD:
            return ()
        case WarmAir.TOLD:
            return (" in this warm air, as the maker told it",)
        case WarmAir.RECKONED:
            assert mix.pot_life is not None
            return (" in this warm air by the typed cure constants (", mix.pot_life, f" at {at})")
        case WarmAir.HALVED:
            return (" (halved: the air is above 90 F, TM 1-1500-204-23-11 s.169)",)
        case _:
            assert_never(mine.warm)


def _clock_words(mine: Clock | None, mix: Mix, view: str, *, bag: bool) -> list[Words | str]:
    if mine is None:
        return [
            "Pot life: not in the document. Take it from the maker's sheet before mixing; no pot life, no mixing."
        ]
    if not mine.known:
        at = show(POT_LIFE_AT, "temperature", view)
        return [
            (
                "Pot life here NOT KNOWN: shorter than the ",
                mine.life,
                f" of its sheet, usually at {at}; this air is warmer. The maker tells it for this air; not told, no mixing. Lay "
                f"by: mixed at + that, less the minutes that {'bag, leak test and hold' if bag else 'the hold'} took when "
                "rehearsed. After that: stop, strip, clean, write it down.",
            )
        ]
    warm = _warm_words(mine, mix, view)
    if mine.lay is None:
        return [
            (
                "Pot life ",
                mine.life,
                *warm,
                ", counted from the first contact. Lay by: mixed at + pot life, less the minutes that "
                f"{'bag, leak test and hold' if bag else 'the hold'} took when rehearsed. After that: stop, strip, clean, write "
                "it down.",
            )
        ]
    return [
        (
            "Pot life ",
            mine.life,
            *warm,
            ", counted from the first contact: lay by mixed at + ",
            mine.lay,
            f", {'vacuum on and ' if bag else ''}accepted by mixed at + ",
            mine.life,
            ". After that: stop, strip, clean, write it down.",
        )
    ]


ASK_MAKER = "ask the maker"
SHORTER_HERE = "shorter than its sheet's; not told, no mixing"


def _pots(mix: Mix, mine: Clock | None, bag: bool) -> list[Blank]:
    rows = []
    lay = (
        "mixed at + pot life − closing"
        if mine is None or mine.lay is None or not mine.known
        else f"mixed at + {minutes(mine.lay)}"
    )
    on = "mixed at + pot life" if mine is None or not mine.known else f"mixed at + {minutes(mine.life)}"
    several = len(mix.pots) > 1
    if mine is not None and not mine.known:
        rows.append(number("Pot life in this air, told by the maker", "min", said=SHORTER_HERE))
    for i, (resin, hardener, filler) in enumerate(mix.pots, 1):
        head = f"Batch {i}: " if several else ""
        rows.append(number(f"{head}resin", "g", aim=resin, said="write what is in the cup"))
        if mix.hardener_low is not None and mix.hardener_high is not None:
            rows.append(number(f"{head}hardener", "g", low=mix.hardener_low, high=mix.hardener_high))
        else:
            rows.append(number(f"{head}hardener", "g", aim=hardener))
        if filler is not None:
            rows.append(number(f"{head}filler", "g", aim=filler))
        rows += [
            clock_blank(f"{head}mixed at", "first contact", "mixed"),
            clock_blank(f"{head}lay by", lay, "lay by"),
            clock_blank(f"{head}{'vacuum on' if bag else 'accepted'} by", on, "on by"),
        ]
    rows.append(note("Lots of both parts", "lots"))
    return rows


def coupon_steps(bench: Bench, bag: BagOperation, batch: int, *, wet: bool) -> list[Step]:
    """Make the witness coupon; no step where the data asks for none.

    Args:
        bench: the repair at the bench.
        bag: the operation it is made in.
        batch: number of the batch it is made from, 0 for none.
        wet: its plies are wetted by hand, from the batch's cup.
    """
    coupon = bench.case.document.data.inspection.coupon
    if coupon is None:
        return []
    made = coupon.value
    place = bench.basis.given("card.coupon", coupon, value=f"{made.number} × {made.kind}")
    takes = share_of(bench, bag, batch, "coupons")
    hot = heated_by(bag) != "room temperature"
    alike = f"under the same bag{' and heat' if hot else ''}" if bagged(bag) else "cured as it is"
    cut = made.kind == "laminate" or batch == 0
    return [
        step(
            Place("O12", bag.number, batch),
            f"{bag.name}: make the witness coupon{' from this batch' if batch else ''}",
            (
                place,
                f" ({coupon.place}): same {'batch' if batch else 'rolls and lots'}, beside the repair {alike}",
                *((": ", takes, " in all, counted in the batch.") if takes is not None else (".",)),
            ),
            *(
                ["What is cut for it is in no cut layout: cut it from the same rolls, as the data says."]
                if cut
                else []
            ),
            *(kept_in_the_cup(bench, bag) if wet else []),
            cautions=[*([c.RESIN] if batch else []), *([c.BLADE] if cut else [])],
            blanks=[number("Coupons made", "pieces", said=f"{made.number}"), note("Coupon numbers")],
        )
    ]
