"""A bag made ready: its pad, its layers cut and numbered, the dry stack surveyed and tested."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagLayer, BagOperation, Behind
from panelmend.job.card import cautions as c
from panelmend.job.card import oven, pressed, thermocouples
from panelmend.job.card.bench import Bench, bagged, begun_by, heated_by, on_plate
from panelmend.job.card.beside import dried_first, dried_first_blanks
from panelmend.job.card.heating import insulated
from panelmend.job.card.order import Place
from panelmend.job.card.part import Step, StepTable, Words
from panelmend.job.card.writing import ASK, RECORD, note, number, step, tick
from panelmend.job.openings import empty_when_tried
from panelmend.job.seal_path import seal_paths
from panelmend.trade import trade_word
from panelmend.units import show
from panelmend.units.showing import on_a_rule


def pads(bench: Bench, bag: BagOperation) -> list[Step]:
    """Cut and wrap the pressure pad or caul; no step without one."""
    pad = bag.cure.pad
    if pad is not None:
        what = bench.name(pad.material)
    elif bag.pressure_aid is not None:
        what = bag.pressure_aid.what
    else:
        return []
    proud = None
    if pad is not None and pad.proud is not None:
        key = f"card.{bag.number}.pad_proud"
        proud = bench.basis.typed(key, pad.proud, "length", path=f"data.cure[{bag.number}].pad.proud")
    recessed = pad is not None or bag.cure.aid_on_cut_out
    how = (
        "Cut it by the template of the cut-out. It must not touch the skin beside the opening; laid in dry it stands a little proud of the skin, never below it."
        if recessed
        else "It lies over the plies, as large as the largest of them unless the approved data says otherwise: formed to "
        "the panel, no sharp edge or corner on a ply."
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


def layer_steps(bench: Bench, bag: BagOperation) -> list[Step]:
    """Cut and number every layer of the bag, also of one behind the panel; no step without a bag."""
    if not bagged(bag):
        return []
    behind = bag.behind.layers if bag.behind is not None else ()
    tables = [StepTable("Layers of the bag, from the part up", _HEADS, _rows(bag.layers))]
    if bag.behind is not None:
        title = f"Layers on the {bag.behind.side}, from the panel out"
        tables.append(StepTable(title, _HEADS, _rows(behind)))
    number_of = sum(x.pieces for x in (*bag.layers, *behind))
    return [
        step(
            Place("D4", bag.number),
            f"{bag.name}: cut every layer of the bag and number it",
            *tape_off(bench, bag),
            f"Cut all of them now and stack them in order beside the {'plate' if on_plate(bag) else 'panel'}. The order is that "
            "of the table, from the part up.",
            cautions=[c.BLADE],
            blanks=[number("Pieces cut", "pieces", said=f"{number_of}")],
            tables=tables,
        )
    ]


def tape_off(bench: Bench, bag: BagOperation) -> list[str]:
    """What to settle first where the sealing tape cannot lie as drawn; said before anything is mixed or laid, too."""
    said = []
    for path in seal_paths(bench.case, bag):
        what = []
        if path.past:
            by_rule = on_a_rule(path.past, "least") if bench.case.view == "in" else ""
            past = by_rule or show(path.past, "length", bench.case.view, limit="least")
            what.append(f"reaches {past} past the edge of the panel")
        if path.crossed:
            what.append(f"crosses {', '.join(path.crossed)}")
        if what:
            said.append(
                f"NO SEAL AS DRAWN on the {path.side}: the tape {' and '.join(what)}. Agree with the planner how this bag "
                "is sealed (both sides in one envelope, a plate flush with the edge, another line), as the data allows; "
                f"{begun_by(bench, bag)} nothing until it has held vacuum dry."
            )
    return said


_CLOSED_BY: dict[Behind, str] = {
    "support": "support",
    "other skin": "stack",
    "second blanket": "second blanket",
}
_HEADS = ("Layer", "Pieces", "Size")


def _rows(layers: tuple[BagLayer, ...]) -> tuple[tuple[Words, ...], ...]:
    """Rows of a table of layers: each with its pieces and size."""
    rows: list[tuple[Words, ...]] = []
    for layer in layers:
        size: Words = ("–",)
        if layer.use in ("pressure pad", "pressure aid"):
            size = ("by template, see its step",)
        if layer.length is not None and layer.width is not None:
            size = (layer.length, " × ", layer.width)
        elif layer.length is not None:
            size = (layer.length, " long")
        rows.append(
            (
                (f"{layer.order}. {trade_word(layer.use)}{f' ({layer.note})' if layer.note else ''}",),
                (str(layer.pieces),),
                size,
            )
        )
    return tuple(rows)


def survey_steps(bench: Bench, bag: BagOperation) -> list[Step]:
    """The heat survey and leak test on the dry stack; no step for a cure at room temperature."""
    heated = bench.cure(bag)
    if heated_by(bag) == "room temperature":
        return []
    held = bagged(bag)
    empty = held and empty_when_tried(bag, bench.work.bag.operations, bench.work.core)
    panel = bench.case.document.panel
    rows: list[tuple[Words, ...]] = []
    manual = bench.basis
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
        [StepTable("Nothing beside the repair may get hotter than", ("What", "Limit"), tuple(rows))]
        if rows
        else []
    )
    beside = number("Hottest beside the repair", bench.units.temperature, said="see table" if rows else ASK)
    extra: list[str] = [f"Insulation {where}: {name}." for where, name in insulated(bench.case, bag.name)]
    behind = bag.behind
    together = behind is not None and behind.drawn_with
    if len(heated.blankets) > 1:
        extra.append(
            f"Blanket {heated.blankets[1].blanket} on the opposite side has a bag, a controller and thermocouples of its "
            f"own; {'its bag is drawn with this one' if together else 'test its bag by itself'}."
            + (
                f" Find the middle and the hottest place under {unplanned} too: a thermocouple at each."
                if (unplanned := heated.unplanned_behind)
                else ""
            )
        )
    if behind is not None and together:
        extra.append(
            f"The {_CLOSED_BY[behind.kind]} and the bag on the {behind.side} are built dry as "
            "for the cure. Draw and test both bags together, let air into both together: one alone pushes the stack "
            "through the hole."
        )
    return [
        step(
            Place("D6", bag.number),
            f"{bag.name}: heat survey{' and leak test' if held else ''} on the dry stack",
            *(dried_first(bench.case) if bag.on_panel else []),
            *([_filled_first(bag)] if empty else []),
            *(
                [pressed.survey_words(bag)]
                if not held
                else [
                    "Lay the stack dry on the plate, the thermocouple under the middle of the blanket, over the release "
                    "film. Draw vacuum, warm up slowly to well below the cure. Check that it is the hottest place, and see "
                    "how much colder the rim of the cap is."
                ]
                if on_plate(bag) and not oven.in_oven(bag)
                else [oven.survey_line(bag)]
                if oven.in_oven(bag)
                else [
                    f"{_dry_in(bench, bag)}Lay the stack dry with clean film on the panel, thermocouples at the places in the table, beside the "
                    "patch and never on it. Draw vacuum, warm up slowly to well below the cure. Find the coldest and the "
                    "hottest place; put a thermocouple at each."
                ]
            ),
            *extra,
            cautions=[
                oven.hot(bag),
                *([c.MAINS] if not oven.in_oven(bag) else []),
                *oven.hazards(bag),
                *([c.PLATE if on_plate(bag) else c.VACUUM] if held else pressed.cautions(bag)),
                c.FUEL,
                *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else []),
            ],
            blanks=[
                *(dried_first_blanks(bench.case) if bag.on_panel else []),
                number("Fuel vapour", "% of lower limit", high=_vapour(bench)),
                number("Coldest", bench.units.temperature, said=RECORD),
                number("Hottest", bench.units.temperature, said=RECORD),
                note("Where coldest / hottest"),
                *([tick("Opening filled level with the skin, before vacuum")] if empty else []),
                *oven.oven_survey_blanks(bag),
                *([beside] if not on_plate(bag) else []),
                *(
                    [
                        number("Vacuum reached dry", bench.units.vacuum, low=bag.least_vacuum),
                        number("Loss when dry", f"{bench.units.vacuum} in the test", high=bag.leak_drop),
                    ]
                    if held
                    else [tick("Nothing that presses has moved")]
                ),
                *(
                    [
                        number("Opposite side: vacuum reached dry", bench.units.vacuum, low=bag.least_vacuum),
                        number(
                            "Opposite side: loss when dry",
                            f"{bench.units.vacuum} in the test",
                            high=bag.leak_drop,
                        ),
                    ]
                    if behind is not None and behind.bagged
                    else []
                ),
                *(
                    [
                        number("Heat cycles of earlier bonds so far", "cycles"),
                        tick("Limits of wiring and sealant known"),
                    ]
                    if not on_plate(bag)
                    else []
                ),
                *([note("Gauge number", "instruments")] if held else []),
                *(
                    [note("Opposite side: gauge number", "instruments")]
                    if behind is not None and behind.bagged
                    else []
                ),
            ],
            hold="H5" if held else pressed.SURVEYED,
            tables=[
                thermocouples.place_table(bench.basis, bench.work, bag, heated),
                *(table if not on_plate(bag) else []),
            ],
        )
    ]


def _dry_in(bench: Bench, bag: BagOperation) -> str:
    """What lies dry in the opening while its heat is tried: without it the bag is drawn into the hole."""
    if bench.cap_alone(bag):
        return f"The cap lies dry on the plug, {bench.up[0].lower()}{bench.up[1:]}, clean film under it. "
    if "core" not in bag.lays or bench.work.core.plug is None:
        return ""
    return f"The plug {'and the cap lie' if bag.bonds_cap else 'lies'} dry in the opening. "


def _filled_first(bag: BagOperation) -> str:
    """What goes into an opening that has no core in it yet, before a bag is drawn over it."""
    held = bag.behind is not None and bag.behind.kind == "support"
    return (
        f"{'Support and filling' if held else 'The filling'} first: fill the opening dry, level with the skin, as the data "
        "says, with a filler in release film that stands this heat; if the data says nothing: stop, ask the engineer. "
        "Over an empty opening the bag is drawn in."
    )


def _vapour(bench: Bench) -> Figure | None:
    return bench.given("card.vapour_most", bench.case.document.data.preparation.vapour_most, "share")
