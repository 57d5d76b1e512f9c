"""What nobody measures before a cure, and the range a prediction looks at.

Where nobody gave a range it is common practice without a source, and is called assumed; what rests on such a
range is no chance of anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelmend.document.bay import Bay, Instrument
from panelmend.document.model import HeatRange
from panelmend.job.cure.problem import Bled, Curing, Rib, Unknown
from panelmend.physics.thermocouple import grade_limit

CHANNEL = 1.0  # K: logger, cold junction and joint of one channel beside another; from memory
_SHOP = "assumed for a closed shop; common practice, no source"
_NOBODY = "assumed: nobody measured it; common practice, no source"
UNCLASSED = ("K", "standard")  # where no thermocouple is in the document: the widest of the usual


@dataclass(frozen=True)
class UnknownsGiven:
    """What the unknowns of a cure are drawn up from."""

    bay: Bay
    ribs: tuple[Rib, ...]
    curing: tuple[Curing, ...]
    bled: Bled | None
    behind: bool
    places: tuple[float, float]
    hottest: float
    measured: tuple[HeatRange, ...]
    view: str
    spliced: bool = False  # paste stands round a plug
    core_warm: float = 1.0  # times what the data sheet says the core conducts at the heat of the cure


def unknowns_of(given: UnknownsGiven) -> tuple[Unknown, ...]:
    """The unknowns of a cure with their likely values and ranges."""
    made = [*_air(given.bay), *_stack(given), *_blanket(given), *_resin(given), _wire(given)]
    return tuple(_as_measured(u, given.measured) for u in made)


def _as_measured(unknown: Unknown, ranges: Sequence[HeatRange]) -> Unknown:
    """The same with the range somebody measured for it."""
    own = next((r for r in ranges if r.what == unknown.name), None)
    if own is None:
        return unknown
    basis = "fitted" if own.fitted else "measured"
    middle = 0.5 * (own.low + own.high)  # an old likely value may lie at its edge or outside
    return replace(unknown, likely=middle, low=own.low, high=own.high, ground=own.how, basis=basis)


def _air(bay: Bay) -> list[Unknown]:
    film = bay.film_coefficient
    moving = f"{0.3:.0%} of the film coefficient that was measured" if film is not None else _SHOP
    basis = "measured" if film is not None else "assumed"
    over = (0.0, 0.0, 0.3 * film) if film is not None else (2.0, 0.0, 8.0)
    behind = (0.0, 0.0, 0.3 * film) if film is not None else (1.0, 0.0, 4.0)
    return [
        Unknown("draught over", "moving air over the bag", *over, "W/(m2 K)", moving, basis, True),
        Unknown("draught behind", "moving air on the far face", *behind, "W/(m2 K)", moving, basis, True),
        Unknown("air", "bay air against its reading", 0.0, -3.0, 3.0, "K", _SHOP, afresh=True),
    ]


def _stack(given: UnknownsGiven) -> list[Unknown]:
    made = []
    if given.ribs:
        known = all(r.contact is not None for r in given.ribs)
        low, high = (0.7, 1.4) if known else (0.3, 3.0)
        between = "150 to 1,500 W/(m2 K)" if given.view == "mm" else "26 to 260 Btu/(h ft2 F)"
        ground = "about the value given" if known else f"riveted or bonded flange, {between}; {_SHOP}"
        made.append(Unknown("rib contact", "contact to ribs and fittings", 1.0, low, high, "1", ground))
    return [
        *made,
        _core_scatter(given.core_warm),
        Unknown("bag stack", "conductance of bleeder and breather", 1.0, 0.7, 1.4, "1", _SHOP, afresh=True),
        Unknown("emissivity", "emissivity of bag and panel", 0.9, 0.8, 0.95, "1", "non-metals, from memory"),
    ]


def _core_scatter(warm: float) -> Unknown:
    """Scatter of data sheets, which covers what heat adds up to a quarter; a hotter cure moves it up."""
    words, ground = "conductivity of the core", "scatter of data sheets; " + _SHOP
    if warm <= SCATTER:
        return Unknown("core", words, 1.0, 1.0 / SCATTER, SCATTER, "1", ground)
    ground = "its data sheet taken as of room temperature, more radiation and air in its cells in this cure; "
    warm = round(warm, 2)
    return Unknown("core", words, warm, 1.0 / SCATTER, SCATTER * warm, "1", ground + "scatter; " + _SHOP)


SCATTER = 1.25  # either way


def _blanket(given: UnknownsGiven) -> list[Unknown]:
    off = given.places[0]
    place = "how far it may lie off, as the plan and the card print it"
    ways = (("along", "along its length"), ("across", "across its length"))
    made = [
        Unknown("blanket rim", "power missing along its rim of 1 in", 0.1, 0.0, 0.2, "1", _SHOP),
        *(
            Unknown(f"uneven {way}", f"power of the blanket uneven {words}", 0.0, -0.1, 0.1, "1", _NOBODY)
            for way, words in ways
        ),
        *(
            Unknown(
                f"blanket {way}", f"blanket off its place {words}", 0.0, -off, off, "m", place, "held", True
            )
            for way, words in ways
        ),
    ]
    if given.behind:
        made += [
            Unknown(
                f"behind {way}",
                f"blanket behind off its place {words}",
                0.0,
                -off,
                off,
                "m",
                place,
                "held",
                True,
            )
            for way, words in ways
        ]
    return made


def _resin(given: UnknownsGiven) -> list[Unknown]:
    made = []
    if given.bled is not None:
        made += [
            Unknown(
                "bled aside",
                "share of the bled resin that leaves to the bleeder beside the patch",
                *(0.25, 0.0, 0.5),
                "1",
                "from none, the hottest, to half; " + _NOBODY,
                afresh=True,
            ),
            Unknown(
                "bled kept",
                "share of it still in the plies when it cures",
                *(0.0, 0.0, 0.3),
                "1",
                _NOBODY,
                afresh=True,
            ),
        ]
    if given.spliced:
        made.append(
            Unknown(
                "splice cells",
                "share of the cells cut open round the plug that its paste fills",
                *(0.5, 0.0, 1.0),
                "1",
                _NOBODY,
                afresh=True,
            )
        )
    if given.curing or given.bled is not None or given.spliced:
        scatter = "scatter between lots and ways of measuring; " + _NOBODY
        made += [
            Unknown("cure heat", "heat of cure", 1.0, 0.85, 1.15, "1", scatter),
            Unknown("cure rate", "rate of cure", 1.0, 0.75, 1.33, "1", scatter),
        ]
    if any(c.layer == "core" for c in given.curing):
        ground = "from much hollow filler to much mineral filler; " + _NOBODY
        made.append(Unknown("potting", "conductivity of the potting", 1.0, 0.6, 2.0, "1", ground))
    return made


def _wire(given: UnknownsGiven) -> Unknown:
    """What a roll of thermocouple wire may be off: all couples of one roll err alike."""
    sensors = [i for i in given.bay.instrument if i.kind == "thermocouple"]
    worst = max((_limit(i, given.hottest) for i in sensors), key=lambda x: x[0], default=None)
    if worst is None:
        limit, words = grade_limit(*UNCLASSED, given.hottest)
        words = f"{words}: the document names no thermocouple, so a usual one is taken"
    else:
        limit, words = worst
    return Unknown(
        "thermocouples",
        "what all thermocouples show wrong",
        0.0,
        -limit,
        limit,
        "K",
        words,
        "published",
        True,
    )


def _limit(sensor: Instrument, hottest: float) -> tuple[float, str]:
    return grade_limit(sensor.type or UNCLASSED[0], sensor.tolerance or UNCLASSED[1], hottest)
