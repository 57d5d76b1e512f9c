"""The first page of a job with several damages: which, how far apart, what they share, in which order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from panelmend.derive.ledger import words_of
from panelmend.document.answer_check import job_number
from panelmend.errors import all_codes
from panelmend.job.nest.part import Layout
from panelmend.plan.plan import Plan
from panelmend.plan.several import J229, Several, damage_name, damaged_on, own_standing
from panelmend.plan.sharing import Cut
from panelmend.plan.standing import Standing
from panelmend.render.amounts import handed_out, unit_printed
from panelmend.render.drawing import scale_to_fit, scale_words
from panelmend.render.dxf import layout_dxf
from panelmend.render.letter import Block, head, item_list, letter_sheets, loud, picture, table_block
from panelmend.render.nest import nest_drawing, strip_length
from panelmend.render.pieces import heading_of, slug
from panelmend.render.strokes import page_data
from panelmend.render.svg import to_svg
from panelmend.render.tables import Cell, Column, ListTable, to_csv, to_xlsx
from panelmend.render.typesetting import Sheets
from panelmend.render.views.several import several_view
from panelmend.render.views.sheet import bar
from panelmend.trade import trade_word
from panelmend.units import show

SAID = (
    "Each damage has a folder of its own with card, templates, labels and lists; every page of it carries "
    "the letter of the damage behind the number of the repair. Work on one damage at a time."
)
WETNESS = {
    "found": "water found",
    "not checked": "nobody has looked: check first, and dry what is wet",
}
SHORT = {Standing.STOP: "STOP", Standing.DRAFT: "DRAFT", Standing.READY: "ready"}
GRAVEST = (Standing.STOP, Standing.DRAFT, Standing.READY)


def standing_of(made: Several) -> Standing:
    """The gravest standing of its plans: what the whole job stands at."""
    return min((p.standing for p in made.plans), key=GRAVEST.index)


def base_number(plan: Plan) -> str:
    """Number of the repair without the letter of the damage."""
    repair = plan.case.document.repair
    return job_number(repair.base, damage_name(plan)) + repair.number.removeprefix(repair.base)


def several_sheets(made: Several) -> Sheets:
    """Its pages, ready to be set."""
    first = made.plans[0]
    standing = standing_of(made)
    mark = "" if standing is Standing.READY else standing.value
    about = first.case.document.repair.title.partition(": ")[2]
    title = f"Damages {', '.join(damage_name(p) for p in made.plans)} of one panel"
    return letter_sheets(first, title, SAID, _blocks(made), mark=mark, number=base_number(first), about=about)


def several_json(made: Several) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "number": base_number(made.plans[0]),
        "standing": standing_of(made).value,
        "damages": [
            {
                "name": damage_name(p),
                "plan": p.digest,
                "standing": p.standing.value,
                "alone": own_standing(p).value,
            }
            for p in made.plans
        ],
        "between": [
            {"a": b.a, "b": b.b, "apart": b.apart, "overlaps": b.overlaps, "asked": b.asked, "holds": b.holds}
            for b in made.between
        ],
        "cut_at_once": [
            {
                "cloth": c.cloth,
                "operation": c.operation,
                "of": list(c.names),
                "alone": c.alone,
                "together": c.together,
            }
            for c in made.cuts
        ],
        "stores": [{"store": d.words, "taken": dict(d.taken), "there": d.there} for d in made.draws],
    }


def _blocks(made: Several) -> list[Block]:
    view = made.plans[0].case.view
    blocks: list[Block] = []
    stops = [f for p in made.plans for f in p.findings if f.code.startswith("J22") and f in p.stop_reasons]
    titles = {c.code: c.title for c in all_codes()} | {J229.code: "A damage of this job stops all of it"}
    for stop in dict.fromkeys(stops):
        blocks.append(loud(titles[stop.code], f"{stop.words}. {stop.todo[:1].upper()}{stop.todo[1:]}."))
    rows = [_damage(p) for p in made.plans]
    blocks.append(
        table_block(
            ("damage", "skin, depth", "size", "cut-out", "stands at", "plan"), rows, (0, 2, 2, 2, 2, 0)
        )
    )
    for side in ("outside", "inside"):
        if any(damaged_on(p, side) for p in made.plans):
            blocks.append(picture(several_view(made.plans, side, (165.0, 110.0))))
    blocks += _distances(made, view)
    blocks += _order(made)
    blocks += _stores(made, view)
    blocks += _cloth(made, view)
    blocks.append(head("Not planned here"))
    blocks.append(item_list(NOT_PLANNED))
    return blocks


NOT_PLANNED = (
    "curing two damages at once, under one bag or two: circuits, blankets, pump and heat are planned for one",
    "one batch of resin or adhesive for two damages: what is laid from one batch is cured together, which is "
    "not planned; each mixes its own",
    "the effect of two repairs together on the panel's strength: each is compared with the sound "
    "panel on its own",
    "heat from one cure in a repair that is already finished: check that it stays below that bond's limit",
)


def _damage(plan: Plan) -> list[str]:
    damage, view = plan.case.document.damage, plan.case.view
    size = f"{words_of(plan.limits.along, view)} by {words_of(plan.limits.across, view)}"
    opening = "none"
    if plan.work is not None:
        o = plan.work.cutout.opening
        opening = f"{o.form}, {words_of(o.length, view)} by {words_of(o.width, view)}"
    alone = own_standing(plan)
    stands = f"{SHORT[alone]}: {plan.limits.disposition}"
    if plan.standing is not alone:
        stands += f"; with the others {plan.standing.value}"
    return [damage_name(plan), f"{damage.side}, {damage.depth}", size, opening, stands, plan.short_digest]


def _distances(made: Several, view: str) -> list[Block]:
    if not made.between:
        return []
    rows = []
    for b in made.between:
        far = "on two skins" if b.apart == float("inf") else show(b.apart, "length", view, limit="most")
        asked = "the data gives none" if b.asked is None else show(b.asked, "length", view)
        verdict = {True: "holds", False: "DOES NOT HOLD", None: "not checked: confirm"}[b.holds]
        if b.apart == float("inf") and not b.overlaps:
            verdict = "openings do not overlap"
        rows.append([f"{b.a} and {b.b}", "overlap" if b.overlaps else far, asked, verdict])
    return [
        head("Distance between the outermost plies"),
        table_block(("damages", "apart", "at least", ""), rows, (1, 1, 1, 1)),
    ]


def _order(made: Several) -> list[Block]:
    names = [damage_name(p) for p in made.plans]
    over = [f.words for p in made.plans for f in p.findings if f.code == "J224"]
    wet = {damage_name(p): p.case.document.damage.moisture for p in made.plans}
    wet = {name: moisture for name, moisture in wet.items() if moisture != "none found"}
    order = [*wet, *(n for n in names if n not in wet)]
    rows = [
        "map, limits and making safe are done once for the panel; every other step, drying and its proof "
        "too, for each damage by its card"
    ]
    many = len(wet) > 1
    if wet:
        said = ", ".join(f"{name} ({WETNESS[moisture]})" for name, moisture in wet.items())
        rows.append(
            f"WET FIRST: {said}. Drain, dry and prove {'each of them' if many else 'it'} by its card, hold "
            "H3 signed, before anything of the panel is heated for a survey or a cure: a blanket over one "
            "damage heats the wet core of another"
        )
    begun = "proof of dry" if many else "cut"
    shared = "that order" if order == names else f"the order {', '.join(names)}"
    rows.append(
        f"one after the other: {', then '.join(order)}, each from its {begun} to its cure; remnants are "
        f"shared out in {shared}"
    )
    if over and many:
        rows.append(
            "wet damages are opened, dried and kept dry and covered all the same; what stands open under the "
            "bag of another is sealed off first, and proven dry again by its card"
        )
    if over:
        rows.append(f"do not open a {'dry ' if many else ''}damage while a bag still has to be laid over it:")
        rows += list(dict.fromkeys(over))
    return [head("Order"), item_list(rows)]


def _stores(made: Several, view: str) -> list[Block]:
    blocks: list[Block] = []
    if made.draws:
        rows = [
            [
                d.words,
                d.material,
                ", ".join(f"{n} {show(v, d.kind, view, limit='least')}" for n, v in d.taken),
                show(d.total, d.kind, view, limit="least"),
                show(d.there, d.kind, view, limit="most"),
                "SHORT" if d.short else "enough",
            ]
            for d in made.draws
        ]
        blocks += [
            head("Drawn from one lot"),
            table_block(
                ("store", "material", "by damage", "in all", "there is", ""), rows, (0, 2, 3, 0, 0, 0)
            ),
        ]
    return blocks


CUT_AT_ONCE = (
    "If you cut all at once, skip the cutting in the single cards: take the roll or remnant of the "
    "layout, cut, and put the label of its damage (the letter before the point) on each piece at once",
    "keep the pieces of the later damage flat, covered and clean; note on each card which roll and lot they "
    "came from",
    "if less than that is left on the roll, or one damage waits, cut each by its card",
)


def _cloth(made: Several, view: str) -> Iterator[Block]:
    """Layouts of the dry pieces of all damages, and what each cuts for itself."""
    if made.cuts:
        rows = [
            [
                c.title,
                ", ".join(c.names),
                show(c.alone, "length", view, limit="least"),
                show(c.together, "length", view, limit="least"),
            ]
            for c in made.cuts
        ]
        yield from [
            head("Dry cloth cut at once"),
            table_block(("cloth", "of damages", "of roll one by one", "from one layout"), rows, (3, 1, 1, 1)),
            item_list(CUT_AT_ONCE),
        ]
        for c in made.cuts:
            yield from [layout_picture(c, layout, view) for layout in c.made.nest.layouts]
    if made.apart:
        yield head("Cloth that each damage cuts for itself")
        yield item_list(
            [
                f"{a.cloth} for {a.operation}: {a.why}" if a.operation else f"{a.cloth}: {a.why}"
                for a in made.apart
            ]
        )


def layout_picture(cut: Cut, layout: Layout, view: str) -> Block:
    """The layout on one roll or remnant."""
    scale = scale_to_fit([bar(0.0, 0.0, strip_length(layout), layout.strip.width)], 140.0, 60.0)
    drawn = nest_drawing(layout, dict(cut.shapes), scale=scale, view=view)
    kind = "remnant" if layout.strip.remnant else "roll"
    words = f"on {kind} {layout.strip.id}; warp along the roll, face up, scale {scale_words(scale)}"
    drawing = {"name": "cut at once", "title": cut.title, "words": words, "drawing": page_data(drawn.flat())}
    return {"kind": "picture", "drawing": drawing}


def shared_files(made: Several) -> dict[str, bytes]:
    """The kit list of the whole job, and the shared layouts for a cutter, by path inside the pack."""
    first = made.plans[0]
    view, number = first.case.view, base_number(first)
    listed = kit_table(made)
    files = {
        "kit-list.csv": to_csv(listed),
        "kit-list.xlsx": to_xlsx([listed], title=f"Kit list of all damages, repair {number}"),
    }
    standing = standing_of(made)  # what is cut at once is cut for all: the gravest stands on it
    mark = "" if standing is Standing.READY else standing.value
    heading = replace(heading_of(first), repair=number, mark=mark)
    for cut in made.cuts:
        shapes = dict(cut.shapes)
        for layout in cut.made.nest.layouts:
            name = f"cut-at-once/{slug(cut.title)}-{slug(layout.strip.id)}"
            files[f"{name}.dxf"] = layout_dxf(heading, layout, shapes)
            drawn = nest_drawing(layout, shapes, view=view)
            title = f"{cut.title} on {layout.strip.id}"
            files[f"{name}.svg"] = to_svg(drawn.flat(), title=title, mark=mark)
    return files


def kit_table(made: Several) -> ListTable:
    """One kit list for all damages: what each takes and all of them; amounts in the reader's units."""
    first = made.plans[0]
    view, names = first.case.view, [damage_name(p) for p in made.plans]
    above = (
        ("Repair", base_number(first)),
        ("Panel", first.case.document.panel.name),
        ("Plans", ", ".join(f"{damage_name(p)} {p.short_digest}" for p in made.plans)),
        ("Stands at", standing_of(made).value),
    )
    columns = (
        Column("Group", 12),
        Column("Material", 40),
        Column("Purpose", 28),
        *(Column(f"Damage {n}", 11, 2) for n in names),
        Column("In all", 11, 2),
        Column("Unit", 8),
        Column("Lots", 40),
        Column("Short", 8),
    )

    def amount(value: float | None, kind: str, unit: str) -> Cell:
        if value is None:
            return None
        return handed_out(value, kind, view, unit) if kind else int(value)

    rows = []
    for n in made.kit:
        by = dict(n.by)
        most = max((v for v in (n.total, *by.values()) if v is not None), default=None)
        unit = "" if most is None else unit_printed(most, n.kind, view) if n.kind else "pieces"
        used = "; ".join(trade_word(p) for p in n.purposes) + (
            " (one damage after the other)" if n.serves else ""
        )
        own = [amount(by.get(name), n.kind, unit) for name in names]
        lots = "; ".join(n.picks)
        rows.append(
            (
                n.group,
                n.name,
                used.strip(),
                *own,
                amount(n.total, n.kind, unit),
                unit,
                lots,
                "SHORT" if n.short else "",
            )
        )
    return ListTable("Kit of all damages", above, columns, tuple(rows))
