"""What the units of the trade are in SI.

Exact factors: 1 in = 25.4 mm and 1 lb = 0.45359237 kg; conventional inch of mercury 3386.389 Pa (NIST SP 811
appendix B.8); 1 US gallon = 231 in3 (there, too); psi and foot pound-force follow from these and
9.80665 m/s2.
"""

from __future__ import annotations

import math

from panelmend.units.fundamental import GRAVITY

INCH = 0.0254
FOOT = 0.3048
POUND = 0.45359237
GALLON = 231 * INCH**3  # of the United States, exact
POUND_FORCE = POUND * GRAVITY
PSI = POUND_FORCE / INCH**2
INHG = 3386.389
BTU = 1055.05585262  # J, of the international table, exact
RANKINE = 5.0 / 9.0  # K
DEGREE = math.pi / 180.0
