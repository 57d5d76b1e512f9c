"""How a cure is done: on panel or plate, by blanket, oven or room temperature, with or without a bag."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from panelmend.document.approved import Cure
from panelmend.document.bounds import plainly
from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults.cures import COOL_CURE
from panelmend.document.faults.names import known_materials
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.materials import Bagging


def _on_a_plate(document: Document) -> Iterator[Fault]:
    """Only a cap is cured away from the panel, and a later operation on the panel bonds it."""
    cures = document.data.cure
    for i, cure in enumerate(cures):
        if not cure.on_plate:
            continue
        here: Path = ("data", "cure", i)
        if cure.lays != ("cap",):
            yield fault_at(
                (*here, "lays"),
                "only a cap is cured on a plate",
                ", ".join(cure.lays),
                'lays = ["cap"]',
                "give what is laid on the panel an operation of its own",
            )
        elif not any("cap" in c.lays and not c.on_plate for c in cures[i + 1 :]):
            yield fault_at(
                (*here, "cured_on"),
                "no later operation bonds the cap that is cured on a plate",
                '"plate"',
                'an operation on the panel with "cap" in its lays after it',
            )


def _ways(document: Document) -> Iterator[Fault]:
    for i, cure in enumerate(document.data.cure):
        here: Path = ("data", "cure", i)
        if not cure.bagged and cure.heated_by == "blanket":
            yield fault_at(
                (*here, "bagged"),
                "nothing presses on a blanket without a bag",
                "false",
                'a bag, or heated_by = "oven" or "room temperature"',
            )
        if not cure.bagged and cure.vacuum is not None:
            yield fault_at(
                (*here, "vacuum"),
                "a vacuum is typed, but no bag",
                plainly(cure.vacuum, "vacuum"),
                "a bag, or no vacuum",
            )
        yield from _pressed(here, cure)
        match cure.heated_by:
            case "room temperature":
                yield from _not_heated(here, cure)
            case "blanket" | "oven":
                for field in ("sand_after", "load_after"):
                    if getattr(cure, field) is not None:
                        yield fault_at(
                            (*here, field),
                            "only a cure at room temperature has this time",
                            plainly(getattr(cure, field), "time"),
                            'heated_by = "room temperature", or leave it out',
                        )
            case _:
                assert_never(cure.heated_by)


def _pressed(here: Path, cure: Cure) -> Iterator[Fault]:
    """What presses without a bag: one thing presses, and only weights and clamps press so and so hard."""
    if cure.pressed is None:
        return
    if cure.bagged:
        yield fault_at(
            (*here, "pressed"),
            "pressed by a bag and by something else",
            f'"{cure.pressed.by}"',
            "bagged = false, or leave it out",
        )
    elif cure.pressed.by in UNLOADED and cure.pressed.least is not None:
        yield fault_at(
            (*here, "pressed", "least"),
            f'"{cure.pressed.by}" presses with no pressure that anyone sets',
            plainly(cure.pressed.least, "pressure"),
            'by = "weights" or "clamps", or leave the pressure out',
        )


UNLOADED = ("contact", "nothing")


def _not_heated(here: Path, cure: Cure) -> Iterator[Fault]:
    for j, segment in enumerate(cure.segment):
        if segment.kind != "dwell":
            yield fault_at(
                (*here, "segment", j, "kind"),
                "a cure at room temperature is neither heated nor cooled",
                f'"{segment.kind}"',
                '"dwell" alone, or heated_by = "blanket"',
            )
        elif segment.to > COOL_CURE:
            yield fault_at(
                (*here, "segment", j, "to"),
                "warmer than any room",
                plainly(segment.to, "temperature"),
                f"at most {plainly(COOL_CURE, 'temperature')}",
                'check C or F, or say what heats it: heated_by = "blanket"',
            )
    if cure.sand_after is not None and cure.load_after is not None and cure.sand_after > cure.load_after:
        yield fault_at(
            (*here, "load_after"),
            "loaded before it may be sanded",
            plainly(cure.load_after, "time"),
            f"at least {plainly(cure.sand_after, 'time')}",
        )


def _heat_chosen(document: Document) -> Iterator[Fault]:
    """A choice of blankets, set point or rate belongs to a cure that a blanket heats."""
    heated = {c.name: c.heated_by for c in document.data.cure}
    for i, heat in enumerate(document.choice.heat):
        if heated.get(heat.cure, "blanket") != "blanket":
            yield fault_at(
                ("choice", "heat", i, "cure"),
                "no blanket heats this cure",
                f"{heat.cure!r}, heated by {heated[heat.cure]}",
                "a cure heated by a blanket, or no choice",
            )


def _pads(document: Document) -> Iterator[Fault]:
    known = known_materials(document)
    for i, cure in enumerate(document.data.cure):
        for field in NAMES:
            chosen = getattr(cure, field)
            if chosen is None or chosen.material is None:
                continue
            here: Path = ("data", "cure", i, field)
            found = known.get(chosen.material)
            if not (isinstance(found, Bagging) and found.use == "caul"):
                usable = [n for n, m in known.items() if isinstance(m, Bagging) and m.use == "caul"]
                yield fault_at(
                    (*here, "material"),
                    f"no {NAMES[field]} material has this id"
                    if found is None
                    else f"this material is not for {NAMES[field]}s",
                    repr(chosen.material),
                    f'bagging with use = "caul": {", ".join(usable) or "none is known"}',
                    "describe it under [[materials.bagging]]",
                )
        if cure.caul_sheet is not None:
            here = ("data", "cure", i, "caul_sheet")
            if cure.pad is not None:
                yield fault_at(
                    here, "pressed by a pad and under a caul sheet", cure.pad.material, "one of them"
                )
        if cure.pad is None:
            continue
        here = ("data", "cure", i, "pad")
        if cure.pressure_aid is not None:
            yield fault_at(
                here,
                "pressed by a pad and by a pressure pad or caul (pressure_aid)",
                cure.pressure_aid.what,
                "one of them",
            )


NAMES = {"pad": "pad", "caul_sheet": "caul sheet", "pressure_aid": "pressure aid"}


def _cap(document: Document) -> Iterator[Fault]:
    """Peel plies and a gap are of a cap that is cured before it is bonded."""
    cap = document.data.core.cap
    if cap is None or any(c.on_plate for c in document.data.cure):
        return
    for field in ("peel_plies", "gap"):
        if getattr(cap.value, field) is not None:
            yield fault_at(
                ("data", "core", "cap", "value", field),
                "only a cap cured on a plate has this",
                str(getattr(cap.value, field))
                if field == "peel_plies"
                else plainly(cap.value.gap or 0.0, "length"),
                'cured_on = "plate" in the operation that lays the cap, or leave it out',
            )


CHECKS = (
    (_on_a_plate, ("data.cure",)),
    (_ways, ("data.cure",)),
    (_heat_chosen, ("choice", "data.cure")),
    (_pads, ("data.cure", "materials")),
    (_cap, ("data.core", "data.cure")),
)
