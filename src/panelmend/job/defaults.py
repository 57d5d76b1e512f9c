"""Usual values where the approved data gives none, one place for each, and which figures are limits.

Common practice without a source, unless one stands beside the value. A value that the trade has in inches
keeps it; one that is metric has an inch value of its own for documents in inches.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Source
from panelmend.derive.figure import PRACTICE, Value
from panelmend.units import DEGREE, INCH, INHG, Limit

HALF_BAND = 10 * 5 / 9  # K: plus or minus 10 F around a dwell without a band
RATE_WINDOW = 600.0  # s over which rates are taken
LEAST_SENSORS = 3
HALF_INCH = 0.5 * INCH
DRAIN_HOLE = INCH / 8  # m: diameter in published practice, TM 1-1500-204-23-11 para 6-6
SELVEDGE = HALF_INCH  # m: kept free at each edge of a roll that does not say it
SEALING_TAPE = HALF_INCH  # m: width of sealing tape
FILM_THICKNESS = 0.00013  # m: bond line of a film adhesive whose sheet gives none
PASTE_DENSITY = 1200.0  # kg/m3: of a paste whose sheet gives none
POT_MASS = 0.2  # kg: most in one cup where the sheet gives none
OFF_METAL = HALF_INCH  # m: no thermocouple nearer to the edge of a fastener or insert

AC_BAG = Source("FAA AC 43.13-1B", "para 3-4b")
AC_RESIN = Source("FAA AC 43.13-1B", "para 3-3a(2)")
TM_BAG = Source("TM 1-1500-204-23-11", "para 6-18b")
TAPER_SOURCE = Source("FAA AC 43.13-1B", "para 3-3a, taper 50 to 1")


@dataclass(frozen=True)
class DefaultValue:
    """A usual value [SI] in documents in millimetres and in those in inches, its kind and its source."""

    value: Value
    kind: str
    source: Source
    inch: Value | None = None

    def of(self, view: str) -> Value:
        """The value for documents in "mm" or "in"."""
        return self.inch if view == "in" and self.inch is not None else self.value


USUAL: dict[str, DefaultValue] = {
    "cutout.mouth_angle": DefaultValue(45 * DEGREE, "angle", PRACTICE),
    "cutout.margin": DefaultValue(0.0, "length", PRACTICE),
    "cutout.size_step": DefaultValue(0.001, "length", PRACTICE, inch=INCH / 16),
    "cutout.corner_radius_least": DefaultValue(HALF_INCH, "length", PRACTICE),
    "plies.scheme": DefaultValue("stepped", "", PRACTICE),
    "plies.order": DefaultValue("smallest first", "", PRACTICE),
    "plies.margins_are": DefaultValue("per side", "", PRACTICE),
    "plies.corners": DefaultValue("trimmed", "", PRACTICE),
    "plies.trim": DefaultValue(INCH, "length", PRACTICE),
    "plies.tape_width": DefaultValue(2 * INCH, "length", PRACTICE),
    "plies.first_margin": DefaultValue(INCH, "length", PRACTICE),
    "plies.further_margin": DefaultValue(0.75 * INCH, "length", PRACTICE),
    "plies.taper": DefaultValue(50.0, "ratio", TAPER_SOURCE),
    "core.splice_gap": DefaultValue(0.0015, "length", PRACTICE, inch=INCH / 16),
    "core.bond_line": DefaultValue(0.0002, "thickness", PRACTICE, inch=0.008 * INCH),
    "core.ribbon_tolerance": DefaultValue(5 * DEGREE, "angle", PRACTICE),
    # what a bond line fills under a flat plug
    "core.sagitta_most": DefaultValue(0.0005, "length", PRACTICE, inch=INCH / 64),
    "core.cap_peel_plies": DefaultValue("upper face", "", PRACTICE),
    "core.cap_gap": DefaultValue(0.001, "length", PRACTICE, inch=INCH / 32),
    "nest.gap": DefaultValue(0.006, "length", PRACTICE, inch=0.25 * INCH),
    "kit.wet_margin": DefaultValue(INCH, "length", PRACTICE),
    "kit.resin_to_cloth": DefaultValue(1.0, "ratio", AC_RESIN),
    "kit.allowance": DefaultValue(0.1, "ratio", PRACTICE),
    "kit.brush_coat": DefaultValue(0.1, "areal mass", PRACTICE),
    "kit.coupon_lap_shear": DefaultValue(0.002, "mass", PRACTICE),
    "kit.coupon_flatwise": DefaultValue(0.005, "mass", PRACTICE),
    "kit.coupon_laminate": DefaultValue(0.03, "mass", PRACTICE),
    "kit.balance_step": DefaultValue(1e-4, "fine mass", PRACTICE),
    "kit.ratio_tolerance": DefaultValue(0.02, "ratio", PRACTICE),
    "kit.wet_out": DefaultValue("wet then cut", "", PRACTICE),
    "surface.grit": DefaultValue(150, "", PRACTICE),
    "surface.bond_within": DefaultValue(86400.0, "time", PRACTICE),
    "surface.clean_beyond": DefaultValue(3 * INCH, "length", PRACTICE),
    "bag.least_vacuum": DefaultValue(22 * INHG, "vacuum", AC_BAG),
    "bag.leak_drop": DefaultValue(INHG, "vacuum", TM_BAG),
    "bag.leak_time": DefaultValue(60.0, "time", TM_BAG),
    "bag.peel_ply_margin": DefaultValue(INCH, "length", AC_BAG),
    "bag.bleeder_margin": DefaultValue(2.5 * INCH, "length", AC_BAG),
    "bag.film_inset": DefaultValue(INCH, "length", AC_BAG),
    "bag.breather_margin": DefaultValue(INCH, "length", PRACTICE),
    "bag.tape_distance": DefaultValue(2 * INCH, "length", PRACTICE),
    "bag.film_allowance": DefaultValue(0.2, "ratio", PRACTICE),
    "bag.blanket_margin": DefaultValue(2 * INCH, "length", PRACTICE),
    "bag.adhesive_margin": DefaultValue(0.25 * INCH, "length", PRACTICE),
    "bag.sensor_margin": DefaultValue(HALF_INCH, "length", PRACTICE),
    "bag.edge_breather": DefaultValue(2 * INCH, "length", PRACTICE),
    "bag.dry_bleeder": DefaultValue(INCH, "length", PRACTICE),
    "bag.support_margin": DefaultValue(2 * INCH, "length", PRACTICE),
    "bag.plate_margin": DefaultValue(2 * INCH, "length", PRACTICE),
    "bag.pad_inset": DefaultValue(0.001, "length", PRACTICE, inch=INCH / 32),
    "bag.pad_proud": DefaultValue(0.001, "length", PRACTICE, inch=INCH / 32),
    "cure.blanket_placed": DefaultValue(0.010, "length", PRACTICE, inch=3 * INCH / 8),
    "cure.thermocouple_placed": DefaultValue(0.005, "length", PRACTICE, inch=3 * INCH / 16),
}

# Defaults whose value hangs on the rest of the document.
DEPENDENT = (
    "cutout.lie",
    "cutout.forms",
    "core.replace",
    "plies.angle_tolerance",
    "plies.strain_most",
    "bag.bleeder_plies",
    "drying.rate_most",
)


def is_default(key: str) -> bool:
    """Whether a figure of this key may stand on a default in some repair; longer keys hang on ids."""
    return key in USUAL or key in DEPENDENT or key.count(".") > 1


DRIED_WITHIN = 5.0
"""[K] below the drying temperature: a place so far below is not dried at it (common practice, no source)."""
HOTTER = 3.0
"""[K] over the drying temperature that is worth a word (common practice, no source)."""
DRYING_DOUBT = 5.0
"""[K] by which drying may get hotter than in the one case that is predicted (common practice, no source)."""
CUT_OUT_ROOM = 3.0
"""[K] least room of an over-temperature cut-out between band and maximum: it and its thermocouple may read
that far apart (common practice, no source)."""
DRYING_TRIPS = 8.0
"""[K] over the drying temperature at which the cut-out trips at the latest: a usual tolerance of 5 K, and
:data:`CUT_OUT_ROOM` (common practice, no source)."""

# Figures that are the most permitted or the least asked: rounded to the safe side wherever they are printed.
LIMITS: dict[str, Limit] = {
    "limits.allowable": "most",
    "limits.repairable": "most",
    "limits.repairable_area": "most",
    "limits.per_panel": "most",
    "limits.edge_distance": "least",
    "limits.repair_distance": "least",
    "limits.fastener_distance": "least",
    "limits.merge_distance": "least",
    "cutout.margin": "least",
    "cutout.corner_radius_least": "least",
    "plies.trim": "most",
    "plies.angle_tolerance": "most",
    "core.pot_limit": "most",
    "core.ribbon_tolerance": "most",
    "core.sagitta_most": "most",
    "plies.strain_most": "most",
    "core.fit_undersize": "most",
    "surface.bond_within": "most",
    "surface.clean_beyond": "least",
    "bag.least_vacuum": "least",
    "bag.leak_drop": "most",
    "bag.leak_time": "least",
    "bag.peel_ply_margin": "least",
    "bag.bleeder_margin": "least",
    "bag.film_inset": "least",
    "bag.breather_margin": "least",
    "bag.tape_distance": "least",
    "bag.blanket_margin": "least",
    "bag.sensor_margin": "least",
    "bag.edge_breather": "least",
    "bag.dry_bleeder": "least",
    "bag.support_margin": "least",
    "bag.plate_margin": "least",
    "drying.temperature": "most",
    "drying.duration": "least",
    "drying.rate_most": "most",
    "drying.vacuum": "least",
    "drying.content": "most",
    "strength.allowable_strain": "most",
    "cure.blanket_placed": "most",
    "cure.thermocouple_placed": "most",
}

OF_A_CYCLE: dict[str, Limit] = {
    **dict.fromkeys(("ceiling", "release_below", "rate_most", "high", "rest_high", "most"), "most"),
    **dict.fromkeys(("rate_least", "low", "rest_low", "least", "rest", "sand_after"), "least"),
}
"""What of a cure cycle is the most permitted or the least asked, by the last part of its key."""
