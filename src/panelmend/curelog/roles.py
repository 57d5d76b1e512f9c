"""What a column measures, guessed from its name, its unit and its values; a guess to be confirmed."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge.log import ChannelRole, FloatArray
from panelmend.units import KINDS
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE

# words of a row that says how readings were made, not what they are
PROCESSING = frozenset(
    (
        "avg",
        "ave",
        "average",
        "mean",
        "smp",
        "sample",
        "min",
        "max",
        "std",
        "tot",
        "total",
        "inst",
        "raw",
        "med",
    )
)
# never a thermocouple on the part, whatever the unit
_NEVER = re.compile(
    r"cold[ ]?j|\bcjc?\b|ref(erence)?[ .]?j(unction|\b)|vergleichsstelle|board temp|internal temp|panel temp|"
    r"logger temp|"
    r"^no\.?$|^nr\.?$|^#$|^n°$|\bscan\b|count(er)?\b|^row$|^line$|^index$|^record( ?no\.?)?$|^recnbr$|"
    r"\bus(ec)?\b|\bµs\b|microsec|\bms(ec)?\b|millisec"
)
_HEAT = re.compile(r"\btc|t/c|thermo|temp")  # outranks words such as "heater" where the values agree
_NAMES = (
    (
        ChannelRole.SET_POINT,
        r"set[ _-]?p(oin|un)?k?t|^set$|\bsp\b|_sp\b|\bsp\d*\b|target|setting|demand|program|soll|"
        r"consign[ae]|gewenst|instel|b[öo]rv[äa]rde|s[æe]tpunkt|zadan|žádan|nastav|asetus|impostat",
    ),
    (ChannelRole.POWER, r"power|output|duty|heater|\bout\b|watt|\bkw\b|current|amps?\b|volt"),
    (ChannelRole.AIR, r"ambient|\bair\b|room|shop|oven|\bluft\b|\baria\b|\baire\b|\blucht\b"),
    (
        ChannelRole.OTHER,
        r"baro|atmos|humid|\brh\b|battery|alarm|event|status|remark|comment|record|index|sample",
    ),
    (
        ChannelRole.VACUUM,
        r"va[ck]|vuoto|\bvide\b|vácuo|alipaine|podtlak|podciśn|undertry[kc]|bag.*press|press.*bag|in ?hg|"
        r"\bp\d+\b|unterdruck",
    ),
    (
        ChannelRole.THERMOCOUPLE,
        r"\btc|t/c|thermo|temp|\bt[ _-]?\d+|probe|\bch(an(nel)?)?[ _.-]?\d+|sensor|\bpv\b|part|°|\bk\d+\b",
    ),
)
# what a pressure is counted from, which says nothing of what it is
_FROM_AIR = re.compile(
    r"(?i)[\s_,/]*(?<![a-z])(below|under|unter|sous|sotto|onder|bajo)[\s_]+(the |l'|la )?"
    r"(ambient|air|atm|umgeb)[^\s)\]]*"
)
_UNIT_WORDS = {
    "deg c": "C", "degc": "C", "c": "C", "°c": "C", "celsius": "C", "º c": "C", "ºc": "C", "° c": "C",
    "deg f": "F", "degf": "F", "f": "F", "°f": "F", "fahrenheit": "F", "ºf": "F", "° f": "F",
    "k": "K", "kelvin": "K", "℃": "C", "℉": "F",
    "inhg": "inHg", "in hg": "inHg", "in.hg": "inHg", "in. hg": "inHg", "\"hg": "inHg", "inches hg": "inHg",
    "mmhg": "mmHg", "torr": "mmHg", "kpa": "kPa", "mbar": "mbar", "hpa": "hPa", "bar": "bar", "psi": "psi",
    "psig": "psi", "psia": "psi", "pa": "Pa", "mpa": "MPa",
    "%": "%", "pct": "%", "w": "W", "kw": "kW", "v": "V", "a": "A", "mv": "mV",
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "min": "min", "mins": "min",
    "minutes": "min", "minute": "min", "h": "h", "hr": "h", "hrs": "h", "hours": "h", "ms": "ms",
}  # fmt: skip
# how a pressure is counted, behind its unit, in the languages loggers are sold in
_COUNTED = re.compile(
    r"(?<=[a-z])[\s_./(-]*(abs\w*\.?|ass(oluta?|\.)\w*|bezwzgl\w*\.?|gauge|gage|rel\w*\.?|man\w*\.?|[ag])\)?$"
)
_ABSOLUTE = re.compile(
    r"(?<![a-z])(abs|assolut|bezwzgl|psia|mbara|bara|kpaa|hpaa)|(mbar|hpa|kpa|bar|psi|hg)[\s_./(-]*abs"
)
# a word that says a pressure counts from the air: "gauge" does only behind a unit
_COUNTED_FROM_AIR = re.compile(
    r"psig|(bar|pa)g\b|below|relativ|\b(inhg|in\.? ?hg|mmhg|torr|[kmh]?pa|m?bar|psi)[\s_./(-]*(gauge|gage)\b"
)
_IN_NAME = re.compile(r"[\[(<{]\s*([^\])>}]{1,14}?)\s*[\])>}]|[,/ _]\s*([^\s,/_]{1,12})\s*$")


@dataclass(frozen=True)
class Guess:
    """A guess for one column: role, unit ("" when not written), sense of a vacuum, why, and whether the file
    itself says the sense: a name such as "vacuum gauge" is that of an instrument and does not."""

    role: ChannelRole
    unit: str
    sense: str
    why: str
    sense_written: bool = False


def unit_word(text: str) -> str:
    """The unit a word stands for, "" for none: ``unit_word("Deg C")`` is "C", ``unit_word("mbar abs")``
    "mbar"."""
    plain = _FROM_AIR.sub("", " ".join(text.strip().strip("[](){}<>").lower().split()))
    return _UNIT_WORDS.get(plain) or _UNIT_WORDS.get(_COUNTED.sub("", plain), "")


def same_unit(one: str, other: str) -> bool:
    """Two words for one unit, such as mbar and hPa."""
    known = [k.units for k in KINDS.values() if one in k.units and other in k.units]
    return one == other or any(units[one] == units[other] for units in known)


def unit_in_name(name: str) -> str:
    """The unit in a column's name such as ``TC1 [°C]`` or ``Vacuum_inHg``, "" for none."""
    for m in _IN_NAME.finditer(_FROM_AIR.sub("", re.sub(r"(?i)\bt/c\b", "tc", name))):
        unit = unit_word(m[1] or m[2])
        if unit and (m[1] or m[2][0] in "[(<{" or len(unit) > 1 or unit in "CF"):
            return unit
    return ""


def role_by_name(name: str) -> ChannelRole | None:
    """The role that a name indicates, None for none."""
    plain = _FROM_AIR.sub("", re.sub(r"[_\s]+", " ", name.lower()))
    for role, pattern in _NAMES:
        if re.search(pattern, plain):
            return role
    return None


def guess(name: str, unit_cell: str, values: FloatArray, unit: str | None = None) -> Guess:
    """Guess one column from its name, its cell in the unit row and sample values [as read], shape (n,).
    ``unit``: what the file says elsewhere, too; else that of the cell or of the name."""
    if unit is None:
        unit = unit_word(unit_cell) or unit_in_name(name)
    plain = re.sub(r"[_\s]+", " ", name.lower()).strip()
    if _NEVER.search(plain):
        return Guess(ChannelRole.OTHER, unit, "", f"name {name!r}")
    by_name = role_by_name(name)
    role, why = by_name, f"name {name!r}"
    if unit in ("mV", "V", "A", "ms") and by_name in (None, ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM):
        return Guess(ChannelRole.OTHER, unit, "", f"unit {unit!r}")
    if unit in KINDS["time"].units and by_name is None:
        return Guess(ChannelRole.OTHER, unit, "", f"unit {unit!r}")
    if by_name is not ChannelRole.SET_POINT and not unit and _counts(values):
        return Guess(ChannelRole.OTHER, "", "", "values, which only count the rows")
    if unit in KINDS["temperature"].units and by_name not in (
        ChannelRole.SET_POINT,
        ChannelRole.AIR,
        ChannelRole.THERMOCOUPLE,
    ):
        role, why = ChannelRole.THERMOCOUPLE, f"unit {unit!r}"
    elif unit in KINDS["pressure"].units and by_name not in (ChannelRole.VACUUM, ChannelRole.OTHER):
        role, why = ChannelRole.VACUUM, f"unit {unit!r}"
    elif unit in ("%", "W", "kW", "V", "A") and by_name is not ChannelRole.OTHER:
        role, why = ChannelRole.POWER, f"unit {unit!r}"
    if role in (ChannelRole.POWER, ChannelRole.OTHER) and not unit and _HEAT.search(plain):
        role, why = _by_values(values)  # "Heater 1 temp": a flag or a duty has no such values
        if role is not ChannelRole.THERMOCOUPLE:
            role, why = by_name, f"name {name!r}"
    if role is None and unit_cell.strip() and not unit:
        role, why = ChannelRole.OTHER, f"unit {unit_cell.strip()!r}"
    if role is None:
        role, why = _by_values(values)
    if (
        role in (ChannelRole.THERMOCOUPLE, ChannelRole.SET_POINT, ChannelRole.AIR)
        and unit not in KINDS["temperature"].units
    ):
        unit = ""
    if role is ChannelRole.VACUUM and unit not in KINDS["pressure"].units:
        unit = ""
    words = f"{name} {unit_cell}"
    sense = _sense(words, values) if role is ChannelRole.VACUUM else ""
    written = (
        sense == "absolute" or sense.endswith("negative") or bool(_COUNTED_FROM_AIR.search(words.lower()))
    )
    return Guess(role, unit, sense, why, bool(sense) and written)


def _counts(values: FloatArray) -> bool:
    """Whole numbers that rise by one from row to row (of the sampled rows those that stand together)."""
    good = values[np.isfinite(values)][:150]
    return good.size >= 5 and bool(np.all(np.diff(good) == 1.0)) and bool(np.all(good == np.round(good)))


def _by_values(values: FloatArray) -> tuple[ChannelRole, str]:
    good = values[np.isfinite(values)]
    if good.size < 3:
        return ChannelRole.OTHER, "almost no numbers"
    low, high = float(good.min()), float(good.max())
    if low >= 0 and 45 <= high <= 600 and high - low > 15 and np.unique(good).size > 10:
        return ChannelRole.THERMOCOUPLE, f"values from {low:g} to {high:g} look like a cure"
    return ChannelRole.OTHER, f"values from {low:g} to {high:g} say nothing"


def _sense(words: str, values: FloatArray) -> str:
    plain = words.lower()
    if _ABSOLUTE.search(plain.replace("_", " ")):
        return "absolute"
    good = values[np.isfinite(values)]
    if good.size and float(np.median(good)) < 0:
        return "below ambient, negative"
    return "below ambient" if re.search(r"gauge|gage|psig|barg|below|relativ", plain) else ""


def sense_in_name(name: str) -> str:
    """How a pressure counts by its column's name alone: "absolute" or "below ambient"; "" where that says
    nothing."""
    plain = name.lower().replace("_", " ")
    if _ABSOLUTE.search(plain):
        return "absolute"
    return "below ambient" if _COUNTED_FROM_AIR.search(plain) else ""


def temperature_evidence(values: list[FloatArray]) -> tuple[str, str]:
    """The likelier unit, "C" or "F", of temperatures [as read], and why; "" when nothing speaks for
    either, or kelvin may be meant."""
    goods = [v[np.isfinite(v)] for v in values]
    goods = [g for g in goods if g.size]
    if not goods:
        return "", "no readings"
    start = float(np.median([g[0] for g in goods]))
    high = float(np.median([g.max() for g in goods]))
    words = f"the first readings are about {start:g}, the highest about {high:g}"
    if 5 <= start <= 40 and high <= 220:
        return "C", f"{words}: shop air and cure in C"
    if 278 <= start <= 313 and high <= 493:
        return "", f"{words}: shop air and cure in K, or a log in F that began hot"
    if 50 <= start <= 110 or high > 230:
        return "F", f"{words}: shop air and cure in F"
    return "", words


ENDS = 10  # readings at the beginning and at the end that may show the open bag
OPEN_BAG, FULL_AIR = 0.1, 0.65  # of the air at sea level: less vacuum, more pressure than in any pumped bag


def shows_air(values: FloatArray, unit: str, sense: str) -> bool:
    """Whether the first or the last vacuum readings (n,) [as read] are those of an open bag in that
    ``sense``: next to nothing below ambient, or the air pressure itself (as low as in the mountains). Inches
    of mercury count below ambient without that, as shop gauges do (common practice, no source)."""
    if unit == "inHg" and sense == "below ambient":
        return True
    good = np.abs(values[np.isfinite(values)])
    if not good.size or unit not in KINDS["pressure"].units:
        return False
    ends = np.concatenate([good[:ENDS], good[-ENDS:]]) * KINDS["pressure"].units[unit][0] / SEA_LEVEL_PRESSURE
    return bool(np.max(ends) >= FULL_AIR if sense == "absolute" else np.min(ends) <= OPEN_BAG)


def vacuum_evidence(values: FloatArray, written: str = "") -> tuple[str, str, str]:
    """The likelier unit and sense of vacuum readings [as read], and why; "" where nothing speaks for one.
    Where the head has another unit ``written``, no sense is told: these readings are no usual ones of it."""
    good = np.abs(values[np.isfinite(values)])
    if good.size < 2:
        return "", "", "no readings"
    high, middle = float(good.max()), float(np.median(good))
    unit = (
        "" if 11 < high <= 15 else  # psi or inHg, nothing tells
        "inHg" if 5 < high <= 32 else "kPa" if 32 < high <= 110 else "mbar" if 200 < high <= 1100 else ""
        if high > 1.2 else "bar"
    )  # fmt: skip
    full = {"inHg": 29.9, "kPa": 101.3, "mbar": 1013.0, "bar": 1.01}.get(unit, math.nan)
    scales = KINDS["pressure"].units
    if written and scales.get(written) != scales.get(unit):
        full = math.nan
    sense = "below ambient" if middle > 0.4 * full else "absolute" if middle < 0.4 * full else ""
    return unit, sense, f"half of the readings are above {middle:g}, the highest is {high:g}"
