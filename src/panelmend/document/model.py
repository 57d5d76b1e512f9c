"""The repair document: everything people typed about one repair."""

from __future__ import annotations

from datetime import date
from typing import Literal

from pydantic import Field

from panelmend.document.approved import ApprovedData, CutoutForm
from panelmend.document.bay import Bay, Stores
from panelmend.document.panel import Damage, Panel
from panelmend.document.shape import Shape
from panelmend.materials import MaterialSet
from panelmend.materials.quantities import Typed

VERSION = 1


class People(Typed):
    """Who does what; nobody inspects their own work."""

    technician: str = ""
    """Does the work."""
    planner: str = ""
    """Prepared this document."""
    engineer: str = ""
    """Owns what the approved data does not cover."""
    inspector: str = ""
    """Accepts the work."""
    storekeeper: str = ""
    """Keeps lots and instruments."""


class Repair(Typed):
    """Which repair this is."""

    number: str = Field(min_length=1, max_length=60)
    """Number of the repair."""
    title: str = Field(min_length=1, max_length=200)
    """Title."""
    operator: str
    """Operator."""
    aircraft: str
    """Aircraft type."""
    registration: str = ""
    """Registration."""
    work_date: date
    """Day of the work; expiry and calibration are judged on it."""
    units: Literal["mm", "in"]
    """Units in which everything is printed."""
    invented: bool = False
    """A made-up repair for a demonstration; every page says so."""


class Choice(Typed):
    """What the planner has chosen where the data leaves a choice."""

    form: CutoutForm | None = None
    """Form of the cut-out."""
    cutout: Shape | None = None
    """The cut-out itself, pinned."""
    blanket: str = ""
    """Blanket (id)."""
    resin_method: Literal["wet lay-up", "prepreg"] | None = None
    """Wet lay-up or prepreg, if the cloths do not say it."""


class Confirmation(Typed):
    """A named person's confirmation of a default."""

    figure: str
    """Key of the figure that is confirmed."""
    by: str = Field(min_length=1)
    """Who confirms it."""
    on: date
    """When."""
    reason: str = ""
    """On what ground."""


class Document(Typed):
    """A repair document, version 1."""

    panelmend: Literal[1]
    """Version of the document's form."""
    repair: Repair
    """Which repair."""
    people: People = People()
    """Who does what."""
    panel: Panel
    """The panel."""
    damage: Damage
    """The damage."""
    data: ApprovedData
    """The approved repair data."""
    bay: Bay = Bay()
    """The bay."""
    stores: Stores = Stores()
    """The stores."""
    choice: Choice = Choice()
    """The planner's choices."""
    confirm: tuple[Confirmation, ...] = Field(default=(), max_length=200)
    """Confirmed defaults."""
    materials: MaterialSet = MaterialSet()
    """Materials of this document, before the built-in ones."""
