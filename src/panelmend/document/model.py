"""The repair document: everything people typed about one repair."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from panelmend.document.approved import ApprovedData, CutoutForm
from panelmend.document.bay import Bay, Stores
from panelmend.document.panel import Damage, Panel
from panelmend.document.people import is_name
from panelmend.document.shape import Shape
from panelmend.document.survey import Survey
from panelmend.errors import InputError
from panelmend.materials import Catalogue, MaterialSet, builtin
from panelmend.materials.bounds import DEGREES, PER_SECOND, common
from panelmend.materials.quantities import (
    Count,
    Day,
    Flag,
    Name,
    Number,
    Point,
    Ratio,
    Temperature,
    TemperatureRate,
    Text,
    Title,
    Typed,
)

VERSION = 1


class People(Typed):
    """Who does what; nobody inspects their own work."""

    technician: Text = ""
    """Does the work."""
    planner: Text = ""
    """Prepared this document."""
    engineer: Text = ""
    """Answers for what the approved data does not cover."""
    inspector: Text = ""
    """Accepts the work."""
    storekeeper: Text = ""
    """Looks after lots and instruments."""


class Repair(Typed):
    """Which repair this is."""

    number: Number
    """Number of the repair."""
    title: Title
    """Title."""
    operator: Name
    """Operator."""
    aircraft: Name
    """Aircraft type."""
    revision: Count = Field(default=1, ge=1, le=99)
    """Revision of this repair: 2 and up where more damage was found and it was planned again."""
    registration: Text = ""
    """Registration."""
    work_date: Day
    """Day of the work; expiry and calibration are checked for this day."""
    units: Literal["mm", "in"]
    """Units in which everything is printed."""
    invented: Flag = False
    """A made-up repair for a demonstration; every page says so."""

    @model_validator(mode="before")
    @classmethod
    def _numbered(cls, given: Any) -> Any:
        """A later revision carries it in its number, so that every page and record tells the two apart."""
        if not isinstance(given, dict):
            return given
        number, revision = given.get("number"), given.get("revision", 1)
        if isinstance(number, str) and type(revision) is int and revision > 1:
            mark = f" rev {revision}"
            given = {**given, "number": number if number.endswith(mark) else number + mark}
        return given

    @property
    def base(self) -> str:
        """The number without its revision."""
        return self.number.removesuffix(f" rev {self.revision}")


AFRESH = ("bag stack", "bled aside", "bled kept", "splice cells")  # of what may be measured: new each lay-up


class HeatRange(Typed):
    """A range somebody measured, in place of what the prediction would assume."""

    what: Literal[
        "rib contact",
        "core",
        "bag stack",
        "emissivity",
        "blanket rim",
        "uneven along",
        "uneven across",
        "bled aside",
        "bled kept",
        "cure heat",
        "cure rate",
        "potting",
        "splice cells",
    ]
    """What was measured: a factor on the assumed value, or a share."""
    low: Ratio
    """Low end of the range."""
    high: Ratio
    """High end of the range."""
    how: Text
    """Who measured it, when and how."""
    fitted: Flag = False
    """Not measured but fitted to the log of an earlier cure with the same set-up (panelmend heat --after)."""

    @model_validator(mode="after")
    def _ordered(self) -> HeatRange:
        if self.low > self.high:
            raise InputError(
                "a measured range ends below where it begins",
                read=f"{self.low:g} to {self.high:g}",
                expected="low first",
            )
        uneven = self.what in ("uneven along", "uneven across")
        share = self.what in ("bled aside", "bled kept", "blanket rim")
        filled = self.what == "splice cells"
        least, most = (
            (-0.5, 0.5) if uneven else (0.0, 1.0) if filled else (0.0, 0.9) if share else (0.05, 20.0)
        )
        if not (least <= self.low and self.high <= most):
            raise InputError(
                f"an impossible measured range of {self.what}",
                read=f"{self.low:g} to {self.high:g}",
                expected=f"within {least:g} to {most:g}",
            )
        if self.fitted and self.what in AFRESH:
            raise InputError(
                f"{self.what} is different in every lay-up: the log of one cure does not narrow it "
                "for another",
                read="fitted = true",
                expected="a range that was measured",
                todo="leave it out, or measure it and leave out fitted",
            )
        if not self.how.strip():
            raise InputError(
                "a measured range needs to say how it was measured", expected="who, when and how"
            )
        return self


class HeatChoice(Typed):
    """What the planner has chosen for heating one cure."""

    cure: Name
    """Name of the cure operation."""
    blanket: Text = ""
    """Blanket (id), if not the one chosen for all cures."""
    blanket_behind: Text = ""
    """Second blanket, on the opposite side (id), with a controller of its own."""
    set_point: Annotated[
        Temperature | None, common("-20 C", "400 C", words="no temperature of a cure", todo=DEGREES)
    ] = None
    """Set point of the dwell, inside its band."""
    rate: Annotated[
        TemperatureRate | None,
        common(
            "0.02 C/min",
            "20 C/min",
            usual=("0.1 C/min", "10 C/min"),
            what="heating rate",
            low_todo="leave it out, or give a rate",
            high_todo=PER_SECOND,
        ),
    ] = None
    """Heating rate of the set point, within its limits."""
    blanket_centre: Point | None = None
    """Centre of the blanket, if it is placed by hand instead of centred over what it heats."""
    thermocouples: tuple[Point, ...] = Field(default=(), max_length=12)
    """Positions of the thermocouples on the repair side, if they are placed by hand."""
    insulation_over: Text = ""
    """Insulation over the bag (material id)."""
    insulation_behind: Text = ""
    """Insulation on the opposite side (material id)."""
    measured: tuple[HeatRange, ...] = Field(default=(), max_length=20)
    """Ranges measured for this cure's set-up."""


class Choice(Typed):
    """The planner's choices, where the data leaves any."""

    form: CutoutForm | None = None
    """Form of the cut-out."""
    cutout: Shape | None = None
    """The cut-out itself, pinned."""
    blanket: Text = ""
    """Blanket (id)."""
    resin_method: Literal["wet lay-up", "prepreg"] | None = None
    """Wet lay-up or prepreg, if the cloths do not say."""
    attitude: Literal["repair up", "repair down", "upright"] = "repair up"
    """How the panel lies or stands while it is heated."""
    heat: tuple[HeatChoice, ...] = Field(default=(), max_length=10)
    """Choices for heating single cures."""

    def heat_for(self, cure: str) -> HeatChoice | None:
        """What was chosen for the heating of a cure, by its name."""
        return next((c for c in self.heat if c.cure == cure), None)

    def blankets(self, cure: str) -> tuple[str, str]:
        """Ids of the blanket and of the one behind that are chosen for a cure; "" where none is."""
        own = next((h for h in self.heat if h.cure == cure), None)
        if own is None:
            return self.blanket, ""
        return own.blanket or self.blanket, own.blanket_behind


class Confirmation(Typed):
    """A named person's confirmation of a default, or of an unusual value."""

    figure: Name
    """Key of the figure that is confirmed."""
    by: Name
    """Who confirms it."""
    on: Day
    """When."""
    reason: Text = ""
    """Grounds for confirming it."""
    value: Text = ""
    """The confirmed value, with its unit; if the plan comes to another value, that one is not confirmed."""
    conditions: Text = ""
    """When it holds."""
    until: Day | None = None
    """Last day on which it holds."""
    sheet: Text = ""
    """Practice sheet it rests on; written by the shelves, not by hand."""


class Answer(Typed):
    """An answer of the engineering authority that goes beyond the data; it replaces one value."""

    of: Name
    """The value of the data it replaces: its path, such as data.limits.repairable."""
    value: Any
    """The value in the answer, typed as it would be there."""
    reference: Text = ""
    """The authority's reference; without it the answer does not count."""
    by: Text = ""
    """Who answered."""
    on: Day | None = None
    """When."""
    conditions: Text = ""
    """Under which conditions it holds."""
    typed_by: Text = ""
    """Who typed it here; not the person who does the work."""
    checked_by: Text = ""
    """Who compared it with the authority's paper: another person, and not who does the work."""
    checked_on: Day | None = None
    """When."""
    checked_against: Text = ""
    """Which paper: number, issue, sheet."""
    checked_digest: Text = ""
    """Digest of what was checked; written by panelmend shelf check, not by hand."""
    was: Text = ""
    """What the data has; written by the program, not by hand."""

    @property
    def stands(self) -> bool:
        """Whether reference, name and day are all there."""
        return bool(self.reference.strip() and is_name(self.by) and self.on is not None)


class Document(Typed):
    """A repair document, version 1."""

    panelmend: Literal[1]
    """Version of the document format."""
    repair: Repair
    """Which repair."""
    people: People = People.model_construct()
    """Who does what."""
    panel: Panel
    """The panel."""
    damage: Damage
    """The damage."""
    survey: Survey | None = None
    """The survey of the damage."""
    data: ApprovedData
    """The approved repair data."""
    bay: Bay = Bay.model_construct()
    """The bay."""
    stores: Stores = Stores.model_construct()
    """The stores."""
    choice: Choice = Choice.model_construct()
    """The planner's choices."""
    answer: tuple[Answer, ...] = Field(default=(), max_length=50)
    """Answers of the engineering authority that go beyond the data."""
    confirm: tuple[Confirmation, ...] = Field(default=(), max_length=200)
    """Confirmed defaults."""
    materials: MaterialSet = MaterialSet.model_construct()
    """Materials of this document; they come before the built-in ones."""


def catalogue_of(document: Document) -> Catalogue:
    """The document's own materials before the built-in ones."""
    return Catalogue(document.materials, builtin())
