"""The door: quantities are read here with their units, and shown here in the reader's units.

Inside the house every number is SI: m, kg, s, K, Pa, W, rad. A bare number where a quantity is wanted is
refused. Fractions ("1/4 in", "1 1/2 in") and decimal commas ("6,35 mm") are read; a comma that could be a
thousands mark ("1,250 mm") is refused as ambiguous.
"""

from panelmend.units.factors import DEGREE as DEGREE
from panelmend.units.factors import FOOT as FOOT
from panelmend.units.factors import INCH as INCH
from panelmend.units.factors import INHG as INHG
from panelmend.units.factors import POUND as POUND
from panelmend.units.factors import POUND_FORCE as POUND_FORCE
from panelmend.units.factors import PSI as PSI
from panelmend.units.fundamental import GRAVITY as GRAVITY
from panelmend.units.kind import Kind as Kind
from panelmend.units.kinds import KINDS as KINDS
from panelmend.units.reading import read as read
from panelmend.units.showing import Limit as Limit
from panelmend.units.showing import on_a_rule as on_a_rule
from panelmend.units.showing import show as show
from panelmend.units.showing import show_both as show_both
from panelmend.units.showing import to_unit as to_unit
from panelmend.units.showing import unit_for as unit_for
