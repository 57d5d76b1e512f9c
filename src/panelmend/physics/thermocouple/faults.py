"""Tolerances of thermocouples, and wiring faults that a log gives away."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.errors import InputError, RangeError
from panelmend.physics.thermocouple.curve import ICE, Wire, emf, temperature

_CLASSES = {  # ASTM E230/E230M, initial calibration tolerances from 0 C up: kelvin, share of Celsius reading
    (Wire.J, False): (2.2, 0.0075),
    (Wire.J, True): (1.1, 0.004),
    (Wire.K, False): (2.2, 0.0075),
    (Wire.K, True): (1.1, 0.004),
    (Wire.T, False): (1.0, 0.0075),
    (Wire.T, True): (0.5, 0.004),
}
_UPPER = {Wire.J: 760.0, Wire.K: 1260.0, Wire.T: 370.0}


def tolerance(wire: Wire | str, at: float, *, special: bool = False) -> float:
    """Tolerance of new thermocouple wire, plus or minus.

    Args:
        wire: its letter.
        at: temperature of the junction [K].
        special: special tolerances instead of standard ones.

    Returns:
        [K].

    Raises:
        RangeError: below 0 C or above the range the class is given for.

    Source: ASTM E230/E230M, table 1 (from memory): the greater of a fixed value and a share of the Celsius
    reading.
    """
    kind = Wire(wire)
    celsius = at - ICE
    if not ICE <= at <= _UPPER[kind] + ICE:
        raise RangeError(
            f"tolerance of type {kind} is given from 0 to {_UPPER[kind]:g} C, not at {celsius:g} C"
        )
    fixed, share = _CLASSES[kind, special]
    return max(fixed, share * celsius)


_IEC = {  # IEC 60584-1, from 0 C up: kelvin, share of Celsius reading, upper end [C]
    (Wire.J, "class 1"): (1.5, 0.004, 750.0),
    (Wire.J, "class 2"): (2.5, 0.0075, 750.0),
    (Wire.K, "class 1"): (1.5, 0.004, 1000.0),
    (Wire.K, "class 2"): (2.5, 0.0075, 1200.0),
    (Wire.T, "class 1"): (0.5, 0.004, 350.0),
    (Wire.T, "class 2"): (1.0, 0.0075, 350.0),
}


def grade_limit(wire: Wire | str, grade: str, at: float) -> tuple[float, str]:
    """What new wire of a grade may be off, plus or minus, and whose limit that is.

    Args:
        wire: its letter.
        grade: "standard" or "special" (ASTM E230/E230M), "class 1" or "class 2" (IEC 60584-1).
        at: temperature of the junction [K].

    Returns:
        limit [K] and its source in words.

    Raises:
        InputError: no such grade.
        RangeError: outside the range the grade is given for.

    Source: ASTM E230/E230M table 1, IEC 60584-1; both seen in two independent printed tables. For wire as
    delivered: a used couple may be off by more.
    """
    kind = Wire(wire)
    if grade in ("standard", "special"):
        limit = tolerance(kind, at, special=grade == "special")
        return limit, f"type {kind} new wire, {grade} limits of ASTM E230"
    if (kind, grade) not in _IEC:
        raise InputError(
            "no such grade of thermocouple", read=grade, expected="standard, special, class 1 or class 2"
        )
    fixed, share, upper = _IEC[kind, grade]
    if not ICE <= at <= upper + ICE:
        raise RangeError(f"{grade} of type {kind} is given from 0 to {upper:g} C, not at {at - ICE:g} C")
    return max(fixed, share * (at - ICE)), f"type {kind} new wire, {grade} of IEC 60584-1"


def reading(wire: Wire | str, instrument: Wire | str, true: float, terminals: float) -> float:
    """What an instrument shows for a junction, right or wrong wire.

    Args:
        wire: letter of the thermocouple.
        instrument: letter the instrument is set to.
        true: temperature of the junction [K].
        terminals: temperature of the instrument's terminals, which it compensates for [K].

    Returns:
        [K].

    Source: NIST Monograph 175.
    """
    return temperature(instrument, emf(wire, true, terminals), terminals)


def reversed_reading(wire: Wire | str, true: float, terminals: float) -> float:
    """What an instrument shows when the two legs are swapped at its terminals: it falls while heating.

    Args:
        wire: letter of thermocouple and instrument.
        true: temperature of the junction [K].
        terminals: temperature of the terminals [K].

    Returns:
        [K].

    Source: NIST Monograph 175, the voltage with its sign turned.
    """
    return temperature(wire, -emf(wire, true, terminals), terminals)


def twice_reversed_reading(wire: Wire | str, true: float, joint: float, terminals: float) -> float:
    """What an instrument shows when an extension lead is swapped at both ends.

    Args:
        wire: letter of thermocouple, lead and instrument.
        true: temperature of the junction [K].
        joint: temperature where the lead is joined [K].
        terminals: temperature of the terminals [K].

    Returns:
        [K]; off by about twice the difference between joint and terminals.

    Source: NIST Monograph 175, voltages in series.
    """
    return temperature(wire, emf(wire, true, joint) - emf(wire, joint, terminals), terminals)


@dataclass(frozen=True)
class WiringFault:
    """A wiring fault that would explain a reading."""

    words: str  # what is wrong
    expected: float  # what the fault would make the instrument show [K]
    away: float  # how far that is from the reading [K]


def explain(
    shown: float, true: float, terminals: float, instrument: Wire | str, *, within: float = 3.0
) -> tuple[WiringFault, ...]:
    """Wiring faults that would show this reading where the true temperature is known from neighbours.

    Args:
        shown: reading in question [K].
        true: temperature its sound neighbours give for the place [K].
        terminals: temperature of the instrument's terminals (near that of the bay) [K].
        instrument: letter the instrument is set to.
        within: how close a fault must come to be named [K].

    Returns:
        faults, the closest first; empty when the reading is right or no known fault fits.

    Source: NIST Monograph 175 for each fault's reading.
    """
    kind = Wire(instrument)
    if abs(shown - true) <= max(within, tolerance(kind, max(true, ICE))):
        return ()
    cases = [
        (f"type {other} wire on a type {kind} input", other, False) for other in Wire if other is not kind
    ]
    cases.append(("legs swapped", kind, True))
    cases += [
        (f"type {other} wire on a type {kind} input, legs swapped", other, True)
        for other in Wire
        if other is not kind
    ]
    found = [("short circuit near the instrument: shows the temperature of its terminals", terminals)]
    for words, wire, swapped in cases:
        try:
            voltage = emf(wire, true, terminals)
            found.append((words, temperature(kind, -voltage if swapped else voltage, terminals)))
        except RangeError:
            continue
    faults = [WiringFault(words, value, abs(value - shown)) for words, value in found]
    return tuple(sorted((f for f in faults if f.away <= within), key=lambda f: (f.away, f.words)))
