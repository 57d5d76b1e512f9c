"""Blanket and thermocouples that the planner placed by hand: where they lie, and what must hold of them."""

from __future__ import annotations

import math

from panelmend.derive import Figure, Source
from panelmend.derive.figure import Origin
from panelmend.document.model import HeatChoice
from panelmend.errors import Finding, caution_code, stop_code
from panelmend.job.bag.blanket import ChosenBlanket
from panelmend.job.bag.build import Build, Built
from panelmend.job.bag.formulas import heated_past, inside_of, off_the_middle, past_the_adhesive
from panelmend.job.bag.measures import Under
from panelmend.job.bag.part import BagOperation, ByHand, Frame, HandCode, HandFit, Point, Sensor
from panelmend.job.bag.sensors import SENSORS_APART
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.clearances import no_place_for_sensors
from panelmend.job.curvature import outline_on, point_on
from panelmend.job.defaults import LEAST_SENSORS, OFF_METAL
from panelmend.shapes import Outline, distance_to_point
from panelmend.units import show

B410 = stop_code(
    "B410",
    "The blanket, as placed by hand, does not heat everything it must",
    "move it back towards the middle, use a larger one, or remove choice.heat.blanket_centre",
)
B411 = stop_code(
    "B411",
    "Fewer thermocouples are placed by hand than the data requires",
    "place the others too, or remove choice.heat.thermocouples so that the plan places them all",
)
B412 = stop_code(
    "B412",
    "A thermocouple placed by hand lies on the repair or its adhesive",
    "move it out: it would get bonded in, or leave its print in the repair",
)
B413 = caution_code(
    "B413",
    "A thermocouple placed by hand is closer to the adhesive than required",
    "move it out to data.bag.sensor_margin",
)
B414 = stop_code(
    "B414",
    "A thermocouple placed by hand is outside the heated area of the blanket",
    "move it in: it reads the cold skin beside the blanket, and the controller overheats the repair",
)
B415 = stop_code(
    "B415",
    "A thermocouple placed by hand is where none can go",
    "move it onto bare skin inside the sealing tape, clear of fasteners, inserts and other repairs",
)
B416 = caution_code(
    "B416",
    "A thermocouple placed by hand lies over or near metal, or under a strip of breather",
    "move it: it reads colder than the skin round the repair, and the controller overheats the rest",
)
B417 = caution_code(
    "B417",
    "Two thermocouples placed by hand are so close together that they read the same",
    "move one of them (common practice, no source)",
)
NOTHING = Source("nothing may be missing")
AS_WRITTEN = (
    1e-4  # m: a place is written to a tenth of a millimetre, so one exactly at the line may read less
)


def moved_blanket(basis: Basis, key: str, under: Under, cure: str) -> tuple[Figure, Figure] | None:
    """How far a blanket that was placed by hand lies off the middle, along and across; None where it was
    not."""
    chosen = basis.case.document.choice.heat_for(cure)
    if chosen is None or chosen.blanket_centre is None:
        return None
    x, y = _place(
        basis, f"{key}.blanket_at", chosen.blanket_centre, under, _path(basis, chosen, "blanket_centre")
    )
    ledger = basis.ledger
    made = []
    for name, towards in (("along", "direction"), ("across", "across")):
        way = under.angle if towards == "direction" else ledger[f"{key}.across"]
        made.append(
            ledger.derive(
                f"{key}.blanket_{name}",
                off_the_middle,
                patch=ledger[f"{key}.patch"],
                direction=under.angle,
                towards=way,
                x=x,
                y=y,
            )
        )
    return made[0], made[1]


def placed_sensors(basis: Basis, under: Under, cure: str) -> tuple[Sensor, ...]:
    """The thermocouples that were placed by hand on the face that is worked on; none where they were not."""
    chosen = basis.case.document.choice.heat_for(cure)
    places = chosen.thermocouples if chosen is not None else ()
    return tuple(Sensor(f"T{n}", _on_face(basis.case, p, under)) for n, p in enumerate(places, 1))


def placed_by_hand(
    basis: Basis, key: str, under: Under, build: Build, needed: tuple[Figure, Figure], built: Built
) -> ByHand:
    """What of a bag was placed by hand, and what must hold of it.

    Args:
        basis: case and ledger.
        key: what the figures of the bag begin with.
        under: what lies under it.
        build: what it is built over, with its blanket and how far that lies off.
        needed: length and width that must be heated.
        built: its layers and the inner edge of its sealing tape.
    """
    cure, moved = build.cure.name, build.moved
    heated = _heated(basis, key, build.chosen, build.frame, moved)
    fits = list(_cover(basis, key, heated, needed, moved))
    strips = tuple(o for x in built.layers if x.use == "edge breather" for o in x.outlines)
    seal = built.seal if build.cure.bagged else None
    sensors = placed_sensors(basis, under, cure)
    if not sensors:
        return ByHand(moved, False, tuple(fits))
    case, choice = basis.case, basis.case.document.choice.heat_for(cure)
    assert choice is not None
    for n, (typed, sensor) in enumerate(zip(choice.thermocouples, sensors, strict=True), 1):
        path = f"{_path(basis, choice, 'thermocouples')}[{n}]"
        at = _place(basis, f"{key}.{sensor.id}", typed, under, path)
        fits += _sensor(basis, key, sensor.id, at, heated)
    return ByHand(
        moved,
        True,
        tuple(fits),
        tuple(s.id for s in sensors if _nowhere(case, under, seal, s.at)),
        tuple(s.id for s in sensors if _by_metal(case, under, strips, s.at)),
        tuple(
            f"{a.id} and {b.id}"
            for i, a in enumerate(sensors)
            for b in sensors[i + 1 :]
            if math.dist(a.at, b.at) < SENSORS_APART - 1e-9
        ),
    )


def by_hand_findings(case: Case, bag: BagOperation) -> list[Finding]:
    """What of a thing placed by hand does not hold."""
    hand, place, found = bag.hand, f"bag.{bag.number}", list[Finding]()
    codes = {HandCode.COVER: B410, HandCode.REPAIR: B412, HandCode.NEAR: B413, HandCode.HEATED: B414}
    for f in hand.fits:
        if not f.holds:
            there = show(float(f.clear), "length", case.view, limit="most")
            asked = show(float(f.asked), "length", case.view, limit="least")
            found.append(codes[f.code](f"{bag.name}: {f.what} {there}, at least {asked}", place=place))
    asked_for = max(LEAST_SENSORS, bag.cure.thermocouples_least or 0)
    if hand.sensors and len(bag.sensors) < asked_for:
        found.append(B411(f"{bag.name}: {len(bag.sensors)} of {asked_for}", place=place))
    for code, names in ((B415, hand.nowhere), (B416, hand.metal), (B417, hand.crowded)):
        if names:
            found.append(code(f"{bag.name}: {', '.join(names)}", place=place))
    return found


def _path(basis: Basis, chosen: HeatChoice, field: str) -> str:
    return f"choice.heat[{basis.case.document.choice.heat.index(chosen) + 1}].{field}"


def _on_face(case: Case, typed: Point, under: Under) -> Point:
    return point_on(case, case.point(typed), "outside", under.side)


def _place(basis: Basis, key: str, typed: Point, under: Under, path: str) -> tuple[Figure, Figure]:
    """A typed place on the face that is worked on, as two figures."""
    x, y = _on_face(basis.case, typed, under)
    return basis.typed(f"{key}.x", x, "length", path=path), basis.typed(f"{key}.y", y, "length", path=path)


def _heated(
    basis: Basis, key: str, chosen: ChosenBlanket | None, frame: Frame, moved: tuple[Figure, Figure] | None
) -> tuple[Figure, Figure, Figure] | None:
    """The heated area where it lies, its length and its width; None without a blanket."""
    if chosen is None or chosen.blanket is None:
        return None
    sizes = [chosen.length, chosen.width]
    if chosen.blanket.border:
        names = ("width", "length") if chosen.turned else ("length", "width")
        sizes = [basis.ledger[f"{key}.heated_{n}"] for n in names]
    off = (0.0, 0.0) if moved is None else (float(moved[0]), float(moved[1]))
    outline = frame.box(*off, float(sizes[0]), float(sizes[1]))
    inputs = tuple((n, s.key) for n, s in zip(("length", "width"), sizes, strict=True))
    if moved is not None:
        inputs += (("along", moved[0].key), ("across", moved[1].key))
    where = Source("the blanket where it lies, without its border")
    area = Figure(f"{key}.heated_area", outline, "", Origin.COMPUTED, where, "", inputs)
    return area, sizes[0], sizes[1]


def _cover(
    basis: Basis,
    key: str,
    heated: tuple[Figure, Figure, Figure] | None,
    needed: tuple[Figure, Figure],
    moved: tuple[Figure, Figure] | None,
) -> list[HandFit]:
    if moved is None or heated is None:
        return []
    clear = basis.ledger.derive(
        f"{key}.heated_past",
        heated_past,
        length=heated[1],
        width=heated[2],
        needed_length=needed[0],
        needed_width=needed[1],
        along=moved[0],
        across=moved[1],
    )
    asked, words = _zero_length(basis), "heated area past what it must heat"
    return [HandFit(HandCode.COVER, words, "", clear, asked, float(clear) >= -1e-9)]


def _zero_length(basis: Basis) -> Figure:
    return basis.ledger.table("bag.at_least", 0.0, "length", source=NOTHING)


def _sensor(
    basis: Basis, key: str, name: str, at: tuple[Figure, Figure], heated: tuple[Figure, Figure, Figure] | None
) -> list[HandFit]:
    ledger, data = basis.ledger, basis.case.document.data.bag
    adhesive = basis.usual("bag.adhesive_margin", data.adhesive_margin)
    asked = basis.usual("bag.sensor_margin", data.sensor_margin)
    past = ledger.derive(
        f"{key}.{name}.past",
        past_the_adhesive,
        patch=ledger[f"{key}.patch"],
        x=at[0],
        y=at[1],
        margin=adhesive,
    )
    bonded = float(past) < -1e-9
    words = f"{name} past the adhesive"
    made = [
        HandFit(HandCode.REPAIR, words, name, past, _zero_length(basis), False)
        if bonded
        else HandFit(HandCode.NEAR, words, name, past, asked, float(past) >= float(asked) - AS_WRITTEN)
    ]
    if heated is not None:
        area = ledger.add(heated[0])
        inside = ledger.derive(f"{key}.{name}.heated", inside_of, outline=area, x=at[0], y=at[1])
        words = f"{name} inside the heated area"
        made.append(
            HandFit(HandCode.HEATED, words, name, inside, _zero_length(basis), float(inside) >= -1e-9)
        )
    return made


def _nowhere(case: Case, under: Under, seal: Outline | None, at: Point) -> bool:
    """Off the panel, outside the bag, or on a fastener, an insert or an earlier repair."""
    panel = outline_on(case, case.geometry.outline, "outside", under.side)
    taken = no_place_for_sensors(case, under.side, off_metal=0.0)
    return (
        not panel.contains(at)
        or (seal is not None and not seal.contains(at))
        or any(o.contains(at) for o in taken)
    )


def _by_metal(case: Case, under: Under, strips: tuple[Outline, ...], at: Point) -> bool:
    """Near a fastener or insert, over structure on either face, or under a strip of breather."""
    near = any(-distance_to_point(o, at) < 1e-9 for o in no_place_for_sensors(case, under.side, OFF_METAL))
    ribs = (outline_on(case, a.outline, "outside", under.side) for a in case.geometry.structure)
    return near or any(o.contains(at) for o in (*ribs, *strips))
