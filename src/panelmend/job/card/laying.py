"""Steps of each cure operation: mix, lay, bag, test; how it is heated and opened stands in ``curing``."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import curing, thermocouples
from panelmend.job.card.part import Blank, Step, Words
from panelmend.job.card.writing import INSPECTOR, Units, blank, step
from panelmend.job.case import Case
from panelmend.job.ground import Ground
from panelmend.job.kit.part import Mix
from panelmend.job.plies.part import Ply
from panelmend.job.work import Work


def operation(case: Case, ground: Ground, work: Work, bag: BagOperation) -> list[Step]:
    """All steps of one cure operation."""
    return [
        *_mixes(case, work, bag),
        *_lay(case, work, bag),
        _bag(case, ground, work, bag),
        _leak(case, bag),
        curing.cure(case, ground, work, bag),
        curing.open_(case, ground, bag),
    ]


def _mixes(case: Case, work: Work, bag: BagOperation) -> list[Step]:
    steps = []
    for mix in work.kit.mixes:
        if mix.operation != bag.name:
            continue
        name = case.catalogue.get(mix.material).name
        lines: list[Words | str] = [
            (
                "For ",
                mix.purpose,
                f": {name}, in all ",
                mix.total,
                ": ",
                mix.resin,
                " resin and ",
                mix.hardener,
                " hardener.",
            ),
        ]
        if mix.filler is not None:
            lines.append(("Stir in ", mix.filler, " of filler after resin and hardener are mixed."))
        if mix.pot_life is not None:
            lines.append(
                ("Use each pot within ", mix.pot_life, " of mixing. Mix the next one when it is wanted.")
            )
        steps.append(
            step(
                "kit",
                f"{bag.name}: mix {mix.purpose}",
                *lines,
                cautions=[c.RESIN],
                tools=["balance", "cups", "stirrer"],
                materials=[name],
                blanks=_pots(mix),
            )
        )
    return steps


def _pots(mix: Mix) -> list[Blank]:
    rows = []
    for i, (resin, hardener, filler) in enumerate(mix.pots, 1):
        rows.append(blank(f"Pot {i}: resin", low=resin, unit="g"))
        low = mix.hardener_low if mix.hardener_low is not None else hardener
        rows.append(blank(f"Pot {i}: hardener", low=low, high=mix.hardener_high, unit="g"))
        if filler is not None:
            rows.append(blank(f"Pot {i}: filler", low=filler, unit="g"))
        rows.append(blank(f"Pot {i}: mixed at"))
    return rows


def laid_in(work: Work, bag: BagOperation) -> list[Ply]:
    """The plies that go down in an operation, in the order they are laid."""
    parts = set(bag.lays)
    plies: list[Ply] = []
    if "cap" in parts:
        plies += sorted(work.core.cap, key=lambda p: p.lay_order)
    for side in work.plies.sides:
        if bag.cure.side is not None and side.side != bag.cure.side:
            continue
        for ply in sorted(side.plies, key=lambda p: p.lay_order):
            part = "fill" if ply.role == "fill" else "plies"
            fill_with_plies = part == "fill" and not _fill_apart(case_cures=work, bag=bag)
            if part in parts or (fill_with_plies and "plies" in parts):
                plies.append(ply)
    return plies


def _fill_apart(case_cures: Work, bag: BagOperation) -> bool:
    """Whether some operation lays the fill plies by themselves."""
    return any("fill" in op.lays for op in case_cures.bag.operations)


def _lay(case: Case, work: Work, bag: BagOperation) -> list[Step]:
    steps = []
    parts = set(bag.lays)
    if "core" in parts and work.core.plug is not None:
        steps.append(
            step(
                "core",
                f"{bag.name}: bond the plug",
                "Spread the floor adhesive and butter the edge of the opening; set the plug ribbon along ribbon and "
                "press it home. Fill the gap level and wipe off what is too much.",
                (
                    "The plug's ribbon lies ",
                    work.core.plug.ribbon_seen,
                    " as seen from the working side, within ",
                    work.core.plug.ribbon_tolerance,
                    ".",
                ),
                cautions=[c.RESIN],
                blanks=[
                    blank("Ribbon along ribbon (yes / no)"),
                    blank("Plug level within", unit=Units.of(case.view).length),
                ],
                hold=INSPECTOR,
                drawing="core",
            )
        )
    if "potting" in parts or ("core" in parts and work.core.action == "pot"):
        steps.append(
            step(
                "core",
                f"{bag.name}: pot the core",
                "Fill the cells from the bottom up without trapping air, level with the skin's bonding surface.",
                cautions=[c.RESIN],
                drawing="core",
            )
        )
    plies = laid_in(work, bag)
    if plies:
        tolerance = work.plies.angle_tolerance
        lines: list[Words | str] = [
            (
                "Lay in this order; each warp within ",
                tolerance,
                ". Angles are as seen from the side you lay from.",
            ),
        ]
        for i, ply in enumerate(plies, 1):
            lines.append(
                (
                    f"{i}. {ply.id}, {ply.role}, {_name(case, ply)}: warp at ",
                    ply.warp_seen,
                    ", ",
                    ply.margin,
                    " beyond the cut-out.",
                )
            )
        steps.append(
            step(
                "plies",
                f"{bag.name}: lay the plies",
                *lines,
                *_wet_sheets(case, work, bag),
                *_handling(case, plies),
                cautions=[c.RESIN],
                tools=["roller", "squeegee"],
                blanks=[
                    blank("Plies laid", unit="plies"),
                    blank("Films taken off", unit="films"),
                    blank("Warp angles checked (yes / no)"),
                ],
                hold=INSPECTOR,
                drawing=f"layup {plies[-1].side}",
            )
        )
    return steps


def _wet_sheets(case: Case, work: Work, bag: BagOperation) -> list[Words]:
    """The sheets to wet out for an operation: size, strip and resin of each."""
    return [
        (
            f"Wet out {case.catalogue.get(s.cloth).name} from {s.strip}: a sheet ",
            s.length,
            " by ",
            s.width,
            " with ",
            s.resin,
            " of mixed resin.",
        )
        for s in work.kit.sheets
        if s.operation == bag.name
    ]


def _handling(case: Case, plies: list[Ply]) -> list[str]:
    """How the cloth is handled: wetted out here, or taken off its backing."""
    cloths = [case.catalogue.cloth(p.cloth) for p in plies if p.role != "film adhesive"]
    words = []
    if any(not cloth.prepreg for cloth in cloths):
        words.append(
            "Wet out between films, and roll air from the middle outwards. Take off every film as its ply goes down: count them."
        )
    if any(cloth.prepreg for cloth in cloths) or any(p.role == "film adhesive" for p in plies):
        words.append(
            "Let cold material warm up in its closed bag until no water settles on it. Take off every backing as its ply goes down: count them."
        )
    return words


def _name(case: Case, ply: Ply) -> str:
    return case.catalogue.get(ply.cloth).name


def _bag(case: Case, ground: Ground, work: Work, bag: BagOperation) -> Step:
    heated = next(o for o in work.cure.operations if o.number == bag.number)
    lines: list[Words | str] = ["Build the bag in this order, each layer to the size on the drawing:"]
    for layer in bag.layers:
        size: Words = ()
        if layer.length is not None and layer.width is not None:
            size = (", ", layer.length, " by ", layer.width)
        elif layer.length is not None:
            size = (", ", layer.length, " long")
        count = f", {layer.pieces} pieces" if layer.pieces > 1 else ""
        note = f" ({layer.note})" if layer.note else ""
        lines.append((f"{layer.order}. {layer.use}", *size, f"{count}{note}"))
    if bag.pressure_aid:
        lines.append(f"Pressure aid: {bag.pressure_aid}.")
    lines += curing.before_closing(case, heated)
    return step(
        "bag",
        f"{bag.name}: bag it",
        *lines,
        cautions=[c.VACUUM, *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else [])],
        tools=["shears", "vacuum fitting", "pump", "rule"],
        blanks=[
            blank("Thermocouples fixed", unit="pieces"),
            blank("Each at its place (yes / no)"),
            blank("Moved, and to where"),
        ],
        drawing=f"bag {bag.name}",
        tables=[thermocouples.places(ground, work, bag, heated)],
    )


def _leak(case: Case, bag: BagOperation) -> Step:
    vacuum, leak = bag.vacuum, bag.leak
    lines: list[Words | str] = [
        (
            "Draw at least ",
            bag.least_vacuum,
            " at the gauge farthest from the pump: a pressure difference of ",
            vacuum.difference,
            *(
                ()
                if vacuum.absolute is None
                else (", with ", vacuum.absolute, " absolute left under the bag")
            ),
            *(() if vacuum.boiling is None else (", where water boils at ", vacuum.boiling)),
            ".",
        )
    ]
    if bag.available_vacuum is not None:
        lines.append(("The air here can give no more than ", bag.available_vacuum, " of gauge vacuum."))
    lines.append(("The air then presses on the bag with ", bag.force, ": see that the panel is held."))
    lines.append(("Close the valve: no more than ", bag.leak_drop, " may be lost in ", bag.leak_time, "."))
    if leak.flow is not None:
        lines.append(("That is a leak of about ", leak.flow, " into the bag; hoses and gauge not counted."))
    return step(
        "bag",
        f"{bag.name}: vacuum and leak test",
        *lines,
        cautions=[c.VACUUM],
        tools=["vacuum gauge in calibration", "clock"],
        blanks=[
            blank("Vacuum at the start", low=bag.least_vacuum, unit="inHg"),
            blank("Vacuum at the end", unit="inHg"),
            blank("Gauge number"),
        ],
        hold=INSPECTOR,
        drawing=f"bag {bag.name}",
    )
