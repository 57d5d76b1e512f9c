"""Steps that take material away and make the surface ready."""

from __future__ import annotations

from panelmend.job.card import cautions as c
from panelmend.job.card.part import Caution, Step
from panelmend.job.card.writing import INSPECTOR, Units, blank, step
from panelmend.job.case import Case
from panelmend.job.ground import Ground
from panelmend.job.work import Work


def _dust(case: Case) -> list[Caution]:
    cloths = {p.cloth for p in (*case.geometry.outer, *case.geometry.inner)}
    carbon = any(case.catalogue.cloth(i).fibre == "carbon" for i in cloths)
    return [c.DUST, c.CARBON] if carbon else [c.DUST]


def cut(case: Case, ground: Ground, work: Work) -> list[Step]:
    """Cut the skin, take out the core, dress the opening, and have it inspected."""
    cutout, units = work.cutout, Units.of(case.view)
    opening = cutout.opening
    dust = _dust(case)
    steps = [
        step(
            "cutout",
            f"Cut the skin on the {cutout.side}",
            (
                "Set the depth stop to ",
                cutout.skin_depth,
                f" and cut along the marked line through {cutout.plies_cut} "
                f"{'ply' if cutout.plies_cut == 1 else 'plies'}, no deeper. Never touch what lies below.",
            ),
            "Leave no overcut at corners; stop-drill nothing the data does not ask for.",
            cautions=[*dust, c.BLADE],
            tools=["router with depth stop, or hand cutter", "extraction"],
            blanks=[
                blank("Length measured", low=opening.length, unit=units.length),
                blank("Width measured", low=opening.width, unit=units.length),
            ],
            drawing="cutout",
        )
    ]
    if work.core.action != "none":
        steps.append(
            step(
                "core",
                "Take out the core",
                (
                    "Remove core to a depth of ",
                    cutout.core_depth,
                    ". Part it from the far skin and dress down only the high spots of the old adhesive; "
                    "never cut into the laminate of the far skin.",
                ),
                *(
                    [("Dress the mouth of the opening to ", cutout.mouth_angle, ", opening outwards.")]
                    if cutout.mouth_angle
                    else []
                ),
                "Vacuum the cells clean.",
                cautions=[*dust, c.BLADE],
                tools=["core knife", "scraper", "sanding block", "extraction"],
                drawing="core",
            )
        )
    if cutout.far is not None:
        other = "inside" if cutout.side == "outside" else "outside"
        steps.append(
            step(
                "cutout",
                f"Cut the skin on the {other}",
                "The hole in this skin is the same radial cut: mark it through from the first hole, then check it "
                f"with the template seen from the {other}.",
                cautions=[*dust, c.BLADE],
                drawing="cutout",
            )
        )
    steps.append(
        step(
            "cutout",
            "Inspect the opening",
            "No damage, disbond or moisture may be left at the edge or under it: tap all round the opening. "
            "Damage found beyond the cut-out stops this card: go back to the survey.",
            blanks=[
                blank("Tapped sound all round (yes / no)"),
                blank("Far skin undamaged (yes / no)"),
                blank("Moisture", unit="meter"),
            ],
            hold=INSPECTOR,
            drawing="cutout",
        )
    )
    return steps


def prepare(case: Case, ground: Ground, work: Work) -> list[Step]:
    """Taper where asked, abrade, clean, check with water."""
    data = case.document.data.surface
    grit = ground.given_or("surface.grit", data.grit, 150)
    within = ground.given_or("surface.bond_within", data.bond_within, 86400.0, "time")
    dust = _dust(case)
    steps = []
    for side in work.plies.sides:
        if side.taper is not None:
            steps.append(
                step(
                    "plies",
                    f"Taper the skin on the {side.side}",
                    (
                        "Sand an even taper of ",
                        side.taper,
                        " round the cut-out, ply by ply to the marked lines; every ply must show its full step.",
                    ),
                    cautions=dust,
                    tools=["sander", "templates"],
                    hold=INSPECTOR,
                    drawing=f"layup {side.side}",
                )
            )
    steps.append(
        step(
            "surface",
            "Abrade the bonding surface",
            (
                "Abrade with ",
                grit,
                " grit out to the PTFE tape line until the gloss is gone, without breaking fibre. Vacuum, never blow.",
            ),
            cautions=dust,
            tools=[f"abrasive, {grit.value} grit", "extraction"],
            blanks=[blank("Abraded: date and time")],
        )
    )
    solvent = data.solvent.value if data.solvent is not None else "the solvent of the approved data"
    name = case.catalogue.get(solvent).name if solvent in case.catalogue else solvent
    wiping = (
        f"Two-cloth wipe with {name}: wet one cloth, wipe one way, and dry with the second before it flashes off. "
        "Turn to clean cloth until nothing comes off. Warm air for what is left."
    )
    water = data.water_break is not None and data.water_break.value
    steps.append(
        step(
            "surface",
            "Clean the surface",
            wiping,
            *(
                ["Water-break check: a film of clean water must hold unbroken; then dry the surface fully."]
                if water
                else []
            ),
            ("Bond within ", within, " of abrading, or clean and check again."),
            cautions=[c.SOLVENT],
            materials=[name, "clean lint-free wipes"],
            blanks=[
                blank("Cleaned: date and time"),
                *([blank("Water film unbroken (yes / no)")] if water else []),
            ],
            hold=INSPECTOR,
        )
    )
    return steps


def cut_cloth(case: Case, ground: Ground, work: Work) -> list[Step]:
    """Cut plies and the core plug."""
    steps = []
    for nest in work.nest.cloths:
        cloth = nest.problem.cloth
        steps.append(
            step(
                "nest",
                f"Cut {_name(case, cloth)}"
                + (f" for {nest.problem.operation}" if nest.problem.operation else ""),
                "Lay the templates on the cloth as the layout shows: the warp arrow of each template along the roll. "
                "Face up where the cloth has a face, and never turned over.",
                f"To find the warp: {_warp_mark(case, cloth)}.",
                "Put each piece's label on its film at once; stack the pieces in the order they are laid.",
                cautions=[c.BLADE],
                tools=["templates", "shears or wheel cutter", "labels"],
                blanks=[blank("Pieces cut and labelled", unit="pieces")],
                drawing=f"nest {nest.problem.name}",
            )
        )
    plug = work.core.plug
    if plug is not None:
        steps.append(
            step(
                "core",
                "Cut the core plug",
                (
                    "Cut the plug to its template, ",
                    plug.thickness,
                    " thick, the ribbon along the arrow (",
                    plug.ribbon_seen,
                    " as seen from the working side, within ",
                    plug.ribbon_tolerance,
                    ").",
                ),
                ("Dry fit it: a gap of ", plug.gap, " all round, and ribbon along ribbon."),
                cautions=[c.BLADE, c.DUST],
                tools=["core template", "core knife"],
                blanks=[
                    blank("Widest gap", unit=Units.of(case.view).length),
                    blank("Ribbon checked (yes / no)"),
                ],
                hold=INSPECTOR,
                drawing="core",
            )
        )
    return steps


def _name(case: Case, ident: str) -> str:
    return case.catalogue.get(ident).name if ident in case.catalogue else ident


def _warp_mark(case: Case, ident: str) -> str:
    try:
        mark = case.catalogue.cloth(ident).warp_mark
    except LookupError:
        return "a film has none; keep it square to the roll"
    return mark or "the length of the roll is the warp"
