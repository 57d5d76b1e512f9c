"""Findings of the drying stage."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.defaults import DRAIN_HOLE
from panelmend.job.drying.make import PUBLISHED_DRYING_RATE
from panelmend.job.drying.part import DryingPart, SkinDrying, Way
from panelmend.units import show

D001 = stop_code(
    "D001",
    "Water left in a closed cell would tear the bond apart when it is heated",
    "do not heat it wet: dry it until it passes the data's own check, or ask engineering for a cooler cure",
)
D002 = caution_code(
    "D002",
    "A wet cell that nobody noticed would tear the bond apart when it is heated",
    "repeat the moisture check with the area open, before anyone heats anything",
)
D003 = caution_code(
    "D003",
    "Whether a bond withstands steam is NOT KNOWN",
    "type its strength with its source, or leave the question to the engineer",
)
D004 = caution_code(
    "D004",
    "Drying is NOT PREDICTED: a constant is missing",
    "dry as the approved data says and prove it with the meter; the tool assumes nothing in place of the "
    "constant",
)
D005 = caution_code(
    "D005",
    "The data's drying time leaves more moisture in a skin than the data allows",
    "dry until the meter shows that the skin is dry; ask the engineer whether you may raise time or "
    "temperature",
)
D006 = note_code(
    "D006",
    "The data gives a drying time but no moisture content: this is the moisture left after that time",
    "do not record the skin as drier than this",
)
D007 = caution_code(
    "D007",
    "The skin cannot get as dry as the data requires in this air",
    "dry the air, draw a vacuum if the data allows it, or ask engineering",
)
D008 = stop_code(
    "D008",
    "The drying temperature is above the limit of the panel or its structure",
    "find out which of the two is wrong and correct it from the approved data, or ask engineering",
)
D009 = caution_code(
    "D009",
    "Water in wet cells boils at the drying temperature",
    "check that the data means this for wet core; open or drain the cells first, and heat slowly",
)
D010 = stop_code(
    "D010",
    "Water was found, or nobody has looked, but the data gives no drying temperature",
    "take the drying temperature, time and rate from the approved data, or ask engineering; where nobody has "
    "looked, look first and type what was found",
)
D011 = caution_code(
    "D011",
    "Water standing in closed core does not dry out through a skin",
    "open the wet core, or drill drain holes if the approved data allows them; then dry it and measure again",
)
D012 = note_code(
    "D012",
    "Water left in open cells boils under the bag during a cure",
    "never bag anything wet: the vapour foams the resin",
)
D013 = caution_code(
    "D013",
    "The drying temperature is no higher than the air in the bay",
    "check whether each of the two is in C or F",
)
D014 = caution_code(
    "D014",
    "Water was found in core that this repair does not open",
    "ask engineering: sealed in again, the water freezes, corrodes the panel, and turns to steam the next "
    "time the panel is heated",
)
D015 = note_code(
    "D015",
    "The data's heating rate is above the published one",
    "check the rate again (TM 1-1500-204-23-11 para 6-6)",
)
D016 = caution_code(
    "D016",
    "A skin over standing water cannot get as dry as the data requires",
    "take the water out first; as long as it is there, the meter reading will not fall",
)


def check(case: Case, ledger: Ledger, part: DryingPart) -> tuple[Finding, ...]:
    """The findings of drying: what water may do, what drying does not achieve, and what is not known."""
    found = [*_pressures(case, part), *_missing(part), *_temperature(case, part)]
    if part.duration is not None or part.content is not None:
        found += [f for skin in part.skins for f in _skin(case, part, skin)]
    found += _core(case, part)
    if part.moisture == "found" and not part.opened:
        found.append(D014("the core stays closed in this repair", place="damage.moisture"))
    return tuple(found)


def check_without_work(case: Case) -> tuple[Finding, ...]:
    """Water found where nothing is repaired."""
    if case.document.damage.moisture != "found":
        return ()
    return (D014("nothing is opened, because no structural repair is done", place="damage.moisture"),)


def _pressures(case: Case, part: DryingPart) -> Iterator[Finding]:
    places = {b.id: b.where for b in part.bonds}
    code = D001 if part.wet else D002
    for h in part.heatings:
        for r in h.reserves:
            if r.bridged is None or r.strength is None or float(r.bridged) >= 1.0:
                continue
            at = show(float(h.temperature), "temperature", case.view)
            lift = show(float(h.lift_deepest), "pressure", case.view)
            holds = show(float(r.strength), "pressure", case.view)
            where = " where a bag bridges" if h.bagged else ""
            words = f"{h.name}, {at}: steam lifts with {lift}{where}; {places[r.bond]} hold {holds}"
            if h.bagged and r.in_air is not None and float(r.in_air) < 1.0:
                words += f"; {show(float(h.lift), 'pressure', case.view)} where it lies on the skin"
            yield code(words, place=r.bridged.key)
    boils = [h for h in part.heatings if h.number and h.boiling is not None]
    hot = [h for h in boils if float(h.temperature) >= float(h.boiling or h.temperature)]
    if part.wet and hot:
        first = min(hot, key=lambda h: float(h.boiling or 0.0))
        assert first.boiling is not None, "picked for its boiling point"
        names = ", ".join(dict.fromkeys(h.name.partition(",")[0] for h in hot))
        boils_at = show(float(first.boiling), "temperature", case.view)
        yield D012(f"at {boils_at} under the least vacuum; {names} go above it", place="data.cure")


def _missing(part: DryingPart) -> Iterator[Finding]:
    if part.wet:
        for m in part.lacking("strength"):
            yield D003(f"{m.what}: NOT KNOWN", place=m.field, todo=m.ask)
        for m in part.lacking("pressure"):
            if m.field != "bay.barometer":  # the bag stage has said it
                yield D003(f"{m.what}: NOT KNOWN", place=m.field, todo=m.ask)
    if part.dries:
        for m in part.lacking("skins"):
            yield D004(f"{m.what}: NOT PREDICTED, {m.field} not given", place="materials.cloth", todo=m.ask)


def _temperature(case: Case, part: DryingPart) -> Iterator[Finding]:
    view, at = case.view, part.temperature
    if at is None:
        if part.wet:
            yield D010("data.drying.temperature is not given", place="data.drying")
        return
    for name, limit in part.limits:
        if float(at) > float(limit):
            now = show(float(at), "temperature", view, limit="least")
            most = show(float(limit), "temperature", view, limit="most")
            words = f"{now}, but {name} is rated to {most}"
            yield D008(words, place="data.drying.temperature")
    if part.wet and part.air_boiling is not None and float(at) >= float(part.air_boiling):
        words = f"{show(float(at), 'temperature', view)}; in the bay's air water boils at "
        words += show(float(part.air_boiling), "temperature", view)
        dry = next((h for h in part.heatings if h.number == 0), None)
        if dry is not None:
            words += f", a closed cell lifts with {show(float(dry.lift), 'pressure', view)}"
        yield D009(words, place="data.drying.temperature")
    warm = case.document.bay.air_temperature
    if warm is not None and float(at) <= warm:
        words = f"{show(float(at), 'temperature', view)} in air of {show(warm, 'temperature', view)}"
        yield D013(words, place="data.drying.temperature")
    if part.rate is not None and float(part.rate) > PUBLISHED_DRYING_RATE * (1 + 1e-9):
        words = f"{show(float(part.rate), 'temperature rate', view)}; published: at most "
        words += show(PUBLISHED_DRYING_RATE, "temperature rate", view, limit="most")
        yield D015(words, place="data.drying.rate_most")


def likely_way(part: DryingPart, skin: SkinDrying) -> Way:
    """How a skin beside the opening dries: from one face, under a bag where drying draws one."""
    one_face = [w for w in skin.ways if w.faces == 1]
    return next((w for w in one_face if w.air == part.gas), one_face[0])


def _skin(case: Case, part: DryingPart, skin: SkinDrying) -> Iterator[Finding]:
    view, way = case.view, likely_way(part, skin)
    both = next(w for w in skin.ways if w.faces == 2 and w.air == way.air)
    name = f"skin on the {skin.side}, {show(float(skin.thickness), 'thickness', view)}"
    gas = {"bay": "in the bay's air", "bag": "under the bag"}[way.air]
    place = f"drying.{skin.side}"
    content = part.content
    if content is not None and float(content) <= float(way.outside):
        asked, balance = show(float(content), "share"), show(float(way.outside), "share")
        words = f"{name}: {asked} required, but it settles at {balance} {gas}"
        yield D007(words, place="data.drying.content")
        return
    if part.duration is None or way.left is None or both.left is None or part.temperature is None:
        return
    for_long = (
        f"{show(float(part.duration), 'time', view)} at {show(float(part.temperature), 'temperature', view)}"
    )
    reached = (
        f"{name}: {for_long} {gas} leave {show(float(way.left), 'share')} of saturation with one face open"
    )
    if part.opened:
        reached += f", {show(float(both.left), 'share')} with both"
    if content is None:
        yield D006(f"{reached}; twice the thickness takes four times as long", place=place)
    elif float(way.left) > float(content):
        words = f"{reached}; {show(float(content), 'share')} is required"
        if way.time is not None and both.time is not None:
            words += f", which takes {show(float(way.time), 'time', view)} with one face open"
            words += f" and {show(float(both.time), 'time', view)} with both" if part.opened else ""
        yield D005(words, place=place)


def _core(case: Case, part: DryingPart) -> Iterator[Finding]:
    if part.moisture != "found":
        return
    ways: list[str] = []
    for skin in part.skins:
        if skin.core_time is not None:
            ways.append(
                f"through the skin on the {skin.side} {show(float(skin.core_time), 'time', case.view)}"
            )
    if ways:
        at = show(float(part.temperature or 0.0), "temperature", case.view)
        text = f"each millimetre of it takes, at {at} and in dry air, {' or '.join(ways)}"
    elif part.lacking("core", "skins"):
        lacks = "; ".join(dict.fromkeys(m.field for m in part.lacking("core", "skins")))
        text = f"how long it would take is NOT PREDICTED ({lacks} not given)"
    else:
        text = "how long it would take is NOT PREDICTED without drying and air temperature"
    if part.drain_holes is not None and part.wet_area is not None:
        area = show(float(part.wet_area), "area", case.view)
        text += f"; for {area} found wet, published practice is {part.drain_holes.value} holes of "
        text += show(DRAIN_HOLE, "length", case.view)
        text += " (TM 1-1500-204-23-11 para 6-6)"
    else:
        text += "; the wet area is not known: map it with the meter"
    yield D011(text, place="damage.moisture")
    settles, content = part.over_water, part.content
    if settles is not None and content is not None and float(content) < float(settles):
        asked = show(float(content), "share")
        words = f"it settles at {show(float(settles), 'share')} in the bay's air; {asked} is required"
        yield D016(words, place="drying.over_water")
