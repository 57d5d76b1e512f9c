"""The door: quantities are read here with their units, and shown here in the reader's units.

Inside the house every number is SI: m, kg, s, K, Pa, W, rad. A bare number where a quantity is wanted is
refused. Fractions ("1/4 in", "1 1/2 in") and decimal commas ("6,35 mm") are read; a comma that could be a
thousands mark ("1,250 mm") is refused as ambiguous.
"""

from panelmend.units.factors import DEGREE, FOOT, GRAVITY, INCH, INHG, POUND, POUND_FORCE, PSI
from panelmend.units.kind import Kind
from panelmend.units.kinds import KINDS
from panelmend.units.reading import read
from panelmend.units.showing import Limit, on_a_rule, show, show_both, to_unit, unit_for

__all__ = [
    "DEGREE",
    "FOOT",
    "GRAVITY",
    "INCH",
    "INHG",
    "KINDS",
    "POUND",
    "POUND_FORCE",
    "PSI",
    "Kind",
    "Limit",
    "on_a_rule",
    "read",
    "show",
    "show_both",
    "to_unit",
    "unit_for",
]
