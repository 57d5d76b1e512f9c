"""The rate of cure as one plain function of floats: called as it is here, and compiled by the heat solver.

``p`` holds the packed constants of a law (see :mod:`panelmend.physics.cure_chemistry.laws`):
0 kind, 1 A1, 2 E1/R, 3 A2, 4 E2/R, 5 m, 6 n, 7 B, 8 A3, 9 E3/R, 10 switch, 11 C, 12 alpha_c0, 13 alpha_cT.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

CONSTANTS_LENGTH = 14
NONE, N_ORDER, AUTOCATALYTIC, TWO_STAGE = 0.0, 1.0, 2.0, 3.0


def rate(p: Sequence[float], alpha: float, temperature: float) -> float:
    """Rate of cure.

    Args:
        p: packed constants, 14 values [SI].
        alpha: degree of cure, 0 to 1 [-].
        temperature: [K].

    Returns:
        d(alpha)/dt [1/s], never below 0.

    Source: n-th order and autocatalytic: Kamal, Polym. Eng. Sci. 14 (1974) 231; two-stage: Lee, Loos and
    Springer, J. Composite Materials 16 (1982) 510; cut-off: Chern and Poehlein, Polym. Eng. Sci. 27
    (1987) 788.
    """
    if alpha >= 1.0 or p[0] == 0.0:
        return 0.0
    a = max(alpha, 0.0)
    free = 1.0 - a
    value: float
    k1 = p[1] * math.exp(-p[2] / temperature)
    if p[0] == 1.0:
        value = k1 * free ** p[6]
    elif p[0] == 2.0:
        k2 = p[3] * math.exp(-p[4] / temperature)
        value = (k1 + k2 * a ** p[5]) * free ** p[6]
    elif a <= p[10]:
        k2 = p[3] * math.exp(-p[4] / temperature)
        value = (k1 + k2 * a) * free * (p[7] - a)
    else:
        value = p[8] * math.exp(-p[9] / temperature) * free
    if p[11] > 0.0:
        over = p[11] * (a - p[12] - p[13] * temperature)
        if over > 500.0:
            return 0.0
        value = value / (1.0 + math.exp(over))
    return value if value > 0.0 else 0.0
