"""Bag, drying, surface, inspection and recipes: what is laid together against each other."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.crossed.data import part_of_whole, value_of
from panelmend.document.model import Document
from panelmend.document.question import Asked, Reader
from panelmend.document.recipe import Segment
from panelmend.errors import PanelmendError
from panelmend.units import INHG

LEAK = (0.04 * INHG / 60.0, 1.5 * INHG / 60.0)  # Pa/s
MINUTE, HOUR = 60.0, 3600.0


def _bag(document: Document, view: str) -> Iterator[Asked]:
    ask, bag = Reader(view), document.data.bag
    of = {n: value_of(getattr(bag, n)) for n in type(bag).model_fields}
    for part, whole, low, high, words in (
        ("film_inset", "bleeder_margin", 0.1, 0.8, "how much smaller the film is, over the bleeder's margin"),
        ("peel_ply_margin", "bleeder_margin", 0.1, 1.0, "margin of the peel ply over the bleeder's"),
        (
            "breather_margin",
            "tape_distance",
            0.1,
            1.5,
            "margin of the breather over the distance of the tape",
        ),
        ("sensor_margin", "blanket_margin", 0.05, 0.6, "margin of the sensors over the blanket's"),
        ("dry_bleeder", "bleeder_margin", 0.1, 0.75, "dry rim of the bleeder over its margin"),
        ("edge_breather", "tape_distance", 0.3, 3.0, "edge breather over the distance of the tape"),
        ("support_margin", "tape_distance", 0.25, 6.0, "margin of the support over the distance of the tape"),
        ("plate_margin", "tape_distance", 0.2, 6.0, "margin of the plate over the distance of the tape"),
    ):
        yield from ask.about(
            f"data.bag.{part}.against_{whole}", words, part_of_whole(of[part], of[whole]), "ratio", low, high
        )
    yield from ask.about(
        "data.bag.tape_distance.usual", "distance of the tape", of["tape_distance"], "length", 0.03, 0.3
    )
    yield from ask.about(
        "data.bag.film_allowance.usual",
        "more bag film than the area, without which it bridges",
        of["film_allowance"],
        "ratio",
        0.05,
        1.5,
    )
    drop, time = of["leak_drop"], of["leak_time"]
    if drop is not None and time is not None:
        yield from ask.about(
            "data.bag.leak_drop.against_leak_time",
            "permitted leak over one minute",
            float(f"{drop / time * MINUTE / INHG:.3g}") * INHG,
            "vacuum",
            LEAK[0] * MINUTE,
            LEAK[1] * MINUTE,
            source="1 inHg in 1 min of TM 1-1500-204-23-11, widened",
        )


def _drying(document: Document, view: str) -> Iterator[Asked]:
    ask, drying = Reader(view), document.data.drying
    at = "data.drying"
    temperature, duration = value_of(drying.temperature), value_of(drying.duration)
    yield from ask.about(
        f"{at}.temperature.usual", "drying temperature", temperature, "temperature", 318.15, 403.15
    )
    yield from ask.about(f"{at}.duration.usual", "drying time", duration, "time", HOUR, 36.0 * HOUR)
    yield from ask.about(
        f"{at}.rate_most.usual",
        "greatest heating rate while drying",
        value_of(drying.rate_most),
        "temperature rate",
        0.5 / MINUTE,
        6.0 / MINUTE,
        source="up to 10 F/min in TM 1-1500-204-23-11 6-6, widened",
    )
    yield from ask.about(
        f"{at}.content.usual",
        "moisture to dry to, of saturation",
        value_of(drying.content),
        "ratio",
        0.1,
        0.8,
    )


def _surface(document: Document, view: str) -> Iterator[Asked]:
    data = document.data
    yield from Reader(view).about(
        "data.preparation.coating_beyond.against_clean_beyond",
        "width bare of paint over the width that is cleaned",
        part_of_whole(value_of(data.preparation.coating_beyond), value_of(data.surface.clean_beyond)),
        "ratio",
        0.1,
        1.0,
    )


def _times(document: Document, view: str) -> Iterator[Asked]:
    """Waits that a lost digit shortens, and the age of a surface that a lost point lengthens."""
    ask, data = Reader(view), document.data
    for key, what, value, low, high in (
        ("surface.bond_within", "time in which a surface is bonded", data.surface.bond_within, 0.25, 48.0),
        ("preparation.solvent_release", "wait for the solvent", data.preparation.solvent_release, 0.15, 1.5),
        ("finishing.before_flight", "wait before flight", data.finishing.before_flight, 6.0, 170.0),
    ):
        yield from ask.about(f"data.{key}.usual", what, value_of(value), "time", low * HOUR, high * HOUR)
    yield from ask.about(
        "data.resin.allowance.usual",
        "allowance for resin that stays in cups",
        value_of(data.resin.allowance),
        "ratio",
        0.03,
        0.6,
    )
    hardness = value_of(data.inspection.hardness)
    yield from ask.about(
        "data.inspection.hardness.usual",
        "least hardness of the resin",
        None if hardness is None else float(hardness),
        "",
        10.0,
        95.0,
    )


def _air(document: Document, view: str) -> Iterator[Asked]:
    """What was read in the bay against what the data permits for bonding."""
    ask, bay, data = Reader(view), document.bay, document.data.preparation
    most = value_of(data.humidity_most)
    if most is not None:
        yield from ask.about(
            "bay.humidity.against_humidity_most",
            "humidity in the bay over the most the data permits",
            part_of_whole(bay.humidity, most),
            "ratio",
            0.0,
            1.0,
            source="the approved data",
        )
    for limit, sign, words in (
        (data.air_low, 1.0, "above the least"),
        (data.air_high, -1.0, "below the most"),
    ):
        end = value_of(limit)
        if end is not None and bay.air_temperature is not None:
            name = "air_low" if sign > 0.0 else "air_high"
            yield from ask.about(
                f"bay.air_temperature.against_{name}",
                f"air in the bay {words} the data permits by",
                sign * (bay.air_temperature - end),
                "temperature difference",
                0.0,
                60.0,
                source="the approved data",
            )


def _voids(document: Document, view: str) -> Iterator[Asked]:
    ask, given = Reader(view), document.data.inspection
    length, area = value_of(given.void_length), value_of(given.void_area)
    at = "data.inspection"
    yield from ask.about(
        f"{at}.void_area.against_void_length",
        "area of a void over the square of its length limit",
        part_of_whole(area, None if length is None else length**2),
        "ratio",
        0.08,
        1.0,
        because="a void is between a strip and a disc",
    )
    for name, low, words in (
        ("void_spacing", 1.5, "distance between voids over the length of one"),
        ("void_edge", 0.5, "distance of a void from an edge over the length of one"),
    ):
        yield from ask.about(
            f"{at}.{name}.against_void_length",
            words,
            part_of_whole(value_of(getattr(given, name)), length),
            "ratio",
            low,
            30.0,
        )
    yield from ask.about(
        f"{at}.void_edge.against_void_spacing",
        "distance of a void from an edge over that between voids",
        part_of_whole(value_of(given.void_edge), value_of(given.void_spacing)),
        "ratio",
        0.05,
        0.85,
    )
    coupon = value_of(given.coupon)
    if coupon is not None and coupon.kind != "laminate":
        low, high = {"lap shear": (5e6, 45e6), "flatwise tension": (0.5e6, 12e6)}[coupon.kind]
        yield from ask.about(
            f"{at}.coupon.least.usual",
            f"least strength of a coupon ({coupon.kind})",
            coupon.least,
            "stiffness",
            low,
            high,
        )


def _recipes(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for i, cure in enumerate(document.data.cure):
        for j, s in enumerate(cure.segment):
            at = f"data.cure[{i + 1}].segment[{j + 1}]"
            if s.kind != "dwell":
                yield from _rates(ask, cure.name, at, s)
                continue
            if cure.heated_by != "room temperature" and s.to > 313.15:
                yield from ask.about(
                    f"{at}.least.usual",
                    f"{cure.name}: least time at heat",
                    s.least,
                    "time",
                    30.0 * MINUTE,
                    12.0 * HOUR,
                )
            for end, room in (
                ("low", None if s.low is None else s.to - s.low),
                ("high", _above(s.to, s.high)),
            ):
                yield from ask.about(
                    f"{at}.{end}.against_to",
                    f"{cure.name}: room in the band {'below' if end == 'low' else 'above'} what is held",
                    room,
                    "temperature difference",
                    2.0,
                    40.0,
                )
        if cure.thermocouples_least is not None:
            yield from ask.about(
                f"data.cure[{i + 1}].thermocouples_least.usual",
                f"{cure.name}: least number of thermocouples",
                float(cure.thermocouples_least),
                "",
                1.0,
                12.0,
            )
        if cure.release_below is not None:
            held = [s.to for s in cure.segment if s.kind == "dwell" and s.to > 323.15]
            warmest = min(held) - 10.0 if held else max(s.to for s in cure.segment)
            yield from ask.about(
                f"data.cure[{i + 1}].release_below.usual",
                f"{cure.name}: vacuum is held until all is below",
                cure.release_below,
                "temperature",
                301.15,
                warmest,
            )
        yield from _cures_it(document, ask, i)


def _rates(ask: Reader, name: str, at: str, s: Segment) -> Iterator[Asked]:
    """The rate that is set between the ends it must keep: at an end there is no room for the controller."""
    for rate, end, low, high, words in (
        (s.rate, s.rate_most, 0.05, 0.95, "rate that is set over the greatest"),
        (s.rate_least, s.rate, 0.02, 0.9, "least rate over the rate that is set"),
        (s.rate_least, s.rate_most, 0.05, 0.7, "least rate over the greatest"),
    ):
        fields = "rate.against_rate_most" if rate is s.rate else "rate_least.against_rate"
        if rate is s.rate_least and end is s.rate_most:
            fields = "rate_least.against_rate_most"
        yield from ask.about(
            f"{at}.{fields}", f"{name}: {words}", part_of_whole(rate, end), "ratio", low, high
        )


def _dwells(document: Document, view: str) -> Iterator[Asked]:
    """Two cures of one data that are held at one temperature, one much shorter: a digit was lost."""
    ask, longest = Reader(view), dict[tuple[int, bool], tuple[str, float]]()
    held = [
        (i, cure, s)
        for i, cure in enumerate(document.data.cure)
        if (s := cure.longest_dwell) is not None and s.least is not None and s.to > 313.15
    ]
    for _, cure, s in held:
        assert s.least is not None
        key = (round(s.to / 5.0), "core" in cure.lays)
        if s.least > longest.get(key, ("", 0.0))[1]:
            longest[key] = (cure.name, s.least)
    for i, cure, s in held:
        name, most = longest[round(s.to / 5.0), "core" in cure.lays]
        yield from ask.about(
            f"data.cure[{i + 1}].least.against_longest",
            f"{cure.name}: least time at heat over that of {name} at the same heat",
            part_of_whole(s.least, most),
            "ratio",
            0.4,
            1.0,
        )


def _pads(document: Document, view: str) -> Iterator[Asked]:
    """A pressure pad is thin, stands a little proud, and is a little smaller than what it presses into."""
    ask = Reader(view)
    for i, cure in enumerate(document.data.cure):
        pad, at = cure.pad, f"data.cure[{i + 1}].pad"
        if pad is None:
            continue
        for name, low, high in (
            ("thickness", 0.0003, 0.01),
            ("proud", 0.0002, 0.004),
            ("inset", 0.0002, 0.006),
        ):
            yield from ask.about(
                f"{at}.{name}.usual",
                f"{cure.name}: pad, {name}",
                getattr(pad, name) or None,
                "length",
                low,
                high,
            )
        yield from ask.about(
            f"{at}.proud.against_thickness",
            f"{cure.name}: how far the pad stands proud over its thickness",
            part_of_whole(pad.proud, pad.thickness),
            "ratio",
            0.02,
            0.95,
        )


def _above(held: float, top: float | None) -> float | None:
    return None if top is None else top - held


def _cures_it(document: Document, ask: Reader, i: int) -> Iterator[Asked]:
    """The dwell against the constants of what is cured in it, wherever those are given."""
    from panelmend.document.model import catalogue_of  # late: the model reads the data first

    cure, core, resin = document.data.cure[i], document.data.core, document.data.resin
    dwell = next((s for s in cure.segment if s.kind == "dwell" and s is cure.longest_dwell), None)
    if dwell is None or dwell.least is None or cure.heated_by == "room temperature":
        return
    laid = set(cure.lays)
    names = [value_of(core.adhesive)] if laid & {"core", "potting"} else []
    names += [value_of(resin.system)] if laid & {"cap", "fill", "plies"} else []
    catalogue = catalogue_of(document)
    for name in dict.fromkeys(n for n in names if n):
        try:
            kinetics = getattr(catalogue.get(name), "kinetics", None)
        except PanelmendError:
            continue  # said where its name is
        if kinetics is None or kinetics.law != "reference time":
            continue
        needed = time_at_temperature(kinetics, dwell.to)
        yield from ask.about(
            f"data.cure[{i + 1}].least.against_{name}",
            f"{cure.name}: least time at heat over the time {name} needs there to its reference degree",
            dwell.least / needed,
            "ratio",
            0.4,
            6.0,
        )
        if kinetics.tg_full is not None:
            yield from ask.about(
                f"materials.{name}.kinetics.tg_full.against_cure",
                f"glass transition of {name}, fully cured, above what it is held at in {cure.name}:",
                kinetics.tg_full - dwell.to,
                "temperature difference",
                0.0,
                120.0,
            )


def time_at_temperature(kinetics: object, held: float) -> float:
    """Time to the reference degree of cure at another temperature [s], by its own activation energy."""
    from math import exp

    k: object = kinetics
    reference = float(k.reference_temperature)  # type: ignore[attr-defined]
    energy = float(k.e1)  # type: ignore[attr-defined]
    return float(k.reference_time) * exp(energy / 8.314462618 * (1.0 / held - 1.0 / reference))  # type: ignore[attr-defined]


CHECKS = (_bag, _drying, _surface, _times, _air, _voids, _recipes, _dwells, _pads)
