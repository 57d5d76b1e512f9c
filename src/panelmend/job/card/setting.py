"""Adhesive spread, and what it holds set: the plug, the plug with a cap cured beforehand, or that cap by itself."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card.apart import kept_apart
from panelmend.job.card.bench import Bench, heated_by
from panelmend.job.card.directions import bracketed, line
from panelmend.job.card.holds import CAP_SET, PLUG_SET, SET
from panelmend.job.card.laid import laid_in
from panelmend.job.card.mixing import share_of
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Step
from panelmend.job.card.writing import clock_blank, number, step, tick
from panelmend.job.kit.part import Mix

ON_THE_CAP = (
    "Spread on the whole face of the plug, the edge of the skin round it, the cap's bond face and its rim; no bare spot, no "
    "air. Cells are not filled. None on its upper face."
)
THIN_WALL = (
    "Round the plug no wider than the gap: a thick wall of paste burns from its own heat of cure, and no thermocouple "
    "shows it. Scrape out what fills cells cut open, unless the data asks for it."
)


def spread(bench: Bench, bag: BagOperation, mix: Mix, at: int) -> Step:
    """The adhesive of a mix spread where it belongs."""
    core = bench.work.core
    alone = bench.cap_alone(bag)
    if "potting" in bag.lays or core.action == "pot":
        where = "Fill the cells from the bottom up without trapping air, level with the bonding surface of the skin."
    else:
        on = bench.work.core.floor_on
        bottom = "" if on == "nothing" else " and its bottom"
        floor = {"far skin": "the far skin in the opening, ", "core": "the floor of the opening, "}.get(
            on, ""
        )
        cap = ", and on the cap's bond face" if bag.bonds_cap else ""
        where = f"Spread on {floor}the core edge of the panel, the sides of the plug{bottom}{cap}; no bare spot, no air."
    if alone:
        where = ON_THE_CAP
    edge = bench.case.document.data.preparation.pot_core_edge
    amount = share_of(bench, bag, at, "spread")
    heated = bench.cure(bag).problem
    walls = heated.splice is not None if heated is not None else False
    return step(
        Place("O14", bag.number, at),
        f"{bag.name}: spread {mix.purpose}",
        where,
        *(
            [
                (
                    "Cut edges: ",
                    *bench.order("card.pot_core_edge", edge, "potting"),
                    " The batch does not include what that takes: mix it separately.",
                )
            ]
            if edge is not None and not alone
            else []
        ),
        *([THIN_WALL] if walls else []),
        cautions=[c.RESIN],
        blanks=[
            number("Adhesive spread", "g", aim=amount or mix.total, said="more where a bare spot is left"),
            clock_blank("First contact at", "before the bond-within time", "first contact"),
        ],
    )


def set_in(bench: Bench, bag: BagOperation, batch: int) -> list[Step]:
    """What the adhesive holds is set: a plug, a plug and a cap, or the cap on a plug that was bonded before."""
    return [_cap(bench, bag, batch)] if bench.cap_alone(bag) else _plug(bench, bag, batch)


def _cap(bench: Bench, bag: BagOperation, batch: int) -> Step:
    apart, signed = kept_apart(bench, bag)
    return step(
        Place("O17", bag.number, batch),
        f"{bag.name}: set the cap",
        _turned_words(bench),
        "One edge down first, then pressed from the middle outwards, air out. It must sit home on the plug, nowhere above the "
        "skin. Wipe off what squeezes out. If it rocks or stands up: take it off within the pot life, ask the engineer.",
        *apart,
        cautions=[c.RESIN],
        blanks=[
            _cap_angle(bench),
            number("Gap to the opening", bench.units.length, aim=bench.work.core.cap_gap),
            tick("Home, nowhere above the skin"),
            tick("Adhesive squeezed out all round"),
            *signed,
        ],
        hold=CAP_SET,
    )


def _turned_words(bench: Bench) -> str:
    return f"{bench.up}, its 0° mark along the panel's 0°."


def _cap_angle(bench: Bench) -> Blank:
    return number("Cap's 0° off the panel's", "°", high=bench.work.plies.angle_tolerance)


def _plug(bench: Bench, bag: BagOperation, batch: int) -> list[Step]:
    plug, units = bench.work.core.plug, bench.units
    if "core" not in bag.lays or plug is None:
        return []
    plies = laid_in(bench.work, bag)
    cap = bag.bonds_cap
    lifts = ": it would lift the blanket" if heated_by(bag) == "blanket" else ""
    ribbon = bracketed(line(bench.case, float(plug.ribbon)))
    level = bench.given("core.fit_undersize", bench.case.document.data.core.fit_undersize, "length")
    apart, signed = kept_apart(bench, bag) if cap else ([], [])
    return [
        step(
            Place("O17", bag.number, batch),
            f"{bag.name}: set the plug{' and the cap' if cap else ''}",
            (
                "Ribbon along ribbon, ",
                plug.ribbon_seen,
                f"{ribbon} seen from the {bench.work.core.side}. Press it home, level; never high{lifts}. Wipe off what squeezes out.",
            ),
            *([f"The cap: {_turned_words(bench)[0].lower()}{_turned_words(bench)[1:]}"] if cap else []),
            *apart,
            cautions=[c.RESIN],
            blanks=[
                number("Ribbon off the panel's", "°", high=plug.ribbon_tolerance),
                *([_cap_angle(bench)] if cap else []),
                number("Lower than the core by", units.length, high=level),
                tick("Adhesive squeezed out all round"),
                *signed,
            ],
            hold="" if plies else SET if cap else PLUG_SET,
        )
    ]
