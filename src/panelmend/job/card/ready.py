"""Things made ready before a bonding operation: core plug, cap, pads, bag layers, heaters, survey, rehearsal, cloth."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagLayer, BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import thermocouples
from panelmend.job.card.bench import Bench, bagged, heated_by, on_plate
from panelmend.job.card.directions import bracketed, line
from panelmend.job.card.heating import ceiling_of, insulated
from panelmend.job.card.laid import laid_in
from panelmend.job.card.opening import dust
from panelmend.job.card.order import Place
from panelmend.job.card.part import Step, Table, Words
from panelmend.job.card.writing import ASK, RECORD, clock, note, number, step, tick
from panelmend.job.nest.part import ClothNest
from panelmend.trade import say


def taper(bench: Bench) -> list[Step]:
    """Machine the taper of a scarf."""
    return [
        step(
            "C2",
            f"Machine the taper on the {side.side} skin",
            (
                "An even taper of ",
                side.taper,
                " round the cut-out, ply by ply to the marked lines: every ply shows its full step.",
            ),
            cautions=dust(bench),
            tools=["sander", "templates"],
            blanks=[
                number("Taper length, least", bench.units.length, low=side.taper),
                number("Plies that show", "plies", said=f"{bench.work.cutout.plies_cut}"),
            ],
            hold="H2",
        )
        for side in bench.work.plies.sides
        if side.taper is not None
    ]


def plug(bench: Bench) -> list[Step]:
    """Cut the core plug, form it, dry fit it."""
    made, units, data = bench.work.core.plug, bench.units, bench.case.document.data
    if made is None:
        return []
    curved = bench.case.geometry.cylinder is not None
    form: list[Words] = []
    if curved:
        form = [
            (
                "Form it to the curve of the panel: ",
                *bench.order("card.form_core", data.preparation.form_core, "how core is formed"),
            )
        ]
    ribbon = bracketed(line(bench.case, float(made.ribbon)))
    return [
        step(
            "D2",
            "Cut the core plug, dry fit it",
            (
                f"{bench.name(made.material)}, ",
                made.thickness,
                " thick, cut to its template: ribbon at ",
                made.ribbon_seen,
                f"{ribbon} seen from the {bench.work.core.side}, along the panel's ribbon.",
            ),
            *form,
            (
                "Dry fit: gap ",
                made.gap,
                " all round. Trim it flush while dry; vacuum the dust out, wrap it in clean film.",
            ),
            cautions=[c.BLADE, *dust(bench)],
            blanks=[
                number("Widest gap", units.length, aim=made.gap),
                number("Height against skin", units.length),
                number("Ribbon off the panel's", "°", high=made.ribbon_tolerance),
            ],
            hold="H4",
        )
    ]


def heaters(bench: Bench) -> list[Step]:
    """Lay out heaters, controllers, thermocouples; prove the over-temperature cut-out."""
    if not bench.heated:
        return []
    highest: Figure | None = None
    for bag in bench.work.bag.operations:
        top = ceiling_of(bench, bag)
        if top is not None and (highest is None or float(top) < float(highest)):
            highest = top
    rows = []
    for bag in bench.work.bag.operations:
        for at in bench.cure(bag).blankets:
            rows.append(
                (
                    (f"{bag.name}: {at.blanket}",),
                    (at.circuit or "no circuit will do",),
                    (at.current,) if at.current is not None else ("not checked",),
                    (at.allowed,) if at.allowed is not None else ("not checked",),
                )
            )
    table = [
        Table("Blankets and circuits", ("Blanket", "Circuit", "Draws", "Circuit may carry"), tuple(rows))
    ]
    return [
        step(
            "D5",
            "Lay out blankets, controllers and thermocouples; prove them",
            "Type and polarity of every thermocouple as the controller asks; all read room temperature. Set an "
            "over-temperature cut-out of its own, with a thermocouple of its own, and trip it before any heat goes on.",
            cautions=[c.MAINS, c.HEAT],
            tools=["blankets", "controllers", "leads", "thermocouples", "over-temperature cut-out"],
            blanks=[
                number("Thermocouples off room temperature, most", bench.units.temperature, said=ASK),
                number("Cut-out trips at", bench.units.temperature, high=highest),
                number("Current drawn", "A", said="see table"),
                note("Controller, logger numbers"),
            ],
            tables=table if rows else [],
        )
    ]


def for_operation(bench: Bench, bag: BagOperation, first: bool) -> list[Step]:
    """Pads, bag layers, survey, rehearsal and cloth of one operation."""
    return [
        *_pads(bench, bag),
        *_layers(bench, bag),
        *_survey(bench, bag),
        *cloth(bench, bag, first),
        *_rehearse(bench, bag),
    ]


def _pads(bench: Bench, bag: BagOperation) -> list[Step]:
    pad = bag.cure.pad
    if pad is None and not bag.pressure_aid:
        return []
    what = bag.pressure_aid if pad is None else bench.name(pad.material)
    proud = None
    if pad is not None and pad.proud is not None:
        key = f"card.{bag.number}.pad_proud"
        proud = bench.ground.typed(key, pad.proud, "length", path=f"data.cure[{bag.number}].pad.proud")
    recessed = set(bag.lays) <= {"core", "cap", "potting"}
    how = (
        "It must not touch the skin beside the opening; laid in dry it stands a little proud of the skin, never below it."
        if recessed
        else "It lies over the plies: formed to the panel, no sharp edge or corner on a ply. How far it reaches is a "
        "matter of the approved data."
    )
    return [
        step(
            Place("D3", bag.number),
            f"{bag.name}: cut and wrap the pressure pad",
            f"Pressure pad or caul: {what}. Wrap it in PTFE film, no silicone. " + how,
            cautions=[c.BLADE],
            blanks=[
                number("Stands proud by", bench.units.length, aim=proud),
                tick("Wrapped, clear of the skin"),
            ]
            if recessed
            else [tick("Formed to the panel, edges rounded"), tick("Wrapped")],
        )
    ]


def _layers(bench: Bench, bag: BagOperation) -> list[Step]:
    if not bagged(bag):
        return []
    behind = bag.behind.layers if bag.behind is not None else ()
    tables = [Table("Layers of the bag, from the part up", _HEADS, _rows(bag.layers))]
    if bag.behind is not None:
        title = f"Layers on the {bag.behind.side}, from the panel out"
        tables.append(Table(title, _HEADS, _rows(behind)))
    number_of = sum(x.pieces for x in (*bag.layers, *behind))
    return [
        step(
            Place("D4", bag.number),
            f"{bag.name}: cut every layer of the bag and number it",
            "Cut them all now and stack them in order beside the panel. The order is that of the table, from the part up.",
            cautions=[c.BLADE],
            blanks=[number("Pieces cut", "pieces", said=f"{number_of}")],
            tables=tables,
        )
    ]


_HEADS = ("Layer", "Pieces", "Size")


def _rows(layers: tuple[BagLayer, ...]) -> tuple[tuple[Words, ...], ...]:
    """Rows of a table of layers: each with its pieces and size."""
    rows: list[tuple[Words, ...]] = []
    for layer in layers:
        size: Words = ("as drawn",)
        if layer.length is not None and layer.width is not None:
            size = (layer.length, " × ", layer.width)
        elif layer.length is not None:
            size = (layer.length, " long")
        rows.append(
            (
                (f"{layer.order}. {say(layer.use)}{f' ({layer.note})' if layer.note else ''}",),
                (str(layer.pieces),),
                size,
            )
        )
    return tuple(rows)


def _survey(bench: Bench, bag: BagOperation) -> list[Step]:
    heated = bench.cure(bag)
    if heated_by(bag) == "room temperature" or not bagged(bag):
        return []
    panel = bench.case.document.panel
    rows: list[tuple[Words, ...]] = []
    manual = bench.ground
    if panel.limit is not None:
        rows.append(
            (
                ("Panel: skins, core, bonds",),
                (manual.typed("panel.limit", panel.limit, "temperature", path="panel.limit"),),
            )
        )
    for i, s in enumerate(panel.structure):
        if s.limit is not None:
            path = f"panel.structure[{i + 1}].limit"
            rows.append(((f"{s.kind} {s.id}",), (manual.typed(path, s.limit, "temperature", path=path),)))
    table = (
        [Table("Nothing beside the repair may get hotter than", ("What", "Limit"), tuple(rows))]
        if rows
        else []
    )
    extra: list[str] = [f"Insulation {where}: {name}." for where, name in insulated(bench.case, bag.name)]
    if len(heated.blankets) > 1:
        extra.append(
            f"Blanket {heated.blankets[1].blanket} on the opposite side has a bag, a controller and thermocouples of its "
            "own; its bag is tested by itself."
        )
    return [
        step(
            Place("D6", bag.number),
            f"{bag.name}: heat survey and leak test on the dry stack",
            *(
                [
                    "Lay the stack dry on the plate, the thermocouple under the middle of the blanket, over the release "
                    "film. Draw vacuum, warm up slowly to well below the cure. See that it is the hottest place, and how "
                    "much colder the rim of the cap is."
                ]
                if on_plate(bag)
                else [
                    "Lay the stack dry with clean film on the panel, thermocouples at the places in the table, beside the "
                    "patch and never on it. Draw vacuum, warm up slowly to well below the cure. Find the coldest and the "
                    "hottest place; a thermocouple goes to each."
                ]
            ),
            *extra,
            cautions=[
                c.HEAT,
                c.MAINS,
                c.VACUUM,
                c.FUEL,
                *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else []),
            ],
            blanks=[
                number("Fuel vapour", "% of lower limit", high=_vapour(bench)),
                number("Coldest", bench.units.temperature, said=RECORD),
                number("Hottest", bench.units.temperature, said=RECORD),
                note("Where coldest / hottest"),
                number(
                    "Hottest beside the repair", bench.units.temperature, said="see table" if rows else ASK
                ),
                number("Loss when dry", f"{bench.units.vacuum} in the test", high=bag.leak_drop),
                number("Heat cycles of earlier bonds so far", "cycles"),
                tick("Limits of wiring and sealant known"),
            ],
            hold="H5",
            tables=[thermocouples.places(bench.ground, bench.work, bag, heated), *table],
        )
    ]


def _vapour(bench: Bench) -> Figure | None:
    return bench.given("card.vapour_most", bench.case.document.data.preparation.vapour_most, "share")


def _rehearse(bench: Bench, bag: BagOperation) -> list[Step]:
    mine = [k for k in bench.clocks if k.operation == bag.number]
    if not mine:
        return []
    rows: list[tuple[Words, ...]] = []
    for k in mine:
        needs: Words = (k.needed,) if k.needed is not None else ("write it here",)
        rows.append(((k.batch,), (k.life,), needs))
    blanks = [number(f"{k.batch}: mixing to tight bag", "min", high=k.life) for k in mine]
    return [
        step(
            Place("D7", bag.number),
            f"{bag.name}: rehearse with dry material and time it",
            "From first mixing to a bag that is tight and accepted, the inspector's holds included. Longer than the "
            "pot life: do not mix; stop, back to the planner.",
            blanks=blanks,
            tables=[
                Table("Pot life and what the bench needs", ("Batch", "Pot life", "Planned"), tuple(rows))
            ],
        )
    ]


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
    return "nests " + "; ".join(n.problem.name for n in nests)


def pieces_in(nests: list[ClothNest]) -> int:
    """How many pieces are cut."""
    return sum(len(layout.placements) for n in nests for layout in n.nest.layouts)


def cloth(bench: Bench, bag: BagOperation, first: bool) -> list[Step]:
    """Cut cloth for an operation dry, or cut the sheet that is wetted later."""
    nests = nests_of(bench, bag, first=first)
    if not nests:
        return []
    lots = [note(f"Lot, {bench.name(n.problem.cloth)}") for n in nests]
    out = clock("Out of the freezer") if _cold(bench, bag) else clock("Cut at")
    if wet_then_cut(bench, bag):
        sheets = [s for s in bench.work.kit.sheets if s.operation == bag.name]
        return [
            step(
                Place("D8", bag.number),
                f"{bag.name}: cut the sheets that are wetted, not yet the pieces",
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


def plate(bench: Bench) -> list[Step]:
    """The plate that a cap is cured on."""
    if not any(on_plate(b) for b in bench.work.bag.operations):
        return []
    return [
        step(
            "D9",
            "Make the heat-proof plate ready for the cap",
            "Flat, clean, non-stick release film on it that ends inside the sealing line: sealing tape sticks to bare "
            "plate. The plate reaches past the tape all round. Never on the open panel.",
            cautions=[c.HEAT],
            blanks=[note("Plate number"), number("Flat within", bench.units.length)],
        )
    ]


def trim_cap(bench: Bench) -> list[Step]:
    """Trim a cap that was cured on a plate."""
    if not any(on_plate(b) for b in bench.work.bag.operations):
        return []
    return [
        step(
            "D10",
            "Trim the cured cap to the opening",
            "Trim it with its peel plies on. Dry fit it over the plug, level with it, clear of the skin all round. The peel "
            "ply stays on its upper face until the plies are bonded to it"
            + (
                "; the one on its bond face comes off just before it is bonded."
                if bench.peeled_below
                else "."
            ),
            cautions=[c.DUST, c.EDGES],
            blanks=[
                number("Gap to the opening", bench.units.length, aim=bench.work.core.cap_gap),
                number(
                    "Peel plies on the cap",
                    "pieces",
                    said="2, one on each face" if bench.peeled_below else "1, on its upper face",
                ),
            ],
            hold="H4",
        )
    ]
