"""What the approved data gives for the strength comparison: loads, allowable strain, how edges are held."""

from __future__ import annotations

from typing import Annotated, Literal, assert_never

from pydantic import Field

from panelmend.document.given import Given
from panelmend.materials.bounds import common
from panelmend.materials.quantities import Name, PressureOrSuction, RunningLoad, Strain, Text, Typed

RUNNING_LOAD = common("-1e4 N/mm", "1e4 N/mm", usual=("-2000 N/mm", "2000 N/mm"), what="running load")


class LoadCase(Typed):
    """One load case for the strength comparison."""

    name: Name
    """Name."""
    nx: Annotated[RunningLoad, RUNNING_LOAD] = 0.0
    """Running load along 0 degrees."""
    ny: Annotated[RunningLoad, RUNNING_LOAD] = 0.0
    """Running load along 90 degrees."""
    nxy: Annotated[RunningLoad, RUNNING_LOAD] = 0.0
    """Running shear load."""
    pressure: Annotated[
        PressureOrSuction | None,
        common("0.1 Pa", "5 MPa", usual=("10 Pa", "200 kPa"), what="pressure", zero=True, either=True),
    ] = None
    """Pressure on the outside, below zero for suction."""
    place: Text = ""
    """Where it comes from."""


class StrengthData(Typed):
    """Loads for the strength comparison."""

    case: tuple[LoadCase, ...] = Field(default=(), max_length=50)
    """Load cases."""
    allowable_strain: Annotated[
        Given[Strain] | None,
        common(
            "10 microstrain",
            "5 %",
            usual=("200 microstrain", "1.5 %"),
            what="allowable strain",
            todo="check the unit: microstrain, % or strain",
        ),
    ] = None
    """Allowable strain of the sound panel."""
    edges: Literal["simply supported", "clamped"] = "simply supported"
    """How the panel's edges are held."""

    @property
    def clamped(self) -> bool:
        """Whether the panel's edges cannot turn; if not, they are only held out of plane.

        Raises:
            AssertionError: a way of holding edges that nobody knows.
        """
        match self.edges:
            case "clamped":
                return True
            case "simply supported":
                return False
            case _:
                assert_never(self.edges)
