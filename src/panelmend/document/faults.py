"""Faults that need more than one field to see: ids used twice, unknown materials, depth against plies."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.approved import Cure, RepairPly, SidePlies
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.errors import InputError, MissingError
from panelmend.materials import Catalogue, builtin

Fault = tuple[Path, InputError]


def catalogue_of(document: Document) -> Catalogue:
    """The document's own materials before the built-in ones."""
    return Catalogue(document.materials, builtin())


def faults_of(document: Document) -> list[Fault]:
    """Every fault of a document whose single fields are all well formed, with its path."""
    try:
        catalogue = catalogue_of(document)
    except InputError as error:
        return [(("materials",), error)]
    return [
        *_ids(document),
        *_materials(document, catalogue),
        *_angles(document),
        *_damage(document),
        *_plies(document),
        *_cures(document),
        *_bay(document),
        *_people(document),
    ]


def _ids(document: Document) -> Iterator[Fault]:
    groups: list[tuple[Path, tuple[str, ...]]] = [
        (("panel", "fastener"), tuple(f.id for f in document.panel.fastener)),
        (("panel", "insert"), tuple(f.id for f in document.panel.insert)),
        (("panel", "structure"), tuple(s.id for s in document.panel.structure)),
        (("panel", "earlier_repair"), tuple(r.id for r in document.panel.earlier_repair)),
        (("panel", "solid_area"), tuple(a.id for a in document.panel.solid_area)),
        (("data", "cure"), tuple(c.name for c in document.data.cure)),
        (("bay", "blanket"), tuple(b.id for b in document.bay.blanket)),
        (("bay", "circuit"), tuple(c.id for c in document.bay.circuit)),
        (("bay", "instrument"), tuple(i.id for i in document.bay.instrument)),
        (("stores", "roll"), tuple(r.id for r in document.stores.roll)),
        (("stores", "lot"), tuple(lot.id for lot in document.stores.lot)),
        (("confirm",), tuple(c.figure for c in document.confirm)),
    ]
    for path, names in groups:
        for i, name in enumerate(names):
            if name in names[:i]:
                yield (*path, i), InputError("used twice", read=repr(name), expected="a name of its own")


def _materials(document: Document, catalogue: Catalogue) -> Iterator[Fault]:
    def check(path: Path, kind: str, ident: str) -> Iterator[Fault]:
        try:
            getattr(catalogue, kind)(ident)
        except MissingError as error:
            yield (
                path,
                InputError(
                    str(error),
                    read=repr(ident),
                    expected=f"a {kind} of the tables or of [[materials.{kind}]]",
                ),
            )

    for side in ("outer_skin", "inner_skin"):
        for i, ply in enumerate(getattr(document.panel, side).plies):
            yield from check(("panel", side, "plies", i, "cloth"), "cloth", ply.cloth)
    yield from check(("panel", "core", "material"), "core", document.panel.core.material)
    for path, plies in _repair_plies(document):
        for i, ply in enumerate(plies):
            yield from check((*path, i, "cloth"), "cloth", ply.cloth)
    data = document.data
    for field, kind in (("material", "core"), ("adhesive", "adhesive"), ("floor_adhesive", "adhesive")):
        given = getattr(data.core, field)
        if given is not None:
            yield from check(("data", "core", field, "value"), kind, given.value)
    if data.plies.film_adhesive is not None:
        yield from check(
            ("data", "plies", "film_adhesive", "value"), "adhesive", data.plies.film_adhesive.value
        )
    if data.resin.system is not None:
        yield from check(("data", "resin", "system", "value"), "resin", data.resin.system.value)
    for i, roll in enumerate(document.stores.roll):
        yield from check(("stores", "roll", i, "material"), "get", roll.material)
    for i, lot in enumerate(document.stores.lot):
        yield from check(("stores", "lot", i, "material"), "get", lot.material)


def _repair_plies(document: Document) -> Iterator[tuple[Path, tuple[RepairPly, ...]]]:
    for side in ("outside", "inside"):
        given: SidePlies | None = getattr(document.data.plies, side)
        if given is None:
            continue
        for field in ("fill", "repair", "extra"):
            plies = getattr(given, field)
            if plies is not None:
                yield ("data", "plies", side, field, "value"), plies.value
        if given.sanding is not None:
            yield ("data", "plies", side, "sanding"), (given.sanding.value,)
    cap = document.data.core.cap
    if cap is not None:
        yield ("data", "core", "cap", "value", "plies"), cap.value.plies


def _angles(document: Document) -> Iterator[Fault]:
    limit = 2 * math.pi + 1e-9
    angles: list[tuple[Path, float]] = [(("panel", "core", "ribbon"), document.panel.core.ribbon)]
    for side in ("outer_skin", "inner_skin"):
        angles += [
            (("panel", side, "plies", i, "warp"), p.warp)
            for i, p in enumerate(getattr(document.panel, side).plies)
        ]
    for path, plies in _repair_plies(document):
        angles += [((*path, i, "warp"), p.warp) for i, p in enumerate(plies)]
    for path, angle in angles:
        if abs(angle) > limit:
            yield (
                path,
                InputError(
                    "the angle is more than a full turn",
                    read=f"{math.degrees(angle):.1f} deg",
                    expected="-360 to 360 deg",
                    todo="check whether degrees were written as rad",
                ),
            )


def _damage(document: Document) -> Iterator[Fault]:
    damage, panel = document.damage, document.panel
    skin = panel.outer_skin if damage.side == "outside" else panel.inner_skin
    if damage.depth == "plies":
        if damage.plies is None:
            yield (
                ("damage",),
                InputError(
                    "'plies' is missing",
                    read="nothing",
                    expected='how many plies, since the depth is "plies"',
                ),
            )
        elif damage.plies > len(skin.plies):
            yield (
                ("damage", "plies"),
                InputError(
                    "more plies are damaged than the skin has",
                    read=str(damage.plies),
                    expected=f"at most {len(skin.plies)}, the plies of the skin on the {damage.side}",
                ),
            )
    elif damage.plies is not None:
        yield (
            ("damage", "plies"),
            InputError(
                "'plies' goes with depth \"plies\" only",
                read=f'depth "{damage.depth}"',
                expected="no count of plies",
            ),
        )
    if damage.far_shape is not None and damage.depth != "through":
        yield (
            ("damage", "far_shape"),
            InputError(
                "a far outline without damage right through", read=damage.depth, expected='depth "through"'
            ),
        )
    if damage.core_depth is not None:
        if damage.depth not in ("skin and core", "through"):
            yield (
                ("damage", "core_depth"),
                InputError(
                    "depth of core damage without damaged core",
                    read=damage.depth,
                    expected='depth "skin and core"',
                ),
            )
        elif damage.core_depth > panel.core.thickness + 1e-9:
            yield (
                ("damage", "core_depth"),
                InputError(
                    "core damage deeper than the core",
                    read=f"{damage.core_depth * 1e3:.1f} mm",
                    expected=f"at most {panel.core.thickness * 1e3:.1f} mm",
                ),
            )


def _plies(document: Document) -> Iterator[Fault]:
    damage, data = document.damage, document.data.plies
    if damage.depth == "surface":
        return
    sides = ("outside", "inside") if damage.depth == "through" else (damage.side,)
    for side in sides:
        given: SidePlies | None = getattr(data, side)
        if given is None or given.repair is None:
            yield (
                ("data", "plies"),
                InputError(
                    f"no repair plies are given for the skin on the {side}",
                    read="nothing",
                    expected=f"data.plies.{side}.repair: cloth and warp of each ply, and its place",
                ),
            )
            continue
        if damage.depth == "plies" and damage.plies is not None:
            count = len(given.repair.value) + (len(given.fill.value) if given.fill else 0)
            if count < damage.plies:
                yield (
                    ("data", "plies", side, "repair"),
                    InputError(
                        "fewer repair plies than damaged plies",
                        read=f"{count} plies",
                        expected=f"at least {damage.plies}: one for each damaged ply",
                    ),
                )
    scarf = data.scheme is not None and data.scheme.value == "scarf"
    if data.taper is not None and not scarf:
        yield (
            ("data", "plies", "taper"),
            InputError(
                "a taper without the scarf scheme", read=f"{data.taper.value:g}", expected='scheme "scarf"'
            ),
        )
    if data.taper is not None and data.taper.value < 1:
        yield (
            ("data", "plies", "taper"),
            InputError(
                "a taper steeper than 1 to 1",
                read=f"{data.taper.value:g}",
                expected="length over depth, such as 50",
            ),
        )


def _cures(document: Document) -> Iterator[Fault]:
    laid: dict[tuple[str, str | None], int] = {}
    for i, cure in enumerate(document.data.cure):
        path: Path = ("data", "cure", i)
        for part in cure.lays:
            if (part, cure.side) in laid:
                yield (
                    (*path, "lays"),
                    InputError(
                        "laid in two operations", read=repr(part), expected="each part in one operation"
                    ),
                )
            laid[(part, cure.side)] = i
        yield from _recipe(path, cure)


def _recipe(path: Path, cure: Cure) -> Iterator[Fault]:
    before: float | None = None
    for j, segment in enumerate(cure.segment):
        here: Path = (*path, "segment", j)

        def c(kelvin: float) -> str:
            return f"{kelvin - 273.15:.0f} C"

        if cure.ceiling is not None and max(segment.to, segment.high or 0.0) > cure.ceiling + 1e-9:
            yield (
                here,
                InputError(
                    "above the recipe's ceiling",
                    read=c(max(segment.to, segment.high or 0.0)),
                    expected=f"at most {c(cure.ceiling)}",
                ),
            )
        if segment.low is not None and segment.high is not None and segment.low >= segment.high:
            yield (
                here,
                InputError(
                    "the band is upside down",
                    read=f"{c(segment.low)} to {c(segment.high)}",
                    expected="low below high",
                ),
            )
        if segment.kind == "dwell":
            if segment.least is None:
                yield here, InputError("'least' is missing", read="nothing", expected="the least dwell time")
            if (segment.low is not None and segment.to < segment.low) or (
                segment.high is not None and segment.to > segment.high
            ):
                yield (
                    (*here, "to"),
                    InputError(
                        "the set point lies outside its own band",
                        read=c(segment.to),
                        expected="between low and high",
                    ),
                )
            if segment.least is not None and segment.most is not None and segment.most < segment.least:
                yield (
                    (*here, "most"),
                    InputError(
                        "the longest dwell is shorter than the least",
                        read=f"{segment.most:.0f} s",
                        expected=f"at least {segment.least:.0f} s",
                    ),
                )
        if (
            segment.rate_least is not None
            and segment.rate_most is not None
            and segment.rate_least > segment.rate_most
        ):
            yield (
                here,
                InputError(
                    "the least rate is above the greatest",
                    read=f"{segment.rate_least * 60:.2f} K/min",
                    expected="least below greatest",
                ),
            )
        if before is not None and segment.kind == "ramp" and segment.to <= before:
            yield (
                (*here, "to"),
                InputError(
                    "a ramp that falls back",
                    read=c(segment.to),
                    expected=f"above {c(before)}",
                    todo='write kind = "cool" for cooling',
                ),
            )
        if before is not None and segment.kind == "cool" and segment.to >= before:
            yield (
                (*here, "to"),
                InputError("cooling that rises", read=c(segment.to), expected=f"below {c(before)}"),
            )
        before = segment.to


def _bay(document: Document) -> Iterator[Fault]:
    bay = document.bay
    for i, blanket in enumerate(bay.blanket):
        if (blanket.power is None) == (blanket.power_density is None):
            yield (
                ("bay", "blanket", i),
                InputError(
                    "power is given twice or not at all",
                    read=blanket.id,
                    expected="either power or power_density",
                ),
            )
        if 2 * blanket.border >= min(blanket.length, blanket.width):
            yield (
                ("bay", "blanket", i, "border"),
                InputError(
                    "the border leaves nothing heated",
                    read=f"{blanket.border * 1e3:.0f} mm",
                    expected="less than half the width",
                ),
            )
    if bay.humidity is not None and bay.humidity > 1:
        yield (
            ("bay", "humidity"),
            InputError("more than 100 %", read=f"{bay.humidity:g}", expected="0 to 100 %"),
        )
    if bay.barometer is not None and not 40e3 < bay.barometer < 110e3:
        yield (
            ("bay", "barometer"),
            InputError(
                "not a barometer reading on earth",
                read=f"{bay.barometer / 100:.0f} hPa",
                expected="400 to 1100 hPa, absolute, at the bay",
            ),
        )
    if bay.elevation is not None and not bay.elevation < 6000:
        yield (
            ("bay", "elevation"),
            InputError("higher than any bay", read=f"{bay.elevation:.0f} m", expected="less than 6000 m"),
        )
    for i, circuit in enumerate(bay.circuit):
        if circuit.rating > 200:
            yield (
                ("bay", "circuit", i),
                InputError(
                    "larger than any bay circuit", read=f"{circuit.rating:g} A", expected="at most 200 A"
                ),
            )


def _people(document: Document) -> Iterator[Fault]:
    people = document.people
    if people.inspector and people.inspector == people.technician:
        yield (
            ("people", "inspector"),
            InputError(
                "nobody inspects their own work",
                read=repr(people.inspector),
                expected="somebody else than the technician",
            ),
        )
