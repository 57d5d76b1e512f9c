"""An adhesive layer: elastic, then perfectly plastic in shear."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from panelmend.physics.structure_inputs import Array, not_negative, positive


@dataclass(frozen=True)
class AdhesiveLayer:
    """A cured adhesive layer.

    ``G`` [Pa] shear modulus, ``t`` [m] thickness; ``tau_p`` [Pa] shear stress at which it flows and ``gp``
    [1] the plastic shear strain it stands beyond (0: breaks when it would flow); ``E`` [Pa] modulus across
    the layer and ``peel`` [Pa] strength across it. None where nobody measured it.

    Raises:
        InputError: a value that is not positive (``gp``: negative).
    """

    G: float
    t: float
    tau_p: float | None = None
    gp: float = 0.0
    E: float | None = None
    peel: float | None = None
    name: str = "adhesive"

    def __post_init__(self) -> None:
        positive(self.G, f"{self.name}: G", "Pa")
        positive(self.t, f"{self.name}: thickness", "m")
        not_negative(self.gp, f"{self.name}: plastic strain", "1")
        for key in ("tau_p", "E", "peel"):
            if getattr(self, key) is not None:
                positive(getattr(self, key), f"{self.name}: {key}", "Pa")

    @property
    def g_flow(self) -> float:
        """Shear strain [1] at which it flows; infinite when ``tau_p`` is not known."""
        return float("inf") if self.tau_p is None else self.tau_p / self.G

    @property
    def g_break(self) -> float:
        """Shear strain [1] it stands at most; infinite when ``tau_p`` is not known."""
        return self.g_flow + self.gp

    def shear(self, gamma: Array) -> tuple[Array, Array]:
        """Shear stress [Pa] and its slope [Pa] at shear strains [1] of any shape."""
        limit = self.g_flow
        flows = np.abs(gamma) > limit
        tau = self.G * np.clip(gamma, -limit, limit)
        return tau, np.where(flows, 0.0, self.G)

    def elastic(self) -> AdhesiveLayer:
        """The same layer without flow, for elastic peaks."""
        return replace(self, tau_p=None, gp=0.0)
