"""What people type on a shelf and in a job that uses one; values of panels, data, bays are the document's."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from panelmend.materials.quantities import Day, Flag, Name, Temperature, Text, Title, Typed

Shelf = Literal["panels", "data", "materials", "bays", "practice", "stores"]
SHELVES: tuple[Shelf, ...] = ("panels", "data", "materials", "bays", "practice", "stores")
FORM = 1
Worded = Literal["depth", "side", "zone"]


def shelf_of(name: str) -> Shelf:
    """The shelf of a name that is one."""
    return next(s for s in SHELVES if s == name)


class Check(Typed):
    """The record of a second person's check; it holds for what the entry said then."""

    by: Name
    """Who checked it; not the person who typed it."""
    on: Day
    """When."""
    against: Name
    """Against which paper: its number, issue and sheet."""
    digest: Name
    """Digest of what was checked; written by the tool."""


class TypedTable(Typed):
    """A table that was typed into the entry after its head was, maybe by another person."""

    table: Name
    """Which table, as its second person sees it named."""
    by: Name
    """Who typed it."""
    on: Day
    """When."""
    place: Name
    """Its place in the manual or the shop's paper."""


class Signed(Typed):
    """One table of an entry of data that a second person compared with the manual."""

    table: Name
    """Which table, by its name when it was signed."""
    by: Name
    """Who signed it off; not the person who typed it."""
    on: Day
    """When."""
    against: Name
    """Against which paper."""
    digest: Name
    """Digest of the table as it was signed off; written by the tool."""


class OtherHand(Typed):
    """The mirror image of a panel."""

    part_number: Name
    """Part number of the other hand."""
    name: Name
    """What it is."""


class Head(Typed):
    """The head of a shelf entry."""

    form: Literal[1]
    """Version of the entry format."""
    shelf: Shelf
    """Which shelf it stands on."""
    name: Title
    """What people call it: a part number, a manual with its revision and repair, a bay's name."""
    revision: Text = ""
    """Revision of the entry or of its paper."""
    typed_by: Name
    """Who typed it."""
    typed_on: Day
    """When."""
    against: Name
    """From which paper it was typed: its number, issue and sheet."""
    check: Check | None = None
    """Who checked it."""
    table: tuple[TypedTable, ...] = Field(default=(), max_length=500)
    """Tables that were typed or put right since, each by whom."""
    signed: tuple[Signed, ...] = Field(default=(), max_length=500)
    """Tables that were signed off."""
    valid_from: Day | None = None
    """First day on which it holds."""
    valid_until: Day | None = None
    """Last day on which it holds."""
    supersedes: Text = ""
    """Name of the entry it replaces."""
    hand: Literal["", "left", "right", "both"] = ""
    """Hand that outlines and angles are typed for; data may hold for both."""
    other_hand: OtherHand | None = None
    """The mirror image of this panel."""
    panels: tuple[Name, ...] = Field(default=(), max_length=500)
    """Part numbers this data is for, each hand under its own."""
    materials: tuple[Name, ...] = Field(default=(), max_length=200)
    """Material entries that come with it whole."""
    practice: tuple[Name, ...] = Field(default=(), max_length=50)
    """Practice sheets this bay works to."""
    stores: Text = ""
    """Stores that this bay draws from."""
    invented: Flag = False
    """Made up for a demonstration."""


class Row(Typed):
    """One row of a table: which damage it covers, and what it says for it."""

    place: Text = ""
    """Its place, if it has one of its own."""
    depth: tuple[Name, ...] = ()
    """Depths it covers."""
    side: tuple[Name, ...] = ()
    """Sides it covers."""
    zone: tuple[Name, ...] = ()
    """Zones it covers."""
    over: Any = None
    """Lower edge, which belongs to the row below."""
    at_least: Any = None
    """Lower edge, which belongs to this row."""
    up_to: Any = None
    """Upper edge, which belongs to this row."""
    below: Any = None
    """Upper edge, which belongs to the row above."""
    data: dict[str, Any] = Field(min_length=1)
    """What the data says for this row, as it would stand under [data]."""


class Table(Typed):
    """A table of the data from which the measured damage chooses one row."""

    title: Title
    """What it is."""
    place: Name
    """Its place in the approved data."""
    by: tuple[Literal["depth", "side", "zone", "largest", "area", "core_depth", "plies"], ...] = Field(
        min_length=1, max_length=4
    )
    """What chooses the row; at most one of these is a size or a count."""
    row: tuple[Row, ...] = Field(min_length=1, max_length=200)
    """Its rows."""


class Zone(Typed):
    """A zone of the panel, in the axes of its drawing."""

    name: Name
    """What the tables call it."""
    place: Name
    """Where the approved data draws it."""
    shape: dict[str, Any]
    """Its outline."""


class Within(Typed):
    """A range of temperature, both ends inside."""

    low: Temperature | None = None
    """Lowest."""
    high: Temperature | None = None
    """Highest."""


class Only(Typed):
    """What a job must use for a confirmation of the shop to hold; what is left empty does not matter."""

    bays: tuple[Name, ...] = Field(default=(), max_length=50)
    """Names of bays."""
    data: tuple[Name, ...] = Field(default=(), max_length=50)
    """Names of entries of approved data."""
    materials: dict[Name, tuple[Name, ...]] = Field(default_factory=dict)
    """Ids of materials by kind (cloth, resin, core, ...); all that the job uses of a kind are among them."""
    air: Within | None = None
    """Air of the bay."""
    cure: Within | None = None
    """Temperatures that the cures of the data dwell at, or ramp to."""


class PracticeRow(Typed):
    """A confirmed default of the shop: one figure, or the listed figures of one stage."""

    figure: Text = ""
    """Key of the figure."""
    value: Any = None
    """Its value, with its unit."""
    stage: Literal["", "cutout", "core", "nest", "kit", "surface", "bag"] = ""
    """Stage whose figures are listed under values."""
    values: dict[str, Any] = Field(default_factory=dict)
    """Figures of the stage with their values."""
    conditions: Name
    """When it holds: lay-up, materials, bay."""
    only: Only | None = None
    """Bays, data and materials it holds for: the job is compared with these, not with words."""
    by: Name
    """Who confirms it."""
    on: Day
    """When."""
    reason: Name
    """Grounds for confirming it."""
    until: Day
    """Last day on which it holds."""


class EntryFile(Typed):
    """A shelf entry; what stands beside its head depends on the shelf."""

    entry: Head
    """Its head."""
    panel: Any = None
    """The panel."""
    data: Any = None
    """The approved data."""
    choose: tuple[Table, ...] = Field(default=(), max_length=50)
    """Tables of the data from which the measured damage chooses."""
    zone: tuple[Zone, ...] = Field(default=(), max_length=200)
    """Zones of the panel that the tables go by, where the data draws them."""
    bay: Any = None
    """The bay."""
    stores: Any = None
    """The stores."""
    materials: Any = None
    """Materials."""
    practice: tuple[PracticeRow, ...] = Field(default=(), max_length=500)
    """Confirmed defaults."""
    repair: Any = None
    """What every repair of this panel, or in this bay, has in common."""
    people: Any = None
    """People of this bay."""


class Use(Typed):
    """What a job takes from the shelves."""

    panel: Text = ""
    """Panel, by its part number."""
    serial: Text = ""
    """Serial number of the panel."""
    hand: Literal["", "left", "right"] = ""
    """Hand of this panel; if it is not the entry's, the panel is the mirror image."""
    data: Text = ""
    """Approved data, by the name of its entry."""
    zone: Text = ""
    """Zone of the panel the damage lies in, if the data asks for it."""
    zone_reference: Text = ""
    """The engineer's reference, as older jobs have it; typed alone it settles nothing: see zone_said."""
    bay: Text = ""
    """Bay."""
    stores: Text = ""
    """Stores, if not the bay's."""
    practice: tuple[Name, ...] | None = None
    """Practice sheets, if not the bay's."""
    materials: tuple[Name, ...] = Field(default=(), max_length=200)
    """Material entries that are used whole."""


class Seen(Typed):
    """Who typed what an engineer answers for, and who compared it with the engineer's paper."""

    typed_by: Text = ""
    """Who typed it here; not the person who does the work."""
    checked_by: Text = ""
    """Who compared it with the engineer's paper: not who typed it, not the engineer, not who does it."""
    checked_on: Day | None = None
    """When."""
    checked_against: Text = ""
    """Which paper: number, issue, sheet."""
    checked_digest: Text = ""
    """Digest of what was checked; written by panelmend shelf check, not by hand."""


class ShelfDeviation(Seen):
    """A value of a shelf that this job does not follow."""

    of: Name
    """Which value: its path, as in bay.air_temperature or data.plies.first_margin."""
    value: Any
    """The value taken instead."""
    reason: Name
    """Why."""
    by: Name
    """Who says so; for what is not the shop's own, the engineer named under people."""
    on: Day
    """When."""
    reference: Text = ""
    """The engineer's reference, for what is not the shop's own."""


class Keep(Seen):
    """A superseded entry that an engineer keeps for this job, value by value."""

    entry: Name
    """The superseded entry."""
    instead_of: Name
    """The entry that supersedes it."""
    values: tuple[Name, ...] = Field(min_length=1, max_length=500)
    """Every value that differs, by its path."""
    by: Name
    """The engineer named under people."""
    on: Day
    """When."""
    reference: Name
    """The engineer's reference."""


class Accept(Seen):
    """Values of an entry that were changed since the job was packed, accepted by an engineer one by one."""

    entry: Name
    """The entry as it stands on its shelf now."""
    values: tuple[Name, ...] = Field(min_length=1, max_length=500)
    """Every value that was changed, by its path."""
    by: Name
    """The engineer named under people."""
    on: Day
    """When."""
    reference: Name
    """The engineer's reference."""


class PackedWith(Typed):
    """The shelf entries that a job was planned with when it was packed; written by the tool."""

    repair: Name
    """Number of the repair that was packed."""
    entries: tuple[Name, ...] = Field(min_length=1, max_length=500)
    """Shelf, name and digest of each."""
    contents: tuple[Name, ...] = Field(min_length=1, max_length=100_000)
    """What they said, packed; to be read by the tool alone."""


class ZoneSaid(Seen):
    """Which of the zones that a damage lies in counts, as an engineer says."""

    zone: Name
    """The zone, which use.zone names, too."""
    by: Name
    """The engineer named under people."""
    on: Day
    """When."""
    reference: Name
    """The engineer's reference."""


class JobHead(Typed):
    """What a job has that a one-file document does not."""

    use: Use = Use()
    """What it takes from the shelves."""
    deviation: tuple[ShelfDeviation, ...] = Field(default=(), max_length=100)
    """Values it does not follow."""
    keep: tuple[Keep, ...] = Field(default=(), max_length=20)
    """Superseded entries it keeps."""
    accept: tuple[Accept, ...] = Field(default=(), max_length=20)
    """Entries that were changed since it was packed, accepted value by value."""
    zone_said: ZoneSaid | None = None
    """Which zone's limits hold, if the damage lies in more than one."""
    packed_with: PackedWith | None = None
    """What it was planned with, if it comes out of a pack."""
