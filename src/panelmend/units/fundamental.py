"""Constants of nature and conditions that everybody agrees on, each written here alone.

Others stand once too, beside the one law that reads them (``physics/film.py``, ``physics/atmosphere.py``);
``tests/laws/test_written_once.py`` holds that no file types one again.
"""

import math

GRAVITY = 9.80665  # m/s2, standard, CGPM 1901
GAS = 8.314462618  # J/(mol K), CODATA 2018
ZERO_CELSIUS = 273.15  # K
SEA_LEVEL_PRESSURE = 101325.0  # Pa: standard atmosphere, CGPM 1954
ROOM_TEMPERATURE = 296.15  # K, 23 C as laboratories keep it (ISO 291, from memory)
QUARTER_TURN = 0.5 * math.pi
