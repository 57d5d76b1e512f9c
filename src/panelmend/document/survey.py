"""The survey of the damage, as it is typed: passes of taps or instrument readings over a skin."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from panelmend.document.panel import Side
from panelmend.errors import InputError
from panelmend.materials.bounds import common
from panelmend.materials.quantities import Angle, Day, Length, Name, Parts, Point, Text, Typed, Vertex


class TapGrid(Typed):
    """A grid drawn on the panel."""

    origin: Point
    """Where row 1 and column 1 cross."""
    spacing: Annotated[
        Length, common("0.5 mm", "1 m", usual=("2 mm", "150 mm"), what="distance between columns")
    ]
    """Distance between columns, and between rows unless `row_spacing` is given."""
    row_spacing: Annotated[
        Length | None, common("0.5 mm", "1 m", usual=("2 mm", "150 mm"), what="distance between rows")
    ] = None
    """Distance between rows, if it differs."""
    turn: Angle = 0.0
    """Direction in which columns are counted, from 0 degrees."""


class SurveyPass(Typed):
    """One pass over one side of the panel with one kind of reading."""

    name: Text = ""
    """Name of the pass."""
    kind: Literal["tap", "time", "ratio", "moisture"]
    """Tap (0 sound, 1 dull), contact time, ratio to a sound place, or moisture (instrument's own numbers)."""
    side: Side
    """Side of the panel."""
    unit: Literal["mm", "cm", "m", "in", "ft"] | None = None
    """Unit of x and y, if there is no grid."""
    grid: TapGrid | None = None
    """The grid, if readings are placed by row and column."""
    readings: tuple[Vertex, ...] = Field(default=(), max_length=20_000)
    """Readings [x, y, value], or [row, column, value] on a grid."""
    rows: tuple[Text, ...] = Field(default=(), max_length=2000)
    """Rows of a tapped grid, row 1 first: s sound, d dull, . not tapped."""
    reference: tuple[float, ...] = Field(default=(), max_length=1000)
    """Readings at a place known to be sound (for moisture: dry), in the unit of the readings."""
    dull_from: Annotated[
        Parts | None, common("0.01", "1000", usual=("0.1", "10"), what="ratio to a sound place")
    ] = None
    """Ratio to the sound (dry) place from which on a place counts as damaged (wet)."""

    @model_validator(mode="after")
    def _whole(self) -> SurveyPass:
        if (self.unit is None) == (self.grid is None):
            raise InputError(
                "readings are placed either by x and y with a unit, or on a grid",
                read="both" if self.grid else "neither",
                expected='unit = "mm", or grid = { origin = ..., spacing = ... }',
            )
        if any(len(r) != 3 for r in self.readings):
            raise InputError("a reading without its value", expected="[x, y, value] or [row, column, value]")
        if self.rows and (self.grid is None or self.kind != "tap"):
            raise InputError("rows of letters are for taps on a grid", expected='kind "tap" and a grid')
        strange = sorted({c for row in self.rows for c in row if c not in "sd."})
        if strange:
            raise InputError(
                "a letter that does not mean a tap",
                read=repr("".join(strange)[:20]),
                expected="s sound, d dull, . not tapped",
            )
        _equal(self.rows)
        if self.kind == "tap" and any(r[2] not in (0.0, 1.0) for r in self.readings if len(r) == 3):
            raise InputError("a tap is 0 (sound) or 1 (dull)", expected="0 or 1")
        if self.kind in ("time", "ratio") and any(len(r) == 3 and r[2] <= 0 for r in self.readings):
            raise InputError("a contact time or ratio must be above zero", expected="more than zero")
        if self.kind == "time" and (not self.reference or min(self.reference) <= 0):
            raise InputError(
                "contact times need readings on a sound place",
                read="none above zero" if self.reference else "no reference",
                expected="reference = [time, time, ...] from a place known to be sound",
            )
        if not self.readings and not self.rows:
            raise InputError("a pass has no readings", read="nothing", expected="readings or rows")
        return self


def _equal(rows: tuple[str, ...]) -> None:
    """Rows of a grid have as many letters: one more or less moves all taps behind it by a place."""
    lengths = [len(row) for row in rows]
    if len(set(lengths)) > 1:
        usual = max(sorted(set(lengths)), key=lengths.count)
        odd = next(i for i, n in enumerate(lengths, 1) if n != usual)
        raise InputError(
            "rows of unequal length: a tap was left out, or written twice",
            read=f"{lengths[odd - 1]} letters in row {odd}",
            expected=f"{usual} as in the other rows, with . where nothing was tapped",
        )


class Cleared(Typed):
    """Places read as damaged that an inspector accepts as sound after all."""

    at: tuple[Point, ...] = Field(min_length=1, max_length=500)
    """The places."""
    side: Side
    """Side of the panel."""
    how: Literal["tapped again", "second method"]
    """Read sound twice more for each damaged reading (they are in the sweeps), or by a second method."""
    method: Text = ""
    """The second method and its report."""
    by: Name
    """The inspector who accepts it."""
    on: Day
    """When."""

    @model_validator(mode="after")
    def _told(self) -> Cleared:
        if self.how == "second method" and not self.method.strip():
            raise InputError(
                "a second method without its name",
                read="no method",
                expected='method = "..." with its report, or how = "tapped again"',
            )
        return self


class Survey(Typed):
    """The survey of the damage."""

    sweep: tuple[SurveyPass, ...] = Field(min_length=1, max_length=50)
    """The passes, one table each."""
    confidence: Literal["80 %", "90 %", "95 %", "99 %"] = "95 %"
    """How sure the outer line must be."""
    confidence_by: Text = ""
    """The engineer who answers for less than 95 %."""
    line: Literal["any shape", "compact"] = "any shape"
    """Outer line for damage of any shape, or for compact damage (an engineer answers for that)."""
    compact_by: Text = ""
    """The engineer who answers for the damage being compact."""
    smallest: Annotated[
        Length | None, common("0.5 mm", "2 m", usual=("2 mm", "150 mm"), what="least width of the damage")
    ] = None
    """Width of the smallest damage that the survey must not miss."""
    cleared: tuple[Cleared, ...] = Field(default=(), max_length=200)
    """Places accepted as sound after all."""

    @model_validator(mode="after")
    def _answered(self) -> Survey:
        if self.line == "compact" and not self.compact_by.strip():
            raise InputError(
                "a compact line needs the engineer who answers for it",
                read="no compact_by",
                expected='compact_by = the name under people.engineer, or line = "any shape"',
            )
        return self
