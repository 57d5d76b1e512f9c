"""Thermocouples J, K and T: voltage and temperature both ways, tolerances, recognisable faults."""

from panelmend.physics.thermocouple.curve import Wire, emf, temperature
from panelmend.physics.thermocouple.faults import (
    WiringFault,
    explain,
    grade_limit,
    reading,
    reversed_reading,
    tolerance,
    twice_reversed_reading,
)

__all__ = [
    "Wire",
    "WiringFault",
    "emf",
    "explain",
    "grade_limit",
    "reading",
    "reversed_reading",
    "temperature",
    "tolerance",
    "twice_reversed_reading",
]
