"""The numbers of the kit stage."""

from __future__ import annotations

import math

from panelmend.derive import Source, formula
from panelmend.derive.figure import PRACTICE
from panelmend.job.defaults import AC_RESIN
from panelmend.shapes import Outline, offset

STORES = Source("the stores of the document")
PLUG = Source("the plug's template, its ribbon along the sheet")
USUAL = Source("common practice, no source")
_BALANCE = Source("mass balance")
PLIES = Source("resin laid on, less what the cured plies hold")
_GEOMETRY = Source("plane geometry")


@formula("L + 2 m", source=PRACTICE, kind="length")
def sheet_length(nest: float, margin: float) -> float:
    """Length of the sheet that is wetted out: the nest with a margin at both ends.

    nest: length of the nest [m]
    margin: margin on each side [m]
    return: length of the sheet [m]
    """
    return nest + 2.0 * margin


@formula("min(L, strip)", source=_GEOMETRY, kind="length")
def no_longer_than(length: float, strip: float) -> float:
    """Length of a sheet on a strip that ends before it.

    length: length asked for [m]
    strip: length of the strip [m]
    return: the shorter of both [m]
    """
    return min(length, strip)


@formula("min(W + 2 m, roll)", source=PRACTICE, kind="length")
def sheet_width(nest: float, margin: float, roll: float) -> float:
    """Width of the sheet that is wetted out: the nest with a margin on both sides, no wider than the roll.

    nest: width of the nest across the roll [m]
    margin: margin on each side [m]
    roll: width of the roll [m]
    return: width of the sheet [m]
    """
    return min(nest + 2.0 * margin, roll)


@formula("m = w L W", source=_BALANCE, kind="mass")
def cloth_mass(areal_mass: float, length: float, width: float) -> float:
    """Mass of a sheet of dry cloth.

    areal_mass: mass of the cloth on its area [kg/m2]
    length: length of the sheet [m]
    width: width of the sheet [m]
    return: mass [kg]
    """
    return areal_mass * length * width


@formula("m = w A", source=_BALANCE, kind="mass")
def piece_mass(areal_mass: float, area: float) -> float:
    """Mass of one piece of dry cloth.

    areal_mass: mass of the cloth on its area [kg/m2]
    area: area of the piece [m2]
    return: mass [kg]
    """
    return areal_mass * area


@formula("M = m r (1 + a)", source=AC_RESIN, kind="mass")
def resin_for(cloth: float, ratio: float, allowance: float) -> float:
    """Mixed resin for a mass of cloth.

    cloth: mass of the cloth [kg]
    ratio: mass of mixed resin on the mass of cloth [1]
    allowance: share added for what stays in cups and on rollers [1]
    return: mass of mixed resin [kg]
    """
    return cloth * ratio * (1.0 + allowance)


@formula("M = m r", source=AC_RESIN, kind="mass")
def resin_on(cloth: float, ratio: float) -> float:
    """Mixed resin that goes on a mass of cloth; what stays in cups and on rollers is not counted.

    cloth: mass of the cloth [kg]
    ratio: mass of mixed resin on the mass of cloth [1]
    return: mass of mixed resin [kg]
    """
    return cloth * ratio


@formula("r / (1 + r)", source=_BALANCE, kind="share")
def resin_content(ratio: float) -> float:
    """Share of resin in wetted cloth.

    ratio: mass of mixed resin on the mass of cloth [1]
    return: mass of resin on the mass of both [1]
    """
    return ratio / (1.0 + ratio)


@formula("m = w A", source=_BALANCE, kind="mass")
def coat_of(areal_mass: float, area: float) -> float:
    """Resin brushed on the bond area before the first ply.

    areal_mass: mass of the coat on its area [kg/m2]
    area: area of the largest piece that is laid [m2]
    return: mass of mixed resin [kg]
    """
    return areal_mass * area


@formula("n m", source=_BALANCE, kind="mass")
def coupons_take(number: int, each: float) -> float:
    """Resin or adhesive in the witness coupons of one mix.

    number: coupons [1]
    each: mass that one takes [kg]
    return: mass [kg]
    """
    return number * each


@formula("m (1 + a)", source=_BALANCE, kind="mass")
def with_losses(mass: float, allowance: float) -> float:
    """What is mixed so that a mass can be used.

    mass: mass that is used [kg]
    allowance: share added for what stays in cups and on rollers [1]
    return: mass that is mixed [kg]
    """
    return mass * (1.0 + allowance)


@formula("M / (1 + a)", source=_BALANCE, kind="mass")
def without_losses(mass: float, allowance: float) -> float:
    """What can be used of a mass that is mixed.

    mass: mass that is mixed [kg]
    allowance: share added for what stays in cups and on rollers [1]
    return: mass that is used [kg]
    """
    return mass / (1.0 + allowance)


@formula("T = sum", source=_BALANCE, kind="mass")
def sum_of(one: float, other: float) -> float:
    """Sum of two masses.

    one: a mass [kg]
    other: a mass [kg]
    return: their sum [kg]
    """
    return one + other


@formula("max(T - laid, 0)", source=_BALANCE, kind="mass")
def laid_on_no_ply(total: float, laid: float) -> float:
    """Mixed resin that ends in no part: in offcuts of the wetted sheets, in cups and on rollers.

    total: mass of the mix [kg]
    laid: mass laid on with the plies, brushed on and in coupons [kg]
    return: mass left over [kg]
    """
    return max(total - laid, 0.0)


@formula("R = T a / (a + b)", source=_BALANCE, kind="mass")
def resin_share(total: float, resin_parts: float, hardener_parts: float) -> float:
    """Resin in a two-part mix.

    total: mass of the mix [kg]
    resin_parts: parts of resin by weight [1]
    hardener_parts: parts of hardener by weight [1]
    return: mass of resin [kg]
    """
    return total * resin_parts / (resin_parts + hardener_parts)


@formula("H = T b / (a + b)", source=_BALANCE, kind="mass")
def hardener_share(total: float, resin_parts: float, hardener_parts: float) -> float:
    """Hardener in a two-part mix.

    total: mass of the mix [kg]
    resin_parts: parts of resin by weight [1]
    hardener_parts: parts of hardener by weight [1]
    return: mass of hardener [kg]
    """
    return total * hardener_parts / (resin_parts + hardener_parts)


@formula("V1 + V2", source=_GEOMETRY, kind="volume")
def volume_with(before: float, more: float) -> float:
    """Volumes of adhesive added up.

    before: one volume [m3]
    more: another [m3]
    return: both [m3]
    """
    return before + more


@formula("M = (V1 + V2) d (1 + a)", source=_BALANCE, kind="mass")
def adhesive_for(splice: float, floor: float, density: float, allowance: float) -> float:
    """Adhesive as applied, filler included, for the splice and the floor of a plug (or a potting).

    splice: volume round the plug, or of the potting [m3]
    floor: volume under the plug [m3]
    density: density as applied [kg/m3]
    allowance: share added for what stays in cups and on spatulas [1]
    return: mass [kg]
    """
    return (splice + floor) * density * (1.0 + allowance)


@formula("T = M / (1 + f)", source=_BALANCE, kind="mass")
def without_filler(mass: float, filler: float) -> float:
    """Mixed resin and hardener in a filled adhesive.

    mass: mass as applied [kg]
    filler: mass of filler on the mass of mixed adhesive [1]
    return: mass of resin and hardener [kg]
    """
    return mass / (1.0 + filler)


@formula("F = T f", source=_BALANCE, kind="mass")
def filler_share(mixed: float, filler: float) -> float:
    """Filler that goes into a mix.

    mixed: mass of resin and hardener [kg]
    filler: mass of filler on the mass of mixed adhesive [1]
    return: mass of filler [kg]
    """
    return mixed * filler


@formula("M = V d (1 + a)", source=_BALANCE, kind="mass")
def adhesive_of(volume: float, density: float, allowance: float) -> float:
    """Adhesive as applied, filler included, for one volume.

    volume: volume to fill [m3]
    density: density as applied [kg/m3]
    allowance: share added for what stays in cups and on spatulas [1]
    return: mass [kg]
    """
    return volume * density * (1.0 + allowance)


@formula("extent along the ribbon", source=PLUG, kind="length")
def along_ribbon(plug: Outline, ribbon: float) -> float:
    """Length of the sheet a plug is cut from.

    plug: template of the plug [outline]
    ribbon: direction of its ribbon [rad]
    return: extent along the ribbon [m]
    """
    return plug.extent(ribbon)


@formula("extent square to the ribbon", source=PLUG, kind="length")
def across_ribbon(plug: Outline, ribbon: float) -> float:
    """Width of the sheet a plug is cut from.

    plug: template of the plug [outline]
    ribbon: direction of its ribbon [rad]
    return: extent square to the ribbon [m]
    """
    return plug.extent(ribbon + 0.5 * math.pi)


@formula("length all round", source=_GEOMETRY, kind="length")
def round_the(outline: Outline) -> float:
    """Length of tape round an outline.

    outline: outer edge of the tape [outline]
    return: its perimeter [m]
    """
    return outline.perimeter


@formula("A = L W", source=_GEOMETRY, kind="area")
def sheet_area(length: float, width: float) -> float:
    """Area of a rectangular sheet.

    length: length [m]
    width: width [m]
    return: area [m2]
    """
    return length * width


@formula("area enclosed, grown by m all round", source=_GEOMETRY, kind="area")
def area_beyond(outline: Outline, margin: float) -> float:
    """Area of an outline with what lies round it.

    outline: the shape [outline]
    margin: how far past it [m]
    return: area [m2]
    """
    return math.fsum(o.area for o in offset(outline, margin))


@formula("A1 + A2", source=_GEOMETRY, kind="area")
def both_areas(one: float, other: float) -> float:
    """Areas of the two skins together.

    one: area on a skin [m2]
    other: area on the other skin [m2]
    return: both [m2]
    """
    return one + other


@formula("m = w A", source=_BALANCE, kind="mass")
def put_on(areal_mass: float, area: float) -> float:
    """What is put on an area; what stays in cups, brushes and guns is not counted.

    areal_mass: mass on its area [kg/m2]
    area: area [m2]
    return: mass [kg]
    """
    return areal_mass * area


@formula("m = w L", source=_BALANCE, kind="mass")
def along_line(line_mass: float, length: float) -> float:
    """What is put along a line; what stays in cups and nozzles is not counted.

    line_mass: mass on its length [kg/m]
    length: length of the line [m]
    return: mass [kg]
    """
    return line_mass * length


@formula("A + n L W", source=_GEOMETRY, kind="area")
def area_with(before: float, length: float, width: float, pieces: int) -> float:
    """Area of material with more rectangular pieces.

    before: area so far [m2]
    length: length of a piece [m]
    width: width of a piece [m]
    pieces: number of pieces [1]
    return: area [m2]
    """
    return before + pieces * length * width


@formula("L + l", source=_GEOMETRY, kind="length")
def length_with(before: float, more: float) -> float:
    """Length of material with one more piece.

    before: length so far [m]
    more: length of the piece [m]
    return: length [m]
    """
    return before + more


@formula("min(needed, stock)", source=PRACTICE)
def taken(needed: float, stock: float) -> float:
    """What is taken from one lot.

    needed: still needed [SI]
    stock: left in the lot [SI]
    return: amount taken [SI]
    """
    return min(needed, stock)


@formula("needed - taken", source=_BALANCE)
def still_needed(needed: float, taken: float) -> float:
    """What is still needed after a lot.

    needed: needed before [SI]
    taken: taken from the lot [SI]
    return: still needed [SI]
    """
    return needed - taken
