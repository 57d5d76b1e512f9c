"""What structure behind a panel is made of, for heat: typical values, from memory of MIL-HDBK-5J and
MIL-HDBK-17-3F.

Alloys of one family differ by a third and more; the ensemble's range of the contact to a rib covers more than
that."""

from __future__ import annotations

# conductivity [W/(m K)], volumetric heat capacity [J/(m3 K)] near 350 K
METALS: dict[str, tuple[float, float]] = {
    "aluminium": (130.0, 2.45e6),
    "steel": (40.0, 3.75e6),
    "titanium": (7.0, 2.35e6),
    "composite": (1.5, 1.6e6),
}
