"""Cloth of an operation: the sheets that are wetted, or the pieces cut dry."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench
from panelmend.job.card.beside import cut_once
from panelmend.job.card.laid import laid_in
from panelmend.job.card.order import Place
from panelmend.job.card.part import Step, Words
from panelmend.job.card.writing import RECORD, clock_blank, note, number, step
from panelmend.job.kit.part import WetSheet
from panelmend.job.nest.part import ClothNest
from panelmend.job.work import Work

NESTS = "nests "  # how the name of their drawing begins


def wet_then_cut(bench: Bench, bag: BagOperation) -> bool:
    """Whether pieces are cut from a sheet that was wetted first; else they are cut dry."""
    given = bench.case.document.data.resin.wet_out
    sheets = any(s.operation == bag.name for s in bench.work.kit.sheets)
    return sheets and (given is None or given.value == "wet then cut")


def nests_of(bench: Bench, bag: BagOperation, *, first: bool) -> list[ClothNest]:
    """The sheets of cloth of an operation; those that serve all operations are cut in the first."""
    if not laid_in(bench.work, bag):
        return []
    names = ("", bag.name) if first else (bag.name,)
    return [n for n in bench.work.nest.cloths if n.problem.operation in names]


def cutting(bench: Bench, nests: list[ClothNest], *, first: bool) -> list[Words | str]:
    """How cloth is cut; said in full once, then only what is this cloth's own."""
    lines: list[Words | str] = []
    if first:
        lines.append(
            "Templates on the cloth as the layout shows: warp arrow along the warp, face up, never turned over. Label "
            "each piece at once; stack the pieces in the order they are laid."
        )
    for n in nests:
        lines.append(f"{bench.name(n.problem.cloth)}. Warp: {_warp_mark(bench, n.problem.cloth)}.")
    return lines


def nest_names(nests: list[ClothNest]) -> str:
    """The name of the drawing of cut layouts."""
    return NESTS + "; ".join(_plain(n) for n in nests)


def nests_drawn(work: Work, drawing: str) -> list[ClothNest]:
    """The sheets whose cut layouts a drawing shows, by its name."""
    names = drawing.removeprefix(NESTS).split("; ")
    return [n for n in work.nest.cloths if _plain(n) in names]


def _plain(nest: ClothNest) -> str:
    """The name of a sheet without what parts it from the next: people call cloths what they like."""
    return nest.problem.name.replace("%", "%25").replace(";", "%3B")


def pieces_in(nests: list[ClothNest]) -> int:
    """How many pieces are cut."""
    return sum(len(layout.placements) for n in nests for layout in n.nest.layouts)


def cut_from_strip(bench: Bench, bag: BagOperation, sheet: WetSheet) -> list[str]:
    """The pieces cut from the same strip as a sheet, each as often as it is cut, in the order they are laid."""
    found = [
        placed.piece
        for n in bench.work.nest.cloths
        if n.problem.operation == sheet.operation and n.problem.cloth == sheet.cloth
        for layout in n.nest.layouts
        if layout.strip.id == sheet.strip
        for placed in layout.placements
    ]
    order = {piece: i for i, piece in enumerate(bag.plies)}
    return sorted(found, key=lambda piece: order.get(piece, len(order)))


def cloth(bench: Bench, bag: BagOperation, first: bool) -> list[Step]:
    """Cut cloth for an operation dry, or cut the sheet that is wetted later."""
    nests = nests_of(bench, bag, first=first)
    if not nests:
        return []
    lots = [note(f"Lot, {bench.name(n.problem.cloth)}", "lots") for n in nests]
    out = clock_blank("Out of the freezer") if _cold(bench, bag) else clock_blank("Cut at")
    if wet_then_cut(bench, bag):
        sheets = [s for s in bench.work.kit.sheets if s.operation == bag.name]
        return [
            step(
                Place("D8", bag.number),
                f"{bag.name}: cut the sheets to be wetted out, not yet the pieces",
                *[
                    (
                        f"{bench.name(s.cloth)} from {s.strip}: a sheet ",
                        s.length,
                        " along the warp by ",
                        s.width,
                        ".",
                    )
                    for s in sheets
                ],
                "Mark the warp on the edge of each sheet. Cut two films for each, larger all round.",
                cautions=[c.BLADE, c.STATIC],
                tools=["shears", "rule", "film"],
                blanks=[number("Sheets cut", "sheets", said=f"{len(sheets)}"), *lots],
            )
        ]
    pieces = pieces_in(nests)
    return [
        step(
            Place("D8", bag.number),
            f"{bag.name}: cut the pieces",
            *cut_once(bench.case),
            *cutting(bench, nests, first=first),
            cautions=[c.BLADE, c.STATIC],
            tools=["templates", "shears or wheel cutter", "labels"],
            blanks=[
                number("Pieces cut and labelled", "pieces", said=f"{pieces}"),
                number("Scrap counted", "pieces", said=RECORD),
                *lots,
                out,
            ],
            drawing=nest_names(nests),
        )
    ]


def _cold(bench: Bench, bag: BagOperation) -> bool:
    return any(
        p.role == "film adhesive" or bench.case.catalogue.cloth(p.cloth).prepreg
        for p in laid_in(bench.work, bag)
    )


def _warp_mark(bench: Bench, ident: str) -> str:
    try:
        mark = bench.case.catalogue.cloth(ident).warp_mark
    except LookupError:
        return "a film has none; keep it square to the roll"
    return mark or "the length of the roll"
