"""Bag, drying, surface, inspection and recipes: what is laid together against each other."""

from __future__ import annotations

from math import exp

from panelmend.document.given import value_of
from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import PRACTICE, Subject, Usual, Weighed, part_of_whole
from panelmend.errors import PanelmendError
from panelmend.units import INHG
from panelmend.units.fundamental import GAS

LEAK_RATES = (0.04 * INHG / 60.0, 1.5 * INHG / 60.0)  # Pa/s
MINUTE, HOUR = 60.0, 3600.0


def _bag(document: Document) -> Weighed:
    of = Subject("data.bag", document.data.bag, source=PRACTICE)
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
        yield of.share(part, whole, words, low, high)
    yield of.usual("tape_distance", "distance of the tape", "length", 0.03, 0.3)
    what = "more bag film than the area, without which it bridges"
    yield of.usual("film_allowance", what, "ratio", 0.05, 1.5)
    drop, time = of.value("leak_drop"), of.value("leak_time")
    if drop is not None and time is not None:
        yield of.row(
            "leak_drop.against_leak_time",
            "permitted leak over one minute",
            float(f"{drop / time * MINUTE / INHG:.3g}") * INHG,
            "vacuum",
            LEAK_RATES[0] * MINUTE,
            LEAK_RATES[1] * MINUTE,
            source="1 inHg in 1 min of TM 1-1500-204-23-11, widened",
        )


def _drying(document: Document) -> Weighed:
    of = Subject("data.drying", document.data.drying, source=PRACTICE)
    yield of.usual("temperature", "drying temperature", "temperature", 318.15, 368.15)
    yield of.usual("duration", "drying time", "time", HOUR, 36.0 * HOUR)
    what, source = "greatest heating rate while drying", "up to 10 F/min in TM 1-1500-204-23-11 6-6"
    yield of.usual("rate_most", what, "temperature rate", 0.5 / MINUTE, 5.6 / MINUTE, source=source)
    yield of.usual("content", "moisture to dry to, of saturation", "ratio", 0.1, 0.8)


def _surface(document: Document) -> Weighed:
    bare, clean = document.data.preparation.coating_beyond, document.data.surface.clean_beyond
    yield Usual(
        "data.preparation.coating_beyond.against_clean_beyond",
        "width bare of paint over the width that is cleaned",
        part_of_whole(value_of(bare), value_of(clean)),
        "ratio",
        0.1,
        1.0,
        source=PRACTICE,
    )


def _times(document: Document) -> Weighed:
    """Waits that a lost digit shortens, and the age of a surface that a lost point lengthens."""
    data = document.data
    for key, what, value, low, high in (
        ("surface.bond_within", "time in which a surface is bonded", data.surface.bond_within, 0.25, 48.0),
        ("preparation.solvent_release", "wait for the solvent", data.preparation.solvent_release, 0.15, 1.5),
        ("finishing.before_flight", "wait before flight", data.finishing.before_flight, 6.0, 170.0),
    ):
        yield Usual(
            f"data.{key}.usual", what, value_of(value), "time", low * HOUR, high * HOUR, source=PRACTICE
        )
    what = "allowance for resin that stays in cups"
    yield Subject("data.resin", data.resin, source=PRACTICE).usual("allowance", what, "ratio", 0.03, 0.6)
    what = "least hardness of the resin"
    yield Subject("data.inspection", data.inspection, source=PRACTICE).usual("hardness", what, "", 10.0, 95.0)


def _air(document: Document) -> Weighed:
    """What was read in the bay against what the data permits for bonding."""
    of, data = Subject("bay", document.bay, source="the approved data"), document.data.preparation
    most = value_of(data.humidity_most)
    if most is not None:
        share = part_of_whole(document.bay.humidity, most)
        what = "humidity in the bay over the most the data permits"
        yield of.row("humidity.against_humidity_most", what, share, "ratio", 0.0, 1.0)
    for name, limit, sign, words in (
        ("air_low", data.air_low, 1.0, "above the least"),
        ("air_high", data.air_high, -1.0, "below the most"),
    ):
        end, air = value_of(limit), document.bay.air_temperature
        if end is not None and air is not None:
            key, what = f"air_temperature.against_{name}", f"air in the bay {words} the data permits by"
            yield of.row(key, what, sign * (air - end), "temperature difference", 0.0, 60.0)


def _voids(document: Document) -> Weighed:
    given = document.data.inspection
    of, coupon = Subject("data.inspection", given, source=PRACTICE), value_of(given.coupon)
    length, area = of.value("void_length"), of.value("void_area")
    yield of.row(
        "void_area.against_void_length",
        "area of a void over the square of its length limit",
        part_of_whole(area, None if length is None else length**2),
        "ratio",
        0.08,
        1.0,
        because="a void is between a strip and a disc",
    )
    yield of.share("void_spacing", "void_length", "distance between voids over the length of one", 1.5, 30.0)
    what = "distance of a void from an edge over the length of one"
    yield of.share("void_edge", "void_length", what, 0.5, 30.0)
    what = "distance of a void from an edge over that between voids"
    yield of.share("void_edge", "void_spacing", what, 0.05, 0.85)
    if coupon is not None and coupon.kind != "laminate":
        low, high = {"lap shear": (5e6, 45e6), "flatwise tension": (0.5e6, 12e6)}[coupon.kind]
        what = f"least strength of a coupon ({coupon.kind})"
        yield of.row("coupon.least.usual", what, coupon.least, "stiffness", low, high)


def _recipes(document: Document) -> Weighed:
    for i, cure in enumerate(document.data.cure):
        of = Subject(f"data.cure[{i + 1}]", cure, cure.name, source=PRACTICE)
        for j, s in enumerate(cure.segment):
            part = Subject(f"{of.at}.segment[{j + 1}]", s, cure.name, source=PRACTICE)
            if s.kind != "dwell":
                yield from _rates(part)
                continue
            if cure.heated_by != "room temperature" and s.to > 313.15:
                yield part.usual("least", "least time at heat", "time", 30.0 * MINUTE, 12.0 * HOUR)
            below = None if s.low is None else s.to - s.low
            above = None if s.high is None else s.high - s.to
            for end, way, room in (("low", "below", below), ("high", "above", above)):
                what = f"room in the band {way} what is held"
                yield part.row(f"{end}.against_to", what, room, "temperature difference", 2.0, 40.0)
        yield of.usual("thermocouples_least", "least number of thermocouples", "", 1.0, 12.0)
        if cure.release_below is not None:
            held = [s.to for s in cure.segment if s.kind == "dwell" and s.to > 323.15]
            warmest = min(held) - 10.0 if held else max(s.to for s in cure.segment)
            what = "vacuum is held until all is below"
            yield of.usual("release_below", what, "temperature", 301.15, warmest)
        yield from _cures_it(document, i)


def _rates(of: Subject) -> Weighed:
    """The rate that is set between the ends it must keep: at an end there is no room for the controller."""
    yield of.share("rate", "rate_most", "rate that is set over the greatest", 0.05, 0.95)
    yield of.share("rate_least", "rate", "least rate over the rate that is set", 0.02, 0.9)
    yield of.share("rate_least", "rate_most", "least rate over the greatest", 0.05, 0.7)


def _dwells(document: Document) -> Weighed:
    """Two cures of one data that are held at one temperature, one much shorter: a digit was lost."""
    longest = dict[tuple[int, bool], tuple[str, float]]()
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
        what = f"{cure.name}: least time at heat over that of {name} at the same heat"
        share = part_of_whole(s.least, most)
        yield Usual(
            f"data.cure[{i + 1}].least.against_longest", what, share, "ratio", 0.4, 1.0, source=PRACTICE
        )


def _pads(document: Document) -> Weighed:
    """A pressure pad is thin, stands a little proud, and is a little smaller than what it presses into."""
    for i, cure in enumerate(document.data.cure):
        if cure.pad is None:
            continue
        of = Subject(f"data.cure[{i + 1}].pad", cure.pad, cure.name, source=PRACTICE)
        for name, low, high in (
            ("thickness", 0.0003, 0.01),
            ("proud", 0.0002, 0.004),
            ("inset", 0.0002, 0.006),
        ):
            yield of.row(f"{name}.usual", f"pad, {name}", of.value(name) or None, "length", low, high)
        yield of.share("proud", "thickness", "how far the pad stands proud over its thickness", 0.02, 0.95)


def _cures_it(document: Document, i: int) -> Weighed:
    """The dwell against the constants of what is cured in it, wherever those are given."""
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
        what = f"{cure.name}: least time at heat over the time {name} needs there to its reference degree"
        share = dwell.least / time_at_temperature(kinetics, dwell.to)
        yield Usual(
            f"data.cure[{i + 1}].least.against_{name}", what, share, "ratio", 0.4, 6.0, source=PRACTICE
        )
        if kinetics.tg_full is not None:
            yield Usual(
                f"materials.{name}.kinetics.tg_full.against_cure",
                f"glass transition of {name}, fully cured, above what it is held at in {cure.name}:",
                kinetics.tg_full - dwell.to,
                "temperature difference",
                0.0,
                120.0,
                source=PRACTICE,
            )


def time_at_temperature(kinetics: object, held: float) -> float:
    """Time to the reference degree of cure at another temperature [s], by its own activation energy."""
    k: object = kinetics
    reference = float(k.reference_temperature)  # type: ignore[attr-defined]
    energy = float(k.e1)  # type: ignore[attr-defined]
    return float(k.reference_time) * exp(energy / GAS * (1.0 / held - 1.0 / reference))  # type: ignore[attr-defined]


CHECKS = (_bag, _drying, _surface, _times, _air, _voids, _recipes, _dwells, _pads)
